package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// RevokeConsent records that the customer takes a yes back, as fully as the
// yes itself: who said so, how they were known, on which number, when and to
// whom. What is done is done and stays to be paid; lines not done yet are
// proposed once more.
func (a *App) RevokeConsent(ctx context.Context, who auth.Principal, id shop.ConsentID, in shop.ConsentEnding) (given shop.Consent, err error) {
	err = a.onConsent(ctx, who, id, "consent.revoked", func(c *JobChange, found shop.Consent) error {
		given = found
		if err := c.mayRevoke(given); err != nil {
			return err
		}
		return c.revoke(&given, in)
	})
	return given, err
}

// onConsent runs a change under a consent's job, the work order's head locked.
func (a *App) onConsent(ctx context.Context, who auth.Principal, id shop.ConsentID, event journal.Event, fn func(*JobChange, shop.Consent) error) error {
	return a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.Consent](tx, string(id))
		if err != nil {
			return err
		}
		return a.onJob(ctx, who, found.JobID, event, func(c *JobChange) error {
			given, err := load[shop.Consent](c.Tx, string(id))
			if err != nil {
				return err
			}
			return fn(c, given)
		})
	})
}

func (c *JobChange) mayRevoke(given shop.Consent) error {
	switch {
	case ended(c.Job):
		return closed()
	case given.RevokedAt != nil:
		return fault.New(fault.Conflict, "app.consent_revoked", "This consent was taken back already.")
	case given.Decision != shop.DecisionAgreed:
		return fault.New(fault.Conflict, "app.consent_declined", "This was a no; there is nothing to take back.")
	}
	return nil
}

func (c *JobChange) revoke(given *shop.Consent, in shop.ConsentEnding) error {
	end := in
	if err := c.takenBack(&end); err != nil {
		return err
	}
	lines, err := c.linesUnder(given.ID)
	if err != nil {
		return err
	}
	end.Kind, end.Wording = shop.EndingKindRevoked, "The customer takes back the yes of "+given.SaidAt.UTC().Format("2006-01-02 15:04 UTC")+
		". What was done under it by now stays done and to be paid; nothing more may be done under it."
	if err := c.end(given, &end, lines); err != nil {
		return err
	}
	c.evidence(*given)
	if err := c.copyConsent(*given); err != nil {
		return err
	}
	return c.propose(lines)
}

// takenBack fills and checks what is recorded of a yes taken back.
func (c *JobChange) takenBack(end *shop.ConsentEnding) error {
	as := shop.Consent{Method: end.Method, TypedName: end.TypedName, Relation: end.Relation, IdentifiedHow: end.IdentifiedHow,
		ContactUsed: end.ContactUsed, SaidAt: end.SaidAt, SaidBack: end.SaidBack}
	if err := c.taken(&as); err != nil {
		return err
	}
	end.ContactUsed, end.SaidAt, end.TakenBy, end.StaffName = as.ContactUsed, as.SaidAt, as.TakenBy, as.StaffName
	var wrong lacks
	wrong.unless(!blank(end.Reason), "/reason", "Write down why, in their words.")
	wrong.said(as, c.Now())
	if len(wrong) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Meaning, Code: "app.consent_incomplete",
		Message: "The record of taking it back is not complete: " + wrong[0].Message, Fields: wrong}
}

// linesUnder lists the lines that a consent covers, done or not.
func (c *JobChange) linesUnder(id shop.ConsentID) ([]shop.Line, error) {
	return every[shop.Line](c.Tx, By{"job_id": c.Job.ID, "consent_id": id})
}

// end closes a record: it says since when, and the ending says why.
func (c *JobChange) end(given *shop.Consent, end *shop.ConsentEnding, lines []shop.Line) error {
	now := c.Now()
	given.RevokedAt = &now
	if err := c.Advance(given); err != nil {
		return err
	}
	end.ID, end.OfJob, end.ConsentID = shop.ConsentEndingID(c.app.Source.ID()), given.OfJob, given.ID
	end.DoneLines, end.LeftLines = []string{}, []string{}
	for _, l := range lines {
		if l.State == shop.LineStateDone {
			end.DoneLines = append(end.DoneLines, string(l.ID))
		} else {
			end.LeftLines = append(end.LeftLines, string(l.ID))
		}
	}
	return c.Insert(end)
}

