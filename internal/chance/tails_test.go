package chance_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"benchtag/internal/chance"
)

// apart gives by how much a and b differ, in parts of b where that is small.
func apart(a, b float64) float64 {
	if a == b {
		return 0
	}
	return math.Abs(a-b) / math.Max(math.Abs(b), 1e-305)
}

// Values every table of the normal distribution has (JCGM 106:2012 table 1 for
// the quantiles, reckoned with three programs).
func TestNormalAsInTables(t *testing.T) {
	t.Parallel()
	for z, want := range map[float64]float64{0: .5, .5: .691462, 1: .841345, 1.4: .919243, 1.5: .933193, 2: .977250, 3: .998650, -1.4: .080757} {
		if got := chance.Normal(z); !close(got, want, 5e-7) {
			t.Errorf("Normal(%v) = %v, want %v", z, got, want)
		}
	}
	for p, want := range map[float64]float64{.5: 0, .8: .8416, .9: 1.2816, .95: 1.6449, .975: 1.9600, .99: 2.3263, .999: 3.0902, .1: -1.2816} {
		if got := chance.NormalQuantile(p); !close(got, want, 5e-5) {
			t.Errorf("NormalQuantile(%v) = %v, want %v", p, got, want)
		}
	}
	if got := chance.Density(0); !close(got, .3989422804014327, 1e-16) {
		t.Errorf("Density(0) = %v", got)
	}
}

// Table values of Student's t and of chi-square (from memory; every textbook
// has them).
func TestStudentAndChiSquareAsInTables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ p, nu, want float64 }{
		{.975, 1, 12.706}, {.975, 2, 4.303}, {.975, 5, 2.571}, {.975, 10, 2.228}, {.975, 30, 2.042}, {.975, math.Inf(1), 1.960},
		{.95, 1, 6.314}, {.95, 9, 1.833}, {.995, 4, 4.604}, {.05, 9, -1.833}, {.5, 3, 0},
	} {
		if got := chance.StudentQuantile(c.p, c.nu); !close(got, c.want, 5e-4) {
			t.Errorf("%+v: got %v", c, got)
		}
	}
	for _, c := range []struct{ x, k, want float64 }{
		{3.841, 1, .05}, {6.635, 1, .01}, {5.991, 2, .05}, {7.815, 3, .05}, {18.307, 10, .05}, {124.342, 100, .05},
	} {
		if got := chance.ChiSquareTail(c.x, c.k); !close(got, c.want, 2e-5) {
			t.Errorf("%+v: got %v", c, got)
		}
	}
}

// Far tails, to fifteen digits from long arithmetic (continued fractions of the
// complementary error function, by another program).
func TestFarTails(t *testing.T) {
	t.Parallel()
	for z, want := range map[float64]float64{-5: 2.866515718791939e-07, -10: 7.619853024160527e-24, -20: 2.753624118606234e-89, -37: 5.725571222524577e-300} {
		if got := chance.Normal(z); apart(got, want) > 1e-12 {
			t.Errorf("Normal(%v) = %v, want %v", z, got, want)
		}
		if got := chance.NormalQuantile(want); !close(got, z, 1e-10) {
			t.Errorf("NormalQuantile(%v) = %v, want %v", want, got, z)
		}
	}
}

