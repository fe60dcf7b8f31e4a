package shop

import (
	"time"
)

// Fastening: A tightened joint.
type Fastening struct {
	Row
	ID FasteningID `gorm:"primaryKey" json:"id"`
	OfJob
	// Component: Component key or plain name.
	Component string `json:"component"`
	// Joint: Which joint.
	Joint string `json:"joint"`
	// SafetyClass: Critical joints need a second person.
	SafetyClass SafetyClass `json:"safety_class"`
	// HoldPointID: The hold point it must be checked before.
	HoldPointID HoldPointID `gorm:"serializer:ref" json:"hold_point_id"`
	// Target: Torque asked for, from the maker's manual.
	Target Quantity `gorm:"embedded;embeddedPrefix:target_" json:"target"`
	// Stages: Stages and pattern.
	Stages string `json:"stages"`
	// Angle: Angle after the torque.
	Angle string `json:"angle"`
	// JointCondition: Dry, oiled or with locker.
	JointCondition JointCondition `json:"joint_condition"`
	// NewFastener: A new bolt or nut.
	NewFastener NewFastener `json:"new_fastener"`
	// Source: Where the target comes from: document, edition, page.
	Source string `json:"source"`
	// Tool: Wrench used.
	Tool string `json:"tool"`
	// WrenchID: The wrench, where it is one of the shop's gauges.
	WrenchID GaugeID `gorm:"serializer:ref" json:"wrench_id"`
	// Applied: Wrench setting when pulled.
	Applied Quantity `gorm:"embedded;embeddedPrefix:applied_" json:"applied"`
	// DoneBy: Who pulled.
	DoneBy StaffID `gorm:"serializer:ref" json:"done_by"`
	// DoneAt: When.
	DoneAt *time.Time `json:"done_at"`
	// CheckedBy: Who watched.
	CheckedBy StaffID `gorm:"serializer:ref" json:"checked_by"`
	// CheckedAt: When.
	CheckedAt *time.Time `json:"checked_at"`
	// CheckTarget: Target the second person looked up alone.
	CheckTarget Quantity `gorm:"embedded;embeddedPrefix:check_target_" json:"check_target"`
	// CheckSetting: Wrench setting the second person read.
	CheckSetting Quantity `gorm:"embedded;embeddedPrefix:check_setting_" json:"check_setting"`
	// Watched: The pull was watched.
	Watched bool `json:"watched"`
	// Marked: The joint was paint-marked.
	Marked bool `json:"marked"`
	// SelfReinspection: Re-inspected later by the same person in a one-person shop.
	SelfReinspection bool `json:"self_reinspection"`
	// RedoBecause: Why it must be done again.
	RedoBecause string `json:"redo_because"`
	Struck
	Origin
}

// TableName names the table of Fastening.
func (Fastening) TableName() string { return "fastenings" }

// Key gives the row id as text.
func (n Fastening) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Fastening) SetKey(id string) { n.ID = FasteningID(id) }

// HoldPoint: Nothing goes on past it until its joints are checked.
type HoldPoint struct {
	Row
	ID HoldPointID `gorm:"primaryKey" json:"id"`
	OfJob
	// Before: Before what, e.g. before the clutch cover goes on.
	Before string `json:"before"`
	// PassedBy: Who passed it.
	PassedBy StaffID `gorm:"serializer:ref" json:"passed_by"`
	// PassedAt: When.
	PassedAt *time.Time `json:"passed_at"`
	Struck
	Origin
}

// TableName names the table of HoldPoint.
func (HoldPoint) TableName() string { return "hold_points" }

// Key gives the row id as text.
func (n HoldPoint) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *HoldPoint) SetKey(id string) { n.ID = HoldPointID(id) }

// FirstStart: The list before and at the first start after the engine was open.
type FirstStart struct {
	Row
	ID JobID `gorm:"primaryKey" json:"id"`
	OfJob
	// TurnedByHand: Turned by hand two full turns, no hard stop.
	TurnedByHand bool `json:"turned_by_hand"`
	// MarksReread: Timing marks read again.
	MarksReread bool `json:"marks_reread"`
	// NoMarksBecause: Why there are no marks to read.
	NoMarksBecause string `json:"no_marks_because"`
	// OilInAndPrimed: Oil in, and primed.
	OilInAndPrimed bool `json:"oil_in_and_primed"`
	// NoLeaks: No fuel or coolant leak.
	NoLeaks bool `json:"no_leaks"`
	// ToolsOut: Tools and rags out.
	ToolsOut bool `json:"tools_out"`
	// Pressure: Oil pressure by gauge.
	Pressure Quantity `gorm:"embedded;embeddedPrefix:pressure_" json:"pressure"`
	// PressureNotPossible: Why it could not be read.
	PressureNotPossible string `json:"pressure_not_possible"`
	// StartedAt: When it was started.
	StartedAt *time.Time `json:"started_at"`
	Origin
}

