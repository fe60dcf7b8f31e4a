package reckon

import (
	"fmt"
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
}

// measureValue is what comes of it.
type measureValue struct {
	Quantity
	// Figures are the results of a formula by name, the value among them.
	Figures map[string]Quantity `json:"figures,omitempty"`
	// Fits are the classes of a table that the value fits.
	Fits []string `json:"fits,omitempty"`
}

func measureEngine() Engine {
	return engine("measure", "1", "Reads quantities as typed, converts them, and derives figures from them.", measureAnswer)
}

func measureAnswer(in measureIn) (Answer, error) {
	if in.Derive == "" {
		return readQuantity(in)
	}
	if in.Quantity != (Quantity{}) || in.To != "" {
		return Answer{}, fault.Invalid("measure.derive_unclear", "/derive", "A formula takes its figures in with; leave value, unit, entered and to out.")
	}
	c, ok := calculationNamed(in.Derive)
	if !ok {
		return Answer{}, fault.Invalid("measure.derive_unknown", "/derive",
			fmt.Sprintf("There is no formula %.40q; there are %s.", in.Derive, strings.Join(calculationNames(), ", ")))
	}
	return c.calculate(in.With)
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
	if len(in.With) > 0 {
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
