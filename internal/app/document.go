package app

import (
	"encoding/json"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// OfferDocument is what a customer is shown, whole. Its JSON bytes are stored
// once and hashed; the page renders these bytes and nothing else, so that
// what is seen is what is agreed to. It holds no phone number or address of
// the customer, no other job, no internal note and no surname of staff.
type OfferDocument struct {
	Version   int            `json:"version"` // of this format; 1
	Shop      OfferShop      `json:"shop"`
	Number    int64          `json:"number"`      // of the work order
	Offer     int64          `json:"offer"`       // of the offer on it
	Machine   string         `json:"machine"`     // make, model, year
	Job       string         `json:"job"`         // its title
	Kind      shop.ScopeKind `json:"kind"`        // what is asked
	AskedAt   string         `json:"asked_at"`    // RFC 3339, UTC
	PriceTill shop.Date      `json:"price_until"` // last day the price holds
	Currency  money.Currency `json:"currency"`    // ISO 4217
	TaxMode   shop.TaxMode   `json:"tax_mode"`    // whether line amounts contain tax
	Concerns  []OfferConcern `json:"concerns"`    // what the customer said, and the answers
	Findings  []OfferFinding `json:"findings"`    // what was found
	Ways      []OfferWay     `json:"ways"`        // ways forward, none favoured
	// Before says, beside each way, what the work of the job agreed to before
	// comes to at most; a way without it adds to nothing.
	Before    map[shop.ScopeID]OfferSum `json:"agreed_before,omitempty"`
	Rule      json.RawMessage           `json:"rule"`      // the consent rule, whole
	Cautions  []string                  `json:"cautions"`  // what must be said
	Statement string                    `json:"statement"` // on the electronic form of the answer
	// StatementVersion names the words of Statement; offers of the first
	// version do not name it.
	StatementVersion string `json:"statement_version,omitempty"`
}

// OfferShop is the shop as a customer knows it.
type OfferShop struct {
	Name         string `json:"name"`
	Phone        string `json:"phone"`
	Address      string `json:"address"`
	Registration string `json:"registration"`
	TimeZone     string `json:"time_zone"` // IANA, in which the page writes times; empty is UTC
}

// OfferConcern is a complaint or request and what is said to it.
type OfferConcern struct {
	Words  string      `json:"words"`
	Answer shop.Answer `json:"answer"`
	Note   string      `json:"note"`
}

// OfferFinding is one finding in words.
type OfferFinding struct {
	Component  string          `json:"component"`
	Grade      *int64          `json:"grade"` // 0 to 4, or no data
	DamageMode shop.DamageMode `json:"damage_mode"`
	SafeToRide shop.YesNo      `json:"safe_to_ride"`
	Advised    shop.Advised    `json:"advised"`
	FirstCause bool            `json:"first_cause"`
	CausedBy   string          `json:"caused_by,omitempty"` // the component that did it, if that is known
	NotLooked  string          `json:"not_looked_because"`
	// Photos are those of it that the shop chose for the customer.
	Photos []OfferPhoto `json:"photos,omitempty"`
}

// OfferPhoto is a photo as the customer is shown it: by the hashes of its
// bytes, so that no other picture can take its place.
type OfferPhoto struct {
	PhotoID       shop.PhotoID `json:"photo_id"`
	SHA256        string       `json:"sha256"`         // of the stored copy, hex
	PreviewSHA256 string       `json:"preview_sha256"` // of the small copy on the page, hex
	MediaType     string       `json:"media_type"`     // of the stored copy
	Width         int64        `json:"width"`          // pixels of the stored copy
	Height        int64        `json:"height"`
	Shows         string       `json:"shows"`
	// Marks are drawn over it, in pixels of the stored copy; Notes explain
	// the numbered ones.
	Marks []OfferMark `json:"marks,omitempty"`
	Notes []string    `json:"notes,omitempty"`
}

// OfferMark is a mark on a photo as the customer sees it.
type OfferMark struct {
	Kind   shop.MarkKind    `json:"kind"`
	Points []shop.MarkPoint `json:"points"`
	Label  string           `json:"label,omitempty"`
}

// OfferWay is one way forward.
type OfferWay struct {
	ScopeID      shop.ScopeID        `json:"scope_id"`
	Kind         shop.ScopeKind      `json:"kind,omitempty"` // beside the offer's, where the two differ
	Title        string              `json:"title"`
	WhatWeDo     string              `json:"what_we_do"`
	StaysUnknown string              `json:"stays_unknown"`
	EarliestOn   shop.Date           `json:"earliest_on"`
	MayRide      shop.RideAnswer     `json:"may_ride"`
	RideNote     string              `json:"ride_note"`
	Warranty     string              `json:"warranty"`
	Deposit      *money.Amount       `json:"deposit_minor"`
	Terms        *shop.TeardownTerms `json:"teardown_terms"`
	Lines        []OfferLine         `json:"lines"`
	Low          OfferSum            `json:"low"`
	High         OfferSum            `json:"high"`
}

// OfferLine is one line of a way forward.
type OfferLine struct {
	LineID      shop.LineID    `json:"line_id"`
	Kind        shop.LineKind  `json:"kind"`
	Description string         `json:"description"`
	Certainty   shop.Certainty `json:"certainty"`
	Low         money.Amount   `json:"low_minor"`
	High        money.Amount   `json:"high_minor"`
}

// OfferSum is one end of the range, in minor units.
type OfferSum struct {
	Net      money.Amount `json:"net_minor"`
	Tax      money.Amount `json:"tax_minor"`
	Rounding money.Amount `json:"rounding_minor"`
	Gross    money.Amount `json:"gross_minor"`
}

// LinkState says what a customer's link shows.
type LinkState string

// The states of a link.
const (
	LinkOpen    LinkState = "open"    // the offer waits for an answer
	LinkDecided LinkState = "decided" // answered: the receipt is shown
)

// LinkView is what a customer's link shows. A link that is unknown gives a
// NotFound fault, one that was closed, replaced or has ended a Gone fault.
type LinkView struct {
	State      LinkState
	Document   OfferDocument
	SHA256     string      // of the document's bytes, hex
	NewFinding bool        // something new was found after it was sent
	DecideTill string      // RFC 3339, UTC
	Asked      []LinkAsked // what the customer asked on it, in order
	// Erased are the photos of the document whose picture is no more.
	Erased  []shop.PhotoID
	Receipt *LinkReceipt
}

// LinkReceipt is the answer as recorded.
type LinkReceipt struct {
	ConsentID  shop.ConsentID
	Decision   shop.Decision
	WayTitle   string
	Gross      money.Amount // upper end agreed to
	TypedName  string
	AnsweredAt string // RFC 3339, UTC
	Wording    string
	SHA256     string // of the document agreed to
}

// LinkAnswer is the customer's answer on the page.
type LinkAnswer struct {
	Token     string
	SHA256    string // of the document shown, from the form
	Decline   bool
	ScopeID   shop.ScopeID // the way chosen, unless Decline
	TypedName string
	Relation  string // to the owner of the machine; empty for the owner
	Note      string
	Agreed    bool // the wording was ticked
	// Electronic says that the statement on electronic form was ticked, apart.
	Electronic bool
	// DeviceTime is the device's own time where its page sends it.
	DeviceTime string
	IP         string
	UserAgent  string
}
