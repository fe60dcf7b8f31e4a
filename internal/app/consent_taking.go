package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// RecordConsent records an answer that staff took: spoken, in person or by
// message. With an offer it is bound to the bytes shown and has the effect of
// an answer on the page; without one it is a "yes, up to" or a no. A record
// that lacks a field is refused, and the fields are named.
func (a *App) RecordConsent(ctx context.Context, who auth.Principal, job shop.JobID, in shop.Consent) (given shop.Consent, err error) {
	err = a.onJob(ctx, who, job, "consent.recorded", func(c *JobChange) error {
		given, err = c.record(in, nil)
		return err
	})
	return given, err
}

// record stores an answer; was is the record that it puts right, or nil.
func (c *JobChange) record(in shop.Consent, was *shop.Consent) (given shop.Consent, err error) {
	if ended(c.Job) {
		return given, closed()
	}
	given = in
	if err := c.taken(&given); err != nil {
		return given, err
	}
	s, err := load[shop.Shop](c.Tx, string(c.Who.ShopID))
	if err != nil {
		return given, err
	}
	if given.OfferID != "" {
		return given, c.recordAnswer(s, &given, was)
	}
	return given, c.recordWithoutOffer(s, &given)
}

// taken fills what the server knows of an answer that staff took.
func (c *JobChange) taken(given *shop.Consent) error {
	staff, err := load[shop.Staff](c.Tx, string(c.Who.StaffID))
	if err != nil {
		return err
	}
	customer, err := load[shop.Customer](c.Tx, string(c.Order.CustomerID))
	if err != nil {
		return err
	}
	given.TakenBy, given.StaffName, given.ElectronicVersion = staff.ID, staff.Name, ""
	if blank(given.CopyTo) {
		given.CopyTo = orSaid(customer.Email, contactOf(customer))
	}
	switch {
	case given.Method == shop.ConsentMethodInPerson:
		if given.SaidAt.IsZero() {
			given.SaidAt = c.Now()
		}
		if blank(given.ContactUsed) {
			given.ContactUsed = "in the shop"
		}
	case given.Method == shop.ConsentMethodSpoken && given.ShownAs == shop.ShownAsUnset:
		given.ShownAs = shop.ShownAsReadOut
	case given.Method == shop.ConsentMethodMessage && given.ShownAs == shop.ShownAsUnset:
		given.ShownAs = shop.ShownAsMessage
	}
	if given.ShownAs != shop.ShownAsScreen { // the address is that of the shop's own screen
		given.IP, given.UserAgent = "", ""
	}
	return nil
}

// recordAnswer records an answer to an offer.
func (c *JobChange) recordAnswer(s shop.Shop, given, was *shop.Consent) error {
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
	way, err := c.checkAnswer(s, offer, doc, given)
	if err != nil {
		return err
	}
	if was == nil {
		err = c.stillOpen(s, offer, doc, *given)
	} else if given.ShownSHA256 != offer.SHA256 {
		err = shownDiffers()
	}
	if err != nil {
		return err
	}
	if err := bindWords(given, doc); err != nil {
		return err
	}
	return c.settleOffer(&offer, doc, way, given)
}

// stillOpen refuses an answer to an offer that takes none any more.
func (c *JobChange) stillOpen(s shop.Shop, offer shop.Offer, doc OfferDocument, given shop.Consent) error {
	if offer.State != shop.OfferStateOpen {
		return offerNotOpen(offer)
	}
	if past(s, offer.PriceUntil, given.SaidAt) {
		return offerLapsed()
	}
	return checkShown(c.Tx, s, offer, doc, given.ShownSHA256)
}

// maxScript is the most that is read out on a phone, in bytes.
const maxScript = 100_000

