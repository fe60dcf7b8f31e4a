package shop

import (
	"benchtag/internal/money"
	"time"
)

// Job: One complaint or request and what is done about it.
type Job struct {
	Row
	ID JobID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// Title: A few words.
	Title string
	// Kind: A complaint to find the reason of, or a request to carry out.
	Kind JobKind
	// Stage: Where it is on its path.
	Stage Stage
	// StageSince: Since when.
	StageSince time.Time
	// NotRun: Put back and not run: leaves with "do not start".
	NotRun bool
	// EarlierJobID: The job this one comes back from.
	EarlierJobID JobID `gorm:"serializer:ref"`
	// LayoutID: Machine map it was opened with.
	LayoutID LayoutID `gorm:"serializer:ref"`
	// LimitSheetID: Limit sheet it was opened with.
	LimitSheetID LimitSheetID `gorm:"serializer:ref"`
	// DiagnosisFree: Diagnosis costs nothing, and the customer was told.
	DiagnosisFree bool
	// OpenedUp: Something was taken apart.
	OpenedUp bool
	// NothingCameOff: Why there is no tag, though something was opened.
	NothingCameOff string
	// EngineOpened: The engine was opened or its fluids were out: a first start has its own list.
	EngineOpened bool
	// PressureInQuestion: Oil pressure is in question: read it by gauge at the first start.
	PressureInQuestion bool
	// DebrisInQuestion: Loose metal was found: debris checks must show it clearing.
	DebrisInQuestion bool
	// AsFoundWaived: Why no readings were taken before the first bolt.
	AsFoundWaived string
	// CauseUndetermined: Why no first cause could be named.
	CauseUndetermined string
	// DepositAsked: Deposit to be paid before work starts.
	DepositAsked *money.Amount
	// ClaimPossible: A claim may come: failed parts are kept until a set day.
	ClaimPossible bool
}

// TableName names the table of Job.
func (Job) TableName() string { return "jobs" }

// Key gives the row id as text.
func (n Job) Key() string { return string(n.ID) }

// Complaint: What the customer says, in their words, and structured.
type Complaint struct {
	Row
	ID ComplaintID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Kind: Complaint or request.
	Kind JobKind
	// Words: In the customer's words.
	Words string
	// Symptom: What kind it is.
	Symptom Symptom
	// Place: Where on the machine.
	Place string
	// Circumstances: When it happens: cold, hot, under load.
	Circumstances string
	// Since: Since when.
	Since string
	// HowOften: How often.
	HowOften string
	// Answer: How it was answered.
	Answer Answer
	// AnswerFindingID: The finding that answers it.
	AnswerFindingID FindingID `gorm:"serializer:ref"`
	// AnswerNote: The answer in words.
	AnswerNote string
	// Again: What became of it after the work.
	Again Again
	// AgainNote: In words.
	AgainNote string
	Struck
}

// TableName names the table of Complaint.
func (Complaint) TableName() string { return "complaints" }

// Key gives the row id as text.
func (n Complaint) Key() string { return string(n.ID) }

// Check: A quick look before anything is opened.
type Check struct {
	Row
	ID CheckID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// What: What was looked at.
	What string
	// Outcome: What came of it.
	Outcome Outcome
	// Reading: What was read, if anything.
	Reading Quantity `gorm:"embedded;embeddedPrefix:reading_"`
	// Minutes: How long it took.
	Minutes int64
	// Note: Remark.
	Note string
	Struck
	Origin
}

// TableName names the table of Check.
func (Check) TableName() string { return "checks" }

// Key gives the row id as text.
func (n Check) Key() string { return string(n.ID) }

// AsFound: A reading or mark taken before the first bolt, which cannot be had later.
type AsFound struct {
	Row
	ID AsFoundID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// What: What was read.
	What string
	// Reading: The reading.
	Reading Quantity `gorm:"embedded;embeddedPrefix:reading_"`
	// Mark: A mark in words, e.g. timing marks in line.
	Mark string
	// WaivedBecause: Why it was not taken.
	WaivedBecause string
	Struck
	Origin
}

// TableName names the table of AsFound.
func (AsFound) TableName() string { return "as_found" }

// Key gives the row id as text.
func (n AsFound) Key() string { return string(n.ID) }

