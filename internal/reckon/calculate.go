package reckon

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// A calculation is a formula that needs no reading: all it takes are figures
// by name. Its name is what `derive` says.
type calculation struct {
	name string
	does string
	// takes are the figures it knows; which of them it needs, it says itself.
	takes []string
	run   func(*params) (calculated, error)
}

// calculations lists them by name.
func calculations() []calculation {
	return slices.Concat(bearingCalculations(), boltCalculations(), chainCalculations(), doubtCalculations(), fitCalculations(), gearCalculations())
}

// calculated is what a calculation gives; its first figure is the value.
type calculated struct {
	verdict  string
	figures  []figure
	fits     []string
	code     string // a result that is no number
	working  []string
	warnings []string
}

// figure is one result with its name and unit, a UCUM code.
type figure struct {
	name  string
	value float64
	unit  string
}

// calculationNamed finds one.
func calculationNamed(name string) (calculation, bool) {
	all := calculations()
	i := slices.IndexFunc(all, func(c calculation) bool { return c.name == name })
	if i < 0 {
		return calculation{}, false
	}
	return all[i], true
}

// calculate runs a calculation on figures given by name.
func (c calculation) calculate(with map[string]string) (Answer, error) {
	for _, name := range slices.Sorted(maps.Keys(with)) {
		if !slices.Contains(c.takes, name) {
			return Answer{}, fault.Invalid("measure.parameter_unknown", "/with/"+name,
				c.name+" takes "+strings.Join(c.takes, ", ")+".")
		}
	}
	p := &params{given: with}
	got, err := c.run(p)
	if p.err != nil {
		return Answer{}, p.err
	}
	if err != nil {
		return Answer{}, at("/with", err)
	}
	value := measureValue{Figures: map[string]Quantity{}, Fits: got.fits, Code: got.code}
	for i, f := range got.figures {
		written, err := text(f.value)
		if err != nil {
			return Answer{}, err
		}
		value.Figures[f.name] = Quantity{Value: written, Unit: f.unit}
		if i == 0 {
			value.Quantity = Quantity{Value: written, Unit: f.unit}
		}
	}
	return Answer{Verdict: got.verdict, Value: value, Working: got.working, Warnings: got.warnings}, nil
}

// params reads figures by name. The first that is missing or wrong is kept,
// and what is read after it is nought; whoever asks looks at err in the end.
type params struct {
	given map[string]string
	err   error
}

func (p *params) has(name string) bool { return strings.TrimSpace(p.given[name]) != "" }

func (p *params) fail(code, name, message string) {
	if p.err == nil {
		p.err = fault.Invalid(code, "/with/"+name, message)
	}
}

// word gives a text that is needed.
func (p *params) word(name, example string) string {
	if !p.has(name) {
		p.fail("measure.parameter_missing", name, "Give "+name+", for example "+example+".")
	}
	return strings.TrimSpace(p.given[name])
}

// need gives a figure in a unit; a bare number is in that unit already. An
// empty unit is a plain number.
func (p *params) need(name string, unit measure.Unit) float64 {
	if !p.has(name) {
		in := "a number"
		if unit != "" {
			in = "in " + unit.Symbol()
		}
		p.fail("measure.parameter_missing", name, "Give "+name+", "+in+".")
		return 0
	}
	return p.read(name, unit)
}

// or is need with what stands in for a figure that is left out.
func (p *params) or(name string, unit measure.Unit, fallback float64) float64 {
	if !p.has(name) {
		return fallback
	}
	return p.read(name, unit)
}

func (p *params) read(name string, unit measure.Unit) float64 {
	entry := strings.TrimSpace(p.given[name])
	if _, err := measure.ParseDecimal(entry); err == nil || unit == "" {
		f, err := number("/with/"+name, entry)
		p.keep(err)
		return f
	}
	q, err := measure.Parse(entry)
	if err == nil {
		q, err = measure.Convert(q, unit)
	}
	if err != nil {
		p.keep(at("/with/"+name, err))
		return 0
	}
	f, err := number("/with/"+name, q.Value.String())
	p.keep(err)
	return f
}

func (p *params) keep(err error) {
	if p.err == nil {
		p.err = err
	}
}

// whole gives a whole number that is needed.
func (p *params) whole(name string) int64 {
	entry := p.word(name, "20")
	n, err := strconv.ParseInt(entry, 10, 64)
	if err != nil {
		p.fail("measure.number_not_whole", name, "Give "+name+" as a whole number.")
	}
	return n
}

// wholeOr is whole with what stands in for a number that is left out.
func (p *params) wholeOr(name string, fallback int64) int64 {
	if !p.has(name) {
		return fallback
	}
	return p.whole(name)
}

// show writes a figure for a person: up to ten significant digits.
func show(f float64) string { return strconv.FormatFloat(f, 'g', 10, 64) }

// line is fmt.Sprintf with figures shown for a person.
func line(format string, args ...any) string {
	for i, a := range args {
		if f, ok := a.(float64); ok {
			args[i] = show(f)
		}
	}
	return fmt.Sprintf(format, args...)
}
