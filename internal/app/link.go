package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// visited is a link with all that hangs on it.
type visited struct {
	shop  shop.Shop
	link  shop.OfferLink
	offer shop.Offer
	job   shop.Job
	doc   OfferDocument
}

// LinkOffer shows what a customer's link leads to. It changes nothing: mail
// scanners and previews follow links too.
func (a *App) LinkOffer(ctx context.Context, token string) (view LinkView, err error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenLink, token)
	if err != nil {
		return LinkView{}, linkUnknown()
	}
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		v, err := visit(tx, hash)
		if err != nil {
			return err
		}
		view, err = v.show(tx)
		return err
	})
	return view, err
}

func linkUnknown() error {
	return fault.New(fault.NotFound, "app.link_unknown", "There is nothing at this address. Check that the link was copied whole, or ask the shop.")
}

// visit looks up a link by the hash of its token.
func visit(tx Tx, hash string) (visited, error) {
	var v visited
	links, err := list[shop.OfferLink](tx, By{"token_hash": hash})
	if err != nil {
		return v, err
	}
	if len(links) != 1 {
		return v, linkUnknown()
	}
	v.link = links[0]
	if v.offer, err = load[shop.Offer](tx, string(v.link.OfferID)); err != nil {
		return v, err
	}
	if v.job, err = load[shop.Job](tx, string(v.offer.JobID)); err != nil {
		return v, err
	}
	if v.shop, err = load[shop.Shop](tx, string(tx.Shop())); err != nil {
		return v, err
	}
	v.doc, err = readDocument(v.offer)
	return v, err
}

// dead says why a link shows nothing any more, or nil.
func (v visited) dead(now time.Time) error {
	switch {
	case v.link.RevokedAt != nil:
		return fault.New(fault.Gone, "app.link_revoked", "The shop has closed this link; ask the shop.")
	case !now.Before(v.link.ViewUntil):
		return fault.New(fault.Gone, "app.link_ended", "This link has ended; ask the shop for a copy or a new one.")
	case v.offer.State == shop.OfferStateOpen && ended(&v.job):
		return fault.New(fault.Gone, "app.job_over", "The shop has closed this job; ask the shop.")
	case v.offer.State == shop.OfferStateOpen, v.offer.State == shop.OfferStateDecided:
		return nil
	}
	return offerNotOpen(v.offer)
}

// decideTill is the last moment for an answer: the link's own, and the end of
// the last day on which the price holds.
func (v visited) decideTill() time.Time {
	if v.offer.PriceUntil == "" {
		return v.link.DecideUntil
	}
	return earlier(v.link.DecideUntil, endOf(v.shop, v.offer.PriceUntil))
}

func (v visited) show(tx Tx) (LinkView, error) {
	if err := v.dead(tx.Now()); err != nil {
		return LinkView{}, err
	}
	view := LinkView{State: LinkOpen, Document: v.doc, SHA256: v.offer.SHA256, NewFinding: v.offer.NewFindings,
		DecideTill: v.decideTill().UTC().Format(time.RFC3339)}
	asked, err := v.asked(tx)
	if err != nil {
		return LinkView{}, err
	}
	view.Asked = asked
	if view.Erased, err = v.erasedPhotos(tx); err != nil {
		return LinkView{}, err
	}
	if v.offer.State == shop.OfferStateDecided {
		view.State = LinkDecided
		given, err := decisionOn(tx, v.offer)
		if err != nil {
			return LinkView{}, err
		}
		view.Receipt = receiptOf(given, v.doc)
		return view, nil
	}
	stands, err := stillStands(tx, v.shop, v.offer, v.doc)
	if err != nil {
		return LinkView{}, err
	}
	if !stands {
		return LinkView{}, offerChanged()
	}
	return view, nil
}

// decisionOn finds the consent that decided an offer.
func decisionOn(tx Tx, o shop.Offer) (shop.Consent, error) {
	rows, err := list[shop.Consent](tx, By{"job_id": o.JobID, "offer_id": o.ID})
	if err != nil {
		return shop.Consent{}, err
	}
	if len(rows) == 0 {
		return shop.Consent{}, fault.New(fault.Internal, "app.decision_lost", "The answer to this offer could not be read.")
	}
	return rows[len(rows)-1], nil // a record put right stands behind the one that puts it right
}

func receiptOf(given shop.Consent, doc OfferDocument) *LinkReceipt {
	title := ""
	if way := doc.Way(given.ScopeID); way != nil {
		title = way.Title
	}
	return &LinkReceipt{ConsentID: given.ID, Decision: given.Decision, WayTitle: title, Gross: given.Gross, TypedName: given.TypedName,
		AnsweredAt: given.SaidAt.UTC().Format(time.RFC3339), Wording: given.Wording, SHA256: given.ShownSHA256}
}

