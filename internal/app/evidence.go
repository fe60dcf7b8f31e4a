package app

import (
	"encoding/json"
	"fmt"

	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// evidence keeps the record of an answer beside the journal and puts what
// commits to it into the entry's open part, so that a receipt can show the
// record when the body can no longer be opened; and it makes the entry one
// that is signed for at once.
func (c *Change) evidence(given shop.Consent) error {
	record, err := json.Marshal(given)
	if err != nil {
		return fmt.Errorf("app: write the record of an answer: %w", err)
	}
	e := Evidence{ConsentID: given.ID, Version: given.Version, Record: record}
	c.app.Source.Bytes(e.Salt[:])
	if err := c.AddEvidence(e); err != nil {
		return err
	}
	c.open = journal.ConsentFacts{ConsentID: string(given.ID), Version: given.Version, Decision: string(given.Decision),
		Revoked: given.RevokedAt != nil, DocumentSHA256: given.ShownSHA256, RecordHMAC: journal.Commit(e.Salt, record).String()}
	c.Attest()
	return nil
}