// propose takes agreed lines back to where they were before the yes.
func (c *JobChange) propose(lines []shop.Line) error {
	for i := range lines {
		l := &lines[i]
		if l.State != shop.LineStateAgreed {
			continue
		}
		l.State, l.ConsentID = shop.LineStateProposed, ""
		if err := c.Advance(l); err != nil {
			return err
		}
	}
	return nil
}

// Correction puts a record of an answer right.
type Correction struct {
	Reason string
	Record shop.Consent // the whole record as it should have been
}

// CorrectConsent puts right the record of an answer that staff took. The old
// record stays as it is and no longer counts; the new one is complete in
// itself, names the one it corrects, and takes over its lines. What the
// customer sent by the page is theirs and cannot be corrected. Once work was
// done under a record, what was chosen in it cannot be changed.
func (a *App) CorrectConsent(ctx context.Context, who auth.Principal, id shop.ConsentID, in Correction) (given shop.Consent, err error) {
	err = a.onConsent(ctx, who, id, "consent.corrected", func(c *JobChange, was shop.Consent) error {
		given, err = c.correct(was, in)
		return err
	})
	return given, err
}

func (c *JobChange) correct(was shop.Consent, in Correction) (given shop.Consent, err error) {
	lines, err := c.linesUnder(was.ID)
	if err != nil {
		return given, err
	}
	if err := c.mayCorrect(was, in, lines); err != nil {
		return given, err
	}
	same := sameChoice(was, in.Record)
	old := was
	end := shop.ConsentEnding{Kind: shop.EndingKindCorrected, Reason: in.Reason}
	if !same {
		if err := c.propose(lines); err != nil {
			return given, err
		}
	}
	if given, err = c.record(in.Record, &was); err != nil {
		return given, err
	}
	end.ReplacedBy, end.Method, end.TypedName, end.Relation = given.ID, given.Method, given.TypedName, given.Relation
	end.IdentifiedHow, end.ContactUsed, end.SaidAt, end.SaidBack = given.IdentifiedHow, given.ContactUsed, given.SaidAt, given.SaidBack
	end.TakenBy, end.StaffName, end.Wording = given.TakenBy, given.StaffName, "This record was put right by a later one."
	if err := c.end(&old, &end, lines); err != nil {
		return given, err
	}
	if same {
		err = c.moveLines(was.ID, given.ID)
	}
	return given, err
}

func (c *JobChange) mayCorrect(was shop.Consent, in Correction, lines []shop.Line) error {
	switch {
	case ended(c.Job):
		return closed()
	case was.RevokedAt != nil:
		return fault.New(fault.Conflict, "app.consent_revoked", "This record no longer counts: it was taken back, or put right already.")
	case was.Method == shop.ConsentMethodLink:
		return fault.New(fault.Conflict, "app.consent_by_link", "The customer sent this by the page; it is theirs. Make a new offer to ask again.")
	case blank(in.Reason):
		return fault.Invalid("app.reason_missing", "/reason", "Say what was wrong in the record.")
	case in.Record.OfferID != was.OfferID:
		return fault.Invalid("app.consent_of_other_offer", "/record/offer_id", "A correction is of the same offer; for another one record a new answer.")
	case sameChoice(was, in.Record):
		return nil
	}
	for _, l := range lines {
		if l.State == shop.LineStateDone {
			return fault.New(fault.Conflict, "app.correction_after_work", "Work was done under this record, so what was chosen in it cannot be changed any more. Have it taken back, or make a new offer.")
		}
	}
	return nil
}

// sameChoice reports whether two records are of the same choice.
func sameChoice(a, b shop.Consent) bool {
	limits := a.LimitAmount == nil && b.LimitAmount == nil || a.LimitAmount != nil && b.LimitAmount != nil && *a.LimitAmount == *b.LimitAmount
	return a.Decision == b.Decision && a.ScopeID == b.ScopeID && a.Kind == b.Kind && limits
}

// moveLines puts the lines of one consent under another.
func (c *JobChange) moveLines(from, to shop.ConsentID) error {
	lines, err := c.linesUnder(from)
	if err != nil {
		return err
	}
	for i := range lines {
		lines[i].ConsentID = to
		if err := c.Advance(&lines[i]); err != nil {
			return err
		}
	}
	return nil
}
