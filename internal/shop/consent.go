package shop

import "time"

// ConsentEnding: Why an answer no longer counts, recorded as fully as the
// answer was. The answer itself is never edited.
type ConsentEnding struct {
	Row
	ID ConsentEndingID `gorm:"primaryKey" json:"id"`
	OfJob
	// ConsentID: The answer that ends.
	ConsentID ConsentID `json:"consent_id"`
	// Kind: Taken back by the customer, or put right by a later record.
	Kind EndingKind `json:"kind"`
	// ReplacedBy: The record that puts it right.
	ReplacedBy ConsentID `gorm:"serializer:ref" json:"replaced_by"`
	// Method: How it was said.
	Method ConsentMethod `json:"method"`
	// TypedName: Name of the person who said it.
	TypedName string `json:"typed_name"`
	// Relation: Their relation to the owner.
	Relation string `json:"relation"`
	// IdentifiedHow: How they were known.
	IdentifiedHow string `json:"identified_how"`
	// ContactUsed: Number or address used.
	ContactUsed string `json:"contact_used"`
	// SaidAt: When it was said.
	SaidAt time.Time `json:"said_at"`
	// SaidBack: What they said, in their words.
	SaidBack string `json:"said_back"`
	// Reason: Why.
	Reason string `json:"reason"`
	// Wording: What was recorded, in words.
	Wording string `json:"wording"`
	// DoneLines: Lines done under the answer by then; they stay to be paid.
	DoneLines []string `gorm:"serializer:json" json:"done_lines"`
	// LeftLines: Lines agreed to and not done; nobody works on them now.
	LeftLines []string `gorm:"serializer:json" json:"left_lines"`
	// TakenBy: Who took it.
	TakenBy StaffID `json:"taken_by"`
	// StaffName: Their name, then.
	StaffName string `json:"staff_name"`
}

// TableName names the table of ConsentEnding.
func (ConsentEnding) TableName() string { return "consent_endings" }

// Key gives the row id as text.
func (n ConsentEnding) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *ConsentEnding) SetKey(id string) { n.ID = ConsentEndingID(id) }

// CustomerQuestion: What a customer asks from the page of a link. It is no
// answer to the offer.
type CustomerQuestion struct {
	Row
	ID CustomerQuestionID `gorm:"primaryKey" json:"id"`
	OfJob
	// OfferID: The offer it is about.
	OfferID OfferID `json:"offer_id"`
	// LinkID: The link it came by.
	LinkID OfferLinkID `json:"link_id"`
	// Kind: A question, or a wish to be called.
	Kind QuestionKind `json:"kind"`
	// Words: In the customer's words.
	Words string `json:"words"`
	// CallWhen: When they can be called.
	CallWhen string `json:"call_when"`
	// AskedAt: When.
	AskedAt time.Time `json:"asked_at"`
	// IP: Address it came from.
	IP string `json:"ip"`
	// AnsweredBy: Who answered.
	AnsweredBy StaffID `gorm:"serializer:ref" json:"answered_by"`
	// AnsweredAt: When.
	AnsweredAt *time.Time `json:"answered_at"`
	// Answer: What was answered.
	Answer string `json:"answer"`
}

// TableName names the table of CustomerQuestion.
func (CustomerQuestion) TableName() string { return "customer_questions" }

// Key gives the row id as text.
func (n CustomerQuestion) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *CustomerQuestion) SetKey(id string) { n.ID = CustomerQuestionID(id) }

// LegalHold: The papers of a work order must be kept whatever their age.
type LegalHold struct {
	Row
	ID LegalHoldID `gorm:"primaryKey" json:"id"`
	// WorkOrderID: The work order.
	WorkOrderID WorkOrderID `json:"work_order_id"`
	// Reason: Why.
	Reason string `json:"reason"`
	// HeldBy: Who set it.
	HeldBy StaffID `json:"held_by"`
	// HeldAt: When.
	HeldAt time.Time `json:"held_at"`
	// LiftedBy: Who lifted it.
	LiftedBy StaffID `gorm:"serializer:ref" json:"lifted_by"`
	// LiftedAt: When.
	LiftedAt *time.Time `json:"lifted_at"`
	// LiftedReason: Why it is over.
	LiftedReason string `json:"lifted_reason"`
}

// TableName names the table of LegalHold.
func (LegalHold) TableName() string { return "legal_holds" }

// Key gives the row id as text.
func (n LegalHold) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *LegalHold) SetKey(id string) { n.ID = LegalHoldID(id) }

// ShownAs is a closed set of words.
type ShownAs string

// The values of ShownAs.
const (
	ShownAsUnset   ShownAs = ""       // nothing was shown: a limit named at drop-off
	ShownAsScreen  ShownAs = "screen" // the page, on a screen
	ShownAsPaper   ShownAs = "paper"  // printed
	ShownAsReadOut ShownAs = "read_out"
	ShownAsMessage ShownAs = "message" // sent, and answered by a message
)

// ShownAsValues lists them all.
func ShownAsValues() []ShownAs {
	return []ShownAs{"", "screen", "paper", "read_out", "message"}
}

// EndingKind is a closed set of words.
type EndingKind string

// The values of EndingKind.
const (
	EndingKindRevoked   EndingKind = "revoked"
	EndingKindCorrected EndingKind = "corrected"
)

// EndingKindValues lists them all.
func EndingKindValues() []EndingKind { return []EndingKind{"revoked", "corrected"} }

// QuestionKind is a closed set of words.
type QuestionKind string

// The values of QuestionKind.
const (
	QuestionKindQuestion QuestionKind = "question"
	QuestionKindCallMe   QuestionKind = "call_me"
)

// QuestionKindValues lists them all.
func QuestionKindValues() []QuestionKind { return []QuestionKind{"question", "call_me"} }
