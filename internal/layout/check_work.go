package layout

import (
	"maps"
	"slices"
	"strings"

	"benchtag/internal/measure"
)

func (c *checker) steps(all []Step) {
	seen := map[Key]bool{}
	_, rest := Rounds(all)
	circle := inCircle(all)
	for i, s := range all {
		at := at("steps", i)
		c.key(seen, at.member("key"), s.Key)
		c.name(at.member("name"), s.Name)
		c.minutes(at.member("minutes"), s.Minutes, true)
		c.minutes(at.member("minutes_back"), s.MinutesBack, false)
		c.needs(at.member("needs"), s.Needs)
		c.eachOnce(at.member("back_after"), s.BackAfter, c.nameStep)
		c.eachOnce(at.member("takes_off"), s.TakesOff, c.nameComponent)
		c.parts(at.member("destroys"), s.Destroys)
		if slices.Contains(rest, s.Key) {
			c.add(StepNeverPossible, at.member("needs"), "This step can never be done: what it needs needs it in turn, whichever way is taken.")
		}
		if circle[s.Key] {
			c.add(BackInCircle, at.member("back_after"), "This step's closing waits for itself, by way of the steps it comes after; break the circle.")
		}
	}
}

func (c *checker) needs(at place, needs [][]Key) {
	for i, alternatives := range needs {
		if len(alternatives) == 0 {
			c.add(NeedEmpty, at.item(i), "This need names no step; name the alternatives or take it out.")
		}
		c.eachOnce(at.item(i), alternatives, c.nameStep)
	}
}

// Rounds sorts steps by when they can be done first: those of the first round
// need nothing, those of a later one have an alternative of each need in the
// rounds before. Rest are those that no order of work can reach. A need that
// names no known step counts as met, for that is a fault of its own.
func Rounds(steps []Step) (rounds [][]Key, rest []Key) {
	left := keySet(steps, func(s Step) Key { return s.Key })
	for {
		var round []Key
		rest = nil
		for _, s := range steps {
			switch {
			case !left[s.Key]:
			case met(s.Needs, left):
				round = append(round, s.Key)
			default:
				rest = append(rest, s.Key)
			}
		}
		if len(round) == 0 {
			return rounds, rest
		}
		for _, key := range round {
			delete(left, key)
		}
		rounds = append(rounds, round)
	}
}

// met reports whether each need has an alternative that is not left to do.
func met(needs [][]Key, left map[Key]bool) bool {
	for _, alternatives := range needs {
		open := func(k Key) bool { return !left[k] }
		if len(alternatives) > 0 && !slices.ContainsFunc(alternatives, open) {
			return false
		}
	}
	return true
}

// inCircle gives the steps whose closing waits for itself.
func inCircle(all []Step) map[Key]bool {
	after := map[Key][]Key{}
	for _, s := range all {
		after[s.Key] = append(after[s.Key], s.BackAfter...)
	}
	circle := map[Key]bool{}
	for _, s := range all {
		if closure(after, after[s.Key])[s.Key] {
			circle[s.Key] = true
		}
	}
	return circle
}

// closure gives everything that can be come to from the given keys, them
// included.
func closure(next map[Key][]Key, from []Key) map[Key]bool {
	reached := map[Key]bool{}
	for open := slices.Clone(from); len(open) > 0; {
		key := open[len(open)-1]
		open = open[:len(open)-1]
		if !reached[key] {
			reached[key] = true
			open = append(open, next[key]...)
		}
	}
	return reached
}

func (c *checker) fastenings(all []Fastening) {
	seen := map[Key]bool{}
	for i, f := range all {
		at := at("fastenings", i)
		c.key(seen, at.member("key"), f.Key)
		c.name(at.member("name"), f.Name)
		c.nameComponent(at.member("component"), f.Component)
		c.safety(at.member("safety"), f.Safety)
		word(c, at.member("condition"), f.Condition, Conditions(), true)
		if f.Step != "" {
			c.nameStep(at.member("step"), f.Step)
		}
		if f.HoldBefore != "" {
			c.nameStep(at.member("hold_before"), f.HoldBefore)
		}
		if f.HoldBefore != "" && f.HoldBefore == f.Step {
			c.add(HoldAtItself, at.member("hold_before"), "The joint is drawn when this step is closed, so it cannot be checked before; name the step that covers it.")
		}
	}
}

func (c *checker) points(all []Point) {
	seen := map[Key]bool{}
	for i, p := range all {
		at := at("points", i)
		c.key(seen, at.member("key"), p.Key)
		c.name(at.member("name"), p.Name)
		c.nameComponent(at.member("component"), p.Component)
		if !slices.Contains(Derivations(), p.Derive) {
			c.add(DeriveUnknown, at.member("derive"), "%.40q is no formula of this program; there are %s.", p.Derive, strings.Join(Derivations(), ", "))
		}
		c.unit(at.member("unit"), p.Unit)
		for _, name := range slices.Sorted(maps.Keys(p.With)) {
			if !wellFormed(Key(name)) || strings.TrimSpace(p.With[name]) == "" || len(p.With[name]) > maxKey {
				c.add(ParameterMalformed, at.member("with").member(name), "Give each fixed figure by its name in lower case, with its value.")
			}
		}
	}
}

func (c *checker) unit(at place, unit measure.Unit) {
	switch {
	case unit == "":
		c.add(UnitMissing, at, "Give the unit, as a UCUM code such as mm.")
	case !unit.Known():
		c.add(UnitUnknown, at, "There is no unit %.20q here; give a UCUM code such as mm, N.m, kPa, Ohm, %%.", string(unit))
	}
}

func (c *checker) looks(all []Look) {
	seen := map[Key]bool{}
	for i, l := range all {
		at := at("looks", i)
		c.key(seen, at.member("key"), l.Key)
		c.name(at.member("name"), l.Name)
		c.minutes(at.member("minutes"), l.Minutes, true)
		c.needs(at.member("needs"), l.Needs)
		if len(l.At) == 0 && len(l.Speaks) == 0 {
			c.add(LookSeesNothing, at.member("at"), "This look sees nothing and tells nothing; name the components it sees or speaks of.")
		}
		c.eachOnce(at.member("at"), l.At, c.nameNode)
		c.speaks(at.member("speaks"), l.Speaks)
	}
}

func (c *checker) speaks(at place, all []Speaks) {
	keys := make([]Key, len(all))
	for i, s := range all {
		keys[i] = s.Component
		if s.Percent < 1 || s.Percent > 99 {
			c.add(PercentOutOfRange, at.item(i).member("percent"), "It takes away 1 to 99 percent of the doubt; only a look at the part itself takes all.")
		}
	}
	c.eachOnce(at, keys, func(item place, key Key) { c.nameComponent(item.member("component"), key) })
}
