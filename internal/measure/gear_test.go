package measure_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

// failing is what testing.T and rapid.T have in common.
type failing interface {
	Helper()
	Fatal(args ...any)
	Errorf(format string, args ...any)
}

func near(t failing, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9f, want %.9f", what, got, want)
	}
}

func must[T any](t failing) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// drawGear makes a gear that can be cut: not undercut far, tips not pointed.
func drawGear(t *rapid.T) measure.Gear {
	return measure.Gear{
		Teeth:    rapid.Int64Range(12, 120).Draw(t, "teeth"),
		Module:   rapid.Float64Range(0.5, 10).Draw(t, "module"),
		Pressure: rapid.SampledFrom([]float64{14.5, 17.5, 20, 22.5, 25}).Draw(t, "pressure"),
		Shift:    rapid.Float64Range(-0.3, 0.5).Draw(t, "shift"),
	}
}

// flank is the reference: a point of the right flank of a tooth that is
// centred on the y axis, at a distance from the gear's centre, made from the
// involute's own definition: the angle between a point and the flank's foot on
// the base circle is inv of the angle whose cosine is rb/r.
func flank(g measure.Gear, r float64) (x, y float64) {
	a := g.Pressure * math.Pi / 180
	rp := g.Module * float64(g.Teeth) / 2
	rb := rp * math.Cos(a)
	half := (math.Pi/2 + 2*g.Shift*math.Tan(a)) / float64(g.Teeth)
	at := math.Acos(rb / r)
	angle := half + (math.Tan(a) - a) - (math.Tan(at) - at)
	return r * math.Sin(angle), r * math.Cos(angle)
}

// spanByHand finds the span as the distance of two parallel lines, tangent to
// the outer flanks of k neighbouring teeth: such a line is tangent where the
// flank's normal, which touches the base circle, is at right angles to it. It
// scans flank points for the one furthest out along the normal.
func spanByHand(g measure.Gear, k int64) float64 {
	a := g.Pressure * math.Pi / 180
	rb := g.Module * float64(g.Teeth) / 2 * math.Cos(a)
	turn := math.Pi / float64(g.Teeth) * float64(k-1) // the last tooth's centre, seen from the middle of the span
	farthest := 0.0
	for r := rb; r < rb*2.2; r += rb * 0.00002 {
		x, y := flank(g, r)
		farthest = math.Max(farthest, x*math.Cos(turn)+y*math.Sin(turn))
	}
	return 2 * farthest
}

func TestSpanIsTheDistanceOfTangents(t *testing.T) {
	t.Parallel()
	for _, g := range []measure.Gear{{24, 3, 20, 0.4}, {20, 1, 20, 0}, {30, 2, 20, 0}, {25, 2.5, 20, -0.2}, {17, 1.75, 20, 0}, {40, 1, 14.5, 0.1}} {
		k := must[int64](t)(g.SpanTeeth())
		near(t, "span", must[float64](t)(g.Span(k)), spanByHand(g, k), 1e-4)
	}
}

// TestPinsRestOnTheFlanks holds that a pin at the place reckoned touches the
// flank and does not cut into it.
func TestPinsRestOnTheFlanks(t *testing.T) {
	t.Parallel()
	for _, g := range []measure.Gear{{20, 1, 20, 0}, {21, 1, 20, 0}, {30, 2, 20, 0.3}, {45, 2, 25, 0}} {
		pin := 1.728 * g.Module
		p := must[measure.Pins](t)(g.OverPins(pin))
		centre := (p.Over - pin) / 2
		if g.Teeth%2 == 1 {
			centre /= math.Cos(math.Pi / float64(2*g.Teeth))
		}
		// The gap next to the tooth on the y axis is centred half a pitch away.
		gap := math.Pi / float64(g.Teeth)
		cx, cy := centre*math.Sin(gap), centre*math.Cos(gap)
		closest := math.Inf(1)
		rb := g.Module * float64(g.Teeth) / 2 * math.Cos(g.Pressure*math.Pi/180)
		for r := rb; r < rb*1.6; r += rb * 0.00002 {
			x, y := flank(g, r)
			closest = math.Min(closest, math.Hypot(cx-x, cy-y))
		}
		near(t, "pin to flank", closest, pin/2, 1e-5*g.Module)
	}
}

