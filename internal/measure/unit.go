package measure

import "strings"

// Unit is a UCUM code, case-sensitive, in the one spelling used here.
type Unit string

// Dimension is what a unit measures; only units of one dimension convert.
type Dimension string

// The dimensions.
const (
	Length      Dimension = "length"
	Angle       Dimension = "angle"
	Mass        Dimension = "mass"
	Volume      Dimension = "volume"
	Force       Dimension = "force"
	Torque      Dimension = "torque"
	Pressure    Dimension = "pressure"
	Temperature Dimension = "temperature"
	Voltage     Dimension = "voltage"
	Current     Dimension = "current"
	Resistance  Dimension = "resistance"
	Duration    Dimension = "duration"
	Rotation    Dimension = "rotation"
	Ratio       Dimension = "ratio"
)

// Dimensions lists every dimension.
func Dimensions() []Dimension {
	return []Dimension{Length, Angle, Mass, Volume, Force, Torque, Pressure, Temperature,
		Voltage, Current, Resistance, Duration, Rotation, Ratio}
}

// The units (UCUM 2.2). Foot-pound and inch-pound are written length first.
const (
	Micrometre         Unit = "um"
	Millimetre         Unit = "mm"
	Centimetre         Unit = "cm"
	Metre              Unit = "m"
	Kilometre          Unit = "km"
	Thou               Unit = "[mil_i]"
	Inch               Unit = "[in_i]"
	Foot               Unit = "[ft_i]"
	Mile               Unit = "[mi_i]"
	Degree             Unit = "deg"
	Gram               Unit = "g"
	Kilogram           Unit = "kg"
	Ounce              Unit = "[oz_av]"
	Pound              Unit = "[lb_av]"
	Millilitre         Unit = "mL"
	CubicCentimetre    Unit = "cm3"
	Litre              Unit = "L"
	FluidOunce         Unit = "[foz_us]"
	Quart              Unit = "[qt_us]"
	Newton             Unit = "N"
	Kilonewton         Unit = "kN"
	PoundForce         Unit = "[lbf_av]"
	KilogramForce      Unit = "kgf"
	NewtonMetre        Unit = "N.m"
	FootPound          Unit = "[ft_i].[lbf_av]"
	InchOunce          Unit = "[oz_av].[g].[in_i]"
	InchPound          Unit = "[in_i].[lbf_av]"
	KilogramForceMetre Unit = "kgf.m"
	Pascal             Unit = "Pa"
	Kilopascal         Unit = "kPa"
	Megapascal         Unit = "MPa"
	Millibar           Unit = "mbar"
	Bar                Unit = "bar"
	PoundPerSquareInch Unit = "[psi]"
	InchOfMercury      Unit = "[in_i'Hg]"
	KilogramPerSquare  Unit = "kgf/cm2"
	Celsius            Unit = "Cel"
	Fahrenheit         Unit = "[degF]"
	Kelvin             Unit = "K"
	Millivolt          Unit = "mV"
	Volt               Unit = "V"
	Kilovolt           Unit = "kV"
	Milliampere        Unit = "mA"
	Ampere             Unit = "A"
	Milliohm           Unit = "mOhm"
	Ohm                Unit = "Ohm"
	Kilohm             Unit = "kOhm"
	Megohm             Unit = "MOhm"
	Millisecond        Unit = "ms"
	Second             Unit = "s"
	Minute             Unit = "min"
	Hour               Unit = "h"
	PerMinute          Unit = "{rev}/min"
	Percent            Unit = "%"
)

// Units lists every unit, by dimension and size.
func Units() []Unit {
	return []Unit{
		Micrometre, Thou, Millimetre, Centimetre, Inch, Foot, Metre, Kilometre, Mile,
		Degree, Gram, Ounce, Pound, Kilogram,
		Millilitre, CubicCentimetre, FluidOunce, Quart, Litre,
		Newton, PoundForce, KilogramForce, Kilonewton,
		InchOunce, InchPound, NewtonMetre, FootPound, KilogramForceMetre,
		Pascal, Millibar, Kilopascal, InchOfMercury, PoundPerSquareInch, KilogramPerSquare, Bar, Megapascal,
		Celsius, Fahrenheit, Kelvin,
		Millivolt, Volt, Kilovolt, Milliampere, Ampere, Milliohm, Ohm, Kilohm, Megohm,
		Millisecond, Second, Minute, Hour, PerMinute, Percent,
	}
}

