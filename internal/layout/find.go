package layout

import "slices"

// Map gives the document. Its lists are not to be changed.
func (c *Compiled) Map() Map { return c.m }

// Nodes lists the keys of the compartments, then those of the components.
func (c *Compiled) Nodes() []Key { return slices.Clone(c.nodes) }

// IsNode reports whether key is a component or a compartment.
func (c *Compiled) IsNode(key Key) bool {
	_, component := c.component[key]
	_, room := c.room[key]
	return component || room
}

// Name gives the trade name of a component, compartment or group; the key
// itself where there is none.
func (c *Compiled) Name(key Key) string {
	if name, ok := c.names[key]; ok {
		return name
	}
	return string(key)
}

// Component finds a component; ok is false where there is none.
func (c *Compiled) Component(key Key) (p Component, ok bool) {
	return find(c.m.Components, c.component, key)
}

// Compartment finds a compartment; ok is false where there is none.
func (c *Compiled) Compartment(key Key) (p Compartment, ok bool) {
	return find(c.m.Compartments, c.room, key)
}

// Group finds a group; ok is false where there is none.
func (c *Compiled) Group(key Key) (g Group, ok bool) { return find(c.m.Groups, c.group, key) }

// Step finds a step; ok is false where there is none.
func (c *Compiled) Step(key Key) (s Step, ok bool) { return find(c.m.Steps, c.step, key) }

// Point finds a measured point; ok is false where there is none.
func (c *Compiled) Point(key Key) (p Point, ok bool) { return find(c.m.Points, c.point, key) }

// Fastening finds a joint; ok is false where there is none.
func (c *Compiled) Fastening(key Key) (f Fastening, ok bool) {
	return find(c.m.Fastenings, c.fastening, key)
}

// Look finds a look; ok is false where there is none.
func (c *Compiled) Look(key Key) (l Look, ok bool) { return find(c.m.Looks, c.look, key) }

func find[T any](items []T, at map[Key]int, key Key) (item T, ok bool) {
	i, ok := at[key]
	if ok {
		item = items[i]
	}
	return item, ok
}

// StepOrder gives the place of a step in the document, from 0; -1 for none.
func (c *Compiled) StepOrder(key Key) int {
	if i, ok := c.step[key]; ok {
		return i
	}
	return -1
}

// In lists the components in a compartment.
func (c *Compiled) In(compartment Key) []Key { return slices.Clone(c.inside[compartment]) }

// Out lists the ways that lead out of a node: those of the circuits first,
// then the implied ones.
func (c *Compiled) Out(node Key) []Way { return slices.Clone(c.ways[node]) }

// Circuits lists the circuits that have a passage from or to a node.
func (c *Compiled) Circuits(node Key) []Key { return slices.Clone(c.circuits[node]) }

// Groups lists the groups a component belongs to.
func (c *Compiled) Groups(component Key) []Key { return slices.Clone(c.groupsOf[component]) }

// Members gives the components that a key stands for: the members of a group,
// or the component itself. It is empty for anything else.
func (c *Compiled) Members(key Key) []Key {
	if g, ok := c.Group(key); ok {
		return slices.Clone(g.Members)
	}
	if _, ok := c.component[key]; ok {
		return []Key{key}
	}
	return nil
}

// Points lists the measured points of a component.
func (c *Compiled) Points(component Key) []Point { return pick(c.m.Points, c.pointsOf[component]) }

// Fastenings lists the joints that hold a component.
func (c *Compiled) Fastenings(component Key) []Fastening {
	return pick(c.m.Fastenings, c.jointsOf[component])
}

// Tightened lists the joints that the closing of a step draws.
func (c *Compiled) Tightened(step Key) []Fastening { return pick(c.m.Fastenings, c.jointsAt[step]) }

// HeldBefore lists the joints that must be checked before a step is closed.
func (c *Compiled) HeldBefore(step Key) []Fastening {
	return pick(c.m.Fastenings, c.heldBefore[step])
}

func pick[T any](items []T, which []int) []T {
	out := make([]T, 0, len(which))
	for _, i := range which {
		out = append(out, items[i])
	}
	return out
}

// OfKind lists the components of a kind.
func (c *Compiled) OfKind(kind Key) []Key {
	var out []Key
	for _, p := range c.m.Components {
		if p.Kind == kind {
			out = append(out, p.Key)
		}
	}
	return out
}
