package shop

import (
	"benchtag/internal/money"
	"time"
)

// Line: Labour, part, consumable, sublet or fee.
type Line struct {
	Row
	ID LineID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Kind: What kind.
	Kind LineKind
	// Description: As printed.
	Description string
	// Work: What it is for.
	Work LineWork
	// FindingID: The finding that calls for it.
	FindingID FindingID `gorm:"serializer:ref"`
	// ComplaintID: The complaint or request that calls for it.
	ComplaintID ComplaintID `gorm:"serializer:ref"`
	// QuantityMilli: Quantity in thousandths; 1000 is one. Not for labour.
	QuantityMilli int64
	// Minutes: Minutes of labour.
	Minutes int64
	// UnitPrice: Price of one, or of an hour, minor units.
	UnitPrice money.Amount
	// TaxCategory: Code of the tax category.
	TaxCategory string
	// Certainty: Certain, or possible ("if found").
	Certainty Certainty
	// Ceiling: The most a possible line may come to.
	Ceiling *money.Amount
	// AfterRide: To be done after the ride.
	AfterRide bool
	// PartNumber: Maker's part number.
	PartNumber string
	// PartCondition: New, used or rebuilt.
	PartCondition PartCondition
	// State: Proposed, agreed, done or struck.
	State LineState
	// ConsentID: The consent that agreed it.
	ConsentID ConsentID `gorm:"serializer:ref"`
	// DoneBy: Who did it.
	DoneBy StaffID `gorm:"serializer:ref"`
	// DoneAt: When.
	DoneAt *time.Time
	Struck
	Origin
}

// TableName names the table of Line.
func (Line) TableName() string { return "lines" }

// Key gives the row id as text.
func (n Line) Key() string { return string(n.ID) }

// PartOrder: A part ordered for a job.
type PartOrder struct {
	Row
	ID PartOrderID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// LineID: The line it is for.
	LineID LineID `gorm:"serializer:ref"`
	// PartNumber: Maker's part number.
	PartNumber string
	// Description: What it is.
	Description string
	// Supplier: Where it was ordered.
	Supplier string
	// QuantityMilli: Quantity in thousandths.
	QuantityMilli int64
	// OrderedOn: Day it was ordered.
	OrderedOn Date
	// PromisedOn: Day it was promised.
	PromisedOn Date
	// ArrivedOn: Day it arrived.
	ArrivedOn Date
	// PriceThen: Price when ordered.
	PriceThen *money.Amount
	// PriceNow: Price when arrived.
	PriceNow *money.Amount
	// SupersededBy: Number that replaces it.
	SupersededBy string
	Struck
	Origin
}

// TableName names the table of PartOrder.
func (PartOrder) TableName() string { return "part_orders" }

// Key gives the row id as text.
func (n PartOrder) Key() string { return string(n.ID) }

// BenchTime: Who worked on a job from when to when.
type BenchTime struct {
	Row
	ID BenchTimeID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// StaffID: Who worked.
	StaffID StaffID
	// StartedAt: When it began.
	StartedAt time.Time
	// EndedAt: When it ended; none while running.
	EndedAt *time.Time
	// Work: What was done.
	Work string
	Struck
	Origin
}

// TableName names the table of BenchTime.
func (BenchTime) TableName() string { return "bench_times" }

// Key gives the row id as text.
func (n BenchTime) Key() string { return string(n.ID) }

// Promise: What was promised, for when.
type Promise struct {
	Row
	ID PromiseID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// What: What was promised.
	What string
	// PromisedOn: The day.
	PromisedOn Date
	Struck
}

// TableName names the table of Promise.
func (Promise) TableName() string { return "promises" }

// Key gives the row id as text.
func (n Promise) Key() string { return string(n.ID) }

// Scope: One way forward: a set of lines with a total.
type Scope struct {
	Row
	ID ScopeID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Title: In a few words.
	Title string
	// Kind: What is asked.
	Kind ScopeKind
	// LineIDs: Lines it holds.
	LineIDs []string `gorm:"serializer:json"`
	// WhatWeDo: What is done, for the customer.
	WhatWeDo string
	// StaysUnknown: What stays unknown.
	StaysUnknown string
	// EarliestOn: Earliest day it can be ready.
	EarliestOn Date
	// MayRide: Whether the machine may be ridden.
	MayRide RideAnswer
	// RideNote: In words.
	RideNote string
	// Warranty: What is promised for the work.
	Warranty string
	// Deposit: Deposit asked before it starts.
	Deposit *money.Amount
	// TeardownTerms: What must be said before something is taken apart.
	TeardownTerms *TeardownTerms `gorm:"serializer:json"`
	Struck
}

