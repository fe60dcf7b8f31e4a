package grade

import (
	"errors"
	"strconv"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// A grid is what a dimension is counted in: so many decimal places of a unit.
type grid struct {
	unit   measure.Unit
	places int
}

// gridOf gives the grid of a dimension: nanometres for lengths, and for others
// what no gauge of a workshop can resolve.
func gridOf(d measure.Dimension) grid {
	switch d {
	case measure.Length:
		return grid{measure.Millimetre, 6}
	case measure.Angle:
		return grid{measure.Degree, 9}
	case measure.Mass:
		return grid{measure.Gram, 9}
	case measure.Volume:
		return grid{measure.Millilitre, 9}
	case measure.Force:
		return grid{measure.Newton, 9}
	case measure.Torque:
		return grid{measure.NewtonMetre, 9}
	case measure.Pressure:
		return grid{measure.Pascal, 6}
	case measure.Temperature:
		return grid{measure.Kelvin, 9}
	case measure.Voltage:
		return grid{measure.Volt, 9}
	case measure.Current:
		return grid{measure.Ampere, 9}
	case measure.Resistance:
		return grid{measure.Ohm, 6}
	case measure.Duration:
		return grid{measure.Second, 9}
	case measure.Rotation:
		return grid{measure.PerMinute, 9}
	default:
		return grid{measure.Percent, 9}
	}
}

// most bounds every count, so that sums of a few cannot overflow.
const most = 1 << 60

// point counts a quantity, to the nearest.
func (g grid) point(q measure.Quantity) (int64, error) {
	if g.unit == measure.Millimetre {
		n, err := q.Nanometres()
		if err != nil {
			return 0, err
		}
		return bounded(n)
	}
	c, err := measure.Convert(q, g.unit)
	if err != nil {
		return 0, err
	}
	return scaled(c.Value.String(), g.places, nearest)
}

// amount counts a difference, such as an uncertainty, rounded up.
func (g grid) amount(q measure.Quantity) (int64, error) {
	if g.unit == measure.Kelvin {
		return temperatureAmount(q, g.places)
	}
	c, err := measure.Convert(q, g.unit)
	if err != nil {
		return 0, err
	}
	n, err := scaled(c.Value.String(), g.places, upward)
	if err != nil {
		return 0, err
	}
	// Convert rounds once, to twelve places; no digit that it dropped may be
	// lost where the rounding is to go up.
	got, err := g.back(n)
	if err != nil {
		return 0, err
	}
	less, err := measure.Compare(got, q)
	if less < 0 {
		n++
	}
	return n, err
}

// temperatureAmount counts a difference of temperatures in kelvins: a degree
// Fahrenheit is 5/9 of one.
func temperatureAmount(q measure.Quantity, places int) (int64, error) {
	_, err := measure.Convert(q, measure.Kelvin)
	if err != nil {
		return 0, err
	}
	n, err := scaled(q.Value.String(), places, upward)
	if q.Unit == measure.Fahrenheit && n > 0 {
		return (n*5 + 8) / 9, err
	}
	return n, err
}

// back makes a count a quantity in the grid's unit.
func (g grid) back(n int64) (measure.Quantity, error) {
	return measure.ParseValue(placed(n, g.places), string(g.unit))
}

// pointIn makes a count a quantity in a unit.
func (g grid) pointIn(n int64, unit measure.Unit) (measure.Quantity, error) {
	q, err := g.back(n)
	if err != nil {
		return measure.Quantity{}, err
	}
	return measure.Convert(q, unit)
}

// amountIn makes the count of a difference a quantity in a unit.
func (g grid) amountIn(n int64, unit measure.Unit) (measure.Quantity, error) {
	if g.unit != measure.Kelvin {
		return g.pointIn(n, unit)
	}
	if unit == measure.Fahrenheit {
		n = n / 5 * 9
	}
	return measure.ParseValue(placed(n, g.places), string(unit))
}

// rounding says which way a digit that does not fit goes.
type rounding bool

const (
	nearest rounding = false // halves to even
	upward  rounding = true  // away from nought
)

// scaled gives decimal text times ten to the places, as a whole number.
func scaled(text string, places int, way rounding) (int64, error) {
	body, negative := strings.CutPrefix(text, "-")
	whole, part, _ := strings.Cut(body, ".")
	rest := ""
	if len(part) > places {
		part, rest = part[:places], strings.TrimRight(part[places:], "0")
	}
	n, err := strconv.ParseInt(whole+part+strings.Repeat("0", places-len(part)), 10, 64)
	if err != nil {
		return 0, tooLarge()
	}
	if raises(rest, way, n%2 == 1) {
		n++
	}
	if negative {
		n = -n
	}
	return bounded(n)
}

// raises reports whether the digits cut off raise the last one kept.
func raises(rest string, way rounding, odd bool) bool {
	switch {
	case rest == "":
		return false
	case way == upward || rest > "5":
		return true
	}
	return rest == "5" && odd
}

func bounded(n int64) (int64, error) {
	if n > most || n < -most {
		return 0, tooLarge()
	}
	return n, nil
}

func tooLarge() error {
	return &measure.Error{Code: measure.ValueOutOfRange, Message: "This value is too large to judge. Check the unit."}
}

// placed writes a count with its decimal places, without trailing zeros.
func placed(n int64, places int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	digits := strconv.FormatInt(n, 10)
	if len(digits) <= places {
		digits = strings.Repeat("0", places+1-len(digits)) + digits
	}
	cut := len(digits) - places
	text := strings.TrimRight(sign+digits[:cut]+"."+digits[cut:], "0")
	return strings.TrimSuffix(text, ".")
}

// at makes a fault of what package measure says, pointing at its place.
func at(pointer string, err error) error {
	var e *measure.Error
	if errors.As(err, &e) {
		return fault.Invalid(string(e.Code), pointer, e.Message)
	}
	return err
}
