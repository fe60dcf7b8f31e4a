package shop

import (
	"benchtag/internal/money"
	"time"
)

// Shop: A shop is the tenant: its money, its clock, its rule and its cautions.
type Shop struct {
	Row
	ID ShopID `gorm:"primaryKey" json:"id"`
	// Name: The shop's name as customers know it.
	Name string `json:"name"`
	// Slug: Short name used to sign in; never changes.
	Slug string `json:"slug"`
	// Currency: ISO 4217 code; fixed once set.
	Currency string `json:"currency"`
	// TaxMode: Whether prices are entered without tax (exclusive) or contain it (inclusive).
	TaxMode TaxMode `json:"tax_mode"`
	// Rounding: Named rounding rule of the money package.
	Rounding string `json:"rounding"`
	// TimeZone: IANA time zone in which dates of this shop are meant.
	TimeZone string `json:"time_zone"`
	// ConsentRule: Id of the consent rule the shop chose; empty means the strict default; "own" means own_rule.
	ConsentRule string `json:"consent_rule"`
	// OwnRule: A rule of the shop's own, used where consent_rule is "own".
	OwnRule *OwnRule `gorm:"serializer:json" json:"own_rule"`
	// OnePerson: The shop has one person: re-inspection is by the same person, later, and the customer is told.
	OnePerson bool `json:"one_person"`
	// Demo: A shop of invented data; only here may example limits decide.
	Demo bool `json:"demo"`
	// Phone: The shop's public phone number.
	Phone string `json:"phone"`
	// Address: The shop's public address.
	Address string `json:"address"`
	// Registration: Registration or licence number to print, where the law asks for one.
	Registration string `json:"registration"`
	// Caution: The shop's own caution, shown under every paper.
	Caution string `json:"caution"`
	// Email: The shop's public e-mail address; answers to what it sends go there.
	Email string `json:"email"`
}

// TableName names the table of Shop.
func (Shop) TableName() string { return "shops" }

// Key gives the row id as text.
func (n Shop) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Shop) SetKey(id string) { n.ID = ShopID(id) }

// Staff: A person who works in the shop.
type Staff struct {
	Row
	ID StaffID `gorm:"primaryKey" json:"id"`
	// Login: Name used to sign in; unique in the shop, lower case.
	Login string `json:"login"`
	// Name: Name shown to colleagues.
	Name string `json:"name"`
	// Roles: What this person may do; one person may hold several roles.
	Roles []Role `gorm:"serializer:json" json:"roles"`
	// PasswordHash: Argon2id hash in PHC form.
	PasswordHash string `json:"-"`
	// PinHash: Argon2id hash of the bench PIN, or empty.
	PinHash string `json:"-"`
	// HasPin: A bench PIN is set.
	HasPin bool `json:"has_pin"`
	// SessionVersion: Raised to end every session of this person at once.
	SessionVersion int64 `json:"-"`
	// Disabled: May no longer sign in.
	Disabled bool `json:"disabled"`
	// Rides: Licensed and insured to ride customers' machines, by the owner's word.
	Rides bool `json:"rides"`
	// LicenceUntil: Day until which the riding licence was seen to be valid, or no data.
	LicenceUntil Date `json:"licence_until"`
	// SamePersonAsID: Another account of the same person; it never counts as a second person.
	SamePersonAsID StaffID `gorm:"serializer:ref" json:"same_person_as_id"`
}

// TableName names the table of Staff.
func (Staff) TableName() string { return "staff" }

// Key gives the row id as text.
func (n Staff) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Staff) SetKey(id string) { n.ID = StaffID(id) }

// SignInCounter: How often sign-in failed for one account, so that guessing stops and survives a restart.
type SignInCounter struct {
	Row
	ID SignInCounterID `gorm:"primaryKey" json:"id"`
	// AccountKey: SHA-256 of the login name and of whether the device is known.
	AccountKey string `json:"-"`
	// Failures: Failures in a row.
	Failures int64 `json:"failures"`
	// LastFailureAt: When the last one was.
	LastFailureAt *time.Time `json:"last_failure_at"`
	// NextTryAt: Before this moment no password is looked at.
	NextTryAt *time.Time `json:"next_try_at"`
}

// TableName names the table of SignInCounter.
func (SignInCounter) TableName() string { return "sign_in_counters" }

// Key gives the row id as text.
func (n SignInCounter) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *SignInCounter) SetKey(id string) { n.ID = SignInCounterID(id) }

