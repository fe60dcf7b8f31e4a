// Package layout holds machine maps and limit sheets: what a kind of machine
// is made of, and the figures that go with it.
//
// A map is structure: components, circuits, access steps, joints, measured
// points, looks. A limit sheet is figures: limits and torques with where they
// come from, matched to a map and to make, model and years. Both are documents
// with a revision; a work order keeps the ones it was opened with.
//
// The package decides whether a document can be relied on, and finds things
// in it. It does not decide what a figure means for a part; that is grade's.
package layout

import "benchtag/internal/measure"

// The formats this package reads.
const (
	MapFormat   = "benchtag-map/1"
	SheetFormat = "benchtag-limits/1"
)

// Key names a thing inside a document: lower-case letters, digits and
// underscores, beginning with a letter, at most 64 of them. A key is never used
// again for something else.
type Key string

// Map is a machine map.
type Map struct {
	Format   string `json:"format"` // MapFormat
	Code     Key    `json:"code"`
	Revision int64  `json:"revision"` // 1 and up
	Title    string `json:"title"`
	// Example says that times and the like are invented; Notice says so in
	// words and is shown wherever the map is.
	Example bool   `json:"example"`
	Notice  string `json:"notice"`

	Assemblies   []Assembly    `json:"assemblies"`
	Compartments []Compartment `json:"compartments"`
	Components   []Component   `json:"components"`
	Groups       []Group       `json:"groups"`
	Circuits     []Circuit     `json:"circuits"`
	Steps        []Step        `json:"steps"`
	Fastenings   []Fastening   `json:"fastenings"`
	Points       []Point       `json:"points"`
	Looks        []Look        `json:"looks"`
}

// Assembly is what components belong to, as a parts book would divide a
// machine.
type Assembly struct {
	Key  Key    `json:"key"`
	Name string `json:"name"`
}

// Compartment is a room of the machine in which debris and oil move freely:
// a sump, a chain tunnel, a primary case. It is a node of the circuits.
type Compartment struct {
	Key  Key    `json:"key"`
	Name string `json:"name"`
	// Medium is what is in it.
	Medium Medium `json:"medium"`
	// Grinds says that teeth or chains in it break coarse pieces up, so that
	// coarse debris in it makes fines as well.
	Grinds bool `json:"grinds,omitempty"`
}

// Component is one part, or a few that are one to the mechanic. It is a node
// of the circuits.
type Component struct {
	Key      Key    `json:"key"`
	Name     string `json:"name"` // as the trade calls it
	Assembly Key    `json:"assembly"`
	// Kind is what sort of part it is, in a word that maps share
	// ("timing_chain", "main_bearing"); symptoms and causes go by it.
	Kind     Key      `json:"kind"`
	Position Position `json:"position"`
	// Safety says what a failure can do to people; it has no default.
	Safety Safety `json:"safety"`
	// Material is what it sheds when it wears.
	Material Material `json:"material,omitempty"`
	// In names the compartment whose oil splashes it and into which it
	// sheds; "" for a part outside all of them.
	In Key `json:"in,omitempty"`
	// Sealed says that splash does not get into it (a sealed bearing).
	Sealed bool `json:"sealed,omitempty"`
	// Barrier says what it keeps back, for a screen, filter or magnet.
	Barrier *Barrier `json:"barrier,omitempty"`
	// Gathers names what it collects: a rotor's magnets gather steel.
	Gathers []Material `json:"gathers,omitempty"`
	// Look and Renew are the ways to see it and to change it: each way is a
	// list of steps that together suffice; several ways are alternatives. No
	// way at all: it is in plain sight. RenewMinutes is the work at the part
	// itself, once it is reached.
	Look         [][]Key `json:"look"`
	Renew        [][]Key `json:"renew"`
	RenewMinutes int64   `json:"renew_minutes"`
	// Parts names what is fitted new when it is renewed, besides itself.
	Parts []NewPart `json:"parts,omitempty"`
}