func TestTailsAtTheirEnds(t *testing.T) {
	t.Parallel()
	inf, none := math.Inf(1), math.NaN()
	for name, c := range map[string]struct{ got, want float64 }{
		"normal of -inf": {chance.Normal(-inf), 0}, "normal of inf": {chance.Normal(inf), 1}, "normal of nothing": {chance.Normal(none), none},
		"normal quantile 0": {chance.NormalQuantile(0), -inf}, "normal quantile 1": {chance.NormalQuantile(1), inf},
		"normal quantile -1": {chance.NormalQuantile(-1), none}, "normal quantile of nothing": {chance.NormalQuantile(none), none},
		"student without freedom": {chance.Student(1, 0), none}, "student of nothing": {chance.Student(none, 3), none},
		"student at 0": {chance.Student(0, 3), .5}, "student of -inf": {chance.Student(-inf, 3), 0}, "student of inf": {chance.Student(inf, 3), 1},
		"student quantile 0": {chance.StudentQuantile(0, 3), -inf}, "student quantile 1": {chance.StudentQuantile(1, 3), inf},
		"student quantile 2": {chance.StudentQuantile(2, 3), none}, "student quantile without freedom": {chance.StudentQuantile(.2, none), none},
		"chi-square at 0": {chance.ChiSquareTail(0, 3), 1}, "chi-square below": {chance.ChiSquareTail(-3, 3), 1}, "chi-square of inf": {chance.ChiSquareTail(inf, 3), 0},
		"chi-square without freedom": {chance.ChiSquareTail(1, 0), none}, "chi-square of nothing": {chance.ChiSquareTail(none, 1), none},
	} {
		if c.got != c.want && !(math.IsNaN(c.got) && math.IsNaN(c.want)) {
			t.Errorf("%s: got %v, want %v", name, c.got, c.want)
		}
	}
}

// Student's distribution with 1 and 2 degrees of freedom, and chi-square's with
// 2 and 4, have short forms.
func TestShortForms(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-50, 50).Draw(t, "x")
		if got, want := chance.Student(x, 1), .5+math.Atan(x)/math.Pi; !close(got, want, 1e-14) {
			t.Fatalf("Student(%v, 1) = %v, want %v", x, got, want)
		}
		if got, want := chance.Student(x, 2), .5+x/(2*math.Sqrt(2+x*x)); !close(got, want, 1e-14) {
			t.Fatalf("Student(%v, 2) = %v, want %v", x, got, want)
		}
		y := rapid.Float64Range(0, 1400).Draw(t, "y")
		if got, want := chance.ChiSquareTail(y, 2), math.Exp(-y/2); apart(got, want) > 1e-12 {
			t.Fatalf("ChiSquareTail(%v, 2) = %v, want %v", y, got, want)
		}
		if got, want := chance.ChiSquareTail(y, 4), math.Exp(-y/2)*(1+y/2); apart(got, want) > 1e-12 {
			t.Fatalf("ChiSquareTail(%v, 4) = %v, want %v", y, got, want)
		}
	})
}

// Another implementation, over wide ranges, tails included.
func TestAgainstGonum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-36, 36).Draw(t, "z")
		if got, want := chance.Normal(z), distuv.UnitNormal.CDF(z); apart(got, want) > 1e-13 {
			t.Fatalf("Normal(%v) = %v, want %v", z, got, want)
		}
		p := math.Exp(rapid.Float64Range(-200, -1e-3).Draw(t, "ln p"))
		if got, want := chance.NormalQuantile(p), distuv.UnitNormal.Quantile(p); !close(got, want, 1e-9) {
			t.Fatalf("NormalQuantile(%v) = %v, want %v", p, got, want)
		}
		nu := math.Exp(rapid.Float64Range(-1, 7).Draw(t, "ln nu"))
		x := rapid.Float64Range(-20, 20).Draw(t, "x")
		// Close to 0 gonum subtracts numbers that are nearly equal.
		if got, want := chance.Student(x, nu), (distuv.StudentsT{Sigma: 1, Nu: nu}).CDF(x); math.Abs(x) > .01 && !close(got, want, 1e-11) {
			t.Fatalf("Student(%v, %v) = %v, want %v", x, nu, got, want)
		}
		k := math.Exp(rapid.Float64Range(-1, 6).Draw(t, "ln k"))
		y := rapid.Float64Range(0, 3*k+60).Draw(t, "y")
		if got, want := chance.ChiSquareTail(y, k), (distuv.ChiSquared{K: k}).Survival(y); !close(got, want, 1e-11) {
			t.Fatalf("ChiSquareTail(%v, %v) = %v, want %v", y, k, got, want)
		}
		a, b := math.Exp(rapid.Float64Range(-2, 7).Draw(t, "ln a")), math.Exp(rapid.Float64Range(-2, 7).Draw(t, "ln b"))
		u := rapid.Float64Range(0, 1).Draw(t, "u")
		if got, want := chance.Beta(u, a, b), (distuv.Beta{Alpha: a, Beta: b}).CDF(u); !close(got, want, 1e-10) {
			t.Fatalf("Beta(%v, %v, %v) = %v, want %v", u, a, b, got, want)
		}
	})
}

