package app

import (
	"strings"
	"unicode"
)

// criticalStarts are beginnings of words that name a joint a rider's life
// hangs on, in the spellings of both sides of the ocean; a blank before each
// keeps a flywheel from being a wheel. The list is that of what is inspected
// by a second person (after EASA AMC2 145.A.48(b), applied to motorcycles:
// brakes, steering, wheels and axles, fork and swingarm, tyres, throttle,
// fuel, frame and engine mounts, stand), with what puts oil on the rear tyre
// or locks the wheel: oil drain plug and filter, sprocket, joining link.
var criticalStarts = [...]string{
	" brake", " caliper", " calliper", " wheel", " axle", " steering", " handlebar", " yoke", " triple clamp", " fork",
	" swingarm", " swing arm", " tyre", " tire", " throttle", " fuel", " petrol", " frame ", " frames ", " subframe", " engine mount",
	" stand ", " stands ", " sidestand", " side stand", " centrestand", " centerstand", " mainstand", " kickstand",
	" oil drain", " sump plug", " oil filter", " sprocket", " joining link", " master link",
}

// criticalJoint reports whether the name of a component and its joint is on
// the critical list. A shop may call more joints critical, never fewer.
func criticalJoint(component, joint string) bool {
	words := strings.FieldsFunc(strings.ToLower(component+" "+joint), func(r rune) bool { return !unicode.IsLetter(r) })
	name := " " + strings.Join(words, " ") + " "
	for _, start := range criticalStarts {
		if strings.Contains(name, start) {
			return true
		}
	}
	return strings.Contains(name, " oil") && strings.Contains(name, " drain")
}
