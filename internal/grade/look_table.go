package grade

// The words and the grades of every stage below are common practice, no source.
// The terms beside them: ISO 10825:1995 read in a published classification, ISO
// 15243:2017 in makers' posters of it.

// brokenModes are parts out of shape or in pieces.
func brokenModes() []staged {
	return []staged{
		{"cracked", []Stage{
			{Key: "hairline", Words: "a hairline crack, found by dye, by eye or by its dull ring", Grade: BeyondLimit, Gear: "fatigue cracks", Bearing: "fatigue cracking"},
			{Key: "open", Words: "a crack that opens when the part is loaded, or weeps", Grade: Failed, Gear: "fatigue cracks", Bearing: "forced fracture"},
		}},
		{"bent", []Stage{
			{Key: "by_gauge", Words: "out of true by the dial gauge or on the surface plate only", Grade: NearLimit, Gear: "plastic deformation"},
			{Key: "by_eye", Words: "bent so that the eye sees it", Grade: BeyondLimit, Gear: "plastic deformation"},
			{Key: "binds", Words: "bent so that it binds or no longer fits", Grade: Failed, Gear: "plastic deformation"},
		}},
		{"broken", []Stage{
			{Key: "chipped", Words: "a corner or an edge is off, and it still does its job", Grade: BeyondLimit, Gear: "overload breakage", Bearing: "forced fracture"},
			{Key: "in_pieces", Words: "in two or more pieces", Grade: Failed, Gear: "overload breakage", Bearing: "forced fracture"},
		}},
		{"tooth_breakage", []Stage{
			{Key: "corner", Words: "the corner of a tooth is off", Grade: BeyondLimit, Gear: "fatigue breakage, tooth-end"},
			{Key: "tooth", Words: "a tooth or more is off", Grade: Failed, Gear: "bending fatigue breakage or overload breakage"},
			{Key: "sheared", Words: "a row of teeth is sheared off", Grade: Failed, Gear: "tooth shear"},
		}},
		{"stripped_thread", []Stage{
			{Key: "first_turns", Words: "the first turn or two are pulled, the rest is sound and takes its torque", Grade: NearLimit},
			{Key: "crossed", Words: "crossed: the bolt starts at an angle or runs hard", Grade: BeyondLimit},
			{Key: "pulled", Words: "pulled: thread comes out with the bolt, or it never reaches its torque", Grade: Failed},
		}},
		{"warped", []Stage{
			{Key: "thin_feeler", Words: "rocks on the surface plate, the thinnest feeler goes under", Grade: NearLimit},
			{Key: "gap", Words: "a gap that the eye sees against a straightedge", Grade: BeyondLimit},
			{Key: "leaks", Words: "so far out of flat that it leaks, drags or shudders", Grade: Failed},
		}},
		{"plastic_deformation", []Stage{
			{Key: "ripples", Words: "fine ripples or ridges along the sliding way", Grade: NearLimit, Gear: "rippling, ridging", Bearing: "overload"},
			{Key: "lip", Words: "a lip or burr rolled over an edge", Grade: BeyondLimit, Gear: "plastic deformation by rolling, burrs", Bearing: "overload"},
			{Key: "shape_gone", Words: "hammered or rolled out of shape", Grade: Failed, Gear: "plastic deformation by tooth hammer", Bearing: "overload"},
		}},
	}
}

