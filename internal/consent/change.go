package consent

import "benchtag/internal/fault"

// Amount is a sum with its tax apart, both 0..[MaxMinor]. Tax is rounded
// once per document before it comes here.
type Amount struct {
	ExclTax Minor `json:"excl_tax"`
	Tax     Minor `json:"tax"`
}

// on gives the amount on a definite base.
func (a Amount) on(b Base) Minor {
	if b == ExclTax {
		return a.ExclTax
	}
	return a.ExclTax + a.Tax
}

// Limit is the most a customer said they would pay.
type Limit struct {
	Minor Minor `json:"minor"`
	// Base says whether the customer meant it with tax. Left empty or
	// unspecified it is taken with tax, the stricter reading.
	Base Base `json:"base,omitempty"`
}

// Change is what was authorised and what it has come to.
type Change struct {
	// Authorized is the latest sum the customer agreed to.
	Authorized Amount `json:"authorized"`
	// Original is the first estimate, for rules that count from it; nil
	// where there was no revision.
	Original *Amount `json:"original,omitempty"`
	// Actual is the sum it would now be.
	Actual Amount `json:"actual"`
	// Limit is the customer's own latest maximum, where one counts (see
	// [LimitAtDropOff]).
	Limit            *Limit `json:"limit,omitempty"`
	AllowanceRemoved bool   `json:"allowance_removed,omitempty"` // "ask me whatever it is"
	NewWork          bool   `json:"new_work,omitempty"`          // not the job agreed to; a person says
	DateSlip         bool   `json:"date_slip,omitempty"`         // the promised date moves
	MethodOrPart     bool   `json:"method_or_part_change,omitempty"`
	PartCondition    bool   `json:"part_condition_change,omitempty"` // used for new, and the like
	Motorcycle       bool   `json:"motorcycle,omitempty"`
	Business         bool   `json:"business,omitempty"`    // the customer is a business
	VehicleAge       int    `json:"vehicle_age,omitempty"` // model years; 0: not known
	// ModelYear with InYear, the calendar year of the change, stands in for
	// VehicleAge. Of the three what is not known is 0.
	ModelYear int `json:"model_year,omitempty"`
	InYear    int `json:"in_year,omitempty"`
	// Level says what the figures are of; it words the answer. Empty is the order.
	Level Level `json:"level,omitempty"`
	// Currency is the shop's, ISO 4217; empty: the rule's.
	Currency string `json:"currency,omitempty"`
}

// problem says which field is out of range.
func (c Change) problem() error {
	original := c.Authorized
	if c.Original != nil {
		original = *c.Original
	}
	var limit Limit
	if c.Limit != nil {
		limit = *c.Limit
	}
	for _, f := range []struct {
		pointer string
		ok      bool
	}{
		{"/authorized", c.Authorized.ok()},
		{"/original", original.ok()},
		{"/actual", c.Actual.ok()},
		{"/limit/minor", inRange(limit.Minor)},
		{"/limit/base", optional(limit.Base, Bases())},
		{"/vehicle_age", c.VehicleAge >= 0},
		{"/model_year", c.ModelYear >= 0 && (c.ModelYear == 0 || c.VehicleAge == 0)},
		{"/in_year", c.InYear >= 0 && (c.ModelYear == 0 || c.InYear+1 >= c.ModelYear || c.InYear == 0)},
		{"/level", optional(c.Level, Levels())},
	} {
		if !f.ok {
			return fault.Invalid("consent.change_invalid", f.pointer, "This figure is out of range or not one of its values.")
		}
	}
	return nil
}

// age is the machine's age in model years, 0 where it is not known: the year
// of the change less the model year. A model year can run one year ahead of
// the calendar; such a machine has no age yet.
func (c Change) age() int {
	if c.ModelYear == 0 || c.InYear == 0 {
		return c.VehicleAge
	}
	return max(0, c.InYear-c.ModelYear)
}

func (a Amount) ok() bool { return inRange(a.ExclTax) && inRange(a.Tax) && inRange(a.ExclTax+a.Tax) }

// flags lists the changes that are set, in the order of [Alsos].
func (c Change) flags() []Also {
	var set []Also
	for _, f := range []struct {
		on   bool
		also Also
	}{{c.NewWork, AlsoNewWork}, {c.DateSlip, AlsoDateSlip}, {c.MethodOrPart, AlsoMethodOrPart}, {c.PartCondition, AlsoPartCondition}} {
		if f.on {
			set = append(set, f.also)
		}
	}
	return set
}
