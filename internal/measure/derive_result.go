package measure

import (
	"math"
	"strconv"
	"strings"
)

// reckoning is one Derive under way.
type reckoning struct {
	formula formula
	with    map[string]string
	room    *TakenAt
	places  map[string][]*input
	pending []pending
	units   []Unit // of the first reading of each dimension
	wanted  Unit   // "" for the readings' own
	err     error  // the first figure that was missing or wrong

	value    Quantity
	scale    float64 // units of the value to one unit that the terms speak in
	terms    []term
	extra    []BudgetLine // of the formula itself, such as an interval
	spare    bool         // inputs without a gauge still have an uncertainty
	result   Result
	steps    []string
	doubtful bool // it must not decide a grade
	unfit    bool // no uncertainty can be told, whatever the gauges
	assuming bool // a temperature mattered and was not given
}

func (r *reckoning) say(parts ...string) { r.steps = append(r.steps, strings.Join(parts, "")) }
func (r *reckoning) warn(sentence string) {
	if !contains(r.result.Warnings, sentence) {
		r.result.Warnings = append(r.result.Warnings, sentence)
	}
}

func (r *reckoning) indicate(why string) {
	r.doubtful = true
	r.warn(why)
}

// has reports whether a role was read.
func (r *reckoning) has(role string) bool { return len(r.places[role]) > 0 }

// all gives the places of a role, at least so many.
func (r *reckoning) all(role string, least int) ([]*input, error) {
	if len(r.places[role]) < least {
		message := "Read " + strings.ReplaceAll(role, "_", " ") + "."
		if least > 1 {
			message = "Read " + strings.ReplaceAll(role, "_", " ") + " at " + strconv.Itoa(least) + " places or more."
		}
		return nil, problemAt("/readings", ReadingMissing, message)
	}
	return r.places[role], nil
}

// one gives a role that stands for a single size: its only place, or what
// take says of several.
func (r *reckoning) one(role, take string) (picked, error) {
	all, err := r.all(role, 1)
	if err != nil {
		return picked{}, err
	}
	return pick(all, take), nil
}

// picked is the size that several places stand for: n/per in steps.
type picked struct {
	n, per int64
	grid   grid
	words  string
	terms  []term // of the size itself
}

func (p picked) x() float64 { return p.grid.real(p.n) / float64(p.per) }

// weigh adds the terms of a size by which a result changes.
func (r *reckoning) weigh(p picked, by float64) {
	for _, t := range p.terms {
		r.owe(t.in, t.by*by)
	}
}

// owe adds what the result changes by a unit of an input.
func (r *reckoning) owe(in *input, by float64) {
	for i := range r.terms {
		if r.terms[i].in == in {
			r.terms[i].by += by
			return
		}
	}
	r.terms = append(r.terms, term{in, by})
}

// The ways to take one size of several places.
const (
	takeMean     = "mean"
	takeSmallest = "least"
	takeLargest  = "greatest"
)

// takes gives the way to take one of several places.
func (r *reckoning) takes(usual string) string {
	way := strings.TrimSpace(r.with["take"])
	switch way {
	case "":
		return usual
	case takeMean, takeSmallest, takeLargest:
		return way
	case "smallest":
		return takeSmallest
	case "largest":
		return takeLargest
	}
	r.fail("take", ParameterUnknown, "Say which of several places counts: mean, least or greatest.")
	return usual
}

func pick(all []*input, take string) picked {
	if take == takeMean && len(all) > 1 {
		p := picked{per: int64(len(all)), grid: all[0].grid}
		var words []string
		for _, in := range all {
			p.n += in.n
			p.terms = append(p.terms, term{in, 1 / float64(len(all))})
			words = append(words, in.grid.write(in.n))
		}
		p.words = "mean of " + strings.Join(words, ", ") + " = " + p.grid.write(nearest(p.n, p.per))
		return p
	}
	in := all[0]
	for _, other := range all[1:] {
		if (take == takeLargest && other.n > in.n) || (take == takeSmallest && other.n < in.n) {
			in = other
		}
	}
	return picked{in.n, 1, in.grid, in.write(), []term{{in, 1}}}
}

// fail keeps the first figure that is missing or wrong.
func (r *reckoning) fail(name string, code Code, message string) {
	if r.err == nil {
		r.err = problemAt("/with/"+pointerToken(name), code, message)
	}
}

// number gives a fixed figure in a unit, or what stands in for it. A bare
// number is in the unit already; "" is a plain number.
func (r *reckoning) number(name string, unit Unit, instead float64) float64 {
	text := strings.TrimSpace(r.with[name])
	if text == "" {
		return instead
	}
	d, err := ParseDecimal(text)
	if err != nil && unit != "" {
		var q Quantity
		q, err = Parse(text)
		if err == nil {
			q, err = Convert(q, unit)
		}
		d = q.Value
	}
	if err != nil && r.err == nil {
		r.err = placed("/with/"+pointerToken(name), err)
	}
	return float(d)
}