// rubbedModes are parts worn by what they run against.
func rubbedModes() []staged {
	return []staged{
		{"worn", []Stage{
			{Key: "polished", Words: "polished where it runs, machining marks still there", Grade: Serviceable, Gear: "normal wear, polishing"},
			{Key: "step", Words: "a step that a fingernail feels", Grade: NearLimit, Gear: "abrasive wear", Bearing: "abrasive wear"},
			{Key: "layer_through", Words: "through its hard, plated or lined layer", Grade: BeyondLimit, Gear: "excessive wear", Bearing: "abrasive wear"},
			{Key: "lets_go", Words: "so far gone that it slips, jumps or rattles loose", Grade: Failed, Gear: "excessive wear", Bearing: "abrasive wear"},
		}},
		{"scored", []Stage{
			{Key: "not_felt", Words: "fine lines that a fingernail does not feel", Grade: Serviceable, Gear: "moderate scratching (scoring)", Bearing: "abrasive wear"},
			{Key: "few_felt", Words: "one or two lines that a fingernail just feels", Grade: NearLimit, Gear: "moderate scratching (scoring)", Bearing: "abrasive wear"},
			{Key: "catches", Words: "lines that catch a fingernail", Grade: BeyondLimit, Gear: "severe scratching", Bearing: "abrasive wear"},
			{Key: "grooves", Words: "grooves with raised edges, it leaks or drags", Grade: Failed, Gear: "severe scratching", Bearing: "abrasive wear"},
		}},
		{"wiped", []Stage{
			{Key: "bright", Words: "a bright patch on the bearing layer, nothing moved", Grade: Serviceable},
			{Key: "smeared", Words: "the bearing layer is smeared in the direction of turning", Grade: BeyondLimit},
			{Key: "backing", Words: "the backing shows through the bearing layer", Grade: Failed},
		}},
		{"seized", []Stage{
			{Key: "picked_up", Words: "metal picked up in spots, it still moves freely", Grade: BeyondLimit, Gear: "scuffing", Bearing: "adhesive wear"},
			{Key: "stuck", Words: "stuck, or moves by force only", Grade: Failed, Gear: "scuffing", Bearing: "adhesive wear"},
		}},
		{"scuffing", []Stage{
			{Key: "streaks", Words: "dull streaks from root to tip on part of the teeth", Grade: NearLimit, Gear: "scuffing", Bearing: "adhesive wear"},
			{Key: "torn", Words: "torn, rough bands on most teeth", Grade: BeyondLimit, Gear: "scuffing", Bearing: "adhesive wear"},
			{Key: "welded", Words: "metal carried over and welded on", Grade: Failed, Gear: "scuffing", Bearing: "adhesive wear"},
		}},
		{"stretched", []Stage{
			{Key: "mid_adjuster", Words: "the adjuster has way left, slack is even all round", Grade: Serviceable},
			{Key: "near_end", Words: "the adjuster is near its end, or tight and slack spots show", Grade: NearLimit},
			{Key: "end", Words: "the adjuster is at its end, or links lift off the sprocket by half a tooth", Grade: BeyondLimit},
			{Key: "jumps", Words: "it jumps teeth, or has parted", Grade: Failed},
		}},
		{"hooked", []Stage{
			{Key: "leaning", Words: "teeth lean a little to the pulled side", Grade: NearLimit},
			{Key: "hooks", Words: "teeth are hooked like a wave", Grade: BeyondLimit},
			{Key: "tips_gone", Words: "tips are gone, the chain rides up or jumps", Grade: Failed},
		}},
		{"hollowed", []Stage{
			{Key: "mark", Words: "a mark that is seen and not felt", Grade: Serviceable},
			{Key: "felt", Words: "a hollow that a fingernail feels", Grade: NearLimit},
			{Key: "notch", Words: "notches in which the other part hangs", Grade: BeyondLimit},
			{Key: "through", Words: "through the hard layer, edges crumble", Grade: Failed},
		}},
		{"chafed", []Stage{
			{Key: "shine", Words: "a shiny rubbed spot, cover whole", Grade: Serviceable},
			{Key: "cover", Words: "the cover is rubbed thin, nothing shows through", Grade: NearLimit},
			{Key: "through", Words: "the cover is through: braid, core or insulation shows", Grade: BeyondLimit},
			{Key: "bare", Words: "bare wire, broken strands or a weeping hose", Grade: Failed},
		}},
	}
}

