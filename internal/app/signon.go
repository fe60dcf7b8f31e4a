package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// signOnLife is the longest a sign-on lasts: a long working day.
const signOnLife = 12 * time.Hour

// SignedOn is a sign-on at a tablet with its access token.
type SignedOn struct {
	Access    string
	ExpiresIn time.Duration
	StaffID   shop.StaffID
	SignOnID  shop.SignOnID
}

func wrongPIN() error {
	return fault.New(fault.Unauthenticated, "app.pin_wrong", "The PIN is wrong, or this person cannot sign on here.")
}

// SignOn signs a person on at an enrolled tablet by PIN. Wrong PINs are
// counted for this person at this tablet; a PIN is of no use elsewhere.
func (a *App) SignOn(ctx context.Context, who auth.Principal, id shop.StaffID, pin string) (SignedOn, error) {
	staff, err := ShopRecordOf[shop.Staff](ctx, a, who, string(id))
	if err != nil && !fault.Is(err, fault.NotFound) {
		return SignedOn{}, err
	}
	right, err := a.try(ctx, guess{scope: who.ShopID, account: pinAccount(who.TabletID, id), look: func() (bool, error) {
		ok, _, err := a.verify(ctx, pin, pinHashOf(staff))
		return ok, err
	}})
	if err != nil {
		return SignedOn{}, err
	}
	if !right {
		return SignedOn{}, wrongPIN()
	}
	return a.signedOn(ctx, who, staff)
}

func pinHashOf(staff shop.Staff) string {
	if staff.Disabled || !staff.HasPin {
		return ""
	}
	return staff.PinHash
}

func (a *App) signedOn(ctx context.Context, who auth.Principal, was shop.Staff) (out SignedOn, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(_ context.Context, tx Tx) error {
		staff, err := load[shop.Staff](tx, string(was.ID))
		if err != nil {
			return err
		}
		tablet, err := load[shop.Tablet](tx, string(who.TabletID))
		if err != nil {
			return err
		}
		if tablet.RevokedAt != nil || staff.Disabled || staff.PinHash != was.PinHash {
			return wrongPIN()
		}
		now := tx.Now()
		on := shop.SignOn{ID: shop.SignOnID(a.Source.ID()), TabletID: tablet.ID, StaffID: staff.ID, SessionVersion: staff.SessionVersion,
			StartedAt: now, LastUsedAt: now, ExpiresAt: now.Add(signOnLife)}
		if err := tx.Insert(&on); err != nil {
			return err
		}
		out, err = a.tokenOfSignOn(tx, on)
		return err
	})
	return out, err
}

func (a *App) tokenOfSignOn(tx Tx, on shop.SignOn) (SignedOn, error) {
	now := tx.Now()
	access, err := a.Tokens.Access(AccessClaims{ShopID: tx.Shop(), StaffID: on.StaffID, TabletID: on.TabletID, SignOnID: on.ID,
		SessionVersion: on.SessionVersion, AuthTime: on.StartedAt, IssuedAt: now, ExpiresAt: now.Add(auth.AccessLife)})
	return SignedOn{Access: access, ExpiresIn: auth.AccessLife, StaffID: on.StaffID, SignOnID: on.ID}, err
}

// RenewSignOn gives a fresh access token for a sign-on at this tablet that
// still lives, so that nobody types a PIN every ten minutes with gloves on.
// The time of the PIN stays what it was: a second person must type theirs.
func (a *App) RenewSignOn(ctx context.Context, who auth.Principal, id shop.SignOnID) (out SignedOn, err error) {
	err = a.writeAgain(ctx, who.ShopID, func(tx Tx) error {
		on, err := load[shop.SignOn](tx, string(id))
		if err != nil {
			return err
		}
		if on.TabletID != who.TabletID {
			return fault.Missing("sign on")
		}
		staff, err := load[shop.Staff](tx, string(on.StaffID))
		if err != nil {
			return err
		}
		now := tx.Now()
		idle := on.LastUsedAt.Add(auth.LimitsFor(staff.Roles).Idle)
		if on.EndedAt != nil || staff.Disabled || staff.SessionVersion != on.SessionVersion || !now.Before(earlier(idle, on.ExpiresAt)) {
			return fault.New(fault.Unauthenticated, "app.sign_on_over", "This sign-on is over; sign on again with the PIN.")
		}
		on.LastUsedAt = now
		if err := tx.Advance(&on); err != nil {
			return err
		}
		out, err = a.tokenOfSignOn(tx, on)
		return err
	})
	return out, err
}
