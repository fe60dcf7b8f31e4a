package reckon

import (
	"fmt"
	"math"

	"benchtag/internal/measure"
)

// deriveOf makes a value of readings.
func deriveOf(in measureIn) (Answer, error) {
	ask := measure.Request{Formula: in.Derive, With: in.With, Unit: measure.Unit(in.To)}
	common, err := in.Gauge.read("/gauge")
	if err != nil {
		return Answer{}, err
	}
	for i, r := range in.Readings {
		pointer := fmt.Sprintf("/readings/%d", i)
		reading := measure.Reading{Of: r.Of, Gauge: common}
		if r.Gauge != nil {
			if reading.Gauge, err = r.Gauge.read(pointer + "/gauge"); err != nil {
				return Answer{}, err
			}
		}
		for j, v := range r.Values {
			q, err := v.read(fmt.Sprintf("%s/values/%d", pointer, j))
			if err != nil {
				return Answer{}, err
			}
			reading.Values = append(reading.Values, q)
		}
		ask.Readings = append(ask.Readings, reading)
	}
	if ask.Temperature, err = in.Temperature.read(); err != nil {
		return Answer{}, err
	}
	got, err := measure.Derive(ask)
	if err != nil {
		return Answer{}, at("/readings", err)
	}
	return derived(got)
}

// derived gives a result as an answer.
func derived(r measure.Result) (Answer, error) {
	value := measureValue{Quantity: quantity(r.Value), Figures: map[string]Quantity{}}
	for _, f := range r.Figures {
		written, err := text(f.Value)
		if err != nil {
			return Answer{}, err
		}
		value.Figures[f.Name] = Quantity{Value: written, Unit: string(f.Unit)}
	}
	verdict := "indicative"
	if r.Known {
		verdict = "measured"
		u, err := uncertaintyOf(r)
		if err != nil {
			return Answer{}, err
		}
		value.Uncertainty = u
	}
	return Answer{Verdict: verdict, Value: value, Working: r.Working, Warnings: r.Warnings}, nil
}

func uncertaintyOf(r measure.Result) (*uncertaintyOut, error) {
	out := &uncertaintyOut{Standard: quantity(r.Standard), Expanded: quantity(r.Expanded), Budget: []budgetOut{}}
	var err error
	write := func(f float64) string {
		written, problem := text(f)
		if problem != nil {
			err = problem
		}
		return written
	}
	out.Coverage = write(r.Coverage)
	if !math.IsInf(r.Freedom, 1) {
		out.Freedom = write(r.Freedom)
	}
	for _, l := range r.Budget {
		out.Budget = append(out.Budget, budgetOut{Of: l.Of, What: l.What, Distribution: l.Distribution, Half: write(l.Half),
			Divisor: write(l.Divisor), Sensitivity: write(l.Sensitivity), Contribution: write(l.Contribution)})
	}
	return out, err
}

func (g *gaugeIn) read(pointer string) (*measure.Gauge, error) {
	if g == nil {
		return nil, nil
	}
	out := &measure.Gauge{Name: g.Name}
	var err error
	if g.Resolution != nil {
		if out.Resolution, err = g.Resolution.read(pointer + "/resolution"); err != nil {
			return nil, err
		}
	}
	if g.Uncertainty != nil {
		if out.Uncertainty, err = g.Uncertainty.read(pointer + "/uncertainty"); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (t *temperatureIn) read() (*measure.TakenAt, error) {
	if t == nil {
		return nil, nil
	}
	out := &measure.TakenAt{}
	var err error
	if out.Part, err = t.Part.read("/temperature/part"); err != nil {
		return nil, err
	}
	if out.Gauge, err = t.Gauge.read("/temperature/gauge"); err != nil {
		return nil, err
	}
	if out.PartPPM, err = expansion("/temperature/part", t.PartExpansion, t.PartMaterial); err != nil {
		return nil, err
	}
	out.GaugePPM, err = expansion("/temperature/gauge", t.GaugeExpansion, t.GaugeMaterial)
	return out, err
}

func expansion(pointer, figure, material string) (float64, error) {
	if figure != "" {
		return number(pointer+"_expansion", figure)
	}
	g, err := measure.Growth(material)
	return g, at(pointer+"_material", err)
}
