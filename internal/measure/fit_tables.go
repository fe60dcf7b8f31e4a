package measure

// fitSteps are the upper ends of the steps of nominal size in millimetres, as
// the wider letters divide them; each step is over the one before, up to and
// including its own (ISO 286-1).
func fitSteps() []int64 {
	return []int64{3, 6, 10, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500}
}

// mainStep gives the main step of each of those, counted from 0: most letters
// and all grades go by these thirteen.
func mainStep(step int) int {
	return []int{0, 1, 2, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 8, 8, 9, 9, 9, 10, 10, 11, 11, 12, 12}[step]
}

// The grades whose tolerances are tabled.
const (
	firstGrade = 1
	lastGrade  = 18
)

// fineGrades gives the standard tolerances IT1 to IT3 by main step, in tenths
// of a micrometre (ISO 286-1:2010 table 1, from memory).
func fineGrades(grade int) [13]int64 {
	return [...][13]int64{
		{8, 10, 10, 12, 15, 15, 20, 25, 35, 45, 60, 70, 80},
		{12, 15, 15, 20, 25, 25, 30, 40, 50, 70, 80, 90, 100},
		{20, 25, 25, 30, 40, 40, 50, 60, 80, 100, 120, 130, 150},
	}[grade-1]
}

// grades gives the standard tolerances IT4 to IT18 by main step, in
// micrometres (ISO 286-1:2010 table 1: IT5 to IT9 up to 180 mm read in stored
// copies that agree, the others from memory).
func grades(grade int) [13]int64 {
	return [...][13]int64{
		{3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20},
		{4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27},
		{6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40},
		{10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63},
		{14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97},
		{25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155},
		{40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250},
		{60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400},
		{100, 120, 150, 180, 210, 250, 300, 350, 400, 460, 520, 570, 630},
		{140, 180, 220, 270, 330, 390, 460, 540, 630, 720, 810, 890, 970},
		{250, 300, 360, 430, 520, 620, 740, 870, 1000, 1150, 1300, 1400, 1550},
		{400, 480, 580, 700, 840, 1000, 1200, 1400, 1600, 1850, 2100, 2300, 2500},
		{600, 750, 900, 1100, 1300, 1600, 1900, 2200, 2500, 2900, 3200, 3600, 4000},
		{1000, 1200, 1500, 1800, 2100, 2500, 3000, 3500, 4000, 4600, 5200, 5700, 6300},
		{1400, 1800, 2200, 2700, 3300, 3900, 4600, 5400, 6300, 7200, 8100, 8900, 9700},
	}[grade-4]
}

// tolerance gives a standard tolerance in nanometres; requires a tabled grade.
func tolerance(grade, step int) int64 {
	if grade < 4 {
		return fineGrades(grade)[mainStep(step)] * 100
	}
	return grades(grade)[mainStep(step)] * 1000
}

// deviations gives the fundamental deviation of a shaft's letter by main step,
// without its sign, in micrometres: the upper one, below nought, for a to h,
// the lower one, from nought up, for k to p (ISO 286-1: f, g, k, m, n, p over 3
// up to 80 mm read in a stored copy, the others from memory).
func deviations(letter string) (row [13]int64, ok bool) {
	switch letter {
	case "d":
		return [13]int64{20, 30, 40, 50, 65, 80, 100, 120, 145, 170, 190, 210, 230}, true
	case "e":
		return [13]int64{14, 20, 25, 32, 40, 50, 60, 72, 85, 100, 110, 125, 135}, true
	case "f":
		return [13]int64{6, 10, 13, 16, 20, 25, 30, 36, 43, 50, 56, 62, 68}, true
	case "g":
		return [13]int64{2, 4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20}, true
	case "h":
		return [13]int64{}, true
	case "k":
		return [13]int64{0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5}, true
	case "m":
		return [13]int64{2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23}, true
	case "n":
		return [13]int64{4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40}, true
	case "p":
		return [13]int64{6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68}, true
	}
	return row, false
}

// wideDeviations is deviations for the letters that go by the finer steps (all
// from memory).
func wideDeviations(letter string) (row [24]int64, ok bool) {
	switch letter {
	case "a":
		return [24]int64{270, 270, 280, 290, 300, 300, 310, 320, 340, 360, 380, 410, 460, 520, 580, 660, 740, 820, 920, 1050, 1200, 1350, 1500, 1650}, true
	case "b":
		return [24]int64{140, 140, 150, 150, 160, 160, 170, 180, 190, 200, 220, 240, 260, 280, 310, 340, 380, 420, 480, 540, 600, 680, 760, 840}, true
	case "c":
		return [24]int64{60, 70, 80, 95, 110, 110, 120, 130, 140, 150, 170, 180, 200, 210, 230, 240, 260, 280, 300, 330, 360, 400, 440, 480}, true
	case "r":
		return [24]int64{10, 15, 19, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132}, true
	case "s":
		return [24]int64{14, 19, 23, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208, 232, 252}, true
	case "u":
		return [24]int64{18, 23, 28, 33, 41, 48, 60, 70, 87, 102, 124, 144, 170, 190, 210, 236, 258, 284, 315, 350, 390, 435, 490, 540}, true
	}
	return row, false
}

// deviation gives the fundamental deviation of a shaft's letter in
// micrometres, without its sign.
func deviation(letter string, step int) (int64, bool) {
	if row, ok := deviations(letter); ok {
		return row[mainStep(step)], true
	}
	row, ok := wideDeviations(letter)
	return row[step], ok
}

// lowerOfJ gives the lower deviation of shafts j5 to j7 by main step, in
// micrometres (from memory).
func lowerOfJ(grade int) (row [13]int64, ok bool) {
	switch grade {
	case 5, 6:
		return [13]int64{-2, -2, -2, -3, -4, -5, -7, -9, -11, -13, -16, -18, -20}, true
	case 7:
		return [13]int64{-4, -4, -5, -6, -8, -10, -12, -15, -18, -21, -26, -28, -32}, true
	}
	return row, false
}

// upperOfJ gives the upper deviation of holes J6 to J8 by main step, in
// micrometres (from memory).
func upperOfJ(grade int) (row [13]int64, ok bool) {
	switch grade {
	case 6:
		return [13]int64{2, 5, 5, 6, 8, 10, 13, 16, 18, 22, 25, 29, 33}, true
	case 7:
		return [13]int64{4, 6, 8, 10, 12, 14, 18, 22, 26, 30, 36, 39, 43}, true
	case 8:
		return [13]int64{6, 10, 12, 15, 20, 24, 28, 34, 41, 47, 55, 60, 66}, true
	}
	return row, false
}
