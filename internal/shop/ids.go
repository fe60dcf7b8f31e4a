package shop

// ShopID identifies a shop (UUIDv7 text).
type ShopID string

// StaffID identifies a staff (UUIDv7 text).
type StaffID string

// SignInCounterID identifies a sign in counter (UUIDv7 text).
type SignInCounterID string

// SessionID identifies a session (UUIDv7 text).
type SessionID string

// RefreshTokenID identifies a refresh token (UUIDv7 text).
type RefreshTokenID string

// TabletID identifies a tablet (UUIDv7 text).
type TabletID string

// SignOnID identifies a sign on (UUIDv7 text).
type SignOnID string

// SecurityEventID identifies a security event (UUIDv7 text).
type SecurityEventID string

// BayID identifies a bay (UUIDv7 text).
type BayID string

// TaxCategoryID identifies a tax category (UUIDv7 text).
type TaxCategoryID string

// LabourRateID identifies a labour rate (UUIDv7 text).
type LabourRateID string

// GaugeID identifies a gauge (UUIDv7 text).
type GaugeID string

// LayoutID identifies a layout (UUIDv7 text).
type LayoutID string

// LimitSheetID identifies a limit sheet (UUIDv7 text).
type LimitSheetID string

// CustomerID identifies a customer (UUIDv7 text).
type CustomerID string

// MachineID identifies a machine (UUIDv7 text).
type MachineID string

// OdometerReadingID identifies a odometer reading (UUIDv7 text).
type OdometerReadingID string

// WorkOrderID identifies a work order (UUIDv7 text).
type WorkOrderID string

// BillID identifies a bill (UUIDv7 text).
type BillID string

// PaymentID identifies a payment (UUIDv7 text).
type PaymentID string

// JobID identifies a job (UUIDv7 text).
type JobID string

// ComplaintID identifies a complaint (UUIDv7 text).
type ComplaintID string

// CheckID identifies a check (UUIDv7 text).
type CheckID string

// AsFoundID identifies a as found (UUIDv7 text).
type AsFoundID string

// FindingID identifies a finding (UUIDv7 text).
type FindingID string

// MeasurementID identifies a measurement (UUIDv7 text).
type MeasurementID string

// PhotoID identifies a photo (UUIDv7 text).
type PhotoID string

// TagID identifies a tag (UUIDv7 text).
type TagID string

// TagBlockID identifies a tag block (UUIDv7 text).
type TagBlockID string

// LineID identifies a line (UUIDv7 text).
type LineID string

// PartOrderID identifies a part order (UUIDv7 text).
type PartOrderID string

// BenchTimeID identifies a bench time (UUIDv7 text).
type BenchTimeID string

// PromiseID identifies a promise (UUIDv7 text).
type PromiseID string

// ScopeID identifies a scope (UUIDv7 text).
type ScopeID string

// OfferID identifies a offer (UUIDv7 text).
type OfferID string

// OfferLinkID identifies a offer link (UUIDv7 text).
type OfferLinkID string

// ConsentID identifies a consent (UUIDv7 text).
type ConsentID string

// FasteningID identifies a fastening (UUIDv7 text).
type FasteningID string

// HoldPointID identifies a hold point (UUIDv7 text).
type HoldPointID string

// RoadTestID identifies a road test (UUIDv7 text).
type RoadTestID string

// DebrisCheckID identifies a debris check (UUIDv7 text).
type DebrisCheckID string

// AdviceID identifies a advice (UUIDv7 text).
type AdviceID string

// HoldID identifies a hold (UUIDv7 text).
type HoldID string

// HandOverNoteID identifies a hand over note (UUIDv7 text).
type HandOverNoteID string

// MessageID identifies a message that goes out (UUIDv7 text).
type MessageID string

// WebhookID identifies a webhook (UUIDv7 text).
type WebhookID string

// ConsentEndingID identifies the ending of a consent (UUIDv7 text).
type ConsentEndingID string

// CustomerQuestionID identifies a customer's question (UUIDv7 text).
type CustomerQuestionID string

// LegalHoldID identifies a legal hold (UUIDv7 text).
type LegalHoldID string
