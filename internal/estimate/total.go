package estimate

import (
	"cmp"
	"slices"

	"benchtag/internal/fault"
	"benchtag/internal/money"
)

const minutesPerHour, milliPerUnit = 60, 1000

// Total works out a document. It refuses, with a Meaning fault that points at
// the place: rules or lines that cannot be meant (see Rules and Line), a tax
// category the rules lack, and amounts past the int64 range. The order of the
// lines changes no figure.
func Total(lines []Line, rules Rules) (Result, error) {
	err := check(lines, rules)
	if err != nil {
		return Result{}, err
	}
	d := document{rules: rules, lines: lines}
	err = d.price()
	if err != nil {
		return Result{}, err
	}
	d.group()
	low, err := d.settle(lowEnd)
	if err != nil {
		return Result{}, err
	}
	high, err := d.settle(highEnd)
	if err != nil {
		return Result{}, err
	}
	totals := Totals{Low: low, High: high}
	return Result{
		Lines: d.priced, Totals: totals,
		Working: working(d, totals), Warnings: warnings(lines),
	}, nil
}

// end is one end of the range.
type end bool

const (
	lowEnd  end = false
	highEnd end = true
)

// document is one reckoning under way.
type document struct {
	rules  Rules
	lines  []Line
	priced []LineResult
	// members holds, by tax category, the indexes of its lines in order of
	// their IDs, so that odd units of tax fall the same way in any order.
	members map[string][]int
}

func (d *document) price() error {
	d.priced = make([]LineResult, len(d.lines))
	for i, line := range d.lines {
		amount, err := line.amount(d.rules.LineRounding)
		if err != nil {
			return at(i, "unit_price_minor", err)
		}
		if line.Ceiling != 0 && line.Ceiling < amount {
			return fault.Invalid("estimate.ceiling_too_low", pointer(i, "ceiling_minor"),
				"The ceiling lies below what quantity and price give; raise it or lower them.")
		}
		r := LineResult{ID: line.ID, Kind: line.Kind, Amount: amount, Low: amount, High: amount}
		if line.Certainty == Possible {
			r.Low, r.High = 0, max(amount, line.Ceiling)
		}
		d.priced[i] = r
	}
	return nil
}

// amount is minutes·price/60 for labour and quantity·price else, rounded once.
func (l Line) amount(r money.Rounding) (money.Amount, error) {
	if l.Kind == Labour {
		return money.MulRatio(l.UnitPrice, l.Minutes, minutesPerHour, r)
	}
	return money.MulRatio(l.UnitPrice, l.Milli, milliPerUnit, r)
}

func (d *document) group() {
	d.members = make(map[string][]int, len(d.rules.Taxes))
	for i, line := range d.lines {
		d.members[line.TaxCategory] = append(d.members[line.TaxCategory], i)
	}
	for _, indexes := range d.members {
		slices.SortFunc(indexes, func(a, b int) int { return cmp.Compare(d.lines[a].ID, d.lines[b].ID) })
	}
}

// amountAt is what a line adds at one end, in the prices' own terms.
func (d *document) amountAt(i int, e end) money.Amount {
	if e == highEnd {
		return d.priced[i].High
	}
	return d.priced[i].Low
}

// shareAt is where a line's share at one end is kept.
func (d *document) shareAt(i int, e end) *Share {
	if e == highEnd {
		return &d.priced[i].Shares.High
	}
	return &d.priced[i].Shares.Low
}

// settle makes the total of one end and fills in the lines' shares of it.
func (d *document) settle(e end) (Sum, error) {
	sum := Sum{ByCategory: []TaxLine{}}
	var all Share
	for _, tax := range d.rules.Taxes {
		indexes := d.members[tax.Category]
		if len(indexes) == 0 {
			continue
		}
		share, err := d.settleCategory(tax, e)
		if err != nil {
			return Sum{}, err
		}
		all, err = all.plus(share)
		if err != nil {
			return Sum{}, err
		}
		sum.ByCategory = append(sum.ByCategory, TaxLine{Category: tax.Category, Label: tax.name(), Rate: tax.Rate, Share: share})
	}
	sum.Net, sum.Tax, sum.Gross = all.Net, all.Tax, all.Gross
	sum.ByKind = d.byKind(e)
	return sum.roundCash(d.rules.CashRounding)
}

