package debris

import (
	"slices"

	"benchtag/internal/layout"
)

// from says what sheds a material in a motorcycle. Common practice, no source.
func (m Material) from() string {
	switch m {
	case Steel:
		return "gear teeth and dogs, rolling bearings, chains, cams and followers, shafts"
	case CastIron:
		return "piston rings, cylinder liners, some followers"
	case Aluminium:
		return "pistons, cases, pump bodies, cam journals in the head"
	case Bronze:
		return "small-end and gear bushes, thrust washers, valve guides, brass cages of bearings"
	case BearingMetal:
		return "shell bearings of crank, rods, cams and balancers"
	case Plating:
		return "the plated bore of a cylinder"
	case Plastic:
		return "chain guides and tensioner blades, pump gears, plastic cages of bearings"
	case Rubber:
		return "the facing of blades and guides, dampers, seals"
	case Fibre:
		return "friction plates of the clutch, gaskets, filter paper"
	case Sealant:
		return "joints put together with too much sealant"
	case Carbon:
		return "piston crown and combustion, burnt oil"
	case Dirt:
		return "air filter, breather, or work done in dirt"
	}
	return "not known until somebody sorts it with a magnet"
}

// suspects are where the materials of the sample can come from.
func (j judge) suspects() []Suspect {
	out := []Suspect{}
	near := j.upstream()
	for _, m := range Materials() {
		if !slices.ContainsFunc(j.in.Now.Entries, func(e Entry) bool { return e.material() == m }) {
			continue
		}
		s := Suspect{Material: m, From: m.from(), Components: []Named{}}
		for _, key := range near {
			if c, ok := j.in.Map.Component(key); ok && sheds(c, m) {
				s.Components = append(s.Components, Named{Component: key, Name: c.Name})
			}
		}
		out = append(out, s)
	}
	return out
}

// sheds reports that a component sheds a material. A map calls a shell bearing
// bronze or aluminium and a plated bore aluminium, so those go by their kind.
func sheds(c layout.Component, m Material) bool {
	switch m {
	case BearingMetal:
		return slices.Contains([]layout.Key{"main_bearing", "big_end", "cam_journal", "balancer_bearing"}, c.Kind) && c.Material != layout.Steel
	case Plating:
		return c.Kind == "cylinder" && c.Material == layout.Aluminium
	}
	return Material(c.Material) == m
}

// upstream lists the nodes from which a way leads to the place of the sample,
// the nearest first. What is too narrow for a piece is left aside: a suspect is
// one more to look at.
func (j judge) upstream() []layout.Key {
	m := j.in.Map
	switch {
	case m == nil:
		return nil
	case j.in.At == "":
		return j.inTheOil()
	}
	into := map[layout.Key][]layout.Key{}
	for _, node := range m.Nodes() {
		for _, way := range m.Out(node) {
			if way.ShutBy == "" {
				into[way.To] = append(into[way.To], node)
			}
		}
	}
	found := []layout.Key{j.in.At}
	seen := map[layout.Key]bool{j.in.At: true}
	for i := 0; i < len(found); i++ {
		for _, node := range into[found[i]] {
			if !seen[node] {
				seen[node] = true
				found = append(found, node)
			}
		}
	}
	return found
}

// inTheOil lists what runs in oil, or in a mixture crankcase in mixture, where
// nobody says which of the rooms was looked at.
func (j judge) inTheOil() []layout.Key {
	medium := layout.Oil
	if j.in.Compartment == MixtureCrankcase {
		medium = layout.Mixture
	}
	var out []layout.Key
	for _, c := range j.in.Map.Map().Components {
		if room, ok := j.in.Map.Compartment(c.In); ok && room.Medium == medium {
			out = append(out, c.Key)
		}
	}
	return out
}
