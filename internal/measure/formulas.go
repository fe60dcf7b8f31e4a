package measure

import (
	"math"
	"strconv"
	"strings"
)

// formula makes a model of readings.
type formula struct {
	name string
	does string
	run  func(*input) (model, error)
}

// formulas lists them by name.
func formulas() []formula {
	return []formula{
		{"backlash", "the play between two teeth, the greatest of several places", worst},
		{"chain_elongation", "how much longer than new a chain is, in percent, the worst of several places", elongation},
		{"chain_slack", "up-and-down play of a chain, the greatest of several places", worst},
		{"clearance", "the space between a hole and what runs in it", clearance},
		{"crush_strip", "a bearing's clearance from a strip crushed in it", interval},
		{"diameter", "a diameter, the mean of all readings", mean},
		{"end_float", "play along a shaft, the greatest of several places", worst},
		{"gap", "a gap by feeler: between the blade that goes in and the one that does not", interval},
		{"insulation_at_40", "an insulation resistance as it would be at 40 °C", insulation},
		{"leak_down", "how much of the air supplied a cylinder loses, in percent", leakDown},
		{"length_at_20", "a length as it would be at 20 °C", lengthAt20},
		{"mean", "the mean of all readings", mean},
		{"out_of_round", "the greatest difference of two diameters at one level", outOfRound},
		{"phase_unbalance", "the greatest departure of a phase from the mean of all, in percent of it", unbalance},
		{"polarisation_index", "insulation after ten minutes over that after one", polarisation},
		{"pressure_spread", "by how much the weakest cylinder lies below the strongest, in percent", pressureSpread},
		{"resistance_at_20", "a resistance as it would be at 20 °C", resistance},
		{"run_out", "the full reading of a dial, the greatest of several places", runOut},
		{"spring_free_length", "the free length of a spring, the shortest of several", least},
		{"taper", "the greatest difference of diameters in one direction over the levels", taper},
		{"voltage_drop", "the voltage lost between two points", voltageDrop},
	}
}

// Formulas lists the names of the formulas that take readings.
func Formulas() []string {
	var out []string
	for _, f := range formulas() {
		out = append(out, f.name)
	}
	return out
}

// Does says in words what a formula makes; "" for an unknown one.
func Does(name string) string {
	f, _ := formulaNamed(name)
	return f.does
}

func formulaNamed(name string) (formula, bool) {
	for _, f := range formulas() {
		if f.name == name {
			return f, true
		}
	}
	return formula{}, false
}

// one gives the only estimate there is.
func (in *input) one() (*estimate, error) {
	if len(in.all) != 1 {
		return nil, problem(ReadingUnclear, "Give the readings of one thing; repeats go into its values.")
	}
	return &in.all[0], nil
}

// alike makes sure that all readings are of one dimension.
func (in *input) alike() error {
	for i := range in.all {
		if in.all[i].unit != in.all[0].unit {
			return problem(UnitIncompatible, "Give all readings in units of one kind.")
		}
	}
	return nil
}

func mean(in *input) (model, error) {
	if err := in.alike(); err != nil {
		return model{}, err
	}
	n := float64(len(in.all))
	m := model{unit: in.all[0].unit}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range in.all {
		e := &in.all[i]
		m.value += e.mean / n
		m.terms = append(m.terms, term{e, 1 / n})
		low, high = math.Min(low, e.low), math.Max(high, e.high)
	}
	m.figures = []Figure{{"least", low, m.unit}, {"greatest", high, m.unit}}
	m.working = []string{"Mean of " + in.list() + " = " + show(m.value) + " " + m.unit.Symbol() + "."}
	return m, nil
}

// list names all readings with their values.
func (in *input) list() string {
	var out []string
	for _, e := range in.all {
		out = append(out, strings.TrimSpace(e.of+" "+e.words))
	}
	return strings.Join(out, ", ")
}

func worst(in *input) (model, error) { return extreme(in, 1, "The greatest of ") }
func least(in *input) (model, error) { return extreme(in, -1, "The least of ") }

// extreme takes the greatest (sign 1) or the least (sign -1) of several places.
func extreme(in *input, sign float64, words string) (model, error) {
	m, err := mean(in)
	if err != nil {
		return m, err
	}
	average := m.value
	e := &in.all[0]
	for i := range in.all {
		if sign*in.all[i].mean > sign*e.mean {
			e = &in.all[i]
		}
	}
	m.value, m.terms = e.mean, []term{{e, 1}}
	m.figures = append(m.figures, Figure{"mean", average, m.unit})
	m.working = []string{words + in.list() + " is " + show(m.value) + " " + m.unit.Symbol() + "."}
	return m, nil
}

func runOut(in *input) (model, error) {
	m, err := worst(in)
	if err != nil {
		return m, err
	}
	m.figures = append(m.figures, Figure{"eccentricity", m.value / 2, m.unit})
	m.working = append(m.working, "If it is eccentricity alone, that is half of it: "+show(m.value)+" ÷ 2 = "+show(m.value/2)+" "+m.unit.Symbol()+".")
	return m, nil
}

