package spread

import (
	"strings"

	"benchtag/internal/layout"
)

// materialWords are the materials as the trade says them.
var materialWords = map[layout.Material]string{
	layout.Steel: "steel", layout.CastIron: "cast iron", layout.Aluminium: "aluminium", layout.Bronze: "bronze",
	layout.Plastic: "plastic", layout.Rubber: "rubber", layout.Fibre: "fibre",
}

// sentence tells the path to a spot in words a customer can read.
func (w *walker) sentence(t *trail, to spot) string {
	path := t.back(to)
	what := materialWords[t.item.material]
	if t.item.size == Fines {
		what = "fine " + what
	}
	from := " from the "
	if t.item.seen {
		from = " that lay at the "
	}
	var out strings.Builder
	out.WriteString(upper(what) + from + w.m.Name(t.item.from))
	for i, at := range path[1:] {
		s := t.steps[at]
		out.WriteString(join(i, len(path)-1))
		if s.ground {
			out.WriteString("is ground to fines there")
			continue
		}
		out.WriteString(verb(s.way.Way) + " the " + w.m.Name(w.nodes[at.node()]) + w.past(s.way.Way))
	}
	return out.String() + "."
}

// past names what no longer keeps a way shut.
func (w *walker) past(way layout.Way) string {
	if way.ShutBy == "" {
		return ""
	}
	return " past the leaking " + w.m.Name(way.ShutBy)
}

// join is what stands between the steps of a path.
func join(i, n int) string {
	switch {
	case i == 0:
		return " "
	case i == n-1:
		return " and "
	}
	return ", "
}

// verb says how debris goes along a way.
func verb(way layout.Way) string {
	switch way.How {
	case layout.Suction:
		return "is drawn into"
	case layout.Pressure:
		return "is pressed into"
	case layout.Drain:
		return "runs down into"
	case layout.Splash:
		return "is thrown onto"
	case layout.Opening:
		return "drops through into"
	case layout.Breather:
		return "is blown into"
	case layout.Gas:
		return "is carried with the gas into"
	}
	return "gets into"
}

func upper(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
