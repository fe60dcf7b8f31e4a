package shop

import (
	"benchtag/internal/money"
	"time"
)

// Line: Labour, part, consumable, sublet or fee.
type Line struct {
	Row
	ID LineID `gorm:"primaryKey" json:"id"`
	OfJob
	// Kind: What kind.
	Kind LineKind `json:"kind"`
	// Description: As printed.
	Description string `json:"description"`
	// Work: What it is for.
	Work LineWork `json:"work"`
	// FindingID: The finding that calls for it.
	FindingID FindingID `gorm:"serializer:ref" json:"finding_id"`
	// ComplaintID: The complaint or request that calls for it.
	ComplaintID ComplaintID `gorm:"serializer:ref" json:"complaint_id"`
	// QuantityMilli: Quantity in thousandths; 1000 is one. Not for labour.
	QuantityMilli int64 `json:"quantity_milli"`
	// Minutes: Minutes of labour.
	Minutes int64 `json:"minutes"`
	// UnitPrice: Price of one, or of an hour, minor units.
	UnitPrice money.Amount `json:"unit_price"`
	// TaxCategory: Code of the tax category.
	TaxCategory string `json:"tax_category"`
	// Certainty: Certain, or possible ("if found").
	Certainty Certainty `json:"certainty"`
	// Ceiling: The most a possible line may come to.
	Ceiling *money.Amount `json:"ceiling"`
	// AfterRide: To be done after the ride.
	AfterRide bool `json:"after_ride"`
	// PartNumber: Maker's part number.
	PartNumber string `json:"part_number"`
	// PartCondition: New, used or rebuilt.
	PartCondition PartCondition `json:"part_condition"`
	// State: Proposed, agreed, done or struck.
	State LineState `json:"state"`
	// ConsentID: The consent that agreed it.
	ConsentID ConsentID `gorm:"serializer:ref" json:"consent_id"`
	// DoneBy: Who did it.
	DoneBy StaffID `gorm:"serializer:ref" json:"done_by"`
	// DoneAt: When.
	DoneAt *time.Time `json:"done_at"`
	Struck
	Origin
}

// TableName names the table of Line.
func (Line) TableName() string { return "lines" }

// Key gives the row id as text.
func (n Line) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Line) SetKey(id string) { n.ID = LineID(id) }

// PartOrder: A part ordered for a job.
type PartOrder struct {
	Row
	ID PartOrderID `gorm:"primaryKey" json:"id"`
	OfJob
	// LineID: The line it is for.
	LineID LineID `gorm:"serializer:ref" json:"line_id"`
	// PartNumber: Maker's part number.
	PartNumber string `json:"part_number"`
	// Description: What it is.
	Description string `json:"description"`
	// Supplier: Where it was ordered.
	Supplier string `json:"supplier"`
	// QuantityMilli: Quantity in thousandths.
	QuantityMilli int64 `json:"quantity_milli"`
	// OrderedOn: Day it was ordered.
	OrderedOn Date `json:"ordered_on"`
	// PromisedOn: Day it was promised.
	PromisedOn Date `json:"promised_on"`
	// ArrivedOn: Day it arrived.
	ArrivedOn Date `json:"arrived_on"`
	// PriceThen: Price when ordered.
	PriceThen *money.Amount `json:"price_then"`
	// PriceNow: Price when arrived.
	PriceNow *money.Amount `json:"price_now"`
	// SupersededBy: Number that replaces it.
	SupersededBy string `json:"superseded_by"`
	Struck
	Origin
}

// TableName names the table of PartOrder.
func (PartOrder) TableName() string { return "part_orders" }

// Key gives the row id as text.
func (n PartOrder) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *PartOrder) SetKey(id string) { n.ID = PartOrderID(id) }

// BenchTime: Who worked on a job from when to when.
type BenchTime struct {
	Row
	ID BenchTimeID `gorm:"primaryKey" json:"id"`
	OfJob
	// StaffID: Who worked.
	StaffID StaffID `json:"staff_id"`
	// StartedAt: When it began.
	StartedAt time.Time `json:"started_at"`
	// EndedAt: When it ended; none while running.
	EndedAt *time.Time `json:"ended_at"`
	// Work: What was done.
	Work string `json:"work"`
	Struck
	Origin
}

