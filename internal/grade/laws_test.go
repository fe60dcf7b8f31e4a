package grade_test

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

// micrometres draws a length of whole tenths of a micrometre.
func micrometres(low, high int64) *rapid.Generator[measure.Quantity] {
	return rapid.Map(rapid.Int64Range(low*10, high*10), func(n int64) measure.Quantity {
		return q(fmt.Sprintf("%d.%d um", n/10, n%10))
	})
}

// drawn draws limits that nest, on one side or both, and a value near them.
func drawn(t *rapid.T) grade.Request {
	sizes := make([]int64, 4)
	at := int64(1000)
	for i := range sizes {
		at += rapid.Int64Range(0, 400).Draw(t, "step")
		sizes[i] = at
	}
	um := func(n int64) *measure.Quantity { return opt(fmt.Sprintf("%d um", n)) }
	// Close to one of the limits, where it matters.
	tenths := sizes[rapid.IntRange(0, 3).Draw(t, "near which")]*10 + rapid.SampledFrom([]int64{-1, 1}).Draw(t, "side")*rapid.Int64Range(0, 1000).Draw(t, "off")
	r := grade.Request{Value: q(fmt.Sprintf("%d.%d um", tenths/10, tenths%10)), Uncertainty: new(measure.Quantity),
		Service: grade.Range{Min: um(sizes[0]), Max: um(sizes[3])}, New: grade.Range{Min: um(sizes[1]), Max: um(sizes[2])},
		Source: grade.FromMaker, Gauge: grade.InCalibration, Rule: rapid.SampledFrom(grade.Rules()).Draw(t, "rule"),
		NearPercent: rapid.Int64Range(1, 99).Draw(t, "near"), Safety: rapid.SampledFrom(grade.Safeties()).Draw(t, "safety")}
	*r.Uncertainty = rapid.OneOf(micrometres(0, 90), rapid.SampledFrom([]measure.Quantity{q("7.3 um"), q("20 um"), q("55 um"), q("90 um")})).Draw(t, "U")
	for _, limit := range []**measure.Quantity{&r.New.Min, &r.New.Max, &r.Service.Min, &r.Service.Max} {
		if rapid.IntRange(0, 3).Draw(t, "drop") == 0 {
			*limit = nil
		}
	}
	return r
}

func must(t *rapid.T, r grade.Request) grade.Verdict {
	v, err := grade.Judge(r)
	if err != nil {
		t.Fatalf("%+v: %v", r, err)
	}
	return v
}

// rat gives a length in nanometres from its decimal text, exactly.
func rat(q measure.Quantity) *big.Rat {
	r, ok := new(big.Rat).SetString(q.Value.String())
	if !ok {
		panic(q.Value.String())
	}
	factor := map[measure.Unit]string{measure.Micrometre: "1000", measure.Millimetre: "1000000", measure.Thou: "25400", measure.Inch: "25400000"}[q.Unit]
	f, ok := new(big.Rat).SetString(factor)
	if !ok {
		panic(q.Unit)
	}
	return r.Mul(r, f)
}

// naive judges from the definition, in exact fractions, one sentence of the
// rule after the other. It wants lengths of whole nanometres.
func naive(r grade.Request) (grade.Outcome, grade.Grade) {
	guard := new(big.Rat).Set(rat(*r.Uncertainty))
	switch r.Rule {
	case grade.Simple:
		guard.SetInt64(0)
	case grade.Guarded95:
		guard.Mul(guard, big.NewRat(16449, 20000))
		// Up to the next whole nanometre.
		whole := new(big.Int).Div(guard.Num(), guard.Denom())
		if !guard.IsInt() {
			whole.Add(whole, big.NewInt(1))
		}
		guard.SetInt(whole)
	}
	y := rat(r.Value)
	proves := func(s grade.Range) grade.Outcome {
		inside, outside := true, false
		if s.Min != nil {
			inside = inside && y.Cmp(new(big.Rat).Add(rat(*s.Min), guard)) >= 0
			outside = outside || y.Cmp(new(big.Rat).Sub(rat(*s.Min), guard)) < 0
		}
		if s.Max != nil {
			inside = inside && y.Cmp(new(big.Rat).Sub(rat(*s.Max), guard)) <= 0
			outside = outside || y.Cmp(new(big.Rat).Add(rat(*s.Max), guard)) > 0
		}
		if outside {
			return grade.Beyond
		}
		if inside {
			return grade.Within
		}
		return grade.Undecided
	}
	none := grade.Range{}
	asNew := r.New != none && proves(r.New) == grade.Within
	if r.Service == none {
		if asNew {
			return grade.Within, grade.AsNew
		}
		return grade.NoLimit, grade.None
	}
	switch proves(r.Service) {
	case grade.Beyond:
		return grade.Beyond, grade.BeyondLimit
	case grade.Undecided:
		return grade.Undecided, grade.None
	}
	if asNew {
		return grade.Within, grade.AsNew
	}
	share := big.NewRat(r.NearPercent, 100)
	few := func(from, to *measure.Quantity) bool {
		if from == nil || to == nil {
			return false
		}
		allowance := new(big.Rat).Abs(new(big.Rat).Sub(rat(*to), rat(*from)))
		left := new(big.Rat).Abs(new(big.Rat).Sub(rat(*to), y))
		return left.Cmp(new(big.Rat).Mul(share, allowance)) < 0
	}
	if few(r.New.Max, r.Service.Max) || few(r.New.Min, r.Service.Min) {
		return grade.Within, grade.NearLimit
	}
	return grade.Within, grade.Serviceable
}

