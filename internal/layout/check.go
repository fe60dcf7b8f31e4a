package layout

import (
	"fmt"
	"slices"
	"strings"
)

// Bounds of what a document says.
const (
	maxKey      = 64
	maxName     = 300
	maxMinutes  = 10_000 // a step of seven days is a typing slip
	maxQuantity = 1_000
	maxCylinder = 12
	maxWidthUM  = 1_000_000
)

// Check lists everything that is wrong in a map, in the order of the document;
// an empty list says that it can be relied on. It never stops at the first
// fault.
func Check(m Map) []Fault {
	c := newChecker(m)
	c.head(m.Code, m.Revision, m.Title, m.Example, m.Notice)
	if len(m.Components) == 0 {
		c.add(ComponentsMissing, "/components", "A map lists at least one component.")
	}
	c.assemblies(m.Assemblies)
	c.compartments(m.Compartments)
	c.components(m.Components)
	c.groups(m.Groups)
	c.circuits(m)
	c.steps(m.Steps)
	c.fastenings(m.Fastenings)
	c.points(m.Points)
	c.looks(m.Looks)
	return c.faults
}

// checker gathers faults. Its sets hold the keys there are; near is the key of
// the thing under scrutiny.
type checker struct {
	faults []Fault
	near   Key
	// The keys that others may name.
	assembly, compartment, component, step map[Key]bool
	barriers                               map[Key]Barrier
	bypassed                               map[Key]bool // barriers that a passage leads past
}

func newChecker(m Map) *checker {
	c := &checker{barriers: map[Key]Barrier{}, bypassed: map[Key]bool{}}
	c.assembly = keySet(m.Assemblies, func(a Assembly) Key { return a.Key })
	c.compartment = keySet(m.Compartments, func(p Compartment) Key { return p.Key })
	c.component = keySet(m.Components, func(p Component) Key { return p.Key })
	c.step = keySet(m.Steps, func(s Step) Key { return s.Key })
	for _, p := range m.Components {
		if p.Barrier != nil {
			c.barriers[p.Key] = *p.Barrier
		}
	}
	for _, circuit := range m.Circuits {
		for _, p := range circuit.Passages {
			c.bypassed[p.Bypasses] = true
		}
	}
	return c
}

func keySet[T any](items []T, key func(T) Key) map[Key]bool {
	set := make(map[Key]bool, len(items))
	for _, item := range items {
		set[key(item)] = true
	}
	return set
}

func (c *checker) add(code Code, at place, format string, args ...any) {
	c.faults = append(c.faults, Fault{Code: code, Pointer: string(at), Key: c.near, Message: fmt.Sprintf(format, args...)})
}

// head checks what maps and sheets have in common.
func (c *checker) head(code Key, revision int64, title string, example bool, notice string) {
	c.key(nil, "/code", code)
	c.name("/title", title)
	if revision < 1 {
		c.add(RevisionMissing, "/revision", "Give the revision as a whole number from 1; a changed document has the next one.")
	}
	if example && strings.TrimSpace(notice) == "" {
		c.add(NoticeMissing, "/notice", "An example says in its notice that its figures are invented and not for service.")
	}
	c.near = ""
}

// key checks the key of a thing, against those of its kind seen so far, and
// makes it the one that faults are reported under.
func (c *checker) key(seen map[Key]bool, at place, key Key) {
	c.near = key
	if !wellFormed(key) {
		c.add(KeyMalformed, at, "The key %.70q is not made of lower-case letters, digits and underscores, a letter first, at most %d.", string(key), maxKey)
	}
	if seen == nil {
		return
	}
	if seen[key] {
		c.add(KeyTwice, at, "The key %s is given to two things; give each its own.", key)
	}
	seen[key] = true
}

func wellFormed(key Key) bool {
	for i, r := range key {
		letter := r >= 'a' && r <= 'z'
		if !letter && (i == 0 || (r != '_' && (r < '0' || r > '9'))) {
			return false
		}
	}
	return key != "" && len(key) <= maxKey
}

func (c *checker) name(at place, name string) {
	if strings.TrimSpace(name) == "" {
		c.add(NameMissing, at, "Give it the name the trade uses.")
	}
	if len(name) > maxName {
		c.add(NameTooLong, at, "Keep it under %d letters.", maxName)
	}
}

// word checks a value against its list; needed says whether it must be there.
func word[T ~string](c *checker, at place, got T, all []T, needed bool) {
	if (got == "" && !needed) || slices.Contains(all, got) {
		return
	}
	words := make([]string, len(all))
	for i, w := range all {
		words[i] = string(w)
	}
	c.add(WordUnknown, at, "%.40q is not one of %s.", string(got), strings.Join(words, ", "))
}

func (c *checker) safety(at place, got Safety) {
	if got == "" {
		c.add(SafetyMissing, at, "Say what a failure can do: critical, major or ordinary. There is no default.")
		return
	}
	word(c, at, got, Safeties(), true)
}

// names checks that key is one of set.
func (c *checker) names(code Code, at place, set map[Key]bool, what string, key Key) {
	if !set[key] {
		c.add(code, at, "There is no %s %.70q in this document; correct the key or add it.", what, string(key))
	}
}

func (c *checker) nameComponent(at place, key Key) {
	c.names(ComponentDangling, at, c.component, "component", key)
}

func (c *checker) nameStep(at place, key Key) { c.names(StepDangling, at, c.step, "step", key) }

func (c *checker) nameNode(at place, key Key) {
	if !c.component[key] && !c.compartment[key] {
		c.add(NodeDangling, at, "There is no component or compartment %.70q in this document; correct the key or add it.", string(key))
	}
}

// eachOnce checks a list of keys: each known by name, none twice.
func (c *checker) eachOnce(at place, keys []Key, name func(place, Key)) {
	seen := map[Key]bool{}
	for i, key := range keys {
		name(at.item(i), key)
		if seen[key] {
			c.add(MemberTwice, at.item(i), "%s is named twice here; name it once.", key)
		}
		seen[key] = true
	}
}

// minutes checks a time; needed says that nought cannot be meant.
func (c *checker) minutes(at place, minutes int64, needed bool) {
	switch {
	case minutes == 0 && needed:
		c.add(MinutesMissing, at, "Give the minutes, at least 1.")
	case minutes < 0 || minutes > maxMinutes:
		c.add(MinutesOutOfRange, at, "%d minutes cannot be; give 0 to %d.", minutes, maxMinutes)
	}
}

func (c *checker) parts(at place, parts []NewPart) {
	for i, p := range parts {
		c.name(at.item(i).member("name"), p.Name)
		if p.Quantity < 1 || p.Quantity > maxQuantity {
			c.add(QuantityOutOfRange, at.item(i).member("quantity"), "Say how many, 1 to %d.", maxQuantity)
		}
	}
}
