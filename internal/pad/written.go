package pad

import (
	"strconv"
	"strings"

	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

// written is an answer in lines.
func written(derived measure.Result, v grade.Verdict) string {
	var b strings.Builder
	amount := func(q measure.Quantity, name ...string) {
		if q.Unit != "" {
			b.WriteString(line(append(name, q.Value.String(), string(q.Unit))...))
		}
	}
	amount(derived.Value, "value")
	if derived.Known {
		amount(derived.Expanded, "uncertainty")
	}
	amount(v.Guard, "guard")
	b.WriteString(line("verdict", string(v.Outcome)) + line("counts", string(v.CountsAs)))
	for _, g := range []struct {
		name string
		is   grade.Grade
	}{{"grade", v.Grade}, {"suggests", v.Suggests}} {
		if g.is != grade.None {
			b.WriteString(line(g.name, strconv.Itoa(int(g.is))))
		}
	}
	for _, of := range []struct {
		limits  string
		against grade.Against
	}{{"new", v.New}, {"service", v.Service}} {
		for _, r := range []struct {
			name   string
			limits grade.Range
		}{{"proven", of.against.Proven}, {"possible", of.against.Possible}} {
			if r.limits.Min != nil {
				amount(*r.limits.Min, r.name, of.limits, "min")
			}
			if r.limits.Max != nil {
				amount(*r.limits.Max, r.name, of.limits, "max")
			}
		}
	}
	if v.Settle != nil && v.Settle.Uncertainty != nil {
		amount(*v.Settle.Uncertainty, "settle", "uncertainty")
	}
	if v.Settle != nil && v.Settle.Resolution != nil {
		amount(*v.Settle.Resolution, "settle", "resolution")
	}
	b.WriteString(sentences("because", v.IndicativeBecause))
	b.WriteString(sentences("reason", v.Reasons))
	b.WriteString(sentences("working", derived.Working))
	b.WriteString(sentences("warning", derived.Warnings))
	b.WriteString(sentences("working", v.Working))
	return b.String()
}

func sentences(name string, all []string) string {
	out := ""
	for _, s := range all {
		out += line(name, s)
	}
	return out
}
