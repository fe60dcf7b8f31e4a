package shop

import (
	"benchtag/internal/money"
	"time"
)

// WorkOrder: One visit of one machine.
type WorkOrder struct {
	Row
	ID WorkOrderID `gorm:"primaryKey"`
	// Number: Number for people; counts up in the shop.
	Number int64
	// MachineID: The machine.
	MachineID MachineID
	// CustomerID: Who pays and decides for this visit.
	CustomerID CustomerID
	// Channel: How it came in.
	Channel Channel
	// BayID: Where it stands.
	BayID BayID `gorm:"serializer:ref"`
	// PromisedOn: Day the customer was promised, or no data.
	PromisedOn Date
	// Note: For the shop's eyes only.
	Note string
	// OpenedBy: Who opened it.
	OpenedBy StaffID
	// OpenedAt: When.
	OpenedAt time.Time
	// ClosedAt: When its last job was closed or withdrawn.
	ClosedAt *time.Time
}

// TableName names the table of WorkOrder.
func (WorkOrder) TableName() string { return "work_orders" }

// Key gives the row id as text.
func (n WorkOrder) Key() string { return string(n.ID) }

// IntakeFacts: What is agreed and seen when the machine comes in.
type IntakeFacts struct {
	Row
	ID WorkOrderID `gorm:"primaryKey"`
	// Odometer: What the odometer says.
	Odometer Quantity `gorm:"embedded;embeddedPrefix:odometer_"`
	// OdometerNotReadable: Why it cannot be read.
	OdometerNotReadable string
	// Keys: How many keys were handed in.
	Keys int64
	// Luggage: What was left with the machine.
	Luggage string
	// Fuel: How much fuel is in it.
	Fuel string
	// Damage: Damage already there.
	Damage string
	// LeaveToRide: Whether the customer lets the shop ride it.
	LeaveToRide YesNo
	// CallAbove: Call before the price passes this.
	CallAbove *money.Amount
	// Intent: Keep, sell, or one more season.
	Intent Intent
	// OldParts: What the customer wants done with replaced parts.
	OldParts OldParts
}

// TableName names the table of IntakeFacts.
func (IntakeFacts) TableName() string { return "intake_facts" }

// Key gives the row id as text.
func (n IntakeFacts) Key() string { return string(n.ID) }

// Bill: What is asked for the work done. Immutable; voided and issued again.
type Bill struct {
	Row
	ID BillID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// Number: Its own number series.
	Number int64
	// JobIDs: Jobs it covers.
	JobIDs []string `gorm:"serializer:json"`
	// Document: The bill as issued, JSON.
	Document []byte
	// SHA256: SHA-256 of the document, hex.
	SHA256 string
	// Net: Sum before tax.
	Net money.Amount
	// Tax: Tax.
	Tax money.Amount
	// Gross: Sum to pay.
	Gross money.Amount
	// OnTerms: To be paid later, by agreement.
	OnTerms bool
	// TermsNote: The agreement in words.
	TermsNote string
	// IssuedBy: Who issued it.
	IssuedBy StaffID
	// IssuedAt: When.
	IssuedAt time.Time
	// VoidedAt: When it was voided.
	VoidedAt *time.Time
	// VoidReason: Why.
	VoidReason string
}

// TableName names the table of Bill.
func (Bill) TableName() string { return "bills" }

// Key gives the row id as text.
func (n Bill) Key() string { return string(n.ID) }

// Payment: Money taken or given back.
type Payment struct {
	Row
	ID PaymentID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// BillID: The bill it pays; none for a deposit.
	BillID BillID `gorm:"serializer:ref"`
	// Kind: Payment, deposit or refund.
	Kind PaymentKind
	// Method: How it was paid.
	Method PaymentMethod
	// Amount: How much; always positive.
	Amount money.Amount
	// TakenBy: Who took it.
	TakenBy StaffID
	// TakenAt: When.
	TakenAt time.Time
	// Note: Remark.
	Note string
}

// TableName names the table of Payment.
func (Payment) TableName() string { return "payments" }

// Key gives the row id as text.
func (n Payment) Key() string { return string(n.ID) }
