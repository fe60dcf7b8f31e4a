package measure

import "math"

// ClearanceRange is one class of radial internal clearance for a bore.
type ClearanceRange struct {
	Class    string // C2, CN, C3, C4, C5
	Min, Max int64  // micrometres
}

// BoreStep is a step of bore diameters, over one and up to and including the
// other, in millimetres.
type BoreStep struct{ Over, UpTo float64 }

// clearanceRows are the radial internal clearances of single-row deep groove
// ball bearings with a cylindrical bore, unmounted and without load, in
// micrometres (ISO 5753-1:2009; three stored copies agree up to 80 mm, 80 to
// 120 mm from memory).
func clearanceRows() []struct {
	step   BoreStep
	ranges [5][2]int64
} {
	return []struct {
		step   BoreStep
		ranges [5][2]int64
	}{
		{BoreStep{2.5, 10}, [5][2]int64{{0, 7}, {2, 13}, {8, 23}, {14, 29}, {20, 37}}},
		{BoreStep{10, 18}, [5][2]int64{{0, 9}, {3, 18}, {11, 25}, {18, 33}, {25, 45}}},
		{BoreStep{18, 24}, [5][2]int64{{0, 10}, {5, 20}, {13, 28}, {20, 36}, {28, 48}}},
		{BoreStep{24, 30}, [5][2]int64{{1, 11}, {5, 20}, {13, 28}, {23, 41}, {30, 53}}},
		{BoreStep{30, 40}, [5][2]int64{{1, 11}, {6, 20}, {15, 33}, {28, 46}, {40, 64}}},
		{BoreStep{40, 50}, [5][2]int64{{1, 11}, {6, 23}, {18, 36}, {30, 51}, {45, 73}}},
		{BoreStep{50, 65}, [5][2]int64{{1, 15}, {8, 28}, {23, 43}, {38, 61}, {55, 90}}},
		{BoreStep{65, 80}, [5][2]int64{{1, 15}, {10, 30}, {25, 51}, {46, 71}, {65, 105}}},
		{BoreStep{80, 100}, [5][2]int64{{1, 18}, {12, 36}, {30, 58}, {53, 84}, {75, 120}}},
		{BoreStep{100, 120}, [5][2]int64{{2, 20}, {15, 41}, {36, 66}, {61, 97}, {90, 140}}},
	}
}

// ClearanceClasses lists the classes for a bore in millimetres, over 2.5 up to
// 120, smallest first. Code table_ends for another bore.
func ClearanceClasses(bore float64) (BoreStep, []ClearanceRange, error) {
	names := []string{"C2", "CN", "C3", "C4", "C5"}
	for _, row := range clearanceRows() {
		if !(bore > row.step.Over && bore <= row.step.UpTo) {
			continue
		}
		out := make([]ClearanceRange, len(names))
		for i, name := range names {
			out[i] = ClearanceRange{name, row.ranges[i][0], row.ranges[i][1]}
		}
		return row.step, out, nil
	}
	return BoreStep{}, nil, problem(TableEnds, "The table of clearances goes from over 2.5 to 120 mm of bore; see the maker's figures.")
}

// Fits reports whether a clearance in micrometres lies in the class.
func (r ClearanceRange) Fits(clearance float64) bool {
	return clearance >= float64(r.Min) && clearance <= float64(r.Max)
}

// RatedBearing is a rolling bearing and its load.
type RatedBearing struct {
	Rating float64 // basic dynamic load rating C, newtons
	Load   float64 // equivalent dynamic load P, newtons
	Roller bool    // exponent 10/3 instead of 3
	// Reliability in percent: 90, 95, 96, 97, 98 or 99; 0 stands for 90.
	Reliability int64
}

// Life is a rated life.
type Life struct {
	Exponent    float64
	Factor      float64 // for reliability
	Revolutions float64 // in millions
}

// Life gives the basic rating life (C/P)^p in millions of revolutions times
// the factor of reliability (ISO 281; the factors from memory).
func (b RatedBearing) Life() (Life, error) {
	if !(b.Load > 0 && b.Rating > 0 && b.Rating/b.Load <= 1000) {
		return Life{}, outOfRange("Give load rating and load, both above nought, the rating at most a thousand times the load.")
	}
	life := Life{Exponent: 3, Factor: 1}
	if b.Roller {
		life.Exponent = 10.0 / 3
	}
	if b.Reliability != 0 {
		factor, ok := map[int64]float64{90: 1, 95: 0.64, 96: 0.55, 97: 0.47, 98: 0.37, 99: 0.25}[b.Reliability]
		if !ok {
			return Life{}, outOfRange("Give the reliability as 90, 95, 96, 97, 98 or 99 percent.")
		}
		life.Factor = factor
	}
	life.Revolutions = life.Factor * math.Pow(b.Rating/b.Load, life.Exponent)
	return life, nil
}

// Hours gives the life in hours at a speed in revolutions per minute:
// 10⁶ L/(60 n).
func (l Life) Hours(speed float64) (float64, error) {
	if !(speed > 0 && speed <= 1_000_000) {
		return 0, outOfRange("Give the speed in revolutions per minute, above nought.")
	}
	return l.Revolutions * 1e6 / (60 * speed), nil
}
