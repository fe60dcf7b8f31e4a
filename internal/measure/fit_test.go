package measure_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

// um gives micrometres of nanometres.
func um(nm int64) float64 { return float64(nm) / 1000 }

func fit(t failing, text string) measure.Fit {
	t.Helper()
	return must[measure.Fit](t)(measure.ParseFit(text))
}

func TestFits(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		text                     string
		holeLow, holeUp, low, up float64 // micrometres
		least, most              float64
		kind                     measure.FitKind
	}{
		// Read in stored copies, see references in testdata/vectors/measure/fit.json.
		{"50 H7/g6", 0, 25, -25, -9, 9, 50, measure.ClearanceFit},
		{"Ø50H7/p6", 0, 25, 26, 42, -42, -1, measure.InterferenceFit},
		{"30 H7/k6", 0, 21, 2, 15, -15, 19, measure.TransitionFit},
		{"50 H7/f7", 0, 25, -50, -25, 25, 75, measure.ClearanceFit},
		// From memory: ISO 286-2 tables.
		{"25 K7/h6", -15, 6, -13, 0, -15, 19, measure.TransitionFit},
		{"25 N7/h6", -28, -7, -13, 0, -28, 6, measure.TransitionFit},
		{"25 P7/h6", -35, -14, -13, 0, -35, -1, measure.InterferenceFit},
		{"25 M8/h7", -29, 4, -21, 0, -29, 25, measure.TransitionFit},
		{"25 N9/h9", -52, 0, -52, 0, -52, 52, measure.TransitionFit},
		{"2 N9/h9", -29, -4, -25, 0, -29, 21, measure.TransitionFit},
		{"300 M6/h5", -41, -9, -23, 0, -41, 14, measure.TransitionFit},
		{"40 H11/c11", 0, 160, -280, -120, 120, 440, measure.ClearanceFit},
		{"18,5 JS7/h6", -10.5, 10.5, -13, 0, -10.5, 23.5, measure.TransitionFit},
		{"50 H7-g6", 0, 25, -25, -9, 9, 50, measure.ClearanceFit},
		{"50 mm g6 H7", 0, 25, -25, -9, 9, 50, measure.ClearanceFit},
		{"25 K4/h3", -6, 0, -4, 0, -6, 4, measure.TransitionFit},
		{"25 J7/j6", -9, 12, -4, 9, -18, 16, measure.TransitionFit},
		{"40 J6/j5", -6, 10, -5, 6, -12, 15, measure.TransitionFit},
		{"25 K9/k8", -52, 0, 0, 33, -85, 0, measure.InterferenceFit},
	} {
		t.Run(tt.text, func(t *testing.T) {
			t.Parallel()
			f := fit(t, tt.text)
			hole := must[measure.SizeLimits](t)(f.Limits(f.Hole))
			shaft := must[measure.SizeLimits](t)(f.Limits(f.Shaft))
			play := must[measure.Play](t)(f.Play())
			got := []float64{um(hole.Lower), um(hole.Upper), um(shaft.Lower), um(shaft.Upper), um(play.Min), um(play.Max)}
			if diff := cmp.Diff([]float64{tt.holeLow, tt.holeUp, tt.low, tt.up, tt.least, tt.most}, got); diff != "" || play.Kind != tt.kind {
				t.Errorf("%s %s", play.Kind, diff)
			}
		})
	}
}

// TestBases holds what the rule for holes K to U is there for: hole n with
// shaft n-1 fits alike on either base (H7/p6 as P7/h6).
func TestBases(t *testing.T) {
	t.Parallel()
	cases := 0
	for _, nominal := range []string{"5", "8", "15", "20", "28", "35", "45", "60", "75", "90", "110", "130", "170", "190", "240", "300", "350", "450"} {
		for _, letter := range []string{"k", "m", "n", "p", "r", "s", "u"} {
			for grade := 4; grade <= 8; grade++ {
				if grade == 8 && letter > "n" || letter == "m" && grade == 6 && nominal == "300" {
					continue // beyond the rule, and the standard's own exception
				}
				capital := string(letter[0] - 'a' + 'A')
				onHole := must[measure.Play](t)(fit(t, fmt.Sprintf("%s H%d/%s%d", nominal, grade, letter, grade-1)).Play())
				onShaft := must[measure.Play](t)(fit(t, fmt.Sprintf("%s %s%d/h%d", nominal, capital, grade, grade-1)).Play())
				if onHole != onShaft {
					t.Errorf("%s %s%d: %v on the hole, %v on the shaft", nominal, letter, grade, onHole, onShaft)
				}
				cases++
			}
		}
	}
	if cases < 300 {
		t.Errorf("only %d cases", cases)
	}
}

// TestGradesFollowTheUnit compares the table with the formulas it was once
// computed from: multiples of i from IT5 on, rounded, and up to 3 mm set apart from it.
func TestGradesFollowTheUnit(t *testing.T) {
	t.Parallel()
	times := map[int]float64{5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160, 13: 250, 14: 400, 15: 640, 16: 1000, 17: 1600, 18: 2500}
	for _, nominal := range []string{"5", "8", "15", "25", "40", "65", "100", "150", "200", "300", "350", "450"} {
		f := fit(t, nominal+" H7")
		last := int64(0)
		for grade := 1; grade <= 18; grade++ {
			it := must[int64](t)(f.Tolerance(grade))
			if it <= last {
				t.Errorf("%s: IT%d is no more than the grade before", nominal, grade)
			}
			last = it
			if grade < 5 {
				continue
			}
			want := times[grade] * f.ToleranceUnit().Unit
			if math.Abs(um(it)-want) > 0.06*want+0.6 {
				t.Errorf("%s: IT%d is %v, the unit gives %.1f", nominal, grade, um(it), want)
			}
		}
	}
}

