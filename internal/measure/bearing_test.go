package measure_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

func classes(t failing, bore, clearance float64) (names []string) {
	t.Helper()
	_, all, err := measure.ClearanceClasses(bore)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		if c.Fits(clearance) {
			names = append(names, c.Class)
		}
	}
	return names
}

func TestClearanceClasses(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		bore, clearance float64
		want            []string
	}{
		{25, 16, []string{"CN", "C3"}}, {25, 12, []string{"CN"}}, {25, 21, []string{"C3"}}, {25, 0, nil}, {25, 60, nil},
		{30, 5, []string{"C2", "CN"}}, {35, 5, []string{"C2"}}, {17, 11, []string{"CN", "C3"}}, {50, 23, []string{"CN", "C3"}},
		{10, 7, []string{"C2", "CN"}}, {10.001, 25, []string{"C3", "C4", "C5"}},
	} {
		if diff := cmp.Diff(tt.want, classes(t, tt.bore, tt.clearance)); diff != "" {
			t.Errorf("%v mm, %v µm: %s", tt.bore, tt.clearance, diff)
		}
	}
	for _, bore := range []float64{0, 2.5, 121, math.NaN()} {
		_, _, err := measure.ClearanceClasses(bore)
		var e *measure.Error
		if !errors.As(err, &e) || e.Code != measure.TableEnds {
			t.Errorf("%v: %v", bore, err)
		}
	}
}

// TestClearanceLaws holds what any such table must show: a later class and a
// larger bore are never tighter, classes overlap, and what fits two classes
// fits those between.
func TestClearanceLaws(t *testing.T) {
	t.Parallel()
	var last []measure.ClearanceRange
	for _, bore := range []float64{5, 15, 20, 28, 35, 45, 60, 75, 90, 110} {
		step, all, err := measure.ClearanceClasses(bore)
		if err != nil || !(bore > step.Over && bore <= step.UpTo) {
			t.Fatal(bore, step, err)
		}
		for i, c := range all {
			if c.Min >= c.Max || i > 0 && (c.Min < all[i-1].Min || c.Max <= all[i-1].Max || c.Min > all[i-1].Max) {
				t.Errorf("%v: %v after %v", bore, c, all[max(i-1, 0)])
			}
			if last != nil && (c.Min < last[i].Min || c.Max < last[i].Max) {
				t.Errorf("%v: %v is tighter than in the smaller bore", bore, c)
			}
		}
		last = all
	}
	rapid.Check(t, func(rt *rapid.T) {
		got := classes(rt, rapid.Float64Range(2.6, 120).Draw(rt, "bore"), float64(rapid.Int64Range(0, 150).Draw(rt, "um")))
		all := []string{"C2", "CN", "C3", "C4", "C5"}
		if len(got) > 0 {
			first := slices.Index(all, got[0])
			if !slices.Equal(got, all[first:first+len(got)]) {
				rt.Fatalf("%v leaves one out", got)
			}
		}
	})
}

func TestLife(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name        string
		bearing     measure.RatedBearing
		want, hours float64 // at 1500 revolutions per minute
	}{
		{"ball 16 over 2", measure.RatedBearing{Rating: 16_000, Load: 2_000}, 512, 5688.888889},
		{"ball 30 over 5", measure.RatedBearing{Rating: 30_000, Load: 5_000}, 216, 2400},
		{"roller 30 over 5", measure.RatedBearing{Rating: 30_000, Load: 5_000, Roller: true}, 392.498048, 4361.089423},
		{"99 in a hundred", measure.RatedBearing{Rating: 30_000, Load: 5_000, Reliability: 99}, 54, 600},
		{"90 in a hundred", measure.RatedBearing{Rating: 30_000, Load: 5_000, Reliability: 90}, 216, 2400},
	} {
		l := must[measure.Life](t)(tt.bearing.Life())
		near(t, tt.name, l.Revolutions, tt.want, 1e-4)
		near(t, tt.name+" in hours", must[float64](t)(l.Hours(1500)), tt.hours, 1e-2)
	}
	for _, b := range []measure.RatedBearing{{}, {Rating: 1}, {Load: 1}, {Rating: 1e9, Load: 1}, {Rating: 2, Load: 1, Reliability: 91}, {Rating: math.NaN(), Load: 1}} {
		if fails(b.Life()) == nil {
			t.Errorf("%+v is taken", b)
		}
	}
	if fails(measure.Life{Revolutions: 1}.Hours(0)) == nil {
		t.Error("a bearing at rest has hours")
	}
}

// TestLifeByMultiplying is the reference: a ratio cubed by hand; a roller's
// tenth power is the cube of its life.
func TestLifeByMultiplying(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		c, p := rapid.Float64Range(1000, 100_000).Draw(rt, "C"), rapid.Float64Range(500, 50_000).Draw(rt, "P")
		ball := must[measure.Life](rt)(measure.RatedBearing{Rating: c, Load: p}.Life()).Revolutions
		roller := must[measure.Life](rt)(measure.RatedBearing{Rating: c, Load: p, Roller: true}.Life()).Revolutions
		q := c / p
		ten := 1.0
		for range 10 {
			ten *= q
		}
		if math.Abs(ball-q*q*q) > 1e-9*ball || math.Abs(roller*roller*roller-ten) > 1e-9*ten {
			rt.Fatalf("%v %v for %v", ball, roller, q)
		}
		half := must[measure.Life](rt)(measure.RatedBearing{Rating: c, Load: 2 * p}.Life()).Revolutions
		if math.Abs(half*8-ball) > 1e-9*ball {
			rt.Fatalf("twice the load leaves %v of %v", half, ball)
		}
	})
}
