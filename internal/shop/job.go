package shop

import (
	"benchtag/internal/money"
	"time"
)

// Job: One complaint or request and what is done about it.
type Job struct {
	Row
	ID JobID `gorm:"primaryKey" json:"id"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID `json:"work_order_id"`
	// Title: A few words.
	Title string `json:"title"`
	// Kind: A complaint to find the reason of, or a request to carry out.
	Kind JobKind `json:"kind"`
	// Stage: Where it is on its path.
	Stage Stage `json:"stage"`
	// StageSince: Since when.
	StageSince time.Time `json:"stage_since"`
	// NotRun: Put back and not run: leaves with "do not start".
	NotRun bool `json:"not_run"`
	// EarlierJobID: The job this one comes back from.
	EarlierJobID JobID `gorm:"serializer:ref" json:"earlier_job_id"`
	// LayoutID: Machine map it was opened with.
	LayoutID LayoutID `gorm:"serializer:ref" json:"layout_id"`
	// LimitSheetID: Limit sheet it was opened with.
	LimitSheetID LimitSheetID `gorm:"serializer:ref" json:"limit_sheet_id"`
	// DiagnosisFree: Diagnosis costs nothing, and the customer was told.
	DiagnosisFree bool `json:"diagnosis_free"`
	// OpenedUp: Something was taken apart.
	OpenedUp bool `json:"opened_up"`
	// NothingCameOff: Why there is no tag, though something was opened.
	NothingCameOff string `json:"nothing_came_off"`
	// EngineOpened: The engine was opened: a first start has its own list. Set when something is taken apart, until the shop says otherwise.
	EngineOpened bool `json:"engine_opened"`
	// PressureInQuestion: Oil pressure is in question: read it by gauge at the first start.
	PressureInQuestion bool `json:"pressure_in_question"`
	// OilOut: The oil was drained or a filter changed.
	OilOut bool `json:"oil_out"`
	// CircuitOpen: A fuel or coolant circuit was opened.
	CircuitOpen bool `json:"circuit_open"`
	// TeardownWanted: Something must be opened to know more.
	TeardownWanted bool `json:"teardown_wanted"`
	// NoBillBecause: Why nothing is billed, e.g. an earlier job made good.
	NoBillBecause string `json:"no_bill_because"`
	// NotRunBecause: Why it leaves without having been run.
	NotRunBecause string `json:"not_run_because"`
	// NotRunState: How it leaves, if it was not run.
	NotRunState NotRunState `json:"not_run_state"`
	// DebrisInQuestion: Loose metal was found: debris checks must show it clearing.
	DebrisInQuestion bool `json:"debris_in_question"`
	// AsFoundWaived: Why no readings were taken before the first bolt.
	AsFoundWaived string `json:"as_found_waived"`
	// CauseUndetermined: Why no first cause could be named.
	CauseUndetermined string `json:"cause_undetermined"`
	// DepositAsked: Deposit to be paid before work starts.
	DepositAsked *money.Amount `json:"deposit_asked"`
	// ClaimPossible: A claim may come: failed parts are kept until a set day.
	ClaimPossible bool `json:"claim_possible"`
	// StepsDone: Steps of the machine map that are opened up.
	StepsDone []string `gorm:"serializer:json" json:"steps_done"`
	// Stages: Every stage it came to, and when.
	Stages []StageAt `gorm:"serializer:json" json:"stages"`
}

// StageAt is a stage and when the job came to it.
type StageAt struct {
	Stage Stage     `json:"stage"`
	At    time.Time `json:"at"`
}

// Enter takes the job to a stage and notes it.
func (n *Job) Enter(stage Stage, at time.Time) {
	n.Stage, n.StageSince = stage, at
	n.Stages = append(n.Stages, StageAt{Stage: stage, At: at})
}

// TableName names the table of Job.
func (Job) TableName() string { return "jobs" }

// Key gives the row id as text.
func (n Job) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Job) SetKey(id string) { n.ID = JobID(id) }

// Complaint: What the customer says, in their words, and structured.
type Complaint struct {
	Row
	ID ComplaintID `gorm:"primaryKey" json:"id"`
	OfJob
	// Kind: Complaint or request.
	Kind JobKind `json:"kind"`
	// Words: In the customer's words.
	Words string `json:"words"`
	// Symptom: What kind it is.
	Symptom Symptom `json:"symptom"`
	// Place: Where on the machine.
	Place string `json:"place"`
	// Circumstances: When it happens: cold, hot, under load.
	Circumstances string `json:"circumstances"`
	// Since: Since when.
	Since string `json:"since"`
	// HowOften: How often.
	HowOften string `json:"how_often"`
	// Answer: How it was answered.
	Answer Answer `json:"answer"`
	// AnswerFindingID: The finding that answers it.
	AnswerFindingID FindingID `gorm:"serializer:ref" json:"answer_finding_id"`
	// AnswerNote: The answer in words.
	AnswerNote string `json:"answer_note"`
	// Again: What became of it after the work.
	Again Again `json:"again"`
	// AgainNote: In words.
	AgainNote string `json:"again_note"`
	Struck
	Origin
}

// TableName names the table of Complaint.
func (Complaint) TableName() string { return "complaints" }

// Key gives the row id as text.
func (n Complaint) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Complaint) SetKey(id string) { n.ID = ComplaintID(id) }

// Check: A quick look before anything is opened.
type Check struct {
	Row
	ID CheckID `gorm:"primaryKey" json:"id"`
	OfJob
	// What: What was looked at.
	What string `json:"what"`
	// Look: The look of the machine map it was, if it is one.
	Look string `json:"look"`
	// Outcome: What came of it.
	Outcome Outcome `json:"outcome"`
	// Reading: What was read, if anything.
	Reading Quantity `gorm:"embedded;embeddedPrefix:reading_" json:"reading"`
	// Minutes: How long it took.
	Minutes int64 `json:"minutes"`
	// Note: Remark.
	Note string `json:"note"`
	Struck
	Origin
}

// TableName names the table of Check.
func (Check) TableName() string { return "checks" }

// Key gives the row id as text.
func (n Check) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Check) SetKey(id string) { n.ID = CheckID(id) }

// AsFound: A reading or mark taken before the first bolt, which cannot be had later.
type AsFound struct {
	Row
	ID AsFoundID `gorm:"primaryKey" json:"id"`
	OfJob
	// What: What was read.
	What string `json:"what"`
	// Reading: The reading.
	Reading Quantity `gorm:"embedded;embeddedPrefix:reading_" json:"reading"`
	// Mark: A mark in words, e.g. timing marks in line.
	Mark string `json:"mark"`
	// WaivedBecause: Why it was not taken.
	WaivedBecause string `json:"waived_because"`
	Struck
	Origin
}

// TableName names the table of AsFound.
func (AsFound) TableName() string { return "as_found" }

// Key gives the row id as text.
func (n AsFound) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *AsFound) SetKey(id string) { n.ID = AsFoundID(id) }

// Finding: One component, or a named group, and its condition.
type Finding struct {
	Row
	ID FindingID `gorm:"primaryKey" json:"id"`
	OfJob
	// ComplaintID: The complaint it bears on.
	ComplaintID ComplaintID `gorm:"serializer:ref" json:"complaint_id"`
	// Component: Component key of the machine map, or its plain name.
	Component string `json:"component"`
	// Name: As the trade calls it: from the machine map; empty where the component is a plain name already.
	Name string `json:"name"`
	// Members: Components of a named group.
	Members []string `gorm:"serializer:json" json:"members"`
	// LookedAtGrade: Condition by eye: 0 as new, 1 serviceable, 2 near limit, 3 beyond limit, 4 failed.
	LookedAtGrade *int64 `json:"looked_at_grade"`
	// MeasuredGrade: Condition by measurement, if there is one.
	MeasuredGrade *int64 `json:"measured_grade"`
	// EffectiveGrade: The worse of the two, if there is one.
	EffectiveGrade *int64 `json:"effective_grade"`
	// DamageMode: How it failed.
	DamageMode DamageMode `json:"damage_mode"`
	// Pieces: Whether pieces are missing, and whether they were found.
	Pieces Pieces `json:"pieces"`
	// InPieces: The part is broken into pieces.
	InPieces bool `json:"in_pieces"`
	// LaidOut: The pieces were laid out and counted.
	LaidOut bool `json:"laid_out"`
	// FirstCause: The first cause of the trouble.
	FirstCause bool `json:"first_cause"`
	// CausedByID: The finding that caused this one.
	CausedByID FindingID `gorm:"serializer:ref" json:"caused_by_id"`
	// SafeToRide: Whether the machine is safe to ride with it.
	SafeToRide YesNo `json:"safe_to_ride"`
	// Advised: What to do with it.
	Advised Advised `json:"advised"`
	// WatchAt: When to look again, for "watch".
	WatchAt string `json:"watch_at"`
	// ReachedByDebris: Loose debris may have reached it.
	ReachedByDebris bool `json:"reached_by_debris"`
	// NotLookedBecause: Why it was not looked at, as disclosed to the customer.
	NotLookedBecause string `json:"not_looked_because"`
	// EvidenceBecause: Why a grade of 3 or 4 has neither photo nor reading.
	EvidenceBecause string `json:"evidence_because"`
	// Note: Remark.
	Note string `json:"note"`
	// Debris: What it shed, what was seen at it and how it stood as a barrier.
	Debris *FindingDebris `gorm:"serializer:json" json:"debris"`
	// DangerOutcome: How a danger to the rider was dealt with.
	DangerOutcome DangerOutcome `json:"danger_outcome"`
	// DangerWarning: The exact warning given.
	DangerWarning string `json:"danger_warning"`
	// DangerWitness: Who heard it.
	DangerWitness string `json:"danger_witness"`
	// DangerAt: When the outcome was recorded.
	DangerAt *time.Time `json:"danger_at"`
	Struck
	Origin
}

// Called gives what people call the component.
func (n Finding) Called() string {
	if n.Name != "" {
		return n.Name
	}
	return n.Component
}

// TableName names the table of Finding.
func (Finding) TableName() string { return "findings" }

// Key gives the row id as text.
func (n Finding) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Finding) SetKey(id string) { n.ID = FindingID(id) }

// Measurement: Readings of one measured point and what they come to.
type Measurement struct {
	Row
	ID MeasurementID `gorm:"primaryKey" json:"id"`
	OfJob
	// FindingID: The finding it belongs to.
	FindingID FindingID `json:"finding_id"`
	// Point: The measured point.
	Point string `json:"point"`
	// GaugeID: The gauge used.
	GaugeID GaugeID `gorm:"serializer:ref" json:"gauge_id"`
	// Readings: What was taken, as entered.
	Readings Taken `gorm:"serializer:json" json:"readings"`
	// Result: Derived value.
	Result Quantity `gorm:"embedded;embeddedPrefix:result_" json:"result"`
	// Uncertainty: Its expanded uncertainty (k = 2).
	Uncertainty Quantity `gorm:"embedded;embeddedPrefix:uncertainty_" json:"uncertainty"`
	// Verdict: What it says against the limits.
	Verdict string `json:"verdict"`
	// Grade: The grade it gives, if any.
	Grade *int64 `json:"grade"`
	// Indicative: Does not decide a grade.
	Indicative bool `json:"indicative"`
	// LimitSource: Where the limits come from.
	LimitSource string `json:"limit_source"`
	// Inputs: Everything the verdict was computed from, JSON.
	Inputs []byte `json:"inputs"`
	// EngineRevision: The engine that computed it.
	EngineRevision string `json:"engine_revision"`
	// Working: How it was reckoned, step by step.
	Working []string `gorm:"serializer:json" json:"working"`
	Struck
	Origin
}

// TableName names the table of Measurement.
func (Measurement) TableName() string { return "measurements" }

// Key gives the row id as text.
func (n Measurement) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Measurement) SetKey(id string) { n.ID = MeasurementID(id) }

// Photo: A picture of a finding.
type Photo struct {
	Row
	ID PhotoID `gorm:"primaryKey" json:"id"`
	OfJob
	// FindingID: The finding it shows; empty for one of the job, as of a walk-round.
	FindingID FindingID `gorm:"serializer:ref" json:"finding_id"`
	// Shows: What is to be seen on it, in words.
	Shows string `json:"shows"`
	// ForCustomer: May be shown to the customer, beside what was found.
	ForCustomer bool `json:"for_customer"`
	// FileName: Name it came with, for display alone.
	FileName string `json:"file_name"`
	// MediaType: Type of the stored copy.
	MediaType string `json:"media_type"`
	// SizeBytes: Size of the stored copy.
	SizeBytes int64 `json:"size_bytes"`
	// OriginalBytes: Size as received.
	OriginalBytes int64 `json:"original_bytes"`
	// OriginalSHA256: SHA-256 of the bytes as received, hex.
	OriginalSHA256 string `json:"original_sha256"`
	// StoredSHA256: SHA-256 of the stored copy, hex.
	StoredSHA256 string `json:"stored_sha256"`
	// LargeSHA256: SHA-256 of the copy to read on a screen, hex.
	LargeSHA256 string `json:"large_sha256"`
	// SmallSHA256: SHA-256 of the copy for lists, hex.
	SmallSHA256 string `json:"small_sha256"`
	// Width: Pixels of the stored copy, upright.
	Width int64 `json:"width"`
	// Height: Pixels of the stored copy, upright.
	Height int64 `json:"height"`
	// Marks: What was drawn on it, in pixels of the stored copy.
	Marks []Mark `gorm:"serializer:json" json:"marks"`
	// StoredAt: When its content was stored.
	StoredAt *time.Time `json:"stored_at"`
	// DamagedAt: When stored bytes were first found missing or other than they were.
	DamagedAt *time.Time `json:"damaged_at"`
	// ErasedAt: When its content was erased for good.
	ErasedAt *time.Time `json:"erased_at"`
	Struck
	Origin
}

// TableName names the table of Photo.
func (Photo) TableName() string { return "photos" }

// Key gives the row id as text.
func (n Photo) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Photo) SetKey(id string) { n.ID = PhotoID(id) }

// Tag: A numbered bag or label on what came off.
type Tag struct {
	Row
	ID TagID `gorm:"primaryKey" json:"id"`
	OfJob
	// Number: Number on the work order, for people.
	Number int64 `json:"number"`
	// Code: Shop-unique five-character code.
	Code string `json:"code"`
	// LabelCode: What its label says where that is not its code: it came late, and the code was another tag's by then.
	LabelCode string `json:"label_code"`
	// Kind: Parts or fasteners.
	Kind TagKind `json:"kind"`
	// Holds: What is in it.
	Holds string `json:"holds"`
	// FromWhere: Where it came off.
	FromWhere string `json:"from_where"`
	// LiesAt: Where it lies.
	LiesAt string `json:"lies_at"`
	// Outcome: What became of it.
	Outcome TagOutcome `json:"outcome"`
	// OutcomeNote: In words.
	OutcomeNote string `json:"outcome_note"`
	Struck
	Origin
}

// TableName names the table of Tag.
func (Tag) TableName() string { return "tags" }

// Key gives the row id as text.
func (n Tag) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Tag) SetKey(id string) { n.ID = TagID(id) }