// Session: One sign-in and the tokens that come of it.
type Session struct {
	Row
	ID SessionID `gorm:"primaryKey" json:"id"`
	// StaffID: Whose session it is.
	StaffID StaffID `json:"staff_id"`
	// Kind: A program (tokens in JSON) or a browser (cookie).
	Kind SessionKind `json:"kind"`
	// SessionVersion: The staff member's session version at sign-in.
	SessionVersion int64 `json:"-"`
	// StartedAt: When the password was given.
	StartedAt time.Time `json:"started_at"`
	// LastUsedAt: When the refresh token was last used.
	LastUsedAt time.Time `json:"last_used_at"`
	// IdleUntil: Ends here unless used before.
	IdleUntil time.Time `json:"idle_until"`
	// ExpiresAt: Ends here whatever happens.
	ExpiresAt time.Time `json:"expires_at"`
	// EndedAt: When it was ended.
	EndedAt *time.Time `json:"ended_at"`
	// EndedBecause: Why it was ended.
	EndedBecause string `json:"ended_because"`
	// UserAgent: What the program said of itself.
	UserAgent string `json:"user_agent"`
}

// TableName names the table of Session.
func (Session) TableName() string { return "sessions" }

// Key gives the row id as text.
func (n Session) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Session) SetKey(id string) { n.ID = SessionID(id) }

// RefreshToken: One refresh token of a session; used once.
type RefreshToken struct {
	Row
	ID RefreshTokenID `gorm:"primaryKey" json:"id"`
	// SessionID: The session it belongs to.
	SessionID SessionID `json:"session_id"`
	// TokenHash: SHA-256 of the token, hex.
	TokenHash string `json:"-"`
	// UsedAt: When it was exchanged.
	UsedAt *time.Time `json:"used_at"`
	// SuccessorHash: SHA-256 of the token it was exchanged for, hex.
	SuccessorHash string `json:"-"`
}

// TableName names the table of RefreshToken.
func (RefreshToken) TableName() string { return "refresh_tokens" }

// Key gives the row id as text.
func (n RefreshToken) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *RefreshToken) SetKey(id string) { n.ID = RefreshTokenID(id) }

// Tablet: A tablet the owner has enrolled for the bench.
type Tablet struct {
	Row
	ID TabletID `gorm:"primaryKey" json:"id"`
	// Name: What people call it.
	Name string `json:"name"`
	// EnrolHash: SHA-256 of the one-time enrolment code, hex.
	EnrolHash string `json:"-"`
	// EnrolUntil: Until when the code is good.
	EnrolUntil *time.Time `json:"enrol_until"`
	// SecretHash: SHA-256 of the device secret, hex.
	SecretHash string `json:"-"`
	// EnrolledAt: When it was enrolled.
	EnrolledAt *time.Time `json:"enrolled_at"`
	// LastHeardAt: When it was last heard of.
	LastHeardAt *time.Time `json:"last_heard_at"`
	// Unsent: How many records it said it had not sent yet.
	Unsent int64 `json:"unsent"`
	// RevokedAt: When the owner took it out of use.
	RevokedAt *time.Time `json:"revoked_at"`
}

// TableName names the table of Tablet.
func (Tablet) TableName() string { return "tablets" }

// Key gives the row id as text.
func (n Tablet) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Tablet) SetKey(id string) { n.ID = TabletID(id) }

// SignOn: One technician at one tablet, by PIN.
type SignOn struct {
	Row
	ID SignOnID `gorm:"primaryKey" json:"id"`
	// TabletID: The tablet.
	TabletID TabletID `json:"tablet_id"`
	// StaffID: Who signed on.
	StaffID StaffID `json:"staff_id"`
	// SessionVersion: The staff member's session version at sign-on.
	SessionVersion int64 `json:"-"`
	// StartedAt: When the PIN was given.
	StartedAt time.Time `json:"started_at"`
	// LastUsedAt: When it last wrote or read.
	LastUsedAt time.Time `json:"last_used_at"`
	// ExpiresAt: Ends here whatever happens.
	ExpiresAt time.Time `json:"expires_at"`
	// EndedAt: When it was ended.
	EndedAt *time.Time `json:"ended_at"`
}

// TableName names the table of SignOn.
func (SignOn) TableName() string { return "sign_ons" }

// Key gives the row id as text.
func (n SignOn) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *SignOn) SetKey(id string) { n.ID = SignOnID(id) }

// SecurityEvent: Something the owner should know about sign-ins and links.
type SecurityEvent struct {
	Row
	ID SecurityEventID `gorm:"primaryKey" json:"id"`
	// Kind: What happened, e.g. refresh.replayed.
	Kind string `json:"kind"`
	// StaffID: Who it concerns, if known.
	StaffID StaffID `gorm:"serializer:ref" json:"staff_id"`
	// HappenedAt: When.
	HappenedAt time.Time `json:"happened_at"`
	// IP: Address it came from.
	IP string `json:"ip"`
	// Note: One sentence.
	Note string `json:"note"`
}

// TableName names the table of SecurityEvent.
func (SecurityEvent) TableName() string { return "security_events" }

// Key gives the row id as text.
func (n SecurityEvent) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *SecurityEvent) SetKey(id string) { n.ID = SecurityEventID(id) }

// Bay: A place where a machine stands.
type Bay struct {
	Row
	ID BayID `gorm:"primaryKey" json:"id"`
	// Name: What people call it.
	Name string `json:"name"`
	// Retired: No longer used.
	Retired bool `json:"retired"`
}