// bindWords puts the words of the document into the record: those that were
// read out, and the statement on electronic form that was agreed to.
func bindWords(given *shop.Consent, doc OfferDocument) error {
	if given.ShownAs == shop.ShownAsReadOut {
		script := doc.Script()
		if len(script) > maxScript {
			return fault.New(fault.Conflict, "app.script_too_long", "This offer is too long to be read out; send a link, or print it.")
		}
		if HashText(script) != given.ReadOutSHA256 {
			return fault.New(fault.Conflict, "app.script_differs", "What was read out is not what is to be read out for this offer. Nothing was recorded; read the words to them anew, then record the answer.")
		}
		given.ReadOut = script
	}
	if given.ElectronicAgreed {
		given.ElectronicVersion = doc.statementVersion()
	}
	return nil
}

// checkAnswer refuses an answer that is not complete or does not fit its offer.
func (c *JobChange) checkAnswer(s shop.Shop, offer shop.Offer, doc OfferDocument, given *shop.Consent) (*OfferWay, error) {
	way := doc.Way(given.ScopeID)
	var wrong lacks
	kind := kindOf(offer, way)
	wrong.unless(kind == given.Kind, "/kind", "The kind is that of the way chosen, or for a no of the offer: "+string(kind)+".")
	wrong.unless(given.Decision != shop.DecisionAgreed || way != nil, "/scope_id", "Name the way forward chosen, one of this offer.")
	wrong.unless(given.Decision != shop.DecisionDeclined || given.ScopeID == "", "/scope_id", "A no is to the whole offer; leave the way forward out.")
	wrong.unless(given.LimitAmount == nil, "/limit_amount", "A way forward is agreed to whole; leave the limit out, or make a new offer.")
	wrong.unless(given.SaidAt.IsZero() || !given.SaidAt.Before(offer.AskedAt), "/said_at", "The offer was made after that; an answer cannot come before its question.")
	wrong.unshown(*given)
	if given.Decision != shop.DecisionAgreed {
		return way, c.complete(s, *given, withoutBlankPerson(consent.RecordFieldsAll(), *given), wrong)
	}
	wrong.day(given, way, c.Order.PromisedOn)
	held := append(recordHeld(*given), consent.FieldAddedWork, consent.FieldAddedAmount, consent.FieldRevisedTotal, consent.FieldTaxBase)
	return way, c.complete(s, *given, held, wrong)
}

// recordWithoutOffer records a "yes, up to" given at drop-off or for the
// diagnosis, or a no. A limit that would not count for want of words is
// refused, so that nobody finds out when the work should start; one that the
// rule knows on signed paper alone is kept, as a limit to respect.
func (c *JobChange) recordWithoutOffer(s shop.Shop, given *shop.Consent) error {
	var wrong lacks
	wrong.unless(given.Kind == shop.ConsentKindDropOff || given.Kind == shop.ConsentKindDiagnosis, "/offer_id", "Make an offer first and name it: only a limit at drop-off or for the diagnosis goes without one.")
	wrong.unless(given.ScopeID == "", "/scope_id", "A way forward belongs to an offer; name the offer, or leave it out.")
	wrong.unless(given.ShownSHA256 == "", "/shown_sha256", "Nothing was shown without an offer; leave the hash out.")
	wrong.unless(given.ReadOutSHA256 == "", "/read_out_sha256", "Nothing is read out without an offer; leave the hash out.")
	wrong.unless(given.Decision != shop.DecisionAgreed || given.LimitAmount != nil, "/limit_amount", "Say up to how much, tax included.")
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
	given.ShownAs = shop.ShownAsUnset // there was nothing to show
	c.finish(given)
	if err := c.insertFirst(given); err != nil {
		return err
	}
	c.evidence(*given)
	return c.copyConsent(*given)
}

// unsaidAtDropOff says what a limit lacks for the shop's rule to let it count,
// where more words would help.
func (c *JobChange) unsaidAtDropOff(s shop.Shop, given shop.Consent) (lacks, error) {
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
	return lacks{{Pointer: "/note", Message: why + " Say in the note what the limit is for."}}, nil
}
