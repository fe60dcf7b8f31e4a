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
	return line("z = %d teeth, m = %v mm, α = %v° (cos α = %v, sin α = %v, inv α = tan α − α = %v), x = %v.",
		g.Teeth, g.Module, g.Pressure, cos(g.Pressure), sin(g.Pressure), inv(g.Pressure), g.Shift)
}

func cos(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
func sin(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func tan(degrees float64) float64 { return math.Tan(degrees * math.Pi / 180) }

// inv is for the working alone; an angle that has no involute is refused by
// the formula itself.
func inv(degrees float64) float64 { return tan(degrees) - degrees*math.Pi/180 }

func basePitch(p *params) (calculated, error) {
	g := p.anyGear()
	pitch, err := g.BasePitch()
	return calculated{
		figures: []figure{{"base_pitch", pitch, "mm"}},
		working: []string{line("p_b = π m cos α = π × %v × %v = %v mm, with α = %v° (from the definition of the involute).", g.Module, cos(g.Pressure), pitch, g.Pressure)},
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
			line("W = m cos α (π(k − ½) + z inv α) + 2 x m sin α = %v × %v × (π × %v + %d × %v) + 2 × %v × %v × %v = %v mm (metric gear tables, from memory).",
				g.Module, cos(g.Pressure), float64(k)-0.5, g.Teeth, inv(g.Pressure), g.Shift, g.Module, sin(g.Pressure), span),
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
	base := g.Module * float64(g.Teeth) * cos(g.Pressure)
	last := line("Even number of teeth: M = m z cos α/cos φ + dp = %v/%v + %v = %v mm (Van Keuren method, from memory).", base, cos(over.Angle), pin, over.Over)
	if g.Teeth%2 == 1 {
		last = line("Odd number of teeth: M = m z cos α × cos(90°/z)/cos φ + dp = %v × %v/%v + %v = %v mm (Van Keuren method, from memory).",
			base, cos(90/float64(g.Teeth)), cos(over.Angle), pin, over.Over)
	}
	return calculated{
		figures:  []figure{{"over_pins", over.Over, "mm"}, {"pin", pin, "mm"}, {"angle", over.Angle, "deg"}},
		warnings: []string{gearWarning},
		working: []string{
			gearLine(g),
			line("Pin dp = %v mm: inv φ = dp/(m z cos α) − π/(2z) + inv α + 2 x tan α/z = %v/%v − π/%d + %v + 2 × %v × %v/%d = %v, so φ = %v°.",
				pin, pin, base, 2*g.Teeth, inv(g.Pressure), g.Shift, tan(g.Pressure), g.Teeth, inv(over.Angle), over.Angle),
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
			line("Along the pitch circle s = (π/2 + 2 x tan α) m = (π/2 + 2 × %v × %v) × %v = %v mm.", g.Shift, tan(g.Pressure), g.Module, c.Arc),
			line("θ = 90°/z + 360° x tan α/(π z) = 90°/%d + 360° × %v × %v/(π × %d) = %v°.", g.Teeth, g.Shift, tan(g.Pressure), g.Teeth, c.HalfAngle),
			line("Across the chord z m sin θ = %d × %v × %v = %v mm (elements of metric gear technology, table of chordal thickness).", g.Teeth, g.Module, sin(c.HalfAngle), c.Thickness),
			line("Height of the tip z m (1 − cos θ)/2 + ha = %d × %v × (1 − %v)/2 + %v = %v mm.", g.Teeth, g.Module, cos(c.HalfAngle), addendum, c.Height),
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
			line("Base radii rb = m z cos α/2: %v and %v mm. Tip radii ra = m z/2 + (1 + x) m unless given: %v and %v mm.",
				baseRadius(m.Small), baseRadius(m.Large), tipRadius(m.Small, m.TipSmall), tipRadius(m.Large, m.TipLarge)),
			line("Working pressure angle αw = %v° (inv αw = inv α + 2 tan α (x1 + x2)/(z1 + z2), or from the centre distance given); centre distance a = (rb1 + rb2)/cos αw = %v mm.", c.Working, c.Centres),
			line("Path of contact √(ra1² − rb1²) + √(ra2² − rb2²) − a sin αw = %v mm.", c.Path),
			line("Ratio = path/(π m cos α) = %v/%v = %v (from memory).", c.Path, math.Pi*module*cos(pressure), c.Ratio),
		},
		warnings: []string{gearWarning},
	}
	if c.Ratio < 1 {
		out.warnings = append(out.warnings, "Below 1 a pair of teeth lets go before the next takes hold: check the figures.")
	}
	return out, err
}

func baseRadius(g measure.Gear) float64 { return g.Module * float64(g.Teeth) * cos(g.Pressure) / 2 }

// tipRadius gives half of a tip diameter, or of the one that a gear has
// without being told.
func tipRadius(g measure.Gear, tip float64) float64 {
	if tip != 0 {
		return tip / 2
	}
	return g.Module*float64(g.Teeth)/2 + (1+g.Shift)*g.Module
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
		working:  []string{from, line("Δs = ΔW/cos α = %v/%v = %v mm along the pitch circle (from the definition of the span).", loss, cos(g.Pressure), thinner)},
		warnings: []string{"Both flanks together, and both teeth at the ends of the span; measure at several places round the gear."},
	}, err
}

func involuteOf(p *params) (calculated, error) {
	if p.has("involute") {
		given := p.need("involute", "")
		angle, err := measure.InvoluteAngle(given)
		return calculated{
			figures: []figure{{"angle", angle, "deg"}, {"involute", given, "1"}},
			working: []string{line("The angle whose tan α − α (in radians) is %v, by halving the interval: %v°; check: tan %v° = %v.", given, angle, angle, tan(angle))},
		}, err
	}
	angle := p.need("angle", measure.Degree)
	got, err := measure.Involute(angle)
	return calculated{
		figures: []figure{{"involute", got, "1"}, {"angle", angle, "deg"}},
		working: []string{line("inv α = tan %v° − %v = %v − %v = %v, the angle in radians (from the definition).", angle, angle*math.Pi/180, tan(angle), angle*math.Pi/180, got)},
	}, err
}
