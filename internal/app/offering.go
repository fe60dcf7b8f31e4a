package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// NewOffer says what to offer: ways forward of one job and one kind.
type NewOffer struct {
	JobID      shop.JobID
	ScopeIDs   []string
	PriceUntil shop.Date
}

// MakeOffer fixes what the customer is shown: bytes stored once and hashed.
// An older open offer of the same kind is withdrawn, since two open questions
// about one thing could both be answered.
func (a *App) MakeOffer(ctx context.Context, who auth.Principal, in NewOffer) (offer shop.Offer, err error) {
	err = a.onJob(ctx, who, in.JobID, "offer.made", func(c *JobChange) error {
		if ended(c.Job) {
			return closed()
		}
		parts, err := c.offerParts(in)
		if err != nil {
			return err
		}
		if err := c.withdrawOlder(parts.kind()); err != nil {
			return err
		}
		number, err := c.Number("offer/" + string(c.Order.ID))
		if err != nil {
			return err
		}
		doc, err := parts.write(c.Tx, number, in.PriceUntil)
		if err != nil {
			return err
		}
		body, err := json.Marshal(doc)
		if err != nil {
			return fmt.Errorf("app: write an offer: %w", err)
		}
		sum := sha256.Sum256(body)
		offer = shop.Offer{ID: shop.OfferID(a.Source.ID()), OfJob: shop.OfJob{WorkOrderID: c.Order.ID, JobID: c.Job.ID},
			Number: number, Kind: doc.Kind, ScopeIDs: in.ScopeIDs, Document: body, SHA256: hex.EncodeToString(sum[:]),
			RuleID: parts.rule.ID, PriceUntil: in.PriceUntil, State: shop.OfferStateOpen, AskedBy: who.StaffID, AskedAt: c.Now()}
		return c.insertFirst(&offer)
	})
	return offer, err
}

// offerParts loads and checks what an offer is made of.
func (c *JobChange) offerParts(in NewOffer) (offerParts, error) {
	s, err := load[shop.Shop](c.Tx, string(c.Who.ShopID))
	if err != nil {
		return offerParts{}, err
	}
	if past(s, in.PriceUntil, c.Now()) {
		return offerParts{}, fault.Invalid("app.price_until_past", "/price_until", "The price must hold at least for today; give a later day.")
	}
	rule, err := ruleOf(s)
	if err != nil {
		return offerParts{}, err
	}
	scopes, err := c.liveScopes(in.ScopeIDs)
	if err != nil {
		return offerParts{}, err
	}
	if err := checkTerms(rule, scopes); err != nil {
		return offerParts{}, err
	}
	return offerParts{shop: s, rule: rule, order: *c.Order, job: *c.Job, scopes: scopes}, nil
}

// liveScopes loads the ways forward in the order asked for: of this job, not
// struck, all of one kind or repairs beside putting it back, none twice.
func (c *JobChange) liveScopes(ids []string) ([]shop.Scope, error) {
	scopes := make([]shop.Scope, 0, len(ids))
	for i, id := range ids {
		where := fmt.Sprintf("/scope_ids/%d", i)
		sc, err := load[shop.Scope](c.Tx, id)
		switch {
		case fault.Is(err, fault.NotFound), err == nil && sc.JobID != c.Job.ID:
			return nil, fault.Invalid("app.scope_unknown", where, "Name a way forward of this job.")
		case err != nil:
			return nil, err
		case sc.IsStruck():
			return nil, fault.Invalid("app.scope_struck", where, "This way forward was struck; name one that stands.")
		case slices.Contains(ids[:i], id):
			return nil, fault.Invalid("app.scope_twice", where, "Name each way forward once.")
		case len(scopes) > 0 && sc.Kind != scopes[0].Kind && !(wholeWay(shop.ConsentKind(sc.Kind)) && wholeWay(shop.ConsentKind(scopes[0].Kind))):
			return nil, fault.Invalid("app.scope_kind_mixed", where, "Offer only ways forward of one kind together, or repairs beside putting it back: any other kind is a question of its own.")
		case len(sc.LineIDs) == 0:
			return nil, fault.Invalid("app.scope_empty", where, "This way forward holds no line; add what it does and costs.")
		}
		scopes = append(scopes, sc)
	}
	if len(scopes) == 0 {
		return nil, fault.Invalid("app.scope_missing", "/scope_ids", "Name at least one way forward.")
	}
	return scopes, nil
}

// checkTerms refuses to ask for a teardown without saying what the rule asks for.
func checkTerms(rule consent.Rule, scopes []shop.Scope) error {
	if scopes[0].Kind != shop.ScopeKindTeardown {
		return nil
	}
	var fields []fault.Field
	for i, sc := range scopes {
		for _, term := range missingTerms(rule, sc.TeardownTerms) {
			fields = append(fields, fault.Field{Pointer: fmt.Sprintf("/scope_ids/%d", i),
				Message: fmt.Sprintf("State %s in the teardown terms of %q.", strings.ReplaceAll(term, "_", " "), sc.Title)})
		}
	}
	if len(fields) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Meaning, Code: "app.teardown_terms_missing",
		Message: "Before something is taken apart the customer must be told more: " + fields[0].Message, Fields: fields}
}

// missingTerms names what a teardown question has yet to state by the rule.
func missingTerms(rule consent.Rule, terms *shop.TeardownTerms) []string {
	var given []consent.Term
	if terms != nil {
		for _, name := range terms.Given() {
			given = append(given, consent.Term(name))
		}
	}
	var out []string
	for _, term := range consent.MissingTerms(forMotorcycles(rule), given) {
		out = append(out, string(term))
	}
	return out
}

