package measure_test

import (
	"errors"
	"math/big"
	"slices"
	"strings"
	"testing"

	"github.com/cockroachdb/apd/v3"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

func quantity(t testing.TB, value string, unit measure.Unit) measure.Quantity {
	t.Helper()
	q, err := measure.ParseValue(value, string(unit))
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestDecimalMatchesApd(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?(0|[1-9][0-9]{0,17})(\.[0-9]{1,12})?`).Draw(t, "number")
		want, _, err := apd.NewFromString(text)
		if err != nil {
			t.Fatal(err)
		}
		got, err := measure.ParseDecimal(text)
		if want.NumDigits() > 18 {
			if err == nil {
				t.Fatalf("%s accepted as %s", text, got)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if want.IsZero() {
			want.Negative = false
		}
		if got.String() != want.Text('f') || got.Sign() != want.Sign() || got.Scale() != int(-want.Exponent) {
			t.Fatalf("%s reads as %s, want %s", text, got, want.Text('f'))
		}
	})
}

func TestUnitsAreComplete(t *testing.T) {
	t.Parallel()
	dimensions := map[measure.Dimension]int{}
	symbols := map[string]measure.Unit{}
	for _, u := range measure.Units() {
		if !u.Known() || u.Symbol() == "" {
			t.Errorf("%s has no row", u)
		}
		if other, twice := symbols[u.Symbol()]; twice && u.Symbol() != "" {
			t.Errorf("%s and %s share a symbol", u, other)
		}
		symbols[u.Symbol()] = u
		dimensions[u.Dimension()]++
		got, err := measure.Parse("1 " + u.Symbol())
		if err != nil || got.Unit != u {
			t.Errorf("symbol %q of %s reads as %s, %v", u.Symbol(), u, got.Unit, err)
		}
		got, err = measure.Parse("1 " + string(u))
		if err != nil || got.Unit != u {
			t.Errorf("code %s reads as %s, %v", u, got.Unit, err)
		}
	}
	for _, d := range measure.Dimensions() {
		if dimensions[d] == 0 {
			t.Errorf("no unit of %s", d)
		}
		delete(dimensions, d)
	}
	if len(dimensions) != 0 {
		t.Errorf("dimensions not listed: %v", dimensions)
	}
	if measure.Unit("furlong").Known() || measure.Unit("furlong").Dimension() != "" {
		t.Error("a furlong is known")
	}
}

func TestErrorNamesItsCode(t *testing.T) {
	t.Parallel()
	_, err := measure.Parse("12")
	if err == nil || err.Error() != "measure.unit_missing: Add the unit, like 12 mm." {
		t.Errorf("got %v", err)
	}
	if got := quantity(t, "90.0", "deg").String(); got != "90.0°" {
		t.Errorf("got %q", got)
	}
}

func TestUnknownUnitListsCloseOnes(t *testing.T) {
	t.Parallel()
	for unit, want := range map[string]string{"psi": "[psi]", "MM": "mm", "ohm": "Ohm", "N.n": "N.m", strings.Repeat("x", 60): "lbf·ft", "": "mm", "furlong": "mm"} {
		_, err := measure.ParseValue("1", unit)
		var e *measure.Error
		if !errors.As(err, &e) || !strings.Contains(e.Message, want) || strings.Contains(e.Message, "xxx") {
			t.Errorf("%q: %v does not name %s", unit, err, want)
		}
	}
}

// exactly is the reference: a unit's value in rational numbers, taken from
// a conversion of 1 known by definition, apart from the package's table.
func exactly(t testing.TB, q measure.Quantity) *big.Rat {
	t.Helper()
	v := rat(t, q.Value.String())
	pound := rat(t, "0.45359237")
	inch := rat(t, "0.0254")
	gravity := rat(t, "9.80665")
	force := new(big.Rat).Mul(pound, gravity)
	times := func(fs ...*big.Rat) *big.Rat {
		for _, f := range fs {
			v.Mul(v, f)
		}
		return v
	}
	over := func(f *big.Rat) *big.Rat { return new(big.Rat).Inv(f) }
	switch q.Unit {
	case measure.Millimetre:
		return times(rat(t, "0.001"))
	case measure.Micrometre:
		return times(rat(t, "0.000001"))
	case measure.Inch:
		return times(inch)
	case measure.Thou:
		return times(inch, rat(t, "0.001"))
	case measure.Mile:
		return times(inch, rat(t, "63360"))
	case measure.Kilometre:
		return times(rat(t, "1000"))
	case measure.NewtonMetre, measure.Newton, measure.Pascal, measure.Kelvin:
		return v
	case measure.FootPound:
		return times(force, inch, rat(t, "12"))
	case measure.InchPound:
		return times(force, inch)
	case measure.InchOunce:
		return times(force, inch, rat(t, "1/16"))
	case measure.KilogramForceMetre:
		return times(gravity)
	case measure.PoundPerSquareInch:
		return times(force, over(inch), over(inch))
	case measure.Bar:
		return times(rat(t, "100000"))
	case measure.KilogramPerSquare:
		return times(gravity, rat(t, "10000"))
	case measure.InchOfMercury:
		return times(inch, rat(t, "133322"))
	case measure.Celsius:
		return v.Add(v, rat(t, "273.15"))
	case measure.Fahrenheit:
		return v.Add(v, rat(t, "459.67")).Mul(v, rat(t, "5/9"))
	default:
		t.Fatalf("no reference for %s", q.Unit)
		return nil
	}
}

func families() [][]measure.Unit {
	return [][]measure.Unit{
		{measure.Millimetre, measure.Micrometre, measure.Inch, measure.Thou, measure.Mile, measure.Kilometre},
		{measure.NewtonMetre, measure.FootPound, measure.InchPound, measure.InchOunce, measure.KilogramForceMetre},
		{measure.Pascal, measure.PoundPerSquareInch, measure.Bar, measure.KilogramPerSquare, measure.InchOfMercury},
		{measure.Kelvin, measure.Celsius, measure.Fahrenheit},
	}
}

func genPair() *rapid.Generator[[2]measure.Quantity] {
	return rapid.Custom(func(t *rapid.T) [2]measure.Quantity {
		family := rapid.SampledFrom(families()).Draw(t, "family")
		var pair [2]measure.Quantity
		for i := range pair {
			text := rapid.StringMatching(`-?(0|[1-9][0-9]{0,5})(\.[0-9]{1,12})?`).Draw(t, "value")
			d, err := measure.ParseDecimal(text)
			if err != nil {
				t.Fatal(err)
			}
			pair[i] = measure.Quantity{Value: d, Unit: rapid.SampledFrom(family).Draw(t, "unit")}
		}
		return pair
	})
}

// TestConvertIsTheNearestDecimal compares with rational arithmetic: the
// result lies within half a unit of its last possible place.
func TestConvertIsTheNearestDecimal(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		pair := genPair().Draw(rt, "pair")
		got, err := measure.Convert(pair[0], pair[1].Unit)
		if err != nil {
			rt.Fatal(err)
		}
		one := measure.Quantity{Value: quantity(t, "1", "mm").Value, Unit: pair[1].Unit}
		zero := measure.Quantity{Value: quantity(t, "0", "mm").Value, Unit: pair[1].Unit}
		step := new(big.Rat).Sub(exactly(t, one), exactly(t, zero))
		diff := new(big.Rat).Sub(exactly(t, got), exactly(t, pair[0]))
		diff.Quo(diff.Abs(diff), step)
		digits := len(strings.TrimLeft(strings.Trim(strings.Split(got.Value.String(), ".")[0], "-"), "0"))
		places := min(12, 18-digits)
		half := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Mul(big.NewInt(2), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)))
		if pair[0].Unit != pair[1].Unit && diff.Cmp(half) > 0 {
			rt.Fatalf("%s gives %s, off by %s", pair[0], got, diff.FloatString(20))
		}
	})
}

func TestCompareIsExact(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		pair := genPair().Draw(rt, "pair")
		got, err := measure.Compare(pair[0], pair[1])
		if err != nil {
			rt.Fatal(err)
		}
		if want := exactly(t, pair[0]).Cmp(exactly(t, pair[1])); got != want {
			rt.Fatalf("%s against %s: got %d, want %d", pair[0], pair[1], got, want)
		}
	})
}

func TestCompare(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		a, b measure.Quantity
		want int
	}{
		{"digits do not matter", quantity(t, "0.250", "mm"), quantity(t, "0.25", "mm"), 0},
		{"twelve inch-pounds", quantity(t, "12", measure.InchPound), quantity(t, "1", measure.FootPound), 0},
		{"negatives", quantity(t, "-2", "mm"), quantity(t, "-1", "mm"), -1},
		{"signs", quantity(t, "1", "mm"), quantity(t, "-1", "mm"), 1},
		{"frost", quantity(t, "-40", "Cel"), quantity(t, "-40", "[degF]"), 0},
		{"a picometre", quantity(t, "25.400000000001", "mm"), quantity(t, "1", "[in_i]"), 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := measure.Compare(tt.a, tt.b)
			if err != nil || got != tt.want {
				t.Errorf("got %d, %v, want %d", got, err, tt.want)
			}
		})
	}
	_, err := measure.Compare(quantity(t, "1", "mm"), quantity(t, "1", "V"))
	wantCode(t, err, measure.UnitIncompatible)
	_, err = measure.Compare(measure.Quantity{}, quantity(t, "1", "V"))
	wantCode(t, err, measure.UnitUnknown)
}

func TestNanometres(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, value string
		unit        measure.Unit
		want        int64
		wantErr     measure.Code
	}{
		{"millimetre", "0.250", "mm", 250_000, ""},
		{"thou", "12", measure.Thou, 304_800, ""},
		{"half to even down", "0.0000005", "mm", 0, ""},
		{"half to even up", "0.0000015", "mm", 2, ""},
		{"above half", "0.000000500001", "mm", 1, ""},
		{"negative half", "-0.0000015", "mm", -2, ""},
		{"far", "9223372", measure.Kilometre, 9_223_372_000_000_000_000, ""},
		{"too far", "9223373", measure.Kilometre, 0, measure.ValueOutOfRange},
		{"no length", "1", "V", 0, measure.UnitIncompatible},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := quantity(t, tt.value, tt.unit).Nanometres()
			if tt.wantErr != "" {
				wantCode(t, err, tt.wantErr)
				return
			}
			if err != nil || got != tt.want {
				t.Errorf("got %d, %v, want %d", got, err, tt.want)
			}
		})
	}
}

func TestFromNanometres(t *testing.T) {
	t.Parallel()
	for nm, want := range map[int64]string{0: "0.000000 mm", 5: "0.000005 mm", -1_250_000: "-1.250000 mm"} {
		q, err := measure.FromNanometres(nm)
		if err != nil || q.String() != want {
			t.Errorf("%d: got %s, %v", nm, q, err)
		}
		back, err := q.Nanometres()
		if err != nil || back != nm {
			t.Errorf("%d comes back as %d, %v", nm, back, err)
		}
	}
	_, err := measure.FromNanometres(-1 << 63)
	wantCode(t, err, measure.ValueOutOfRange)
}

func TestRead(t *testing.T) {
	t.Parallel()
	got, err := measure.Read(measure.Parts{Value: "0.25", Unit: "mm", Entered: " 0,25 mm\u00a0"})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"0.25", "mm", "0,25 mm", "0.25 mm"}, []string{got.Value.String(), string(got.Unit), got.Entered, got.String()}); diff != "" {
		t.Error(diff)
	}
	tests := []struct {
		name string
		in   measure.Parts
		want measure.Code
	}{
		{"strict alone", measure.Parts{Value: "1", Unit: "mm"}, ""},
		{"entered alone", measure.Parts{Entered: "12 %"}, ""},
		{"nothing", measure.Parts{}, measure.EntryEmpty},
		{"other digits", measure.Parts{Value: "0.250", Unit: "mm", Entered: "0,25 mm"}, measure.EntryContradicts},
		{"other unit", measure.Parts{Value: "0.25", Unit: "cm", Entered: "0,25 mm"}, measure.EntryContradicts},
		{"entered unreadable", measure.Parts{Value: "0.25", Unit: "cm", Entered: "some"}, measure.NumberMissing},
		{"unit without value", measure.Parts{Unit: "mm", Entered: "0,25 mm"}, measure.NumberMalformed},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			_, err := measure.Read(tt.in)
			if tt.want != "" {
				wantCode(t, err, tt.want)
			} else if err != nil {
				t.Error(err)
			}
		})
	}
	if codes := measure.Codes(); len(slices.Compact(slices.Sorted(slices.Values(codes)))) != len(codes) {
		t.Error("a code is listed twice")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"0.250 mm", "0,25 mm", "1 3/8 in", "25 ft-lb", "42 000 km", "1,234.5 mm", "−5 °C", "½\"", "9999 9999/9999 in", "\xff mm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := measure.Parse(text)
		if err != nil {
			var e *measure.Error
			if !errors.As(err, &e) || !slices.Contains(measure.Codes(), e.Code) {
				t.Fatalf("%q: unclassified %v", text, err)
			}
			return
		}
		strict, err := measure.ParseValue(q.Value.String(), string(q.Unit))
		if err != nil || strict.Value != q.Value || strict.Unit != q.Unit {
			t.Fatalf("%q reads as %s, which reads as %s, %v", text, q, strict, err)
		}
		again, err := measure.Parse(q.Entered)
		if err != nil || again != q {
			t.Fatalf("%q entered as %q reads as %s, %v", text, q.Entered, again, err)
		}
	})
}