func TestAgainstTheDefinition(t *testing.T) {
	t.Parallel()
	seen := map[grade.Outcome]int{}
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		v := must(t, r)
		outcome, g := naive(r)
		seen[outcome]++
		if v.Outcome != outcome || v.Grade != g {
			t.Fatalf("%+v: %s, %d; by the definition %s, %d", r, v.Outcome, v.Grade, outcome, g)
		}
	})
	for _, o := range grade.Outcomes() {
		if seen[o] == 0 {
			t.Errorf("no case came out as %s", o)
		}
	}
}

// Widening a limit never turns within into beyond, nor lowers the probability.
func TestWideningNeverHurts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		r.New = grade.Range{}
		if r.Service.Max == nil {
			r.Service.Max = opt("3000 um")
		}
		before := must(t, r)
		wider := rat(*r.Service.Max)
		wider.Add(wider, big.NewRat(rapid.Int64Range(0, 300000).Draw(t, "by"), 1))
		r.Service.Max = opt(new(big.Rat).Quo(wider, big.NewRat(1000, 1)).FloatString(3) + " um")
		after := must(t, r)
		if before.Outcome == grade.Within && after.Outcome == grade.Beyond || before.Outcome != grade.Beyond && after.Outcome == grade.Beyond {
			t.Fatalf("wider: from %s to %s", before.Outcome, after.Outcome)
		}
		if *after.Service.Probability < *before.Service.Probability-1e-15 {
			t.Fatalf("wider: from %v to %v", *before.Service.Probability, *after.Service.Probability)
		}
	})
}

// A larger uncertainty never turns undecided into decided.
func TestDoubtNeverDecides(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		before := must(t, r)
		r.Uncertainty = opt(new(big.Rat).Quo(new(big.Rat).Add(rat(*r.Uncertainty), big.NewRat(rapid.Int64Range(0, 90000).Draw(t, "by"), 1)), big.NewRat(1000, 1)).FloatString(3) + " um")
		after := must(t, r)
		if before.Outcome == grade.Undecided && after.Outcome != grade.Undecided {
			t.Fatalf("from undecided to %s", after.Outcome)
		}
		if before.Outcome != grade.Undecided && after.Outcome != before.Outcome && after.Outcome != grade.Undecided && after.Outcome != grade.NoLimit {
			t.Fatalf("from %s to %s", before.Outcome, after.Outcome)
		}
	})
}

// A better grade never goes with a worse value where only a most is set, and the
// probability falls as the value rises.
func TestWorseIsNeverBetter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		r.New.Min, r.Service.Min = nil, nil
		if r.Service.Max == nil {
			r.Service.Max = opt("3000 um")
		}
		a, b := r, r
		b.Value = micrometres(900, 3300).Draw(t, "other")
		if rat(a.Value).Cmp(rat(b.Value)) > 0 {
			a, b = b, a
		}
		better, worse := must(t, a), must(t, b)
		if better.Grade != grade.None && worse.Grade != grade.None && better.Grade > worse.Grade {
			t.Fatalf("%v has grade %d, %v has %d", a.Value, better.Grade, b.Value, worse.Grade)
		}
		p := *worse.Service.Probability
		if p < 0 || p > 1 || p > *better.Service.Probability+1e-15 {
			t.Fatalf("%v has %v, %v has %v", a.Value, *better.Service.Probability, b.Value, p)
		}
	})
}

// Turned round nought, value and limits give the same.
func TestMirrored(t *testing.T) {
	t.Parallel()
	minus := func(q *measure.Quantity) *measure.Quantity {
		if q == nil {
			return nil
		}
		return opt("-" + q.Value.String() + " um")
	}
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		m := r
		m.Value = *minus(&r.Value)
		m.New = grade.Range{Min: minus(r.New.Max), Max: minus(r.New.Min)}
		m.Service = grade.Range{Min: minus(r.Service.Max), Max: minus(r.Service.Min)}
		a, b := must(t, r), must(t, m)
		if a.Outcome != b.Outcome || a.Grade != b.Grade || a.CountsAs != b.CountsAs {
			t.Fatalf("%s, %d, mirrored %s, %d", a.Outcome, a.Grade, b.Outcome, b.Grade)
		}
		if p, m := a.Service.Probability, b.Service.Probability; p != nil && math.Abs(*p-*m) > 1e-15 {
			t.Fatalf("%v, mirrored %v", *p, *m)
		}
	})
}

