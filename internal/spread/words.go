package spread

import "benchtag/internal/layout"

// materialWords say a material as the trade does.
func materialWords(m layout.Material) string {
	if m == layout.CastIron {
		return "cast iron"
	}
	return string(m)
}

// clause is a part of a sentence: one movement along the spots first to last of
// a path, through those before the last and into that one.
type clause struct {
	verb, into  string
	first, last int
	shutBy      layout.Key // what no longer keeps the way shut
	bypasses    layout.Key // the filter or screen it leads past
	merges      bool       // further movement of the same kind belongs to it
}

// sentence tells a path in words a customer can read; "" for one that leads
// nowhere.
func (w *walker) sentence(t *trail, path []spot) string {
	if len(path) < 2 {
		return ""
	}
	out := w.text[:0]
	if t.item.size == Fines {
		out = append(out, "fine "...)
	}
	out = append(out, materialWords(t.item.material)...)
	out[0] -= 'a' - 'A'
	if t.item.seen {
		out = append(out, " that lay at the "...)
	} else {
		out = append(out, " from the "...)
	}
	out = append(out, w.names[path[0].node()]...)
	clauses := w.clauses(t, path)
	for i, c := range clauses {
		switch {
		case i == 0:
			out = append(out, ' ')
		case i == len(clauses)-1:
			out = append(out, " and "...)
		default:
			out = append(out, ", "...)
		}
		out = w.say(out, c, path)
	}
	w.text = append(out, '.')
	return string(w.text)
}

// say adds a clause: "is drawn through the pick-up screen into the oil pump".
func (w *walker) say(out []byte, c clause, path []spot) []byte {
	out = append(out, c.verb...)
	if c.first < 0 {
		return out
	}
	for i := c.first; i < c.last; i++ {
		switch {
		case i == c.first:
			out = append(out, " through the "...)
		case i == c.last-1:
			out = append(out, " and the "...)
		default:
			out = append(out, ", the "...)
		}
		out = append(out, w.names[path[i].node()]...)
	}
	out = append(out, c.into...)
	out = append(out, w.names[path[c.last].node()]...)
	if c.shutBy != "" {
		out = append(out, " past the leaking "...)
		out = append(out, w.m.Name(c.shutBy)...)
	}
	if c.bypasses != "" {
		out = append(out, " by the bypass of the "...)
		out = append(out, w.m.Name(c.bypasses)...)
	}
	return out
}

// clauses puts movement of one kind, one after the other, into one clause.
func (w *walker) clauses(t *trail, path []spot) []clause {
	out := w.said[:0]
	for i := 1; i < len(path); i++ {
		s := t.steps[path[i]]
		if s.ground {
			out = append(out, clause{verb: "is ground to fines there", first: -1})
			continue
		}
		next := w.movement(s.way)
		if n := len(out) - 1; n >= 0 && out[n].continues(next) {
			next.first, next.last = out[n].first, i
			out[n] = next
			continue
		}
		next.first, next.last = i, i
		out = append(out, next)
	}
	w.said = out
	return out
}

// continues reports that what comes next is more of the same.
func (c clause) continues(next clause) bool {
	return c.merges && c.verb == next.verb && c.shutBy == "" && c.bypasses == ""
}

// movement says how debris goes along a way.
func (w *walker) movement(way *way) clause {
	c := clause{verb: "gets", into: " into the ", shutBy: way.ShutBy, bypasses: way.Bypasses}
	switch way.How {
	case layout.Suction:
		c.verb, c.merges = "is drawn", true
	case layout.Pressure:
		c.verb, c.merges = "is pressed", true
	case layout.Drain:
		c.verb, c.merges = "runs down", true
	case layout.Breather:
		c.verb, c.merges = "is blown", true
	case layout.Gas:
		c.verb, c.merges = "is carried with the gas", true
	case layout.Opening:
		c.verb = "gets through an opening"
	case layout.Splash:
		c.verb = "is thrown"
		if w.parts[way.to] != nil {
			c.into = " onto the "
		}
	}
	return c
}
