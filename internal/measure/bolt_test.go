package measure_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

func thread(t failing, text string) measure.Thread {
	t.Helper()
	return must[measure.Thread](t)(measure.ParseThread(text))
}

func TestStressArea(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{
		"M5": 14.18, "M6": 20.12, "M8": 36.61, "m10": 57.99, "M12": 84.27, "M10x1.25": 61.20, "M12 × 1,25": 92.07,
		"M12-1.25": 92.07, "M10x1.25-6g": 61.20, "M10-6H": 57.99,
		// square inches in ASME B1.1, from memory: 0.0318, 0.0524, 0.0364
		"1/4-20": 0.0318 * 645.16, "5/16-18 UNC": 0.0524 * 645.16, "1/4-28UNF": 0.0364 * 645.16,
	} {
		tol := 0.005
		if text[0] != 'M' && text[0] != 'm' {
			tol = 0.00005 * 645.16
		}
		near(t, text, thread(t, text).StressArea(), want, tol)
	}
}

// TestStressAreaIsBetweenDiameters is the definition: the circle of the mean
// of pitch diameter and root diameter, d2 = d − 3H/4, d3 = d − 17H/12, H =
// P√3/2 (ISO 724, ISO 898-1).
func TestStressAreaIsBetweenDiameters(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		th := measure.Thread{Diameter: rapid.Float64Range(2, 40).Draw(rt, "d"), Pitch: rapid.Float64Range(0.2, 0.9).Draw(rt, "P")}
		h := th.Pitch * math.Sqrt(3) / 2
		mean := (th.Diameter - 3*h/4 + th.Diameter - 17*h/12) / 2
		if want := math.Pi / 4 * mean * mean; math.Abs(th.StressArea()-want) > 1e-4*want {
			rt.Fatalf("%v: %v, want %v", th, th.StressArea(), want)
		}
	})
}

// TestLoadTableAgainstStress holds each tabled proof load against stress times
// area, from which the standard rounded it.
func TestLoadTableAgainstStress(t *testing.T) {
	t.Parallel()
	tabled := 0
	for _, size := range []string{"M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16"} {
		th := thread(t, size)
		for _, c := range measure.PropertyClasses() {
			l := must[measure.Loads](t)(th.Loads(c))
			stress := must[float64](t)(c.ProofStress(th))
			if want := stress * th.StressArea(); math.Abs(float64(l.Proof)-want) > 0.005*want+50 {
				t.Errorf("%s %s: %d N, stress × area is %.0f", size, c, l.Proof, want)
			}
			if l.Tabled != (l.Tensile > 0) || l.Tabled && l.Tensile <= l.Proof {
				t.Errorf("%s %s: %+v", size, c, l)
			}
			if l.Tabled {
				tabled++
			}
		}
	}
	if tabled != 24 {
		t.Errorf("%d loads are tabled", tabled)
	}
	if l := must[measure.Loads](t)(thread(t, "M10x1.25").Loads("8.8")); l.Tabled || l.Proof < 35000 {
		t.Errorf("a fine thread: %+v", l)
	}
	if l := must[measure.Loads](t)(thread(t, "M10x1.5").Loads("8.8")); !l.Tabled || l.Proof != 33700 {
		t.Errorf("the coarse pitch written out: %+v", l)
	}
	if s := must[float64](t)(measure.PropertyClass("8.8").ProofStress(thread(t, "M20"))); s != 600 {
		t.Errorf("8.8 above M16: %v", s)
	}
}

func TestTightening(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		j := measure.Tightening{Thread: thread(rt, "M8"), Factor: rapid.Float64Range(0.1, 0.3).Draw(rt, "K")}
		torque := rapid.Float64Range(1, 100).Draw(rt, "T")
		preload := must[float64](rt)(j.Preload(torque))
		if back := must[float64](rt)(j.Torque(preload)); math.Abs(back-torque) > 1e-9 {
			rt.Fatalf("%v comes back as %v", torque, back)
		}
		j.Factor *= 1.5
		if slippery := must[float64](rt)(j.Preload(torque)); slippery >= preload {
			rt.Fatal("more friction leaves more preload")
		}
	})
}

// frictionByHand is the reference: an inclined plane wrapped round the mean
// thread, whose flanks lean 30°, and a ring that rubs.
func frictionByHand(th measure.Thread, mu, head, ring, preload float64) float64 {
	d2 := th.Diameter - 0.6495*th.Pitch
	slope := th.Pitch / (math.Pi * d2)
	wedge := mu / math.Cos(math.Pi/6)
	return preload * (d2/2*(slope+wedge)/(1-slope*wedge) + head*ring/2) / 1000
}

func TestFriction(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		th := thread(rt, rapid.SampledFrom([]string{"M6", "M8", "M10", "M12x1.25"}).Draw(rt, "thread"))
		mu, head := rapid.Float64Range(0.05, 0.2).Draw(rt, "mu"), rapid.Float64Range(0.05, 0.2).Draw(rt, "head")
		f := measure.Friction{Thread: th, InThread: mu, UnderHead: head, Bearing: 1.4 * th.Diameter}
		got := must[measure.Shares](rt)(f.Torque(20_000))
		want := frictionByHand(th, mu, head, f.Bearing, 20_000)
		// The rounded form leaves out the product of slope and friction.
		if math.Abs(got.Total()-want) > 0.015*want || got.Total() > want {
			rt.Fatalf("%+v: %v, want %v", th, got.Total(), want)
		}
	})
	m10 := measure.Friction{Thread: thread(t, "M10"), InThread: 0.14, UnderHead: 0.14, Bearing: 13}
	got := must[measure.Shares](t)(m10.Torque(25_000))
	near(t, "stretch", got.Stretch, 5.9625, 1e-4)
	near(t, "thread", got.Thread, 18.227, 1e-3)
	near(t, "head", got.Head, 22.75, 1e-4)
	for _, f := range []measure.Friction{
		{m10.Thread, 0, 0.1, 13}, {m10.Thread, 0.1, 0.6, 13}, {m10.Thread, 0.1, 0.1, 9}, {m10.Thread, 0.1, 0.1, 50}, {m10.Thread, math.NaN(), 0.1, 13},
	} {
		if fails(f.Torque(1)) == nil {
			t.Errorf("%+v is taken", f)
		}
	}
}

func TestBoltRefusals(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "M", "M9.7", "X10", "10", "M10x", "M10xx1", "M10x0", "1/4", "1/0-20", "1/4-0", "M10x9", "M10x1.25-1.5", "M200x4", "a-20"} {
		if _, err := measure.ParseThread(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
	_, err := thread(t, "M8").Loads("7.7")
	var e *measure.Error
	if !errors.As(err, &e) || e.Code != measure.NameUnknown {
		t.Errorf("got %v", err)
	}
	for _, k := range []float64{0, 0.01, 0.6, math.NaN()} {
		j := measure.Tightening{Thread: thread(t, "M8"), Factor: k}
		if fails(j.Torque(1)) == nil || fails(j.Preload(1)) == nil {
			t.Errorf("a factor of %v is taken", k)
		}
	}
}

func FuzzParseThread(f *testing.F) {
	for _, seed := range []string{"M10", "M10x1.25", "5/16-18", "1 1/4-7", "M1.6", "-", "M-5"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		th, err := measure.ParseThread(text)
		if err == nil && !(th.StressArea() > 0 && th.StressArea() < 8000) {
			t.Fatalf("%q: %+v", text, th)
		}
	})
}
