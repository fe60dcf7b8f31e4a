package debris

import "slices"

// level is a verdict by its place in Verdicts.
type level int

const (
	normal level = iota
	watch
	further
	stop
)

func (l level) verdict() Verdict { return Verdicts()[l] }

func (l level) raised() level { return min(l+1, stop) }

// raisedToFurther raises a level, but not to stop.
func (l level) raisedToFurther() level { return max(l, min(l.raised(), further)) }

func (l level) lowered() level { return max(l-1, normal) }

// shape is what form and size together come to, the mildest first.
type shape int

const (
	asNothing shape = iota
	asFuzz
	asHair
	asSmall  // flakes up to Obvious
	asGrain  // granular
	asMiddle // flakes above that, and those that nobody measured
	asLarge  // flakes from Criteria.Large
	asChunk
)

func (s shape) amount() Amount {
	switch {
	case s == asNothing:
		return AmountNone
	case s <= asHair:
		return AmountFuzz
	case s <= asLarge:
		return AmountFlakes
	}
	return AmountChunks
}

// coarse reports a shape whose pieces one can feel.
func (s shape) coarse() bool { return s >= asSmall }

// size is the longest side that was measured.
func (e Entry) size() Nanometres { return max(e.Length, e.Width, e.Thickness) }

// shape of an entry. What nobody measured counts as between small and large.
func (e Entry) shape(c Criteria) shape {
	size := e.size()
	rubbing, small, large := size > 0 && size <= Rubbing, size > 0 && size <= Obvious, size >= c.Large
	switch e.Form {
	case Fuzz, Paste:
		return asFuzz
	case Hair:
		return pick(asHair, choice{rubbing, asFuzz}, choice{large, asMiddle})
	case Granular:
		return pick(asGrain, choice{rubbing, asFuzz}, choice{large, asChunk})
	case Sphere:
		return pick(asGrain, choice{rubbing, asHair}, choice{large, asChunk})
	case Chunk:
		return pick(asChunk, choice{small, asMiddle})
	case Piece:
		return asChunk
	}
	return pick(asMiddle, choice{rubbing, asFuzz}, choice{large, asLarge}, choice{small, asSmall})
}

type choice struct {
	so    bool
	shape shape
}

func pick(otherwise shape, choices ...choice) shape {
	for _, c := range choices {
		if c.so {
			return c.shape
		}
	}
	return otherwise
}

// many reports more than a few pieces of a family in a shape or a worse one, or
// a heavy share of them. Sorts count together, so that writing one sort down as
// two makes nothing milder.
func (s Sample) many(f family, from shape, c Criteria) bool {
	var count int64
	for _, e := range s.Entries {
		if e.shape(c) < from || !slices.Contains(e.families(s.Place), f) {
			continue
		}
		if e.Share == Heavy {
			return true
		}
		count += e.Count
	}
	return count > c.Few
}

// family is materials that the rule treats alike.
type family int

const (
	ferrous    family = iota // steel and iron: gears and rolling bearings rub it off all their life
	soft                     // bronze, bearing metal, plating: none of it is ordinary but fuzz
	light                    // aluminium
	polymer                  // plastic and rubber: chokes pick-ups
	lining                   // clutch lining wears in its oil
	deposit                  // carbon
	fromAbroad               // dirt and sealant
)

// row is levels in the order fuzz, hair, small, grain, middle, large, chunk;
// each for few and for many.
type row [7][2]level

// row is the rule for a family. Common practice, no source.
func (f family) row() row {
	switch f {
	case ferrous:
		return row{{normal, watch}, {watch, further}, {watch, further}, {further, stop}, {further, stop}, {stop, stop}, {stop, stop}}
	case soft:
		return row{{watch, further}, {further, further}, {further, further}, {further, stop}, {further, stop}, {stop, stop}, {stop, stop}}
	case light:
		return row{{watch, further}, {watch, further}, {watch, further}, {further, stop}, {further, stop}, {stop, stop}, {stop, stop}}
	case polymer:
		return row{{watch, further}, {watch, further}, {watch, further}, {watch, further}, {further, stop}, {stop, stop}, {stop, stop}}
	case lining:
		return row{{normal, further}, {normal, further}, {watch, further}, {watch, further}, {watch, further}, {further, further}, {stop, stop}}
	case deposit:
		return row{{normal, watch}, {normal, watch}, {watch, watch}, {watch, watch}, {watch, further}, {further, further}, {further, further}}
	}
	return row{{watch, further}, {watch, further}, {watch, further}, {watch, further}, {watch, further}, {further, further}, {further, further}}
}

func (f family) level(s shape, many bool) level {
	cells := f.row()[s-asFuzz]
	if many {
		return cells[1]
	}
	return cells[0]
}

func (m Material) metal() bool {
	return slices.Contains([]Material{Unknown, Steel, CastIron, Aluminium, Bronze, BearingMetal, Plating}, m)
}

func (m Material) sticks() bool { return m == Steel || m == CastIron }

func (m Material) family() family {
	switch m {
	case Steel, CastIron:
		return ferrous
	case Aluminium:
		return light
	case Plastic, Rubber:
		return polymer
	case Fibre:
		return lining
	case Carbon:
		return deposit
	case Dirt, Sealant:
		return fromAbroad
	}
	return soft // bronze, bearing metal, plating; and what nobody knows is taken for the worst
}

// families of an entry: more than one where its magnet contradicts its name,
// and the worse of them counts.
func (e Entry) families(at Place) []family {
	own := e.material().family()
	switch {
	case e.material() == Unknown && (e.Attracted == Attracted || e.Attracted != NotAttracted && at == MagneticPlug && (e.Form == Fuzz || e.Form == Paste)):
		return []family{ferrous}
	case e.Attracted == Attracted && !e.material().sticks():
		return []family{own, ferrous}
	case e.Attracted == NotAttracted && e.material().sticks():
		return []family{own, soft}
	}
	return []family{own}
}

func (e Entry) material() Material {
	if e.Material == "" {
		return Unknown
	}
	return e.Material
}
