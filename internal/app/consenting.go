package app

import (
	"context"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// contactOf gives the number or address by which a customer is reached.
func contactOf(c shop.Customer) string {
	order := []string{c.Phone, c.Email, c.Address}
	switch c.ContactBy {
	case shop.ContactByEmail:
		order = []string{c.Email, c.Phone, c.Address}
	case shop.ContactByPost:
		order = []string{c.Address, c.Phone, c.Email}
	}
	for _, contact := range order {
		if contact != "" {
			return contact
		}
	}
	return "no contact on record; handed over in the shop"
}

// orOwner says who a person is who said nothing of it.
func orOwner(relation string) string {
	if blank(relation) {
		return "owner of the machine"
	}
	return relation
}

func blank(text string) bool { return strings.TrimSpace(text) == "" }

// cut shortens text to so many bytes at a boundary of characters.
func cut(text string, most int) string {
	if len(text) <= most {
		return text
	}
	for most > 0 && !utf8.RuneStart(text[most]) {
		most--
	}
	return text[:most]
}

// settleOffer writes the answer to an offer and what follows: a yes makes
// every line of the way chosen agreed, all other lines stay as they are.
func (c *JobChange) settleOffer(o *shop.Offer, doc OfferDocument, way *OfferWay, given *shop.Consent) error {
	given.ID, given.OfJob = shop.ConsentID(c.app.Source.ID()), o.OfJob
	given.OfferID, given.Kind, given.ShownSHA256 = o.ID, kindOf(*o, way), o.SHA256
	if given.Decision == shop.DecisionAgreed {
		given.ScopeID, given.Wording = way.ScopeID, doc.Wording(way)
		given.Net, given.Tax, given.Gross = way.High.Net, way.High.Tax, way.High.Gross
	} else {
		given.Wording = doc.Wording(nil)
	}
	if err := c.insertFirst(given); err != nil {
		return err
	}
	if err := c.copyConsent(*given); err != nil {
		return err
	}
	o.State = shop.OfferStateDecided
	if err := c.Advance(o); err != nil {
		return err
	}
	if given.Decision != shop.DecisionAgreed {
		return nil
	}
	return c.agreeLines(*way, *given)
}

// kindOf says what an answer is to: the way chosen, or the offer as a whole.
// Offers written before ways named their kind are all of one.
func kindOf(o shop.Offer, way *OfferWay) shop.ConsentKind {
	if way != nil && way.Kind != "" {
		return shop.ConsentKind(way.Kind)
	}
	return shop.ConsentKind(o.Kind)
}

// agreeLines makes the lines of a way agreed under a consent. A whole way
// forward (repair, put back) takes the place of an earlier one of the job:
// lines agreed there, not done and not chosen again, are proposed once more.
func (c *JobChange) agreeLines(way OfferWay, given shop.Consent) error {
	replaced, err := c.replacedBy(given)
	if err != nil {
		return err
	}
	lines, err := every[shop.Line](c.Tx, By{"job_id": c.Job.ID})
	if err != nil {
		return err
	}
	chosen := make(map[shop.LineID]bool, len(way.Lines))
	for _, l := range way.Lines {
		chosen[l.LineID] = true
	}
	for i := range lines {
		l := &lines[i]
		switch {
		case l.IsStruck() || l.State == shop.LineStateStruck:
			continue
		case chosen[l.ID] && l.State == shop.LineStateDone && l.ConsentID != "":
			continue
		case chosen[l.ID]:
			if l.State == shop.LineStateProposed {
				l.State = shop.LineStateAgreed
			}
			l.ConsentID = given.ID
		case l.State == shop.LineStateAgreed && replaced[l.ConsentID]:
			l.State, l.ConsentID = shop.LineStateProposed, ""
		default:
			continue
		}
		if err := c.Advance(l); err != nil {
			return err
		}
	}
	return nil
}

// wholeWay reports whether a consent of this kind settles which way the job goes.
func wholeWay(kind shop.ConsentKind) bool {
	return kind == shop.ConsentKindRepair || kind == shop.ConsentKindPutBack
}

// replacedBy lists the earlier consents whose place a new one takes.
func (c *JobChange) replacedBy(given shop.Consent) (map[shop.ConsentID]bool, error) {
	out := map[shop.ConsentID]bool{}
	if !wholeWay(given.Kind) {
		return out, nil
	}
	all, err := every[shop.Consent](c.Tx, By{"job_id": c.Job.ID})
	for _, was := range all {
		if was.ID != given.ID && wholeWay(was.Kind) {
			out[was.ID] = true
		}
	}
	return out, err
}

// RecordConsent records an answer that staff took: spoken, in person or by
// message. With an offer it is bound to the bytes shown and has the effect of
// an answer on the page; without one it is a "yes, up to" or a no.
func (a *App) RecordConsent(ctx context.Context, who auth.Principal, job shop.JobID, in shop.Consent) (given shop.Consent, err error) {
	err = a.onJob(ctx, who, job, "consent.recorded", func(c *JobChange) error {
		if ended(c.Job) {
			return closed()
		}
		given = in
		given.TakenBy, given.ElectronicVersion = who.StaffID, ""
		if given.SaidAt.IsZero() {
			given.SaidAt = c.Now()
		}
		s, err := load[shop.Shop](c.Tx, string(who.ShopID))
		if err != nil {
			return err
		}
		if given.OfferID != "" {
			return c.recordAnswer(s, &given)
		}
		return c.recordWithoutOffer(s, &given)
	})
	return given, err
}

// recordAnswer records an answer to an offer.
func (c *JobChange) recordAnswer(s shop.Shop, given *shop.Consent) error {
	offer, err := load[shop.Offer](c.Tx, string(given.OfferID))
	if fault.Is(err, fault.NotFound) || err == nil && offer.JobID != c.Job.ID {
		return fault.Invalid("app.offer_unknown", "/offer_id", "Name an offer of this job.")
	}
	if err != nil {
		return err
	}
	doc, err := readDocument(offer)
	if err != nil {
		return err
	}
	way, err := c.checkAnswer(s, offer, doc, *given)
	if err != nil {
		return err
	}
	given.Relation = orOwner(given.Relation)
	return c.settleOffer(&offer, doc, way, given)
}

func (c *JobChange) checkAnswer(s shop.Shop, offer shop.Offer, doc OfferDocument, given shop.Consent) (*OfferWay, error) {
	way := doc.Way(given.ScopeID)
	var wrong []fault.Field
	if kind := kindOf(offer, way); kind != given.Kind {
		wrong = append(wrong, fault.Field{Pointer: "/kind", Message: "The kind is that of the way chosen, or for a no of the offer: " + string(kind) + "."})
	}
	if given.Decision == shop.DecisionAgreed && way == nil {
		wrong = append(wrong, fault.Field{Pointer: "/scope_id", Message: "Name the way forward chosen, one of this offer."})
	}
	if given.Decision == shop.DecisionDeclined && given.ScopeID != "" {
		wrong = append(wrong, fault.Field{Pointer: "/scope_id", Message: "A no is to the whole offer; leave the way forward out."})
	}
	if given.LimitAmount != nil {
		wrong = append(wrong, fault.Field{Pointer: "/limit_amount", Message: "A way forward is agreed to whole; leave the limit out, or make a new offer."})
	}
	if given.SaidAt.Before(offer.AskedAt) {
		wrong = append(wrong, fault.Field{Pointer: "/said_at", Message: "The offer was made after that; an answer cannot come before its question."})
	}
	held := recordHeld(given)
	if given.Decision == shop.DecisionAgreed {
		held = append(held, consent.FieldAddedWork, consent.FieldAddedAmount, consent.FieldRevisedTotal, consent.FieldTaxBase)
		if way != nil && way.EarliestOn != "" {
			held = append(held, consent.FieldRevisedDate)
		}
	} else {
		held = withoutBlankPerson(consent.RecordFieldsAll(), given)
	}
	if err := c.complete(s, given, held, wrong); err != nil {
		return way, err
	}
	if offer.State != shop.OfferStateOpen {
		return way, offerNotOpen(offer)
	}
	if past(s, offer.PriceUntil, given.SaidAt) {
		return way, offerLapsed()
	}
	return way, checkShown(c.Tx, s, offer, doc, given.ShownSHA256)
}

// withoutBlankPerson: a no states no work and no sum, yet who said it, how and
// to whom must be on record.
func withoutBlankPerson(all []consent.RecordField, given shop.Consent) []consent.RecordField {
	held := recordHeld(given)
	var out []consent.RecordField
	for _, f := range all {
		switch f {
		case consent.FieldContact, consent.FieldPerson:
			if !slices.Contains(held, f) {
				continue
			}
		}
		out = append(out, f)
	}
	return out
}

// recordWithoutOffer records a "yes, up to" given at drop-off or for the
// diagnosis, or a no. A limit that would not count for want of words is
// refused, so that nobody finds out when the work should start; one that the
// rule knows on signed paper alone is kept, as a limit to respect.
func (c *JobChange) recordWithoutOffer(s shop.Shop, given *shop.Consent) error {
	var wrong []fault.Field
	if given.Kind != shop.ConsentKindDropOff && given.Kind != shop.ConsentKindDiagnosis {
		wrong = append(wrong, fault.Field{Pointer: "/offer_id", Message: "Make an offer first and name it: only a limit at drop-off or for the diagnosis goes without one."})
	}
	if given.ScopeID != "" {
		wrong = append(wrong, fault.Field{Pointer: "/scope_id", Message: "A way forward belongs to an offer; name the offer, or leave it out."})
	}
	if given.ShownSHA256 != "" {
		wrong = append(wrong, fault.Field{Pointer: "/shown_sha256", Message: "Nothing was shown without an offer; leave the hash out."})
	}
	if given.Decision == shop.DecisionAgreed && given.LimitAmount == nil {
		wrong = append(wrong, fault.Field{Pointer: "/limit_amount", Message: "Say up to how much, tax included."})
	}
	unsaid, err := c.unsaidAtDropOff(s, *given)
	if err != nil {
		return err
	}
	wrong = append(wrong, unsaid...)
	// Who said it and how they were known must be there. A yes to the
	// diagnosis must hold all that the rule asks for.
	held := withoutBlankPerson(consent.RecordFieldsAll(), *given)
	if given.Kind == shop.ConsentKindDiagnosis && given.Decision == shop.DecisionAgreed {
		held = dropOffOf(c.Job.Kind, *given).Fields
	}
	if err := c.complete(s, *given, held, wrong); err != nil {
		return err
	}
	given.ID, given.OfJob = shop.ConsentID(c.app.Source.ID()), shop.OfJob{WorkOrderID: c.Order.ID, JobID: c.Job.ID}
	if given.Wording = "The customer says no."; given.Decision == shop.DecisionAgreed {
		given.Wording = "The customer says yes to at most " + given.LimitAmount.Text(currencyOf(s)) + " " + s.Currency + ", tax included."
	}
	if err := c.insertFirst(given); err != nil {
		return err
	}
	return c.copyConsent(*given)
}

// unsaidAtDropOff says what a limit lacks for the shop's rule to let it count,
// where more words would help.
func (c *JobChange) unsaidAtDropOff(s shop.Shop, given shop.Consent) ([]fault.Field, error) {
	if given.Kind != shop.ConsentKindDropOff || given.Decision != shop.DecisionAgreed {
		return nil, nil
	}
	rule, err := ruleOf(s)
	if err != nil {
		return nil, err
	}
	counts, why := consent.LimitAtDropOff(rule, dropOffOf(c.Job.Kind, given))
	if counts || rule.Limit == consent.LimitNamedInWriting {
		return nil, nil
	}
	return []fault.Field{{Pointer: "/note", Message: why + " Say in the note what the limit is for."}}, nil
}

// clockSlack is how far a device's clock may run ahead of the server's.
const clockSlack = time.Minute

// complete refuses a record that would prove nothing later.
func (c *JobChange) complete(s shop.Shop, given shop.Consent, held []consent.RecordField, wrong []fault.Field) error {
	if given.Method == shop.ConsentMethodLink {
		wrong = append(wrong, fault.Field{Pointer: "/method", Message: "An answer by link is recorded by the page itself; say spoken, in_person or message."})
	}
	if !plausibleCopyTo(given.CopyTo) {
		wrong = append(wrong, fault.Field{Pointer: "/copy_to", Message: "This is not an e-mail address; leave it out to send the copy to the customer's own."})
	}
	if given.SaidAt.After(c.Now().Add(clockSlack)) {
		wrong = append(wrong, fault.Field{Pointer: "/said_at", Message: "This is still to come; give the time at which it was said."})
	}
	if blank(given.IdentifiedHow) {
		wrong = append(wrong, fault.Field{Pointer: "/identified_how", Message: "Say how you knew who it was."})
	}
	rule, err := ruleOf(s)
	if err != nil {
		return err
	}
	for _, f := range consent.MissingRecord(forMotorcycles(rule), held) {
		wrong = append(wrong, missingField(f))
	}
	if len(wrong) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Meaning, Code: "app.consent_incomplete",
		Message: "The record of this answer is not complete: " + wrong[0].Message, Fields: wrong}
}