// TableName names the table of Bay.
func (Bay) TableName() string { return "bays" }

// Key gives the row id as text.
func (n Bay) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Bay) SetKey(id string) { n.ID = BayID(id) }

// TaxCategory: A tax rate by name.
type TaxCategory struct {
	Row
	ID TaxCategoryID `gorm:"primaryKey" json:"id"`
	// Code: Short name that lines refer to.
	Code string `json:"code"`
	// Label: As printed.
	Label string `json:"label"`
	// RatePPM: Rate in parts per million; 85000 is 8.5 %.
	RatePPM int64 `json:"rate_ppm"`
}

// TableName names the table of TaxCategory.
func (TaxCategory) TableName() string { return "tax_categories" }

// Key gives the row id as text.
func (n TaxCategory) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *TaxCategory) SetKey(id string) { n.ID = TaxCategoryID(id) }

// LabourRate: A price for an hour of work.
type LabourRate struct {
	Row
	ID LabourRateID `gorm:"primaryKey" json:"id"`
	// Name: What people call it.
	Name string `json:"name"`
	// PerHour: Price of sixty minutes, minor units.
	PerHour money.Amount `json:"per_hour"`
	// TaxCategory: Code of its tax category.
	TaxCategory string `json:"tax_category"`
}

// TableName names the table of LabourRate.
func (LabourRate) TableName() string { return "labour_rates" }

// Key gives the row id as text.
func (n LabourRate) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *LabourRate) SetKey(id string) { n.ID = LabourRateID(id) }

// Gauge: A measuring tool.
type Gauge struct {
	Row
	ID GaugeID `gorm:"primaryKey" json:"id"`
	// Name: What people call it.
	Name string `json:"name"`
	// Kind: What it is, e.g. outside micrometer.
	Kind string `json:"kind"`
	// Serial: Its serial number.
	Serial string `json:"serial"`
	// Resolution: Smallest step it shows.
	Resolution Quantity `gorm:"embedded;embeddedPrefix:resolution_" json:"resolution"`
	// Uncertainty: Expanded uncertainty (k = 2) from its certificate.
	Uncertainty Quantity `gorm:"embedded;embeddedPrefix:uncertainty_" json:"uncertainty"`
	// CalibratedOn: Day of the last calibration.
	CalibratedOn Date `json:"calibrated_on"`
	// CalibrationDueOn: Day from which its readings no longer count.
	CalibrationDueOn Date `json:"calibration_due_on"`
	// Certificate: The certificate's number.
	Certificate string `json:"certificate"`
	// Retired: No longer used.
	Retired bool `json:"retired"`
}

// TableName names the table of Gauge.
func (Gauge) TableName() string { return "gauges" }

// Key gives the row id as text.
func (n Gauge) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Gauge) SetKey(id string) { n.ID = GaugeID(id) }

// Layout: A machine map: what a kind of machine is made of. Versioned document.
type Layout struct {
	Row
	ID LayoutID `gorm:"primaryKey" json:"id"`
	// Code: Which map.
	Code string `json:"code"`
	// Revision: Which edition; a job pins one.
	Revision int64 `json:"revision"`
	// Title: As shown.
	Title string `json:"title"`
	// Example: Example figures, not for service.
	Example bool `json:"example"`
	// Document: The JSON document as stored.
	Document []byte `json:"document"`
	// SHA256: Its SHA-256, hex.
	SHA256 string `json:"sha256"`
}

// TableName names the table of Layout.
func (Layout) TableName() string { return "layouts" }

// Key gives the row id as text.
func (n Layout) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Layout) SetKey(id string) { n.ID = LayoutID(id) }

// LimitSheet: Limits with their source for one make, model and span of years. Versioned document.
type LimitSheet struct {
	Row
	ID LimitSheetID `gorm:"primaryKey" json:"id"`
	// Code: Which sheet.
	Code string `json:"code"`
	// Revision: Which edition; a job pins one.
	Revision int64 `json:"revision"`
	// MapCode: Machine map it is for.
	MapCode string `json:"map_code"`
	// Title: As shown.
	Title string `json:"title"`
	// Make: Make it is for.
	Make string `json:"make"`
	// Model: Model it is for.
	Model string `json:"model"`
	// YearFrom: First model year.
	YearFrom *int64 `json:"year_from"`
	// YearTo: Last model year.
	YearTo *int64 `json:"year_to"`
	// Example: Example figures, not for service.
	Example bool `json:"example"`
	// Document: The JSON document as stored.
	Document []byte `json:"document"`
	// SHA256: Its SHA-256, hex.
	SHA256 string `json:"sha256"`
}

// TableName names the table of LimitSheet.
func (LimitSheet) TableName() string { return "limit_sheets" }

// Key gives the row id as text.
func (n LimitSheet) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *LimitSheet) SetKey(id string) { n.ID = LimitSheetID(id) }