// TableName names the table of BenchTime.
func (BenchTime) TableName() string { return "bench_times" }

// Key gives the row id as text.
func (n BenchTime) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *BenchTime) SetKey(id string) { n.ID = BenchTimeID(id) }

// Promise: What was promised, for when.
type Promise struct {
	Row
	ID PromiseID `gorm:"primaryKey" json:"id"`
	OfJob
	// What: What was promised.
	What string `json:"what"`
	// PromisedOn: The day.
	PromisedOn Date `json:"promised_on"`
	Struck
	Origin
}

// TableName names the table of Promise.
func (Promise) TableName() string { return "promises" }

// Key gives the row id as text.
func (n Promise) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Promise) SetKey(id string) { n.ID = PromiseID(id) }

// Scope: One way forward: a set of lines with a total.
type Scope struct {
	Row
	ID ScopeID `gorm:"primaryKey" json:"id"`
	OfJob
	// Title: In a few words.
	Title string `json:"title"`
	// Kind: What is asked.
	Kind ScopeKind `json:"kind"`
	// LineIDs: Lines it holds.
	LineIDs []string `gorm:"serializer:json" json:"line_ids"`
	// WhatWeDo: What is done, for the customer.
	WhatWeDo string `json:"what_we_do"`
	// StaysUnknown: What stays unknown.
	StaysUnknown string `json:"stays_unknown"`
	// EarliestOn: Earliest day it can be ready.
	EarliestOn Date `json:"earliest_on"`
	// MayRide: Whether the machine may be ridden.
	MayRide RideAnswer `json:"may_ride"`
	// RideNote: In words.
	RideNote string `json:"ride_note"`
	// Warranty: What is promised for the work.
	Warranty string `json:"warranty"`
	// Deposit: Deposit asked before it starts.
	Deposit *money.Amount `json:"deposit"`
	// TeardownTerms: What must be said before something is taken apart.
	TeardownTerms *TeardownTerms `gorm:"serializer:json" json:"teardown_terms"`
	Struck
	Origin
}

// TableName names the table of Scope.
func (Scope) TableName() string { return "scopes" }

// Key gives the row id as text.
func (n Scope) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Scope) SetKey(id string) { n.ID = ScopeID(id) }

// Offer: What the customer was shown. Immutable snapshot.
type Offer struct {
	Row
	ID OfferID `gorm:"primaryKey" json:"id"`
	OfJob
	// Number: Number on the work order.
	Number int64 `json:"number"`
	// Kind: What is asked.
	Kind ScopeKind `json:"kind"`
	// ScopeIDs: Scopes it offers.
	ScopeIDs []string `gorm:"serializer:json" json:"scope_ids"`
	// Document: The bytes shown, JSON.
	Document []byte `json:"document"`
	// SHA256: Their SHA-256, hex.
	SHA256 string `json:"sha256"`
	// RuleID: Consent rule inside it.
	RuleID string `json:"rule_id"`
	// PriceUntil: Day until which the price holds.
	PriceUntil Date `json:"price_until"`
	// State: Where it stands.
	State OfferState `json:"state"`
	// NewFindings: Something new was found after it was sent.
	NewFindings bool `json:"new_findings"`
	// AskedBy: Who made it.
	AskedBy StaffID `json:"asked_by"`
	// AskedAt: When.
	AskedAt time.Time `json:"asked_at"`
}

// TableName names the table of Offer.
func (Offer) TableName() string { return "offers" }

// Key gives the row id as text.
func (n Offer) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Offer) SetKey(id string) { n.ID = OfferID(id) }

// OfferLink: A link that shows an offer to the customer.
type OfferLink struct {
	Row
	ID OfferLinkID `gorm:"primaryKey" json:"id"`
	OfJob
	// OfferID: The offer.
	OfferID OfferID `json:"offer_id"`
	// TokenHash: SHA-256 of the token, hex.
	TokenHash string `json:"-"`
	// ViewUntil: Shows until then.
	ViewUntil time.Time `json:"view_until"`
	// DecideUntil: Takes a decision until then.
	DecideUntil time.Time `json:"decide_until"`
	// RevokedAt: When it was closed.
	RevokedAt *time.Time `json:"revoked_at"`
	// UsedAt: When it took its decision.
	UsedAt *time.Time `json:"used_at"`
}

