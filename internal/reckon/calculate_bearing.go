package reckon

import (
	"strings"

	"benchtag/internal/measure"
)

// bearingCalculations are those of rolling bearings.
func bearingCalculations() []calculation {
	return []calculation{
		{"bearing_clearance", "which class of clearance a bearing is of", []string{"bore", "clearance"}, bearingClearance},
		{"bearing_life", "the rated life of a bearing under load", []string{"rating", "load", "radial", "axial", "x", "y", "kind", "speed", "reliability"}, bearingLife},
	}
}

func bearingClearance(p *params) (calculated, error) {
	bore := p.need("bore", measure.Millimetre)
	clearance := p.or("clearance", measure.Micrometre, -1)
	if p.err != nil {
		return calculated{}, p.err
	}
	step, all, err := measure.ClearanceClasses(bore)
	if err != nil {
		return calculated{}, err
	}
	out := calculated{
		figures:  []figure{{"bore", bore, "mm"}},
		working:  []string{line("Bore %v mm: step over %v up to and including %v mm (ISO 5753-1:2009, deep groove ball bearings, cylindrical bore).", bore, step.Over, step.UpTo)},
		warnings: []string{"The table holds for a new bearing, not mounted and not loaded; mounting takes up part of it. Replace by the designation on the ring or the maker's list."},
	}
	for _, c := range all {
		out.figures = append(out.figures, figure{strings.ToLower(c.Class) + "_min", float64(c.Min), "um"}, figure{strings.ToLower(c.Class) + "_max", float64(c.Max), "um"})
		out.working = append(out.working, line("%s: %d to %d µm.", c.Class, c.Min, c.Max))
		if p.has("clearance") && c.Fits(clearance) {
			out.fits = append(out.fits, c.Class)
		}
	}
	if p.has("clearance") {
		out.figures = append([]figure{{"clearance", clearance, "um"}}, out.figures...)
		out.verdict, out.working = clearanceVerdict(out, clearance)
	}
	return out, nil
}

// clearanceVerdict says which classes a clearance fits.
func clearanceVerdict(c calculated, clearance float64) (string, []string) {
	which := strings.Join(c.fits, " and ")
	switch len(c.fits) {
	case 0:
		return "no_class", append(c.working, line("%v µm fits no class.", clearance))
	case 1:
		return "one_class", append(c.working, line("%v µm fits %s alone.", clearance, which))
	}
	return "ambiguous", append(c.working, line("%v µm fits %s: the classes overlap, so the reading alone does not tell them apart.", clearance, which))
}

func bearingLife(p *params) (calculated, error) {
	b := measure.RatedBearing{Rating: p.need("rating", measure.Newton), Reliability: p.wholeOr("reliability", 0)}
	var how string
	b.Load, how = p.bearingLoad()
	b.Roller = p.rollers()
	if p.err != nil {
		return calculated{}, p.err
	}
	life, err := b.Life()
	if err != nil {
		return calculated{}, err
	}
	out := calculated{
		figures: []figure{{"life", life.Revolutions, "10*6"}, {"load", b.Load, "N"}, {"exponent", life.Exponent, "1"}},
		working: []string{
			how,
			line("L = a1 (C/P)^p = %v × (%v/%v)^%v = %v million revolutions (ISO 281).", life.Factor, b.Rating, b.Load, life.Exponent, life.Revolutions),
		},
		warnings: []string{"A rating for a clean, well-lubricated bearing; debris in the oil ends it far sooner."},
	}
	if p.has("speed") {
		speed := p.need("speed", measure.PerMinute)
		hours, err := life.Hours(speed)
		if p.err != nil || err != nil {
			return calculated{}, err
		}
		out.figures = append(out.figures, figure{"hours", hours, "h"})
		out.working = append(out.working, line("At %v revolutions per minute: 10⁶ × %v/(60 × %v) = %v h.", speed, life.Revolutions, speed, hours))
	}
	return out, nil
}

// bearingLoad gives the equivalent load in newtons.
func (p *params) bearingLoad() (float64, string) {
	if p.has("load") || !p.has("radial") {
		load := p.need("load", measure.Newton)
		return load, line("P = %v N as given.", load)
	}
	radial, axial := p.need("radial", measure.Newton), p.or("axial", measure.Newton, 0)
	x, y := p.or("x", "", 1), p.or("y", "", 0)
	load := x*radial + y*axial
	return load, line("P = X Fr + Y Fa = %v × %v + %v × %v = %v N (ISO 281; X and Y from the maker's tables).", x, radial, y, axial, load)
}

// rollers reports whether it is a roller bearing.
func (p *params) rollers() bool {
	switch p.given["kind"] {
	case "", "ball":
		return false
	case "roller":
		return true
	}
	p.fail("measure.name_unknown", "kind", "Say ball or roller.")
	return false
}
