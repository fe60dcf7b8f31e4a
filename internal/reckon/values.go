package reckon

import (
	"errors"
	"math"
	"strconv"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// Quantity is a quantity on the wire: value with unit, or the text entered, or
// both.
type Quantity struct {
	Value   string `json:"value,omitempty"`
	Unit    string `json:"unit,omitempty"`
	Entered string `json:"entered,omitempty"`
}

// read gives the quantity; pointer says where it stands, for the fault, which
// carries the code of package measure.
func (q Quantity) read(pointer string) (measure.Quantity, error) {
	got, err := measure.Read(measure.Parts{Value: q.Value, Unit: q.Unit, Entered: q.Entered})
	return got, at(pointer, err)
}

// at makes a fault of what measure says of an entry, pointing at its place.
func at(pointer string, err error) error {
	var e *measure.Error
	if errors.As(err, &e) {
		return fault.Invalid(string(e.Code), pointer+e.At, e.Message)
	}
	return err
}

// quantity gives a quantity as it goes out.
func quantity(q measure.Quantity) Quantity {
	return Quantity{Value: q.Value.String(), Unit: string(q.Unit), Entered: q.Entered}
}

// number reads a fraction, which on the wire is decimal text.
func number(pointer, text string) (float64, error) {
	d, err := measure.ParseDecimal(text)
	if err != nil {
		return 0, at(pointer, err)
	}
	f, err := strconv.ParseFloat(d.String(), 64)
	if err != nil {
		return 0, fault.Invalid("reckon.number_malformed", pointer, "Give a decimal number as text.").Because(err)
	}
	return f, nil
}

// text gives a fraction as decimal text, rounded to ten significant digits,
// without an exponent. It refuses what is no number, which an engine should
// have refused before.
func text(f float64) (string, error) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return "", fault.New(fault.Meaning, "reckon.result_endless", "The figures given lead to no finite result; check them for noughts.")
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(f, 'e', 9, 64), 64)
	if err != nil || rounded == 0 {
		return "0", err
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64), nil
}
