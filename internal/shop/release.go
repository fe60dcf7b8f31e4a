package shop

import (
	"time"
)

// HandOver: What is said and given when the machine leaves.
type HandOver struct {
	Row
	ID JobID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// HandedTo: Who took it.
	HandedTo string
	// Transport: How it leaves.
	Transport Transport
	// DoNotStartTold: Told that it must not be started.
	DoNotStartTold bool
	// OldParts: What became of the replaced parts.
	OldParts OldPartsDone
	// OldPartsNote: In words.
	OldPartsNote string
	// AdviceGiven: Advice and dates were gone through.
	AdviceGiven bool
	// StillOpen: What is still open.
	StillOpen string
	// RecheckOn: Re-check booked for.
	RecheckOn Date
	// EvidenceUntil: Failed parts, oil and filter kept until.
	EvidenceUntil Date
	// CautionsTold: Cautions were said.
	CautionsTold bool
	// SelfReinspectionTold: Told that the same person re-inspected.
	SelfReinspectionTold bool
	// OdometerOut: Odometer when it leaves.
	OdometerOut Quantity `gorm:"embedded;embeddedPrefix:odometer_out_"`
}

// TableName names the table of HandOver.
func (HandOver) TableName() string { return "hand_overs" }

// Key gives the row id as text.
func (n HandOver) Key() string { return string(n.ID) }

// Advice: Something the customer should know or do later.
type Advice struct {
	Row
	ID AdviceID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Kind: Advice, re-check or still open.
	Kind AdviceKind
	// Words: In words.
	Words string
	// DueOn: By when.
	DueOn Date
	// DueDistance: Or at what distance.
	DueDistance string
	// Told: The customer was told.
	Told bool
	Struck
}

// TableName names the table of Advice.
func (Advice) TableName() string { return "advice" }

// Key gives the row id as text.
func (n Advice) Key() string { return string(n.ID) }

// Hold: Why the job stands still; an overlay, not a stage.
type Hold struct {
	Row
	ID HoldID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Reason: What it waits for.
	Reason HoldReason
	// Note: In words.
	Note string
	// UntilOn: Expected to end on.
	UntilOn Date
	// HeldBy: Who set it.
	HeldBy StaffID
	// HeldAt: When.
	HeldAt time.Time
	// LiftedBy: Who lifted it.
	LiftedBy StaffID `gorm:"serializer:ref"`
	// LiftedAt: When.
	LiftedAt *time.Time
}

// TableName names the table of Hold.
func (Hold) TableName() string { return "holds" }

// Key gives the row id as text.
func (n Hold) Key() string { return string(n.ID) }

// HandOverNote: A note between shifts, with the state of the open machine.
type HandOverNote struct {
	Row
	ID HandOverNoteID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// MachineState: E.g. no oil, bolts finger-tight.
	MachineState string
	// DoNotStart: It must not be started.
	DoNotStart bool
	// Words: What the next person must know.
	Words string
	// ReadBy: Who read it.
	ReadBy StaffID `gorm:"serializer:ref"`
	// ReadAt: When.
	ReadAt *time.Time
	Struck
	Origin
}

// TableName names the table of HandOverNote.
func (HandOverNote) TableName() string { return "hand_over_notes" }

// Key gives the row id as text.
func (n HandOverNote) Key() string { return string(n.ID) }

// Withdrawal: The customer takes the machine back before the work is done.
type Withdrawal struct {
	Row
	ID JobID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// Reason: Why.
	Reason string
	// MachineState: How it leaves.
	MachineState MachineState
	// AskedBy: Who asked for it.
	AskedBy string
	// WarningsTold: Warnings given.
	WarningsTold string
}

// TableName names the table of Withdrawal.
func (Withdrawal) TableName() string { return "withdrawals" }

// Key gives the row id as text.
func (n Withdrawal) Key() string { return string(n.ID) }