// Quantiles lead back, the distributions mirror and rise.
func TestTailLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := math.Exp(rapid.Float64Range(-60, -.7).Draw(t, "ln p"))
		if got := chance.Normal(chance.NormalQuantile(p)); apart(got, p) > 1e-12 {
			t.Fatalf("Normal(NormalQuantile(%v)) = %v", p, got)
		}
		nu := math.Exp(rapid.Float64Range(-.5, 25).Draw(t, "ln nu"))
		if got := chance.Student(chance.StudentQuantile(p, nu), nu); apart(got, p) > 1e-6 {
			t.Fatalf("Student(StudentQuantile(%v, %v)) = %v", p, nu, got)
		}
		x, y := rapid.Float64Range(-9, 9).Draw(t, "x"), rapid.Float64Range(-9, 9).Draw(t, "y")
		if sum := chance.Student(x, nu) + chance.Student(-x, nu); !close(sum, 1, 1e-15) {
			t.Fatalf("mirrored: %v", sum)
		}
		low, high := min(x, y), max(x, y)
		if chance.Student(low, nu) > chance.Student(high, nu)+1e-12 || chance.Normal(low) > chance.Normal(high) {
			t.Fatalf("falls between %v and %v", low, high)
		}
		k := rapid.Float64Range(.1, 300).Draw(t, "k")
		if chance.ChiSquareTail(low+9, k) < chance.ChiSquareTail(high+9, k)-1e-12 {
			t.Fatalf("the tail rises between %v and %v", low+9, high+9)
		}
	})
}

// With many degrees of freedom Student's distribution is the normal one, and
// there is no step where the reckoning changes.
func TestStudentBecomesNormal(t *testing.T) {
	t.Parallel()
	for _, z := range []float64{-8, -3, -1, -.1, .5, 2, 6} {
		for _, nu := range []float64{1e7, .999e8, 1.001e8, 1e12, math.Inf(1)} {
			if got, want := chance.Student(z, nu), chance.Normal(z); !close(got, want, 1/nu+1e-9*want) {
				t.Errorf("Student(%v, %v) = %v, normal %v", z, nu, got, want)
			}
		}
		below, above := chance.Student(z, .9999999e8), chance.Student(z, 1.0000001e8)
		if apart(below, above) > 2e-10 {
			t.Errorf("at %v: a step from %v to %v", z, below, above)
		}
	}
}

func FuzzChance(f *testing.F) {
	f.Add(1.4, 3.0, 7.0)
	f.Add(-1e300, 1e-300, 1e300)
	f.Fuzz(func(t *testing.T, x, a, b float64) {
		// Bounded, so that a target stays quick.
		if !(math.Abs(a) < 1e6) || !(math.Abs(b) < 1e6) {
			return
		}
		for _, p := range []float64{chance.Normal(x), chance.Student(x, a), chance.Beta(x, a, b), chance.ChiSquareTail(x, a)} {
			if p < 0 || p > 1+1e-9 {
				t.Errorf("%v, %v, %v: a probability of %v", x, a, b, p)
			}
		}
	})
}

func BenchmarkStudentQuantile(b *testing.B) {
	for b.Loop() {
		chance.StudentQuantile(.975, 7)
	}
}

func ExampleNormalQuantile() {
	fmt.Printf("%.4f\n", chance.NormalQuantile(.95))
	// Output: 1.6449
}
