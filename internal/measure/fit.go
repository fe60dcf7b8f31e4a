package measure

import (
	"math"
	"strings"
)

// ToleranceClass is a tolerance of a size, as ISO 286 writes it: capitals for
// holes, small letters for shafts, then the grade.
type ToleranceClass struct {
	Letters string // "H", "g", "js"
	Grade   int    // 1 to 18
}

// Hole reports whether it is a hole's.
func (c ToleranceClass) Hole() bool { return c.Letters != "" && c.Letters[0] < 'a' }

// String writes it, "H7"; "" for none.
func (c ToleranceClass) String() string {
	if c.Letters == "" {
		return ""
	}
	return c.Letters + whole(int64(c.Grade))
}

// Fit is a hole and a shaft of one nominal size; one of them may be missing.
type Fit struct {
	Nominal int64 // nanometres; above nought, up to 500 mm
	Hole    ToleranceClass
	Shaft   ToleranceClass
}

// ParseFit reads "50 H7/g6", "Ø50H7", "12,5 js6", "50 H7-g6", "50 H7 g6". The size is in millimetres.
// Codes name_unknown, table_ends.
func ParseFit(text string) (Fit, error) {
	rest := strings.NewReplacer(" ", "", "Ø", "", "ø", "", "⌀", "", "mm", "", ",", ".", "\u00a0", "").Replace(text)
	end := 0
	for end < len(rest) && (rest[end] >= '0' && rest[end] <= '9' || rest[end] == '.') {
		end++
	}
	size, err := ParseValue(rest[:end], string(Millimetre))
	if err != nil {
		return Fit{}, unknownFit()
	}
	f := Fit{}
	f.Nominal, err = size.Nanometres()
	if err != nil || f.Nominal <= 0 || f.Nominal > 500_000_000 {
		return Fit{}, problem(TableEnds, "The tables of ISO 286 here go from above 0 to 500 mm.")
	}
	for rest = rest[end:]; ; {
		first, more := cutClass(rest)
		if !f.take(first) {
			return Fit{}, unknownFit()
		}
		if more == "" {
			return f, nil
		}
		rest = strings.TrimPrefix(strings.Replace(more, "-", "/", 1), "/")
	}
}

// cutClass takes letters and the digits behind them off the front.
func cutClass(text string) (class, rest string) {
	end := 0
	for end < len(text) && (text[end] < '0' || text[end] > '9') {
		end++
	}
	for end < len(text) && text[end] >= '0' && text[end] <= '9' {
		end++
	}
	return text[:end], text[end:]
}

func unknownFit() error {
	return problem(NameUnknown, "Write size and tolerances like 50 H7/g6, or one alone like 50 H7; letters a to h, j, js, k, m, n, p, r, s, u, grades 1 to 18.")
}

// take adds one class; it reports whether it is one, of a kind not yet there.
func (f *Fit) take(text string) bool {
	letters := strings.TrimRight(text, "0123456789")
	grade := int(small(text[len(letters):]))
	if grade < firstGrade || grade > lastGrade {
		return false
	}
	_, known := deviation(strings.ToLower(letters), 0)
	lower := letters == strings.ToLower(letters)
	if !known && !strings.EqualFold(letters, "js") && !strings.EqualFold(letters, "j") || !lower && letters != strings.ToUpper(letters) {
		return false
	}
	side := &f.Hole
	if lower {
		side = &f.Shaft
	}
	if side.Letters != "" {
		return false
	}
	*side = ToleranceClass{letters, grade}
	return true
}

// step gives the step of the nominal size: "over … up to and including".
func (f Fit) step() int {
	for i, end := range fitSteps() {
		if f.Nominal <= end*1_000_000 {
			return i
		}
	}
	return len(fitSteps()) - 1
}

// Tolerance gives the standard tolerance of a grade in nanometres. Code
// table_ends beyond grades 1 to 18.
func (f Fit) Tolerance(grade int) (int64, error) {
	if grade < firstGrade || grade > lastGrade {
		return 0, problem(TableEnds, "Grades IT1 to IT18 are tabled here.")
	}
	return tolerance(grade, f.step()), nil
}

// SizeLimits are deviations from the nominal size, in nanometres.
type SizeLimits struct{ Lower, Upper int64 }