// whole gives a fixed whole number between two bounds, or what stands in for
// it; nought when it is wrong.
func (r *reckoning) whole(name string, instead int64, between [2]int64) int64 {
	text := strings.TrimSpace(r.with[name])
	if text == "" {
		return instead
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < between[0] || n > between[1] {
		r.fail(name, ParameterMalformed, "Give "+strings.ReplaceAll(name, "_", " ")+" as a whole number from "+
			strconv.FormatInt(between[0], 10)+" to "+strconv.FormatInt(between[1], 10)+".")
		return 0
	}
	return n
}

// come sets a value that is n/per steps of a grid; lengths come in the unit
// they were read in.
func (r *reckoning) come(n, per int64, g grid) {
	if per < 0 {
		n, per = -n, -per
	}
	r.value, r.scale = r.quantity(nearest(n, per), g)
}

// quantity gives steps as a quantity in the unit that was read, and how many
// of that unit a unit of the grid is.
func (r *reckoning) quantity(n int64, g grid) (Quantity, float64) {
	q := Quantity{Value: g.decimal(n), Unit: g.unit}
	unit := r.unitOf(g.unit.Dimension())
	if unit == g.unit || unit == "" || g.unit == Celsius {
		return q, 1
	}
	in, err := Convert(q, unit)
	if err != nil {
		return q, 1
	}
	return in, float64(g.unit.facts().factor) / float64(unit.facts().factor)
}

// comeRatio sets a value that is times·top/bottom: exact where it has an end,
// else to ten significant digits.
func (r *reckoning) comeRatio(times, top, bottom int64, unit Unit) {
	r.value, r.scale = Quantity{Value: ratioOf(times, top, bottom), Unit: unit}, 1
}

// ratioOf gives times·top/bottom as a decimal; requires bottom other than
// nought.
func ratioOf(times, top, bottom int64) Decimal {
	negative := (top < 0) != (bottom < 0)
	size := wide{uint64(max(top, -top))}.times(uint64(times))
	below := uint64(max(bottom, -bottom))
	places := maxScale
	exact := quotient{size.times(pow10(places)), below, 1}
	if _, rest := exact.n.over(below); rest != 0 {
		about := float64(times) * float64(max(top, -top)) / float64(below)
		places = min(max(9-int(math.Floor(math.Log10(about))), 0), maxScale)
	}
	whole := quotient{size.times(pow10(places)), below, 1}.nearest()
	for whole.cmp(wide{pow10(maxDigits)}) >= 0 && places > 0 {
		places--
		whole = quotient{size.times(pow10(places)), below, 1}.nearest()
	}
	return Decimal{negative: negative && whole[0] != 0, digits: whole[0], scale: uint8(places)}.trimmed()
}

// comeReal sets a value that roots or angles went into, to ten significant
// digits; a length to the nanometre.
func (r *reckoning) comeReal(f float64, unit Unit) {
	if unit == Millimetre {
		if math.Abs(f) > 1e9 || math.IsNaN(f) {
			r.err = outOfRange("The figures given lead to no finite length; check them for noughts.")
			return
		}
		r.come(int64(math.Round(f*1e6)), 1, grid{Millimetre, 6})
		return
	}
	d, err := realDecimal(f)
	if err != nil {
		r.err = err
		return
	}
	r.value, r.scale = Quantity{Value: d, Unit: unit}, 1
}

// realDecimal writes a binary fraction with ten significant digits.
func realDecimal(f float64) (Decimal, error) {
	if math.IsNaN(f) || math.Abs(f) >= 1e17 {
		return Decimal{}, outOfRange("The figures given lead to no finite result; check them for noughts.")
	}
	text := figures(f, 10)
	whole, part, _ := strings.Cut(text, ".")
	if len(part) > maxScale {
		text = strings.TrimRight(whole+"."+part[:maxScale], "0")
		text = strings.TrimSuffix(text, ".")
	}
	return ParseDecimal(text)
}

// also adds a further figure.
func (r *reckoning) also(name string, q Quantity) {
	r.result.Figures = append(r.result.Figures, Figure{name, q})
}

// alsoSteps adds a further figure of n/per steps.
func (r *reckoning) alsoSteps(name string, n, per int64, g grid) {
	q, _ := r.quantity(nearest(n, per), g)
	r.also(name, q)
}

func (r *reckoning) alsoReal(name string, f float64, unit Unit) {
	d, err := realDecimal(f)
	if err != nil {
		r.err = err
		return
	}
	r.also(name, Quantity{Value: d, Unit: unit})
}
