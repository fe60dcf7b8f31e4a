// Package access plans how to get at parts of a machine: which steps of the
// machine map open it up, each once, in which order, what they cost in
// minutes and destroy, how it goes back together, and which target the
// minutes belong to.
//
// It decides which set of steps takes the least time. It does not decide what
// a minute costs, whether anybody agreed to it, or whether a joint was drawn
// as it should be; and the minutes are the map's, which defers to the maker's
// manual.
package access

import "benchtag/internal/layout"

// Do is what is to be done at a target.
type Do string

// What can be done at a target.
const (
	Look  Do = "look"  // see it
	Renew Do = "renew" // change it
)

// Dos lists them all.
func Dos() []Do { return []Do{Look, Renew} }

// Target is a component to get at, or a named group of them, which stands
// for each of its members.
type Target struct {
	Component layout.Key `json:"component"`
	Do        Do         `json:"do"`
}

// Request is what to plan.
type Request struct {
	Targets []Target `json:"targets"`
	// Done are the steps that are open now. They cost nothing more, and what
	// they need is taken as done.
	Done []layout.Key `json:"done"`
	// NotPossible are the steps that cannot be done: a stud that sheared, a
	// puller that is not there.
	NotPossible []layout.Key `json:"not_possible"`
	// Sheet has the torques; nil for none. It must be for the map.
	Sheet *layout.Sheet `json:"sheet,omitempty"`
}

// Result is a plan.
type Result struct {
	// Proven says that no set of steps takes less time. Where the search was
	// cut short it is the best one found.
	Proven  bool      `json:"proven"`
	Minutes Minutes   `json:"minutes"`
	Opening []Opening `json:"opening"` // in order
	Closing []Closing `json:"closing"` // in order, steps done before included
	Targets []Share   `json:"targets"` // in the order of the map
	Lines   []Line    `json:"lines"`
	// AtParts are the joints drawn when a component is renewed.
	AtParts []Joint `json:"at_parts"`
	// HoldsLeft are the hold points whose cover is no step of the plan: to
	// be checked before the machine is handed over.
	HoldsLeft []Hold `json:"holds_left"`
	// Destroyed are the parts the opening destroys, added up by name, without
	// those of steps done before.
	Destroyed []layout.NewPart `json:"destroyed"`
	Tools     []string         `json:"tools"` // special ones
	Warnings  []string         `json:"warnings"`
}

// Minutes are the sums of a plan, in minutes.
type Minutes struct {
	Open  int64 `json:"open"`
	Parts int64 `json:"parts"` // work at the targets themselves
	Back  int64 `json:"back"`  // without the steps done before
	Total int64 `json:"total"` // open, parts and back
	// BackOfDone is the closing of the steps done before, which the total
	// leaves out: it belongs to the plan that opened them.
	BackOfDone int64 `json:"back_of_done"`
}

// Opening is a step of opening up.
type Opening struct {
	Step    layout.Key `json:"step"`
	Name    string     `json:"name"`
	Caution string     `json:"caution"` // to be read before the step; "" for none
	Minutes int64      `json:"minutes"` // to open
	Back    int64      `json:"minutes_back"`
	Tools   []string   `json:"tools"`
	// Destroys are the parts that cannot be used again.
	Destroys []layout.NewPart `json:"destroys"`
	// NeededBy are the targets that need it, as positions in Targets.
	NeededBy []int64 `json:"needed_by"`
}

// Closing is a step of putting back together.
type Closing struct {
	// Holds are what must be checked before this step begins.
	Holds      []Hold     `json:"holds"`
	Step       layout.Key `json:"step"`
	Name       string     `json:"name"`
	Minutes    int64      `json:"minutes"`
	DoneBefore bool       `json:"done_before"` // opened before this plan; not counted
	Joints     []Joint    `json:"joints"`
}

// Joint is a fastening as it is to be drawn.
type Joint struct {
	Fastening layout.Key       `json:"fastening"`
	Name      string           `json:"name"`
	Component layout.Key       `json:"component"`
	Safety    layout.Safety    `json:"safety"`
	Condition layout.Condition `json:"condition"`
	Pattern   string           `json:"pattern"`
	NewBolt   bool             `json:"new_bolt"`
	// Stages are the pulls in order; none where there is no data, and then
	// NoData says where to look.
	Stages []layout.Stage `json:"stages"`
	Source *layout.Source `json:"source,omitempty"` // of the stages
	NoData string         `json:"no_data"`
}

// Hold is a joint to be checked before something covers it.
type Hold struct {
	Fastening layout.Key    `json:"fastening"`
	Name      string        `json:"name"`
	Safety    layout.Safety `json:"safety"`
	Before    layout.Key    `json:"before"` // the step that would cover it
	Words     string        `json:"words"`
}

// Share is what one target has to do with the plan.
type Share struct {
	Target
	Name  string       `json:"name"`
	Needs []layout.Key `json:"needs"` // its steps in this plan, in opening order
	// Minutes is the work at the part itself.
	Minutes int64 `json:"minutes"`
	// Opening is its part of the opening up and closing (Shapley 1953, on
	// the chosen plan: each step divided equally between those that need it).
	Opening Thousandths `json:"opening"`
	// Alone is what opening up and closing would take for it alone, in minutes.
	Alone int64 `json:"alone"`
	// Ways are the ways the map gives, for comparing; none for plain sight.
	Ways  []Way            `json:"ways"`
	Parts []layout.NewPart `json:"parts"` // fitted new with it, besides itself
}

// Way is one way to a target.
type Way struct {
	Steps    []layout.Key `json:"steps"` // as the map names them, without what they need
	Possible bool         `json:"possible"`
	// Alone is what opening up and closing would take this way for this
	// target alone, in minutes; 0 where it is not possible.
	Alone int64 `json:"alone"`
	Taken bool  `json:"taken"` // all its steps are in the target's needs, or done before
}

// Line is a line of labour for an estimate.
type Line struct {
	Words   string     `json:"words"`
	Target  layout.Key `json:"target"` // "" for the opening up and closing
	Do      Do         `json:"do"`     // "" for the opening up and closing
	Minutes int64      `json:"minutes"`
}
