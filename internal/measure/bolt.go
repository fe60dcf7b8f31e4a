package measure

import (
	"math"
	"strconv"
	"strings"
)

// Thread is a screw thread.
type Thread struct {
	Name     string
	Diameter float64 // nominal, millimetres
	Pitch    float64 // millimetres
	Inch     bool    // a Unified thread
	Coarse   bool    // of the coarse series of ISO 261
}

// coarse lists the coarse pitches of ISO 261 (from memory).
func coarse() map[string]float64 {
	return map[string]float64{
		"M1.6": 0.35, "M2": 0.4, "M2.5": 0.45, "M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1, "M7": 1, "M8": 1.25, "M10": 1.5,
		"M12": 1.75, "M14": 2, "M16": 2, "M18": 2.5, "M20": 2.5, "M22": 2.5, "M24": 3, "M27": 3, "M30": 3.5,
	}
}

// ParseThread reads M10, M10x1.25, M10-1.25 and 5/16-18; a tolerance behind a
// metric thread (M10x1.25-6g) is passed over. Codes name_unknown,
// figure_out_of_range.
func ParseThread(text string) (Thread, error) {
	name := strings.ReplaceAll(strings.ToUpper(strings.ReplaceAll(text, " ", "")), "×", "X")
	size, behind, dash := strings.Cut(name, "-")
	switch {
	case dash && !strings.HasPrefix(name, "M"):
		return inchThread(name, size, behind)
	case dash && decimalFloat(behind) != 0:
		name = size + "X" + behind
	case dash:
		name = size
	}
	size, pitch, fine := strings.Cut(name, "X")
	d, known := strings.CutPrefix(size, "M")
	t := Thread{Name: name, Diameter: decimalFloat(d), Pitch: coarse()[size], Coarse: true}
	if fine {
		t.Pitch, t.Coarse = decimalFloat(pitch), t.Pitch == decimalFloat(pitch)
	}
	if !known || t.Diameter == 0 || t.Pitch == 0 {
		return Thread{}, unknownThread()
	}
	return t, t.check()
}

func inchThread(name, size, turns string) (Thread, error) {
	turns = strings.TrimRight(turns, "UNCF")
	d, err := parseNumber(size, Inch)
	n := decimalFloat(turns)
	if err != nil || n == 0 {
		return Thread{}, unknownThread()
	}
	t := Thread{Name: name, Diameter: float(d) * 25.4, Pitch: 25.4 / n, Inch: true}
	return t, t.check()
}

func unknownThread() error {
	return problem(NameUnknown, "Write the thread as M10, M10x1.25 or 5/16-18.")
}

func (t Thread) check() error {
	if !(t.Diameter >= 1 && t.Diameter <= 100 && t.Pitch >= 0.1 && t.Pitch < t.Diameter/2) {
		return outOfRange("Threads of 1 to 100 mm are reckoned, with a pitch below half the diameter.")
	}
	return nil
}

// float gives the nearest binary fraction, for figures that roots and angles
// go into.
func float(d Decimal) float64 {
	f, err := strconv.ParseFloat(d.String(), 64)
	if err != nil {
		return 0 // cannot be: a Decimal's text is a number
	}
	return f
}

// decimalFloat reads a plain decimal; 0 for what is none.
func decimalFloat(text string) float64 {
	d, err := ParseDecimal(strings.ReplaceAll(text, ",", "."))
	if err != nil {
		return 0
	}
	return float(d)
}

// StressArea gives the area that carries the load, in square millimetres:
// π/4 (d − 0.9382 P)² (ISO 898-1), and for a Unified thread π/4 (D −
// 0.9743/n)² (ASME B1.1, from memory).
func (t Thread) StressArea() float64 {
	part := 0.9382
	if t.Inch {
		part = 0.9743
	}
	d := t.Diameter - part*t.Pitch
	return math.Pi / 4 * d * d
}

// PropertyClass is the strength of a bolt as stamped on its head, "8.8".
type PropertyClass string

// PropertyClasses lists every class that is known.
func PropertyClasses() []PropertyClass {
	return []PropertyClass{"4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"}
}

// ProofStress gives the proof stress in MPa for a thread (ISO 898-1; 8.8 to
// 12.9 read in stored copies, the others from memory). Code name_unknown.
func (c PropertyClass) ProofStress(t Thread) (float64, error) {
	if c == "8.8" && t.Diameter > 16 {
		return 600, nil
	}
	stress, ok := map[PropertyClass]float64{
		"4.6": 225, "4.8": 310, "5.6": 280, "5.8": 380, "6.8": 440, "8.8": 580, "9.8": 650, "10.9": 830, "12.9": 970,
	}[c]
	if !ok {
		return 0, problem(NameUnknown, "Give the property class as stamped on the head: 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9 or 12.9.")
	}
	return stress, nil
}

