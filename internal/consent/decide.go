package consent

import (
	"fmt"
	"slices"
)

// Verdict is an answer to "is further consent needed?".
type Verdict string

// The verdicts. The last three never mean "free to charge".
const (
	Required    Verdict = "required"
	NotRequired Verdict = "not_required"
	NotCovered  Verdict = "not_covered" // the rule leaves this job out
	NoRule      Verdict = "no_rule"     // the rule has no number for this case
	Advisory    Verdict = "advisory"    // a standard of judgment
)

// Verdicts lists every verdict.
func Verdicts() []Verdict { return []Verdict{Required, NotRequired, NotCovered, NoRule, Advisory} }

// Guide is where a price lies against a rule of thumb that is not law.
type Guide string

// The places.
const (
	GuideNone   Guide = "" // there is no rule of thumb
	GuideWithin Guide = "within"
	GuideBeyond Guide = "beyond"
)

// Guides lists every place.
func Guides() []Guide { return []Guide{GuideNone, GuideWithin, GuideBeyond} }

// Ceiling is the largest price that needs no further consent, rounded down,
// on each tax base that binds. A base that is nil does not bind; with both
// nil the ceiling is not known, or no price would do. A price must stay at
// or below both.
type Ceiling struct {
	ExclTax *Minor `json:"excl_tax,omitempty"`
	InclTax *Minor `json:"incl_tax,omitempty"`
}

// Answer is a verdict with everything needed to argue with it.
type Answer struct {
	// Job is the job whose test decided, counted from 1; 0 for the order.
	Job       int      `json:"job,omitempty"`
	Own       Verdict  `json:"own"`       // what the rule itself says
	Effective Verdict  `json:"effective"` // required or not_required, STRICT where the rule does not reach
	Strict    bool     `json:"strict"`    // whether STRICT was asked as well, the rule not reaching the whole case
	Reasons   []string `json:"reasons"`
	Working   []string `json:"working"`
	Ceiling   Ceiling  `json:"ceiling"` // of Effective
	Guide     Guide    `json:"guide,omitempty"`
	Form      Form     `json:"form"` // the form a consent must take
	RuleID    string   `json:"rule"`
	Citation  string   `json:"citation"`
	Checked   string   `json:"checked"`   // the day a person checked the rule, or "not verified"
	Retrieved string   `json:"retrieved"` // the day the source was read
	Caution   string   `json:"caution"`
}

// Decide says whether the change needs the customer's further consent under
// the rule: scope, then the customer's maximum, then a removed allowance,
// then the tolerance, then changes that need consent whatever they cost.
// New work needs consent under every rule. Where the rule does not cover the
// job, has no number or only advises, Effective is the strict profile's
// answer; so it is where only the new total brings the job within the rule.
//
// It fails with consent.rule_invalid or consent.change_invalid.
func Decide(r Rule, c Change) (Answer, error) {
	return decideWithin(r, c, c)
}

// decideWithin decides c, as part of an order whose totals set the scope.
func decideWithin(r Rule, c, order Change) (Answer, error) {
	if why := ruleProblem(r); why != "" {
		return Answer{}, invalidRule(why)
	}
	for _, part := range []Change{c, order} {
		if err := part.problem(); err != nil {
			return Answer{}, err
		}
	}
	a := Answer{
		RuleID: r.ID, Citation: r.Citation, Checked: notVerified, Retrieved: r.Retrieved, Caution: caution, Form: r.Overage.ConsentForm,
	}
	if r.VerifiedOn != nil {
		a.Checked = *r.VerifiedOn
	}
	res := own(r, c, order)
	a.Own, a.Effective, a.Reasons, a.Working, a.Ceiling, a.Guide = res.verdict, res.verdict, res.reasons, res.working, res.ceiling, res.guide
	if res.strict {
		a.fallBack(c)
	}
	if len(a.Reasons) == 0 {
		a.Reasons = []string{"The price is within what the customer agreed to and what this rule allows."}
	}
	a.Reasons = append(a.Reasons, standing(r, c)...)
	return a, nil
}

// fallBack puts the strict profile's answer beside the rule's own.
func (a *Answer) fallBack(c Change) {
	s := own(Strict(), c, c)
	a.Strict, a.Form, a.Ceiling = true, FormWrittenOrRecorded, s.ceiling
	a.Reasons = append(a.Reasons, "The strict default decides where the rule does not reach.")
	a.Working = append(a.Working, s.working...)
	if a.Own != Required {
		a.Effective = s.verdict
		a.Reasons = append(a.Reasons, s.reasons...)
	}
}

// standing names what the reader should know of the rule's own footing.
func standing(r Rule, c Change) []string {
	var out []string
	if cover := r.Scope.Motorcycles; c.Motorcycle && (cover == CoverUnknown || cover == CoverLikely) {
		out = append(out, "Whether this law covers motorcycles was not read; it is taken to.")
	}
	if weak(r) {
		out = append(out, weakGround)
	}
	return out
}