// Names under which the outer and the inner part of a clearance are known.
var (
	outerNames = [...]string{"bore", "shell", "hole", "outer", "bush", "guide", "groove"}
	innerNames = [...]string{"piston", "journal", "shaft", "inner", "pin", "stem", "ring"}
)

// stem takes off a number behind: bore_2 is a bore.
func stem(of string) string {
	name := strings.TrimRight(of, "0123456789")
	if name != of {
		name = strings.TrimSuffix(name, "_")
	}
	return name
}

func isOneOf(name string, names []string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// clearance is hole minus shaft. The value is the greatest, for wear; the
// least stands beside it.
func clearance(in *input) (model, error) {
	if err := in.alike(); err != nil {
		return model{}, err
	}
	var outMost, outLeast, inMost, inLeast *estimate
	for i := range in.all {
		e := &in.all[i]
		switch name := stem(e.of); {
		case isOneOf(name, outerNames[:]):
			outMost, outLeast = larger(outMost, e), smaller(outLeast, e)
		case isOneOf(name, innerNames[:]):
			inMost, inLeast = larger(inMost, e), smaller(inLeast, e)
		default:
			return model{}, problem(ReadingUnclear, "Name each reading: bore, shell, hole or outer, and piston, journal, shaft or inner.")
		}
	}
	if outMost == nil || inMost == nil {
		return model{}, problem(ReadingMissing, "A clearance takes two sizes: of the hole (bore, shell) and of what runs in it (piston, journal).")
	}
	u := outMost.unit
	m := model{value: outMost.mean - inLeast.mean, unit: u, terms: []term{{outMost, 1}, {inLeast, -1}}}
	m.figures = []Figure{{"least", outLeast.mean - inMost.mean, u}, {"greatest", m.value, u}}
	m.working = []string{"Greatest clearance: " + outMost.words + " − " + inLeast.words + " = " + show(m.value) + " " + u.Symbol() + ".",
		"Least clearance: " + outLeast.words + " − " + inMost.words + " = " + show(outLeast.mean-inMost.mean) + " " + u.Symbol() + "."}
	return m, nil
}

func larger(a, b *estimate) *estimate {
	if a == nil || b.mean > a.mean {
		return b
	}
	return a
}

func smaller(a, b *estimate) *estimate {
	if a == nil || b.mean < a.mean {
		return b
	}
	return a
}

// grid lays readings out by level and direction: "top/x" or "top_x".
func (in *input) grid() (levels, directions []string, at map[[2]string]*estimate, err error) {
	if err = in.alike(); err != nil {
		return nil, nil, nil, err
	}
	at = map[[2]string]*estimate{}
	for i := range in.all {
		level, direction := "", in.all[i].of
		if cut := strings.LastIndexAny(direction, "/_"); cut >= 0 {
			level, direction = direction[:cut], direction[cut+1:]
		}
		key := [2]string{level, direction}
		if at[key] != nil || direction == "" {
			return nil, nil, nil, problem(ReadingUnclear, "Name each reading by level and direction, as in top/x, top/y, middle/x; each once.")
		}
		at[key] = &in.all[i]
		if !isOneOf(level, levels) {
			levels = append(levels, level)
		}
		if !isOneOf(direction, directions) {
			directions = append(directions, direction)
		}
	}
	return levels, directions, at, nil
}

// outOfRound is the greatest difference of diameters at one level; ISO 1101's
// roundness is radial, so half of it, and two-point measuring misses odd lobes.
func outOfRound(in *input) (model, error) {
	levels, directions, at, err := in.grid()
	if err != nil {
		return model{}, err
	}
	m, err := greatestSpan(in, levels, directions, func(level, direction string) *estimate { return at[[2]string{level, direction}] })
	if err != nil {
		return m, err
	}
	m.figures = append(m.figures, Figure{"roundness", m.value / 2, m.unit})
	m.working = append(m.working, "Roundness by ISO 1101 is radial, about half of it: "+show(m.value/2)+" "+m.unit.Symbol()+"; two-point measuring misses odd lobes.")
	return m, nil
}

// taper is the greatest difference of diameters in one direction.
func taper(in *input) (model, error) {
	levels, directions, at, err := in.grid()
	if err != nil {
		return model{}, err
	}
	return greatestSpan(in, directions, levels, func(direction, level string) *estimate { return at[[2]string{level, direction}] })
}

// greatestSpan is the greatest difference within one of the rows.
func greatestSpan(in *input, rows, columns []string, at func(row, column string) *estimate) (model, error) {
	best := model{value: -1, unit: in.all[0].unit}
	for _, row := range rows {
		var most, least *estimate
		for _, column := range columns {
			if e := at(row, column); e != nil {
				most, least = larger(most, e), smaller(least, e)
			}
		}
		if most == nil || most == least {
			continue
		}
		span := most.mean - least.mean
		best.working = append(best.working, strings.TrimSpace(row+": ")+" "+most.words+" − "+least.words+" = "+show(span)+" "+best.unit.Symbol()+".")
		if span > best.value {
			best.value, best.terms = span, []term{{most, 1}, {least, -1}}
		}
	}
	if best.terms == nil {
		return best, problem(ReadingMissing, "Give at least two readings to compare, named by level and direction, as in top/x and top/y.")
	}
	return best, nil
}

// interval is a gap that lies between two sizes: the blade that goes in
// and the next that does not, or two marks of a crush-strip chart. Rectangular
// between them. A single reading is taken as it is.
func interval(in *input) (model, error) {
	var from, to *estimate
	for i := range in.all {
		switch in.all[i].of {
		case "goes", "from":
			from = &in.all[i]
		case "stops", "to":
			to = &in.all[i]
		}
	}
	if from == nil && to == nil {
		return worst(in)
	}
	if err := in.alike(); err != nil {
		return model{}, err
	}
	if len(in.all) != 2 || from == nil || to == nil || to.mean <= from.mean {
		return model{}, problem(ReadingUnclear, "Give the blade that goes in as goes and the next one that does not as stops (for a strip: from and to), the second greater.")
	}
	e := &estimate{of: "interval", mean: (from.mean + to.mean) / 2, unit: from.unit, known: true, n: 1,
		parts: []part{{"interval", "rectangular between the two", (to.mean - from.mean) / 2, math.Sqrt(3), math.Inf(1)}}}
	for _, edge := range []*estimate{from, to} {
		for _, p := range edge.parts {
			p.half /= 2
			e.parts = append(e.parts, p)
		}
	}
	m := model{value: e.mean, unit: e.unit, terms: []term{{e, 1}}, figures: []Figure{{"from", from.mean, e.unit}, {"to", to.mean, e.unit}}}
	m.working = []string{"It lies between " + from.words + " and " + to.words + ": (" + show(from.mean) + " + " + show(to.mean) + ") ÷ 2 = " + show(e.mean) + " " + e.unit.Symbol() + "."}
	return m, nil
}

// elongation compares the length over so many pitches with what it was new:
// e = 100 (L − n p)/(n p). The length is read from pin to pin (length), or as
// the mean of over and between the rollers (over, between); places end in a
// number.
func elongation(in *input) (model, error) {
	n, err := in.whole("pitches")
	if err != nil {
		return model{}, err
	}
	if err := in.alike(); err != nil {
		return model{}, err
	}
	unit := in.all[0].unit
	pitch, err := in.length("pitch", unit)
	if err != nil {
		return model{}, err
	}
	nominal := float64(n) * pitch
	places, err := in.places()
	if err != nil {
		return model{}, err
	}
	m := model{unit: Percent, value: math.Inf(-1)}
	sum := 0.0
	for _, p := range places {
		e := 100 * (p.length - nominal) / nominal
		sum += e
		m.working = append(m.working, strings.TrimSpace("Place "+p.name)+": L = "+p.words+"; e = 100 × ("+show(p.length)+" − "+strconv.Itoa(n)+" × "+show(pitch)+") ÷ ("+strconv.Itoa(n)+" × "+show(pitch)+") = "+show(e)+" %.")
		if e > m.value {
			m.value, m.terms = e, nil
			for _, t := range p.terms {
				m.terms = append(m.terms, term{t.of, t.by * 100 / nominal})
			}
		}
	}
	m.figures = []Figure{{"mean", sum / float64(len(places)), Percent}, {"nominal", nominal, unit}}
	return m, nil
}

// place is one stretch of a chain.
type place struct {
	name, words string
	length      float64
	terms       []term
}

// places puts the readings of a chain together by place.
func (in *input) places() ([]place, error) {
	var names []string
	over, between := map[string]*estimate{}, map[string]*estimate{}
	var out []place
	for i := range in.all {
		e := &in.all[i]
		name := strings.TrimPrefix(strings.TrimPrefix(e.of, stem(e.of)), "_")
		switch stem(e.of) {
		case "over":
			over[name] = e
			names = append(names, name)
		case "between":
			between[name] = e
		case "", "length", "place":
			out = append(out, place{name, e.words, e.mean, []term{{e, 1}}})
		default:
			return nil, problem(ReadingUnclear, "Name each reading over and between (over and between the rollers), or length (pin to pin); several places as over_1, between_1 and so on.")
		}
	}
	for _, name := range names {
		a, b := over[name], between[name]
		if b == nil {
			return nil, problem(ReadingMissing, "A reading over the rollers needs the one between them at the same place.")
		}
		out = append(out, place{name, "(" + a.words + " + " + b.words + ") ÷ 2 = " + show((a.mean+b.mean)/2), (a.mean + b.mean) / 2, []term{{a, 0.5}, {b, 0.5}}})
	}
	if len(out) == 0 || len(names) != len(between) {
		return nil, problem(ReadingMissing, "A reading between the rollers needs the one over them at the same place.")
	}
	return out, nil
}