// TableName names the table of FirstStart.
func (FirstStart) TableName() string { return "first_starts" }

// Key gives the row id as text.
func (n FirstStart) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *FirstStart) SetKey(id string) { n.ID = JobID(id) }

// RoadTest: Pre-ride checks, the ride or its replacement, and what came of it.
type RoadTest struct {
	Row
	ID RoadTestID `gorm:"primaryKey" json:"id"`
	OfJob
	// Kind: Ride, stand run or rolling road.
	Kind RunKind `json:"kind"`
	// InsteadBecause: Why the ride was replaced.
	InsteadBecause string `json:"instead_because"`
	// Brakes: Brakes.
	Brakes PreRide `json:"brakes"`
	// Wheels: Wheels and axles.
	Wheels PreRide `json:"wheels"`
	// Steering: Steering.
	Steering PreRide `json:"steering"`
	// Throttle: Throttle.
	Throttle PreRide `json:"throttle"`
	// Chain: Chain, belt or shaft.
	Chain PreRide `json:"chain"`
	// Leaks: Leaks.
	Leaks PreRide `json:"leaks"`
	// Lights: Lights.
	Lights PreRide `json:"lights"`
	// CheckedAt: When the checks were made.
	CheckedAt *time.Time `json:"checked_at"`
	// RiderID: Who rides.
	RiderID StaffID `gorm:"serializer:ref" json:"rider_id"`
	// OdometerOut: Odometer going out.
	OdometerOut Quantity `gorm:"embedded;embeddedPrefix:odometer_out_" json:"odometer_out"`
	// OdometerBack: Odometer coming back.
	OdometerBack Quantity `gorm:"embedded;embeddedPrefix:odometer_back_" json:"odometer_back"`
	// Outcome: What came of it.
	Outcome RideOutcome `json:"outcome"`
	// FaultFindingID: The finding its fault is, as disclosed.
	FaultFindingID FindingID `gorm:"serializer:ref" json:"fault_finding_id"`
	// Note: Remark.
	Note string `json:"note"`
	Struck
	Origin
}

// TableName names the table of RoadTest.
func (RoadTest) TableName() string { return "road_tests" }

// Key gives the row id as text.
func (n RoadTest) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *RoadTest) SetKey(id string) { n.ID = RoadTestID(id) }

// DebrisCheck: What was on the plug, in the filter, in the oil after the work.
type DebrisCheck struct {
	Row
	ID DebrisCheckID `gorm:"primaryKey" json:"id"`
	OfJob
	// Moment: After what.
	Moment DebrisMoment `json:"moment"`
	// Sampled: Where it was looked for.
	Sampled DebrisSample `json:"sampled"`
	// Amount: How much.
	Amount DebrisAmount `json:"amount"`
	// CoarseNew: Something coarse and new.
	CoarseNew bool `json:"coarse_new"`
	// Falling: Less than the time before.
	Falling bool `json:"falling"`
	// NextOn: Day of the next check.
	NextOn Date `json:"next_on"`
	// NextDistance: Or the distance.
	NextDistance string `json:"next_distance"`
	// Note: Remark.
	Note string `json:"note"`
	// Entries: What was found, sort by sort.
	Entries []DebrisEntry `gorm:"serializer:json" json:"entries"`
	// Verdict: What the engine says of them; empty where none were given.
	Verdict string `json:"verdict"`
	// Asks: What the verdict asks for next.
	Asks []string `gorm:"serializer:json" json:"asks"`
	Struck
	Origin
}

// TableName names the table of DebrisCheck.
func (DebrisCheck) TableName() string { return "debris_checks" }

// Key gives the row id as text.
func (n DebrisCheck) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *DebrisCheck) SetKey(id string) { n.ID = DebrisCheckID(id) }
