package measure

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"benchtag/internal/chance"
)

// Request is readings, how they were taken, and what to make of them.
type Request struct {
	// Formula names what to make of them: one of Formulas.
	Formula  string
	Readings []Reading
	// With holds figures the formula needs besides, by name, as text.
	With map[string]string
	// Temperature is that of part and gauge; lengths are brought to 20 °C by
	// it (ISO 1). nil: not taken.
	Temperature *TakenAt
	// Unit is what the value is wanted in; "" the readings' own.
	Unit Unit
}

// Reading is what was read of one thing, as often as it was read.
type Reading struct {
	Of     string // what of, as the formula names it; "" where it has one thing
	Values []Quantity
	Gauge  *Gauge // nil: no data, so there is no uncertainty either
}

// Gauge is what is known of a measuring tool. A quantity without unit is no
// data.
type Gauge struct {
	Name string
	// Resolution is the smallest step it shows.
	Resolution Quantity
	// Uncertainty is the expanded one of its certificate, k = 2.
	Uncertainty Quantity
}

// TakenAt is the temperature of part and gauge, and how much both grow, in
// millionths a kelvin.
type TakenAt struct {
	Part, Gauge       Quantity
	PartPPM, GaugePPM float64
}

// Result is what comes of a request.
type Result struct {
	Value Quantity
	// Known says that there is an uncertainty; without a gauge's data there
	// is none, and the value is indicative only.
	Known    bool
	Standard Quantity // u, rounded up to two digits
	Expanded Quantity // U = k u, rounded up to two digits
	Coverage float64  // k: 2, or Student's for few repeats
	Freedom  float64  // effective degrees of freedom; +Inf where nothing limits them
	Budget   []BudgetLine
	Figures  []Figure // further results, by name
	Working  []string
	Warnings []string
}

// BudgetLine is one contribution to the uncertainty, in the value's unit.
type BudgetLine struct {
	Of           string // which reading
	What         string // resolution, certificate, repeats, interval
	Distribution string
	Divisor      float64
	Half         float64 // what was divided: half-width, U or s
	Sensitivity  float64
	Contribution float64 // |sensitivity| × half ÷ divisor
	Freedom      float64
}

// Figure is a further result.
type Figure struct {
	Name  string
	Value float64
	Unit  Unit
}

// maxReadings bounds a request. Common practice, no source.
const maxReadings = 100

// Derive makes a value of readings, with its uncertainty line by line (JCGM
// 100: contributions combine as the root of the sum of squares; resolution d
// gives d/(2√3); a certificate gives U/2; repeats give s/√n; degrees of freedom
// by Welch and Satterthwaite). Faults: derive_unknown, reading_missing,
// reading_unclear, parameter_missing, parameter_malformed, temperature_missing
// and those of units.
func Derive(r Request) (Result, error) {
	f, ok := formulaNamed(r.Formula)
	if !ok {
		return Result{}, problem(DeriveUnknown, "There is no formula of that name; there are "+strings.Join(Formulas(), ", ")+".")
	}
	in, err := take(r)
	if err != nil {
		return Result{}, err
	}
	m, err := f.run(in)
	if err != nil {
		return Result{}, err
	}
	return in.settle(m)
}

// input is a request with its readings summed up, all in one unit a
// dimension: that of the first reading of it.
type input struct {
	Request
	units map[Dimension]Unit
	all   []estimate
	notes []string
}

// estimate is one reading summed up.
type estimate struct {
	of    string
	mean  float64
	low   float64
	high  float64
	n     int
	unit  Unit
	parts []part
	known bool
	words string // "36.020 mm" or "mean of 3: 36.0203 mm"
}

// part is one contribution to an estimate's uncertainty.
type part struct {
	what, distribution string
	half, divisor      float64
	freedom            float64
}

// model is a value as a sum of terms, or near it.
type model struct {
	value   float64
	unit    Unit
	terms   []term
	figures []Figure
	working []string
	// indicative says that the value decides nothing whatever the gauge.
	indicative bool
}

// term is an estimate and how much the value moves with it.
type term struct {
	of *estimate
	by float64
}

func take(r Request) (*input, error) {
	in := &input{Request: r, units: map[Dimension]Unit{}}
	if len(r.Readings) == 0 || len(r.Readings) > maxReadings {
		return nil, problem(ReadingMissing, "Give from one to 100 readings.")
	}
	for _, reading := range r.Readings {
		e, err := in.sum(reading)
		if err != nil {
			return nil, err
		}
		in.all = append(in.all, e)
	}
	return in, nil
}

