package shop

import (
	"time"
)

// HandOver: What is said and given when the machine leaves.
type HandOver struct {
	Row
	ID JobID `gorm:"primaryKey" json:"id"`
	OfJob
	// HandedTo: Who took it.
	HandedTo string `json:"handed_to"`
	// Transport: How it leaves.
	Transport Transport `json:"transport"`
	// DoNotStartTold: Told that it must not be started.
	DoNotStartTold bool `json:"do_not_start_told"`
	// OldParts: What became of the replaced parts.
	OldParts OldPartsDone `json:"old_parts"`
	// OldPartsNote: In words.
	OldPartsNote string `json:"old_parts_note"`
	// AdviceGiven: Advice and dates were gone through.
	AdviceGiven bool `json:"advice_given"`
	// StillOpen: What is still open.
	StillOpen string `json:"still_open"`
	// RecheckOn: Re-check booked for.
	RecheckOn Date `json:"recheck_on"`
	// EvidenceUntil: Failed parts, oil and filter kept until.
	EvidenceUntil Date `json:"evidence_until"`
	// CautionsTold: Cautions were said.
	CautionsTold bool `json:"cautions_told"`
	// SelfReinspectionTold: Told that the same person re-inspected.
	SelfReinspectionTold bool `json:"self_reinspection_told"`
	// OdometerOut: Odometer when it leaves.
	OdometerOut Quantity `gorm:"embedded;embeddedPrefix:odometer_out_" json:"odometer_out"`
	Origin
}

// TableName names the table of HandOver.
func (HandOver) TableName() string { return "hand_overs" }

// Key gives the row id as text.
func (n HandOver) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *HandOver) SetKey(id string) { n.ID = JobID(id) }

// Advice: Something the customer should know or do later.
type Advice struct {
	Row
	ID AdviceID `gorm:"primaryKey" json:"id"`
	OfJob
	// Kind: Advice, re-check or still open.
	Kind AdviceKind `json:"kind"`
	// Words: In words.
	Words string `json:"words"`
	// DueOn: By when.
	DueOn Date `json:"due_on"`
	// DueDistance: Or at what distance.
	DueDistance string `json:"due_distance"`
	// Told: The customer was told.
	Told bool `json:"told"`
	Struck
	Origin
}

// TableName names the table of Advice.
func (Advice) TableName() string { return "advice" }

// Key gives the row id as text.
func (n Advice) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Advice) SetKey(id string) { n.ID = AdviceID(id) }

// Hold: Why the job stands still; an overlay, not a stage.
type Hold struct {
	Row
	ID HoldID `gorm:"primaryKey" json:"id"`
	OfJob
	// Reason: What it waits for.
	Reason HoldReason `json:"reason"`
	// Note: In words.
	Note string `json:"note"`
	// UntilOn: Expected to end on.
	UntilOn Date `json:"until_on"`
	// HeldBy: Who set it.
	HeldBy StaffID `json:"held_by"`
	// HeldAt: When.
	HeldAt time.Time `json:"held_at"`
	// LiftedBy: Who lifted it.
	LiftedBy StaffID `gorm:"serializer:ref" json:"lifted_by"`
	// LiftedAt: When.
	LiftedAt *time.Time `json:"lifted_at"`
}

// TableName names the table of Hold.
func (Hold) TableName() string { return "holds" }

// Key gives the row id as text.
func (n Hold) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Hold) SetKey(id string) { n.ID = HoldID(id) }

// HandOverNote: A note between shifts, with the state of the open machine.
type HandOverNote struct {
	Row
	ID HandOverNoteID `gorm:"primaryKey" json:"id"`
	OfJob
	// MachineState: E.g. no oil, bolts finger-tight.
	MachineState string `json:"machine_state"`
	// DoNotStart: It must not be started.
	DoNotStart bool `json:"do_not_start"`
	// Words: What the next person must know.
	Words string `json:"words"`
	// ReadBy: Who read it.
	ReadBy StaffID `gorm:"serializer:ref" json:"read_by"`
	// ReadAt: When.
	ReadAt *time.Time `json:"read_at"`
	Struck
	Origin
}

// TableName names the table of HandOverNote.
func (HandOverNote) TableName() string { return "hand_over_notes" }

// Key gives the row id as text.
func (n HandOverNote) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *HandOverNote) SetKey(id string) { n.ID = HandOverNoteID(id) }

// Withdrawal: The customer takes the machine back before the work is done.
type Withdrawal struct {
	Row
	ID JobID `gorm:"primaryKey" json:"id"`
	OfJob
	// Reason: Why.
	Reason string `json:"reason"`
	// MachineState: How it leaves.
	MachineState MachineState `json:"machine_state"`
	// AskedBy: Who asked for it.
	AskedBy string `json:"asked_by"`
	// WarningsTold: Warnings given.
	WarningsTold string `json:"warnings_told"`
	Origin
}

// TableName names the table of Withdrawal.
func (Withdrawal) TableName() string { return "withdrawals" }

// Key gives the row id as text.
func (n Withdrawal) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Withdrawal) SetKey(id string) { n.ID = JobID(id) }
