package app

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/grade"
	"benchtag/internal/layout"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

// engineRevision names the engines that judge a measurement; raise it when an
// answer can change.
const engineRevision = "measure/1 grade/1"

// judge derives the value of a measurement, its uncertainty, its verdict and
// its grade, and keeps what they were reckoned from.
func (a *App) judge(c *JobChange, is *shop.Measurement) error {
	m, err := a.mapOf(c, *c.Job)
	if err != nil {
		return err
	}
	point, err := pointOf(m, is.Point)
	if err != nil {
		return err
	}
	ask, gauges, err := c.requestOf(is, point)
	if err != nil {
		return err
	}
	got, err := measure.Derive(ask)
	if err != nil {
		return ofMeasurement(err, "/readings")
	}
	is.Result, is.Uncertainty = quantityView(got.Value), shop.Quantity{}
	if got.Known {
		is.Uncertainty = quantityView(got.Expanded)
	}
	is.Readings.Derive, is.EngineRevision = ask.Formula, engineRevision
	is.Working = append(slices.Clone(got.Working), got.Warnings...)
	verdict, asked, err := a.verdictOf(c, m, point, is, got, gauges)
	if err != nil {
		return err
	}
	is.Verdict, is.Indicative, is.Grade = string(verdict.Outcome), verdict.Indicative, gradeOrNone(verdict)
	is.Working = append(append(append(is.Working, verdict.Working...), verdict.Reasons...), verdict.IndicativeBecause...)
	is.Inputs, err = json.Marshal(struct {
		Derived measure.Request `json:"derived"`
		Judged  grade.Request   `json:"judged"`
	}{ask, asked})
	if err != nil {
		return fmt.Errorf("app: keep what a verdict was reckoned from: %w", err)
	}
	return nil
}

// gradeOrNone gives the grade that counts; none of a measurement that decides
// nothing. On a part that may hurt someone, what nobody can tell counts as
// beyond its limit until it is settled.
func gradeOrNone(v grade.Verdict) *int64 {
	g := v.Grade
	if v.Outcome == grade.Undecided && v.CountsAs == grade.Beyond {
		g = grade.BeyondLimit
	}
	if v.Indicative || g == grade.None {
		return nil
	}
	n := int64(g)
	return &n
}

// requestOf makes the engine's question of a measurement: formula and figures
// from the machine map's point, or as the technician gives them.
func (c *JobChange) requestOf(is *shop.Measurement, point *layout.Point) (measure.Request, []shop.Gauge, error) {
	ask := measure.Request{Formula: is.Readings.Derive, With: map[string]string{}}
	if point != nil {
		ask.Formula, ask.Unit = point.Derive, point.Unit
		for name, text := range point.With {
			ask.With[name] = text
		}
	}
	if ask.Formula == "" {
		return ask, nil, fault.Invalid("app.formula_missing", "/derive", "Name a measured point of the machine map, or the formula.")
	}
	for name, text := range is.Readings.With {
		ask.With[name] = text
	}
	var used []shop.Gauge
	for i, r := range is.Readings.Readings {
		gauge, err := c.gaugeFor(is, r, &used, i)
		if err != nil {
			return ask, nil, err
		}
		reading := measure.Reading{Of: r.Of, Gauge: gauge}
		for j, v := range r.Values {
			q, err := quantityOf(v)
			if err != nil {
				return ask, nil, ofMeasurement(err, fmt.Sprintf("/readings/%d/values/%d", i, j))
			}
			reading.Values = append(reading.Values, q)
		}
		ask.Readings = append(ask.Readings, reading)
	}
	var err error
	ask.Temperature, err = takenAt(is.Readings.Temperature)
	return ask, used, err
}