// LinkDecide takes the customer's answer: once, to exactly the bytes that
// were shown. The work order's head is locked, so that of many answers at
// once one is taken and the others are told so.
func (a *App) LinkDecide(ctx context.Context, in LinkAnswer) (view LinkView, err error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenLink, in.Token)
	if err != nil {
		return LinkView{}, linkUnknown()
	}
	err = a.Store.Write(ctx, scope, func(ctx context.Context, tx Tx) error {
		v, err := visit(tx, hash)
		if err != nil {
			return err
		}
		who := auth.Principal{Kind: auth.KindLink, ShopID: scope, LinkID: v.link.ID}
		err = a.onJob(ctx, who, v.offer.JobID, "consent.given", func(c *JobChange) error {
			return c.decideByLink(hash, in)
		})
		if err != nil {
			return err
		}
		if v, err = visit(tx, hash); err != nil {
			return err
		}
		view, err = v.show(tx)
		return err
	})
	return view, err
}

// decideByLink checks and records an answer, the head being locked.
func (c *JobChange) decideByLink(hash string, in LinkAnswer) error {
	v, err := visit(c.Tx, hash)
	if err != nil {
		return err
	}
	if err := v.open(c.Tx, in.SHA256); err != nil {
		return err
	}
	way, err := in.chosen(v.doc)
	if err != nil {
		return err
	}
	customer, err := load[shop.Customer](c.Tx, string(c.Order.CustomerID))
	if err != nil {
		return err
	}
	asker, err := load[shop.Staff](c.Tx, string(v.offer.AskedBy))
	if err != nil {
		return err
	}
	now := c.Now()
	sentTo := contactOf(customer)
	given := shop.Consent{StaffName: asker.Name, ShownAs: shop.ShownAsScreen, ElectronicAgreed: true, DeviceTime: in.DeviceTime,
		Method: shop.ConsentMethodLink, Decision: shop.DecisionAgreed, TypedName: in.TypedName, Relation: orOwner(in.Relation),
		IdentifiedHow: "holds the link made for this offer; link sent to " + sentTo, ContactUsed: sentTo, SaidAt: now,
		ElectronicVersion: v.doc.statementVersion(), IP: in.IP, UserAgent: orSaid(Cut(in.UserAgent, 2000), "the browser said nothing of itself"), LinkHash: hash,
		CopyTo: "receipt on the page of the link", CopySentAt: &now, Note: in.Note}
	if in.Decline {
		given.Decision = shop.DecisionDeclined
	} else {
		given.ReadyOn = way.EarliestOn
	}
	if err := c.settleOffer(&v.offer, v.doc, way, &given); err != nil {
		return err
	}
	v.link.UsedAt = &now
	return c.Advance(&v.link)
}

// open refuses an answer that comes too late or to something else.
func (v visited) open(tx Tx, sha256 string) error {
	now := tx.Now()
	if err := v.dead(now); err != nil {
		return err
	}
	if v.link.UsedAt != nil || v.offer.State != shop.OfferStateOpen {
		return offerNotOpen(shop.Offer{State: shop.OfferStateDecided})
	}
	if !now.Before(v.decideTill()) {
		return offerLapsed()
	}
	return checkShown(tx, v.shop, v.offer, v.doc, sha256)
}

// checkShown makes sure that the answer is to the bytes stored, and that they
// still say what the work and its price are.
func checkShown(tx Tx, s shop.Shop, o shop.Offer, doc OfferDocument, sha256 string) error {
	if sha256 != o.SHA256 {
		return shownDiffers()
	}
	stands, err := stillStands(tx, s, o, doc)
	if err != nil {
		return err
	}
	if !stands {
		return offerChanged()
	}
	return nil
}

func shownDiffers() error {
	return fault.New(fault.Conflict, "app.shown_differs", "What was shown is not what this offer says now. Nothing was recorded; look at it again, then answer.")
}

// chosen checks what the customer filled in and gives the way they chose.
func (in LinkAnswer) chosen(doc OfferDocument) (*OfferWay, error) {
	var wrong []fault.Field
	if blank(in.TypedName) || len(in.TypedName) > 2000 {
		wrong = append(wrong, fault.Field{Pointer: "/typed_name", Message: "Type your name, so that the answer has an author."})
	}
	if len(in.Relation) > 2000 {
		wrong = append(wrong, fault.Field{Pointer: "/relation", Message: "Say it in fewer words."})
	}
	if len(in.Note) > 10000 {
		wrong = append(wrong, fault.Field{Pointer: "/note", Message: "Say it in fewer words."})
	}
	var way *OfferWay // none for a no
	if !in.Decline {
		way = doc.Way(in.ScopeID)
	}
	if !in.Decline && way == nil {
		wrong = append(wrong, fault.Field{Pointer: "/choice", Message: "Choose one of the ways forward, or decline."})
	}
	if !in.Electronic {
		wrong = append(wrong, fault.Field{Pointer: "/electronic", Message: "Tick that you agree to answer electronically. If you want paper instead, call us."})
	}
	if !in.Agreed {
		wrong = append(wrong, fault.Field{Pointer: "/agreed", Message: "Tick that the words beside it are your answer."})
	}
	if len(wrong) > 0 {
		return nil, &fault.Error{Kind: fault.Meaning, Code: "app.answer_incomplete", Message: wrong[0].Message, Fields: wrong}
	}
	return way, nil
}