// facts is what is known of a unit: value × factor + offset gives a count
// of the dimension's base, which is chosen so that all factors are whole.
type facts struct {
	dimension Dimension
	symbol    string
	factor    uint64
	offset    int64 // temperatures only
}

// facts gives a unit's row; the zero row for an unknown unit.
//
// The factors follow from exact definitions (UCUM 2.2; NIST SP 811
// appendix B.8; from memory): inch 25.4 mm, mile 1609.344 km/1000, pound
// 453.59237 g, standard gravity 9.80665 m/s², US quart 946.352946 mL. The
// inch of mercury is UCUM's, 0.0254 × 133.322 kPa, which is 3 parts in a
// million below the conventional 3.386389 kPa.
func (u Unit) facts() facts {
	switch u {
	// Length, in nanometres.
	case Micrometre:
		return facts{Length, "µm", 1_000, 0}
	case Millimetre:
		return facts{Length, "mm", 1_000_000, 0}
	case Centimetre:
		return facts{Length, "cm", 10_000_000, 0}
	case Metre:
		return facts{Length, "m", 1_000_000_000, 0}
	case Kilometre:
		return facts{Length, "km", 1_000_000_000_000, 0}
	case Thou:
		return facts{Length, "thou", 25_400, 0}
	case Inch:
		return facts{Length, "in", 25_400_000, 0}
	case Foot:
		return facts{Length, "ft", 304_800_000, 0}
	case Mile:
		return facts{Length, "mi", 1_609_344_000_000, 0}
	case Degree:
		return facts{Angle, "°", 1, 0}
	case PerMinute:
		return facts{Rotation, "rpm", 1, 0}
	case Percent:
		return facts{Ratio, "%", 1, 0}
	case Millisecond:
		return facts{Duration, "ms", 1, 0}
	case Second:
		return facts{Duration, "s", 1_000, 0}
	case Minute:
		return facts{Duration, "min", 60_000, 0}
	case Hour:
		return facts{Duration, "h", 3_600_000, 0}
	default:
		return u.mechanical()
	}
}

func (u Unit) mechanical() facts {
	switch u {
	// Mass, in sixteenths of 10 µg.
	case Gram:
		return facts{Mass, "g", 1_600_000, 0}
	case Kilogram:
		return facts{Mass, "kg", 1_600_000_000, 0}
	case Ounce:
		return facts{Mass, "oz", 45_359_237, 0}
	case Pound:
		return facts{Mass, "lb", 16 * 45_359_237, 0}
	// Volume, in 1e-10 mL.
	case Millilitre, CubicCentimetre:
		return facts{Volume, string(u), 10_000_000_000, 0}
	case Litre:
		return facts{Volume, "L", 10_000_000_000_000, 0}
	case FluidOunce:
		return facts{Volume, "US fl oz", 295_735_295_625, 0}
	case Quart:
		return facts{Volume, "US qt", 32 * 295_735_295_625, 0}
	// Force, in 1e-13 N.
	case Newton:
		return facts{Force, "N", 10_000_000_000_000, 0}
	case Kilonewton:
		return facts{Force, "kN", 10_000_000_000_000_000, 0}
	case PoundForce:
		return facts{Force, "lbf", 44_482_216_152_605, 0}
	case KilogramForce:
		return facts{Force, "kgf", 98_066_500_000_000, 0}
	// Torque, in sixteenths of 1e-16 N·m.
	case NewtonMetre:
		return facts{Torque, "N·m", 160_000_000_000_000_000, 0}
	case InchPound:
		return facts{Torque, "lbf·in", 16 * 1_129_848_290_276_167, 0}
	case InchOunce:
		return facts{Torque, "ozf·in", 1_129_848_290_276_167, 0}
	case FootPound:
		return facts{Torque, "lbf·ft", 16 * 13_558_179_483_314_004, 0}
	case KilogramForceMetre:
		return facts{Torque, "kgf·m", 16 * 98_066_500_000_000_000, 0}
	default:
		return u.fluidAndElectrical()
	}
}

