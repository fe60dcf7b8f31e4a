package figures

import (
	"math"
	"slices"

	"benchtag/internal/chance"
)

// Observation is how long something was watched, and whether what was waited
// for came at its end. One that did not come is censored: it was still to come
// when the watching stopped.
type Observation struct {
	Time  float64 // 0 or more, in any one unit
	Event bool
}

// Transform is the scale on which the interval of a survival is symmetric.
type Transform string

// The transforms: log(−log S), which stays inside 0 and 1 (J. D. Kalbfleisch and
// R. L. Prentice), log S, and S itself.
const (
	LogLog Transform = "log_log"
	Log    Transform = "log"
	Plain  Transform = "plain"
)

// Transforms lists every transform, the default first.
func Transforms() []Transform { return []Transform{LogLog, Log, Plain} }

// SurvivalStep is the curve from one time of events on.
type SurvivalStep struct {
	Time     Number `json:"time"`
	AtRisk   int64  `json:"at_risk"` // just before; one censored at this very time is among them
	Events   int64  `json:"events"`
	Survival Number `json:"survival"` // the product of 1 − events/at risk
	// Error is the standard error by Greenwood: S √Σ d/(n(n−d)); nil, with
	// the interval, where nothing survives.
	Error *Number `json:"se"`
	Low   *Number `json:"low"`
	High  *Number `json:"high"`
}

// Curve is the Kaplan–Meier estimate.
type Curve struct {
	Watched  int64          `json:"watched"`
	Events   int64          `json:"events"`
	Censored int64          `json:"censored"`
	Steps    []SurvivalStep `json:"steps"`
	// Median is the first time at which survival is a half or less; nil where
	// it stays above.
	Median *Number `json:"median"`
}

// Survival estimates the share for which the event is still to come, over time
// (E. L. Kaplan and P. Meier 1958; from memory). No observations give an empty
// curve. Faults: figures.time_outside, figures.rows_too_many,
// figures.level_outside, figures.transform_unknown.
func Survival(all []Observation, level Level, t Transform) (Curve, error) {
	err := checkObservations("times", all)
	switch {
	case err != nil:
		return Curve{}, err
	case level.check() != nil:
		return Curve{}, level.check()
	case !slices.Contains(Transforms(), t):
		return Curve{}, invalid("transform_unknown", "/interval", "Choose log_log, log or plain.")
	}
	out := Curve{Watched: int64(len(all)), Steps: []SurvivalStep{}}
	survival, sum := 1.0, 0.0
	for _, k := range tallies(all, nil) {
		out.Events += k.events[0]
		out.Censored += k.censored
		if k.events[0] == 0 {
			continue
		}
		d, n := float64(k.events[0]), float64(k.atRisk[0])
		survival *= 1 - d/n
		sum += d / (n * (n - d))
		out.Steps = append(out.Steps, stepOf(k, survival, sum).between(level, t, sum))
		if out.Median == nil && survival <= .5+1e-12 {
			out.Median = some(k.time)
		}
	}
	return out, nil
}

func stepOf(k tally, survival, sum float64) SurvivalStep {
	s := SurvivalStep{Time: Number(k.time), AtRisk: k.atRisk[0], Events: k.events[0], Survival: Number(survival)}
	if survival > 0 {
		s.Error = some(survival * math.Sqrt(sum))
	}
	return s
}

// between puts in the interval, with sum Greenwood's Σ d/(n(n−d)).
func (s SurvivalStep) between(level Level, t Transform, sum float64) SurvivalStep {
	survival, root := float64(s.Survival), chance.NormalQuantile(level.upper())*math.Sqrt(sum)
	if survival <= 0 {
		return s
	}
	low, high := survival*(1-root), survival*(1+root)
	switch t {
	case Log:
		low, high = survival*math.Exp(-root), survival*math.Exp(root)
	case LogLog:
		c := math.Exp(root / math.Log(survival))
		low, high = math.Pow(survival, 1/c), math.Pow(survival, c)
	}
	s.Low, s.High = some(max(0, low)), some(min(1, high))
	return s
}

// tally is what happened at one time, in one or two groups.
type tally struct {
	time     float64
	events   [2]int64
	atRisk   [2]int64
	censored int64
}