// TableName names the table of Scope.
func (Scope) TableName() string { return "scopes" }

// Key gives the row id as text.
func (n Scope) Key() string { return string(n.ID) }

// Offer: What the customer was shown. Immutable snapshot.
type Offer struct {
	Row
	ID OfferID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// Number: Number on the work order.
	Number int64
	// Kind: What is asked.
	Kind ScopeKind
	// ScopeIDs: Scopes it offers.
	ScopeIDs []string `gorm:"serializer:json"`
	// Document: The bytes shown, JSON.
	Document []byte
	// SHA256: Their SHA-256, hex.
	SHA256 string
	// RuleID: Consent rule inside it.
	RuleID string
	// PriceUntil: Day until which the price holds.
	PriceUntil Date
	// State: Where it stands.
	State OfferState
	// NewFindings: Something new was found after it was sent.
	NewFindings bool
	// AskedBy: Who made it.
	AskedBy StaffID
	// AskedAt: When.
	AskedAt time.Time
}

// TableName names the table of Offer.
func (Offer) TableName() string { return "offers" }

// Key gives the row id as text.
func (n Offer) Key() string { return string(n.ID) }

// OfferLink: A link that shows an offer to the customer.
type OfferLink struct {
	Row
	ID OfferLinkID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// OfferID: The offer.
	OfferID OfferID
	// TokenHash: SHA-256 of the token, hex.
	TokenHash string
	// ViewUntil: Shows until then.
	ViewUntil time.Time
	// DecideUntil: Takes a decision until then.
	DecideUntil time.Time
	// RevokedAt: When it was closed.
	RevokedAt *time.Time
	// UsedAt: When it took its decision.
	UsedAt *time.Time
}

// TableName names the table of OfferLink.
func (OfferLink) TableName() string { return "offer_links" }

// Key gives the row id as text.
func (n OfferLink) Key() string { return string(n.ID) }

// Consent: What the customer was shown, chose and agreed to.
type Consent struct {
	Row
	ID ConsentID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// JobID is the job it belongs to.
	JobID JobID
	// OfferID: The offer decided on; none for a "yes, up to" at drop-off.
	OfferID OfferID `gorm:"serializer:ref"`
	// ScopeID: The way forward chosen.
	ScopeID ScopeID `gorm:"serializer:ref"`
	// Kind: What was asked.
	Kind ConsentKind
	// Decision: Agreed or declined.
	Decision Decision
	// Method: How it was given.
	Method ConsentMethod
	// TypedName: Name of the person who decided.
	TypedName string
	// Relation: Their relation to the owner.
	Relation string
	// IdentifiedHow: How they were known.
	IdentifiedHow string
	// ContactUsed: Number or address used.
	ContactUsed string
	// TakenBy: Who took it.
	TakenBy StaffID `gorm:"serializer:ref"`
	// SaidAt: When it was given.
	SaidAt time.Time
	// DeviceTime: The device's own time, if sent.
	DeviceTime string
	// ShownSHA256: SHA-256 of the document shown, hex.
	ShownSHA256 string
	// LimitAmount: "Yes, up to" this, tax included.
	LimitAmount *money.Amount
	// Net: Sum shown before tax (upper end).
	Net money.Amount
	// Tax: Tax shown.
	Tax money.Amount
	// Gross: Sum shown to pay (upper end).
	Gross money.Amount
	// Wording: The words agreed to.
	Wording string
	// ElectronicVersion: Which statement on electronic form was agreed to.
	ElectronicVersion string
	// IP: Address it came from.
	IP string
	// UserAgent: What the browser said of itself.
	UserAgent string
	// LinkHash: SHA-256 of the link's token, hex.
	LinkHash string
	// CopyTo: Where the copy goes.
	CopyTo string
	// CopySentAt: When the copy left.
	CopySentAt *time.Time
	// Note: Remark.
	Note string
	// RevokedAt: When it was taken back.
	RevokedAt *time.Time
}

// TableName names the table of Consent.
func (Consent) TableName() string { return "consents" }

// Key gives the row id as text.
func (n Consent) Key() string { return string(n.ID) }
