package app

import (
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// evidence has the record of an answer kept beside the journal, and makes the
// entry one that is signed for at once. The record is written when the entry
// is, since it tells of rows that come later in the same change: the answer
// that it puts right, or why it was taken back.
func (c *Change) evidence(given shop.Consent) {
	c.answer = given.ID
	c.Attest()
}

// keepAnswer keeps the exact bytes of the record of an answer, made from the
// rows as they are stored, and puts what commits to them into the entry's open
// part, so that a receipt can show the record when the body can no longer be
// opened.
func (c *Change) keepAnswer() error {
	if c.answer == "" {
		return nil
	}
	given, err := load[shop.Consent](c.Tx, string(c.answer))
	if err != nil {
		return err
	}
	whole, err := evidenceOf(c.Tx, given)
	if err != nil {
		return err
	}
	if whole.Ending, err = endingOf(c.Tx, given); err != nil {
		return err
	}
	record, err := whole.Bytes()
	if err != nil {
		return err
	}
	e := Evidence{ConsentID: given.ID, Version: given.Version, Record: record}
	c.app.Source.Bytes(e.Salt[:])
	if err := c.AddEvidence(e); err != nil {
		return err
	}
	c.open = journal.ConsentFacts{ConsentID: string(given.ID), Version: given.Version, Decision: string(given.Decision),
		Revoked: given.RevokedAt != nil, DocumentSHA256: given.ShownSHA256, RecordHMAC: journal.Commit(e.Salt, record).String()}
	return nil
}

// EvidenceEnding is what a record holds of the answer's being taken back: who
// said so, how, when and to whom, as fully as the answer itself.
type EvidenceEnding struct {
	Kind          shop.EndingKind    `json:"kind"`
	ServerTime    string             `json:"server_time"` // RFC 3339, UTC
	SaidAt        string             `json:"said_at"`     // RFC 3339, UTC
	Channel       shop.ConsentMethod `json:"channel"`
	Name          string             `json:"name"`
	Relation      string             `json:"relation"`
	ContactUsed   string             `json:"contact_used"`
	IdentifiedHow string             `json:"identified_how"`
	SaidBack      string             `json:"said_back"`
	Reason        string             `json:"reason"`
	Wording       string             `json:"wording"`
	Done          []string           `json:"lines_done"` // ids; done by then, to be paid
	Left          []string           `json:"lines_left"` // ids; nobody works on them now
	Staff         EvidenceStaff      `json:"staff"`
}

// endingOf gives how an answer was taken back, or nil.
func endingOf(tx Tx, given shop.Consent) (*EvidenceEnding, error) {
	rows, err := list[shop.ConsentEnding](tx, By{"job_id": given.JobID, "consent_id": given.ID})
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	e := rows[0]
	return &EvidenceEnding{Kind: e.Kind, ServerTime: microTime(e.CreatedAt), SaidAt: microTime(e.SaidAt), Channel: e.Method, Name: e.TypedName,
		Relation: e.Relation, ContactUsed: e.ContactUsed, IdentifiedHow: e.IdentifiedHow, SaidBack: e.SaidBack, Reason: e.Reason, Wording: e.Wording,
		Done: e.DoneLines, Left: e.LeftLines, Staff: EvidenceStaff{ID: e.TakenBy, Name: firstName(e.StaffName), Took: true}}, nil
}
