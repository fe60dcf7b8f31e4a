package app

import (
	"context"
	"strings"
	"unicode/utf8"

	"benchtag/internal/auth"
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

// orSaid gives text, or what is said where there is none.
func orSaid(text, otherwise string) string {
	if blank(text) {
		return otherwise
	}
	return text
}

func blank(text string) bool { return strings.TrimSpace(text) == "" }

// Cut shortens text to so many bytes at a boundary of characters.
func Cut(text string, most int) string {
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
	c.finish(given)
	if err := c.insertFirst(given); err != nil {
		return err
	}
	c.evidence(*given)
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

// Consents reads a page of the consents and declines of a job, as far as the
// caller may know them.
func (a *App) Consents(ctx context.Context, who auth.Principal, job shop.JobID, page Page) ([]shop.Consent, error) {
	rows, err := underJob[shop.Consent](ctx, a, who, job, page)
	if !seesContacts(who) {
		for i := range rows {
			withoutPerson(&rows[i])
		}
	}
	return rows, err
}

// withoutPerson leaves of an answer what was agreed to and what was said of
// it. Who said so, and by which number or address, the bench need not know.
func withoutPerson(n *shop.Consent) {
	n.TypedName, n.Relation, n.IdentifiedHow, n.ContactUsed, n.CopyTo, n.IP, n.UserAgent = "", "", "", "", "", "", ""
}
