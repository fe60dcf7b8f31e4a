package reckon

import (
	"benchtag/internal/measure"
)

// fitCalculations are those of tolerances and fits.
func fitCalculations() []calculation {
	return []calculation{
		{"fit", "limits of a hole and a shaft, and the play between them", []string{"fit", "nominal", "hole", "shaft"}, fitOf},
		{"tolerance_grade", "the standard tolerance of a size", []string{"nominal", "grade"}, toleranceGrade},
		{"tolerance_unit", "the unit from which standard tolerances were computed", []string{"nominal"}, toleranceUnit},
	}
}

// fit reads "50 H7/g6", or nominal, hole and shaft apart.
func (p *params) fit() (measure.Fit, error) {
	if p.has("fit") {
		return measure.ParseFit(p.word("fit", "50 H7/g6"))
	}
	text := p.word("nominal", "50") + " " + p.given["hole"]
	if p.has("hole") && p.has("shaft") {
		text += "/"
	}
	return measure.ParseFit(text + p.given["shaft"])
}

func fitOf(p *params) (calculated, error) {
	f, err := p.fit()
	if p.err != nil || err != nil {
		return calculated{}, err
	}
	out := calculated{warnings: []string{"Sizes at 20 °C (ISO 1). The maker's figures come first."}}
	nominal := float64(f.Nominal) / 1e6
	for _, side := range []struct {
		name  string
		class measure.ToleranceClass
	}{{"hole", f.Hole}, {"shaft", f.Shaft}} {
		if side.class.Letters == "" {
			continue
		}
		limits, err := f.Limits(side.class)
		if err != nil {
			return calculated{}, err
		}
		low, high := float64(limits.Lower)/1e6, float64(limits.Upper)/1e6
		out.figures = append(out.figures,
			figure{side.name + "_lower", low * 1000, "um"}, figure{side.name + "_upper", high * 1000, "um"},
			figure{side.name + "_min", nominal + low, "mm"}, figure{side.name + "_max", nominal + high, "mm"})
		out.working = append(out.working, line("%s %s at %v mm: tolerance IT%d = %v µm, deviations %v and %v µm, so %v to %v mm (ISO 286-1; see the tables' marks).",
			side.name, side.class, nominal, side.class.Grade, (high-low)*1000, low*1000, high*1000, nominal+low, nominal+high))
	}
	if f.Hole.Letters == "" || f.Shaft.Letters == "" {
		return out, nil
	}
	return withPlay(out, f)
}

// withPlay puts the play before the other figures.
func withPlay(out calculated, f measure.Fit) (calculated, error) {
	play, err := f.Play()
	if err != nil {
		return calculated{}, err
	}
	least, most := float64(play.Min)/1000, float64(play.Max)/1000
	out.verdict = string(play.Kind)
	out.figures = append([]figure{{"clearance_min", least, "um"}, {"clearance_max", most, "um"}}, out.figures...)
	out.working = append(out.working,
		line("Least clearance: hole lower − shaft upper = %v µm; most: hole upper − shaft lower = %v µm. Below nought is interference.", least, most),
		line("%s fit: clearance if the least is nought or more, interference if the most is nought or less, else transition.", play.Kind))
	return out, nil
}

func toleranceGrade(p *params) (calculated, error) {
	f, err := measure.ParseFit(p.word("nominal", "50") + " H7")
	grade := p.whole("grade")
	if p.err != nil || err != nil {
		return calculated{}, err
	}
	it, err := f.Tolerance(int(grade))
	return calculated{
		figures: []figure{{"tolerance", float64(it) / 1000, "um"}},
		working: []string{line("IT%d of the step that holds %v mm (over … up to and including …) = %v µm (ISO 286-1 table 1).", grade, float64(f.Nominal)/1e6, float64(it)/1000)},
	}, err
}

func toleranceUnit(p *params) (calculated, error) {
	f, err := measure.ParseFit(p.word("nominal", "50") + " H7")
	if p.err != nil || err != nil {
		return calculated{}, err
	}
	u := f.ToleranceUnit()
	return calculated{
		figures: []figure{{"unit", u.Unit, "um"}, {"mean", u.Mean, "mm"}, {"it6", 10 * u.Unit, "um"}, {"it7", 16 * u.Unit, "um"}, {"it8", 25 * u.Unit, "um"}},
		working: []string{
			line("Step of %v mm: D = √(low × high) = %v mm.", float64(f.Nominal)/1e6, u.Mean),
			line("i = 0.45 ∛D + 0.001 D = %v µm; before rounding IT6 = 10 i = %v, IT7 = 16 i = %v, IT8 = 25 i = %v µm (ISO 286-1, from memory).",
				u.Unit, 10*u.Unit, 16*u.Unit, 25*u.Unit),
		},
	}, nil
}
