package debris

import "benchtag/internal/layout"

// Nanometres is a length. Debris is measured in steps as small as an inch's
// thousandth, which micrometres do not hold.
type Nanometres int64

// Sizes that the rule knows.
const (
	micrometre Nanometres = 1_000
	// Rubbing is the longest side of the platelets of ordinary rubbing wear:
	// about 0.5 to 15 µm (ASTM D7898-14).
	Rubbing = 15 * micrometre
	// Obvious is the size above which a particle is an obvious sign of a
	// serious fault: 200 µm (machinerylubrication.com/Read/29537, general
	// range of wear debris).
	Obvious = 200 * micrometre
	// LargeFlake is 1/16 in, 1.5875 mm: the size at which US Army TM
	// 55-2840-231-23 calls a magnetic flake an incipient failure. An example
	// of a rule's shape, no limit for another machine.
	LargeFlake = 1587*micrometre + 500
)

// Other figures of the rule where Criteria gives none.
const (
	// FewPieces is how many small flakes are still few: 10, as in US Army TM
	// 1-1520-238-23, an example.
	FewPieces int64 = 10
	// RunIn is the distance in metres over which new or overhauled parts shed
	// more. Common practice, no source.
	RunIn int64 = 1_000_000
	// ShortRun is the distance in metres since the last oil within which a
	// heavy beard is too much. Common practice, no source.
	ShortRun int64 = 1_000_000
	// Repeats is how often the same look may ask for more before it is enough:
	// 3, so that the fourth time means opening, as in US Army TM
	// 1-1520-238-23, an example.
	Repeats int64 = 3
)

// Criteria are the figures of a maker's manual in place of the examples here; a
// nought keeps the example.
type Criteria struct {
	Large    Nanometres // a flake from this length on is large
	Few      int64      // pieces up to which there are few
	RunIn    int64      // metres
	ShortRun int64      // metres
	Repeats  int64
	Source   string // where they come from
}

// Distance is how far a machine has run since something, in metres.
type Distance struct {
	Known  bool
	Metres int64
}

// Entry is one sort of debris of a sample.
type Entry struct {
	Form     Form
	Material Material // "" is Unknown
	// Length is the longest side; Width and Thickness the others. 0: not
	// measured. Pieces of several sizes: those of the largest.
	Length, Width, Thickness Nanometres
	Count                    int64 // 0: not counted, taken as few unless Share says heavy
	Share                    Share // "" is light
	Attracted                Attraction
	Shine                    Shine
	// Microlitres is the volume of all of it together; 0: not measured.
	Microlitres int64
}

// Sample is what one look found.
type Sample struct {
	Place   Place
	Moment  Moment // in the series after a repair; "" outside one
	Entries []Entry
	Oil     []Oil
	// CleanSide says that it lay behind the filter, on its clean side.
	CleanSide bool
	// SinceChange is the distance since the oil was last changed, SinceOverhaul
	// that since the parts in it were new.
	SinceChange, SinceOverhaul Distance
	// Lab is a laboratory's word on the oil; Elevated are the elements it found
	// too much of, by their symbols.
	Lab      Lab
	Elevated []string
	// DealtWith says of an earlier sample what was done about it: opened up,
	// found, put right. "" leaves it standing.
	DealtWith string
}

// Input is a sample, those before it, and the machine they come from.
type Input struct {
	Compartment Compartment
	Now         Sample
	Earlier     []Sample // the oldest first
	Criteria    Criteria
	// Map is the machine map, if there is one, and At the component or
	// compartment of it that was looked at: they name what can have shed it.
	Map *layout.Compiled
	At  layout.Key
}

func (c Criteria) filled() Criteria {
	set(&c.Large, LargeFlake)
	set(&c.Few, FewPieces)
	set(&c.RunIn, RunIn)
	set(&c.ShortRun, ShortRun)
	set(&c.Repeats, Repeats)
	return c
}

func set[T ~int64](to *T, value T) {
	if *to == 0 {
		*to = value
	}
}
