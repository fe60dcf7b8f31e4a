package consent

import (
	"fmt"
	"slices"
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

// price tests the tolerance on one definite base.
func price(r Rule, c Change, b Base) finding {
	o, actual, latest := r.Overage, c.Actual.on(b), c.Authorized.on(b)
	if c.AllowanceRemoved {
		return zeroTolerance(actual, latest, b)
	}
	switch {
	case c.Limit != nil:
		// The limit has been tested; it stands in for the tolerance.
		return finding{verdict: NotRequired}
	case o.Kind == KindCustomerLimit:
		return finding{verdict: NoRule, gap: true, reason: "This rule knows only the customer's own maximum, and none is on record."}
	case o.Kind == KindStandard:
		return advice(o, actual, latest)
	}
	base := countedFrom(o, c, b)
	if o.AboveEstimateMinor > 0 && base <= o.AboveEstimateMinor {
		return finding{verdict: NoRule, gap: true, reason: "The rule's tolerance begins only above an estimate of " + amount(o.AboveEstimateMinor) + "."}
	}
	return compare(o, c, b, base)
}

// compare holds the excess against the allowance, exactly.
func compare(o Overage, c Change, b Base, base Minor) finding {
	actual, latest := c.Actual.on(b), c.Authorized.on(b)
	allowed, formula := allowance(o, base, c.VehicleAge)
	f := finding{verdict: NotRequired, known: true, ceiling: max(latest, base+largestExcess(allowed, o.Cmp))}
	f.working = append(f.working,
		fmt.Sprintf("Allowance %s: %s = %s", taxWords(b), formula, exact(allowed)),
		fmt.Sprintf("Excess %s: %s - %s = %s", taxWords(b), amount(actual), amount(base), amount(actual-base)),
		fmt.Sprintf("Largest price %s without asking again: %s", taxWords(b), amount(f.ceiling)))
	if actual > f.ceiling {
		f.verdict = Required
		f.reason = fmt.Sprintf("The price %s is %s, which is above the %s this rule lets %s reach.", taxWords(b), amount(actual), amount(f.ceiling), levelWords(c.Level))
	}
	return f
}

// countedFrom is the estimate the percentage and the excess are taken from.
// Where a rule counts from the original estimate and the authorised sum has
// since gone down, the smaller one counts: the stricter reading.
func countedFrom(o Overage, c Change, b Base) Minor {
	if o.RevisionBase == OriginalEstimate && c.Original != nil {
		return min(c.Original.on(b), c.Authorized.on(b))
	}
	return c.Authorized.on(b)
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
func allowance(o Overage, estimate Minor, age int) (int64, string) {
	bp := pctFor(o, estimate, age)
	p, a, limit := estimate*bp, o.AbsMinor*scale, o.CapMinor*scale
	pct := percent(bp) + " of " + amount(estimate)
	switch o.Kind {
	case KindPct, KindBandsPct, KindVehicleAgePct:
		return p, pct
	case KindAbs:
		return a, "fixed " + amount(o.AbsMinor)
	case KindLesser:
		return min(p, a), "lesser of " + pct + " and " + amount(o.AbsMinor)
	case KindGreater:
		return max(p, a), "greater of " + pct + " and " + amount(o.AbsMinor)
	case KindGreaterCapped:
		return min(max(p, a), limit), "greater of " + pct + " and " + amount(o.AbsMinor) + ", at most " + amount(o.CapMinor)
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
func zeroTolerance(actual, latest Minor, b Base) finding {
	f := finding{verdict: NotRequired, known: true, ceiling: latest}
	f.working = []string{fmt.Sprintf("No allowance; %s against %s %s", amount(actual), amount(latest), taxWords(b))}
	if actual > latest {
		f.verdict = Required
		f.reason = "The customer wants to be asked about any excess, and the price is above what was agreed."
	}
	return f
}

// advice answers where the law has a standard of judgment and no number.
func advice(o Overage, actual, latest Minor) finding {
	f := finding{verdict: Advisory, gap: true, reason: "This law asks for judgment and gives no number."}
	if o.AdvisoryPctBP == 0 {
		return f
	}
	f.guide = GuideWithin
	if (actual-latest)*scale > latest*o.AdvisoryPctBP {
		f.guide = GuideBeyond
	}
	f.working = []string{fmt.Sprintf("Rule of thumb, not law: %s of %s = %s; excess %s",
		percent(o.AdvisoryPctBP), amount(latest), exact(latest*o.AdvisoryPctBP), amount(actual-latest))}
	return f
}
