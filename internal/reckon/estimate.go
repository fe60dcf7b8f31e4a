package reckon

import (
	"cmp"
	"fmt"

	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/money"
)

// estimateIn is a document to total, or a question about ways forward; Call
// says which.
type estimateIn struct {
	// Call is total (also where it is left out), part, suggest, waiting,
	// finish or share.
	Call  string          `json:"call,omitempty"`
	Lines []estimate.Line `json:"lines,omitempty"`
	Rules *estimate.Rules `json:"rules,omitempty"`
	// IDs are the lines of a part.
	IDs []string `json:"ids,omitempty"`
	estimate.Situation
	estimate.Plan
	Early *sideIn `json:"early,omitempty"`
	Late  *sideIn `json:"late,omitempty"`
	// Total stands in for lines and rules in share; Value is the machine's.
	Total    *estimate.Ends `json:"total,omitempty"`
	Value    *money.Amount  `json:"value_minor,omitempty"`
	Currency money.Currency `json:"currency,omitempty"`
}

// sideIn is one side of the cost of waiting: ids of lines, or two sums.
type sideIn struct {
	Lines []string      `json:"lines,omitempty"`
	Low   *money.Amount `json:"low_minor,omitempty"`
	High  *money.Amount `json:"high_minor,omitempty"`
}

// totalOut is a document worked out.
type totalOut struct {
	Lines  []estimate.LineResult `json:"lines"`
	Totals estimate.Totals       `json:"totals"`
}

// partOut is the sum of some lines of a document.
type partOut struct {
	IDs  []string       `json:"ids"`
	Part estimate.Range `json:"part"`
}

// suggestOut is a proposal without its working, which stands in the answer.
type suggestOut struct {
	Lines         []estimate.ProposedLine `json:"lines"`
	Scopes        []estimate.Scope        `json:"scopes"`
	PricesMissing []estimate.MissingPrice `json:"prices_missing"`
}

func estimateEngine() Engine {
	return engine("estimate", "1", "Lines to totals, ways forward from what was found, the cost of waiting, the earliest finish.", estimateRun)
}

func estimateRun(in estimateIn) (Answer, error) {
	switch in.Call {
	case "", "total":
		return estimateTotal(in)
	case "part":
		return estimatePart(in)
	case "suggest":
		return estimateSuggest(in)
	case "waiting":
		return estimateWaiting(in)
	case "finish":
		return estimateFinish(in)
	case "share":
		return estimateShare(in)
	}
	return Answer{}, fault.Invalid("estimate.call_unknown", "/call", "Say total, part, suggest, waiting, finish or share.")
}

// rules are the rules given, with the usual ones for what is left out.
func (in estimateIn) rules() (estimate.Rules, error) {
	if in.Rules == nil {
		return estimate.Rules{}, fault.Invalid("estimate.rules_missing", "/rules", "Give the rules: currency, mode, taxes and rounding.")
	}
	r := *in.Rules
	r.Mode = cmp.Or(r.Mode, estimate.Exclusive)
	r.LineRounding, r.TaxRounding = cmp.Or(r.LineRounding, money.HalfUp), cmp.Or(r.TaxRounding, money.HalfUp)
	return r, nil
}

// total works the lines out; a line without a word is certain.
func (in estimateIn) total(lines []estimate.Line) (estimate.Result, error) {
	rules, err := in.rules()
	if err != nil {
		return estimate.Result{}, err
	}
	said := make([]estimate.Line, len(lines))
	for i, l := range lines {
		l.Certainty = cmp.Or(l.Certainty, estimate.Certain)
		said[i] = l
	}
	return estimate.Total(said, rules)
}

func estimateTotal(in estimateIn) (Answer, error) {
	r, err := in.total(in.Lines)
	if err != nil {
		return Answer{}, err
	}
	return Answer{Value: totalOut{r.Lines, r.Totals}, Working: r.Working, Warnings: r.Warnings}, nil
}

func estimatePart(in estimateIn) (Answer, error) {
	r, err := in.total(in.Lines)
	if err != nil {
		return Answer{}, err
	}
	part, err := r.Part(in.IDs)
	if err != nil {
		return Answer{}, err
	}
	working := r.Working
	for _, l := range r.Lines {
		working = append(working, fmt.Sprintf("Share of %s, tax divided by the largest remainder: %s to %s.", l.ID,
			l.Shares.Low.Gross.Text(in.Rules.Currency), l.Shares.High.Gross.Text(in.Rules.Currency)))
	}
	working = append(working, fmt.Sprintf("The lines named come to %s to %s, before cash rounding.",
		part.Low.Gross.Text(in.Rules.Currency), part.High.Gross.Text(in.Rules.Currency)))
	return Answer{Value: partOut{list(in.IDs), part}, Working: working, Warnings: r.Warnings}, nil
}

