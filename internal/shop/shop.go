package shop

import (
	"benchtag/internal/money"
	"time"
)

// Shop: A shop is the tenant: its money, its clock, its rule and its cautions.
type Shop struct {
	Row
	ID ShopID `gorm:"primaryKey"`
	// Name: The shop's name as customers know it.
	Name string
	// Slug: Short name used to sign in; never changes.
	Slug string
	// Currency: ISO 4217 code; fixed once set.
	Currency string
	// TaxMode: Whether prices are entered without tax (exclusive) or contain it (inclusive).
	TaxMode TaxMode
	// Rounding: Named rounding rule of the money package.
	Rounding string
	// TimeZone: IANA time zone in which dates of this shop are meant.
	TimeZone string
	// ConsentRule: Id of the consent rule the shop chose; empty means the strict default; "own" means own_rule.
	ConsentRule string
	// OwnRule: A rule of the shop's own, used where consent_rule is "own".
	OwnRule *OwnRule `gorm:"serializer:json"`
	// OnePerson: The shop has one person: re-inspection is by the same person, later, and the customer is told.
	OnePerson bool
	// Demo: A shop of invented data; only here may example limits decide.
	Demo bool
	// Phone: The shop's public phone number.
	Phone string
	// Address: The shop's public address.
	Address string
	// Registration: Registration or licence number to print, where the law asks for one.
	Registration string
	// Caution: The shop's own caution, shown under every paper.
	Caution string
}

// TableName names the table of Shop.
func (Shop) TableName() string { return "shops" }

// Key gives the row id as text.
func (n Shop) Key() string { return string(n.ID) }

// Staff: A person who works in the shop.
type Staff struct {
	Row
	ID StaffID `gorm:"primaryKey"`
	// Login: Name used to sign in; unique in the shop, lower case.
	Login string
	// Name: Name shown to colleagues.
	Name string
	// Roles: What this person may do; one person may hold several roles.
	Roles []Role `gorm:"serializer:json"`
	// PasswordHash: Argon2id hash in PHC form.
	PasswordHash string
	// PinHash: Argon2id hash of the bench PIN, or empty.
	PinHash string
	// HasPin: A bench PIN is set.
	HasPin bool
	// SessionVersion: Raised to end every session of this person at once.
	SessionVersion int64
	// Disabled: May no longer sign in.
	Disabled bool
	// Rides: Licensed and insured to ride customers' machines, by the owner's word.
	Rides bool
	// LicenceUntil: Day until which the riding licence was seen to be valid, or no data.
	LicenceUntil Date
}

// TableName names the table of Staff.
func (Staff) TableName() string { return "staff" }

// Key gives the row id as text.
func (n Staff) Key() string { return string(n.ID) }

// SignInCounter: How often sign-in failed for one account, so that guessing stops and survives a restart.
type SignInCounter struct {
	Row
	ID SignInCounterID `gorm:"primaryKey"`
	// AccountKey: SHA-256 of the login name and of whether the device is known.
	AccountKey string
	// Failures: Failures in a row.
	Failures int64
	// LastFailureAt: When the last one was.
	LastFailureAt *time.Time
	// NextTryAt: Before this moment no password is looked at.
	NextTryAt *time.Time
}

// TableName names the table of SignInCounter.
func (SignInCounter) TableName() string { return "sign_in_counters" }

// Key gives the row id as text.
func (n SignInCounter) Key() string { return string(n.ID) }

// Session: One sign-in and the tokens that come of it.
type Session struct {
	Row
	ID SessionID `gorm:"primaryKey"`
	// StaffID: Whose session it is.
	StaffID StaffID
	// Kind: A program (tokens in JSON) or a browser (cookie).
	Kind SessionKind
	// SessionVersion: The staff member's session version at sign-in.
	SessionVersion int64
	// StartedAt: When the password was given.
	StartedAt time.Time
	// LastUsedAt: When the refresh token was last used.
	LastUsedAt time.Time
	// IdleUntil: Ends here unless used before.
	IdleUntil time.Time
	// ExpiresAt: Ends here whatever happens.
	ExpiresAt time.Time
	// EndedAt: When it was ended.
	EndedAt *time.Time
	// EndedBecause: Why it was ended.
	EndedBecause string
	// UserAgent: What the program said of itself.
	UserAgent string
}

