package layout

import "strings"

// Machine is what a sheet is chosen by.
type Machine struct {
	Map   Key // code of its map
	Make  string
	Model string
	Year  int64 // 0 where it is not known
}

// Match picks the sheet for a machine: one that names its make, model and
// year before one that names less, and an example only where no other fits.
// ok is false where none is for its map; that is "no data", never another
// machine's figures. Of two that fit alike the later revision is taken, then
// the first.
func Match(sheets []Sheet, machine Machine) (best Sheet, ok bool) {
	most := 0
	for _, s := range sheets {
		fit := closeness(s, machine)
		better := fit > most || (fit == most && s.Revision > best.Revision)
		if fit > 0 && better {
			best, most, ok = s, fit, true
		}
	}
	return best, ok
}

// closeness says how well a sheet fits: 0 for not at all, 1 for an example.
func closeness(s Sheet, machine Machine) int {
	switch {
	case s.Map != machine.Map:
		return 0
	case s.Example:
		return 1
	case !same(s.For.Make, machine.Make):
		return 0
	}
	fit := 2
	if s.For.Model != "" {
		if !same(s.For.Model, machine.Model) {
			return 0
		}
		fit += 2
	}
	if s.For.YearFrom != 0 || s.For.YearTo != 0 {
		if !s.For.covers(machine.Year) {
			return 0
		}
		fit++
	}
	return fit
}

func same(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// covers reports whether the years hold year; one not known is held by none.
func (f For) covers(year int64) bool {
	return year != 0 && f.YearFrom <= year && (f.YearTo == 0 || year <= f.YearTo)
}

// Limit finds the limit of a point; ok is false where the sheet has none.
func (s Sheet) Limit(point Key) (l Limit, ok bool) {
	for _, l := range s.Limits {
		if l.Point == point {
			return l, true
		}
	}
	return Limit{}, false
}

// Torque finds how a joint is drawn; ok is false where the sheet has nothing.
func (s Sheet) Torque(fastening Key) (t Torque, ok bool) {
	for _, t := range s.Torques {
		if t.Fastening == fastening {
			return t, true
		}
	}
	return Torque{}, false
}

// Source finds a source; ok is false where there is none.
func (s Sheet) Source(key Key) (found Source, ok bool) {
	for _, one := range s.Sources {
		if one.Key == key {
			return one, true
		}
	}
	return Source{}, false
}
