package grade_test

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

// Every small case there is: whole micrometres, all limits that nest, each with
// each uncertainty and rule, against the definition.
func TestSmallCases(t *testing.T) {
	t.Parallel()
	um := make([]*measure.Quantity, 7)
	for i := range um {
		um[i] = opt(fmt.Sprintf("%d um", i))
	}
	limits := smallLimits(um)
	seen := map[grade.Grade]int{}
	for y := range um {
		for u := range 4 {
			for _, pair := range limits {
				for _, rule := range grade.Rules() {
					r := grade.Request{Value: *um[y], Uncertainty: um[u], New: pair[0], Service: pair[1], Rule: rule, NearPercent: 40,
						Source: grade.FromMaker, Gauge: grade.InCalibration}
					v, err := grade.Judge(r)
					if err != nil {
						t.Fatalf("%+v: %v", r, err)
					}
					outcome, g := naive(r)
					if v.Outcome != outcome || v.Grade != g {
						t.Fatalf("y = %d, U = %d, %s, %v: %s, %d; by the definition %s, %d", y, u, rule, pair, v.Outcome, v.Grade, outcome, g)
					}
					seen[g]++
				}
			}
		}
	}
	for _, g := range []grade.Grade{grade.None, grade.AsNew, grade.Serviceable, grade.NearLimit, grade.BeyondLimit} {
		if seen[g] == 0 {
			t.Errorf("no case of grade %d", g)
		}
	}
}

// smallLimits lists pairs of new and service limits, from none at all to both on
// both sides.
func smallLimits(um []*measure.Quantity) [][2]grade.Range {
	var all [][2]grade.Range
	for top := 3; top < len(um); top++ {
		for newTop := 2; newTop <= top; newTop++ {
			all = append(all,
				[2]grade.Range{{}, {Max: um[top]}},
				[2]grade.Range{{Max: um[newTop]}, {Max: um[top]}},
				[2]grade.Range{{Max: um[newTop]}, {}},
				[2]grade.Range{{Min: um[1], Max: um[newTop]}, {Max: um[top]}},
				[2]grade.Range{{Min: um[1], Max: um[newTop]}, {Min: um[0], Max: um[top]}},
				[2]grade.Range{{Min: um[newTop]}, {Min: um[1]}},
				[2]grade.Range{{Min: um[newTop], Max: um[top]}, {Min: um[1]}},
				[2]grade.Range{{}, {Min: um[1], Max: um[top]}})
		}
	}
	return append(all, [2]grade.Range{})
}

// The bounds that are shown are the bounds that are used: a value on them is on
// the good side of doubt, a nanometre further it is not.
func TestShownBounds(t *testing.T) {
	t.Parallel()
	cases := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		r.New, r.Service.Min = grade.Range{}, nil
		if r.Service.Max == nil {
			r.Service.Max = opt("1900 um")
		}
		v := must(t, r)
		for _, c := range []struct {
			at          *measure.Quantity
			here, there grade.Outcome
		}{{v.Service.Proven.Max, grade.Within, grade.Undecided}, {v.Service.Possible.Max, grade.Undecided, grade.Beyond}} {
			on, past := r, r
			on.Value = *c.at
			past.Value = *moved(t, *c.at, 1)
			if r.Rule == grade.Simple || rat(*r.Uncertainty).Sign() == 0 {
				continue // there is nothing between
			}
			cases++
			if a, b := must(t, on).Outcome, must(t, past).Outcome; a != c.here || b != c.there {
				t.Fatalf("%v: at %v %s, past it %s", r, c.at, a, b)
			}
		}
	})
	if cases == 0 {
		t.Error("no bounds were tried")
	}
}

// moved adds nanometres.
func moved(t *rapid.T, q measure.Quantity, by int64) *measure.Quantity {
	nm := rat(q)
	nm.Add(nm, big.NewRat(by, 1))
	got, err := measure.ParseValue(new(big.Rat).Quo(nm, big.NewRat(1000, 1)).FloatString(3), string(measure.Micrometre))
	if err != nil {
		t.Fatal(err)
	}
	return &got
}

// The resolution proposed takes at most half of the uncertainty, and the next
// larger usual one would take more.
func TestProposedResolution(t *testing.T) {
	t.Parallel()
	cases := 0
	rapid.Check(t, func(t *rapid.T) {
		v := must(t, drawn(t))
		if v.Settle == nil || v.Settle.Resolution == nil {
			return
		}
		cases++
		d, _ := rat(*v.Settle.Resolution).Float64()
		u, _ := rat(*v.Settle.Uncertainty).Float64()
		if d/math.Sqrt(3) > u/2*(1+1e-9) || 2.5*d/math.Sqrt(3) <= u/2*(1-1e-9) {
			t.Fatalf("resolution %v for U = %v", v.Settle.Resolution, v.Settle.Uncertainty)
		}
	})
	if cases == 0 {
		t.Error("no case had one")
	}
}

// Every word of every list is taken, and nothing else.
func TestWords(t *testing.T) {
	t.Parallel()
	request := func() grade.Request {
		return sound("0.05 mm", "0.01 mm", grade.Range{}, between("", "0.1 mm"))
	}
	accept := func(kind, word string, r grade.Request, want bool) {
		t.Helper()
		if _, err := grade.Judge(r); (err == nil) != want {
			t.Errorf("%s %q: %v", kind, word, err)
		}
	}
	for _, w := range append(grade.SourceKinds(), "", "rumour") {
		r := request()
		r.Source = w
		accept("source", string(w), r, w != "rumour")
	}
	for _, w := range append(grade.Rules(), "", "relaxed") {
		r := request()
		r.Rule = w
		accept("rule", string(w), r, w != "relaxed")
	}
	for _, w := range append(grade.Safeties(), "", "mild") {
		r := request()
		r.Safety = w
		accept("safety", string(w), r, w != "mild")
	}
	for _, w := range append(grade.Gauges(), "", "new") {
		r := request()
		r.Gauge = w
		accept("gauge", string(w), r, w != "new")
	}
}

// No request gives a deciding grade of an indicative measurement, whatever else
// it says.
func TestIndicativeNeverDecides(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		r.Source = rapid.SampledFrom(grade.SourceKinds()).Draw(t, "source")
		r.Gauge = rapid.SampledFrom(grade.Gauges()).Draw(t, "gauge")
		r.Demo, r.FromPhoto, r.Indicative = rapid.Bool().Draw(t, "demo"), rapid.Bool().Draw(t, "photo"), rapid.Bool().Draw(t, "indicative")
		v := must(t, r)
		limits := r.New != (grade.Range{}) || r.Service != (grade.Range{})
		want := r.FromPhoto || r.Indicative || r.Gauge != grade.InCalibration || limits && (r.Source == grade.NoSource) || r.Source == grade.FromExample && !r.Demo
		if v.Indicative != want || want && v.Grade != grade.None || want != (len(v.IndicativeBecause) > 0) {
			t.Fatalf("%+v: %+v", r, v)
		}
		if v.CountsAs == grade.Within && (v.Indicative || v.Outcome != grade.Within) {
			t.Fatalf("counts as within: %+v", v)
		}
		if r.Safety == grade.Critical && v.Outcome != grade.Within && v.Outcome != grade.NoLimit && v.CountsAs != grade.Beyond {
			t.Fatalf("critical, %s, counts as %s", v.Outcome, v.CountsAs)
		}
	})
}
