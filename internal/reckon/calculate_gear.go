package reckon

import (
	"math"

	"benchtag/internal/measure"
)

// gearCalculations are those of spur gears.
func gearCalculations() []calculation {
	gear := []string{"teeth", "module", "diametral_pitch", "pressure_angle", "shift"}
	with := func(more ...string) []string { return append(append([]string{}, gear...), more...) }
	return []calculation{
		{"base_pitch", "how far the span grows with each tooth", with(), basePitch},
		{"contact_ratio", "how many teeth carry at once", []string{"teeth_small", "teeth_large", "module", "diametral_pitch", "pressure_angle",
			"shift_small", "shift_large", "tip_small", "tip_large", "centres"}, contactRatio},
		{"gear_chordal", "what a gear-tooth caliper reads", with("addendum"), gearChordal},
		{"gear_over_pins", "the measurement over two pins or balls", with("pin"), gearOverPins},
		{"gear_span", "the span over several teeth", with("k"), gearSpan},
		{"gear_thickness_loss", "how much thinner teeth are, from two spans", []string{"pressure_angle", "span_new", "span", "span_loss"}, gearThicknessLoss},
		{"involute", "the involute of an angle, or the angle of an involute", []string{"angle", "involute"}, involuteOf},
	}
}

// gearWarning goes with every figure of a gear.
const gearWarning = "Without backlash and for spur gears; the maker's figure for span or pins, with its allowance, comes first."

func (p *params) module() float64 {
	if p.has("diametral_pitch") && p.has("module") {
		p.fail("measure.parameter_twice", "diametral_pitch", "Give module or diametral_pitch, and not both.")
	}
	if p.has("diametral_pitch") {
		pitch := p.need("diametral_pitch", "")
		if pitch == 0 {
			p.fail("measure.figure_out_of_range", "diametral_pitch", "Give a diametral pitch above nought.")
			return 0
		}
		return 25.4 / pitch
	}
	return p.need("module", measure.Millimetre)
}

func (p *params) gear() measure.Gear {
	return measure.Gear{
		Teeth: p.whole("teeth"), Module: p.module(),
		Pressure: p.or("pressure_angle", measure.Degree, 20), Shift: p.or("shift", "", 0),
	}
}

func gearLine(g measure.Gear) string {
	inv, err := measure.Involute(g.Pressure)
	if err != nil {
		inv = 0 // the gear is refused by whatever comes next
	}
	return line("z = %d teeth, m = %v mm, α = %v° (cos α = %v, sin α = %v, inv α = tan α − α = %v), x = %v.", g.Teeth, g.Module, g.Pressure,
		math.Cos(g.Pressure*math.Pi/180), math.Sin(g.Pressure*math.Pi/180), inv, g.Shift)
}

func basePitch(p *params) (calculated, error) {
	g := p.anyGear()
	pitch, err := g.BasePitch()
	return calculated{
		figures: []figure{{"base_pitch", pitch, "mm"}},
		working: []string{gearLine(g), line("p_b = π m cos α = π × %v × cos %v° = %v mm (from the definition of the involute).", g.Module, g.Pressure, pitch)},
	}, err
}

// anyGear is gear where the teeth do not matter.
func (p *params) anyGear() measure.Gear {
	return measure.Gear{
		Teeth: p.wholeOr("teeth", 20), Module: p.module(),
		Pressure: p.or("pressure_angle", measure.Degree, 20), Shift: p.or("shift", "", 0),
	}
}

func gearSpan(p *params) (calculated, error) {
	g := p.gear()
	if p.err != nil {
		return calculated{}, p.err
	}
	usual, err := g.SpanTeeth()
	if err != nil {
		return calculated{}, err
	}
	k := p.wholeOr("k", usual)
	span, err := g.Span(k)
	return calculated{
		figures:  []figure{{"span", span, "mm"}, {"k", float64(k), "1"}},
		warnings: []string{gearWarning},
		working: []string{
			gearLine(g),
			line("Teeth spanned: k = %d; z α/180° + ½ = %v, rounded %d, lets the jaws touch near the pitch circle.", k, float64(g.Teeth)*g.Pressure/180+0.5, usual),
			line("W = m cos α (π(k − ½) + z inv α) + 2 x m sin α = %v mm (metric gear tables, from memory).", span),
		},
	}, err
}

func gearOverPins(p *params) (calculated, error) {
	g := p.gear()
	pin := p.or("pin", measure.Millimetre, 1.728*g.Module)
	if p.err != nil {
		return calculated{}, p.err
	}
	over, err := g.OverPins(pin)
	last := line("Even number of teeth: M = m z cos α/cos φ + dp = %v mm (Van Keuren method, from memory).", over.Over)
	if g.Teeth%2 == 1 {
		last = line("Odd number of teeth: M = m z cos α × cos(90°/z)/cos φ + dp = %v mm (Van Keuren method, from memory).", over.Over)
	}
	inv, _ := measure.Involute(over.Angle) // the angle came out of one
	return calculated{
		figures:  []figure{{"over_pins", over.Over, "mm"}, {"pin", pin, "mm"}, {"angle", over.Angle, "deg"}},
		warnings: []string{gearWarning},
		working: []string{
			gearLine(g),
			line("Pin dp = %v mm: inv φ = dp/(m z cos α) − π/(2z) + inv α + 2 x tan α/z = %v, so φ = %v°.", pin, inv, over.Angle),
			last,
		},
	}, err
}

