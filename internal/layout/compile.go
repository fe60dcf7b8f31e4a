package layout

import "slices"

// Compiled is a map that has no faults, in which things are found by key. All
// lists it gives are in the order of the document, so that whatever is built
// on them comes out the same each time. It is read only, and safe for use by
// several goroutines.
type Compiled struct {
	m Map

	nodes      []Key
	names      map[Key]string
	component  map[Key]int
	room       map[Key]int // compartments
	group      map[Key]int
	step       map[Key]int
	point      map[Key]int
	fastening  map[Key]int
	look       map[Key]int
	inside     map[Key][]Key // compartment to components
	ways       map[Key][]Way
	circuits   map[Key][]Key
	groupsOf   map[Key][]Key
	pointsOf   map[Key][]int
	jointsOf   map[Key][]int // by component
	jointsAt   map[Key][]int // by step
	heldBefore map[Key][]int // by step
}

// Way is one passage out of a node: one of a circuit, or one that follows from
// a component's place in a compartment.
type Way struct {
	Passage
	// Circuit is the one it belongs to; "" for an implied way.
	Circuit Key
	// Medium is the circuit's, or the compartment's for an implied way.
	Medium Medium
}

// Implied reports whether the way follows from a component's place: a
// component drains into its compartment, and a compartment splashes every
// component in it that is not sealed.
func (w Way) Implied() bool { return w.Circuit == "" }

// Compile checks a map and makes it searchable. The error lists every fault
// that Check finds (see Refusal).
func Compile(m Map) (*Compiled, error) {
	if err := Refusal(Check(m)); err != nil {
		return nil, err
	}
	c := &Compiled{
		m: m, names: map[Key]string{},
		component: index(m.Components, func(p Component) Key { return p.Key }),
		room:      index(m.Compartments, func(p Compartment) Key { return p.Key }),
		group:     index(m.Groups, func(g Group) Key { return g.Key }),
		step:      index(m.Steps, func(s Step) Key { return s.Key }),
		point:     index(m.Points, func(p Point) Key { return p.Key }),
		fastening: index(m.Fastenings, func(f Fastening) Key { return f.Key }),
		look:      index(m.Looks, func(l Look) Key { return l.Key }),
		inside:    map[Key][]Key{}, ways: map[Key][]Way{}, circuits: map[Key][]Key{}, groupsOf: map[Key][]Key{},
		pointsOf: gather(m.Points, func(p Point) Key { return p.Component }),
		jointsOf: gather(m.Fastenings, func(f Fastening) Key { return f.Component }),
		jointsAt: gather(m.Fastenings, func(f Fastening) Key { return f.Step }),
		heldBefore: gather(m.Fastenings, func(f Fastening) Key {
			return f.HoldBefore
		}),
	}
	c.listNodes()
	c.joinPassages()
	c.joinPlaces()
	for _, g := range m.Groups {
		for _, member := range g.Members {
			c.groupsOf[member] = append(c.groupsOf[member], g.Key)
		}
	}
	return c, nil
}

func index[T any](items []T, key func(T) Key) map[Key]int {
	at := make(map[Key]int, len(items))
	for i, item := range items {
		at[key(item)] = i
	}
	return at
}

func gather[T any](items []T, by func(T) Key) map[Key][]int {
	of := map[Key][]int{}
	for i, item := range items {
		of[by(item)] = append(of[by(item)], i)
	}
	return of
}

func (c *Compiled) listNodes() {
	for _, p := range c.m.Compartments {
		c.nodes = append(c.nodes, p.Key)
		c.names[p.Key] = p.Name
	}
	for _, p := range c.m.Components {
		c.nodes = append(c.nodes, p.Key)
		c.names[p.Key] = p.Name
		if p.In != "" {
			c.inside[p.In] = append(c.inside[p.In], p.Key)
		}
	}
	for _, g := range c.m.Groups {
		c.names[g.Key] = g.Name
	}
}

func (c *Compiled) joinPassages() {
	for _, circuit := range c.m.Circuits {
		for _, p := range circuit.Passages {
			c.ways[p.From] = append(c.ways[p.From], Way{Passage: p, Circuit: circuit.Key, Medium: circuit.Medium})
			for _, node := range []Key{p.From, p.To} {
				if !slices.Contains(c.circuits[node], circuit.Key) {
					c.circuits[node] = append(c.circuits[node], circuit.Key)
				}
			}
		}
	}
}

// joinPlaces adds the ways that follow from where components are.
func (c *Compiled) joinPlaces() {
	for _, p := range c.m.Components {
		if p.In == "" {
			continue
		}
		medium := c.m.Compartments[c.room[p.In]].Medium
		c.ways[p.Key] = append(c.ways[p.Key], Way{Passage: Passage{From: p.Key, To: p.In, How: Drain}, Medium: medium})
		if !p.Sealed {
			c.ways[p.In] = append(c.ways[p.In], Way{Passage: Passage{From: p.In, To: p.Key, How: Splash}, Medium: medium})
		}
	}
}