// Finding: One component, or a named group, and its condition.
type Finding struct {
	Row
	ID FindingID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// ComplaintID: The complaint it bears on.
	ComplaintID ComplaintID `gorm:"serializer:ref"`
	// Component: Component key of the machine map, or its plain name.
	Component string
	// Members: Components of a named group.
	Members []string `gorm:"serializer:json"`
	// LookedAtGrade: Condition by eye: 0 as new, 1 serviceable, 2 near limit, 3 beyond limit, 4 failed.
	LookedAtGrade *int64
	// MeasuredGrade: Condition by measurement, if there is one.
	MeasuredGrade *int64
	// EffectiveGrade: The worse of the two, if there is one.
	EffectiveGrade *int64
	// DamageMode: How it failed.
	DamageMode DamageMode
	// Pieces: Whether pieces are missing, and whether they were found.
	Pieces Pieces
	// FirstCause: The first cause of the trouble.
	FirstCause bool
	// CausedByID: The finding that caused this one.
	CausedByID FindingID `gorm:"serializer:ref"`
	// SafeToRide: Whether the machine is safe to ride with it.
	SafeToRide YesNo
	// Advised: What to do with it.
	Advised Advised
	// WatchAt: When to look again, for "watch".
	WatchAt string
	// ReachedByDebris: Loose debris may have reached it.
	ReachedByDebris bool
	// NotLookedBecause: Why it was not looked at, as disclosed to the customer.
	NotLookedBecause string
	// EvidenceBecause: Why a grade of 3 or 4 has neither photo nor reading.
	EvidenceBecause string
	// Note: Remark.
	Note string
	// DangerOutcome: How a danger to the rider was dealt with.
	DangerOutcome DangerOutcome
	// DangerWarning: The exact warning given.
	DangerWarning string
	// DangerWitness: Who heard it.
	DangerWitness string
	// DangerAt: When the outcome was recorded.
	DangerAt *time.Time
	Struck
	Origin
}

// TableName names the table of Finding.
func (Finding) TableName() string { return "findings" }

// Key gives the row id as text.
func (n Finding) Key() string { return string(n.ID) }

// Measurement: Readings of one measured point and what they come to.
type Measurement struct {
	Row
	ID MeasurementID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// FindingID: The finding it belongs to.
	FindingID FindingID
	// Point: The measured point.
	Point string
	// GaugeID: The gauge used.
	GaugeID GaugeID `gorm:"serializer:ref"`
	// Readings: The readings as entered, JSON.
	Readings []byte
	// Result: Derived value.
	Result Quantity `gorm:"embedded;embeddedPrefix:result_"`
	// Uncertainty: Its expanded uncertainty (k = 2).
	Uncertainty Quantity `gorm:"embedded;embeddedPrefix:uncertainty_"`
	// Verdict: What it says against the limits.
	Verdict string
	// Grade: The grade it gives, if any.
	Grade *int64
	// Indicative: Does not decide a grade.
	Indicative bool
	// LimitSource: Where the limits come from.
	LimitSource string
	// Inputs: Everything the verdict was computed from, JSON.
	Inputs []byte
	// EngineRevision: The engine that computed it.
	EngineRevision string
	Struck
	Origin
}

// TableName names the table of Measurement.
func (Measurement) TableName() string { return "measurements" }

// Key gives the row id as text.
func (n Measurement) Key() string { return string(n.ID) }

// Photo: A picture of a finding.
type Photo struct {
	Row
	ID PhotoID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// FindingID: The finding it shows.
	FindingID FindingID `gorm:"serializer:ref"`
	// FileName: Name it came with, for display.
	FileName string
	// MediaType: Type of the stored copy.
	MediaType string
	// SizeBytes: Size of the stored copy.
	SizeBytes int64
	// OriginalSHA256: SHA-256 of the bytes as received, hex.
	OriginalSHA256 string
	// StoredSHA256: SHA-256 of the stored copy, hex.
	StoredSHA256 string
	// Width: Pixels.
	Width int64
	// Height: Pixels.
	Height int64
	// Marks: Marks on the stored copy, JSON.
	Marks []byte
	// StoredAt: When its content was stored.
	StoredAt *time.Time
	Struck
	Origin
}

// TableName names the table of Photo.
func (Photo) TableName() string { return "photos" }

// Key gives the row id as text.
func (n Photo) Key() string { return string(n.ID) }

// Tag: A numbered bag or label on what came off.
type Tag struct {
	Row
	ID TagID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Number: Number on the work order, for people.
	Number int64
	// Code: Shop-unique five-character code.
	Code string
	// Kind: Parts or fasteners.
	Kind TagKind
	// Holds: What is in it.
	Holds string
	// FromWhere: Where it came off.
	FromWhere string
	// LiesAt: Where it lies.
	LiesAt string
	// Outcome: What became of it.
	Outcome TagOutcome
	// OutcomeNote: In words.
	OutcomeNote string
	Struck
	Origin
}

// TableName names the table of Tag.
func (Tag) TableName() string { return "tags" }

// Key gives the row id as text.
func (n Tag) Key() string { return string(n.ID) }
