package measure_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

func TestChainPitch(t *testing.T) {
	t.Parallel()
	for number, want := range map[string]float64{
		"04C": 6.35, "05B": 8, "06B": 9.525, "06C": 9.525, "08A": 12.7, "08B": 12.7, "10A": 15.875, "10B": 15.875, "12B": 19.05,
		"16B": 25.4, "20B": 31.75, "420": 12.7, "428H": 12.7, "520": 15.875, "525": 15.875, "530": 15.875, "630": 19.05, "219": 6.35,
	} {
		near(t, number, must[float64](t)(measure.ChainPitch(number)), want, 1e-12)
	}
	for _, number := range []string{"", "B", "08", "08D", "03B", "49A", "100", "799", "5200", "520x", "08b", "52OO"} {
		if fails(measure.ChainPitch(number)) == nil {
			t.Errorf("%q is taken", number)
		}
	}
}

// lengthByTangents is the reference: the points where the chain leaves the
// pitch circles, from plane geometry, and the share of each sprocket's teeth
// that lies in the chain.
func lengthByTangents(small, large, centres float64) float64 {
	r, rr := 1/(2*math.Sin(math.Pi/small)), 1/(2*math.Sin(math.Pi/large))
	// The sprockets' centres are (0, 0) and (C, 0); the large one is at 0. A
	// normal (nx, ny) of length 1 touches both at R n and (C, 0) + r n, where
	// nx C = R − r.
	nx := (rr - r) / centres
	ny := math.Sqrt(1 - nx*nx)
	run := math.Hypot(centres+r*nx-rr*nx, r*ny-rr*ny)
	angle := math.Atan2(ny, nx) // of the point of touch, seen from the line of centres
	return 2*run + large*(2*math.Pi-2*angle)/(2*math.Pi) + small*2*angle/(2*math.Pi)
}

func TestChainDrive(t *testing.T) {
	t.Parallel()
	d := measure.ChainDrive{Small: 20, Large: 63}
	l := must[measure.ChainLength](t)(d.Length(36))
	near(t, "approximate", l.Approximate, 114.801, 5e-4)
	near(t, "exact", l.Exact, 114.805, 5e-4)
	if l.Links != 116 {
		t.Errorf("%d links", l.Links)
	}
	c := must[measure.ChainCentres](t)(d.Centres(114))
	near(t, "approximate centres", c.Approximate, 35.592, 5e-4)
	even := must[measure.ChainLength](t)(measure.ChainDrive{Small: 20, Large: 20}.Length(30))
	near(t, "like sprockets", even.Exact, 80, 1e-9)
	if even.Links != 80 {
		t.Errorf("%d links for 80", even.Links)
	}
}

func TestChainLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		small := rapid.Int64Range(9, 40).Draw(rt, "n")
		large := small + rapid.Int64Range(0, 60).Draw(rt, "more")
		centres := rapid.Float64Range(float64(large)*0.4+10, 100).Draw(rt, "C")
		d := measure.ChainDrive{Small: small, Large: large}
		l := must[measure.ChainLength](rt)(d.Length(centres))
		if want := lengthByTangents(float64(small), float64(large), centres); math.Abs(l.Exact-want) > 1e-9*want {
			rt.Fatalf("%v, want %v", l.Exact, want)
		}
		if math.Abs(l.Exact-l.Approximate) > 0.01*l.Exact {
			rt.Fatalf("exact %v, approximate %v", l.Exact, l.Approximate)
		}
		if l.Links%2 != 0 || float64(l.Links) < l.Exact-1e-6 || float64(l.Links) >= l.Exact+2 {
			rt.Fatalf("%d links for %v", l.Links, l.Exact)
		}
		if back := must[measure.ChainCentres](rt)(d.Centres(l.Exact)); math.Abs(back.Exact-centres) > 1e-6 {
			rt.Fatalf("%v comes back as %v", centres, back.Exact)
		}
		if back := must[measure.ChainCentres](rt)(d.Centres(l.Approximate)); math.Abs(back.Approximate-centres) > 1e-6 {
			rt.Fatalf("%v comes back as %v", centres, back.Approximate)
		}
	})
}

func TestChainRefusals(t *testing.T) {
	t.Parallel()
	d := measure.ChainDrive{Small: 20, Large: 63}
	for name, err := range map[string]error{
		"turned round":   fails(measure.ChainDrive{Small: 63, Large: 20}.Length(40)),
		"no teeth":       fails(measure.ChainDrive{}.Centres(100)),
		"overlap":        fails(d.Length(13)),
		"far":            fails(d.Length(1001)),
		"nan":            fails(d.Length(math.NaN())),
		"short":          fails(d.Centres(60)),
		"much too short": fails(d.Centres(0)),
		"long":           fails(d.Centres(2001)),
		"nan pitches":    fails(d.Centres(math.NaN())),
	} {
		if err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}