// recordHeld lists what the record itself holds, apart from work and money.
func recordHeld(given shop.Consent) []consent.RecordField {
	held := []consent.RecordField{consent.FieldGivenAt, consent.FieldChannel, consent.FieldReceivedBy}
	if !blank(given.ContactUsed) || given.Method == shop.ConsentMethodInPerson {
		held = append(held, consent.FieldContact)
	}
	if !blank(given.TypedName) {
		held = append(held, consent.FieldPerson)
	}
	if !blank(given.Relation) {
		held = append(held, consent.FieldRole)
	}
	if !blank(given.Note) {
		held = append(held, consent.FieldRevisedDate)
	}
	return held
}

// missingField says where a field that the rule asks for is to be filled in.
func missingField(f consent.RecordField) fault.Field {
	switch f {
	case consent.FieldContact:
		return fault.Field{Pointer: "/contact_used", Message: "Give the number or address used."}
	case consent.FieldPerson:
		return fault.Field{Pointer: "/typed_name", Message: "Give the name of the person who decided."}
	case consent.FieldRole:
		return fault.Field{Pointer: "/relation", Message: "Say who they are to the owner: the owner, or the person the owner named."}
	case consent.FieldRevisedDate:
		return fault.Field{Pointer: "/note", Message: "Say when it will be ready, or that the promised day stands."}
	case consent.FieldAddedWork:
		return fault.Field{Pointer: "/note", Message: "Say which work it is for."}
	}
	return fault.Field{Pointer: "/offer_id", Message: "The record must state " + strings.ReplaceAll(string(f), "_", " ") + "; name the offer that does."}
}

