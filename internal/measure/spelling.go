package measure

import "strings"

// spelled gives the unit that a trade spelling means: a UCUM code first,
// then spellings in which capitals matter, then the rest. Common practice,
// no source. Three spellings are read against UCUM, since nobody in a
// workshop types coulombs, farads or nanometres: C, F and nm.
func spelled(name string) (Unit, bool) {
	switch name {
	case "C":
		return Celsius, true
	case "F":
		return Fahrenheit, true
	}
	u, err := ParseUnit(name)
	if err == nil {
		return u, true
	}
	joined := strings.Map(func(c rune) rune {
		if strings.ContainsRune(" ·⋅•*.-_", c) {
			return -1
		}
		return c
	}, name)
	u, known := capitalsMatter(joined)
	if known {
		return u, true
	}
	u, known = mechanicalSpelling(strings.ToLower(joined))
	if known {
		return u, true
	}
	return otherSpelling(strings.ToLower(joined))
}

// capitalsMatter holds what a wrong capital would make a thousand or a
// thousand million times larger: milliohm and megohm above all. These are
// missing from the other spellings.
func capitalsMatter(s string) (Unit, bool) {
	switch s {
	case "mV", "mv":
		return Millivolt, true
	case "mA", "ma":
		return Milliampere, true
	case "mOhm", "mohm":
		return Milliohm, true
	case "MOhm", "Mohm":
		return Megohm, true
	case "MPa", "Mpa":
		return Megapascal, true
	case "ms":
		return Millisecond, true
	default:
		return "", false
	}
}

func mechanicalSpelling(s string) (Unit, bool) {
	switch s {
	case "um", "micron", "microns":
		return Micrometre, true
	case "mm":
		return Millimetre, true
	case "cm":
		return Centimetre, true
	case "m":
		return Metre, true
	case "km":
		return Kilometre, true
	case "thou", "thous", "thousandth", "thousandths", "mil", "mils":
		return Thou, true
	case "in", "inch", "inches", `"`:
		return Inch, true
	case "ft", "foot", "feet":
		return Foot, true
	case "mi", "mile", "miles":
		return Mile, true
	case "g", "gram", "grams":
		return Gram, true
	case "kg", "kilo", "kilos":
		return Kilogram, true
	case "oz", "ounce", "ounces":
		return Ounce, true
	case "lb", "lbs", "pound", "pounds":
		return Pound, true
	case "n", "newton", "newtons":
		return Newton, true
	case "lbf":
		return PoundForce, true
	case "kn", "kilonewton", "kilonewtons":
		return Kilonewton, true
	case "kgf", "kp":
		return KilogramForce, true
	case "nm", "newtonmetre", "newtonmetres", "newtonmeter", "newtonmeters":
		return NewtonMetre, true
	case "ftlb", "ftlbs", "ftlbf", "lbft", "lbsft", "lbfft", "footpound", "footpounds", "poundfoot", "poundfeet":
		return FootPound, true
	case "inlb", "inlbs", "inlbf", "lbin", "lbsin", "lbfin", "inchpound", "inchpounds", "poundinch", "poundinches":
		return InchPound, true
	case "ozin", "inoz", "ozfin", "inozf", "ounceinch", "ounceinches":
		return InchOunce, true
	case "kgfm", "kgm", "mkg", "mkgf", "mkp", "kpm":
		return KilogramForceMetre, true
	default:
		return "", false
	}
}

func otherSpelling(s string) (Unit, bool) {
	switch s {
	case "°", "deg", "degs", "degree", "degrees":
		return Degree, true
	case "rpm", "r/min", "rev/min", "revs/min":
		return PerMinute, true
	case "%", "percent":
		return Percent, true
	case "s", "sec", "secs", "second", "seconds":
		return Second, true
	case "min", "mins", "minute", "minutes":
		return Minute, true
	case "h", "hr", "hrs", "hour", "hours":
		return Hour, true
	case "ml":
		return Millilitre, true
	case "cc", "ccm", "cm3":
		return CubicCentimetre, true
	case "l", "litre", "litres", "liter", "liters":
		return Litre, true
	case "usfloz":
		return FluidOunce, true
	case "usqt":
		return Quart, true
	case "pa":
		return Pascal, true
	case "mbar":
		return Millibar, true
	case "kpa":
		return Kilopascal, true
	case "bar", "bars":
		return Bar, true
	case "psi", "lbf/in2", "lb/in2", "lbs/in2":
		return PoundPerSquareInch, true
	case "inhg", `"hg`:
		return InchOfMercury, true
	case "kgf/cm2", "kg/cm2", "kp/cm2":
		return KilogramPerSquare, true
	case "°c", "degc", "celsius", "cel":
		return Celsius, true
	case "°f", "degf", "fahrenheit":
		return Fahrenheit, true
	case "k", "kelvin":
		return Kelvin, true
	case "v", "volt", "volts", "vdc":
		return Volt, true
	case "kv":
		return Kilovolt, true
	case "a", "amp", "amps", "ampere", "amperes":
		return Ampere, true
	case "ohm", "ohms":
		return Ohm, true
	case "kohm", "kohms":
		return Kilohm, true
	default:
		return "", false
	}
}