// gaugeFor loads the gauge of a reading: its own, or the one for all.
func (c *JobChange) gaugeFor(is *shop.Measurement, r shop.PointReading, used *[]shop.Gauge, i int) (*measure.Gauge, error) {
	id, pointer := is.GaugeID, "/gauge_id"
	if r.GaugeID != "" {
		id, pointer = r.GaugeID, fmt.Sprintf("/readings/%d/gauge_id", i)
	}
	if id == "" {
		*used = append(*used, shop.Gauge{})
		return nil, nil
	}
	row, err := pointed[shop.Gauge](c, string(id), pointer)
	if err != nil {
		return nil, err
	}
	*used = append(*used, row)
	out := &measure.Gauge{Name: row.Name}
	for _, q := range []struct {
		from shop.Quantity
		to   *measure.Quantity
	}{{row.Resolution, &out.Resolution}, {row.Uncertainty, &out.Uncertainty}} {
		if q.from.IsZero() {
			continue
		}
		if *q.to, err = quantityOf(q.from); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func takenAt(t *shop.PointTemperature) (*measure.TakenAt, error) {
	if t == nil {
		return nil, nil
	}
	out := &measure.TakenAt{}
	var err error
	for _, one := range []struct {
		pointer  string
		from     shop.Quantity
		to       *measure.Quantity
		material string
		growth   *float64
	}{
		{"/temperature/part", t.Part, &out.Part, t.PartMaterial, &out.PartPPM},
		{"/temperature/gauge", t.Gauge, &out.Gauge, t.GaugeMaterial, &out.GaugePPM},
	} {
		if *one.to, err = quantityOf(one.from); err != nil {
			return nil, ofMeasurement(err, one.pointer)
		}
		if *one.growth, err = measure.Growth(one.material); err != nil {
			return nil, ofMeasurement(err, one.pointer+"_material")
		}
	}
	return out, nil
}

// verdictOf judges a derived value by the limit sheet of the job.
func (a *App) verdictOf(c *JobChange, m *layout.Compiled, point *layout.Point, is *shop.Measurement, got measure.Result, gauges []shop.Gauge) (grade.Verdict, grade.Request, error) {
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return grade.Verdict{}, grade.Request{}, err
	}
	ask := grade.Request{Value: got.Value, Demo: s.Demo, FromPhoto: is.Readings.FromPhoto, Indicative: !got.Known, Gauge: c.stateOf(is, gauges, s)}
	if got.Known {
		ask.Uncertainty = &got.Expanded
	}
	is.LimitSource = ""
	if point != nil {
		ask.Indicative = ask.Indicative || point.Indicative
		part, _ := m.Component(point.Component)
		ask.Safety = grade.Safety(part.Safety)
		if err := c.limitsOf(point, &ask, is); err != nil {
			return grade.Verdict{}, ask, err
		}
	}
	if !got.Known {
		ask.Rule = grade.Simple // it is indicative anyhow: say at least on which side it lies
	}
	v, err := grade.Judge(ask)
	return v, ask, err
}

// limitsOf puts the limits of a point into the question.
func (c *JobChange) limitsOf(point *layout.Point, ask *grade.Request, is *shop.Measurement) error {
	sheet, err := sheetOf(c, *c.Job)
	if err != nil || sheet == nil {
		return err
	}
	limit, ok := sheet.Limit(point.Key)
	if !ok {
		return nil
	}
	source, _ := sheet.Source(limit.Source)
	ask.Source, ask.Rule, ask.NearPercent = grade.SourceKind(source.Kind), grade.Rule(limit.Rule), limit.NearPercent
	is.LimitSource = sourceWords(source)
	if ask.New, err = rangeOf(limit.New); err != nil {
		return err
	}
	ask.Service, err = rangeOf(limit.Service)
	return err
}

func rangeOf(r layout.Range) (grade.Range, error) {
	var out grade.Range
	for _, end := range []struct {
		from *layout.Amount
		to   **measure.Quantity
	}{{r.Min, &out.Min}, {r.Max, &out.Max}} {
		if end.from == nil {
			continue
		}
		q, err := measure.ParseValue(end.from.Value, string(end.from.Unit))
		if err != nil {
			return out, err
		}
		*end.to = &q
	}
	return out, nil
}

// stateOf says how the gauges stood on the day of the reading: the worst of
// them counts.
func (c *JobChange) stateOf(is *shop.Measurement, gauges []shop.Gauge, s shop.Shop) grade.Gauge {
	state := grade.InCalibration
	at := c.Now()
	if is.CapturedAt != nil && is.CapturedAt.Before(at) {
		at = *is.CapturedAt
	}
	today := shop.DateOf(at, zoneOf(s))
	for _, g := range gauges {
		switch {
		case g.ID == "" || g.CalibrationDueOn == "":
			return grade.NoGauge
		case today >= g.CalibrationDueOn:
			state = grade.OutOfCalibration
		}
	}
	return state
}

func quantityView(q measure.Quantity) shop.Quantity {
	return shop.Quantity{Value: q.Value.String(), Unit: string(q.Unit)}
}

// ofMeasurement makes a fault of what package measure says, pointing at its
// place.
func ofMeasurement(err error, pointer string) error {
	var m *measure.Error
	if errors.As(err, &m) {
		return fault.Invalid(string(m.Code), pointer, strings.TrimSpace(m.Message))
	}
	return err
}
