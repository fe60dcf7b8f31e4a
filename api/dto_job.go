package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// JobIn is what a client sends of a job.
type JobIn struct {
	Title              string   `json:"title"`
	Kind               string   `json:"kind"`
	EarlierJobID       *string  `json:"earlier_job_id"`
	DiagnosisFree      bool     `json:"diagnosis_free"`
	NothingCameOff     string   `json:"nothing_came_off"`
	EngineOpened       bool     `json:"engine_opened"`
	PressureInQuestion bool     `json:"pressure_in_question"`
	OilOut             bool     `json:"oil_out"`
	CircuitOpen        bool     `json:"circuit_open"`
	TeardownWanted     bool     `json:"teardown_wanted"`
	NoBillBecause      string   `json:"no_bill_because"`
	NotRunBecause      string   `json:"not_run_because"`
	NotRunState        string   `json:"not_run_state"`
	DebrisInQuestion   bool     `json:"debris_in_question"`
	AsFoundWaived      string   `json:"as_found_waived"`
	CauseUndetermined  string   `json:"cause_undetermined"`
	DepositAsked       *Money   `json:"deposit_asked"`
	ClaimPossible      bool     `json:"claim_possible"`
	StepsDone          []string `json:"steps_done"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in JobIn) onto(c *conv, n *shop.Job) {
	n.Title = in.Title
	n.Kind = shop.JobKind(in.Kind)
	n.EarlierJobID = shop.JobID(text(in.EarlierJobID))
	n.DiagnosisFree = in.DiagnosisFree
	n.NothingCameOff = in.NothingCameOff
	n.EngineOpened = in.EngineOpened
	n.PressureInQuestion = in.PressureInQuestion
	n.OilOut = in.OilOut
	n.CircuitOpen = in.CircuitOpen
	n.TeardownWanted = in.TeardownWanted
	n.NoBillBecause = in.NoBillBecause
	n.NotRunBecause = in.NotRunBecause
	n.NotRunState = shop.NotRunState(in.NotRunState)
	n.DebrisInQuestion = in.DebrisInQuestion
	n.AsFoundWaived = in.AsFoundWaived
	n.CauseUndetermined = in.CauseUndetermined
	n.DepositAsked = c.moneyOpt("/deposit_asked", in.DepositAsked)
	n.ClaimPossible = in.ClaimPossible
	n.StepsDone = list(in.StepsDone)
}

// JobView is a job as clients see it.
type JobView struct {
	ID                 string   `json:"id"`
	Version            int64    `json:"version"`
	WorkOrderID        string   `json:"work_order_id"`
	Title              string   `json:"title"`
	Kind               string   `json:"kind"`
	Stage              string   `json:"stage"`
	StageSince         string   `json:"stage_since"`
	NotRun             bool     `json:"not_run"`
	EarlierJobID       *string  `json:"earlier_job_id"`
	LayoutID           *string  `json:"layout_id"`
	LimitSheetID       *string  `json:"limit_sheet_id"`
	DiagnosisFree      bool     `json:"diagnosis_free"`
	OpenedUp           bool     `json:"opened_up"`
	NothingCameOff     string   `json:"nothing_came_off"`
	EngineOpened       bool     `json:"engine_opened"`
	PressureInQuestion bool     `json:"pressure_in_question"`
	OilOut             bool     `json:"oil_out"`
	CircuitOpen        bool     `json:"circuit_open"`
	TeardownWanted     bool     `json:"teardown_wanted"`
	NoBillBecause      string   `json:"no_bill_because"`
	NotRunBecause      string   `json:"not_run_because"`
	NotRunState        string   `json:"not_run_state"`
	DebrisInQuestion   bool     `json:"debris_in_question"`
	AsFoundWaived      string   `json:"as_found_waived"`
	CauseUndetermined  string   `json:"cause_undetermined"`
	DepositAsked       *Money   `json:"deposit_asked"`
	ClaimPossible      bool     `json:"claim_possible"`
	StepsDone          []string `json:"steps_done"`
	CreatedAt          string   `json:"created_at"`
	UpdatedAt          string   `json:"updated_at"`
}

func jobView(cur money.Currency, n shop.Job) JobView {
	return JobView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:  string(n.WorkOrderID),
		Title:        n.Title,
		Kind:         string(n.Kind),
		Stage:        string(n.Stage),
		StageSince:   instantView(n.StageSince),
		NotRun:       n.NotRun,
		EarlierJobID: orNull(n.EarlierJobID),
		LayoutID:     orNull(n.LayoutID), LimitSheetID: orNull(n.LimitSheetID),
		DiagnosisFree:      n.DiagnosisFree,
		OpenedUp:           n.OpenedUp,
		NothingCameOff:     n.NothingCameOff,
		EngineOpened:       n.EngineOpened,
		PressureInQuestion: n.PressureInQuestion,
		OilOut:             n.OilOut,
		CircuitOpen:        n.CircuitOpen,
		TeardownWanted:     n.TeardownWanted,
		NoBillBecause:      n.NoBillBecause,
		NotRunBecause:      n.NotRunBecause,
		NotRunState:        string(n.NotRunState),
		DebrisInQuestion:   n.DebrisInQuestion,
		AsFoundWaived:      n.AsFoundWaived,
		CauseUndetermined:  n.CauseUndetermined,
		DepositAsked:       moneyOptView(cur, n.DepositAsked),
		ClaimPossible:      n.ClaimPossible,
		StepsDone:          list(n.StepsDone),
		CreatedAt:          instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// ComplaintIn is what a client sends of a complaint.
type ComplaintIn struct {
	Kind            string  `json:"kind"`
	Words           string  `json:"words"`
	Symptom         string  `json:"symptom"`
	Place           string  `json:"place"`
	Circumstances   string  `json:"circumstances"`
	Since           string  `json:"since"`
	HowOften        string  `json:"how_often"`
	Answer          string  `json:"answer"`
	AnswerFindingID *string `json:"answer_finding_id"`
	AnswerNote      string  `json:"answer_note"`
	Again           string  `json:"again"`
	AgainNote       string  `json:"again_note"`
	CapturedAt      *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in ComplaintIn) onto(c *conv, n *shop.Complaint) {
	n.Kind = shop.JobKind(in.Kind)
	n.Words = in.Words
	n.Symptom = shop.Symptom(orElse(in.Symptom, "other"))
	n.Place = in.Place
	n.Circumstances = in.Circumstances
	n.Since = in.Since
	n.HowOften = in.HowOften
	n.Answer = shop.Answer(in.Answer)
	n.AnswerFindingID = shop.FindingID(text(in.AnswerFindingID))
	n.AnswerNote = in.AnswerNote
	n.Again = shop.Again(in.Again)
	n.AgainNote = in.AgainNote
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// ComplaintView is a complaint as clients see it.
type ComplaintView struct {
	ID              string  `json:"id"`
	Version         int64   `json:"version"`
	WorkOrderID     string  `json:"work_order_id"`
	JobID           string  `json:"job_id"`
	Kind            string  `json:"kind"`
	Words           string  `json:"words"`
	Symptom         string  `json:"symptom"`
	Place           string  `json:"place"`
	Circumstances   string  `json:"circumstances"`
	Since           string  `json:"since"`
	HowOften        string  `json:"how_often"`
	Answer          string  `json:"answer"`
	AnswerFindingID *string `json:"answer_finding_id"`
	AnswerNote      string  `json:"answer_note"`
	Again           string  `json:"again"`
	AgainNote       string  `json:"again_note"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func complaintView(cur money.Currency, n shop.Complaint) ComplaintView {
	return ComplaintView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:     string(n.WorkOrderID),
		JobID:           string(n.JobID),
		Kind:            string(n.Kind),
		Words:           n.Words,
		Symptom:         string(n.Symptom),
		Place:           n.Place,
		Circumstances:   n.Circumstances,
		Since:           n.Since,
		HowOften:        n.HowOften,
		Answer:          string(n.Answer),
		AnswerFindingID: orNull(n.AnswerFindingID),
		AnswerNote:      n.AnswerNote,
		Again:           string(n.Again),
		AgainNote:       n.AgainNote,
		StruckView:      struckView(n.Struck),
		OriginView:      originView(n.Origin),
		CreatedAt:       instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// CheckIn is what a client sends of a check.
type CheckIn struct {
	What       string      `json:"what"`
	Look       string      `json:"look"`
	Outcome    string      `json:"outcome"`
	Reading    *QuantityIn `json:"reading"`
	Minutes    int64       `json:"minutes"`
	Note       string      `json:"note"`
	CapturedAt *string     `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in CheckIn) onto(c *conv, n *shop.Check) {
	n.What = in.What
	n.Look = in.Look
	n.Outcome = shop.Outcome(in.Outcome)
	n.Reading = c.quantityOpt("/reading", in.Reading)
	n.Minutes = in.Minutes
	n.Note = in.Note
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// CheckView is a check as clients see it.
type CheckView struct {
	ID          string    `json:"id"`
	Version     int64     `json:"version"`
	WorkOrderID string    `json:"work_order_id"`
	JobID       string    `json:"job_id"`
	What        string    `json:"what"`
	Look        string    `json:"look"`
	Outcome     string    `json:"outcome"`
	Reading     *Quantity `json:"reading"`
	Minutes     int64     `json:"minutes"`
	Note        string    `json:"note"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func checkView(cur money.Currency, n shop.Check) CheckView {
	return CheckView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		What:        n.What,
		Look:        n.Look,
		Outcome:     string(n.Outcome),
		Reading:     quantityView(n.Reading),
		Minutes:     n.Minutes,
		Note:        n.Note,
		StruckView:  struckView(n.Struck),
		OriginView:  originView(n.Origin),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// AsFoundIn is what a client sends of a as found.
type AsFoundIn struct {
	What          string      `json:"what"`
	Reading       *QuantityIn `json:"reading"`
	Mark          string      `json:"mark"`
	WaivedBecause string      `json:"waived_because"`
	CapturedAt    *string     `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in AsFoundIn) onto(c *conv, n *shop.AsFound) {
	n.What = in.What
	n.Reading = c.quantityOpt("/reading", in.Reading)
	n.Mark = in.Mark
	n.WaivedBecause = in.WaivedBecause
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// AsFoundView is a as found as clients see it.
type AsFoundView struct {
	ID            string    `json:"id"`
	Version       int64     `json:"version"`
	WorkOrderID   string    `json:"work_order_id"`
	JobID         string    `json:"job_id"`
	What          string    `json:"what"`
	Reading       *Quantity `json:"reading"`
	Mark          string    `json:"mark"`
	WaivedBecause string    `json:"waived_because"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func asFoundView(cur money.Currency, n shop.AsFound) AsFoundView {
	return AsFoundView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:   string(n.WorkOrderID),
		JobID:         string(n.JobID),
		What:          n.What,
		Reading:       quantityView(n.Reading),
		Mark:          n.Mark,
		WaivedBecause: n.WaivedBecause,
		StruckView:    struckView(n.Struck),
		OriginView:    originView(n.Origin),
		CreatedAt:     instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// FindingIn is what a client sends of a finding.
type FindingIn struct {
	ComplaintID      *string          `json:"complaint_id"`
	Component        string           `json:"component"`
	Members          []string         `json:"members"`
	LookedAtGrade    *int64           `json:"looked_at_grade"`
	DamageMode       string           `json:"damage_mode"`
	Pieces           string           `json:"pieces"`
	InPieces         bool             `json:"in_pieces"`
	LaidOut          bool             `json:"laid_out"`
	FirstCause       bool             `json:"first_cause"`
	CausedByID       *string          `json:"caused_by_id"`
	SafeToRide       string           `json:"safe_to_ride"`
	Advised          string           `json:"advised"`
	WatchAt          string           `json:"watch_at"`
	ReachedByDebris  bool             `json:"reached_by_debris"`
	NotLookedBecause string           `json:"not_looked_because"`
	EvidenceBecause  string           `json:"evidence_because"`
	Note             string           `json:"note"`
	Debris           *FindingDebrisIn `json:"debris"`
	DangerOutcome    string           `json:"danger_outcome"`
	DangerWarning    string           `json:"danger_warning"`
	DangerWitness    string           `json:"danger_witness"`
	CapturedAt       *string          `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in FindingIn) onto(c *conv, n *shop.Finding) {
	n.ComplaintID = shop.ComplaintID(text(in.ComplaintID))
	n.Component = in.Component
	n.Members = list(in.Members)
	n.LookedAtGrade = in.LookedAtGrade
	n.DamageMode = shop.DamageMode(in.DamageMode)
	n.Pieces = shop.Pieces(orElse(in.Pieces, "none"))
	n.InPieces = in.InPieces
	n.LaidOut = in.LaidOut
	n.FirstCause = in.FirstCause
	n.CausedByID = shop.FindingID(text(in.CausedByID))
	n.SafeToRide = shop.YesNo(in.SafeToRide)
	n.Advised = shop.Advised(in.Advised)
	n.WatchAt = in.WatchAt
	n.ReachedByDebris = in.ReachedByDebris
	n.NotLookedBecause = in.NotLookedBecause
	n.EvidenceBecause = in.EvidenceBecause
	n.Note = in.Note
	n.Debris = c.debris("/debris", in.Debris)
	n.DangerOutcome = shop.DangerOutcome(in.DangerOutcome)
	n.DangerWarning = in.DangerWarning
	n.DangerWitness = in.DangerWitness
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// FindingView is a finding as clients see it.
type FindingView struct {
	ID               string         `json:"id"`
	Version          int64          `json:"version"`
	WorkOrderID      string         `json:"work_order_id"`
	JobID            string         `json:"job_id"`
	ComplaintID      *string        `json:"complaint_id"`
	Component        string         `json:"component"`
	Name             string         `json:"name"`
	Members          []string       `json:"members"`
	LookedAtGrade    *int64         `json:"looked_at_grade"`
	MeasuredGrade    *int64         `json:"measured_grade"`
	EffectiveGrade   *int64         `json:"effective_grade"`
	DamageMode       string         `json:"damage_mode"`
	Pieces           string         `json:"pieces"`
	InPieces         bool           `json:"in_pieces"`
	LaidOut          bool           `json:"laid_out"`
	FirstCause       bool           `json:"first_cause"`
	CausedByID       *string        `json:"caused_by_id"`
	SafeToRide       string         `json:"safe_to_ride"`
	Advised          string         `json:"advised"`
	WatchAt          string         `json:"watch_at"`
	ReachedByDebris  bool           `json:"reached_by_debris"`
	NotLookedBecause string         `json:"not_looked_because"`
	EvidenceBecause  string         `json:"evidence_because"`
	Note             string         `json:"note"`
	Debris           *FindingDebris `json:"debris"`
	DangerOutcome    string         `json:"danger_outcome"`
	DangerWarning    string         `json:"danger_warning"`
	DangerWitness    string         `json:"danger_witness"`
	DangerAt         *string        `json:"danger_at"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func findingView(cur money.Currency, n shop.Finding) FindingView {
	return FindingView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:      string(n.WorkOrderID),
		JobID:            string(n.JobID),
		ComplaintID:      orNull(n.ComplaintID),
		Component:        n.Component,
		Name:             n.Called(),
		Members:          texts(n.Members),
		LookedAtGrade:    n.LookedAtGrade,
		MeasuredGrade:    n.MeasuredGrade,
		EffectiveGrade:   n.EffectiveGrade,
		DamageMode:       string(n.DamageMode),
		Pieces:           string(n.Pieces),
		InPieces:         n.InPieces,
		LaidOut:          n.LaidOut,
		FirstCause:       n.FirstCause,
		CausedByID:       orNull(n.CausedByID),
		SafeToRide:       string(n.SafeToRide),
		Advised:          string(n.Advised),
		WatchAt:          n.WatchAt,
		ReachedByDebris:  n.ReachedByDebris,
		NotLookedBecause: n.NotLookedBecause,
		EvidenceBecause:  n.EvidenceBecause,
		Note:             n.Note,
		Debris:           debrisView(n.Debris),
		DangerOutcome:    string(n.DangerOutcome),
		DangerWarning:    n.DangerWarning,
		DangerWitness:    n.DangerWitness,
		DangerAt:         instantOptView(n.DangerAt),
		StruckView:       struckView(n.Struck),
		OriginView:       originView(n.Origin),
		CreatedAt:        instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// TagIn is what a client sends of a tag.
type TagIn struct {
	Code        string  `json:"code"`
	Kind        string  `json:"kind"`
	Holds       string  `json:"holds"`
	FromWhere   string  `json:"from_where"`
	LiesAt      string  `json:"lies_at"`
	Outcome     string  `json:"outcome"`
	OutcomeNote string  `json:"outcome_note"`
	CapturedAt  *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in TagIn) onto(c *conv, n *shop.Tag) {
	n.Code = orElse(in.Code, n.Code)
	n.Kind = shop.TagKind(in.Kind)
	n.Holds = in.Holds
	n.FromWhere = in.FromWhere
	n.LiesAt = in.LiesAt
	n.Outcome = shop.TagOutcome(in.Outcome)
	n.OutcomeNote = in.OutcomeNote
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// TagView is a tag as clients see it.
type TagView struct {
	ID          string `json:"id"`
	Version     int64  `json:"version"`
	WorkOrderID string `json:"work_order_id"`
	JobID       string `json:"job_id"`
	Number      int64  `json:"number"`
	Code        string `json:"code"`
	LabelCode   string `json:"label_code"`
	Kind        string `json:"kind"`
	Holds       string `json:"holds"`
	FromWhere   string `json:"from_where"`
	LiesAt      string `json:"lies_at"`
	Outcome     string `json:"outcome"`
	OutcomeNote string `json:"outcome_note"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func tagView(cur money.Currency, n shop.Tag) TagView {
	return TagView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		Number:      n.Number,
		Code:        n.Code,
		LabelCode:   n.LabelCode,
		Kind:        string(n.Kind),
		Holds:       n.Holds,
		FromWhere:   n.FromWhere,
		LiesAt:      n.LiesAt,
		Outcome:     string(n.Outcome),
		OutcomeNote: n.OutcomeNote,
		StruckView:  struckView(n.Struck),
		OriginView:  originView(n.Origin),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}
