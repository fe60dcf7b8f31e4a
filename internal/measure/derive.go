package measure

import "strings"

// Request is readings, how they were taken, and what to make of them.
type Request struct {
	// Formula names what to make of them: one of Formulas.
	Formula string
	// Readings are what was read, at most 100 of them.
	Readings []Reading
	// With holds figures the formula needs besides, by name, as text. A role
	// that was not read may stand here too ("supply": "100 psi"), several
	// places of it parted by semicolons.
	With map[string]string
	// Temperature is that of every reading that has none of its own; lengths
	// are brought to 20 °C by it (ISO 1). nil: not taken.
	Temperature *TakenAt
	// Unit is what the value is wanted in; "" the readings' own.
	Unit Unit
	// FromPhoto makes the result indicative.
	FromPhoto bool
}

// Reading is what was read at one place, as often as it was read.
type Reading struct {
	// Of is the role in the formula, with a number behind for several places
	// (bore_2); it may be left out where one role is the usual one.
	Of string
	// Values are the repeats at this place, 1 to 100. Where a formula needs
	// several places and a role has one Reading alone, each value is a place.
	Values []Quantity
	Gauge  *Gauge // nil: no data, so there is no uncertainty either
	// Temperature is this reading's own; nil for the request's.
	Temperature *TakenAt
}

// Display says how a gauge shows what it reads.
type Display string

// The displays.
const (
	Step  Display = "step"  // digits or clicks: any value within half a step either way is as likely
	Scale Display = "scale" // a scale read between its lines: values near the middle are likelier
)

// Displays lists every display.
func Displays() []Display { return []Display{Step, Scale} }

// Gauge is what is known of a measuring tool. A quantity without unit is no
// data.
type Gauge struct {
	// Name tells gauges apart: readings with gauges of one name share its
	// error. "" shares with nobody but readings that hold the same Gauge.
	Name string
	// Resolution is the smallest step it shows, or one division of its scale.
	Resolution Quantity
	// Uncertainty is the expanded one of its certificate, k = 2, in the unit of
	// the reading or in percent of what is read.
	Uncertainty Quantity
	// Display is Step where it is left out.
	Display Display
}

// TakenAt is the temperature of part and gauge, and how much both grow, in
// millionths a kelvin. A quantity without unit is no data: the gauge then
// stands at the part's temperature, and Within is 1 K.
type TakenAt struct {
	Part, Gauge       Quantity
	PartPPM, GaugePPM float64
	// Within is how far a temperature may be off either way.
	Within Quantity
}

// Result is what comes of a request.
type Result struct {
	Value Quantity
	// Known says that there is an uncertainty and that nothing else speaks
	// against the value; otherwise it is indicative only.
	Known bool
	// Standard is u and Expanded is U = k u, rounded up to two significant
	// digits; both without unit for no data.
	Standard, Expanded Quantity
	// Coverage is k: 2, or Student's factor for few repeats.
	Coverage float64
	// Freedom is the effective degrees of freedom (Welch and Satterthwaite);
	// +Inf where nothing limits them.
	Freedom  float64
	Budget   []BudgetLine
	Figures  []Figure // further results, by name
	Working  []string
	Warnings []string
}

// Figure is a further result.
type Figure struct {
	Name string
	Quantity
}

// Distribution is the shape that stands behind a line of a budget (GUM 4.3,
// 4.4).
type Distribution string

// The distributions.
const (
	Repeats     Distribution = "repeats"     // type A: the spread of repeated readings
	Certificate Distribution = "certificate" // normal, U with its k
	Rectangular Distribution = "rectangular" // anywhere within ±a alike
	Triangular  Distribution = "triangular"  // within ±a, the middle likelier
)

// Distributions lists every distribution.
func Distributions() []Distribution {
	return []Distribution{Repeats, Certificate, Rectangular, Triangular}
}

