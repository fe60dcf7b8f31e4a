package consent

import (
	"fmt"
	"slices"
	"strings"
)

// scale is the unit of an allowance: ten-thousandths of a minor unit, so
// that basis points of an estimate stay whole.
const scale = 10_000

// finding is what the price test says on one tax base.
type finding struct {
	verdict Verdict
	reason  string
	working []string
	ceiling Minor
	known   bool // whether ceiling means anything
	gap     bool // no number reaches this case on this base
	guide   Guide
}

// pricing is the price test of one change on one definite tax base.
type pricing struct {
	Overage
	change         Change
	base           Base
	actual, latest Minor
	coin           coin
}

// price tests the tolerance on one definite base.
func price(r Rule, c Change, b Base) finding {
	p := pricing{r.Overage, c, b, c.Actual.on(b), c.Authorized.on(b), coinOf(r, c.Currency)}
	from := p.countedFrom()
	silent := p.silence(from)
	f := silent
	switch {
	case c.AllowanceRemoved:
		f = p.zeroTolerance()
	case c.Limit != nil: // it has been tested, and stands in for the tolerance
		f = finding{verdict: NotRequired}
	case !silent.gap:
		f = p.compare(from)
	}
	f.gap = silent.gap
	return f
}

// silence says why the rule has no number for this case; where it has one,
// gap is false and the rest is empty. The gap stays a gap though the
// customer named a maximum: the rule is as silent on the rest of the change,
// and the strict profile is asked.
func (p pricing) silence(from Minor) finding {
	switch {
	case p.Kind == KindCustomerLimit:
		return finding{verdict: NoRule, gap: true, reason: "This rule knows only the customer's own maximum, and none is on record."}
	case p.Kind == KindStandard:
		return p.advice()
	case p.AboveEstimateMinor > 0 && from <= p.AboveEstimateMinor:
		return finding{verdict: NoRule, gap: true, reason: "The rule's tolerance begins only above an estimate of " + p.coin.amount(p.AboveEstimateMinor) + "."}
	}
	return finding{}
}

// compare holds the excess over the estimate against the allowance, exactly.
func (p pricing) compare(from Minor) finding {
	allowed, formula := p.allowance(from)
	f := finding{verdict: NotRequired, known: true, ceiling: max(p.latest, from+largestExcess(allowed, p.Cmp))}
	tax, m := taxWords(p.base), p.coin.amount
	f.working = append(f.working,
		fmt.Sprintf("Allowance %s: %s = %s", tax, formula, p.coin.exact(allowed)),
		fmt.Sprintf("Excess %s: %s - %s = %s; consent when it is %s the allowance and more than nothing", tax, m(p.actual), m(from), m(p.actual-from), words(p.Cmp)),
		p.ceilingWords(from, f.ceiling))
	if p.actual > f.ceiling {
		f.verdict = Required
		f.reason = fmt.Sprintf("The price %s is %s, which is above the %s this rule lets %s reach.", tax, m(p.actual), m(f.ceiling), levelWords(p.change.Level))
	}
	return f
}

// ceilingWords says how the largest price follows from the allowance.
func (p pricing) ceilingWords(from, ceiling Minor) string {
	out := fmt.Sprintf("Largest price %s without asking again: %s", taxWords(p.base), p.coin.amount(ceiling))
	switch {
	case p.RevisionBase != OriginalEstimate:
	case ceiling == p.latest && from < p.latest:
		out += ", what was agreed last; the allowance counts from the smaller sum of " + p.coin.amount(from) + " (the original estimate or the latest sum)"
	default:
		out += "; the allowance counts from " + p.coin.amount(from) + ", the smaller of the original estimate and the latest sum"
	}
	return out
}

// countedFrom is the estimate the percentage and the excess are taken from.
// Where a rule counts from the original estimate and the authorised sum has
// since gone down, the smaller one counts: the stricter reading.
func (p pricing) countedFrom() Minor {
	if p.RevisionBase == OriginalEstimate && p.change.Original != nil {
		return min(p.change.Original.on(p.base), p.latest)
	}
	return p.latest
}

// largestExcess is the largest whole excess that needs no consent, for an
// allowance in ten-thousandths: rounded down for gt, one unit below the
// smallest that fails for ge, never below zero.
func largestExcess(allowed int64, cmp Cmp) Minor {
	if cmp == Ge {
		return max(0, (allowed+scale-1)/scale-1)
	}
	return allowed / scale
}

// allowance gives the allowance in ten-thousandths of a minor unit and the
// formula in words. With amounts and percentages in range it cannot overflow.
func (p pricing) allowance(estimate Minor) (int64, string) {
	bp := pctFor(p.Overage, estimate, p.change.age())
	share, fixed, limit := estimate*bp, p.AbsMinor*scale, p.CapMinor*scale
	pct, abs := percent(bp)+" of "+p.coin.amount(estimate), p.coin.amount(p.AbsMinor)
	switch p.Kind {
	case KindPct, KindBandsPct, KindVehicleAgePct:
		return share, pct
	case KindAbs:
		return fixed, "fixed " + abs
	case KindLesser:
		return min(share, fixed), "lesser of " + pct + " and " + abs
	case KindGreater:
		return max(share, fixed), "greater of " + pct + " and " + abs
	case KindGreaterCapped:
		return min(max(share, fixed), limit), "greater of " + pct + " and " + abs + ", at most " + p.coin.amount(p.CapMinor)
	}
	return 0, "none, any excess counts"
}

// pctFor picks the percentage, by band where there are bands. An age not
// known (0) gets the percentage for no age, the lower one.
func pctFor(o Overage, estimate Minor, age int) int64 {
	switch o.Kind {
	case KindBandsPct:
		at := slices.IndexFunc(o.Bands, func(b Band) bool {
			return b.BelowEstimateMinor == 0 || estimate < b.BelowEstimateMinor
		})
		return o.Bands[at].PctBP
	case KindVehicleAgePct:
		bp := o.PctBP
		for _, b := range o.Bands {
			if age >= b.MinModelYears {
				bp = b.PctBP
			}
		}
		return bp
	}
	return o.PctBP
}

// zeroTolerance is the test once the customer wants to be asked about any excess.
func (p pricing) zeroTolerance() finding {
	f := finding{verdict: NotRequired, known: true, ceiling: p.latest}
	f.working = []string{fmt.Sprintf("No allowance; %s against %s %s", p.coin.amount(p.actual), p.coin.amount(p.latest), taxWords(p.base))}
	if p.actual > p.latest {
		f.verdict = Required
		f.reason = "The customer wants to be asked about any excess, and the price is above what was agreed."
	}
	return f
}

// advice answers where the law has a standard of judgment and no number.
func (p pricing) advice() finding {
	f := finding{verdict: Advisory, gap: true, reason: "This law asks for judgment and gives no number. " + strings.Join(dutyWords(p.Overage), "")}
	if p.AdvisoryPctBP == 0 {
		return f
	}
	guide, excess := p.latest*p.AdvisoryPctBP, p.actual-p.latest
	f.guide = GuideWithin
	if excess*scale > guide {
		f.guide = GuideBeyond
	}
	f.working = []string{fmt.Sprintf("Rule of thumb, not law, %s: %s of %s = %s; excess %s", taxWords(p.base),
		percent(p.AdvisoryPctBP), p.coin.amount(p.latest), p.coin.exact(guide), p.coin.amount(excess))}
	return f
}