func (u Unit) fluidAndElectrical() facts {
	const pascal = 6_451_600_000
	switch u {
	// Pressure: the base is 1e-5 Pa / 64516, so that the pound-force on a
	// square inch (of 64516e-8 m²) is whole.
	case Pascal:
		return facts{Pressure, "Pa", pascal, 0}
	case Millibar:
		return facts{Pressure, "mbar", 100 * pascal, 0}
	case Kilopascal:
		return facts{Pressure, "kPa", 1_000 * pascal, 0}
	case Bar:
		return facts{Pressure, "bar", 100_000 * pascal, 0}
	case Megapascal:
		return facts{Pressure, "MPa", 1_000_000 * pascal, 0}
	case PoundPerSquareInch:
		return facts{Pressure, "psi", 44_482_216_152_605, 0}
	case InchOfMercury:
		return facts{Pressure, "inHg", 33_863_788 * pascal / 10_000, 0}
	case KilogramPerSquare:
		return facts{Pressure, "kgf/cm²", 980_665 * pascal / 10, 0}
	// Temperature, in 1/900 K above absolute zero.
	case Celsius:
		return facts{Temperature, "°C", 900, 245_835}
	case Fahrenheit:
		return facts{Temperature, "°F", 500, 229_835}
	case Kelvin:
		return facts{Temperature, "K", 900, 0}
	// In millivolts, milliamperes, milliohms.
	case Millivolt:
		return facts{Voltage, "mV", 1, 0}
	case Volt:
		return facts{Voltage, "V", 1_000, 0}
	case Kilovolt:
		return facts{Voltage, "kV", 1_000_000, 0}
	case Milliampere:
		return facts{Current, "mA", 1, 0}
	case Ampere:
		return facts{Current, "A", 1_000, 0}
	case Milliohm:
		return facts{Resistance, "mΩ", 1, 0}
	case Ohm:
		return facts{Resistance, "Ω", 1_000, 0}
	case Kilohm:
		return facts{Resistance, "kΩ", 1_000_000, 0}
	case Megohm:
		return facts{Resistance, "MΩ", 1_000_000_000, 0}
	default:
		return facts{}
	}
}

// Known reports whether the unit is one of Units.
func (u Unit) Known() bool { return u.facts().factor != 0 }

// Dimension gives what the unit measures, or "" for an unknown unit.
func (u Unit) Dimension() Dimension { return u.facts().dimension }

// Symbol gives the unit as it stands on a screen, or "" for an unknown unit.
func (u Unit) Symbol() string { return u.facts().symbol }

// ParseUnit reads a UCUM code of Units. The two orders of a foot-pound and
// of an inch-pound are one unit. The fault's message lists close units.
func ParseUnit(code string) (Unit, error) {
	switch code {
	case "[lbf_av].[ft_i]":
		return FootPound, nil
	case "[lbf_av].[in_i]":
		return InchPound, nil
	}
	if !Unit(code).Known() {
		return "", unknownUnit(code)
	}
	return Unit(code), nil
}

// unknownUnit lists the units within two changed letters of what was
// written, or the common ones when none is near.
func unknownUnit(text string) error {
	const shown, near = 5, 2
	var nearby []string
	for distance := 0; distance <= near; distance++ {
		for _, u := range Units() {
			if nearness(text, u) == distance && len(nearby) < shown {
				nearby = append(nearby, u.Symbol()+" ("+string(u)+")")
			}
		}
	}
	if text == "" || len(text) > 16 || len(nearby) == 0 {
		nearby = []string{"mm", "in ([in_i])", "N·m (N.m)", "lbf·ft ([ft_i].[lbf_av])", "bar", "psi ([psi])", "°C (Cel)", "V", "Ω (Ohm)"}
	}
	return problem(UnitUnknown, "This unit is not known. Choose one of: "+strings.Join(nearby, ", ")+".")
}

// nearness gives the letters to change from text to the unit's code or
// symbol, whichever is less; unrelated when everything would change.
func nearness(text string, u Unit) int {
	best := len(text) + len(u)
	for _, name := range []string{string(u), u.Symbol(), strings.Trim(string(u), "[]")} {
		d := distance([]rune(strings.ToLower(text)), []rune(strings.ToLower(name)))
		if d < best && d < max(len([]rune(text)), len([]rune(name))) {
			best = d
		}
	}
	return best
}

// distance is Levenshtein's, row by row.
func distance(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, ca := range a {
		corner := row[0]
		row[0] = i + 1
		for j, cb := range b {
			change := corner
			if ca != cb {
				change++
			}
			corner = row[j+1]
			row[j+1] = min(change, row[j]+1, corner+1)
		}
	}
	return row[len(b)]
}