// Loads are what a bolt bears, in newtons.
type Loads struct {
	Proof   int64 // without lasting stretch
	Tensile int64 // at which it breaks, at least; 0 for no data
	// Tabled says that the figures are ISO 898-1's own, and not computed
	// from stress and area.
	Tabled bool
}

// Loads gives the loads of a bolt: those of ISO 898-1 for coarse threads M4 to
// M16 in 8.8, 10.9 and 12.9 (read in stored copies that agree), else proof
// stress times stress area.
func (t Thread) Loads(c PropertyClass) (Loads, error) {
	stress, err := c.ProofStress(t)
	if err != nil {
		return Loads{}, err
	}
	size, _, _ := strings.Cut(t.Name, "X")
	row, ok := loadTable(c)[size]
	if t.Coarse && ok {
		return Loads{Proof: row[0], Tensile: row[1], Tabled: true}, nil
	}
	return Loads{Proof: int64(stress * t.StressArea())}, nil
}

// loadTable gives proof load and least tensile load in newtons by thread.
func loadTable(c PropertyClass) map[string][2]int64 {
	switch c {
	case "8.8":
		return map[string][2]int64{"M4": {5100, 7020}, "M5": {8230, 11350}, "M6": {11600, 16100}, "M8": {21200, 29200},
			"M10": {33700, 46400}, "M12": {48900, 67400}, "M14": {66700, 92000}, "M16": {91000, 125000}}
	case "10.9":
		return map[string][2]int64{"M4": {7290, 9130}, "M5": {11800, 14800}, "M6": {16700, 20900}, "M8": {30400, 38100},
			"M10": {48100, 60300}, "M12": {70000, 87700}, "M14": {95500, 120000}, "M16": {130000, 163000}}
	case "12.9":
		return map[string][2]int64{"M4": {8520, 10700}, "M5": {13800, 17300}, "M6": {19500, 24500}, "M8": {35500, 44600},
			"M10": {56300, 70800}, "M12": {81800, 103000}, "M14": {112000, 140000}, "M16": {152000, 192000}}
	}
	return nil
}

// Tightening is a joint drawn by torque.
type Tightening struct {
	Thread Thread
	// Factor is K in T = K F d: about 0.20 to 0.25 dry, 0.15 to 0.20 oiled,
	// 0.12 to 0.16 with anti-seize; it is the uncertain one.
	Factor float64
}

func (j Tightening) check() error {
	if !(j.Factor >= 0.05 && j.Factor <= 0.5) {
		return outOfRange("Give the nut factor, 0.05 to 0.5; about 0.2 dry.")
	}
	return nil
}

// Torque gives the torque in newton metres for a preload in newtons: T = K F d.
func (j Tightening) Torque(preload float64) (float64, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	return j.Factor * preload * j.Thread.Diameter / 1000, nil
}

// Preload gives the preload in newtons of a torque in newton metres.
func (j Tightening) Preload(torque float64) (float64, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	return torque * 1000 / (j.Factor * j.Thread.Diameter), nil
}

// Friction is a joint drawn by torque, with its two frictions told apart.
type Friction struct {
	Thread Thread
	// InThread and UnderHead are coefficients of friction, 0.02 to 0.5.
	InThread, UnderHead float64
	// Bearing is the mean diameter of the ring under the head in millimetres.
	Bearing float64
}

// Shares are the torques that go into stretch, thread and head, in newton
// metres.
type Shares struct{ Stretch, Thread, Head float64 }

// Total gives the torque in newton metres.
func (s Shares) Total() float64 { return s.Stretch + s.Thread + s.Head }

// Torque divides the torque for a preload in newtons: F (0.159 P + 0.577 μ_G
// d2 + μ_K D/2), with d2 = d − 0.6495 P (VDI 2230, from memory).
func (f Friction) Torque(preload float64) (Shares, error) {
	for _, mu := range []float64{f.InThread, f.UnderHead} {
		if !(mu >= 0.02 && mu <= 0.5) {
			return Shares{}, outOfRange("Give coefficients of friction, 0.02 to 0.5; about 0.14 dry.")
		}
	}
	if !(f.Bearing > f.Thread.Diameter && f.Bearing < 4*f.Thread.Diameter) {
		return Shares{}, outOfRange("Give the mean diameter of the ring under the head, between the thread's and four times it.")
	}
	d2 := f.Thread.Diameter - 0.6495*f.Thread.Pitch
	return Shares{
		Stretch: preload * 0.159 * f.Thread.Pitch / 1000,
		Thread:  preload * 0.577 * f.InThread * d2 / 1000,
		Head:    preload * f.UnderHead * f.Bearing / 2000,
	}, nil
}