// Limits gives the deviations of one of the fit's classes.
func (f Fit) Limits(c ToleranceClass) (SizeLimits, error) {
	it, err := f.Tolerance(c.Grade)
	if err != nil {
		return SizeLimits{}, err
	}
	letter := strings.ToLower(c.Letters)
	switch letter {
	case "js":
		return SizeLimits{-it / 2, it / 2}, nil
	case "j":
		return f.limitsOfJ(c, it)
	}
	dev, ok := deviation(letter, f.step())
	if !ok {
		return SizeLimits{}, unknownFit()
	}
	dev *= 1000
	outside := letter <= "h" // away from the material: shafts a to h, holes A to H
	switch {
	case outside && c.Hole():
		return SizeLimits{dev, dev + it}, nil
	case outside:
		return SizeLimits{-dev - it, -dev}, nil
	case c.Hole() && c.Grade < 3:
		return SizeLimits{}, problem(TableEnds, "Holes K to U go from grade 3.")
	case c.Hole():
		upper := f.upperOfHole(letter, c.Grade, dev)
		return SizeLimits{upper - it, upper}, nil
	}
	if letter == "k" && c.Grade > 7 {
		dev = 0
	}
	return SizeLimits{dev, dev + it}, nil
}

// limitsOfJ gives the deviations of j and J, which lie unevenly about nought
// and are tabled one by one.
func (f Fit) limitsOfJ(c ToleranceClass, it int64) (SizeLimits, error) {
	step := mainStep(f.step())
	upper, hole := upperOfJ(c.Grade)
	lower, shaft := lowerOfJ(c.Grade)
	switch {
	case c.Hole() && hole:
		return SizeLimits{upper[step]*1000 - it, upper[step] * 1000}, nil
	case !c.Hole() && shaft:
		return SizeLimits{lower[step] * 1000, lower[step]*1000 + it}, nil
	}
	return SizeLimits{}, problem(TableEnds, "Letter j is tabled for shafts j5 to j7 and holes J6 to J8.")
}

// upperOfHole gives the upper deviation of holes K to U: that of the shaft with
// its sign turned, and for K, M, N up to IT8 and P to U up to IT7 plus the
// difference to the tolerance one grade finer (ISO 286-1, 4.3; from memory).
func (f Fit) upperOfHole(letter string, grade int, dev int64) int64 {
	most := 7
	if letter <= "n" {
		most = 8
	}
	step := mainStep(f.step())
	switch {
	case grade <= most && step > 0:
		if letter == "m" && grade == 6 && step == 10 {
			return -9_000 // the standard's own exception: M6 over 250 to 315 mm
		}
		return -dev + tolerance(grade, f.step()) - tolerance(grade-1, f.step())
	case letter == "n" && grade > 8 && step > 0, letter == "k" && grade > 8:
		return 0
	}
	return -dev
}

// FitKind says what a hole and a shaft make together.
type FitKind string

// The kinds of fit.
const (
	ClearanceFit    FitKind = "clearance"
	TransitionFit   FitKind = "transition"
	InterferenceFit FitKind = "interference"
)

// Play is what is between hole and shaft, in nanometres; below nought is
// interference.
type Play struct {
	Min, Max int64
	Kind     FitKind
}

// Play gives the least and the most clearance: EI − es and ES − ei. A fit whose
// most is nought is an interference fit, line to line at its loosest.
func (f Fit) Play() (Play, error) {
	hole, err := f.Limits(f.Hole)
	if err != nil {
		return Play{}, err
	}
	shaft, err := f.Limits(f.Shaft)
	if err != nil {
		return Play{}, err
	}
	p := Play{Min: hole.Lower - shaft.Upper, Max: hole.Upper - shaft.Lower, Kind: TransitionFit}
	switch {
	case p.Min >= 0:
		p.Kind = ClearanceFit
	case p.Max <= 0:
		p.Kind = InterferenceFit
	}
	return p, nil
}

// ToleranceUnit is i of ISO 286-1, from which the tolerances were computed.
type ToleranceUnit struct {
	Mean float64 // geometric mean of the step's ends, millimetres
	Unit float64 // 0.45 ∛D + 0.001 D, micrometres
}

// ToleranceUnit gives i for the main step of the nominal size. IT5 is 7 i, IT6
// 10 i, IT7 16 i, IT8 25 i, IT9 40 i, rounded (up to 500 mm; from memory).
func (f Fit) ToleranceUnit() ToleranceUnit {
	main := mainStep(f.step())
	low, high := 0.0, 0.0
	for i, end := range fitSteps() {
		switch mainStep(i) {
		case main - 1:
			low = float64(end)
		case main:
			high = float64(end)
		}
	}
	if low == 0 {
		low = 1 // the step up to 3 mm counts from 1
	}
	d := math.Sqrt(low * high)
	return ToleranceUnit{Mean: d, Unit: 0.45*math.Cbrt(d) + 0.001*d}
}
