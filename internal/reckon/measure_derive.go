package reckon

import (
	"math"
	"strconv"

	"benchtag/internal/measure"
)

// deriveAnswer derives a figure from readings.
func deriveAnswer(in measureIn) (Answer, error) {
	req, err := in.request()
	if err != nil {
		return Answer{}, err
	}
	got, err := measure.Derive(req)
	if err != nil {
		return Answer{}, at("", err)
	}
	value, err := derivedOut(got)
	verdict := "indicative"
	if got.Known {
		verdict = "measured"
	}
	return Answer{Verdict: verdict, Value: value, Working: got.Working, Warnings: got.Warnings}, err
}

func (in measureIn) request() (measure.Request, error) {
	req := measure.Request{Formula: in.Derive, With: in.With, FromPhoto: in.FromPhoto, Unit: measure.Unit(in.To)}
	if in.To != "" && !req.Unit.Known() {
		_, err := measure.ParseUnit(in.To)
		return req, at("/to", err)
	}
	common, err := in.Gauge.read("/gauge")
	if err != nil {
		return req, err
	}
	req.Temperature, err = in.Temperature.read("/temperature")
	if err != nil {
		return req, err
	}
	for i, r := range in.Readings {
		reading, err := r.read("/readings/" + strconv.Itoa(i))
		if err != nil {
			return req, err
		}
		if reading.Gauge == nil {
			reading.Gauge = common
		}
		req.Readings = append(req.Readings, reading)
	}
	return req, nil
}

func (in readingIn) read(pointer string) (measure.Reading, error) {
	out := measure.Reading{Of: in.Of}
	var err error
	out.Gauge, err = in.Gauge.read(pointer + "/gauge")
	if err != nil {
		return out, err
	}
	out.Temperature, err = in.Temperature.read(pointer + "/temperature")
	if err != nil {
		return out, err
	}
	for i, v := range in.Values {
		q, err := v.read(pointer + "/values/" + strconv.Itoa(i))
		if err != nil {
			return out, err
		}
		out.Values = append(out.Values, q)
	}
	return out, nil
}

func (g *gaugeIn) read(pointer string) (*measure.Gauge, error) {
	if g == nil {
		return nil, nil
	}
	out := &measure.Gauge{Name: g.Name, Display: measure.Display(g.Display)}
	var err error
	out.Resolution, err = g.Resolution.readIf(pointer + "/resolution")
	if err != nil {
		return nil, err
	}
	out.Uncertainty, err = g.Uncertainty.readIf(pointer + "/uncertainty")
	return out, err
}

func (t *temperatureIn) read(pointer string) (*measure.TakenAt, error) {
	if t == nil {
		return nil, nil
	}
	out := &measure.TakenAt{}
	for _, one := range []struct {
		from *Quantity
		to   *measure.Quantity
		name string
	}{{&t.Part, &out.Part, "/part"}, {t.Gauge, &out.Gauge, "/gauge"}, {t.Within, &out.Within, "/within"}} {
		var err error
		*one.to, err = one.from.readIf(pointer + one.name)
		if err != nil {
			return nil, err
		}
	}
	var err error
	out.PartPPM, err = expansion(pointer+"/part", t.PartExpansion, t.PartMaterial)
	if err != nil {
		return nil, err
	}
	out.GaugePPM, err = expansion(pointer+"/gauge", t.GaugeExpansion, t.GaugeMaterial)
	return out, err
}

func expansion(pointer, figure, material string) (float64, error) {
	if figure != "" {
		return number(pointer+"_expansion", figure)
	}
	g, err := measure.Growth(material)
	return g, at(pointer+"_material", err)
}

// readIf reads a quantity that may be left out.
func (q *Quantity) readIf(pointer string) (measure.Quantity, error) {
	if q == nil {
		return measure.Quantity{}, nil
	}
	return q.read(pointer)
}

// derivedOut writes what was derived.
func derivedOut(got measure.Result) (measureValue, error) {
	out := measureValue{Quantity: quantity(got.Value), Figures: map[string]Quantity{}}
	for _, f := range got.Figures {
		out.Figures[f.Name] = quantity(f.Quantity)
	}
	if got.Expanded.Unit == "" {
		return out, nil
	}
	u := &uncertaintyOut{Standard: quantity(got.Standard), Expanded: quantity(got.Expanded), Budget: []budgetOut{}}
	out.Uncertainty = u
	err := writeAll(outText{&u.Coverage, got.Coverage}, outText{&u.Freedom, got.Freedom})
	if err != nil {
		return out, err
	}
	for _, l := range got.Budget {
		line := budgetOut{Of: l.Of, What: l.What, Unit: string(l.Unit), Distribution: string(l.Distribution)}
		err := writeAll(outText{&line.Half, l.Half}, outText{&line.Divisor, l.Divisor}, outText{&line.Sensitivity, l.Sensitivity},
			outText{&line.Contribution, l.Contribution}, outText{&line.Freedom, l.Freedom})
		if err != nil {
			return out, err
		}
		u.Budget = append(u.Budget, line)
	}
	return out, nil
}

// outText is a figure and where its text goes.
type outText struct {
	at *string
	f  float64
}

// writeAll writes figures as text; one without end leaves its text empty.
func writeAll(all ...outText) error {
	for _, w := range all {
		if math.IsInf(w.f, 1) {
			continue
		}
		text, err := text(w.f)
		if err != nil {
			return err
		}
		*w.at = text
	}
	return nil
}
