package grade

import (
	"strings"

	"benchtag/internal/fault"
)

// Stage is how far a kind of damage has gone, as it is seen and felt.
type Stage struct {
	Key   string
	Words string // what is seen, in the words of the trade
	// Grade is what it suggests: common practice, no source. Neither of the
	// standards below grades damage; both name its appearance.
	Grade Grade
	// Gear is the term of ISO 10825 for a gear tooth, Bearing that of ISO
	// 15243 for a rolling bearing; "" where the standard has none.
	Gear, Bearing string
}

// Looked is what Look finds.
type Looked struct {
	Mode string
	Stage
}

// Look gives the grade that a described stage of a damage mode suggests. A
// measured limit, where there is one, is kept beside it, and the worse counts
// (Effective). Faults: grade.mode_unknown, grade.stage_unknown; both say what
// there is.
func Look(mode, stage string) (Looked, error) {
	all := Stages(mode)
	if len(all) == 0 {
		return Looked{}, fault.Invalid("grade.mode_unknown", "/mode", "Choose a damage mode: "+strings.Join(Modes(), ", ")+".")
	}
	keys := make([]string, len(all))
	for i, s := range all {
		if s.Key == stage {
			return Looked{mode, s}, nil
		}
		keys[i] = s.Key + " (" + s.Words + ")"
	}
	return Looked{}, fault.Invalid("grade.stage_unknown", "/stage", "Choose how far it has gone: "+strings.Join(keys, "; ")+".")
}

// Modes lists every damage mode that has stages, as package shop names them.
func Modes() []string {
	var out []string
	for _, m := range modes() {
		out = append(out, m.mode)
	}
	return out
}

// Stages lists the stages of a damage mode, mildest first; none for a mode that
// is not known.
func Stages(mode string) []Stage {
	for _, m := range modes() {
		if m.mode == mode {
			return m.stages
		}
	}
	return nil
}

// staged is a damage mode with its stages.
type staged struct {
	mode   string
	stages []Stage
}

func modes() []staged {
	var all []staged
	for _, group := range [][]staged{brokenModes(), rubbedModes(), hotModes(), agedModes(), fittedModes(), surfaceModes()} {
		all = append(all, group...)
	}
	return all
}