// BudgetLine is one contribution to the uncertainty.
type BudgetLine struct {
	Of   string // which reading, or readings
	What string // resolution, certificate, repeats, interval, temperature …
	// Half is what was divided, in Unit: a half-width, the U of a certificate
	// or a standard deviation.
	Half         float64
	Unit         Unit
	Distribution Distribution
	// Divisor makes a standard uncertainty of it: √3, √6, 2, √n.
	Divisor float64
	// Sensitivity is how much the value moves with one Unit of it.
	Sensitivity float64
	// Contribution is |Sensitivity| × Half ÷ Divisor, in the value's unit.
	Contribution float64
	// Freedom is its degrees of freedom; +Inf where nothing limits them.
	Freedom float64
}

// The most that Derive takes.
const (
	maxReadings = 100
	maxRepeats  = 100
)

// Derive reckons a figure and its uncertainty from readings, by the Guide to
// the Expression of Uncertainty in Measurement (JCGM 100:2008). Sums, means,
// differences and percentages are exact; lengths settle in whole nanometres.
//
// Its faults are of type *Error and point into the request as a JSON body
// would lay it out.
func Derive(req Request) (Result, error) {
	f, ok := formulaNamed(req.Formula)
	if !ok {
		return Result{}, problemAt("/derive", DeriveUnknown, "There is no formula of this name; there are "+strings.Join(Formulas(), ", ")+".")
	}
	r := &reckoning{formula: f, with: req.With, places: map[string][]*input{}, room: req.Temperature, wanted: req.Unit}
	err := r.checkNames()
	if err != nil {
		return Result{}, err
	}
	err = r.warmthFromWith(&req)
	if err != nil {
		return Result{}, err
	}
	err = r.collect(req)
	if err != nil {
		return Result{}, err
	}
	err = f.run(r)
	if err == nil {
		err = r.err
	}
	if err != nil {
		return Result{}, err
	}
	if req.FromPhoto {
		r.indicate("The readings come off a photo, so this is indicative only.")
	}
	return r.finish()
}

// Formulas lists the names of the formulas that take readings, in order.
func Formulas() []string {
	var out []string
	for _, f := range formulas() {
		out = append(out, f.name)
	}
	return out
}

// Does says in words what a formula makes; "" for an unknown one.
func Does(name string) string {
	f, _ := formulaNamed(name)
	return f.does
}

// Takes lists what can be read for a formula, and the figures it knows
// besides; nothing for an unknown one.
func Takes(name string) (roles, figures []string) {
	f, _ := formulaNamed(name)
	return f.roleNames(), f.with
}

// formula is one of them with what reckons it.
type formula struct {
	name, does string
	roles      []role
	with       []string
	run        func(*reckoning) error
}

// role is what a reading is of.
type role struct {
	name string
	also []string // other names for it
	unit Unit     // of a bare number, and so the dimension; "" takes any
	each bool     // values of a lone reading are places, not repeats
	// usual is the role of a reading that does not say of what, and grid takes
	// names of level and direction.
	usual, grid bool
}

func formulaNamed(name string) (formula, bool) {
	for _, f := range formulas() {
		if f.name == name {
			return f, true
		}
	}
	return formula{}, false
}

func (f formula) roleNames() []string {
	var out []string
	for _, r := range f.roles {
		out = append(out, r.name)
	}
	return out
}

// roleOf finds the role of a reading: by name, or the only role there is.
func (f formula) roleOf(name string) (role, bool) {
	found, ok := f.roleNamed(name)
	if !ok && len(f.roles) == 1 {
		return f.roles[0], true
	}
	return found, ok
}

// roleNamed finds a role by any of its names, a number behind aside. Nothing
// is the usual role.
func (f formula) roleNamed(name string) (role, bool) {
	for _, one := range []string{name, stem(name)} {
		for _, r := range f.roles {
			if r.name == one || contains(r.also, one) || (one == "" && r.usual) {
				return r, true
			}
		}
	}
	for _, r := range f.roles {
		if r.grid && strings.ContainsAny(name, "/_") {
			return r, true
		}
	}
	return role{}, false
}

// stem takes off a number behind: bore_2 is a bore.
func stem(of string) string {
	name := strings.TrimRight(of, "0123456789")
	if name != of {
		name = strings.TrimSuffix(name, "_")
	}
	return name
}

func contains(all []string, name string) bool {
	for _, one := range all {
		if one == name {
			return true
		}
	}
	return false
}
