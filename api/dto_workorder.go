package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// WorkOrderIn is what a client sends of a work order.
type WorkOrderIn struct {
	MachineID  string  `json:"machine_id"`
	CustomerID string  `json:"customer_id"`
	Channel    string  `json:"channel"`
	BayID      *string `json:"bay_id"`
	PromisedOn *string `json:"promised_on"`
	Note       string  `json:"note"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in WorkOrderIn) onto(c *conv, n *shop.WorkOrder) {
	n.MachineID = shop.MachineID(in.MachineID)
	n.CustomerID = shop.CustomerID(in.CustomerID)
	n.Channel = shop.Channel(orElse(in.Channel, "walk_in"))
	n.BayID = shop.BayID(text(in.BayID))
	n.PromisedOn = c.dateOpt("/promised_on", in.PromisedOn)
	n.Note = in.Note
}

// WorkOrderView is a work order as clients see it.
type WorkOrderView struct {
	ID         string  `json:"id"`
	Version    int64   `json:"version"`
	Number     int64   `json:"number"`
	MachineID  string  `json:"machine_id"`
	CustomerID string  `json:"customer_id"`
	Channel    string  `json:"channel"`
	BayID      *string `json:"bay_id"`
	PromisedOn *string `json:"promised_on"`
	Note       string  `json:"note"`
	OpenedBy   string  `json:"opened_by"`
	OpenedAt   string  `json:"opened_at"`
	ClosedAt   *string `json:"closed_at"`
	Stage      string  `json:"stage"`
	CreatedAt  string  `json:"created_at"`
	UpdatedAt  string  `json:"updated_at"`
}

// workOrderView leaves the stage to be filled: it comes of the jobs.
func workOrderView(cur money.Currency, n shop.WorkOrder) WorkOrderView {
	return WorkOrderView{
		ID: string(n.ID), Version: n.Version,
		Number:     n.Number,
		MachineID:  string(n.MachineID),
		CustomerID: string(n.CustomerID),
		Channel:    string(n.Channel),
		BayID:      orNull(n.BayID),
		PromisedOn: dateView(n.PromisedOn),
		Note:       n.Note,
		OpenedBy:   string(n.OpenedBy),
		OpenedAt:   instantView(n.OpenedAt),
		ClosedAt:   instantOptView(n.ClosedAt),
		CreatedAt:  instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// IntakeFactsIn is what a client sends of a intake facts.
type IntakeFactsIn struct {
	Odometer            *QuantityIn `json:"odometer"`
	OdometerNotReadable string      `json:"odometer_not_readable"`
	Keys                int64       `json:"keys"`
	Luggage             string      `json:"luggage"`
	Fuel                string      `json:"fuel"`
	Damage              string      `json:"damage"`
	LeaveToRide         string      `json:"leave_to_ride"`
	CallAbove           *Money      `json:"call_above"`
	Intent              string      `json:"intent"`
	OldParts            string      `json:"old_parts"`
	CapturedAt          *string     `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in IntakeFactsIn) onto(c *conv, n *shop.IntakeFacts) {
	n.Odometer = c.quantityOpt("/odometer", in.Odometer)
	n.OdometerNotReadable = in.OdometerNotReadable
	n.Keys = in.Keys
	n.Luggage = in.Luggage
	n.Fuel = in.Fuel
	n.Damage = in.Damage
	n.LeaveToRide = shop.YesNo(orElse(in.LeaveToRide, "not_known"))
	n.CallAbove = c.moneyOpt("/call_above", in.CallAbove)
	n.Intent = shop.Intent(orElse(in.Intent, "not_said"))
	n.OldParts = shop.OldParts(orElse(in.OldParts, "not_said"))
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// IntakeFactsView is a intake facts as clients see it.
type IntakeFactsView struct {
	ID                  string    `json:"id"`
	Version             int64     `json:"version"`
	Odometer            *Quantity `json:"odometer"`
	OdometerNotReadable string    `json:"odometer_not_readable"`
	Keys                int64     `json:"keys"`
	Luggage             string    `json:"luggage"`
	Fuel                string    `json:"fuel"`
	Damage              string    `json:"damage"`
	LeaveToRide         string    `json:"leave_to_ride"`
	CallAbove           *Money    `json:"call_above"`
	Intent              string    `json:"intent"`
	OldParts            string    `json:"old_parts"`
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func intakeFactsView(cur money.Currency, n shop.IntakeFacts) IntakeFactsView {
	return IntakeFactsView{
		ID: string(n.ID), Version: n.Version,
		Odometer:            quantityView(n.Odometer),
		OdometerNotReadable: n.OdometerNotReadable,
		Keys:                n.Keys,
		Luggage:             n.Luggage,
		Fuel:                n.Fuel,
		Damage:              n.Damage,
		LeaveToRide:         string(n.LeaveToRide),
		CallAbove:           moneyOptView(cur, n.CallAbove),
		Intent:              string(n.Intent),
		OldParts:            string(n.OldParts),
		OriginView:          originView(n.Origin),
		CreatedAt:           instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// BillView is a bill as clients see it.
type BillView struct {
	ID          string   `json:"id"`
	Version     int64    `json:"version"`
	WorkOrderID string   `json:"work_order_id"`
	Number      int64    `json:"number"`
	JobIDs      []string `json:"job_ids"`
	SHA256      string   `json:"sha256"`
	Net         Money    `json:"net"`
	Tax         Money    `json:"tax"`
	Gross       Money    `json:"gross"`
	OnTerms     bool     `json:"on_terms"`
	TermsNote   string   `json:"terms_note"`
	IssuedBy    string   `json:"issued_by"`
	IssuedAt    string   `json:"issued_at"`
	VoidedAt    *string  `json:"voided_at"`
	VoidReason  string   `json:"void_reason"`
	CreatedAt   string   `json:"created_at"`
	UpdatedAt   string   `json:"updated_at"`
}

func billView(cur money.Currency, n shop.Bill) BillView {
	return BillView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		Number:      n.Number,
		JobIDs:      texts(n.JobIDs),
		SHA256:      n.SHA256,
		Net:         moneyView(cur, n.Net),
		Tax:         moneyView(cur, n.Tax),
		Gross:       moneyView(cur, n.Gross),
		OnTerms:     n.OnTerms,
		TermsNote:   n.TermsNote,
		IssuedBy:    string(n.IssuedBy),
		IssuedAt:    instantView(n.IssuedAt),
		VoidedAt:    instantOptView(n.VoidedAt),
		VoidReason:  n.VoidReason,
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// PaymentIn is what a client sends of a payment.
type PaymentIn struct {
	BillID *string `json:"bill_id"`
	Kind   string  `json:"kind"`
	Method string  `json:"method"`
	Amount Money   `json:"amount"`
	Note   string  `json:"note"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in PaymentIn) onto(c *conv, n *shop.Payment) {
	n.BillID = shop.BillID(text(in.BillID))
	n.Kind = shop.PaymentKind(in.Kind)
	n.Method = shop.PaymentMethod(in.Method)
	n.Amount = c.money("/amount", in.Amount)
	n.Note = in.Note
}

// PaymentView is a payment as clients see it.
type PaymentView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	BillID      *string `json:"bill_id"`
	Kind        string  `json:"kind"`
	Method      string  `json:"method"`
	Amount      Money   `json:"amount"`
	TakenBy     string  `json:"taken_by"`
	TakenAt     string  `json:"taken_at"`
	Note        string  `json:"note"`
	CreatedAt   string  `json:"created_at"`
	UpdatedAt   string  `json:"updated_at"`
}

func paymentView(cur money.Currency, n shop.Payment) PaymentView {
	return PaymentView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		BillID:      orNull(n.BillID),
		Kind:        string(n.Kind),
		Method:      string(n.Method),
		Amount:      moneyView(cur, n.Amount),
		TakenBy:     string(n.TakenBy),
		TakenAt:     instantView(n.TakenAt),
		Note:        n.Note,
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}
