package shop

import (
	"benchtag/internal/money"
	"time"
)

// WorkOrder: One visit of one machine.
type WorkOrder struct {
	Row
	ID WorkOrderID `gorm:"primaryKey" json:"id"`
	// Number: Number for people; counts up in the shop.
	Number int64 `json:"number"`
	// MachineID: The machine.
	MachineID MachineID `json:"machine_id"`
	// CustomerID: Who pays and decides for this visit.
	CustomerID CustomerID `json:"customer_id"`
	// Channel: How it came in.
	Channel Channel `json:"channel"`
	// BayID: Where it stands.
	BayID BayID `gorm:"serializer:ref" json:"bay_id"`
	// PromisedOn: Day the customer was promised, or no data.
	PromisedOn Date `json:"promised_on"`
	// Note: For the shop's eyes only.
	Note string `json:"note"`
	// OpenedBy: Who opened it.
	OpenedBy StaffID `json:"opened_by"`
	// OpenedAt: When.
	OpenedAt time.Time `json:"opened_at"`
	// ClosedAt: When its last job was closed or withdrawn.
	ClosedAt *time.Time `json:"closed_at"`
}

// TableName names the table of WorkOrder.
func (WorkOrder) TableName() string { return "work_orders" }

// Key gives the row id as text.
func (n WorkOrder) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *WorkOrder) SetKey(id string) { n.ID = WorkOrderID(id) }

// IntakeFacts: What is agreed and seen when the machine comes in.
type IntakeFacts struct {
	Row
	ID WorkOrderID `gorm:"primaryKey" json:"id"`
	// Odometer: What the odometer says.
	Odometer Quantity `gorm:"embedded;embeddedPrefix:odometer_" json:"odometer"`
	// OdometerNotReadable: Why it cannot be read.
	OdometerNotReadable string `json:"odometer_not_readable"`
	// Keys: How many keys were handed in.
	Keys int64 `json:"keys"`
	// Luggage: What was left with the machine.
	Luggage string `json:"luggage"`
	// Fuel: How much fuel is in it.
	Fuel string `json:"fuel"`
	// Damage: Damage already there.
	Damage string `json:"damage"`
	// LeaveToRide: Whether the customer lets the shop ride it.
	LeaveToRide YesNo `json:"leave_to_ride"`
	// CallAbove: Call before the price passes this.
	CallAbove *money.Amount `json:"call_above"`
	// Intent: Keep, sell, or one more season.
	Intent Intent `json:"intent"`
	// OldParts: What the customer wants done with replaced parts.
	OldParts OldParts `json:"old_parts"`
	Origin
}

// TableName names the table of IntakeFacts.
func (IntakeFacts) TableName() string { return "intake_facts" }

// Key gives the row id as text.
func (n IntakeFacts) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *IntakeFacts) SetKey(id string) { n.ID = WorkOrderID(id) }

// Bill: What is asked for the work done. Immutable; voided and issued again.
type Bill struct {
	Row
	ID BillID `gorm:"primaryKey" json:"id"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID `json:"work_order_id"`
	// Number: Its own number series.
	Number int64 `json:"number"`
	// JobIDs: Jobs it covers.
	JobIDs []string `gorm:"serializer:json" json:"job_ids"`
	// Document: The bill as issued, JSON.
	Document []byte `json:"document"`
	// SHA256: SHA-256 of the document, hex.
	SHA256 string `json:"sha256"`
	// Net: Sum before tax.
	Net money.Amount `json:"net"`
	// Tax: Tax.
	Tax money.Amount `json:"tax"`
	// Gross: Sum to pay.
	Gross money.Amount `json:"gross"`
	// OnTerms: To be paid later, by agreement.
	OnTerms bool `json:"on_terms"`
	// TermsNote: The agreement in words.
	TermsNote string `json:"terms_note"`
	// IssuedBy: Who issued it.
	IssuedBy StaffID `json:"issued_by"`
	// IssuedAt: When.
	IssuedAt time.Time `json:"issued_at"`
	// VoidedAt: When it was voided.
	VoidedAt *time.Time `json:"voided_at"`
	// VoidReason: Why.
	VoidReason string `json:"void_reason"`
}

// TableName names the table of Bill.
func (Bill) TableName() string { return "bills" }

// Key gives the row id as text.
func (n Bill) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Bill) SetKey(id string) { n.ID = BillID(id) }

// Payment: Money taken or given back.
type Payment struct {
	Row
	ID PaymentID `gorm:"primaryKey" json:"id"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID `json:"work_order_id"`
	// BillID: The bill it pays; none for a deposit.
	BillID BillID `gorm:"serializer:ref" json:"bill_id"`
	// Kind: Payment, deposit or refund.
	Kind PaymentKind `json:"kind"`
	// Method: How it was paid.
	Method PaymentMethod `json:"method"`
	// Amount: How much; always positive.
	Amount money.Amount `json:"amount"`
	// TakenBy: Who took it.
	TakenBy StaffID `json:"taken_by"`
	// TakenAt: When.
	TakenAt time.Time `json:"taken_at"`
	// Note: Remark.
	Note string `json:"note"`
}

// TableName names the table of Payment.
func (Payment) TableName() string { return "payments" }

// Key gives the row id as text.
func (n Payment) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Payment) SetKey(id string) { n.ID = PaymentID(id) }