// Position says where a component is. Empty members do not apply.
type Position struct {
	Cylinder int64  `json:"cylinder,omitempty"` // 1 is the front or the left one
	Side     Side   `json:"side,omitempty"`
	Valve    Valve  `json:"valve,omitempty"`
	Words    string `json:"words,omitempty"` // where nothing else says it
}

// Side is where on the machine, seen by the rider.
type Side string

// The sides.
const (
	SideLeft   Side = "left"
	SideRight  Side = "right"
	SideFront  Side = "front"
	SideRear   Side = "rear"
	SideCentre Side = "centre"
)

// Valve is the inlet or the exhaust side.
type Valve string

// The valve sides.
const (
	Inlet   Valve = "inlet"
	Exhaust Valve = "exhaust"
)

// Safety is what a failure of a part or joint can do to people.
type Safety string

// The safety classes.
const (
	Critical Safety = "critical" // may hurt someone: brakes, steering, wheels, and what locks a wheel
	Major    Safety = "major"    // stops the machine or ruins it
	Ordinary Safety = "ordinary"
)

// Medium is what fills a compartment or runs in a circuit.
type Medium string

// The media.
const (
	Oil     Medium = "oil"
	Mixture Medium = "mixture" // petrol, air and oil through a two-stroke's crankcase
	Fuel    Medium = "fuel"
	Coolant Medium = "coolant"
	Air     Medium = "air"
	Dry     Medium = "dry"
)

// Material is what debris is made of.
type Material string

// The materials.
const (
	Steel     Material = "steel"
	CastIron  Material = "cast_iron"
	Aluminium Material = "aluminium"
	Bronze    Material = "bronze"
	Plastic   Material = "plastic"
	Rubber    Material = "rubber"
	Fibre     Material = "fibre" // friction lining, gasket, paper
)

// Barrier is what keeps debris back on its way through a component.
type Barrier struct {
	Kind BarrierKind `json:"kind"`
	// RatingUM is the width in micrometres from which pieces are kept back;
	// needed for screen and filter.
	RatingUM int64 `json:"rating_um,omitempty"`
	// Bypass says that a valve can lead past it.
	Bypass bool `json:"bypass,omitempty"`
	// FullFlow says that all of the circuit goes through it.
	FullFlow bool `json:"full_flow,omitempty"`
}

// BarrierKind is the sort of a barrier.
type BarrierKind string

// The kinds of barrier.
const (
	Screen BarrierKind = "screen" // open mesh; keeps back coarse pieces by their width
	Filter BarrierKind = "filter" // an element
	Magnet BarrierKind = "magnet" // samples steel that passes; holds nothing back for certain
)

// Group is components that are looked at or written down together.
type Group struct {
	Key     Key    `json:"key"`
	Name    string `json:"name"`
	Members []Key  `json:"members"` // components
}

// Circuit is one system of passages.
type Circuit struct {
	Key      Key       `json:"key"`
	Name     string    `json:"name"`
	Medium   Medium    `json:"medium"`
	Passages []Passage `json:"passages"`
}

// Passage leads debris from one node (component or compartment) to another,
// in the direction of flow.
type Passage struct {
	From Key         `json:"from"`
	To   Key         `json:"to"`
	How  PassageKind `json:"how"`
	// OpeningUM is the greatest width that gets through, in micrometres; 0
	// where nothing in the passage itself holds a piece back.
	OpeningUM int64 `json:"opening_um,omitempty"`
	// ShutBy names the component that keeps the passage shut while it is
	// sound: a crank seal, a gasket.
	ShutBy Key `json:"shut_by,omitempty"`
	// Bypasses names the barrier that this passage leads past when its
	// bypass opens.
	Bypasses Key `json:"bypasses,omitempty"`
}

// PassageKind is how debris moves along a passage.
type PassageKind string

// The kinds of passage.
const (
	Suction  PassageKind = "suction"  // to a pump
	Pressure PassageKind = "pressure" // from a pump
	Drain    PassageKind = "drain"    // runs back by its weight
	Splash   PassageKind = "splash"   // thrown about
	Opening  PassageKind = "opening"  // an open hole between two compartments
	Breather PassageKind = "breather"
	Gas      PassageKind = "gas" // carried by mixture or exhaust
)

