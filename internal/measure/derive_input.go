package measure

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// grid counts readings in whole steps of ten to the minus scale of a unit.
type grid struct {
	unit  Unit
	scale int
}

// mostSteps bounds a count, so that sums of all readings stay far within 63
// bits. In nanometres it is a thousand kilometres.
const mostSteps = 1_000_000_000_000_000

// count gives a quantity in steps, to the nearest; false when they are too
// many.
func (g grid) count(d Decimal) (int64, bool) {
	size := quotient{wide{d.digits}.times(pow10(g.scale)), 1, pow10(int(d.scale))}.nearest()
	if size.cmp(wide{mostSteps}) > 0 {
		return 0, false
	}
	if d.negative {
		return -int64(size[0]), true
	}
	return int64(size[0]), true
}

func (g grid) decimal(n int64) Decimal {
	return Decimal{negative: n < 0, digits: uint64(max(n, -n)), scale: uint8(g.scale)}.trimmed()
}

func (g grid) real(n int64) float64 { return float64(n) / float64(pow10(g.scale)) }

// write gives a count as a person reads it.
func (g grid) write(n int64) string { return Quantity{Value: g.decimal(n), Unit: g.unit}.String() }

// input is one place with its repeats, counted.
type input struct {
	name  string // bore, or bore 2
	of    string // as the reading says
	grid  grid
	n     int64   // the mean of the repeats, at 20 °C where a temperature is known
	reads []int64 // as read, in order of size
	gauge *Gauge
	// byWarmth are the lines of the budget that its temperature makes, with
	// Sensitivity and Contribution for a change of the input.
	byWarmth []BudgetLine
}

// x gives the input as a binary fraction, in the unit of its grid.
func (in *input) x() float64 { return in.grid.real(in.n) }

func (in *input) write() string { return in.name + " " + in.grid.write(in.n) }

// deviation gives the standard deviation of the repeats, in the unit of the
// grid; requires two repeats or more.
func (in *input) deviation() float64 {
	sum := 0.0
	for _, v := range in.reads {
		sum += float64(v - in.reads[0])
	}
	mean := sum / float64(len(in.reads))
	squares := 0.0
	for _, v := range in.reads {
		off := float64(v-in.reads[0]) - mean
		squares += off * off
	}
	return math.Sqrt(squares/float64(len(in.reads)-1)) / float64(pow10(in.grid.scale))
}

// checkNames refuses what is given by a name that the formula does not know.
func (r *reckoning) checkNames() error {
	known := append(append([]string{"k"}, r.formula.roleNames()...), r.formula.with...)
	for _, name := range slices.Sorted(maps.Keys(r.with)) {
		_, isRole := r.formula.roleNamed(name)
		if name == "" || (!isRole && !contains(known, name)) {
			return problemAt("/with/"+pointerToken(name), ParameterUnknown, r.formula.name+" takes "+strings.Join(known, ", ")+".")
		}
	}
	return nil
}

// pointerToken escapes a name for a JSON pointer (RFC 6901).
func pointerToken(name string) string {
	return strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1")
}

// collect sorts the readings into the places of each role.
func (r *reckoning) collect(req Request) error {
	if len(req.Readings) > maxReadings {
		return problemAt("/readings", ReadingsTooMany, "Give at most 100 readings.")
	}
	readings := make(map[string][]located, len(r.formula.roles))
	for i, reading := range req.Readings {
		at := "/readings/" + strconv.Itoa(i)
		found, ok := r.formula.roleOf(reading.Of)
		if !ok {
			return problemAt(at+"/of", ReadingUnclear, "Say what was read; "+r.formula.name+" takes "+strings.Join(r.formula.roleNames(), ", ")+".")
		}
		reading.inherit(req)
		readings[found.name] = append(readings[found.name], located{reading, at})
	}
	for _, name := range slices.Sorted(maps.Keys(r.with)) {
		text := r.with[name]
		found, isRole := r.formula.roleNamed(name)
		if !isRole || contains(r.formula.with, name) || strings.TrimSpace(text) == "" {
			continue
		}
		at := "/with/" + pointerToken(name)
		if len(readings[found.name]) > 0 {
			return problemAt(at, ReadingTwice, "It was read as well; give "+found.name+" once.")
		}
		reading, err := written(found, text, at)
		if err != nil {
			return err
		}
		reading.Of = name
		reading.inherit(req)
		readings[found.name] = []located{{reading, at}}
	}
	return r.layOut(readings)
}

// inherit takes over what the request says for every reading without its own.
func (in *Reading) inherit(req Request) {
	if in.Temperature == nil {
		in.Temperature = req.Temperature
	}
}

// located is a reading and where it stands.
type located struct {
	Reading
	at string
}

