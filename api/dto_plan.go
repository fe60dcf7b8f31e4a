package api

import (
	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// PlanTarget is a component and what is to be done with it.
type PlanTarget struct {
	Component string `json:"component"`
	Do        string `json:"do"`
}

// PlanIn is what shall be reached.
type PlanIn struct {
	Targets []PlanTarget `json:"targets"`
}

// ClosingIn is what was reached and is put back now.
type ClosingIn struct {
	Targets []PlanTarget `json:"targets"`
}

// ClosingMade is what was made for going back together.
type ClosingMade struct {
	HoldPoints []HoldPointView `json:"hold_points"`
	Fastenings []FasteningView `json:"fastenings"`
	Working    []string        `json:"working"`
}

// PartPriceIn is the price of a part.
type PartPriceIn struct {
	Part       string  `json:"part"`
	UnitPrice  Money   `json:"unit_price"`
	PartNumber string  `json:"part_number"`
	ArrivesOn  *string `json:"arrives_on"`
	Possible   bool    `json:"possible"`
	Ceiling    *Money  `json:"ceiling"`
}

// WaysIn is prices and rates for the ways forward.
type WaysIn struct {
	LabourRateID string        `json:"labour_rate_id"`
	Prices       []PartPriceIn `json:"prices"`
	LookFurther  []string      `json:"look_further"`
	HoursADay    int64         `json:"hours_a_day"`
}

// WaysMade is the lines and ways forward that were made.
type WaysMade struct {
	Lines         []LineView  `json:"lines"`
	Scopes        []ScopeView `json:"scopes"`
	PricesMissing []string    `json:"prices_missing"`
	Working       []string    `json:"working"`
	Warnings      []string    `json:"warnings"`
}

// MeasuredPointList is measured points.
type MeasuredPointList struct {
	Items []MeasuredPointView `json:"items"`
}

// MeasuredPointView is a measured point of the machine map.
type MeasuredPointView struct {
	Key        string            `json:"key"`
	Component  string            `json:"component"`
	Name       string            `json:"name"`
	Derive     string            `json:"derive"`
	With       map[string]string `json:"with"`
	Unit       string            `json:"unit"`
	Gauge      string            `json:"gauge"`
	How        string            `json:"how"`
	Indicative bool              `json:"indicative"`
	Limits     []string          `json:"limits"`
	Source     string            `json:"source"`
}

func targets(in []PlanTarget) []access.Target {
	out := make([]access.Target, len(in))
	for i, t := range in {
		out[i] = access.Target{Component: layout.Key(t.Component), Do: access.Do(t.Do)}
	}
	return out
}