// watched is an observation with its group.
type watched struct {
	Observation
	group int
}

// tallies counts by time, first to last. Those censored at a time are at risk
// at it.
func tallies(a, b []Observation) []tally {
	var all []watched
	for group, observations := range [2][]Observation{a, b} {
		for _, o := range observations {
			all = append(all, watched{o, group})
		}
	}
	slices.SortStableFunc(all, func(x, y watched) int { return compareFloats(x.Time, y.Time) })
	atRisk := [2]int64{int64(len(a)), int64(len(b))}
	var out []tally
	for i := 0; i < len(all); {
		k := tally{time: all[i].Time, atRisk: atRisk}
		for ; i < len(all) && all[i].Time == k.time; i++ {
			atRisk[all[i].group]--
			if all[i].Event {
				k.events[all[i].group]++
			} else {
				k.censored++
			}
		}
		out = append(out, k)
	}
	return out
}

func compareFloats(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func checkObservations(list string, all []Observation) error {
	for i, o := range all {
		if !(o.Time >= 0) || math.IsInf(o.Time, 1) {
			return invalid("time_outside", row(list, i, "time"), "Give a time of nought or more.")
		}
	}
	return bounded("/"+list, len(all))
}

// GroupCount is what a group had, and what it would have had if both were alike.
type GroupCount struct {
	Watched  int64  `json:"watched"`
	Observed int64  `json:"observed"`
	Expected Number `json:"expected"`
}

// Comparison is the log-rank test of two groups.
type Comparison struct {
	First  GroupCount `json:"first"`
	Second GroupCount `json:"second"`
	// Variance of observed minus expected (hypergeometric).
	Variance Number `json:"variance"`
	// ChiSquare is (O − E)²/V with one degree of freedom, and P how likely as
	// much or more is among groups that are alike; nil without any variance.
	ChiSquare *Number `json:"chi_square"`
	P         *Number `json:"p"`
	// Terms are what was added up, for the working.
	Terms []Term `json:"-"`
}

// Term is what one time of events adds.
type Term struct {
	Time                  Number
	Events, AtRisk, First int64 // in both groups; at risk in both; at risk in the first
	Expected, Variance    Number
}

// Compare tests whether two groups differ in how soon the event comes (the
// log-rank test of N. Mantel 1966; from memory): at each time of events, with d
// of n at risk, n1 of them in the first group, expected d n1/n, variance
// d (n1/n)(1 − n1/n)(n − d)/(n − 1). Faults as of Survival.
func Compare(first, second []Observation) (Comparison, error) {
	err := checkObservations("times", first)
	if err == nil {
		err = checkObservations("against", second)
	}
	if err != nil {
		return Comparison{}, err
	}
	var variance float64
	var expected [2]float64
	var observed [2]int64
	var terms []Term
	for _, k := range tallies(first, second) {
		t, other := k.term()
		expected[0] += float64(t.Expected)
		expected[1] += other
		variance += float64(t.Variance)
		observed[0] += k.events[0]
		observed[1] += k.events[1]
		if t.Events > 0 {
			terms = append(terms, t)
		}
	}
	out := Comparison{First: GroupCount{int64(len(first)), observed[0], Number(expected[0])},
		Second: GroupCount{int64(len(second)), observed[1], Number(expected[1])}, Variance: Number(variance), Terms: terms}
	if variance > 0 {
		square := (float64(observed[0]) - expected[0]) * (float64(observed[0]) - expected[0]) / variance
		out.ChiSquare, out.P = some(square), some(chance.ChiSquareTail(square, 1))
	}
	return out, nil
}

// term gives what a time adds, and what is expected of the second group.
func (k tally) term() (t Term, other float64) {
	d, n, n1 := float64(k.events[0]+k.events[1]), float64(k.atRisk[0]+k.atRisk[1]), float64(k.atRisk[0])
	t = Term{Time: Number(k.time), Events: k.events[0] + k.events[1], AtRisk: k.atRisk[0] + k.atRisk[1], First: k.atRisk[0], Expected: Number(d * n1 / n)}
	if n > 1 {
		t.Variance = Number(d * (n1 / n) * (1 - n1/n) * (n - d) / (n - 1))
	}
	return t, d * (n - n1) / n
}