func gearChordal(p *params) (calculated, error) {
	g := p.gear()
	addendum := p.or("addendum", measure.Millimetre, (1+g.Shift)*g.Module)
	if p.err != nil {
		return calculated{}, p.err
	}
	c, err := g.Chordal(addendum)
	return calculated{
		figures:  []figure{{"thickness", c.Thickness, "mm"}, {"height", c.Height, "mm"}, {"arc", c.Arc, "mm"}, {"half_angle", c.HalfAngle, "deg"}},
		warnings: []string{gearWarning},
		working: []string{
			gearLine(g),
			line("Along the pitch circle s = (π/2 + 2 x tan α) m = %v mm.", c.Arc),
			line("θ = 90°/z + 360° x tan α/(π z) = %v°.", c.HalfAngle),
			line("Across the chord z m sin θ = %v mm; height of the tip z m (1 − cos θ)/2 + %v = %v mm (elements of metric gear technology, table of chordal thickness).", c.Thickness, addendum, c.Height),
		},
	}, err
}

func contactRatio(p *params) (calculated, error) {
	module, pressure := p.module(), p.or("pressure_angle", measure.Degree, 20)
	m := measure.Mesh{
		Small:    measure.Gear{Teeth: p.whole("teeth_small"), Module: module, Pressure: pressure, Shift: p.or("shift_small", "", 0)},
		Large:    measure.Gear{Teeth: p.whole("teeth_large"), Module: module, Pressure: pressure, Shift: p.or("shift_large", "", 0)},
		TipSmall: p.or("tip_small", measure.Millimetre, 0), TipLarge: p.or("tip_large", measure.Millimetre, 0),
		Centres: p.or("centres", measure.Millimetre, 0),
	}
	if p.err != nil {
		return calculated{}, p.err
	}
	c, err := m.Contact()
	out := calculated{
		figures: []figure{{"contact_ratio", c.Ratio, "1"}, {"path", c.Path, "mm"}, {"centres", c.Centres, "mm"}, {"working_angle", c.Working, "deg"}},
		working: []string{
			"Small: " + gearLine(m.Small), "Large: " + gearLine(m.Large),
			line("Centre distance a = (rb1 + rb2)/cos αw = %v mm, with the working pressure angle αw = %v°.", c.Centres, c.Working),
			line("Path of contact √(ra1² − rb1²) + √(ra2² − rb2²) − a sin αw = %v mm, with ra the tip radius, m z/2 + (1 + x) m unless it is given, and rb = m z cos α/2.", c.Path),
			line("Ratio = path/(π m cos α) = %v (from memory).", c.Ratio),
		},
		warnings: []string{gearWarning},
	}
	if c.Ratio < 1 {
		out.warnings = append(out.warnings, "Below 1 a pair of teeth lets go before the next takes hold: check the figures.")
	}
	return out, err
}

func gearThicknessLoss(p *params) (calculated, error) {
	loss, from := 0.0, ""
	if p.has("span_loss") {
		loss = p.need("span_loss", measure.Millimetre)
		from = line("ΔW = %v mm as given.", loss)
	} else {
		fresh, now := p.need("span_new", measure.Millimetre), p.need("span", measure.Millimetre)
		loss = fresh - now
		from = line("ΔW = %v − %v = %v mm.", fresh, now, loss)
	}
	g := measure.Gear{Teeth: 20, Module: 1, Pressure: p.or("pressure_angle", measure.Degree, 20)}
	thinner, err := measure.ThicknessLoss(g, loss)
	return calculated{
		figures:  []figure{{"thickness_loss", thinner, "mm"}, {"span_loss", loss, "mm"}},
		working:  []string{from, line("Δs = ΔW/cos α = %v/cos %v° = %v mm along the pitch circle (from the definition of the span).", loss, g.Pressure, thinner)},
		warnings: []string{"Both flanks together, and both teeth at the ends of the span; measure at several places round the gear."},
	}, err
}

func involuteOf(p *params) (calculated, error) {
	if p.has("involute") {
		inv := p.need("involute", "")
		angle, err := measure.InvoluteAngle(inv)
		return calculated{
			figures: []figure{{"angle", angle, "deg"}, {"involute", inv, "1"}},
			working: []string{line("The angle whose tan α − α (in radians) is %v, by halving the interval: %v°.", inv, angle)},
		}, err
	}
	angle := p.need("angle", measure.Degree)
	inv, err := measure.Involute(angle)
	return calculated{
		figures: []figure{{"involute", inv, "1"}, {"angle", angle, "deg"}},
		working: []string{line("inv α = tan %v° − %v = %v, the angle in radians (from the definition).", angle, angle*math.Pi/180, inv)},
	}, err
}