// written reads a role out of text: quantities, or bare numbers in the role's
// unit, parted by semicolons.
func written(of role, text, at string) (Reading, error) {
	var out Reading
	for part := range strings.SplitSeq(text, ";") {
		part = strings.TrimSpace(part)
		if d, err := ParseDecimal(part); err == nil && of.unit != "" {
			out.Values = append(out.Values, Quantity{Value: d, Unit: of.unit})
			continue
		}
		q, err := Parse(part)
		if err != nil {
			return Reading{}, placed(at, err)
		}
		out.Values = append(out.Values, q)
	}
	return out, nil
}

// layOut makes the places of each role from its readings.
func (r *reckoning) layOut(readings map[string][]located) error {
	for _, of := range r.formula.roles {
		all := readings[of.name]
		if len(all) == 1 && of.each {
			all = eachAPlace(all[0])
		}
		for i, one := range all {
			name := strings.ReplaceAll(of.name, "_", " ")
			if one.Of != "" {
				name = strings.ReplaceAll(one.Of, "_", " ")
			}
			if len(all) > 1 && stem(one.Of) == one.Of && !of.grid && contains(append(of.also, of.name, ""), one.Of) {
				name += " " + strconv.Itoa(i+1)
			}
			in, err := r.place(of, one)
			if err != nil {
				return err
			}
			in.name, in.of = name, one.Of
			r.places[of.name] = append(r.places[of.name], in)
		}
	}
	return r.settleGrids()
}

func eachAPlace(one located) []located {
	var out []located
	for _, v := range one.Values {
		part := one
		part.Values = []Quantity{v}
		out = append(out, part)
	}
	if out == nil {
		return []located{one}
	}
	return out
}

// place checks one reading and keeps it, not counted yet.
func (r *reckoning) place(of role, one located) (*input, error) {
	if len(one.Values) == 0 || len(one.Values) > maxRepeats {
		return nil, problemAt(one.at+"/values", ReadingsTooMany, "Give 1 to 100 values of one place.")
	}
	err := one.Gauge.check(one.Values[0].Unit)
	if err != nil {
		return nil, placed(one.at, err)
	}
	for i, q := range one.Values {
		against := of.unit
		if against == "" {
			against = one.Values[0].Unit
		}
		err := together(q.Unit, against)
		if err != nil {
			return nil, placed(one.at+"/values/"+strconv.Itoa(i), err)
		}
		r.take(q)
	}
	in := &input{gauge: one.Gauge}
	r.pending = append(r.pending, pending{in, one})
	return in, nil
}

// pending is an input whose grid is not settled.
type pending struct {
	in  *input
	one located
}

// take lets a value settle the unit of its dimension: the first that comes.
func (r *reckoning) take(q Quantity) {
	d := q.Unit.Dimension()
	if r.unitOf(d) != "" {
		return
	}
	if r.wanted.Dimension() == d {
		r.units = append(r.units, r.wanted)
		return
	}
	r.units = append(r.units, q.Unit)
}

// unitOf gives the unit that results of a dimension come in.
func (r *reckoning) unitOf(d Dimension) Unit {
	for _, u := range r.units {
		if u.Dimension() == d {
			return u
		}
	}
	return ""
}

// settleGrids counts all readings: lengths in nanometres, temperatures in
// 1e-9 °C, anything else in the unit of the first as finely as it fits.
func (r *reckoning) settleGrids() error {
	for _, unit := range r.units {
		g := grid{unit, maxScale}
		switch unit.Dimension() {
		case Length:
			g = grid{Millimetre, 6}
		case Temperature:
			g = grid{Celsius, 9}
		}
		for !r.countAll(g) {
			g.scale--
			if g.scale < 0 || unit.Dimension() == Length {
				return problem(ValueOutOfRange, "A reading is too large. Check the unit.")
			}
		}
	}
	for _, p := range r.pending {
		err := p.in.correct(p.one)
		if err != nil {
			return err
		}
	}
	return nil
}

// countAll counts the readings of one dimension; false when one does not fit.
func (r *reckoning) countAll(g grid) bool {
	for _, p := range r.pending {
		if p.one.Values[0].Unit.Dimension() != g.unit.Dimension() {
			continue
		}
		p.in.grid, p.in.reads = g, nil
		for _, q := range p.one.Values {
			in, err := Convert(q, g.unit)
			if err != nil {
				return false
			}
			n, fits := g.count(in.Value)
			if !fits {
				return false
			}
			p.in.reads = append(p.in.reads, n)
		}
		slices.Sort(p.in.reads)
		p.in.n = mean(p.in.reads)
	}
	return true
}

// mean gives the mean in whole steps, halves to even.
func mean(all []int64) int64 {
	sum := int64(0)
	for _, n := range all {
		sum += n
	}
	return nearest(sum, int64(len(all)))
}

// nearest gives a/b to the nearest whole, halves to even; requires b > 0.
func nearest(a, b int64) int64 {
	whole, rest := a/b, a%b
	if rest < 0 {
		whole, rest = whole-1, rest+b
	}
	if 2*rest > b || (2*rest == b && whole%2 != 0) {
		whole++
	}
	return whole
}
