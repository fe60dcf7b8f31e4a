package measure

import "math"

// Chordal is what a gear-tooth caliper reads.
type Chordal struct {
	Arc       float64 // tooth thickness along the pitch circle, millimetres
	HalfAngle float64 // of that arc, degrees
	Thickness float64 // across the chord, millimetres
	Height    float64 // of the tip above the chord, millimetres
}

// Chordal gives the chordal thickness at the pitch circle, given how far the
// tip stands above that circle in millimetres: s = (π/2 + 2 x tan α) m,
// θ = 90°/z + 360° x tan α/(π z), s' = z m sin θ, h' = z m (1 − cos θ)/2 + ha
// (elements of metric gear technology, read in a stored copy).
func (g Gear) Chordal(addendum float64) (Chordal, error) {
	if err := g.check(); err != nil {
		return Chordal{}, err
	}
	if !(addendum >= 0 && addendum <= 5*g.Module) {
		return Chordal{}, outOfRange("Give how far the tip stands above the pitch circle in millimetres, at most five modules.")
	}
	arc := (math.Pi/2 + 2*g.Shift*math.Tan(g.pressure())) * g.Module
	half := arc / (2 * g.pitchRadius())
	return Chordal{
		Arc: arc, HalfAngle: degrees(half),
		Thickness: 2 * g.pitchRadius() * math.Sin(half),
		Height:    g.pitchRadius()*(1-math.Cos(half)) + addendum,
	}, nil
}

// Mesh is two gears that run together; module and pressure angle are those of
// the first.
type Mesh struct {
	Small, Large Gear
	// TipSmall and TipLarge are tip diameters in millimetres; 0 stands for
	// the pitch circle and one module besides the shift on either side.
	TipSmall, TipLarge float64
	// Centres is the centre distance in millimetres; 0 stands for the one
	// that the shifts give without backlash.
	Centres float64
}

// Contact is how two gears touch.
type Contact struct {
	Centres float64 // millimetres
	Working float64 // working pressure angle, degrees
	Path    float64 // length of the path of contact, millimetres
	Ratio   float64 // teeth in contact on average
}

// Contact gives path and ratio of contact: (√(ra1² − rb1²) + √(ra2² − rb2²) −
// a sin αw)/p_b (from memory). A ratio below 1 lets go of one pair of teeth
// before the next takes hold.
func (m Mesh) Contact() (Contact, error) {
	m.Large.Module, m.Large.Pressure = m.Small.Module, m.Small.Pressure
	for _, g := range []Gear{m.Small, m.Large} {
		if err := g.check(); err != nil {
			return Contact{}, err
		}
	}
	a, working, err := m.centres()
	if err != nil {
		return Contact{}, err
	}
	path := -a * math.Sin(working)
	for _, side := range []struct {
		gear Gear
		tip  float64
	}{{m.Small, m.TipSmall}, {m.Large, m.TipLarge}} {
		tip := side.tip / 2
		if tip == 0 {
			tip = side.gear.pitchRadius() + (1+side.gear.Shift)*side.gear.Module
		}
		if !(tip > side.gear.baseRadius() && tip < 3*side.gear.pitchRadius()) {
			return Contact{}, outOfRange("A tip diameter lies inside the base circle or far outside the gear; check it.")
		}
		path += math.Sqrt(tip*tip - side.gear.baseRadius()*side.gear.baseRadius())
	}
	if path <= 0 {
		return Contact{}, outOfRange("These gears do not touch; check the tip diameters and the centre distance.")
	}
	return Contact{Centres: a, Working: degrees(working), Path: path, Ratio: path / m.Small.basePitch()}, nil
}

// centres gives the centre distance in millimetres and the working pressure
// angle in radians: a cos αw = rb1 + rb2, and without a distance given inv αw
// = inv α + 2 tan α (x1 + x2)/(z1 + z2).
func (m Mesh) centres() (a, working float64, err error) {
	base := m.Small.baseRadius() + m.Large.baseRadius()
	if m.Centres != 0 {
		if !(m.Centres > base && m.Centres < 2*base) {
			return 0, 0, outOfRange("At this centre distance the teeth cannot mesh; check it.")
		}
		return m.Centres, math.Acos(base / m.Centres), nil
	}
	alpha := m.Small.pressure()
	inv := involute(alpha) + 2*math.Tan(alpha)*(m.Small.Shift+m.Large.Shift)/(m.Small.teeth()+m.Large.teeth())
	angle, err := InvoluteAngle(inv)
	if err != nil {
		return 0, 0, err
	}
	return base / math.Cos(radians(angle)), radians(angle), nil
}

// ThicknessLoss gives how much thinner teeth have become along the pitch
// circle, in millimetres, from the loss of span: ΔW/cos α (from the
// definition of the span).
func ThicknessLoss(g Gear, spanLoss float64) (float64, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	return spanLoss / math.Cos(g.pressure()), nil
}
