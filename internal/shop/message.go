package shop

import "time"

// Message: Something that goes out to a customer, the owner or another
// program. It is written with the change it tells of and holds ids alone:
// names, addresses and words are read from their rows when it is sent, so
// that what is erased there is erased here.
type Message struct {
	Row
	ID MessageID `gorm:"primaryKey" json:"id"`
	// Kind: What it is.
	Kind MessageKind `json:"kind"`
	// Way: How it goes.
	Way MessageWay `json:"way"`
	// State: Where it stands.
	State MessageState `json:"state"`
	// StateSince: Since when.
	StateSince time.Time `json:"state_since"`
	// WorkOrderID: The visit it is about, if any.
	WorkOrderID WorkOrderID `gorm:"serializer:ref" json:"work_order_id"`
	// JobID: The job it is about, if any.
	JobID JobID `gorm:"serializer:ref" json:"job_id"`
	// Subject: Table of the record it is about.
	Subject string `json:"subject"`
	// SubjectID: That record.
	SubjectID string `json:"subject_id"`
	// EndpointID: The webhook it is for, if any.
	EndpointID WebhookID `gorm:"serializer:ref" json:"endpoint_id"`
	// Content: The name of an event, or the note of a checkpoint; nothing personal.
	Content string `json:"content"`
	// Sealed: A secret that must travel, under a key outside the database; empty once it has gone.
	Sealed []byte `json:"-"`
	// DueAt: Not before then.
	DueAt time.Time `json:"due_at"`
	// LeasedUntil: A sender has it in hand until then.
	LeasedUntil *time.Time `json:"leased_until"`
	// Tries: How often it was taken in hand.
	Tries int64 `json:"tries"`
	// SentAt: When it was accepted at the other end.
	SentAt *time.Time `json:"sent_at"`
	// LastError: What went wrong last, in words.
	LastError string `json:"last_error"`
}

// TableName names the table of Message.
func (Message) TableName() string { return "outbox" }

// Key gives the row id as text.
func (n Message) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Message) SetKey(id string) { n.ID = MessageID(id) }

// Webhook: An address of another program that the shop wants to be told at:
// of events, or as the way to text messages.
type Webhook struct {
	Row
	ID WebhookID `gorm:"primaryKey" json:"id"`
	// Name: What people call it.
	Name string `json:"name"`
	// URL: Where it is.
	URL string `json:"url"`
	// Use: What it is for.
	Use WebhookUse `json:"use"`
	// Events: Which events it is told of.
	Events []string `gorm:"serializer:json" json:"events"`
	// Secret: What calls are signed with, under a key outside the database.
	Secret []byte `json:"-"`
	// OldSecret: The one before, which signs beside it for a while.
	OldSecret []byte `json:"-"`
	// OldUntil: Until when.
	OldUntil *time.Time `json:"old_until"`
	// DisabledAt: When it was switched off.
	DisabledAt *time.Time `json:"disabled_at"`
	// DisabledReason: Why.
	DisabledReason string `json:"disabled_reason"`
}

// TableName names the table of Webhook.
func (Webhook) TableName() string { return "webhooks" }

// Key gives the row id as text.
func (n Webhook) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Webhook) SetKey(id string) { n.ID = WebhookID(id) }

// MessageKind is a closed set of words.
type MessageKind string

// The values of MessageKind.
const (
	MessageKindConsentCopy MessageKind = "consent_copy" // the customer's copy of an answer
	MessageKindOfferLink   MessageKind = "offer_link"   // the customer's link to an offer
	MessageKindCheckpoint  MessageKind = "checkpoint"   // the journal's signed state, for the owner
	MessageKindEvent       MessageKind = "event"        // something happened, for a program
	MessageKindTest        MessageKind = "test"         // whether a way out works
)

// MessageKindValues lists them all.
func MessageKindValues() []MessageKind {
	return []MessageKind{"consent_copy", "offer_link", "checkpoint", "event", "test"}
}

// MessageWay is a closed set of words.
type MessageWay string

// The values of MessageWay.
const (
	MessageWayEmail   MessageWay = "email"
	MessageWayText    MessageWay = "text"
	MessageWayWebhook MessageWay = "webhook"
)

// MessageWayValues lists them all.
func MessageWayValues() []MessageWay {
	return []MessageWay{"email", "text", "webhook"}
}

// MessageState is a closed set of words.
type MessageState string

// The values of MessageState.
const (
	MessageStateWaiting   MessageState = "waiting"    // to be sent when due
	MessageStateBeingSent MessageState = "being_sent" // handing over; from here on it may have gone
	MessageStateSent      MessageState = "sent"       // accepted at the other end
	MessageStateFailed    MessageState = "failed"     // refused for good, or tried too often
	MessageStateUncertain MessageState = "uncertain"  // cut off while handing over: it may have gone
	MessageStateNotSetUp  MessageState = "not_set_up" // there is nothing to send it by, or to
	MessageStateGivenUp   MessageState = "given_up"   // nobody will send it any more
)

// MessageStateValues lists them all.
func MessageStateValues() []MessageState {
	return []MessageState{"waiting", "being_sent", "sent", "failed", "uncertain", "not_set_up", "given_up"}
}

// WebhookUse is a closed set of words.
type WebhookUse string

// The values of WebhookUse.
const (
	WebhookUseEvents WebhookUse = "events"
	WebhookUseTexts  WebhookUse = "texts"
)

// WebhookUseValues lists them all.
func WebhookUseValues() []WebhookUse {
	return []WebhookUse{"events", "texts"}
}