// result is what one rule says of one change.
type result struct {
	verdict Verdict
	strict  bool // the strict profile must be asked too
	reasons []string
	working []string
	ceiling Ceiling
	guide   Guide
}

// own runs the tests of one rule in order.
func own(r Rule, c, order Change) result {
	why, straddles := scope(r, order)
	if why != "" {
		return result{verdict: NotCovered, strict: true, reasons: []string{why}}
	}
	res := result{verdict: NotRequired, strict: straddles}
	if straddles {
		res.reasons = append(res.reasons, "The estimate alone lies outside the totals this rule covers.")
	}
	res.limit(c, coinOf(r, c.Currency))
	for _, b := range testedOn(r.Overage.Base) {
		res.add(price(r, c, b), b)
	}
	res.also(r, c)
	return res
}

// testedOn lists the definite bases a base stands for.
func testedOn(b Base) []Base {
	if b == BaseUnspecified {
		return []Base{ExclTax, InclTax}
	}
	return []Base{b}
}

// limit tests the customer's own maximum, which beats every tolerance.
func (res *result) limit(c Change, in coin) {
	if c.Limit == nil {
		return
	}
	b := InclTax
	if c.Limit.Base == ExclTax {
		b = ExclTax
	}
	res.bound(b, c.Limit.Minor)
	actual := c.Actual.on(b)
	res.working = append(res.working, fmt.Sprintf("Customer's maximum %s: %s; price %s", taxWords(b), in.amount(c.Limit.Minor), in.amount(actual)))
	if actual > c.Limit.Minor {
		res.worsen(Required)
		res.reasons = append(res.reasons, "The price is above the maximum the customer named.")
	}
}

// add takes in the price test on one base.
func (res *result) add(f finding, b Base) {
	res.worsen(f.verdict)
	res.strict = res.strict || f.gap
	res.working = append(res.working, f.working...)
	if f.reason != "" && !slices.Contains(res.reasons, f.reason) {
		res.reasons = append(res.reasons, f.reason)
	}
	if f.known {
		res.bound(b, f.ceiling)
	}
	if f.guide == GuideBeyond || res.guide == GuideNone {
		res.guide = f.guide
	}
}

// bound lowers the ceiling on a base.
func (res *result) bound(b Base, m Minor) {
	at := &res.ceiling.InclTax
	if b == ExclTax {
		at = &res.ceiling.ExclTax
	}
	if *at == nil || m < **at {
		*at = &m
	}
}

// also tests the changes that need consent whatever they cost. No price
// would do then, so the ceiling is unknown.
func (res *result) also(r Rule, c Change) {
	for _, f := range c.flags() {
		if f != AlsoNewWork && !slices.Contains(r.Also, f) {
			continue
		}
		res.worsen(Required)
		res.reasons = append(res.reasons, alsoWords(f))
		res.ceiling = Ceiling{}
	}
}

// worsen keeps the stricter verdict: required, then the ones that do not
// answer, then not required.
func (res *result) worsen(v Verdict) {
	if res.verdict != Required && v != NotRequired {
		res.verdict = v
	}
}

// scope says why the rule does not cover the order, or "". It also reports
// whether the estimate alone would lie outside, so that only the new total
// brings the order in (or would take it out).
func scope(r Rule, order Change) (why string, straddles bool) {
	s := r.Scope
	switch {
	case order.Motorcycle && s.Motorcycles == CoverNo:
		return "This rule leaves motorcycles out.", false
	case order.Business && s.ConsumerOnly:
		return "This rule covers consumers only.", false
	case order.Currency != "" && r.Currency != "" && order.Currency != r.Currency:
		return "The amounts of this rule are in " + r.Currency + ", not in the shop's currency.", false
	}
	bases := testedOn(r.Overage.Base)
	covered := slices.ContainsFunc(bases, func(b Base) bool {
		return within(s, order.Authorized.on(b), order.Actual.on(b))
	})
	if !covered {
		return "The total lies outside what this rule covers.", false
	}
	alone := func(b Base) bool { return !within(s, order.Authorized.on(b), order.Authorized.on(b)) }
	return "", slices.ContainsFunc(bases, alone)
}

// within tests the smallest total on the larger sum and the largest total on
// the smaller sum: the reading that protects the customer.
func within(s Scope, estimate, actual Minor) bool {
	low := s.MinTotalMinor == 0 || meets(max(estimate, actual), s.MinCmp, s.MinTotalMinor)
	high := s.MaxTotalMinor == 0 || meets(min(estimate, actual), s.MaxCmp, s.MaxTotalMinor)
	return low && high
}