// unitFor gives the unit in which readings of a dimension are reckoned.
func (in *input) unitFor(d Dimension, first Unit) Unit {
	if in.units[d] == "" {
		in.units[d] = first
		if in.Unit.Dimension() == d {
			in.units[d] = in.Unit
		}
	}
	return in.units[d]
}

func (in *input) sum(r Reading) (estimate, error) {
	if len(r.Values) == 0 || len(r.Values) > maxReadings {
		return estimate{}, problem(ReadingMissing, "Give the values that were read, from one to 100 of each thing.")
	}
	e := estimate{of: r.Of, n: len(r.Values), low: math.Inf(1), high: math.Inf(-1)}
	e.unit = in.unitFor(r.Values[0].Unit.Dimension(), r.Values[0].Unit)
	values := make([]float64, e.n)
	for i, q := range r.Values {
		v, err := number(q, e.unit)
		if err != nil {
			return e, err
		}
		if values[i], err = in.at20(v, e.unit); err != nil {
			return e, err
		}
		e.low, e.high = math.Min(e.low, values[i]), math.Max(e.high, values[i])
	}
	sort.Float64s(values) // so that the order of repeats changes nothing
	for _, v := range values {
		e.mean += v / float64(e.n)
	}
	e.words = show(e.mean) + " " + e.unit.Symbol()
	if e.n > 1 {
		e.words = "the mean of " + strconv.Itoa(e.n) + ", " + e.words
	}
	return e, in.doubts(&e, r, values)
}

// doubts adds what makes an estimate uncertain.
func (in *input) doubts(e *estimate, r Reading, values []float64) error {
	if e.n > 1 {
		s := spreadOf(values, e.mean)
		e.parts = append(e.parts, part{"repeats", "s of " + strconv.Itoa(e.n) + " ÷ √n", s, math.Sqrt(float64(e.n)), float64(e.n - 1)})
	}
	if r.Gauge == nil {
		return nil
	}
	for _, known := range []struct {
		of      Quantity
		what    string
		spread  string
		scale   float64
		divisor float64
	}{
		{r.Gauge.Resolution, "resolution", "rectangular, half a step", 0.5, math.Sqrt(3)},
		{r.Gauge.Uncertainty, "certificate", "normal, k = 2", 1, 2},
	} {
		if known.of.Unit == "" {
			continue
		}
		v, err := number(known.of, e.unit)
		if err != nil {
			return err
		}
		e.known = true
		e.parts = append(e.parts, part{known.what, known.spread, math.Abs(v) * known.scale, known.divisor, math.Inf(1)})
	}
	return nil
}

func spreadOf(values []float64, mean float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(values)-1))
}

// at20 brings a length to 20 °C where the temperatures are known: what the
// gauge read, times how much the gauge has grown, over how much the part has
// (ISO 1; exact form).
func (in *input) at20(v float64, unit Unit) (float64, error) {
	if in.Temperature == nil || unit.Dimension() != Length {
		return v, nil
	}
	part, err := number(in.Temperature.Part, Celsius)
	if err != nil {
		return 0, err
	}
	gauge, err := number(in.Temperature.Gauge, Celsius)
	if err != nil {
		return 0, err
	}
	out := v * (1 + in.Temperature.GaugePPM*1e-6*(gauge-20)) / (1 + in.Temperature.PartPPM*1e-6*(part-20))
	in.notes = append(in.notes, "At 20 °C: "+show(v)+" × (1 + "+show(in.Temperature.GaugePPM)+"e-6 × ("+show(gauge)+" − 20)) ÷ (1 + "+
		show(in.Temperature.PartPPM)+"e-6 × ("+show(part)+" − 20)) = "+show(out)+" "+unit.Symbol()+" (ISO 1).")
	return out, nil
}

// settle turns a model into a result.
func (in *input) settle(m model) (Result, error) {
	value, err := quantityOf(m.value, m.unit)
	if err != nil {
		return Result{}, err
	}
	r := Result{Value: value, Figures: m.figures, Working: append(in.notes, m.working...), Known: !m.indicative && len(m.terms) > 0, Coverage: 2, Freedom: math.Inf(1)}
	squares, freedom, repeated := 0.0, 0.0, false
	for _, t := range m.terms {
		r.Known = r.Known && t.of.known
		repeated = repeated || t.of.n > 1
		for _, p := range t.of.parts {
			line := BudgetLine{Of: t.of.of, What: p.what, Distribution: p.distribution, Divisor: p.divisor, Half: p.half, Sensitivity: t.by,
				Contribution: math.Abs(t.by) * p.half / p.divisor, Freedom: p.freedom}
			r.Budget = append(r.Budget, line)
			squares += line.Contribution * line.Contribution
			if !math.IsInf(p.freedom, 1) {
				freedom += math.Pow(line.Contribution, 4) / p.freedom
			}
		}
	}
	if freedom > 0 {
		r.Freedom = squares * squares / freedom
	}
	r.warn(m, repeated)
	return r, in.expand(&r, m, math.Sqrt(squares))
}