// Step is one piece of opening up, with its closing.
type Step struct {
	Key  Key    `json:"key"`
	Name string `json:"name"`
	// Minutes open up; MinutesBack close again.
	Minutes     int64 `json:"minutes"`
	MinutesBack int64 `json:"minutes_back"`
	// Needs are steps that come first: each entry is a list of alternatives,
	// of which one must be done. [["a"],["b","c"]] is a, and b or c.
	Needs [][]Key `json:"needs"`
	// BackAfter are steps whose closing comes before this one's closing,
	// where they are part of the plan.
	BackAfter []Key `json:"back_after"`
	// TakesOff are the components that come off with it.
	TakesOff []Key `json:"takes_off,omitempty"`
	// Destroys are parts that cannot be used again.
	Destroys []NewPart `json:"destroys,omitempty"`
	// Tools are special tools; ordinary ones are not named.
	Tools []string `json:"tools,omitempty"`
	// Caution is shown before the step.
	Caution string `json:"caution,omitempty"`
}

// NewPart is a part to fit new, by name.
type NewPart struct {
	Name     string `json:"name"`
	Quantity int64  `json:"quantity"`
}

// Fastening is a tightened joint.
type Fastening struct {
	Key       Key    `json:"key"`
	Name      string `json:"name"` // "Cam cap bolts, 8"
	Component Key    `json:"component"`
	// Step is the one whose closing tightens it; "" where it is tightened
	// when the component is renewed.
	Step   Key    `json:"step,omitempty"`
	Safety Safety `json:"safety"`
	// Pattern says in which order the bolts are drawn, in words.
	Pattern string `json:"pattern,omitempty"`
	// Condition is dry, oiled or with locker.
	Condition Condition `json:"condition"`
	// NewBolt says that it is used once.
	NewBolt bool `json:"new_bolt,omitempty"`
	// HoldBefore is the step whose closing must wait until this joint is
	// checked ("before this cover goes on"); "" for none.
	HoldBefore Key `json:"hold_before,omitempty"`
}

// Condition is the state of a thread.
type Condition string

// The conditions of a thread.
const (
	DryThread    Condition = "dry"
	OiledThread  Condition = "oiled"
	LockerThread Condition = "locker"
)

// Point is a measured point of a component.
type Point struct {
	Key       Key    `json:"key"`
	Component Key    `json:"component"`
	Name      string `json:"name"`
	// Derive is the formula of package measure that makes the value.
	Derive string `json:"derive"`
	// With holds fixed numbers and quantities the formula needs, by name,
	// as text: {"pitches":"20","pitch":"9.525 mm"}.
	With map[string]string `json:"with,omitempty"`
	// Unit is the unit of the value.
	Unit measure.Unit `json:"unit"`
	// Gauge says what to measure with, in words.
	Gauge string `json:"gauge"`
	// How says how to hold and where to put it.
	How string `json:"how"`
	// Destructive or doubtful ways are indicative only.
	Indicative bool `json:"indicative,omitempty"`
}

// Look is a way to see where debris has got to without opening all of it.
type Look struct {
	Key     Key    `json:"key"`
	Name    string `json:"name"`
	Minutes int64  `json:"minutes"`
	// Needs is the steps it takes first; each entry is a list of
	// alternatives.
	Needs [][]Key `json:"needs"`
	// At are the nodes it sees.
	At []Key `json:"at"`
	// Speaks are the components about which it tells something though it
	// does not see them, with how much of the doubt it takes away.
	Speaks []Speaks `json:"speaks,omitempty"`
	How    string   `json:"how"`
	// Caution is shown before it.
	Caution string `json:"caution,omitempty"`
}

// Speaks says how much doubt about a component a look takes away when it finds
// nothing.
type Speaks struct {
	Component Key `json:"component"`
	// Percent is of the doubt there was, 1 to 99: only a look at the part
	// itself takes all of it.
	Percent int64 `json:"percent"`
}