// withdrawOlder closes open offers of a kind, for the new one to take their
// place; which way the job goes is one question, repaired or put back.
func (c *JobChange) withdrawOlder(kind shop.ScopeKind) error {
	kinds := []shop.ScopeKind{kind}
	if wholeWay(shop.ConsentKind(kind)) {
		kinds = []shop.ScopeKind{shop.ScopeKindRepair, shop.ScopeKindPutBack}
	}
	return c.withdrawWhere(By{"job_id": c.Job.ID, "kind": kinds, "state": shop.OfferStateOpen})
}

// withdrawOpen takes back every open question of a job that has ended; the
// links to them are dead from then on.
func (c *JobChange) withdrawOpen() error {
	return c.withdrawWhere(By{"job_id": c.Job.ID, "state": shop.OfferStateOpen})
}

func (c *JobChange) withdrawWhere(by By) error {
	offers, err := every[shop.Offer](c.Tx, by)
	if err != nil {
		return err
	}
	for i := range offers {
		offers[i].State = shop.OfferStateWithdrawn
		if err := c.Advance(&offers[i]); err != nil {
			return err
		}
	}
	return nil
}

// WithdrawOffer takes an open offer back; its links are dead from then on.
// The reason stands in the journal, in the note kept beside the offer.
func (a *App) WithdrawOffer(ctx context.Context, who auth.Principal, id shop.OfferID, reason string) (offer shop.Offer, err error) {
	err = a.onOffer(ctx, who, id, "offer.withdrawn", func(c *JobChange, o *shop.Offer) error {
		if o.State != shop.OfferStateOpen {
			return offerNotOpen(*o)
		}
		o.State = shop.OfferStateWithdrawn
		offer = *o
		if err := c.Advance(&offer); err != nil {
			return err
		}
		c.Remark(reason)
		return nil
	})
	return offer, err
}

// onOffer runs a change under an offer's job, the work order's head locked.
func (a *App) onOffer(ctx context.Context, who auth.Principal, id shop.OfferID, event journal.Event, fn func(*JobChange, *shop.Offer) error) error {
	return a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.Offer](tx, string(id))
		if err != nil {
			return err
		}
		return a.onJob(ctx, who, found.JobID, event, func(c *JobChange) error {
			offer, err := load[shop.Offer](c.Tx, string(id))
			if err != nil {
				return err
			}
			return fn(c, &offer)
		})
	})
}

// offerNotOpen says why an offer takes no answer any more.
func offerNotOpen(o shop.Offer) error {
	switch o.State {
	case shop.OfferStateDecided:
		return fault.New(fault.Conflict, "app.offer_decided", "This offer has been answered already; make a new one to ask again.")
	case shop.OfferStateWithdrawn:
		return fault.New(fault.Gone, "app.offer_withdrawn", "The shop has withdrawn this offer; ask the shop.")
	case shop.OfferStateLapsed:
		return offerLapsed()
	}
	return offerChanged()
}

func offerLapsed() error {
	return fault.New(fault.Gone, "app.offer_lapsed", "The time to answer this offer is over; ask the shop for a new one.")
}

func offerChanged() error {
	return fault.New(fault.Gone, "app.offer_changed", "The work or its price has changed since this offer was made; ask the shop for a new one.")
}

// stillStands reports whether the ways forward are now, line by line and cent
// by cent, what the document shows.
func stillStands(tx Tx, s shop.Shop, o shop.Offer, doc OfferDocument) (bool, error) {
	scopes := make([]shop.Scope, 0, len(o.ScopeIDs))
	for _, id := range o.ScopeIDs {
		sc, err := load[shop.Scope](tx, id)
		if err != nil {
			return false, err
		}
		if sc.IsStruck() {
			return false, nil
		}
		scopes = append(scopes, sc)
	}
	now, err := waysOf(tx, s, scopes)
	if fault.Is(err, fault.Conflict) || fault.Is(err, fault.Meaning) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	is, err := json.Marshal(now)
	if err != nil {
		return false, fmt.Errorf("app: compare an offer: %w", err)
	}
	was, err := json.Marshal(doc.Ways)
	if err != nil {
		return false, fmt.Errorf("app: compare an offer: %w", err)
	}
	return bytes.Equal(is, was), nil
}

// Offer reads one offer, its bytes with it.
func (a *App) Offer(ctx context.Context, who auth.Principal, id shop.OfferID) (offer shop.Offer, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		offer, err = load[shop.Offer](tx, string(id))
		return err
	})
	return offer, err
}

// OfferScript gives an offer in words to be read to the customer.
func (a *App) OfferScript(ctx context.Context, who auth.Principal, id shop.OfferID) (script string, offer shop.Offer, err error) {
	if offer, err = a.Offer(ctx, who, id); err != nil {
		return "", offer, err
	}
	doc, err := readDocument(offer)
	return doc.Script(), offer, err
}

// Offers reads a page of the offers of a job.
func (a *App) Offers(ctx context.Context, who auth.Principal, job shop.JobID, page Page) ([]shop.Offer, error) {
	return underJob[shop.Offer](ctx, a, who, job, page)
}

// underJob reads a page of what hangs on a job.
func underJob[T any](ctx context.Context, a *App, who auth.Principal, job shop.JobID, page Page) (rows []T, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Job](tx, string(job)); err != nil {
			return err
		}
		return tx.List(&rows, By{"job_id": job}, page)
	})
	return rows, err
}