// TableName names the table of OfferLink.
func (OfferLink) TableName() string { return "offer_links" }

// Key gives the row id as text.
func (n OfferLink) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *OfferLink) SetKey(id string) { n.ID = OfferLinkID(id) }

// Consent: What the customer was shown, chose and agreed to.
type Consent struct {
	Row
	ID ConsentID `gorm:"primaryKey" json:"id"`
	OfJob
	// OfferID: The offer decided on; none for a "yes, up to" at drop-off.
	OfferID OfferID `gorm:"serializer:ref" json:"offer_id"`
	// ScopeID: The way forward chosen.
	ScopeID ScopeID `gorm:"serializer:ref" json:"scope_id"`
	// Kind: What was asked.
	Kind ConsentKind `json:"kind"`
	// Decision: Agreed or declined.
	Decision Decision `json:"decision"`
	// Method: How it was given.
	Method ConsentMethod `json:"method"`
	// TypedName: Name of the person who decided.
	TypedName string `json:"typed_name"`
	// Relation: Their relation to the owner.
	Relation string `json:"relation"`
	// IdentifiedHow: How they were known.
	IdentifiedHow string `json:"identified_how"`
	// ContactUsed: Number or address used.
	ContactUsed string `json:"contact_used"`
	// TakenBy: Who took it.
	TakenBy StaffID `gorm:"serializer:ref" json:"taken_by"`
	// SaidAt: When it was given.
	SaidAt time.Time `json:"said_at"`
	// DeviceTime: The device's own time, if sent.
	DeviceTime string `json:"device_time"`
	// ShownSHA256: SHA-256 of the document shown, hex.
	ShownSHA256 string `json:"shown_sha256"`
	// LimitAmount: "Yes, up to" this, tax included.
	LimitAmount *money.Amount `json:"limit_amount"`
	// Net: Sum shown before tax (upper end).
	Net money.Amount `json:"net"`
	// Tax: Tax shown.
	Tax money.Amount `json:"tax"`
	// Gross: Sum shown to pay (upper end).
	Gross money.Amount `json:"gross"`
	// Wording: The words agreed to.
	Wording string `json:"wording"`
	// ElectronicVersion: Which statement on electronic form was agreed to.
	ElectronicVersion string `json:"electronic_version"`
	// IP: Address it came from.
	IP string `json:"ip"`
	// UserAgent: What the browser said of itself.
	UserAgent string `json:"user_agent"`
	// LinkHash: SHA-256 of the link's token, hex.
	LinkHash string `json:"-"`
	// CopyTo: Where the copy goes.
	CopyTo string `json:"copy_to"`
	// CopySentAt: When the copy left.
	CopySentAt *time.Time `json:"copy_sent_at"`
	// Note: Remark.
	Note string `json:"note"`
	// RevokedAt: Since when it no longer counts: taken back, or put right by a
	// later record. The ending says which; nothing else of a record changes.
	RevokedAt *time.Time `json:"revoked_at"`
	// ShownAs: How the person had the words before them.
	ShownAs ShownAs `json:"shown_as"`
	// ReadOut: The words read to them, made by the server from the offer.
	ReadOut string `json:"read_out"`
	// ReadOutSHA256: Their SHA-256, hex.
	ReadOutSHA256 string `json:"read_out_sha256"`
	// SaidBack: What they said back, or wrote, in their words.
	SaidBack string `json:"said_back"`
	// ReadyOn: The day it will be ready, as told to them.
	ReadyOn Date `json:"ready_on"`
	// DayStands: They were told that the promised day stands.
	DayStands bool `json:"day_stands"`
	// ElectronicAgreed: They agreed to the electronic form, asked apart.
	ElectronicAgreed bool `json:"electronic_agreed"`
	// StaffName: Name, then, of who took it, or for a link of who asked.
	StaffName string `json:"staff_name"`
	// Act: What they did to answer.
	Act string `json:"act"`
	// Meaning: What that act means.
	Meaning string `json:"meaning"`
	// JournalSequence: Number of its entry in the work order's journal.
	JournalSequence int64 `json:"journal_sequence"`
}

// TableName names the table of Consent.
func (Consent) TableName() string { return "consents" }

// Key gives the row id as text.
func (n Consent) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Consent) SetKey(id string) { n.ID = ConsentID(id) }
