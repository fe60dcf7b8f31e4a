package flow_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/flow"
)

// matters are the fields that are no evidence: they say what is at stake, or
// which row is meant. Every other plain field is evidence.
const matters = ` Row.ID Row.Name Complaint.AnswerStruck TeardownFacts.MissingTerms TeardownFacts.Wanted TeardownFacts.Opened
 Finding.Struck Finding.Graded Finding.Grade Finding.Measured Finding.Broken Finding.PieceMissing Finding.Dangerous
 Tag.Struck Line.State Line.Worked Line.NeedsPart Line.Outside OfferFacts.Open OfferFacts.Flagged Deposit.Asked
 Hold.Active Hold.Kind Fastening.Critical Fastening.HoldPoint Fastening.Struck
 FirstStartFacts.EngineOpened FirstStartFacts.OilOut FirstStartFacts.CircuitOpen FirstStartFacts.PressureInQuestion
 PreRide.Check DebrisFacts.Asked NotRunFacts.Stated BillFacts.Present OldParts.Replaced OldParts.ClaimPossible HandOver.RecheckNeeded
`

func evidence(f *flow.Facts) []leaf {
	var out []leaf
	for _, l := range leaves(f) {
		if !slices.Contains(strings.Fields(matters), l.path) {
			out = append(out, l)
		}
	}
	return out
}

func TestLessEvidenceNeverAllowsMore(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		less := clone(f)
		for range rapid.IntRange(1, 3).Draw(t, "times") {
			l := rapid.SampledFrom(evidence(&less)).Draw(t, "evidence")
			l.v.SetZero()
		}
		noMoreAllowed(t, f, less)
	})
}

func TestEachPieceOfEvidenceAlone(t *testing.T) {
	t.Parallel()
	for _, start := range starts() {
		f := start()
		n := len(evidence(&f))
		if n == 0 {
			t.Fatal("no evidence found")
		}
		for i := range n {
			less := clone(f)
			evidence(&less)[i].v.SetZero()
			noMoreAllowed(t, f, less)
		}
	}
}

type fataler interface{ Fatalf(string, ...any) }

// noMoreAllowed checks the law in two strengths: no move becomes free, and no
// place and row that asked for something falls silent. The one exception is
// the word owed to the customer about a self-check: it falls silent when the
// check itself is taken away, which a fastening gate then stands for.
func noMoreAllowed(t fataler, more, less flow.Facts) {
	for _, s := range flow.Stages() {
		for _, o := range flow.Possible(s, more) {
			_, after, err := flow.Next(s, o.Move, less)
			if err != nil || len(o.Unmet) > 0 && len(after) == 0 {
				t.Fatalf("%s x %s: was stopped by %v, free with less evidence (%v)", s, o.Move, codes(o.Unmet), err)
			}
			for _, g := range o.Unmet {
				same := func(h fault.Gate) bool { return h.Where == g.Where && h.Subject == g.Subject }
				if g.Code != "closed.self_check_not_told" && !slices.ContainsFunc(after, same) {
					t.Fatalf("%s x %s: %s is gone with less evidence; left: %v", s, o.Move, g.Code, codes(after))
				}
			}
		}
	}
}

// starts are jobs on which much is free, each with little to spare somewhere
// else, so that one change is felt.
func starts() []func() flow.Facts {
	return []func() flow.Facts{good, boxed, simple, warned, lone, loose, unseen, func() flow.Facts { return flow.Facts{} }}
}

// warned is a job whose owner rides away against the warning.
func warned() flow.Facts {
	f := good()
	f.Findings[0].Settled = flow.SettledOwnerInsists
	f.Findings[0].Warning = flow.Warning{Words: true, Time: true, Witness: true}
	f.RoadTest = flow.RoadTestFacts{Kind: flow.RunStand, Reason: "not to be ridden", Outcome: flow.OutcomeOK}
	return f
}

// lone is a job in a one-person shop.
func lone() flow.Facts {
	f := good()
	f.OnePersonShop, f.HandOver.SelfCheckTold = true, true
	f.Fastenings[0].CheckedBy, f.Fastenings[0].SelfReinspection = "ann", true
	return f
}

// loose is a job with a piece still to be looked for, and says so.
func loose() flow.Facts {
	f := good()
	f.Findings[0] = flow.Finding{Row: row("f1"), PieceMissing: true, OpenLook: true}
	return f
}

// unseen is a job on which nobody looked at one part, and the customer knows.
func unseen() flow.Facts {
	f := good()
	f.Reached[0] = flow.Reached{Row: row("r1"), Disclosed: "cases stay shut"}
	return f
}

// values gives the values a leaf may be changed to.
func values(v reflect.Value) []reflect.Value {
	var out []reflect.Value
	switch v.Kind() {
	case reflect.Bool:
		out = append(out, reflect.ValueOf(!v.Bool()))
	case reflect.Int:
		for g := range 5 {
			out = append(out, reflect.ValueOf(g))
		}
	default:
		for _, w := range words(v.Type()) {
			out = append(out, reflect.ValueOf(w).Convert(v.Type()))
		}
	}
	return out
}

// owner is the type a leaf belongs to.
func owner(l leaf) string {
	name, _, _ := strings.Cut(l.path, ".")
	if name == "Warning" {
		return "Finding"
	}
	return name
}

// Each single change of each start, and each pair of changes inside one row
// or group, is held against the reference.
func TestSmallChangesExhausted(t *testing.T) {
	t.Parallel()
	cases := 0
	for _, start := range starts() {
		f := start()
		n := len(leaves(&f))
		for i := range n {
			for _, v := range values(leaves(&f)[i].v) {
				one := clone(f)
				own := leaves(&one)
				own[i].v.Set(v)
				matchKnown(t, one)
				cases++
				for j := i + 1; j < n; j++ {
					if owner(own[j]) != owner(own[i]) || owner(own[i]) == "Row" || owner(own[i]) == "PreRide" {
						continue
					}
					for _, w := range values(own[j].v) {
						two := clone(one)
						leaves(&two)[j].v.Set(w)
						matchKnown(t, two)
						cases++
					}
				}
			}
		}
	}
	if cases < 1000 {
		t.Fatalf("only %d cases", cases)
	}
	t.Logf("%d cases", cases)
}

// matchKnown holds the moves that exist against the reference.
func matchKnown(t *testing.T, f flow.Facts) {
	t.Helper()
	for _, s := range flow.Stages() {
		for _, o := range flow.Possible(s, f) {
			if _, ok := allowed(s, o.Move, f); ok != (len(o.Unmet) == 0) {
				t.Fatalf("%s x %s: reference says %v, gates %v", s, o.Move, ok, codes(o.Unmet))
			}
		}
	}
}