func (r *Result) warn(m model, repeated bool) {
	switch {
	case m.indicative:
		r.Warnings = append(r.Warnings, "This way of measuring is indicative: it decides no grade.")
	case !r.Known:
		r.Warnings = append(r.Warnings, "Resolution or certificate of a gauge is not known, so the uncertainty is no data and the value is indicative.")
	}
	if !repeated {
		r.Warnings = append(r.Warnings, "Each thing was read once: how well readings repeat is no data, and not in the uncertainty.")
	}
}

// level is the one-sided probability that k = 2 stands for: Φ(2).
const level = 0.977249868

// expand adds u and U, and says how.
func (in *input) expand(r *Result, m model, u float64) error {
	if !r.Known {
		return nil
	}
	words := "k = 2"
	if r.Freedom < 50 {
		r.Coverage = chance.StudentQuantile(level, math.Max(1, math.Floor(r.Freedom)))
		words = "k = " + show(r.Coverage) + ", Student's t for " + show(math.Floor(r.Freedom)) + " degrees of freedom (Welch and Satterthwaite)"
	}
	sum := make([]string, 0, len(r.Budget))
	for _, line := range r.Budget {
		r.Working = append(r.Working, line.words(m.unit))
		sum = append(sum, show(line.Contribution)+"²")
	}
	var err error
	if r.Standard, err = quantityOf(roundUp(u), m.unit); err != nil {
		return err
	}
	if r.Expanded, err = quantityOf(roundUp(u*r.Coverage), m.unit); err != nil {
		return err
	}
	r.Working = append(r.Working,
		"u = √("+strings.Join(sum, " + ")+") = "+show(u)+" "+m.unit.Symbol()+" (JCGM 100, 5.1.2).",
		"U = "+words+": "+show(r.Coverage)+" × "+show(u)+", rounded up to two digits = "+r.Expanded.String()+".")
	return nil
}

func (l BudgetLine) words(unit Unit) string {
	of := ""
	if l.Of != "" {
		of = " of " + l.Of
	}
	times := ""
	if math.Abs(l.Sensitivity) != 1 {
		times = show(math.Abs(l.Sensitivity)) + " × "
	}
	return "Uncertainty, " + l.What + of + " (" + l.Distribution + "): " + times + show(l.Half) + " ÷ " + show(l.Divisor) + " = " + show(l.Contribution) + " " + unit.Symbol() + "."
}

// number gives a quantity in a unit as a floating-point number.
func number(q Quantity, unit Unit) (float64, error) {
	in, err := Convert(q, unit)
	if err != nil {
		return 0, err
	}
	f, err := strconv.ParseFloat(in.Value.String(), 64)
	if err != nil {
		return 0, problem(NumberMalformed, "This is not a number.")
	}
	return f, nil
}

// quantityOf gives a number in a unit as a quantity, rounded to twelve
// significant digits, which takes away what binary fractions added.
func quantityOf(v float64, unit Unit) (Quantity, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) >= 1e18 {
		return Quantity{}, problem(ValueOutOfRange, "The readings lead to no finite value; check them for noughts and slips.")
	}
	d, err := ParseDecimal(show12(v))
	return Quantity{Value: d, Unit: unit}, err
}

// roundUp rounds to two significant digits, never down, and not up for what
// binary fractions added.
func roundUp(v float64) float64 {
	if v <= 0 {
		return 0
	}
	size := math.Pow(10, math.Floor(math.Log10(v))-1)
	return math.Ceil(v/size-1e-9) * size
}

// show12 writes a number with at most twelve significant digits and twelve
// places.
func show12(v float64) string { return decimalText(v, 12) }

// show writes a number for a working, with six significant digits.
func show(v float64) string { return decimalText(v, 7) }

func decimalText(v float64, digits int) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		rounded = v
	}
	text := strconv.FormatFloat(rounded, 'f', -1, 64)
	if i := strings.IndexByte(text, '.'); i >= 0 && len(text)-i-1 > maxScale {
		text = strings.TrimRight(strings.TrimRight(text[:i+1+maxScale], "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}
