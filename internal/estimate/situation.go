package estimate

import (
	"cmp"
	"slices"
	"strconv"

	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// MaxSituation bounds each list of a situation. Common practice, no source:
// far above what one machine gives. MaxMinutes bounds each time in it.
const (
	MaxSituation = 500
	MaxMinutes   = 1_000_000
)

// Situation is what a teardown has shown, in plain numbers: what was found,
// what was not seen, and what the work on each would take.
type Situation struct {
	Findings []Found  `json:"findings"`
	Unseen   []Unseen `json:"unseen,omitempty"`
	// Repairs and Parts are what putting right takes; Looks are looks further.
	Repairs []Repair `json:"repairs,omitempty"`
	Parts   []Wanted `json:"parts,omitempty"`
	Looks   []Look   `json:"looks,omitempty"`
	// Steps are opening and closing, each counted once however many need it.
	Steps []Step `json:"steps,omitempty"`
	Rates Rates  `json:"rates"`
}

// Found is one finding.
type Found struct {
	ID        string `json:"id"` // unique among findings and unseen components
	Component string `json:"component"`
	Name      string `json:"name,omitempty"` // as the trade calls it; the component stands in
	// Grade is the effective condition, 0 (as new) to 4 (failed); nil for none.
	Grade      *int64       `json:"grade,omitempty"`
	Advised    shop.Advised `json:"advised,omitempty"`
	SafeToRide shop.YesNo   `json:"safe_to_ride,omitempty"` // "" is not known
	FirstCause bool         `json:"first_cause,omitempty"`
	CausedBy   string       `json:"caused_by,omitempty"` // the finding that caused it
}

// UnseenState says why nobody knows a component's condition.
type UnseenState string

// The states.
const (
	Exposed     UnseenState = "exposed"       // loose debris may have reached it
	NotLookedAt UnseenState = "not_looked_at" // nobody looked, for a reason on record
)

// UnseenStates lists every state.
func UnseenStates() []UnseenState { return []UnseenState{Exposed, NotLookedAt} }

// Unseen is a component whose condition nobody knows.
type Unseen struct {
	Component string      `json:"component"`
	Name      string      `json:"name,omitempty"`
	State     UnseenState `json:"state"`
}

// Repair is the own bench time of putting one thing right, without opening
// and closing. For an unseen component it is possible, and nothing else.
type Repair struct {
	For       string    `json:"for"` // a finding's id or an unseen component
	Minutes   int64     `json:"minutes"`
	Certainty Certainty `json:"certainty,omitempty"` // certain if left out
}

// Wanted is a part, consumable, outside work or fee that a repair takes.
type Wanted struct {
	For       string    `json:"for"`
	Name      string    `json:"name"`
	Kind      LineKind  `json:"kind,omitempty"`           // part if left out; not labour
	Milli     int64     `json:"quantity_milli,omitempty"` // thousandths; one if left out
	Price     *Price    `json:"unit_price_minor,omitempty"`
	Certainty Certainty `json:"certainty,omitempty"`
	Ceiling   Price     `json:"ceiling_minor,omitempty"`
}

// Price is an amount in minor units of the document's currency.
type Price = money.Amount

// Look is the own bench time of looking at something further.
type Look struct {
	For     string `json:"for"`
	Minutes int64  `json:"minutes"`
}

// Step is one step of opening up.
type Step struct {
	Key     string `json:"key"`
	Name    string `json:"name,omitempty"`
	Minutes int64  `json:"minutes"`      // to open
	Back    int64  `json:"minutes_back"` // to close
	// NeededBy lists the findings and unseen components that need it.
	NeededBy []string `json:"needed_by,omitempty"`
	// Done says that it is open now: it only has to be closed, in every way
	// forward that leaves the machine whole.
	Done bool `json:"done,omitempty"`
	// Destroys lists what it uses up: gaskets, seals, washers.
	Destroys []UsedOnce `json:"destroys,omitempty"`
}

// UsedOnce is a part that opening destroys.
type UsedOnce struct {
	Name  string `json:"name"`
	Milli int64  `json:"quantity_milli,omitempty"` // thousandths; one if left out
	Price *Price `json:"unit_price_minor,omitempty"`
}

// Rates price the proposal.
type Rates struct {
	Labour    Price  `json:"labour_minor"` // an hour
	LabourTax string `json:"labour_tax"`   // tax category of bench time
	PartsTax  string `json:"parts_tax"`    // tax category of everything else
}

func (f Found) name() string  { return cmp.Or(f.Name, f.Component, f.ID) }
func (u Unseen) name() string { return cmp.Or(u.Name, u.Component) }
func (s Step) name() string   { return cmp.Or(s.Name, s.Key) }

// repairable reports whether the advice asks for work on it.
func (f Found) repairable() bool {
	switch f.Advised {
	case shop.AdvisedCleanAndReuse, shop.AdvisedAdjust, shop.AdvisedRework, shop.AdvisedSendOut, shop.AdvisedReplace:
		return true
	}
	return false
}

// check refuses what cannot be meant and gives everything that can be worked
// on, by id.
func (s Situation) check() (map[string]thing, error) {
	for _, l := range []struct {
		at string
		n  int
	}{{"findings", len(s.Findings)}, {"unseen", len(s.Unseen)}, {"repairs", len(s.Repairs)}, {"parts", len(s.Parts)}, {"looks", len(s.Looks)}, {"steps", len(s.Steps)}} {
		if l.n > MaxSituation {
			return nil, fault.Invalid("estimate.situation_too_large", "/"+l.at, "Give at most "+strconv.Itoa(MaxSituation)+" of them.")
		}
	}
	known, err := s.things()
	if err != nil {
		return nil, err
	}
	for _, check := range []func(map[string]thing) error{s.checkCauses, s.checkRepairs, s.checkParts, s.checkSteps} {
		if err := check(known); err != nil {
			return nil, err
		}
	}
	return known, nil
}

// thing is what an id stands for: a finding or an unseen component.
type thing struct {
	name   string
	unseen bool
}

// things lists everything that can be worked on, by id.
func (s Situation) things() (map[string]thing, error) {
	known := make(map[string]thing, len(s.Findings)+len(s.Unseen))
	for i, f := range s.Findings {
		where := "/findings/" + strconv.Itoa(i)
		if _, twice := known[f.ID]; twice || f.ID == "" {
			return nil, fault.Invalid("estimate.finding_id_invalid", where+"/id", "Give every finding an id of its own.")
		}
		if err := f.check(where); err != nil {
			return nil, err
		}
		known[f.ID] = thing{f.name(), false}
	}
	for i, u := range s.Unseen {
		where := "/unseen/" + strconv.Itoa(i)
		if _, twice := known[u.Component]; twice || u.Component == "" {
			return nil, fault.Invalid("estimate.unseen_invalid", where+"/component", "Name each component once, and not like a finding.")
		}
		if !slices.Contains(UnseenStates(), u.State) {
			return nil, fault.Invalid("estimate.unseen_invalid", where+"/state", "Say exposed or not_looked_at.")
		}
		known[u.Component] = thing{u.name(), true}
	}
	return known, nil
}

// check refuses words outside their lists and a grade off the scale.
func (f Found) check(where string) error {
	switch {
	case f.Grade != nil && (*f.Grade < 0 || *f.Grade > 4):
		return fault.Invalid("estimate.grade_invalid", where+"/grade", "Give a grade from 0 (as new) to 4 (failed), or leave it out.")
	case !slices.Contains(shop.AdvisedValues(), f.Advised):
		return fault.Invalid("estimate.advice_unknown", where+"/advised", "Name what to do with it, as on a finding.")
	case f.SafeToRide != "" && !slices.Contains(shop.YesNoValues(), f.SafeToRide):
		return fault.Invalid("estimate.safe_unknown", where+"/safe_to_ride", "Say yes, no or not_known.")
	}
	return nil
}

// checkCauses refuses a cause that is no finding, and causes in a circle.
func (s Situation) checkCauses(map[string]thing) error {
	cause := make(map[string]string, len(s.Findings))
	for _, f := range s.Findings {
		cause[f.ID] = f.CausedBy
	}
	for i, f := range s.Findings {
		where := "/findings/" + strconv.Itoa(i) + "/caused_by"
		if _, known := cause[f.CausedBy]; f.CausedBy != "" && !known {
			return fault.Invalid("estimate.cause_unknown", where, "Name a finding of the list.")
		}
		at := f.CausedBy
		for range s.Findings {
			if at == f.ID {
				return fault.Invalid("estimate.cause_in_circle", where, "A finding cannot cause itself, by whatever detour.")
			}
			at = cause[at]
		}
	}
	return nil
}

func (s Situation) checkRepairs(known map[string]thing) error {
	for i, r := range s.Repairs {
		where := "/repairs/" + strconv.Itoa(i)
		if err := checkFor(known, where, r.For, r.Certainty); err != nil {
			return err
		}
		if outside(r.Minutes) {
			return negative(where + "/minutes")
		}
	}
	for i, l := range s.Looks {
		where := "/looks/" + strconv.Itoa(i)
		if err := checkFor(known, where, l.For, ""); err != nil {
			return err
		}
		if outside(l.Minutes) {
			return negative(where + "/minutes")
		}
	}
	return nil
}

func (s Situation) checkParts(known map[string]thing) error {
	for i, p := range s.Parts {
		where := "/parts/" + strconv.Itoa(i)
		if err := checkFor(known, where, p.For, p.Certainty); err != nil {
			return err
		}
		if p.Kind == Labour || p.Kind != "" && !slices.Contains(LineKinds(), p.Kind) {
			return fault.Invalid("estimate.kind_unknown", where+"/kind", "Name the kind: part, consumable, sublet or fee.")
		}
		if p.Milli < 0 || p.Ceiling < 0 || p.Price != nil && *p.Price < 0 {
			return negative(where)
		}
	}
	return nil
}

// checkFor refuses work on nothing, and certainty about what nobody has seen.
func checkFor(known map[string]thing, where string, id string, c Certainty) error {
	on, there := known[id]
	switch {
	case !there:
		return fault.Invalid("estimate.for_unknown", where+"/for", "Name a finding's id or an unseen component of the lists.")
	case c != "" && !slices.Contains(Certainties(), c):
		return fault.Invalid("estimate.certainty_unknown", where+"/certainty", "Say whether it is certain or possible.")
	case on.unseen && c == Certain:
		return fault.Invalid("estimate.unseen_certain", where+"/certainty", "Nobody has seen this component; work on it can only be possible.")
	}
	return nil
}

func (s Situation) checkSteps(known map[string]thing) error {
	seen := map[string]bool{}
	for i, step := range s.Steps {
		where := "/steps/" + strconv.Itoa(i)
		if step.Key == "" || seen[step.Key] {
			return fault.Invalid("estimate.step_key_invalid", where+"/key", "Give every step a key of its own.")
		}
		seen[step.Key] = true
		if outside(step.Minutes) || outside(step.Back) {
			return negative(where)
		}
		for n, id := range step.NeededBy {
			if _, there := known[id]; !there {
				return fault.Invalid("estimate.for_unknown", where+"/needed_by/"+strconv.Itoa(n), "Name a finding's id or an unseen component of the lists.")
			}
		}
		for n, d := range step.Destroys {
			if d.Milli < 0 || d.Price != nil && *d.Price < 0 {
				return negative(where + "/destroys/" + strconv.Itoa(n))
			}
		}
	}
	return nil
}

// outside reports whether minutes are out of range.
func outside(minutes int64) bool { return minutes < 0 || minutes > MaxMinutes }

func negative(where string) error {
	return fault.Invalid("estimate.line_negative", where, "Give zero or more, minutes up to a million; a reduction is not a line.")
}
