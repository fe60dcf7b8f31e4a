package layout

// Derivations lists the formulas of package measure that a measured point may
// name. A test holds them against that package.
func Derivations() []string {
	return []string{
		"backlash", "bearing_clearance", "chain_elongation", "chain_sag", "chain_slack", "clearance", "crush_strip",
		"diameter", "end_float", "gap", "gear_over_pins", "gear_span", "gear_thickness_loss", "insulation_at_40",
		"leak_down", "mean", "out_of_round", "phase_unbalance", "polarisation_index", "pressure_spread",
		"resistance_at_20", "run_out", "spring_free_length", "spring_rate", "taper", "voltage_drop",
	}
}

// Rules lists the decision rules that a limit may ask for, as package grade
// names them.
func Rules() []string { return []string{"guarded", "guarded_95", "simple"} }
