package api

import (
	"fmt"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// PointReadingIn is what was read of one thing, as clients send it.
type PointReadingIn struct {
	Of      string       `json:"of"`
	Values  []QuantityIn `json:"values"`
	GaugeID *string      `json:"gauge_id"`
}

// PointReading is what was read of one thing.
type PointReading struct {
	Of      string     `json:"of"`
	Values  []Quantity `json:"values"`
	GaugeID *string    `json:"gauge_id"`
}

// PointTemperatureIn is the temperature of part and gauge, as clients send it.
type PointTemperatureIn struct {
	Part          QuantityIn `json:"part"`
	Gauge         QuantityIn `json:"gauge"`
	PartMaterial  string     `json:"part_material"`
	GaugeMaterial string     `json:"gauge_material"`
}

// PointTemperature is the temperature of part and gauge.
type PointTemperature struct {
	Part          Quantity `json:"part"`
	Gauge         Quantity `json:"gauge"`
	PartMaterial  string   `json:"part_material"`
	GaugeMaterial string   `json:"gauge_material"`
}

// MeasurementIn is what a client sends of a measurement.
type MeasurementIn struct {
	FindingID   string              `json:"finding_id"`
	Point       string              `json:"point"`
	Derive      string              `json:"derive"`
	With        map[string]string   `json:"with"`
	Readings    []PointReadingIn    `json:"readings"`
	GaugeID     *string             `json:"gauge_id"`
	Temperature *PointTemperatureIn `json:"temperature"`
	FromPhoto   bool                `json:"from_photo"`
	CapturedAt  *string             `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in MeasurementIn) onto(c *conv, n *shop.Measurement) {
	n.FindingID = shop.FindingID(in.FindingID)
	n.Point = in.Point
	n.GaugeID = shop.GaugeID(text(in.GaugeID))
	n.Readings = shop.Taken{Derive: in.Derive, With: in.With, Temperature: c.temperature("/temperature", in.Temperature), FromPhoto: in.FromPhoto}
	for i, r := range in.Readings {
		one := shop.PointReading{Of: r.Of, GaugeID: shop.GaugeID(text(r.GaugeID))}
		for j, v := range r.Values {
			one.Values = append(one.Values, c.quantity(fmt.Sprintf("/readings/%d/values/%d", i, j), v))
		}
		n.Readings.Readings = append(n.Readings.Readings, one)
	}
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

func (c *conv) temperature(pointer string, t *PointTemperatureIn) *shop.PointTemperature {
	if t == nil {
		return nil
	}
	return &shop.PointTemperature{Part: c.quantity(pointer+"/part", t.Part), Gauge: c.quantity(pointer+"/gauge", t.Gauge),
		PartMaterial: t.PartMaterial, GaugeMaterial: t.GaugeMaterial}
}

// MeasurementView is a measurement as clients see it.
type MeasurementView struct {
	ID             string            `json:"id"`
	Version        int64             `json:"version"`
	WorkOrderID    string            `json:"work_order_id"`
	JobID          string            `json:"job_id"`
	FindingID      string            `json:"finding_id"`
	Point          string            `json:"point"`
	Derive         string            `json:"derive"`
	With           map[string]string `json:"with"`
	Readings       []PointReading    `json:"readings"`
	GaugeID        *string           `json:"gauge_id"`
	Temperature    *PointTemperature `json:"temperature"`
	FromPhoto      bool              `json:"from_photo"`
	Result         *Quantity         `json:"result"`
	Uncertainty    *Quantity         `json:"uncertainty"`
	Verdict        string            `json:"verdict"`
	Grade          *int64            `json:"grade"`
	Indicative     bool              `json:"indicative"`
	LimitSource    string            `json:"limit_source"`
	EngineRevision string            `json:"engine_revision"`
	Working        []string          `json:"working"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func measurementView(_ money.Currency, n shop.Measurement) MeasurementView {
	v := MeasurementView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID), JobID: string(n.JobID), FindingID: string(n.FindingID),
		Point: n.Point, Derive: n.Readings.Derive, With: n.Readings.With, Readings: make([]PointReading, len(n.Readings.Readings)),
		GaugeID: orNull(n.GaugeID), FromPhoto: n.Readings.FromPhoto,
		Result: quantityView(n.Result), Uncertainty: quantityView(n.Uncertainty),
		Verdict: n.Verdict, Grade: n.Grade, Indicative: n.Indicative, LimitSource: n.LimitSource,
		EngineRevision: n.EngineRevision, Working: list(n.Working),
		StruckView: struckView(n.Struck), OriginView: originView(n.Origin),
		CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
	if v.With == nil {
		v.With = map[string]string{}
	}
	for i, r := range n.Readings.Readings {
		v.Readings[i] = PointReading{Of: r.Of, GaugeID: orNull(r.GaugeID), Values: make([]Quantity, len(r.Values))}
		for j, q := range r.Values {
			v.Readings[i].Values[j] = Quantity(q)
		}
	}
	if t := n.Readings.Temperature; t != nil {
		v.Temperature = &PointTemperature{Part: Quantity(t.Part), Gauge: Quantity(t.Gauge), PartMaterial: t.PartMaterial, GaugeMaterial: t.GaugeMaterial}
	}
	return v
}
