// Package spread follows loose debris through a machine: from what sheds it,
// along the passages of the machine map, to every part it can have reached.
//
// It decides which components are confirmed, exposed, held back, cleared or out
// of reach, by which path, and which look would tell most for its minutes. It
// does not decide whether a part is still good: that is grade's; and an exposed
// part is not a damaged one.
//
// The rules are common practice, no source, unless said otherwise: a coarse
// piece passes what its width fits through (a sliver goes through end on),
// fines pass everything, a filter holds back only what it is known to have
// held, and only looking at a part clears it.
package spread

import "benchtag/internal/layout"

// Size is how coarse debris is.
type Size string

// The sizes.
const (
	Coarse Size = "coarse" // pieces one can pick up
	Fines  Size = "fines"  // what oil carries anywhere
)

// Sizes lists them all.
func Sizes() []Size { return []Size{Coarse, Fines} }

// Found is what lay at a place.
type Found string

// What can lie at a place.
const (
	FoundCoarse Found = "coarse"
	FoundFines  Found = "fines"
	FoundClean  Found = "clean"
)

// Founds lists them all.
func Founds() []Found { return []Found{FoundCoarse, FoundFines, FoundClean} }

// Bypass says whether a filter's bypass stayed shut.
type Bypass string

// How a bypass can stand.
const (
	BypassSound    Bypass = "sound"
	BypassOpened   Bypass = "opened"
	BypassNotKnown Bypass = "not_known"
)

// Bypasses lists them all.
func Bypasses() []Bypass { return []Bypass{BypassSound, BypassOpened, BypassNotKnown} }

// YesNo is an answer to a question.
type YesNo string

// The answers.
const (
	Yes      YesNo = "yes"
	No       YesNo = "no"
	NotKnown YesNo = "not_known"
)

// YesNos lists them all.
func YesNos() []YesNo { return []YesNo{Yes, No, NotKnown} }

// Input is what is known.
type Input struct {
	Shed     []Shed    `json:"shed"`
	Seen     []Seen    `json:"seen"`
	Barriers []Barrier `json:"barriers"`
	// Leaking are components that no longer keep shut what they should.
	Leaking []layout.Key `json:"leaking"`
	// StepsDone are the steps of the map that are open now; they cost a look
	// nothing.
	StepsDone []layout.Key `json:"steps_done"`
	LooksDone []LookDone   `json:"looks_done"`
}

// Shed is debris that came off a component, or off each of a group.
type Shed struct {
	From     layout.Key      `json:"from"`
	Material layout.Material `json:"material"`
	Size     Size            `json:"size"`
	// WidthUM is the narrow side of the largest piece in micrometres; 0: not
	// known, so that it may have passed anything.
	WidthUM int64 `json:"width_um,omitempty"`
}

// Seen is what lay at a component, compartment or group that was looked at.
type Seen struct {
	At       layout.Key        `json:"at"`
	Found    Found             `json:"found"`
	Material []layout.Material `json:"materials,omitempty"` // none: as shed
	WidthUM  int64             `json:"width_um,omitempty"`
	// How says in words what was seen; it goes into the reason.
	How string `json:"how,omitempty"`
	// Sampler says that it only samples what comes past, as a drain plug does:
	// what lay on it is in its compartment, and clean it clears nothing but
	// itself. A magnet of the map is one without being called so.
	Sampler bool `json:"sampler,omitempty"`
}

// Barrier is what is known of a filter or screen.
type Barrier struct {
	At layout.Key `json:"at"`
	// InThroughout: whether the element was in all the time; empty: not known.
	InThroughout YesNo `json:"in_throughout,omitempty"`
	// Bypass: empty is not known.
	Bypass           Bypass `json:"bypass,omitempty"`
	MetalOnCleanSide bool   `json:"metal_on_clean_side,omitempty"`
	CrushedPleats    bool   `json:"crushed_pleats,omitempty"`
}

// LookDone is a look of the map that was taken.
type LookDone struct {
	Look  layout.Key `json:"look"`
	Found Found      `json:"found"`
}

// State is how a component stands.
type State string

// The states, the worst first.
const (
	Confirmed     State = "confirmed"      // debris came off it or lay at it
	ExposedCoarse State = "exposed_coarse" // coarse pieces can have come to it
	ExposedFines  State = "exposed_fines"  // fines can
	HeldBack      State = "held_back"      // only what a barrier or a narrow opening kept away could
	Cleared       State = "cleared"        // looked at and clean
	OutOfReach    State = "out_of_reach"   // no way leads to it
)

// States lists them all.
func States() []State {
	return []State{Confirmed, ExposedCoarse, ExposedFines, HeldBack, Cleared, OutOfReach}
}

// Result is how every component stands, and what to look at next.
type Result struct {
	Components []Component `json:"components"` // in the order of the map
	Totals     []Total     `json:"totals"`     // in the order of States
	Next       []Next      `json:"next"`       // the look that tells most for its minutes first
	Warnings   []string    `json:"warnings"`
}

// Total counts the components of a state.
type Total struct {
	State State `json:"state"`
	Count int64 `json:"count"`
}

// Component is how one component stands.
type Component struct {
	Component layout.Key        `json:"component"`
	Name      string            `json:"name"`
	State     State             `json:"state"`
	Materials []layout.Material `json:"materials"` // that can have come to it
	// Path is the way of the worst that can have come to it, from where it
	// was shed; Sentence says it in words.
	Path     []layout.Key `json:"path"`
	Sentence string       `json:"sentence"`
	Reasons  []string     `json:"reasons"`
	// Doubt is what is left of it, in percent with up to four places: 100
	// until something speaks about the part, 0 only when it was looked at.
	Doubt string `json:"doubt_percent"`
	// ClearedBy says what would clear it; "" where nothing needs to.
	ClearedBy string `json:"cleared_by"`

	doubt ppm
}

// Next is a look that has not been taken.
type Next struct {
	Look    layout.Key   `json:"look"`
	Name    string       `json:"name"`
	Minutes int64        `json:"minutes"` // with the opening and closing it needs
	Steps   []layout.Key `json:"steps"`   // of the map, not open yet
	Caution string       `json:"caution"`
	How     string       `json:"how"`
	// Sees are exposed components that it would show; Lowers are those of
	// which it would take a part of the doubt if it finds nothing.
	Sees   []layout.Key `json:"sees"`
	Lowers []Lowered    `json:"lowers"`
	// Weight is the doubt it takes, coarse counted twice, in parts of one
	// component wholly in doubt; PerHour is that for an hour of work.
	Weight  string `json:"weight"`
	PerHour string `json:"per_hour"`

	weight ppm
}

// Lowered is how far a look would lower the doubt about a component.
type Lowered struct {
	Component layout.Key `json:"component"`
	From      string     `json:"from_percent"`
	To        string     `json:"to_percent"`
}
