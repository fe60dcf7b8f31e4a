// Package pad answers the measuring pad of a tablet without the network: it
// puts readings through measure and grade as the server does when they
// arrive. It stores nothing and knows no shop; what it says is a first word, and
// the server's verdict counts.
//
// Question and answer are lines of fields parted by tabs, the first naming what
// follows, since a program for tablets has no room for a JSON library. Tabs and
// line ends do not occur in what is typed.
package pad

import (
	"errors"
	"strconv"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

// asked is a question as it is read.
type asked struct {
	derive measure.Request
	judge  grade.Request
	gauges map[string]*measure.Gauge
}

// Answer reads a question and answers it. Two questions stand alone: "takes
// FORMULA" gives a line of roles, and "echo ENTERED UNIT" what was typed, in
// another unit. Else the question's lines:
//
//	formula NAME · unit UCUM · with NAME VALUE
//	gauge KEY NAME RESOLUTION-VALUE UNIT UNCERTAINTY-VALUE UNIT, "" for no data
//	reading ROLE GAUGE-KEY ENTERED [ENTERED …]
//	limit new|service min|max VALUE UNIT
//	source KIND · rule NAME · near PERCENT · safety CLASS · state GAUGE-STATE
//	demo · photo · indicative
//
// The answer's lines: value, uncertainty, guard (value, unit); verdict, counts,
// grade, suggests; because, working, reason (a sentence each); proven and
// possible (new|service, min|max, value, unit); settle (uncertainty|resolution,
// value, unit). A question that cannot be answered gives one line, refused, with
// a code and a sentence.
func Answer(question string) string {
	switch first := strings.Split(question, "\t"); first[0] {
	case "takes":
		roles, figures := measure.Takes(first[len(first)-1])
		return line(append([]string{"roles"}, roles...)...) + line(append([]string{"figures"}, figures...)...)
	case "echo":
		return echo(first[1:])
	}
	q := asked{derive: measure.Request{With: map[string]string{}}, gauges: map[string]*measure.Gauge{}}
	for _, line := range strings.Split(question, "\n") {
		if line == "" {
			continue
		}
		if err := q.take(strings.Split(line, "\t")); err != nil {
			return refusal(err)
		}
	}
	derived, err := measure.Derive(q.derive)
	if err != nil {
		return refusal(err)
	}
	verdict, err := q.verdict(derived)
	if err != nil {
		return refusal(err)
	}
	return written(derived, verdict)
}

// echo reads what was typed and writes it in another unit, so that a slip of
// the unit is seen.
func echo(fields []string) string {
	if len(fields) != 2 {
		return refusal(unreadable())
	}
	typed, err := measure.Parse(fields[0])
	if err != nil {
		return refusal(err)
	}
	to, err := measure.ParseUnit(fields[1])
	if err != nil {
		return refusal(err)
	}
	other, err := measure.Convert(typed, to)
	if err != nil {
		return refusal(err)
	}
	return line("echo", typed.String(), other.String())
}

// verdict asks as the server does: without an uncertainty nothing is decided,
// and the simple rule says at least on which side the value lies.
func (q *asked) verdict(derived measure.Result) (grade.Verdict, error) {
	q.judge.Value = derived.Value
	q.judge.FromPhoto = q.derive.FromPhoto
	if derived.Known {
		q.judge.Uncertainty = &derived.Expanded
	} else {
		q.judge.Rule, q.judge.Indicative = grade.Simple, true
	}
	return grade.Judge(q.judge)
}

// take puts one line of the question in its place.
func (q *asked) take(fields []string) error {
	name, rest := fields[0], fields[1:]
	at := func(i int) string {
		if i < len(rest) {
			return rest[i]
		}
		return ""
	}
	var err error
	switch name {
	case "formula":
		q.derive.Formula = at(0)
	case "unit":
		q.derive.Unit = measure.Unit(at(0))
	case "with":
		q.derive.With[at(0)] = at(1)
	case "gauge":
		q.gauges[at(0)], err = gaugeOf(rest)
	case "reading":
		err = q.read(rest)
	case "limit":
		err = q.limit(at)
	default:
		err = q.known(name, at(0))
	}
	return err
}

// known takes a line of what is known of limits, gauge and part.
func (q *asked) known(name, is string) (err error) {
	j := &q.judge
	switch name {
	case "source":
		j.Source = grade.SourceKind(is)
	case "rule":
		j.Rule = grade.Rule(is)
	case "near":
		j.NearPercent, err = strconv.ParseInt(is, 10, 64)
	case "safety":
		j.Safety = grade.Safety(is)
	case "state":
		j.Gauge = grade.Gauge(is)
	case "demo":
		j.Demo = true
	case "photo":
		q.derive.FromPhoto = true
	case "indicative":
		j.Indicative = true
	default:
		err = unreadable()
	}
	return err
}

func gaugeOf(fields []string) (*measure.Gauge, error) {
	if len(fields) != 6 {
		return nil, unreadable()
	}
	g := &measure.Gauge{Name: fields[1]}
	var err error
	if fields[2] != "" {
		if g.Resolution, err = measure.ParseValue(fields[2], fields[3]); err != nil {
			return nil, err
		}
	}
	if fields[4] != "" {
		g.Uncertainty, err = measure.ParseValue(fields[4], fields[5])
	}
	return g, err
}

func (q *asked) read(fields []string) error {
	if len(fields) < 3 {
		return unreadable()
	}
	r := measure.Reading{Of: fields[0], Gauge: q.gauges[fields[1]]}
	for _, entered := range fields[2:] {
		v, err := measure.Parse(entered)
		if err != nil {
			return err
		}
		r.Values = append(r.Values, v)
	}
	q.derive.Readings = append(q.derive.Readings, r)
	return nil
}

func (q *asked) limit(at func(int) string) error {
	v, err := measure.ParseValue(at(2), at(3))
	if err != nil {
		return err
	}
	r := &q.judge.Service
	if at(0) == "new" {
		r = &q.judge.New
	}
	if at(1) == "min" {
		r.Min = &v
	} else {
		r.Max = &v
	}
	return nil
}

func unreadable() error {
	return fault.Invalid("pad.question_unreadable", "", "The tablet asks in a way that this program does not know; load the page again.")
}

// refusal is what a question that cannot be answered gives.
func refusal(err error) string {
	code, message := "pad.refused", "This cannot be reckoned here; it is graded when it is sent."
	var m *measure.Error
	var f *fault.Error
	switch {
	case errors.As(err, &m):
		code, message = string(m.Code), m.Message
	case errors.As(err, &f):
		code, message = f.Code, f.Message
	}
	return line("refused", code, message)
}

// line writes one line of an answer; what would part it is left out.
func line(fields ...string) string {
	clean := strings.NewReplacer("\t", " ", "\n", " ")
	for i, f := range fields {
		fields[i] = clean.Replace(f)
	}
	return strings.Join(fields, "\t") + "\n"
}
