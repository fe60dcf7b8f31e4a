package measure

import (
	"math"
	"strconv"
)

// Gear is an involute spur gear. Lengths here are in millimetres and angles in
// degrees, as in the tables these figures are compared with.
type Gear struct {
	Teeth    int64   // 3 to 1000
	Module   float64 // 25.4 over the diametral pitch; 0.1 to 100
	Pressure float64 // pressure angle, 5 to 45
	Shift    float64 // profile shift in modules, -2 to 2
}

func (g Gear) check() error {
	switch {
	case g.Teeth < 3 || g.Teeth > 1000:
		return outOfRange("Give 3 to 1000 teeth.")
	case !(g.Module >= 0.1 && g.Module <= 100):
		return outOfRange("Give the module in millimetres, 0.1 to 100; it is 25.4 over the diametral pitch.")
	case !(g.Pressure >= 5 && g.Pressure <= 45):
		return outOfRange("Give the pressure angle in degrees, 5 to 45; 20 is usual.")
	case !(math.Abs(g.Shift) <= 2):
		return outOfRange("Give the profile shift in modules, -2 to 2.")
	}
	return nil
}

func (g Gear) teeth() float64    { return float64(g.Teeth) }
func (g Gear) pressure() float64 { return radians(g.Pressure) }

// pitchRadius and baseRadius are in millimetres.
func (g Gear) pitchRadius() float64 { return g.Module * g.teeth() / 2 }
func (g Gear) baseRadius() float64  { return g.pitchRadius() * math.Cos(g.pressure()) }

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
func degrees(radians float64) float64 { return radians * 180 / math.Pi }

// Involute gives tan α − α of an angle in degrees, 0 to 80 (from the
// definition). Printed tables with inv 14.5° = .0054, inv 25° = .0293 and
// inv 30° = .0524 are wrong.
func Involute(angle float64) (float64, error) {
	if !(angle >= 0 && angle <= 80) {
		return 0, outOfRange("Give the angle in degrees, 0 to 80.")
	}
	return involute(radians(angle)), nil
}

func involute(a float64) float64 { return math.Tan(a) - a }

// InvoluteAngle gives the angle in degrees whose involute is inv, 0 to 4. It
// halves the interval until it is down to the last digit a float64 holds.
func InvoluteAngle(inv float64) (float64, error) {
	if !(inv >= 0 && inv <= 4) {
		return 0, outOfRange("No tooth has this involute; give 0 to 4.")
	}
	low, high := 0.0, radians(80)
	for range 60 {
		middle := (low + high) / 2
		if involute(middle) < inv {
			low = middle
		} else {
			high = middle
		}
	}
	return degrees(high), nil
}

// BasePitch gives π m cos α, in millimetres: by so much does the span grow
// with each tooth.
func (g Gear) BasePitch() (float64, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	return g.basePitch(), nil
}

func (g Gear) basePitch() float64 { return math.Pi * g.Module * math.Cos(g.pressure()) }

// SpanTeeth gives the number of teeth to span so that the jaws touch near the
// pitch circle: z α/180° + ½, rounded, at least 1 (from memory).
func (g Gear) SpanTeeth() (int64, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	k := int64(math.Round(g.teeth()*g.Pressure/180 + 0.5))
	return max(k, 1), nil
}

// Span gives the length over k teeth, in millimetres, without backlash:
// m cos α (π(k − ½) + z inv α) + 2 x m sin α (metric gear tables, from
// memory).
func (g Gear) Span(k int64) (float64, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	if k < 1 || k > g.Teeth/2+1 {
		return 0, outOfRange("Span 1 to " + whole(g.Teeth/2+1) + " teeth of this gear.")
	}
	a := g.pressure()
	return g.Module*math.Cos(a)*(math.Pi*(float64(k)-0.5)+g.teeth()*involute(a)) + 2*g.Shift*g.Module*math.Sin(a), nil
}

// Pins is a measurement over two pins or balls.
type Pins struct {
	Over  float64 // millimetres
	Angle float64 // pressure angle at the pins' centre, degrees
}

// OverPins gives the measurement over two pins of a diameter in millimetres:
// inv φ = dp/(m z cos α) − π/(2z) + inv α + 2 x tan α/z; M = m z cos α/cos φ
// + dp, with cos(90°/z) besides where the teeth are odd in number (Van Keuren
// method, from memory).
func (g Gear) OverPins(pin float64) (Pins, error) {
	if err := g.check(); err != nil {
		return Pins{}, err
	}
	if !(pin > 0 && pin <= 10*g.Module) {
		return Pins{}, outOfRange("Give the pin's diameter in millimetres, at most ten modules; 1.728 modules is usual.")
	}
	a, z := g.pressure(), g.teeth()
	inv := pin/(2*g.baseRadius()) - math.Pi/(2*z) + involute(a) + 2*g.Shift*math.Tan(a)/z
	angle, err := InvoluteAngle(inv)
	if err != nil {
		return Pins{}, outOfRange("A pin of this diameter does not rest on the flanks; choose another.")
	}
	centres := 2 * g.baseRadius() / math.Cos(radians(angle))
	if g.Teeth%2 == 1 {
		centres *= math.Cos(math.Pi / (2 * z))
	}
	return Pins{Over: centres + pin, Angle: angle}, nil
}

func outOfRange(message string) error { return problem(FigureOutOfRange, message) }

func whole(n int64) string { return strconv.FormatInt(n, 10) }