// hotModes are parts that got too hot, and what electricity does.
func hotModes() []staged {
	return []staged{
		{"heat_blued", []Stage{
			{Key: "straw", Words: "a straw-coloured tint", Grade: NearLimit, Gear: "overheating"},
			{Key: "blue", Words: "blue or purple", Grade: BeyondLimit, Gear: "overheating"},
			{Key: "soft", Words: "blue and soft under a file, or out of shape", Grade: Failed, Gear: "overheating"},
		}},
		{"overheated", []Stage{
			{Key: "tint", Words: "lacquered or tinted, shape and hardness sound", Grade: NearLimit, Gear: "overheating"},
			{Key: "scale", Words: "scaled, burnt oil baked on, seals or cages hard", Grade: BeyondLimit, Gear: "overheating, scaling"},
			{Key: "melted", Words: "melted, sagged or cracked by heat", Grade: Failed, Gear: "overheating", Bearing: "thermal cracking"},
		}},
		{"burnt", []Stage{
			{Key: "discoloured", Words: "discoloured, surface sound", Grade: Serviceable},
			{Key: "glazed", Words: "glazed, or with a few small burnt spots", Grade: NearLimit},
			{Key: "eaten", Words: "eaten at an edge or a contact", Grade: BeyondLimit},
			{Key: "through", Words: "burnt through", Grade: Failed},
		}},
		{"electrical_open", []Stage{
			{Key: "comes_and_goes", Words: "opens when it is hot, bent or shaken", Grade: BeyondLimit},
			{Key: "open", Words: "no passage at all", Grade: Failed},
		}},
		{"electrical_short", []Stage{
			{Key: "leaks", Words: "insulation reads low, and it works", Grade: NearLimit, Bearing: "current leakage"},
			{Key: "comes_and_goes", Words: "shorts when it is hot, bent or wet", Grade: BeyondLimit},
			{Key: "short", Words: "a dead short", Grade: Failed, Bearing: "excessive current"},
		}},
	}
}

// agedModes are parts that time, damp and dirt have been at.
func agedModes() []staged {
	return []staged{
		{"corroded", []Stage{
			{Key: "bloom", Words: "a bloom that wipes off, surface sound", Grade: Serviceable, Gear: "chemical corrosion", Bearing: "moisture corrosion"},
			{Key: "rough", Words: "rough, no pit where it runs, seals or carries load", Grade: NearLimit, Gear: "chemical corrosion", Bearing: "moisture corrosion"},
			{Key: "pits", Words: "pits where it runs, seals or carries load", Grade: BeyondLimit, Gear: "chemical corrosion", Bearing: "moisture corrosion"},
			{Key: "through", Words: "eaten through, or crumbles", Grade: Failed, Gear: "chemical corrosion", Bearing: "moisture corrosion"},
		}},
		{"perished", []Stage{
			{Key: "dull", Words: "dull, still soft, no cracks when bent", Grade: Serviceable},
			{Key: "hard", Words: "hard, or swollen, no cracks when bent", Grade: NearLimit},
			{Key: "cracks", Words: "cracks when bent", Grade: BeyondLimit},
			{Key: "tears", Words: "tears or falls apart", Grade: Failed},
		}},
		{"leaking", []Stage{
			{Key: "damp", Words: "damp, nothing gathers in a day (not on brakes or forks)", Grade: Serviceable},
			{Key: "weeps", Words: "weeps: a film that comes back in a day (not on brakes or forks)", Grade: NearLimit},
			{Key: "drips", Words: "drips, or any damp on brakes or fork legs", Grade: BeyondLimit},
			{Key: "runs", Words: "runs, or no longer holds pressure", Grade: Failed},
		}},
		{"contaminated", []Stage{
			{Key: "film", Words: "a film or dust that wipes off", Grade: Serviceable},
			{Key: "grit", Words: "grit between the fingers", Grade: NearLimit},
			{Key: "metal", Words: "flakes of metal, water or fuel where neither belongs", Grade: BeyondLimit},
			{Key: "choked", Words: "choked: nothing passes any more", Grade: Failed},
		}},
	}
}

