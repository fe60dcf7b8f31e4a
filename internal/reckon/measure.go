package reckon

import (
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// measureIn is a quantity to read or convert, or a formula with its figures.
type measureIn struct {
	Quantity
	// To is the unit to convert to, a UCUM code.
	To string `json:"to,omitempty"`
	// Derive names the formula; without it the quantity is read.
	Derive string `json:"derive,omitempty"`
	// With holds the formula's figures by name, as text: a bare number in the
	// formula's own unit, or a quantity as typed.
	With map[string]string `json:"with,omitempty"`
	// Readings are what was read, for a formula that makes a value of readings.
	Readings []readingIn `json:"readings,omitempty"`
	// Gauge is the one used for every reading that names none.
	Gauge *gaugeIn `json:"gauge,omitempty"`
	// Temperature is that of every reading that has none of its own.
	Temperature *temperatureIn `json:"temperature,omitempty"`
	// FromPhoto makes the result indicative.
	FromPhoto bool `json:"from_photo,omitempty"`
}

// readingIn is what was read of one thing, as often as it was read.
type readingIn struct {
	Of     string     `json:"of,omitempty"`
	Values []Quantity `json:"values"`
	Gauge  *gaugeIn   `json:"gauge,omitempty"`
	// Temperature is this reading's own.
	Temperature *temperatureIn `json:"temperature,omitempty"`
}

// gaugeIn is what is known of a measuring tool.
type gaugeIn struct {
	Name        string    `json:"name,omitempty"`
	Resolution  *Quantity `json:"resolution,omitempty"`
	Uncertainty *Quantity `json:"uncertainty,omitempty"`
	// Display is step, or scale for one read between its lines.
	Display string `json:"display,omitempty"`
}

// temperatureIn is the temperature of part and gauge, and what they are made
// of; expansions in millionths a kelvin, as decimal text, go before materials.
type temperatureIn struct {
	Part           Quantity  `json:"part"`
	Gauge          *Quantity `json:"gauge,omitempty"` // left out: at the part's
	PartMaterial   string    `json:"part_material,omitempty"`
	GaugeMaterial  string    `json:"gauge_material,omitempty"`
	PartExpansion  string    `json:"part_expansion,omitempty"`
	GaugeExpansion string    `json:"gauge_expansion,omitempty"`
	// Within is how far either may be off; left out: 1 K.
	Within *Quantity `json:"within,omitempty"`
}

// measureValue is what comes of it.
type measureValue struct {
	Quantity
	// Figures are the results of a formula by name, the value among them.
	Figures map[string]Quantity `json:"figures,omitempty"`
	// Fits are the classes of a table that the value fits.
	Fits []string `json:"fits,omitempty"`
	// Code is a result that is no number, such as a code of cleanliness.
	Code string `json:"code,omitempty"`
	// Uncertainty is what is known of it, for a value made of readings; nil:
	// no data.
	Uncertainty *uncertaintyOut `json:"uncertainty,omitempty"`
}

// uncertaintyOut is an uncertainty, line by line.
type uncertaintyOut struct {
	Standard Quantity    `json:"standard"`
	Expanded Quantity    `json:"expanded"`
	Coverage string      `json:"coverage"`
	Freedom  string      `json:"freedom"` // "" where nothing limits it
	Budget   []budgetOut `json:"budget"`
}

type budgetOut struct {
	Of           string `json:"of"`
	What         string `json:"what"`
	Distribution string `json:"distribution"`
	Half         string `json:"half"`
	Unit         string `json:"unit"` // of half
	Divisor      string `json:"divisor"`
	Sensitivity  string `json:"sensitivity"`
	Contribution string `json:"contribution"`
	Freedom      string `json:"freedom"` // "" where nothing limits it
}

func measureEngine() Engine {
	return engine("measure", "1", "Reads quantities as typed, converts them, and derives figures from them.", measureAnswer)
}

func measureAnswer(in measureIn) (Answer, error) {
	if in.Derive == "" {
		return readQuantity(in)
	}
	c, calculated := calculationNamed(in.Derive)
	read := measure.Does(in.Derive) != "" && (!calculated || len(in.Readings) > 0)
	switch {
	case in.Quantity != (Quantity{}) || (in.To != "" && !read):
		return Answer{}, fault.Invalid("measure.derive_unclear", "/derive", "A formula takes its figures in with; leave value, unit and entered out, and to where it takes no readings.")
	case read:
		return deriveAnswer(in)
	case !calculated:
		return Answer{}, fault.Invalid("measure.derive_unknown", "/derive",
			fmt.Sprintf("There is no formula %.40q; there are %s.", in.Derive, strings.Join(slices.Concat(measure.Formulas(), calculationNames()), ", ")))
	case in.hasReadings():
		return Answer{}, fault.Invalid("measure.reading_unclear", "/readings", in.Derive+" takes no readings; give its figures in with.")
	}
	return c.calculate(in.With)
}

func (in measureIn) hasReadings() bool {
	return len(in.Readings) > 0 || in.Gauge != nil || in.Temperature != nil || in.FromPhoto
}

func calculationNames() []string {
	all := calculations()
	names := make([]string, len(all))
	for i, c := range all {
		names[i] = c.name
	}
	return names
}

// readQuantity reads a quantity, and converts it where a unit is asked for.
func readQuantity(in measureIn) (Answer, error) {
	if len(in.With) > 0 || in.hasReadings() {
		return Answer{}, fault.Invalid("measure.derive_missing", "/derive", "Say in derive which formula takes these figures.")
	}
	q, err := in.read("")
	if err != nil {
		return Answer{}, err
	}
	working := []string{"Read as " + q.Value.String() + " " + q.Unit.Symbol() + " (" + string(q.Unit) + "), with the digits that were given."}
	if in.To != "" {
		from := q
		q, err = measure.Convert(q, measure.Unit(in.To))
		if err != nil {
			return Answer{}, at("/to", err)
		}
		working = append(working, from.Value.String()+" "+from.Unit.Symbol()+" = "+q.Value.String()+" "+q.Unit.Symbol()+
			", by the exact definitions of both units, rounded once to 18 digits or 12 places (UCUM; NIST SP 811 appendix B.8).")
	}
	return Answer{Value: measureValue{Quantity: quantity(q)}, Working: working}, nil
}
