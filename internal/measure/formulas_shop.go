package measure

import (
	"math"
	"strconv"
	"strings"
)

// leakDown is 100 (supply − cylinder)/supply; a reading in percent is taken as
// it is.
func leakDown(in *input) (model, error) {
	if len(in.all) == 1 && in.all[0].unit.Dimension() == Ratio {
		return mean(in)
	}
	supply, cylinder := in.named("supply"), in.named("cylinder")
	if supply == nil || cylinder == nil || len(in.all) != 2 {
		return model{}, problem(ReadingMissing, "Give the pressure supplied as supply and what is left behind the orifice as cylinder, or the percentage that the tester shows.")
	}
	return share(in, supply, cylinder, "Leak-down")
}

// share is 100 (whole − rest)/whole.
func share(in *input, whole, rest *estimate, name string) (model, error) {
	if err := in.alike(); err != nil {
		return model{}, err
	}
	if whole.mean == 0 {
		return model{}, problem(ValueOutOfRange, "The reading that everything is compared with is nought.")
	}
	m := model{value: 100 * (whole.mean - rest.mean) / whole.mean, unit: Percent}
	m.terms = []term{{whole, 100 * rest.mean / (whole.mean * whole.mean)}, {rest, -100 / whole.mean}}
	m.working = []string{name + " = 100 × (" + show(whole.mean) + " − " + show(rest.mean) + ") ÷ " + show(whole.mean) + " = " + show(m.value) + " %."}
	return m, nil
}

func (in *input) named(of string) *estimate {
	for i := range in.all {
		if in.all[i].of == of {
			return &in.all[i]
		}
	}
	return nil
}

// pressureSpread is 100 (max − min)/max over the cylinders.
func pressureSpread(in *input) (model, error) {
	if len(in.all) < 2 {
		return model{}, problem(ReadingMissing, "Give a reading of each cylinder, two at least.")
	}
	var most, least *estimate
	for i := range in.all {
		most, least = larger(most, &in.all[i]), smaller(least, &in.all[i])
	}
	m, err := share(in, most, least, "Spread")
	if err == nil {
		m.figures = []Figure{{"ratio", 100 * least.mean / most.mean, Percent}}
	}
	return m, err
}

// copper's coefficient at 20 °C, a kelvin (IEC 60028), and the temperature in
// degrees Celsius, sign changed, at which the other form has no resistance left.
const (
	copperAlpha   = 0.00393
	copperZero    = 234.5
	aluminiumZero = 225
)

// resistance is R20 = R/(1 + 0.00393 (t − 20)) for copper (IEC 60028); the form
// R20 = R (K + 20)/(K + t) stands beside it. Several windings: their mean.
func resistance(in *input) (model, error) {
	t, err := in.celsius()
	if err != nil {
		return model{}, err
	}
	m, err := mean(in)
	if err != nil {
		return m, err
	}
	zero := float64(copperZero)
	factor := 1 + copperAlpha*(t-20)
	words := "R20 = R ÷ (1 + 0.00393 × (t − 20))"
	if in.With["material"] == "aluminium" {
		zero = aluminiumZero
		factor = (zero + t) / (zero + 20)
		words = "R20 = R × (225 + 20) ÷ (225 + t)"
	}
	if factor <= 0 {
		return m, problem(ValueOutOfRange, "No winding is that cold; check the temperature.")
	}
	r := m.value
	m.value = r / factor
	for i := range m.terms {
		m.terms[i].by /= factor
	}
	m.figures = []Figure{{"by_zero_temperature", r * (zero + 20) / (zero + t), m.unit}, {"at_reading", r, m.unit}}
	m.working = append(m.working, words+" = "+show(r)+" ÷ "+show(factor)+" = "+show(m.value)+" "+m.unit.Symbol()+" (IEC 60028; t = "+show(t)+" °C).")
	return m, nil
}

// insulation is R40 = R × 0.5^((40 − t)/10) (IEEE 43-2013, thermoplastic; meant
// for machines of 750 W and more, here by analogy).
func insulation(in *input) (model, error) {
	t, err := in.celsius()
	if err != nil {
		return model{}, err
	}
	m, err := least(in)
	if err != nil {
		return m, err
	}
	factor := math.Pow(0.5, (40-t)/10)
	r := m.value
	m.value = r * factor
	for i := range m.terms {
		m.terms[i].by *= factor
	}
	m.figures = []Figure{{"factor", factor * 100, Percent}}
	m.working = append(m.working, "R40 = R × 0.5^((40 − t) ÷ 10) = "+show(r)+" × "+show(factor)+" = "+show(m.value)+" "+m.unit.Symbol()+" (IEEE 43-2013, by analogy: it is meant for machines of 750 W and more).")
	return m, nil
}

