package measure

// formulas lists every formula by name.
func formulas() []formula {
	one := func(name, does string, of role, run func(*reckoning) error) formula {
		return formula{name, does, []role{of}, []string{"take"}, run}
	}
	length := func(name string, also ...string) role { return role{name: name, also: also, unit: Millimetre} }
	return []formula{
		one("backlash", "play of a pair of gears at the pitch line; the largest of the places", length("play", "backlash"), direct(takeLargest)),
		one("bearing_clearance", "radial play of a bearing as read; mean of the places", length("play", "clearance"), direct(takeMean)),
		{"chain_elongation", "100 (L − n p)/(n p), L over the rollers and between them, halved; the worst of the places",
			[]role{eachPlace("over", "outer"), eachPlace("between", "inner"), usually(eachPlace("length", "place"))},
			[]string{"pitches", "pitch", "number", "take"}, chainElongation},
		{"chain_sag", "free play at mid-span of a chain with extra length: √(3 span extra/8)", []role{length("span"), length("extra")}, nil, chainSag},
		{"chain_slack", "how far a run of chain or belt moves up and down at mid-span; the smallest of the places",
			[]role{usually(length("slack")), length("up", "highest"), length("down", "lowest")}, []string{"take"}, chainSlack},
		{"clearance", "hole less shaft, less twice the lining between them; the largest of the places, or play as read",
			[]role{length("hole", "bore", "shell", "housing", "eye", "outer", "bush", "guide", "groove"), length("shaft", "piston", "journal", "pin", "inner", "stem", "ring"),
				length("lining", "needle", "wall"), length("play")}, []string{"take"}, clearance},
		{"crush_strip", "clearance from the width of a crushed plastic strip: its chart step, or the middle of two",
			[]role{usually(length("step", "clearance")), length("from", "wider_step"), length("to", "narrower_step")}, []string{"type", "take"}, crushStrip},
		one("diameter", "mean of the places", length("diameter", "size"), direct(takeMean)),
		{"end_float", "how far a shaft moves along itself: play as read, or the difference of both ends; the largest of the places",
			[]role{usually(length("play", "float")), length("pulled"), length("pushed")}, []string{"take"}, endFloat},
		{"expansion_coefficient", "(L1 − L0)/(L0 (t1 − t0))", []role{length("length0"), length("length1"),
			{name: "temperature0", unit: Celsius}, {name: "temperature1", unit: Celsius}}, nil, expansionCoefficient},
		{"gap", "between the thickest blade that fits and the thinnest that does not: the middle; or as read",
			[]role{length("goes", "fits", "from"), length("stops", "refuses", "does_not_fit", "to"), usually(length("gap"))}, []string{"take"}, gap},
		one("gear_over_pins", "size over two pins as read; mean of the places", length("size", "over_pins"), direct(takeMean)),
		one("gear_span", "size over the teeth as read; mean of the places", length("size", "span"), direct(takeMean)),
		{"gear_thickness_loss", "(span new − span)/cos α", []role{length("span_new"), length("span")}, []string{"pressure_angle", "take"}, thicknessLoss},
		{"insulation_at_40", "R × 0.5^((40 − t)/10)", []role{usually(role{name: "resistance", also: []string{"insulation"}, unit: Megohm}), warmthOf()}, []string{"take"}, insulationAt40},
		{"leak_down", "100 (supply − cylinder)/supply, or the tester's own percent",
			[]role{{name: "supply", unit: Kilopascal}, {name: "cylinder", unit: Kilopascal}, usually(role{name: "loss", unit: Percent})}, nil, leakDown},
		{"length_at_20", "L (1 + αs (ts − 20))/(1 + αp (tp − 20))", []role{length("length")}, roomNames(), lengthAt20},
		one("mean", "mean of the places of anything", role{name: "size", also: []string{"thickness", "height", "reading", "value"}}, direct(takeMean)),
		{"out_of_round", "largest |along − across| over the levels", []role{eachPlace("along", "a", "x"), eachPlace("across", "b", "y"), levels()}, nil, outOfRound},
		{"phase_unbalance", "100 × largest departure from the mean/mean", []role{{name: "phase", also: []string{"phases", "voltage", "voltages"}, each: true}}, nil, phaseUnbalance},
		{"polarisation_index", "resistance after ten minutes/after one", []role{{name: "ten_minutes", unit: Megohm}, {name: "one_minute", unit: Megohm}}, nil, polarisationIndex},
		{"pressure_spread", "100 (largest − smallest)/largest over the cylinders", []role{cylinders()}, nil, pressureSpread},
		{"ratio", "smallest/largest of several", []role{cylinders()}, nil, smallestOverLargest},
		{"resistance_at_20", "(R − leads)/(1 + α (t − 20)), or by the inferred zero (R − leads)(z + 20)/(z + t)",
			[]role{usually(role{name: "resistance", unit: Ohm}), {name: "leads", unit: Ohm}, warmthOf()}, []string{"material", "coefficient", "inferred_zero", "at"}, resistanceAt20},
		{"run_out", "highest less lowest of an indicator over a full turn, or as read; the largest of the places",
			[]role{usually(length("run_out", "tir")), eachPlace("round", "indicator"), length("highest"), length("lowest")}, []string{"take"}, runOut},
		one("spring_free_length", "the shortest of the places", length("length"), direct(takeSmallest)),
		{"spring_rate", "(F1 − F0)/(L0 − L1)", []role{{name: "force0", unit: Newton}, {name: "force1", unit: Newton}, length("length0"), length("length1")}, nil, springRate},
		{"taper", "largest less smallest along each direction; the greater of both", []role{eachPlace("along", "a", "x", "diameter"), eachPlace("across", "b", "y"), levels()}, nil, taper},
		{"torque_with_extension", "what to set: T L/(L + E cos θ); or what a setting gives",
			[]role{{name: "torque", unit: NewtonMetre}, {name: "set", unit: NewtonMetre}, length("wrench"), length("extension")}, []string{"angle"}, torqueWithExtension},
		{"voltage_drop", "as read, source less load, or of a wire there and back: 2 L I ρ/A",
			[]role{usually(role{name: "drop", unit: Volt}), {name: "source", unit: Volt}, {name: "load", unit: Volt},
				{name: "length", unit: Metre}, {name: "current", unit: Ampere}}, []string{"area", "resistivity", "take", "ways"}, voltageDrop},
	}
}

// eachPlace is a length of which a lone reading holds several places.
func eachPlace(name string, also ...string) role {
	return role{name: name, also: also, unit: Millimetre, each: true}
}

// usually marks the role of a reading that does not say of what.
func usually(r role) role {
	r.usual = true
	return r
}

// levels is a role that takes names of level and direction: top/x, middle/y.
func levels() role { return role{name: "level/direction", unit: Millimetre, grid: true} }

func cylinders() role {
	return role{name: "cylinder", also: []string{"cylinders", "pressure", "pressures"}, each: true}
}

func warmthOf() role { return role{name: "temperature", unit: Celsius} }

func roomNames() []string {
	return []string{"temperature", "part_temperature", "gauge_temperature", "expansion", "part_expansion", "gauge_expansion", "within"}
}
