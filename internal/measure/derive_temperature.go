package measure

import (
	"maps"
	"math"
	"slices"
	"strings"
)

// growths are linear expansions in millionths a kelvin: gauge steel 11.5 (ISO
// 1 practice), aluminium about 23; the others are handbook values from memory.
// Alloys differ by a tenth and more.
func growths() map[string]float64 {
	return map[string]float64{"steel": 11.5, "cast_iron": 10.5, "aluminium": 23, "bronze": 18, "brass": 19, "copper": 17,
		"glass": 8, "magnesium": 26, "stainless_steel": 16, "titanium": 8.6}
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
	return 0, problem(NameUnknown, "There is no expansion for that material here; there are "+
		strings.Join(slices.Sorted(maps.Keys(growths())), ", ")+". Or give it in millionths a kelvin.")
}

// expansionOf reads a material by name, or an expansion in millionths a kelvin.
func expansionOf(text string) (float64, error) {
	d, err := ParseDecimal(text)
	if err != nil {
		return Growth(text)
	}
	return float(d), nil
}

// kelvins is a TakenAt in numbers.
type kelvins struct {
	part, gauge     float64 // kelvins above 20 °C
	byPart, byGauge float64 // expansion, 1/K
	within          float64 // K
	oneTogether     bool    // one thermometer stood for both
}

func (t *TakenAt) numbers() (kelvins, error) {
	w := kelvins{within: 1, byPart: t.PartPPM / 1e6, byGauge: t.GaugePPM / 1e6}
	var err error
	if !(t.PartPPM >= 0 && t.PartPPM <= 1000 && t.GaugePPM >= 0 && t.GaugePPM <= 1000) {
		return w, outOfRange("Give expansions in millionths a kelvin, from 0 to 1000; steel has 11.5.")
	}
	w.part, err = above20(t.Part)
	if err != nil {
		return w, placed("/part", err)
	}
	w.gauge, w.oneTogether = w.part, t.Gauge.Unit == ""
	if !w.oneTogether {
		w.gauge, err = above20(t.Gauge)
		if err != nil {
			return w, placed("/gauge", err)
		}
	}
	if t.Within.Unit != "" {
		w.within, err = t.Within.width(Celsius)
	}
	return w, placed("/within", err)
}

// above20 gives kelvins above 20 °C; no data stands for 20 °C.
func above20(q Quantity) (float64, error) {
	if q.Unit == "" {
		return 0, nil
	}
	c, err := Convert(q, Celsius)
	if err != nil {
		return 0, err
	}
	t := float(c.Value)
	if t < -273.15 || t > 2000 {
		return 0, outOfRange("Give a temperature between absolute zero and 2000 °C.")
	}
	return t - 20, nil
}

// width gives a quantity as a difference in a unit: offsets of temperature
// scales fall out. Not below nought.
func (q Quantity) width(in Unit) (float64, error) {
	err := together(q.Unit, in)
	if err != nil {
		return 0, err
	}
	if q.Value.Sign() < 0 {
		return 0, outOfRange("A width is nought or more.")
	}
	return float(q.Value) * float64(q.Unit.facts().factor) / float64(in.facts().factor), nil
}

// at20 gives a length as it would be read at 20 °C:
// L (1 + αs (ts − 20))/(1 + αp (tp − 20)), with the scale's and the part's
// expansion and temperature (ISO 1; from the definition).
func (w kelvins) at20(length float64) float64 {
	return length * (1 + w.byGauge*w.gauge) / (1 + w.byPart*w.part)
}

// correct takes a length to 20 °C, and keeps what the temperatures leave
// uncertain: each within ± so many kelvins, each coefficient within a tenth
// of itself, rectangular (common practice, no source).
func (in *input) correct(one located) error {
	if one.Temperature == nil || in.grid.unit != Millimetre {
		return nil
	}
	w, err := one.Temperature.numbers()
	if err != nil {
		return placed("/temperature", err)
	}
	length := in.x()
	in.n = int64(math.Round(w.at20(float64(in.n))))
	add := func(what string, half float64, unit Unit, by float64) {
		if half*by != 0 {
			in.byWarmth = append(in.byWarmth, BudgetLine{What: what, Half: half, Freedom: math.Inf(1), Unit: unit,
				Distribution: Rectangular, Divisor: math.Sqrt(3), Sensitivity: by})
		}
	}
	if w.oneTogether {
		add("temperature of part and gauge", w.within, Kelvin, length*math.Abs(w.byGauge-w.byPart))
	} else {
		add("temperature of the part", w.within, Kelvin, length*w.byPart)
		add("temperature of the gauge", w.within, Kelvin, length*w.byGauge)
	}
	const alloys = 0.1
	add("expansion of the part", alloys*w.byPart, "/K", length*math.Abs(w.part))
	add("expansion of the gauge", alloys*w.byGauge, "/K", length*math.Abs(w.gauge))
	return nil
}

// warmthFromWith takes the temperatures of a formula that has them among its
// figures, where the request gives none.
func (r *reckoning) warmthFromWith(req *Request) error {
	if req.Temperature != nil || !contains(r.formula.with, "part_temperature") {
		return nil
	}
	part, gauge := r.first("part_temperature", "temperature"), r.first("gauge_temperature", "temperature")
	if part == "" && gauge == "" {
		return nil
	}
	partWord, gaugeWord := r.first("part_expansion", "expansion"), r.first("gauge_expansion", "expansion")
	if r.first("gauge_expansion", "gauge_temperature") == "" { // a length as it is, and not as some gauge reads it
		gaugeWord = "0"
	}
	var t TakenAt
	var err error
	t.PartPPM, err = expansionOf(partWord)
	if err != nil {
		return placed("/with/part_expansion", err)
	}
	t.GaugePPM, err = expansionOf(gaugeWord)
	if err != nil {
		return placed("/with/gauge_expansion", err)
	}
	for _, to := range []struct {
		text string
		at   *Quantity
		unit Unit
	}{{part, &t.Part, Celsius}, {gauge, &t.Gauge, Celsius}, {strings.TrimSpace(r.with["within"]), &t.Within, Kelvin}} {
		if to.text == "" {
			continue
		}
		q, err := parseIn(to.text, to.unit)
		if err != nil {
			return placed("/with", err)
		}
		*to.at = q
	}
	if part == gauge {
		t.Gauge = Quantity{}
	}
	req.Temperature, r.room = &t, &t
	return nil
}

// first gives the first of several figures that is there.
func (r *reckoning) first(names ...string) string {
	for _, name := range names {
		if text := strings.TrimSpace(r.with[name]); text != "" {
			return text
		}
	}
	return ""
}

// parseIn reads a quantity, or a bare number in a unit.
func parseIn(text string, unit Unit) (Quantity, error) {
	d, err := ParseDecimal(text)
	if err == nil {
		return Quantity{Value: d, Unit: unit}, nil
	}
	return Parse(text)
}