// polarisation is R10/R1 in percent (IEEE 43-2013; not for small random
// windings, so indicative).
func polarisation(in *input) (model, error) {
	ten, one := in.named("ten_minutes"), in.named("one_minute")
	if ten == nil || one == nil || len(in.all) != 2 || one.mean <= 0 {
		return model{}, problem(ReadingMissing, "Give the resistance after one minute as one_minute and after ten as ten_minutes.")
	}
	if err := in.alike(); err != nil {
		return model{}, err
	}
	m := model{value: 100 * ten.mean / one.mean, unit: Percent, indicative: true, terms: []term{{ten, 100 / one.mean}, {one, -100 * ten.mean / (one.mean * one.mean)}}}
	m.working = []string{"Index = R10 ÷ R1 = " + show(ten.mean) + " ÷ " + show(one.mean) + " = " + show(ten.mean/one.mean) + " (IEEE 43-2013; does not apply to small random windings)."}
	return m, nil
}

// unbalance is 100 max|Vi − mean|/mean (NEMA MG 1).
func unbalance(in *input) (model, error) {
	if len(in.all) < 2 {
		return model{}, problem(ReadingMissing, "Give a reading of each phase, two at least.")
	}
	m, err := mean(in)
	if err != nil {
		return m, err
	}
	average, n := m.value, float64(len(in.all))
	if average == 0 {
		return m, problem(ValueOutOfRange, "The phases are nought on the mean; check the readings.")
	}
	far := &in.all[0]
	for i := range in.all {
		if math.Abs(in.all[i].mean-average) > math.Abs(far.mean-average)*(1+1e-12) {
			far = &in.all[i]
		}
	}
	sign := math.Copysign(1, far.mean-average)
	m.value = 100 * math.Abs(far.mean-average) / average
	m.terms = nil
	for i := range in.all {
		by := -sign * far.mean / (n * average * average) * 100
		if &in.all[i] == far {
			by += sign * 100 / average
		}
		m.terms = append(m.terms, term{&in.all[i], by})
	}
	m.figures = []Figure{{"mean", average, in.all[0].unit}}
	m.unit = Percent
	m.working = append(m.working, "Unbalance = 100 × |"+show(far.mean)+" − "+show(average)+"| ÷ "+show(average)+" = "+show(m.value)+" % (NEMA MG 1).")
	return m, nil
}

// voltageDrop is source minus load, or what the meter showed across the lead.
func voltageDrop(in *input) (model, error) {
	source, load := in.named("source"), in.named("load")
	if source == nil && load == nil {
		return worst(in)
	}
	if source == nil || load == nil || len(in.all) != 2 {
		return model{}, problem(ReadingMissing, "Give the voltages as source and load, or the drop the meter shows across the lead.")
	}
	if err := in.alike(); err != nil {
		return model{}, err
	}
	m := model{value: source.mean - load.mean, unit: source.unit, terms: []term{{source, 1}, {load, -1}}}
	m.working = []string{"Drop = " + source.words + " − " + load.words + " = " + show(m.value) + " " + m.unit.Symbol() + "."}
	return m, nil
}

func lengthAt20(in *input) (model, error) {
	if in.Temperature == nil {
		return model{}, problem(TemperatureMissing, "Give the temperatures of part and gauge.")
	}
	return mean(in)
}

// celsius gives the temperature a resistance was read at: with temperature, or
// that of the part.
func (in *input) celsius() (float64, error) {
	if text := strings.TrimSpace(in.With["temperature"]); text != "" {
		q, err := Parse(text)
		if err != nil {
			return 0, err
		}
		return number(q, Celsius)
	}
	if in.Temperature == nil {
		return 0, problem(TemperatureMissing, "Give the temperature it was read at.")
	}
	return number(in.Temperature.Part, Celsius)
}

// whole reads a whole number, above nought, that the formula needs.
func (in *input) whole(name string) (int, error) {
	text := strings.TrimSpace(in.With[name])
	if text == "" {
		return 0, problem(ParameterMissing, "The formula needs "+name+".")
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > 1000 {
		return 0, problem(ParameterMalformed, "Give "+name+" as a whole number from 1 to 1000.")
	}
	return n, nil
}

// length reads a length that the formula needs, in a unit.
func (in *input) length(name string, unit Unit) (float64, error) {
	text := strings.TrimSpace(in.With[name])
	if text == "" {
		return 0, problem(ParameterMissing, "The formula needs "+name+".")
	}
	q, err := Parse(text)
	if err != nil {
		return 0, err
	}
	v, err := number(q, unit)
	if err == nil && v <= 0 {
		err = problem(ParameterMalformed, "Give "+name+" as a length above nought.")
	}
	return v, err
}

// growths are linear expansions in millionths a kelvin: gauge steel 11.5 (ISO
// 1 practice), aluminium about 23; the others are handbook values from memory.
func growths() map[string]float64 {
	return map[string]float64{"steel": 11.5, "cast_iron": 10.5, "aluminium": 23, "bronze": 18, "brass": 19, "copper": 17, "magnesium": 26, "titanium": 8.6}
}

// Growth gives the expansion of a material in millionths a kelvin; "" is
// steel. Fault: name_unknown.
func Growth(material string) (float64, error) {
	if material == "" {
		material = "steel"
	}
	if g, ok := growths()[material]; ok {
		return g, nil
	}
	return 0, problem(NameUnknown, "There is no expansion for that material here; there are aluminium, brass, bronze, cast_iron, copper, magnesium, steel and titanium.")
}