func estimateSuggest(in estimateIn) (Answer, error) {
	rules, err := in.rules()
	if err != nil {
		return Answer{}, err
	}
	s, err := estimate.Suggest(in.Situation, rules)
	if err != nil {
		return Answer{}, err
	}
	return Answer{Value: suggestOut{s.Lines, s.Scopes, s.PricesMissing}, Working: s.Working, Warnings: s.Warnings}, nil
}

func estimateWaiting(in estimateIn) (Answer, error) {
	early, working, err := in.side("early", in.Early)
	if err != nil {
		return Answer{}, err
	}
	late, lateWorking, err := in.side("late", in.Late)
	if err != nil {
		return Answer{}, err
	}
	c, err := estimate.Waiting(early, late, in.currency())
	if err != nil {
		return Answer{}, err
	}
	verdict := "dearer"
	switch {
	case c.DifferenceLow == 0 && c.DifferenceHigh == 0:
		verdict = "same"
	case c.DifferenceLow < 0 && c.DifferenceHigh < 0:
		verdict = "cheaper"
	case c.DifferenceLow < 0 || c.DifferenceHigh < 0:
		verdict = "not_clear"
	}
	return Answer{Verdict: verdict, Value: c, Working: append(append(working, lateWorking...), c.Working...), Warnings: c.Warnings}, nil
}

// side gives both ends of one side, and the working of its lines.
func (in estimateIn) side(name string, s *sideIn) (estimate.Ends, []string, error) {
	if s == nil || (len(s.Lines) == 0) == (s.Low == nil) {
		return estimate.Ends{}, nil, fault.Invalid("estimate.side_unclear", "/"+name, "Give "+name+" either as ids of lines, or as low_minor and high_minor.")
	}
	if s.Low != nil {
		e := estimate.Ends{Low: *s.Low, High: *s.Low}
		if s.High != nil {
			e.High = *s.High
		}
		return e, nil, nil
	}
	lines, err := in.pick(name, s.Lines)
	if err != nil {
		return estimate.Ends{}, nil, err
	}
	r, err := in.total(lines)
	if err != nil {
		return estimate.Ends{}, nil, err
	}
	return estimate.EndsOf(r.Totals), append([]string{"— " + name + " —"}, r.Working...), nil
}

// pick gives the lines named, in the order named.
func (in estimateIn) pick(name string, ids []string) ([]estimate.Line, error) {
	byID := map[string]estimate.Line{}
	for _, l := range in.Lines {
		byID[l.ID] = l
	}
	out := make([]estimate.Line, len(ids))
	for i, id := range ids {
		l, known := byID[id]
		if !known {
			return nil, fault.Invalid("estimate.part_line_unknown", fmt.Sprintf("/%s/lines/%d", name, i), "Name only lines that are in the document.")
		}
		out[i] = l
	}
	return out, nil
}

// currency is the one named, or that of the rules.
func (in estimateIn) currency() money.Currency {
	if in.Currency == "" && in.Rules != nil {
		return in.Rules.Currency
	}
	return in.Currency
}

func estimateFinish(in estimateIn) (Answer, error) {
	r, err := estimate.Finish(in.Plan)
	if err != nil {
		return Answer{}, err
	}
	return Answer{Verdict: string(r.WaitsFor), Value: r, Working: r.Working, Warnings: r.Warnings}, nil
}

func estimateShare(in estimateIn) (Answer, error) {
	var working []string
	if in.Total == nil {
		r, err := in.total(in.Lines)
		if err != nil {
			return Answer{}, err
		}
		ends := estimate.EndsOf(r.Totals)
		in.Total, working = &ends, r.Working
	}
	p, err := estimate.ShareOfValue(*in.Total, in.Value, in.currency())
	if err != nil {
		return Answer{}, err
	}
	verdict := "no_data"
	if p.Known {
		verdict = "known"
	}
	return Answer{Verdict: verdict, Value: p, Working: append(working, p.Working...), Warnings: p.Warnings}, nil
}