// TableName names the table of Session.
func (Session) TableName() string { return "sessions" }

// Key gives the row id as text.
func (n Session) Key() string { return string(n.ID) }

// RefreshToken: One refresh token of a session; used once.
type RefreshToken struct {
	Row
	ID RefreshTokenID `gorm:"primaryKey"`
	// SessionID: The session it belongs to.
	SessionID SessionID
	// TokenHash: SHA-256 of the token, hex.
	TokenHash string
	// UsedAt: When it was exchanged.
	UsedAt *time.Time
	// SuccessorHash: SHA-256 of the token it was exchanged for, hex.
	SuccessorHash string
}

// TableName names the table of RefreshToken.
func (RefreshToken) TableName() string { return "refresh_tokens" }

// Key gives the row id as text.
func (n RefreshToken) Key() string { return string(n.ID) }

// Tablet: A tablet the owner has enrolled for the bench.
type Tablet struct {
	Row
	ID TabletID `gorm:"primaryKey"`
	// Name: What people call it.
	Name string
	// EnrolHash: SHA-256 of the one-time enrolment code, hex.
	EnrolHash string
	// EnrolUntil: Until when the code is good.
	EnrolUntil *time.Time
	// SecretHash: SHA-256 of the device secret, hex.
	SecretHash string
	// EnrolledAt: When it was enrolled.
	EnrolledAt *time.Time
	// LastHeardAt: When it was last heard of.
	LastHeardAt *time.Time
	// Unsent: How many records it said it had not sent yet.
	Unsent int64
	// RevokedAt: When the owner took it out of use.
	RevokedAt *time.Time
}

// TableName names the table of Tablet.
func (Tablet) TableName() string { return "tablets" }

// Key gives the row id as text.
func (n Tablet) Key() string { return string(n.ID) }

// SignOn: One technician at one tablet, by PIN.
type SignOn struct {
	Row
	ID SignOnID `gorm:"primaryKey"`
	// TabletID: The tablet.
	TabletID TabletID
	// StaffID: Who signed on.
	StaffID StaffID
	// SessionVersion: The staff member's session version at sign-on.
	SessionVersion int64
	// StartedAt: When the PIN was given.
	StartedAt time.Time
	// LastUsedAt: When it last wrote or read.
	LastUsedAt time.Time
	// ExpiresAt: Ends here whatever happens.
	ExpiresAt time.Time
	// EndedAt: When it was ended.
	EndedAt *time.Time
}

// TableName names the table of SignOn.
func (SignOn) TableName() string { return "sign_ons" }

// Key gives the row id as text.
func (n SignOn) Key() string { return string(n.ID) }

// SecurityEvent: Something the owner should know about sign-ins and links.
type SecurityEvent struct {
	Row
	ID SecurityEventID `gorm:"primaryKey"`
	// Kind: What happened, e.g. refresh.replayed.
	Kind string
	// StaffID: Who it concerns, if known.
	StaffID StaffID `gorm:"serializer:ref"`
	// HappenedAt: When.
	HappenedAt time.Time
	// IP: Address it came from.
	IP string
	// Note: One sentence.
	Note string
}

// TableName names the table of SecurityEvent.
func (SecurityEvent) TableName() string { return "security_events" }

// Key gives the row id as text.
func (n SecurityEvent) Key() string { return string(n.ID) }

// Bay: A place where a machine stands.
type Bay struct {
	Row
	ID BayID `gorm:"primaryKey"`
	// Name: What people call it.
	Name string
	// Retired: No longer used.
	Retired bool
}