// Judging in inches or millimetres is the same, whichever figure is in which.
func TestInchesOrMillimetres(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		m := r
		for _, p := range []**measure.Quantity{&m.New.Min, &m.New.Max, &m.Service.Min, &m.Service.Max, &m.Uncertainty} {
			if *p != nil {
				*p = sameLength(t, **p)
			}
		}
		m.Value = *sameLength(t, r.Value)
		a, b := must(t, r), must(t, m)
		if a.Outcome != b.Outcome || a.Grade != b.Grade {
			t.Fatalf("%v: %s, %d; %v: %s, %d", r.Value, a.Outcome, a.Grade, m.Value, b.Outcome, b.Grade)
		}
		if p, m := a.Service.Probability, b.Service.Probability; p != nil && *p != *m {
			t.Fatalf("%v and %v", *p, *m)
		}
	})
}

// sameLength writes whole tenths of a micrometre in another unit in which they
// are finite decimals; those that are not stay in micrometres.
func sameLength(t *rapid.T, length measure.Quantity) *measure.Quantity {
	unit := rapid.SampledFrom([]measure.Unit{measure.Millimetre, measure.Thou, measure.Inch, measure.Metre}).Draw(t, "unit")
	other, err := measure.Convert(length, unit)
	if err != nil {
		t.Fatal(err)
	}
	if same, err := measure.Compare(other, length); same != 0 || err != nil {
		return &length
	}
	return &other
}

// u and U = 2u are the same, and the working shows the figures it used.
func TestStandardUncertainty(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		half := new(big.Rat).Quo(rat(*r.Uncertainty), big.NewRat(2000, 1)).FloatString(3)
		s := r
		s.Uncertainty, s.StandardUncertainty = nil, opt(half+" um")
		a, b := must(t, r), must(t, s)
		if a.Outcome != b.Outcome || a.Grade != b.Grade || a.Guard != b.Guard {
			t.Fatalf("U %v: %s %v, u %s: %s %v", r.Uncertainty, a.Outcome, a.Guard, half, b.Outcome, b.Guard)
		}
		working := strings.Join(a.Working, "\n")
		if !strings.Contains(working, r.Value.String()) || !strings.Contains(working, string(a.Outcome)) {
			t.Fatalf("working: %s", working)
		}
	})
}

// The uncertainty named to settle a case settles it, and nothing larger by as
// much as a nanometre does.
func TestSettleSettles(t *testing.T) {
	t.Parallel()
	cases := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawn(t)
		v := must(t, r)
		if v.Settle == nil || v.Settle.Uncertainty == nil {
			return
		}
		cases++
		r.Uncertainty = v.Settle.Uncertainty
		if got := must(t, r).Outcome; got == grade.Undecided {
			t.Fatalf("U = %v leaves it undecided", r.Uncertainty)
		}
		more := rat(*r.Uncertainty)
		r.Uncertainty = opt(new(big.Rat).Quo(more.Add(more, big.NewRat(2, 1)), big.NewRat(1000, 1)).FloatString(3) + " um")
		if got := must(t, r).Outcome; got != grade.Undecided {
			t.Fatalf("U = %v decides too: %s", r.Uncertainty, got)
		}
	})
	if cases == 0 {
		t.Error("no case was undecided")
	}
}

func FuzzJudge(f *testing.F) {
	f.Add("0.095 mm", "0.01 mm", "0.02 mm", "0.1 mm", int64(10), "guarded")
	f.Add("3.9 thou", "0.5 thou", "", "4 thou", int64(50), "guarded_95")
	f.Add("12 V", "100 mV", "13 V", "12.4 V", int64(1), "simple")
	f.Fuzz(func(t *testing.T, value, u, newer, service string, near int64, rule string) {
		y, err := measure.Parse(value)
		if err != nil {
			return
		}
		read := func(text string) *measure.Quantity {
			got, err := measure.Parse(text)
			if err != nil {
				return nil
			}
			return &got
		}
		v, err := grade.Judge(grade.Request{Value: y, Uncertainty: read(u), New: grade.Range{Max: read(newer)}, Service: grade.Range{Max: read(service)},
			NearPercent: near, Rule: grade.Rule(rule), Source: grade.FromMaker, Gauge: grade.InCalibration})
		if err != nil {
			return
		}
		if v.Grade < grade.None || v.Grade > grade.BeyondLimit || len(v.Working) == 0 || len(v.Reasons) == 0 {
			t.Errorf("%+v", v)
		}
		if (v.Outcome == grade.Undecided) != (v.Settle != nil) || v.Grade == grade.BeyondLimit && v.Outcome != grade.Beyond {
			t.Errorf("%+v", v)
		}
	})
}