// fittedModes are parts that are not as they should have been put in.
func fittedModes() []staged {
	return []staged{
		{"loose", []Stage{
			{Key: "nipped_up", Words: "took a little turn to its torque, no marks of movement", Grade: Serviceable},
			{Key: "moved", Words: "has moved: bright or rusty dust at the joint", Grade: NearLimit, Gear: "fretting corrosion", Bearing: "fretting corrosion"},
			{Key: "hammered", Words: "seat or thread hammered out, will not stay tight", Grade: BeyondLimit},
			{Key: "off", Words: "came off", Grade: Failed},
		}},
		{"missing", []Stage{
			{Key: "trim", Words: "missing and carries nothing: a cap, a clip among several", Grade: NearLimit},
			{Key: "one_of_several", Words: "one of several that share the load is missing", Grade: BeyondLimit},
			{Key: "gone", Words: "missing and its job is not done", Grade: Failed},
		}},
		{"wrong_part", []Stage{
			{Key: "equal", Words: "another part that fits and does the same", Grade: Serviceable},
			{Key: "does_for_now", Words: "another part that does for now", Grade: NearLimit},
			{Key: "does_not_fit", Words: "does not fit as it should, or is weaker", Grade: BeyondLimit},
			{Key: "does_not_work", Words: "cannot do the job", Grade: Failed},
		}},
		{"badly_fitted_before", []Stage{
			{Key: "untidy", Words: "untidy and sound", Grade: Serviceable},
			{Key: "marked", Words: "marked by the wrong tool, too much sealant, works", Grade: NearLimit},
			{Key: "unsound", Words: "wrong way round, not locked, not shimmed or torqued wrongly", Grade: BeyondLimit},
			{Key: "failed", Words: "has failed because of it", Grade: Failed},
		}},
	}
}

// surfaceModes are running surfaces of gears and rolling bearings.
func surfaceModes() []staged {
	return []staged{
		{"surface_fatigue", []Stage{
			{Key: "grey", Words: "grey frosting without pits that are felt", Grade: Serviceable, Gear: "micropitting", Bearing: "surface initiated fatigue"},
			{Key: "first_pits", Words: "a few small pits", Grade: NearLimit, Gear: "initial pitting", Bearing: "surface initiated fatigue"},
			{Key: "many_pits", Words: "many pits, or pits that run together", Grade: BeyondLimit, Gear: "progressive pitting", Bearing: "subsurface initiated fatigue"},
			{Key: "flaked", Words: "pieces flaked out", Grade: Failed, Gear: "flake pitting, spalling", Bearing: "subsurface initiated fatigue"},
		}},
		{"fretting", []Stage{
			{Key: "dust", Words: "reddish dust at a fit, surface sound", Grade: Serviceable, Gear: "fretting corrosion", Bearing: "fretting corrosion"},
			{Key: "stained", Words: "stained and rough at a fit, still tight", Grade: NearLimit, Gear: "fretting corrosion", Bearing: "fretting corrosion"},
			{Key: "ball_marks", Words: "marks at the spacing of the rollers, felt when turned", Grade: BeyondLimit, Bearing: "false brinelling"},
			{Key: "eaten", Words: "the fit is eaten away and loose", Grade: Failed, Gear: "fretting corrosion", Bearing: "fretting corrosion"},
		}},
		{"indented", []Stage{
			{Key: "specks", Words: "a few small dents, not felt when turned", Grade: NearLimit, Gear: "indentation", Bearing: "indentation from particles"},
			{Key: "felt", Words: "dents that are felt when turned", Grade: BeyondLimit, Gear: "indentation", Bearing: "indentation from handling or overload (true brinelling)"},
			{Key: "notchy", Words: "falls into notches and stays there", Grade: Failed, Gear: "indentation", Bearing: "overload (true brinelling)"},
		}},
	}
}