// settleCategory taxes one category's subtotal and divides the tax between
// its lines in proportion to their amounts.
func (d *document) settleCategory(tax Tax, e end) (Share, error) {
	indexes := d.members[tax.Category]
	weights := make([]int64, len(indexes))
	var base money.Amount
	for n, i := range indexes {
		amount := d.amountAt(i, e)
		weights[n] = int64(amount)
		next, err := base.Add(amount)
		if err != nil {
			return Share{}, err
		}
		base = next
	}
	due, err := tax.on(base, d.rules)
	if err != nil {
		return Share{}, err
	}
	total, err := d.rules.Mode.apart(base, due)
	if err != nil {
		return Share{}, err
	}
	for n, part := range money.Allocate(due, weights) {
		i := indexes[n]
		*d.shareAt(i, e), err = d.rules.Mode.apart(d.amountAt(i, e), part)
		if err != nil {
			return Share{}, err
		}
	}
	return total, nil
}

// on is the tax on a subtotal: base·rate when added on top,
// base·rate/(1+rate) when contained.
func (t Tax) on(base money.Amount, rules Rules) (money.Amount, error) {
	if rules.Mode == Inclusive {
		return t.Rate.Within(base, rules.TaxRounding)
	}
	return t.Rate.Of(base, rules.TaxRounding)
}

func (t Tax) name() string { return cmp.Or(t.Label, t.Category) }

// apart takes an amount in the prices' own terms apart into net, tax, gross.
func (m Mode) apart(amount, tax money.Amount) (Share, error) {
	if m == Inclusive {
		net, err := amount.Sub(tax)
		return Share{Net: net, Tax: tax, Gross: amount}, err
	}
	gross, err := amount.Add(tax)
	return Share{Net: amount, Tax: tax, Gross: gross}, err
}

// plus adds two shares. Nothing in a share is negative and Gross is the
// largest of the three, so only Gross can leave the range.
func (s Share) plus(other Share) (Share, error) {
	gross, err := s.Gross.Add(other.Gross)
	return Share{Net: s.Net + other.Net, Tax: s.Tax + other.Tax, Gross: gross}, err
}

// byKind sums the lines' shares; they cannot leave the range, because all
// lines together have not.
func (d *document) byKind(e end) []KindLine {
	sums := map[LineKind]Share{}
	for i, line := range d.lines {
		share := *d.shareAt(i, e)
		have := sums[line.Kind]
		sums[line.Kind] = Share{Net: have.Net + share.Net, Tax: have.Tax + share.Tax, Gross: have.Gross + share.Gross}
	}
	out := []KindLine{}
	for _, kind := range LineKinds() {
		if share, used := sums[kind]; used {
			out = append(out, KindLine{Kind: kind, Share: share})
		}
	}
	return out
}

// roundCash rounds the gross by a cash rule and keeps the difference.
func (s Sum) roundCash(rule money.Rounding) (Sum, error) {
	if rule == "" {
		return s, nil
	}
	paid, err := s.Gross.Round(rule)
	if err != nil {
		return Sum{}, err
	}
	s.RoundingDifference, s.Gross = paid-s.Gross, paid
	return s, nil
}

// Part sums the document's shares over some of its lines, as for one scope of
// several on a paper. Parts that together hold every line once sum to the
// totals before cash rounding. An ID that is no line of the document, or
// stands twice, is an estimate.part_line_unknown or part_line_twice error.
func (r Result) Part(ids []string) (Range, error) {
	byID := make(map[string]Range, len(r.Lines))
	for _, line := range r.Lines {
		byID[line.ID] = line.Shares
	}
	taken := make(map[string]bool, len(ids))
	var part Range
	for _, id := range ids {
		shares, known := byID[id]
		if !known {
			return Range{}, fault.New(fault.Meaning, "estimate.part_line_unknown", "Name only lines that are in the document.")
		}
		if taken[id] {
			return Range{}, fault.New(fault.Meaning, "estimate.part_line_twice", "Name each line once.")
		}
		taken[id] = true
		var errLow, errHigh error
		part.Low, errLow = part.Low.plus(shares.Low)
		part.High, errHigh = part.High.plus(shares.High)
		err := cmp.Or(errLow, errHigh)
		if err != nil {
			return Range{}, err
		}
	}
	return part, nil
}