// TableName names the table of Bay.
func (Bay) TableName() string { return "bays" }

// Key gives the row id as text.
func (n Bay) Key() string { return string(n.ID) }

// TaxCategory: A tax rate by name.
type TaxCategory struct {
	Row
	ID TaxCategoryID `gorm:"primaryKey"`
	// Code: Short name that lines refer to.
	Code string
	// Label: As printed.
	Label string
	// RatePPM: Rate in parts per million; 85000 is 8.5 %.
	RatePPM int64
}

// TableName names the table of TaxCategory.
func (TaxCategory) TableName() string { return "tax_categories" }

// Key gives the row id as text.
func (n TaxCategory) Key() string { return string(n.ID) }

// LabourRate: A price for an hour of work.
type LabourRate struct {
	Row
	ID LabourRateID `gorm:"primaryKey"`
	// Name: What people call it.
	Name string
	// PerHour: Price of sixty minutes, minor units.
	PerHour money.Amount
	// TaxCategory: Code of its tax category.
	TaxCategory string
}

// TableName names the table of LabourRate.
func (LabourRate) TableName() string { return "labour_rates" }

// Key gives the row id as text.
func (n LabourRate) Key() string { return string(n.ID) }

// Gauge: A measuring tool.
type Gauge struct {
	Row
	ID GaugeID `gorm:"primaryKey"`
	// Name: What people call it.
	Name string
	// Kind: What it is, e.g. outside micrometer.
	Kind string
	// Serial: Its serial number.
	Serial string
	// Resolution: Smallest step it shows.
	Resolution Quantity `gorm:"embedded;embeddedPrefix:resolution_"`
	// Uncertainty: Expanded uncertainty (k = 2) from its certificate.
	Uncertainty Quantity `gorm:"embedded;embeddedPrefix:uncertainty_"`
	// CalibratedOn: Day of the last calibration.
	CalibratedOn Date
	// CalibrationDueOn: Day from which its readings no longer count.
	CalibrationDueOn Date
	// Certificate: The certificate's number.
	Certificate string
	// Retired: No longer used.
	Retired bool
}

// TableName names the table of Gauge.
func (Gauge) TableName() string { return "gauges" }

// Key gives the row id as text.
func (n Gauge) Key() string { return string(n.ID) }

// Layout: A machine map: what a kind of machine is made of. Versioned document.
type Layout struct {
	Row
	ID LayoutID `gorm:"primaryKey"`
	// Code: Which map.
	Code string
	// Revision: Which edition; a job pins one.
	Revision int64
	// Title: As shown.
	Title string
	// Example: Example figures, not for service.
	Example bool
	// Document: The JSON document as stored.
	Document []byte
	// SHA256: Its SHA-256, hex.
	SHA256 string
}

// TableName names the table of Layout.
func (Layout) TableName() string { return "layouts" }

// Key gives the row id as text.
func (n Layout) Key() string { return string(n.ID) }

// LimitSheet: Limits with their source for one make, model and span of years. Versioned document.
type LimitSheet struct {
	Row
	ID LimitSheetID `gorm:"primaryKey"`
	// Code: Which sheet.
	Code string
	// Revision: Which edition; a job pins one.
	Revision int64
	// Title: As shown.
	Title string
	// Make: Make it is for.
	Make string
	// Model: Model it is for.
	Model string
	// YearFrom: First model year.
	YearFrom *int64
	// YearTo: Last model year.
	YearTo *int64
	// Example: Example figures, not for service.
	Example bool
	// Document: The JSON document as stored.
	Document []byte
	// SHA256: Its SHA-256, hex.
	SHA256 string
}

// TableName names the table of LimitSheet.
func (LimitSheet) TableName() string { return "limit_sheets" }

// Key gives the row id as text.
func (n LimitSheet) Key() string { return string(n.ID) }
