package debris

import "slices"

// Elements lists the symbols of the 22 elements that ASTM D5185 determines in
// used oil.
func Elements() []string {
	return []string{"Al", "B", "Ba", "Ca", "Cr", "Cu", "Fe", "K", "Mg", "Mn", "Mo", "Na", "Ni", "P", "Pb", "S", "Si", "Sn", "Ag", "Ti", "V", "Zn"}
}

// elementSays is what an element in oil points at; from memory. ok is false for
// one that is not among Elements.
func elementSays(symbol string) (says string, ok bool) {
	if !slices.Contains(Elements(), symbol) {
		return "", false
	}
	switch symbol {
	case "Fe":
		return "steel or iron: gears, bearings, liner, rings, cams", true
	case "Al":
		return "aluminium: piston, cases, pump; with silicon also dust", true
	case "Cu":
		return "bronze or brass: bushes, washers, cages; under bearing metal", true
	case "Pb", "Sn":
		return "bearing metal: the lining of shell bearings", true
	case "Cr":
		return "chromium: rings, plated parts, rolling bearings", true
	case "Ni":
		return "nickel: bore plating, hardened steel", true
	case "Si":
		return "dust through the air filter, or sealant", true
	case "Na", "K", "B":
		return "coolant, though some oils hold it as an additive", true
	case "Ag", "Ti", "V", "Mn":
		return "an alloy of some bearings and valves", true
	case "Mo":
		return "an additive, or a coating", true
	}
	return "an additive of the oil, as a rule", true
}
