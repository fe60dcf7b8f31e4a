package layout

func (c *checker) assemblies(all []Assembly) {
	seen := map[Key]bool{}
	for i, a := range all {
		at := at("assemblies", i)
		c.key(seen, at.member("key"), a.Key)
		c.name(at.member("name"), a.Name)
	}
}

func (c *checker) compartments(all []Compartment) {
	seen := map[Key]bool{}
	for i, p := range all {
		at := at("compartments", i)
		c.key(seen, at.member("key"), p.Key)
		c.name(at.member("name"), p.Name)
		word(c, at.member("medium"), p.Medium, Media(), true)
	}
}

// components checks parts. Components, compartments and groups are named in
// the same places, so that they share their keys.
func (c *checker) components(all []Component) {
	seen := map[Key]bool{}
	for key := range c.compartment {
		seen[key] = true
	}
	for i, p := range all {
		at := at("components", i)
		c.key(seen, at.member("key"), p.Key)
		c.name(at.member("name"), p.Name)
		c.what(at, p)
		c.where(at, p)
		c.barrier(at, p.Barrier)
		c.ways(at.member("look"), p.Look)
		c.ways(at.member("renew"), p.Renew)
		c.minutes(at.member("renew_minutes"), p.RenewMinutes, false)
		c.parts(at.member("parts"), p.Parts)
	}
}

func (c *checker) what(at place, p Component) {
	if !wellFormed(p.Kind) {
		c.add(KeyMalformed, at.member("kind"), "Say what sort of part it is, in a word with lower-case letters and underscores, such as timing_chain.")
	}
	c.names(AssemblyDangling, at.member("assembly"), c.assembly, "assembly", p.Assembly)
	c.safety(at.member("safety"), p.Safety)
	word(c, at.member("material"), p.Material, Materials(), false)
	for i, m := range p.Gathers {
		word(c, at.member("gathers").item(i), m, Materials(), true)
	}
}

func (c *checker) where(at place, p Component) {
	if p.In != "" {
		c.names(CompartDangling, at.member("in"), c.compartment, "compartment", p.In)
	}
	at = at.member("position")
	word(c, at.member("side"), p.Position.Side, Sides(), false)
	word(c, at.member("valve"), p.Position.Valve, Valves(), false)
	if n := p.Position.Cylinder; n < 0 || n > maxCylinder {
		c.add(PositionUnlikely, at.member("cylinder"), "Count cylinders from 1 to %d; leave it out where it does not apply.", maxCylinder)
	}
}

func (c *checker) barrier(at place, b *Barrier) {
	if b == nil {
		return
	}
	at = at.member("barrier")
	word(c, at.member("kind"), b.Kind, BarrierKinds(), true)
	if b.RatingUM == 0 && b.Kind != Magnet {
		c.add(RatingMissing, at.member("rating_um"), "Say from which width in micrometres it keeps pieces back.")
	}
	c.width(at.member("rating_um"), b.RatingUM)
	if b.Bypass && !c.bypassed[c.near] {
		c.add(BypassUnused, at.member("bypass"), "No passage leads past it; add the one that its bypass opens, with bypasses naming it.")
	}
}

func (c *checker) width(at place, um int64) {
	if um < 0 || um > maxWidthUM {
		c.add(WidthOutOfRange, at, "A width of %d micrometres cannot be; give 0 to %d.", um, maxWidthUM)
	}
}

// ways checks the ways to a part: none at all means plain sight, a way
// without a step means nothing.
func (c *checker) ways(at place, ways [][]Key) {
	for i, way := range ways {
		if len(way) == 0 {
			c.add(WayEmpty, at.item(i), "This way has no step; for a part in plain sight leave the list of ways empty.")
		}
		c.eachOnce(at.item(i), way, c.nameStep)
	}
}

func (c *checker) groups(all []Group) {
	seen := map[Key]bool{}
	for i, g := range all {
		at := at("groups", i)
		c.key(seen, at.member("key"), g.Key)
		if c.component[g.Key] || c.compartment[g.Key] {
			c.add(KeyTwice, at.member("key"), "The key %s is also that of a component or compartment; give the group its own.", g.Key)
		}
		c.name(at.member("name"), g.Name)
		if len(g.Members) == 0 {
			c.add(GroupEmpty, at.member("members"), "A group has members; name its components.")
		}
		c.eachOnce(at.member("members"), g.Members, c.nameComponent)
	}
}

func (c *checker) circuits(m Map) {
	seen := map[Key]bool{}
	for i, circuit := range m.Circuits {
		at := at("circuits", i)
		c.key(seen, at.member("key"), circuit.Key)
		c.name(at.member("name"), circuit.Name)
		word(c, at.member("medium"), circuit.Medium, Media(), true)
		if len(circuit.Passages) == 0 {
			c.add(CircuitEmpty, at.member("passages"), "A circuit has passages; add them or leave the circuit out.")
		}
		for j, p := range circuit.Passages {
			c.passage(at.member("passages").item(j), p)
		}
	}
}

func (c *checker) passage(at place, p Passage) {
	c.nameNode(at.member("from"), p.From)
	c.nameNode(at.member("to"), p.To)
	if p.From == p.To {
		c.add(PassageToItself, at.member("to"), "This passage leads from %s to itself; say where it goes.", p.From)
	}
	word(c, at.member("how"), p.How, PassageKinds(), true)
	c.width(at.member("opening_um"), p.OpeningUM)
	if p.ShutBy != "" {
		c.nameComponent(at.member("shut_by"), p.ShutBy)
	}
	if p.Bypasses == "" {
		return
	}
	c.nameComponent(at.member("bypasses"), p.Bypasses)
	if b, ok := c.barriers[p.Bypasses]; c.component[p.Bypasses] && (!ok || !b.Bypass) {
		c.add(BypassOfNoBarrier, at.member("bypasses"), "%s has no barrier with a bypass; name the screen or filter that this passage leads past, and say bypass there.", p.Bypasses)
	}
}
