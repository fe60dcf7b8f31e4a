package shop

import (
	"time"
)

// Fastening: A tightened joint.
type Fastening struct {
	Row
	ID FasteningID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Component: Component key or plain name.
	Component string
	// Joint: Which joint.
	Joint string
	// SafetyClass: Critical joints need a second person.
	SafetyClass SafetyClass
	// HoldPointID: The hold point it must be checked before.
	HoldPointID HoldPointID `gorm:"serializer:ref"`
	// Target: Torque asked for, from the maker's manual.
	Target Quantity `gorm:"embedded;embeddedPrefix:target_"`
	// Stages: Stages and pattern.
	Stages string
	// Angle: Angle after the torque.
	Angle string
	// JointCondition: Dry, oiled or with locker.
	JointCondition JointCondition
	// NewFastener: A new bolt or nut.
	NewFastener NewFastener
	// Source: Where the target comes from: document, edition, page.
	Source string
	// Tool: Wrench used.
	Tool string
	// Applied: Wrench setting when pulled.
	Applied Quantity `gorm:"embedded;embeddedPrefix:applied_"`
	// DoneBy: Who pulled.
	DoneBy StaffID `gorm:"serializer:ref"`
	// DoneAt: When.
	DoneAt *time.Time
	// CheckedBy: Who watched.
	CheckedBy StaffID `gorm:"serializer:ref"`
	// CheckedAt: When.
	CheckedAt *time.Time
	// CheckTarget: Target the second person looked up alone.
	CheckTarget Quantity `gorm:"embedded;embeddedPrefix:check_target_"`
	// CheckSetting: Wrench setting the second person read.
	CheckSetting Quantity `gorm:"embedded;embeddedPrefix:check_setting_"`
	// Watched: The pull was watched.
	Watched bool
	// Marked: The joint was paint-marked.
	Marked bool
	// SelfReinspection: Re-inspected later by the same person in a one-person shop.
	SelfReinspection bool
	// RedoBecause: Why it must be done again.
	RedoBecause string
	Struck
	Origin
}

// TableName names the table of Fastening.
func (Fastening) TableName() string { return "fastenings" }

// Key gives the row id as text.
func (n Fastening) Key() string { return string(n.ID) }

// HoldPoint: Nothing goes on past it until its joints are checked.
type HoldPoint struct {
	Row
	ID HoldPointID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Before: Before what, e.g. before the clutch cover goes on.
	Before string
	// PassedBy: Who passed it.
	PassedBy StaffID `gorm:"serializer:ref"`
	// PassedAt: When.
	PassedAt *time.Time
	Struck
	Origin
}

// TableName names the table of HoldPoint.
func (HoldPoint) TableName() string { return "hold_points" }

// Key gives the row id as text.
func (n HoldPoint) Key() string { return string(n.ID) }

// FirstStart: The list before and at the first start after the engine was open.
type FirstStart struct {
	Row
	ID JobID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// TurnedByHand: Turned by hand two full turns, no hard stop.
	TurnedByHand bool
	// MarksReread: Timing marks read again.
	MarksReread bool
	// OilInAndPrimed: Oil in, and primed.
	OilInAndPrimed bool
	// NoLeaks: No fuel or coolant leak.
	NoLeaks bool
	// ToolsOut: Tools and rags out.
	ToolsOut bool
	// Pressure: Oil pressure by gauge.
	Pressure Quantity `gorm:"embedded;embeddedPrefix:pressure_"`
	// PressureNotPossible: Why it could not be read.
	PressureNotPossible string
	// StartedAt: When it was started.
	StartedAt *time.Time
}

// TableName names the table of FirstStart.
func (FirstStart) TableName() string { return "first_starts" }

// Key gives the row id as text.
func (n FirstStart) Key() string { return string(n.ID) }

// RoadTest: Pre-ride checks, the ride or its replacement, and what came of it.
type RoadTest struct {
	Row
	ID RoadTestID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Kind: Ride, stand run or rolling road.
	Kind RunKind
	// InsteadBecause: Why the ride was replaced.
	InsteadBecause string
	// Brakes: Brakes.
	Brakes PreRide
	// Wheels: Wheels and axles.
	Wheels PreRide
	// Steering: Steering.
	Steering PreRide
	// Throttle: Throttle.
	Throttle PreRide
	// Chain: Chain, belt or shaft.
	Chain PreRide
	// Leaks: Leaks.
	Leaks PreRide
	// Lights: Lights.
	Lights PreRide
	// CheckedAt: When the checks were made.
	CheckedAt *time.Time
	// RiderID: Who rides.
	RiderID StaffID `gorm:"serializer:ref"`
	// OdometerOut: Odometer going out.
	OdometerOut Quantity `gorm:"embedded;embeddedPrefix:odometer_out_"`
	// OdometerBack: Odometer coming back.
	OdometerBack Quantity `gorm:"embedded;embeddedPrefix:odometer_back_"`
	// Outcome: What came of it.
	Outcome RideOutcome
	// Note: Remark.
	Note string
	Struck
	Origin
}

// TableName names the table of RoadTest.
func (RoadTest) TableName() string { return "road_tests" }

// Key gives the row id as text.
func (n RoadTest) Key() string { return string(n.ID) }

// DebrisCheck: What was on the plug, in the filter, in the oil after the work.
type DebrisCheck struct {
	Row
	ID DebrisCheckID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Moment: After what.
	Moment DebrisMoment
	// Sampled: Where it was looked for.
	Sampled DebrisSample
	// Amount: How much.
	Amount DebrisAmount
	// CoarseNew: Something coarse and new.
	CoarseNew bool
	// Falling: Less than the time before.
	Falling bool
	// NextOn: Day of the next check.
	NextOn Date
	// NextDistance: Or the distance.
	NextDistance string
	// Note: Remark.
	Note string
	Struck
	Origin
}

// TableName names the table of DebrisCheck.
func (DebrisCheck) TableName() string { return "debris_checks" }

// Key gives the row id as text.
func (n DebrisCheck) Key() string { return string(n.ID) }