func TestFitLaws(t *testing.T) {
	t.Parallel()
	letters := []string{"a", "b", "c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s", "u"}
	rapid.Check(t, func(rt *rapid.T) {
		nominal := rapid.Int64Range(1, 499_999).Draw(rt, "um") * 1000
		i := rapid.IntRange(0, len(letters)-2).Draw(rt, "letter")
		grade := rapid.IntRange(3, 18).Draw(rt, "grade")
		f := measure.Fit{Nominal: nominal}
		shaft := must[measure.SizeLimits](rt)(f.Limits(measure.ToleranceClass{Letters: letters[i], Grade: grade}))
		if it := must[int64](rt)(f.Tolerance(grade)); shaft.Upper-shaft.Lower != it {
			rt.Fatalf("%s%d is %d wide, not %d", letters[i], grade, shaft.Upper-shaft.Lower, it)
		}
		// A later letter makes a thicker shaft; js is by itself.
		if next := letters[i+1]; letters[i] != "js" && next != "js" {
			thicker := must[measure.SizeLimits](rt)(f.Limits(measure.ToleranceClass{Letters: next, Grade: grade}))
			if thicker.Upper < shaft.Upper {
				rt.Fatalf("%s is below %s", next, letters[i])
			}
		}
		// A to H are the mirror of a to h.
		if letters[i] <= "h" {
			capital := string(letters[i][0] - 'a' + 'A')
			hole := must[measure.SizeLimits](rt)(f.Limits(measure.ToleranceClass{Letters: capital, Grade: grade}))
			if hole.Lower != -shaft.Upper || hole.Upper != -shaft.Lower {
				rt.Fatalf("%v is no mirror of %v", hole, shaft)
			}
		}
	})
}

func TestFitStepsEndWithTheirNumber(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		text string
		want int64
	}{{"18 H7", 18_000}, {"18.001 H7", 21_000}, {"3 H7", 10_000}, {"0.5 H7", 10_000}, {"500 H7", 63_000}} {
		f := fit(t, tt.text)
		if got := must[measure.SizeLimits](t)(f.Limits(f.Hole)); got.Upper != tt.want || got.Lower != 0 {
			t.Errorf("%s: %v", tt.text, got)
		}
	}
}

func TestToleranceClassIsWritten(t *testing.T) {
	t.Parallel()
	f := fit(t, "12,5 JS7/g6")
	if f.Hole.String() != "JS7" || f.Shaft.String() != "g6" || f.Nominal != 12_500_000 {
		t.Errorf("got %s %s %d", f.Hole, f.Shaft, f.Nominal)
	}
	if s := fit(t, "12 g6").Hole.String(); s != "" {
		t.Errorf("no hole is written %q", s)
	}
}

func TestFitRefusals(t *testing.T) {
	t.Parallel()
	for text, code := range map[string]measure.Code{
		"": measure.NameUnknown, "H7/g6": measure.NameUnknown, "50": measure.NameUnknown, "50 H7/H7": measure.NameUnknown,
		"50 q6": measure.NameUnknown, "50 H0": measure.NameUnknown, "50 H19": measure.NameUnknown, "50 Js7": measure.NameUnknown,
		"0 H7": measure.TableEnds, "501 H7": measure.TableEnds, "50 H7/": measure.NameUnknown, "50 H7//g6": measure.NameUnknown, "50 H7g": measure.NameUnknown, "50 /H7": measure.NameUnknown, "50.5.5 H7": measure.NameUnknown,
		"50 H7/g6/f7": measure.NameUnknown, "50 H99999999999999999999": measure.NameUnknown,
	} {
		_, err := measure.ParseFit(text)
		var e *measure.Error
		if !errors.As(err, &e) || e.Code != code {
			t.Errorf("%q: got %v, want %s", text, err, code)
		}
	}
	f := fit(t, "50 K2")
	if _, err := f.Limits(f.Hole); err == nil {
		t.Error("K2 is reckoned")
	}
	for _, c := range []measure.ToleranceClass{{"j", 8}, {"J", 5}} {
		if _, err := f.Limits(c); err == nil {
			t.Errorf("%s is tabled", c)
		}
	}
	if _, err := f.Limits(measure.ToleranceClass{Letters: "q", Grade: 6}); err == nil {
		t.Error("q6 is known")
	}
	if _, err := f.Play(); err == nil {
		t.Error("a hole alone has play")
	}
}

func FuzzParseFit(f *testing.F) {
	for _, seed := range []string{"50 H7/g6", "Ø12,5js6", "500 U16", "3 zc6", "1e9 H7", "-5 H7"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := measure.ParseFit(text)
		if err != nil {
			return
		}
		for _, c := range []measure.ToleranceClass{got.Hole, got.Shaft} {
			if c.Letters == "" {
				continue
			}
			if l, err := got.Limits(c); err == nil && l.Upper <= l.Lower {
				t.Fatalf("%q: %v", text, l)
			}
		}
	})
}
