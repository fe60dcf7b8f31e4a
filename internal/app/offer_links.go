package app

import (
	"context"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// How long a link lives: shown for a week, decided on within three days.
const (
	linkShows   = 7 * 24 * time.Hour
	linkDecides = 72 // hours, at most
)

// MakeOfferLink makes a link for the customer. Its address starts with the
// configured public address, never with what a request calls the host; it is
// given once, only its hash is kept. With a way to send, it also goes to the
// customer, in the same transaction.
func (a *App) MakeOfferLink(ctx context.Context, who auth.Principal, id shop.OfferID, decideHours int64, send shop.MessageWay) (link shop.OfferLink, address string, err error) {
	if decideHours < 1 || decideHours > linkDecides {
		return link, "", fault.Invalid("app.decide_hours_wrong", "/decide_hours", "Give from 1 to 72 hours to decide.")
	}
	err = a.onOffer(ctx, who, id, "offer_link.made", func(c *JobChange, o *shop.Offer) error {
		if o.State != shop.OfferStateOpen {
			return offerNotOpen(*o)
		}
		token, hash, err := a.Tokens.NewOpaque(TokenLink, who.ShopID)
		if err != nil {
			return err
		}
		now := c.Now()
		link = shop.OfferLink{ID: shop.OfferLinkID(a.Source.ID()), OfJob: o.OfJob, OfferID: o.ID, TokenHash: hash,
			ViewUntil: now.Add(linkShows), DecideUntil: now.Add(time.Duration(decideHours) * time.Hour)}
		address = strings.TrimRight(a.PublicURL, "/") + "/c/" + token
		if err := c.insertFirst(&link); err != nil || send == "" {
			return err
		}
		return c.sendLink(link, address, send)
	})
	return link, address, err
}

// OfferLinks reads a page of the links made for an offer.
func (a *App) OfferLinks(ctx context.Context, who auth.Principal, id shop.OfferID, page Page) (rows []shop.OfferLink, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Offer](tx, string(id)); err != nil {
			return err
		}
		return tx.List(&rows, By{"offer_id": id}, page)
	})
	return rows, err
}

// RevokeOfferLink closes one link; the offer and its other links stand.
func (a *App) RevokeOfferLink(ctx context.Context, who auth.Principal, id shop.OfferLinkID) (link shop.OfferLink, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.OfferLink](tx, string(id))
		if err != nil {
			return err
		}
		return a.onJob(ctx, who, found.JobID, "offer_link.revoked", func(c *JobChange) error {
			if link, err = load[shop.OfferLink](c.Tx, string(id)); err != nil {
				return err
			}
			if link.RevokedAt != nil {
				return fault.New(fault.Conflict, "app.link_revoked", "This link is closed already.")
			}
			now := c.Now()
			link.RevokedAt = &now
			return c.advanceFirst(&link)
		})
	})
	return link, err
}
