package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// HandOverIn is what a client sends of a hand over.
type HandOverIn struct {
	HandedTo             string      `json:"handed_to"`
	Transport            string      `json:"transport"`
	DoNotStartTold       bool        `json:"do_not_start_told"`
	OldParts             string      `json:"old_parts"`
	OldPartsNote         string      `json:"old_parts_note"`
	AdviceGiven          bool        `json:"advice_given"`
	StillOpen            string      `json:"still_open"`
	RecheckOn            *string     `json:"recheck_on"`
	EvidenceUntil        *string     `json:"evidence_until"`
	CautionsTold         bool        `json:"cautions_told"`
	SelfReinspectionTold bool        `json:"self_reinspection_told"`
	OdometerOut          *QuantityIn `json:"odometer_out"`
	CapturedAt           *string     `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in HandOverIn) onto(c *conv, n *shop.HandOver) {
	n.HandedTo = in.HandedTo
	n.Transport = shop.Transport(in.Transport)
	n.DoNotStartTold = in.DoNotStartTold
	n.OldParts = shop.OldPartsDone(in.OldParts)
	n.OldPartsNote = in.OldPartsNote
	n.AdviceGiven = in.AdviceGiven
	n.StillOpen = in.StillOpen
	n.RecheckOn = c.dateOpt("/recheck_on", in.RecheckOn)
	n.EvidenceUntil = c.dateOpt("/evidence_until", in.EvidenceUntil)
	n.CautionsTold = in.CautionsTold
	n.SelfReinspectionTold = in.SelfReinspectionTold
	n.OdometerOut = c.quantityOpt("/odometer_out", in.OdometerOut)
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// HandOverView is a hand over as clients see it.
type HandOverView struct {
	ID                   string    `json:"id"`
	Version              int64     `json:"version"`
	WorkOrderID          string    `json:"work_order_id"`
	JobID                string    `json:"job_id"`
	HandedTo             string    `json:"handed_to"`
	Transport            string    `json:"transport"`
	DoNotStartTold       bool      `json:"do_not_start_told"`
	OldParts             string    `json:"old_parts"`
	OldPartsNote         string    `json:"old_parts_note"`
	AdviceGiven          bool      `json:"advice_given"`
	StillOpen            string    `json:"still_open"`
	RecheckOn            *string   `json:"recheck_on"`
	EvidenceUntil        *string   `json:"evidence_until"`
	CautionsTold         bool      `json:"cautions_told"`
	SelfReinspectionTold bool      `json:"self_reinspection_told"`
	OdometerOut          *Quantity `json:"odometer_out"`
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func handOverView(cur money.Currency, n shop.HandOver) HandOverView {
	return HandOverView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:          string(n.WorkOrderID),
		JobID:                string(n.JobID),
		HandedTo:             n.HandedTo,
		Transport:            string(n.Transport),
		DoNotStartTold:       n.DoNotStartTold,
		OldParts:             string(n.OldParts),
		OldPartsNote:         n.OldPartsNote,
		AdviceGiven:          n.AdviceGiven,
		StillOpen:            n.StillOpen,
		RecheckOn:            dateView(n.RecheckOn),
		EvidenceUntil:        dateView(n.EvidenceUntil),
		CautionsTold:         n.CautionsTold,
		SelfReinspectionTold: n.SelfReinspectionTold,
		OdometerOut:          quantityView(n.OdometerOut),
		OriginView:           originView(n.Origin),
		CreatedAt:            instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// AdviceIn is what a client sends of a advice.
type AdviceIn struct {
	Kind        string  `json:"kind"`
	Words       string  `json:"words"`
	DueOn       *string `json:"due_on"`
	DueDistance string  `json:"due_distance"`
	Told        bool    `json:"told"`
	CapturedAt  *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in AdviceIn) onto(c *conv, n *shop.Advice) {
	n.Kind = shop.AdviceKind(in.Kind)
	n.Words = in.Words
	n.DueOn = c.dateOpt("/due_on", in.DueOn)
	n.DueDistance = in.DueDistance
	n.Told = in.Told
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// AdviceView is a advice as clients see it.
type AdviceView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	Kind        string  `json:"kind"`
	Words       string  `json:"words"`
	DueOn       *string `json:"due_on"`
	DueDistance string  `json:"due_distance"`
	Told        bool    `json:"told"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func adviceView(cur money.Currency, n shop.Advice) AdviceView {
	return AdviceView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		Kind:        string(n.Kind),
		Words:       n.Words,
		DueOn:       dateView(n.DueOn),
		DueDistance: n.DueDistance,
		Told:        n.Told,
		StruckView:  struckView(n.Struck),
		OriginView:  originView(n.Origin),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// HoldIn is what a client sends of a hold.
type HoldIn struct {
	Reason  string  `json:"reason"`
	Note    string  `json:"note"`
	UntilOn *string `json:"until_on"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in HoldIn) onto(c *conv, n *shop.Hold) {
	n.Reason = shop.HoldReason(in.Reason)
	n.Note = in.Note
	n.UntilOn = c.dateOpt("/until_on", in.UntilOn)
}

// HoldView is a hold as clients see it.
type HoldView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	Reason      string  `json:"reason"`
	Note        string  `json:"note"`
	UntilOn     *string `json:"until_on"`
	HeldBy      string  `json:"held_by"`
	HeldAt      string  `json:"held_at"`
	LiftedBy    *string `json:"lifted_by"`
	LiftedAt    *string `json:"lifted_at"`
	CreatedAt   string  `json:"created_at"`
	UpdatedAt   string  `json:"updated_at"`
}

func holdView(cur money.Currency, n shop.Hold) HoldView {
	return HoldView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		Reason:      string(n.Reason),
		Note:        n.Note,
		UntilOn:     dateView(n.UntilOn),
		HeldBy:      string(n.HeldBy),
		HeldAt:      instantView(n.HeldAt),
		LiftedBy:    orNull(n.LiftedBy),
		LiftedAt:    instantOptView(n.LiftedAt),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// HandOverNoteIn is what a client sends of a hand over note.
type HandOverNoteIn struct {
	MachineState string  `json:"machine_state"`
	DoNotStart   bool    `json:"do_not_start"`
	Words        string  `json:"words"`
	CapturedAt   *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in HandOverNoteIn) onto(c *conv, n *shop.HandOverNote) {
	n.MachineState = in.MachineState
	n.DoNotStart = in.DoNotStart
	n.Words = in.Words
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// HandOverNoteView is a hand over note as clients see it.
type HandOverNoteView struct {
	ID           string  `json:"id"`
	Version      int64   `json:"version"`
	WorkOrderID  string  `json:"work_order_id"`
	JobID        string  `json:"job_id"`
	MachineState string  `json:"machine_state"`
	DoNotStart   bool    `json:"do_not_start"`
	Words        string  `json:"words"`
	ReadBy       *string `json:"read_by"`
	ReadAt       *string `json:"read_at"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func handOverNoteView(cur money.Currency, n shop.HandOverNote) HandOverNoteView {
	return HandOverNoteView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:  string(n.WorkOrderID),
		JobID:        string(n.JobID),
		MachineState: n.MachineState,
		DoNotStart:   n.DoNotStart,
		Words:        n.Words,
		ReadBy:       orNull(n.ReadBy),
		ReadAt:       instantOptView(n.ReadAt),
		StruckView:   struckView(n.Struck),
		OriginView:   originView(n.Origin),
		CreatedAt:    instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// WithdrawalIn is what a client sends of a withdrawal.
type WithdrawalIn struct {
	Reason       string  `json:"reason"`
	MachineState string  `json:"machine_state"`
	AskedBy      string  `json:"asked_by"`
	WarningsTold string  `json:"warnings_told"`
	CapturedAt   *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in WithdrawalIn) onto(c *conv, n *shop.Withdrawal) {
	n.Reason = in.Reason
	n.MachineState = shop.MachineState(in.MachineState)
	n.AskedBy = in.AskedBy
	n.WarningsTold = in.WarningsTold
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// WithdrawalView is a withdrawal as clients see it.
type WithdrawalView struct {
	ID           string `json:"id"`
	Version      int64  `json:"version"`
	WorkOrderID  string `json:"work_order_id"`
	JobID        string `json:"job_id"`
	Reason       string `json:"reason"`
	MachineState string `json:"machine_state"`
	AskedBy      string `json:"asked_by"`
	WarningsTold string `json:"warnings_told"`
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func withdrawalView(cur money.Currency, n shop.Withdrawal) WithdrawalView {
	return WithdrawalView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:  string(n.WorkOrderID),
		JobID:        string(n.JobID),
		Reason:       n.Reason,
		MachineState: string(n.MachineState),
		AskedBy:      n.AskedBy,
		WarningsTold: n.WarningsTold,
		OriginView:   originView(n.Origin),
		CreatedAt:    instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}