func TestChordIsBetweenFlanks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		g := drawGear(rt)
		x, y := flank(g, g.Module*float64(g.Teeth)/2)
		c, err := g.Chordal(g.Module)
		if err != nil {
			rt.Fatal(err)
		}
		tip := g.Module*float64(g.Teeth)/2 + g.Module
		if math.Abs(c.Thickness-2*x) > 1e-9 || math.Abs(c.Height-(tip-y)) > 1e-9 {
			rt.Fatalf("%+v: got %+v, want %v %v", g, c, 2*x, tip-y)
		}
	})
}

// TestContactByWalking finds the path of contact as a length on the line of
// action: from where the large gear's tip meets it to where the small one's
// does.
func TestContactByWalking(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		small, large := drawGear(rt), drawGear(rt)
		small.Shift, large.Shift = 0, 0
		small.Teeth, large.Teeth = small.Teeth+18, large.Teeth+18
		m := measure.Mesh{Small: small, Large: large}
		got, err := m.Contact()
		if err != nil {
			rt.Fatal(err)
		}
		a := small.Pressure * math.Pi / 180
		r1 := small.Module * float64(small.Teeth) / 2
		r2 := small.Module * float64(large.Teeth) / 2
		// Points of the line of action, from the pitch point on: (s sin a, s cos a)
		// seen from it; the gears' centres lie at (-r1, 0) and (r2, 0).
		reach := func(r, sign float64) float64 {
			low, high := 0.0, 10*small.Module
			for range 80 {
				s := (low + high) / 2
				if math.Hypot(r+s*math.Sin(a)*sign, s*math.Cos(a)) < r+small.Module {
					low = s
				} else {
					high = s
				}
			}
			return high
		}
		path := reach(r1, 1) + reach(r2, 1)
		pitch := math.Pi * small.Module * math.Cos(a)
		if math.Abs(got.Path-path) > 1e-6 || math.Abs(got.Ratio-path/pitch) > 1e-6 || math.Abs(got.Centres-r1-r2) > 1e-6 {
			rt.Fatalf("got %+v, want path %v", got, path)
		}
	})
}

func TestGearLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		g := drawGear(rt)
		k, err := g.SpanTeeth()
		if err != nil {
			rt.Fatal(err)
		}
		one := must[float64](rt)(g.Span(k))
		two := must[float64](rt)(g.Span(k + 1))
		pitch := must[float64](rt)(g.BasePitch())
		if math.Abs(two-one-pitch) > 1e-9 {
			rt.Fatalf("one more tooth adds %v, want %v", two-one, pitch)
		}
		bigger := g
		bigger.Module *= 2
		if double := must[float64](rt)(bigger.Span(k)); math.Abs(double-2*one) > 1e-9 {
			rt.Fatalf("twice the module spans %v, want %v", double, 2*one)
		}
		if loss := must[float64](rt)(measure.ThicknessLoss(g, 0.1)); loss <= 0.1 {
			rt.Fatalf("teeth lose %v, less than the span", loss)
		}
	})
}

func TestInvoluteAngleTurnsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		angle := rapid.Float64Range(0.5, 79).Draw(rt, "angle")
		inv := must[float64](rt)(measure.Involute(angle))
		if back := must[float64](rt)(measure.InvoluteAngle(inv)); math.Abs(back-angle) > 1e-9 {
			rt.Fatalf("%v comes back as %v", angle, back)
		}
	})
}