// RevokeConsent records that the customer takes a yes back. What is done is
// done; lines not done yet are proposed once more.
func (a *App) RevokeConsent(ctx context.Context, who auth.Principal, id shop.ConsentID, reason string) (given shop.Consent, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.Consent](tx, string(id))
		if err != nil {
			return err
		}
		return a.onJob(ctx, who, found.JobID, "consent.revoked", func(c *JobChange) error {
			if given, err = load[shop.Consent](c.Tx, string(id)); err != nil {
				return err
			}
			return c.revoke(&given, reason)
		})
	})
	return given, err
}

func (c *JobChange) revoke(given *shop.Consent, reason string) error {
	switch {
	case ended(c.Job):
		return closed()
	case given.RevokedAt != nil:
		return fault.New(fault.Conflict, "app.consent_revoked", "This consent was taken back already.")
	case given.Decision != shop.DecisionAgreed:
		return fault.New(fault.Conflict, "app.consent_declined", "This was a no; there is nothing to take back.")
	}
	now := c.Now()
	given.RevokedAt = &now
	given.Note = cut(strings.TrimSpace(given.Note+"\nTaken back: "+reason), 10000)
	if err := c.advanceFirst(given); err != nil {
		return err
	}
	if err := c.copyConsent(*given); err != nil {
		return err
	}
	lines, err := every[shop.Line](c.Tx, By{"job_id": c.Job.ID, "consent_id": given.ID, "state": shop.LineStateAgreed})
	if err != nil {
		return err
	}
	for i := range lines {
		lines[i].State, lines[i].ConsentID = shop.LineStateProposed, ""
		if err := c.Advance(&lines[i]); err != nil {
			return err
		}
	}
	return nil
}

// Consents reads a page of the consents and declines of a job.
func (a *App) Consents(ctx context.Context, who auth.Principal, job shop.JobID, page Page) ([]shop.Consent, error) {
	return underJob[shop.Consent](ctx, a, who, job, page)
}
