package app

import (
	"benchtag/internal/consent"
	"benchtag/internal/estimate"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// ledger is what was said and done about the money of one job.
type ledger struct {
	job      shop.Job
	lines    []shop.Line    // every line, struck ones too
	consents []shop.Consent // every answer, in order
	docs     map[shop.OfferID]OfferDocument
	hashes   map[shop.OfferID]string // SHA-256, hex, of the bytes stored
}

// sums is the money of one job, each group of lines taxed as the paper on
// which it was offered: comparing a paper with itself must not differ by a
// cent of rounding. Cash rounding is no part of it.
type sums struct {
	authorized consent.Amount
	original   *consent.Amount // without what was found later; nil where nothing was
	actual     consent.Amount
	limit      *consent.Limit
	strictSum  bool // lines work under a "yes, up to": no tolerance on top of it
	overLimit  bool // and they came to more than it
	newWork    bool // something was done that no consent covers
}

// stands reports whether a consent says yes now.
func stands(g shop.Consent) bool { return g.Decision == shop.DecisionAgreed && g.RevokedAt == nil }

// upTo finds the "yes, up to" of a job that was said last and stands, and
// reports whether the rule lets it count.
func (l ledger) upTo(rule consent.Rule) (shop.Consent, bool) {
	var last shop.Consent
	for _, g := range l.consents {
		if g.Kind == shop.ConsentKindDropOff && g.OfferID == "" && stands(g) && !g.SaidAt.Before(last.SaidAt) {
			last = g
		}
	}
	return last, last.ID != "" && l.limitCounts(rule, last)
}

// limitCounts reports whether the rule lets a limit count as a consent.
func (l ledger) limitCounts(rule consent.Rule, g shop.Consent) bool {
	counts, _ := consent.LimitAtDropOff(rule, dropOffOf(l.job.Kind, g))
	return counts && g.LimitAmount != nil
}

// dropOffOf says what the record of a "yes, up to" holds. Its amount is the
// total with tax, and the day promised at drop-off stands. Which work it is
// for is said by its note; by itself where it is for the diagnosis; and by the
// job where that is a request, since a request says what is to be done and a
// complaint does not.
func dropOffOf(kind shop.JobKind, g shop.Consent) consent.DropOff {
	held := append(recordHeld(g), consent.FieldAddedAmount, consent.FieldRevisedTotal, consent.FieldTaxBase, consent.FieldRevisedDate)
	if !blank(g.Note) || g.Kind == shop.ConsentKindDiagnosis || kind == shop.JobKindRequest {
		held = append(held, consent.FieldAddedWork)
	}
	said := consent.GivenSpoken
	if g.Method == shop.ConsentMethodMessage || g.Method == shop.ConsentMethodLink {
		said = consent.GivenElectronic
	}
	return consent.DropOff{Given: said, Fields: held}
}

// reckon adds up one job. billing takes the done lines alone; before, agreed
// ones still to be done count as if they were.
func (l ledger) reckon(rules estimate.Rules, rule consent.Rule, billing bool) (sums, error) {
	var out sums
	groups := groupBy(standing(l.lines), func(x shop.Line) shop.ConsentID { return x.ConsentID })
	priced, err := l.addOffers(&out, rules, groups)
	if err != nil {
		return out, err
	}
	for id, group := range groups {
		work := worked(group, billing)
		if len(work) == 0 {
			continue
		}
		sum, err := priceGroup(rules, work)
		if err != nil {
			return out, err
		}
		out.actual = plus(out.actual, sum)
		l.cover(&out, rule, id, sum)
	}
	if upTo, counts := l.upTo(rule); counts && priced == 0 {
		out.authorized = consent.Amount{ExclTax: int64(*upTo.LimitAmount)}
		out.limit = &consent.Limit{Minor: int64(*upTo.LimitAmount), Base: consent.InclTax}
	}
	return out, nil
}

// addOffers adds what the consents to offers allow and tells how many there are.
func (l ledger) addOffers(out *sums, rules estimate.Rules, groups map[shop.ConsentID][]shop.Line) (int, error) {
	var first consent.Amount
	priced, found := 0, false
	for _, g := range l.consents {
		if g.OfferID == "" || g.Decision != shop.DecisionAgreed {
			continue
		}
		sum, err := l.authorizedBy(rules, g, groups[g.ID])
		if err != nil {
			return 0, err
		}
		priced++
		out.authorized = plus(out.authorized, sum)
		if g.Kind == shop.ConsentKindMoreFound {
			found = true
		} else {
			first = plus(first, sum)
		}
	}
	if found {
		out.original = &first
	}
	return priced, nil
}

// cover says what stands behind work that came to sum: an offer, which has
// been counted; a "yes, up to", which allows the work up to its limit; or
// nothing, and then it is new work.
func (l ledger) cover(out *sums, rule consent.Rule, id shop.ConsentID, sum consent.Amount) {
	for _, g := range l.consents {
		if g.ID != id || g.Decision != shop.DecisionAgreed {
			continue
		}
		if g.OfferID != "" {
			return
		}
		if !l.limitCounts(rule, g) {
			break
		}
		out.strictSum = true
		out.overLimit = out.overLimit || sum.ExclTax+sum.Tax > int64(*g.LimitAmount)
		within := consent.Amount{ExclTax: min(sum.ExclTax, int64(*g.LimitAmount))}
		within.Tax = min(sum.Tax, int64(*g.LimitAmount)-within.ExclTax)
		out.authorized = plus(out.authorized, within)
		if out.original != nil {
			both := plus(*out.original, within)
			out.original = &both
		}
		return
	}
	out.newWork = true
}

// authorizedBy is what one consent to an offer allows: the upper end of the
// way chosen, as shown. Where it was taken back, or a later consent took over
// some of its lines, only the lines left under it count, as they were shown.
func (l ledger) authorizedBy(rules estimate.Rules, g shop.Consent, under []shop.Line) (consent.Amount, error) {
	way := l.docs[g.OfferID].Way(g.ScopeID)
	if way == nil {
		return consent.Amount{}, nil
	}
	if stands(g) && l.untouched(g, *way) {
		return consent.Amount{ExclTax: int64(g.Net), Tax: int64(g.Tax)}, nil
	}
	shown := make(map[shop.LineID]money.Amount, len(way.Lines))
	for _, x := range way.Lines {
		shown[x.LineID] = x.High
	}
	var lines []estimate.Line
	for _, x := range under {
		if high, was := shown[x.ID]; was {
			lines = append(lines, estimate.Line{ID: string(x.ID), Kind: estimate.Fee, Certainty: estimate.Certain,
				TaxCategory: x.TaxCategory, Milli: 1000, UnitPrice: high})
		}
	}
	return totalOf(lines, rules)
}

// untouched reports whether no other consent holds a line of this way now.
func (l ledger) untouched(g shop.Consent, way OfferWay) bool {
	chosen := make(map[shop.LineID]bool, len(way.Lines))
	for _, x := range way.Lines {
		chosen[x.LineID] = true
	}
	for _, x := range standing(l.lines) {
		if chosen[x.ID] && x.ConsentID != g.ID {
			return false
		}
	}
	return true
}

// worked gives the lines that are done, or agreed as well before the bill.
func worked(lines []shop.Line, billing bool) []shop.Line {
	var out []shop.Line
	for _, l := range lines {
		if l.State == shop.LineStateDone || !billing && l.State == shop.LineStateAgreed {
			out = append(out, l)
		}
	}
	return out
}

// asDone gives lines as they are charged once done: for what they came to.
func asDone(lines []shop.Line) []shop.Line {
	out := make([]shop.Line, len(lines))
	for i, l := range lines {
		l.Certainty, l.Ceiling = shop.CertaintyCertain, nil
		out[i] = l
	}
	return out
}

func priceGroup(rules estimate.Rules, lines []shop.Line) (consent.Amount, error) {
	priced := make([]estimate.Line, len(lines))
	for i, l := range asDone(lines) {
		priced[i] = pricedLine(l)
	}
	return totalOf(priced, rules)
}

func totalOf(lines []estimate.Line, rules estimate.Rules) (consent.Amount, error) {
	if len(lines) == 0 {
		return consent.Amount{}, nil
	}
	r, err := estimate.Total(lines, rules)
	return consent.Amount{ExclTax: int64(r.Totals.High.Net), Tax: int64(r.Totals.High.Tax)}, err
}

// plus adds amounts; consent.Decide refuses sums beyond its range.
func plus(a, b consent.Amount) consent.Amount {
	return consent.Amount{ExclTax: a.ExclTax + b.ExclTax, Tax: a.Tax + b.Tax}
}