func TestShiftedMesh(t *testing.T) {
	t.Parallel()
	// Equal and opposite shifts leave the centres where they were.
	m := measure.Mesh{Small: measure.Gear{Teeth: 20, Module: 2, Pressure: 20, Shift: 0.3}, Large: measure.Gear{Teeth: 40, Shift: -0.3}}
	c := must[measure.Contact](t)(m.Contact())
	near(t, "centres", c.Centres, 60, 1e-9)
	near(t, "working angle", c.Working, 20, 1e-9)
	// z 12 and 24, m 3, x 0.6 and 0.36: aw 26.0886°, a 56.4999 mm (elements of
	// metric gear technology, table 4-3, from memory).
	m = measure.Mesh{Small: measure.Gear{Teeth: 12, Module: 3, Pressure: 20, Shift: 0.6}, Large: measure.Gear{Teeth: 24, Shift: 0.36}}
	c = must[measure.Contact](t)(m.Contact())
	near(t, "centres", c.Centres, 56.4999, 1e-4)
	near(t, "working angle", c.Working, 26.0886, 1e-4)
	m.Centres = c.Centres
	near(t, "given centres", must[measure.Contact](t)(m.Contact()).Working, c.Working, 1e-9)
}

func TestGearRefusals(t *testing.T) {
	t.Parallel()
	good := measure.Gear{Teeth: 20, Module: 2, Pressure: 20}
	for name, err := range map[string]error{
		"two teeth":        fails(measure.Gear{Teeth: 2, Module: 2, Pressure: 20}.BasePitch()),
		"no module":        fails(measure.Gear{Teeth: 20, Pressure: 20}.SpanTeeth()),
		"not a number":     fails(measure.Gear{Teeth: 20, Module: math.NaN(), Pressure: 20}.Span(3)),
		"pressure angle":   fails(measure.Gear{Teeth: 20, Module: 2, Pressure: 60}.OverPins(3)),
		"shift":            fails(measure.Gear{Teeth: 20, Module: 2, Pressure: 20, Shift: 3}.Chordal(2)),
		"no teeth spanned": fails(good.Span(0)),
		"all the way":      fails(good.Span(12)),
		"a rod":            fails(good.OverPins(21)),
		"a hair":           fails(good.OverPins(0.01)),
		"tip":              fails(good.Chordal(-1)),
		"angle":            fails(measure.Involute(90)),
		"involute":         fails(measure.InvoluteAngle(-1)),
		"loss":             fails(measure.ThicknessLoss(measure.Gear{}, 1)),
		"apart":            fails(measure.Mesh{Small: good, Large: good, Centres: 45}.Contact()),
		"inside each other": fails(measure.Mesh{Small: good, Large: good,
			Centres: 30}.Contact()),
		"tip inside": fails(measure.Mesh{Small: good, Large: good, TipSmall: 10}.Contact()),
		"one gear":   fails(measure.Mesh{Small: good}.Contact()),
	} {
		var e *measure.Error
		if !errors.As(err, &e) || e.Code != measure.FigureOutOfRange {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func fails[T any](_ T, err error) error { return err }

func FuzzGear(f *testing.F) {
	f.Add(int64(20), 2.0, 20.0, 0.0, 3.5)
	f.Add(int64(-1), math.Inf(1), math.NaN(), -1.0, 0.0)
	f.Fuzz(func(t *testing.T, teeth int64, module, pressure, shift, pin float64) {
		g := measure.Gear{Teeth: teeth, Module: module, Pressure: pressure, Shift: shift}
		if k, err := g.SpanTeeth(); err == nil && k >= 1 {
			if w, err := g.Span(k); err == nil && (math.IsNaN(w) || math.IsInf(w, 0)) {
				t.Fatalf("span %v", w)
			}
		}
		if p, err := g.OverPins(pin); err == nil && !(p.Over > pin) {
			t.Fatalf("over pins %v", p)
		}
		if c, err := (measure.Mesh{Small: g, Large: g}).Contact(); err == nil && !(c.Ratio > 0) {
			t.Fatalf("contact %v", c)
		}
	})
}

func BenchmarkOverPins(b *testing.B) {
	g := measure.Gear{Teeth: 31, Module: 2, Pressure: 20}
	for b.Loop() {
		if _, err := g.OverPins(3.456); err != nil {
			b.Fatal(err)
		}
	}
}
