package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// enrolLife is how long an enrolment code is good.
const enrolLife = time.Hour

// Enrolment is a tablet to enrol, with its code, shown once.
type Enrolment struct {
	Tablet shop.Tablet
	Code   string
	Until  time.Time
}

// AddTablet makes a tablet and the one-time code that enrols it.
func (a *App) AddTablet(ctx context.Context, who auth.Principal, name string) (Enrolment, error) {
	var out Enrolment
	err := a.onShop(ctx, who, "tablet.added", func(c *Change) error {
		code, hash, err := a.Tokens.NewOpaque(TokenEnrol, who.ShopID)
		if err != nil {
			return err
		}
		until := c.Now().Add(enrolLife)
		out = Enrolment{Code: code, Until: until,
			Tablet: shop.Tablet{ID: shop.TabletID(a.Source.ID()), Name: name, EnrolHash: hash, EnrolUntil: &until}}
		return c.Insert(&out.Tablet)
	})
	return out, err
}

// EnrolTablet exchanges an enrolment code, once, for the device secret.
func (a *App) EnrolTablet(ctx context.Context, code string) (tablet shop.Tablet, secret string, err error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenEnrol, code)
	if err != nil {
		return tablet, "", codeRefused()
	}
	var id shop.TabletID
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		found, err := list[shop.Tablet](tx, By{"enrol_hash": hash, "revoked_at": nil})
		if err == nil && len(found) == 1 {
			id = found[0].ID
		}
		return err
	})
	if err != nil || id == "" {
		return tablet, "", orFirst(err, codeRefused())
	}
	who := auth.Principal{Kind: auth.KindTablet, ShopID: scope, TabletID: id}
	err = a.onShop(ctx, who, "tablet.enrolled", func(c *Change) error {
		tablet, err = load[shop.Tablet](c, string(id))
		if err != nil {
			return err
		}
		now := c.Now()
		if tablet.EnrolHash != hash || tablet.RevokedAt != nil || tablet.EnrolUntil == nil || !now.Before(*tablet.EnrolUntil) {
			return codeRefused()
		}
		var kept string
		if secret, kept, err = a.Tokens.NewOpaque(TokenDevice, scope); err != nil {
			return err
		}
		tablet.EnrolHash, tablet.EnrolUntil, tablet.SecretHash, tablet.EnrolledAt, tablet.LastHeardAt = "", nil, kept, &now, &now
		return c.Advance(&tablet)
	})
	return tablet, secret, err
}

func codeRefused() error {
	return fault.New(fault.Unauthenticated, "app.enrol_code_refused", "This code is wrong, used or older than an hour; ask the owner for a new one.")
}

// RevokeTablet takes a tablet out of use; everybody signed on at it is signed
// off at once.
func (a *App) RevokeTablet(ctx context.Context, who auth.Principal, id shop.TabletID) (tablet shop.Tablet, err error) {
	err = a.onShop(ctx, who, "tablet.revoked", func(c *Change) error {
		tablet, err = load[shop.Tablet](c, string(id))
		if err != nil || tablet.RevokedAt != nil {
			return err
		}
		now := c.Now()
		tablet.RevokedAt, tablet.EnrolHash, tablet.EnrolUntil, tablet.SecretHash = &now, "", nil, ""
		if err := c.Advance(&tablet); err != nil {
			return err
		}
		return each(c.Tx, By{"tablet_id": id, "ended_at": nil}, func(on shop.SignOn) error { return endSignOn(c.Tx, on) })
	})
	return tablet, err
}

// Heartbeat notes that a tablet is alive and how many records it has not sent.
func (a *App) Heartbeat(ctx context.Context, who auth.Principal, unsent int64) (tablet shop.Tablet, err error) {
	err = a.writeAgain(ctx, who.ShopID, func(tx Tx) error {
		tablet, err = load[shop.Tablet](tx, string(who.TabletID))
		if err != nil {
			return err
		}
		now := tx.Now()
		tablet.LastHeardAt, tablet.Unsent = &now, unsent
		return tx.Advance(&tablet)
	})
	return tablet, err
}

// TabletStaff lists who can sign on at a tablet: people with a PIN.
func (a *App) TabletStaff(ctx context.Context, who auth.Principal) ([]shop.Staff, error) {
	return ShopRecordsOf[shop.Staff](ctx, a, who, By{"has_pin": true, "disabled": false}, Page{})
}
