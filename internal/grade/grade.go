// Package grade judges a measured value with its uncertainty against the limits
// of a part, and puts what was seen by eye into words with a grade.
//
// It decides whether a value is proven within, proven beyond or neither, which
// condition grade follows, and whether the measurement may decide at all. It
// does not decide how a value is measured (package measure) nor what is done
// with the part.
//
// Comparison with limits is exact, in whole numbers: lengths in nanometres with
// the uncertainty rounded up. Only probabilities are binary fractions. The
// package also runs on tablets, so it keeps away from fmt and reflection.
package grade

import "benchtag/internal/measure"

// Grade is the condition of a part: 0 as new, 1 serviceable, 2 near limit,
// 3 beyond limit, 4 failed. None is no grade; "undecided" is none of them.
type Grade int64

// The grades.
const (
	None        Grade = -1
	AsNew       Grade = 0 // inside the limits for a new part
	Serviceable Grade = 1 // inside the service limits
	NearLimit   Grade = 2 // less than the stated share of the wear allowance left
	BeyondLimit Grade = 3 // proven beyond a service limit
	Failed      Grade = 4 // does not do its job; never measured, only seen
)

// Grades lists every grade, best first, without None.
func Grades() []Grade { return []Grade{AsNew, Serviceable, NearLimit, BeyondLimit, Failed} }

// Words gives the grade in words; "no grade" for None and anything unknown.
func (g Grade) Words() string {
	switch g {
	case AsNew:
		return "as new"
	case Serviceable:
		return "serviceable"
	case NearLimit:
		return "near limit"
	case BeyondLimit:
		return "beyond limit"
	case Failed:
		return "failed"
	default:
		return "no grade"
	}
}

// Effective gives the worse of what the eye and what the gauge found; None
// gives way to a grade.
func Effective(lookedAt, measured Grade) Grade { return max(lookedAt, measured) }

// Outcome is what a measurement proves.
type Outcome string

// The outcomes.
const (
	Within    Outcome = "within"
	Beyond    Outcome = "beyond"
	Undecided Outcome = "undecided" // too close to a limit for this uncertainty: measure again
	NoLimit   Outcome = "no_limit"  // nothing to judge it by
)

// Outcomes lists every outcome.
func Outcomes() []Outcome { return []Outcome{Within, Beyond, Undecided, NoLimit} }

// Rule is the decision rule: how far from a limit a value must be to prove
// anything.
type Rule string

// The rules. Guarded takes g = U, k = 2 (ISO 14253-1 in its editions of 1998
// and 2013); Guarded95 takes g = 1.6449 u, the one-sided 95 % point of the
// normal distribution (the edition of 2017 gives it as 1.65; from memory);
// Simple takes no guard (JCGM 106:2012, 8.2).
const (
	Guarded   Rule = "guarded"
	Guarded95 Rule = "guarded_95"
	Simple    Rule = "simple"
)

// Rules lists every rule, the default first.
func Rules() []Rule { return []Rule{Guarded, Guarded95, Simple} }

// SourceKind says where limits come from.
type SourceKind string

// The kinds of source. An example decides nothing outside a demonstration shop.
const (
	FromMaker    SourceKind = "maker"
	FromStandard SourceKind = "standard"
	FromShop     SourceKind = "shop"
	FromExample  SourceKind = "example"
	NoSource     SourceKind = "none"
)

// SourceKinds lists every kind of source.
func SourceKinds() []SourceKind {
	return []SourceKind{FromMaker, FromStandard, FromShop, FromExample, NoSource}
}

// Safety is what a failure of the part can do to people.
type Safety string

// The classes of safety.
const (
	Critical Safety = "critical" // brakes, steering, wheels, and what locks a wheel
	Major    Safety = "major"
	Ordinary Safety = "ordinary"
)

// Safeties lists every class of safety.
func Safeties() []Safety { return []Safety{Critical, Major, Ordinary} }

// Gauge is the state of the tool that measured.
type Gauge string

// The states of a gauge.
const (
	InCalibration    Gauge = "in_calibration"
	OutOfCalibration Gauge = "out_of_calibration"
	NoGauge          Gauge = "no_gauge" // none named, or one that was never calibrated
)

// Gauges lists every state of a gauge.
func Gauges() []Gauge { return []Gauge{InCalibration, OutOfCalibration, NoGauge} }

// Range is a least and a most, nil where there is none. Units may differ.
type Range struct {
	Min, Max *measure.Quantity
}

// Request is a value with what it is judged by. All units are of one dimension.
type Request struct {
	Value measure.Quantity
	// Uncertainty is U, expanded with k = 2; StandardUncertainty is u = U/2.
	// Give one of them; under the rule Simple neither is needed.
	Uncertainty         *measure.Quantity
	StandardUncertainty *measure.Quantity
	New, Service        Range
	Source              SourceKind // of the limits; "" is none
	Rule                Rule       // "" is Guarded
	// NearPercent is the share of the wear allowance left below which a part
	// is near its limit, 1 to 99; 0 stands for 10.
	NearPercent int64
	Safety      Safety // "" is Ordinary
	Demo        bool   // the shop is a demonstration, in which example limits decide
	Gauge       Gauge  // "" is NoGauge
	FromPhoto   bool   // a length taken from a picture
	// Indicative says that the way it was measured cannot decide.
	Indicative bool
}

// Verdict is what Judge finds, with its reasons.
type Verdict struct {
	Outcome Outcome
	// CountsAs is what to go by: Undecided counts as Beyond on a critical
	// part until it is settled; an indicative measurement counts as NoLimit,
	// but on a critical part as Beyond unless it came out Within.
	CountsAs Outcome
	// Grade is the grade the measurement decides, 0 to 3, or None.
	Grade Grade
	// Suggests is the grade it would give if it could decide.
	Suggests Grade
	// Indicative says that it decides nothing; IndicativeBecause says why.
	Indicative        bool
	IndicativeBecause []string
	// Guard is the g of the rule, in the unit of the value.
	Guard measure.Quantity
	// New and Service hold what follows for each pair of limits.
	New, Service Against
	// WearLeft is how much of the wear allowance is left, in percent, on the
	// side where least is; nil where a new and a service limit on one side
	// do not tell.
	WearLeft *float64
	// Settle says what would decide it; nil unless Outcome is Undecided.
	Settle  *Settle
	Reasons []string
	Working []string
}

// Against is a value against one pair of limits.
type Against struct {
	// Probability of conformity, 0 to 1; nil without limits or uncertainty.
	Probability *float64
	// Proven bounds what is proven within, Possible what is not proven
	// beyond: limit minus guard and limit plus guard, in the limit's unit.
	// Proven.Min above Proven.Max means that nothing can be proven within.
	Proven, Possible Range
}

// Settle is a gauge that would decide.
type Settle struct {
	// Uncertainty is the largest U (k = 2) that decides, if the value stays;
	// nil where the value is on the limit itself, which none can decide.
	Uncertainty *measure.Quantity
	// Resolution is a usual one (1, 2, 5, 10, …) that takes at most half of
	// that U (resolution/√3; common practice, no source).
	Resolution *measure.Quantity
}
