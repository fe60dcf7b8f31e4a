package measure_test

import (
	"strings"
	"testing"

	"benchtag/internal/measure"
)

// TestSpellings lists what people write, unit by unit, in the capitals and
// with the dots they use. Common practice, no source.
func TestSpellings(t *testing.T) {
	t.Parallel()
	for unit, spellings := range map[measure.Unit]string{
		measure.Micrometre: "um|UM|micron|microns", measure.Millimetre: "mm|MM|Mm", measure.Centimetre: "cm", measure.Metre: "m|M", measure.Kilometre: "km|KM",
		measure.Thou: "thou|thous|thousandth|thousandths|mil|mils|Mils", measure.Inch: "in|in.|IN|inch|inches|\"|″", measure.Foot: "ft|foot|feet", measure.Mile: "mi|mile|miles",
		measure.Gram: "g|gram|grams", measure.Kilogram: "kg|kilo|kilos", measure.Ounce: "oz|ounce|ounces", measure.Pound: "lb|lbs|lb.|pound|pounds",
		measure.Newton: "N|n|newton|newtons", measure.Kilonewton: "kN|kilonewton|kilonewtons", measure.PoundForce: "lbf", measure.KilogramForce: "kgf|kp",
		measure.NewtonMetre:        "Nm|N m|N·m|N⋅m|N*m|NM|newton metre|newton-metres|newton meter|newton meters",
		measure.FootPound:          "ft-lb|ft lb|ft·lb|FT-LBS|ft.lbf|lb-ft|lbs-ft|lbf·ft|foot-pound|foot pounds|pound-foot|pound feet",
		measure.InchPound:          "in-lb|in lbs|in·lbf|lb-in|lbs-in|lbf·in|inch-pound|inch pounds|pound-inch|pound inches",
		measure.KilogramForceMetre: "kgf·m|kgf-m|kg-m|kgm|mkg|mkgf|mkp|kpm",
		measure.Degree:             "°|deg|degs|degree|degrees", measure.PerMinute: "rpm|RPM|r/min|rev/min|revs/min", measure.Percent: "%|percent",
		measure.Millisecond: "ms", measure.Second: "s|sec|secs|second|seconds", measure.Minute: "min|mins|min.|minute|minutes", measure.Hour: "h|hr|hrs|hour|hours",
		measure.Millilitre: "ml|mL|ML", measure.CubicCentimetre: "cc|ccm|cm3|cm³", measure.Litre: "l|L|litre|litres|liter|liters",
		measure.FluidOunce: "US fl oz|US fl. oz.", measure.Quart: "US qt", measure.Pascal: "Pa|pa", measure.Kilopascal: "kPa|KPA|kpa", measure.Megapascal: "MPa|Mpa",
		measure.Millibar: "mbar", measure.Bar: "bar|BAR|bars", measure.PoundPerSquareInch: "psi|PSI|p.s.i.|lbf/in²|lb/in2|lbs/in2",
		measure.InchOfMercury: "inHg|in Hg|in.Hg|\"Hg", measure.KilogramPerSquare: "kgf/cm²|kg/cm2|kp/cm²",
		measure.Celsius: "°C|C|℃|deg C|celsius|Cel", measure.Fahrenheit: "°F|F|℉|deg F|fahrenheit", measure.Kelvin: "K|kelvin",
		measure.Millivolt: "mV|mv", measure.Volt: "V|v|volt|volts|VDC", measure.Kilovolt: "kV|KV", measure.Milliampere: "mA|ma", measure.Ampere: "A|amp|amps|ampere|amperes",
		measure.Milliohm: "mΩ|mOhm|mohm", measure.Ohm: "Ω|ohm|Ohms|OHM", measure.Kilohm: "kΩ|kohm|kohms", measure.Megohm: "MΩ|MOhm|Mohm",
	} {
		for name := range strings.SplitSeq(spellings, "|") {
			got, err := measure.Parse("12.5 " + name)
			if err != nil || got.Unit != unit || got.Value.String() != "12.5" {
				t.Errorf("12.5 %s reads as %s %s, %v; want %s", name, got.Value, got.Unit, err, unit)
			}
		}
	}
	for _, name := range []string{"MV", "MA", "MOHM", "mpa", "MS", "mPa", "nF", "qt", "fl oz", "daN", "C°F"} {
		got, err := measure.Parse("1 " + name)
		if err == nil {
			t.Errorf("1 %s reads as %s", name, got)
		}
	}
}
