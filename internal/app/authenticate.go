package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// signInAgain is the one answer to a token that no longer counts.
func signInAgain() error {
	return fault.New(fault.Unauthenticated, "app.sign_in_again", "This sign-in is no longer good; sign in again.")
}

// Authenticate looks up, at this moment, who an access token speaks for:
// a changed role, a disabled account or an ended session bites at once.
func (a *App) Authenticate(ctx context.Context, claims AccessClaims) (Caller, error) {
	var out Caller
	err := a.Store.Read(ctx, claims.ShopID, func(tx Tx) error {
		staff, err := load[shop.Staff](tx, string(claims.StaffID))
		if err != nil {
			return err
		}
		if staff.Disabled || staff.SessionVersion != claims.SessionVersion {
			return signInAgain()
		}
		kind, err := alive(tx, claims)
		if err != nil {
			return err
		}
		out.Who = auth.Principal{Kind: kind, ShopID: claims.ShopID, StaffID: staff.ID, Roles: staff.Roles,
			SessionID: claims.SessionID, TabletID: claims.TabletID, SignOnID: claims.SignOnID, AuthTime: claims.AuthTime}
		out.Shop, err = load[shop.Shop](tx, string(claims.ShopID))
		return err
	})
	if fault.Is(err, fault.NotFound) {
		return Caller{}, signInAgain()
	}
	return out, err
}

// alive reports which kind of sign-in the claims speak of, if it still lives.
func alive(tx Tx, claims AccessClaims) (auth.Kind, error) {
	if claims.SignOnID == "" {
		s, err := load[shop.Session](tx, string(claims.SessionID))
		if err != nil {
			return "", err
		}
		if s.StaffID != claims.StaffID || s.EndedAt != nil || !tx.Now().Before(earlier(s.IdleUntil, s.ExpiresAt)) {
			return "", signInAgain()
		}
		return auth.KindStaff, nil
	}
	on, err := load[shop.SignOn](tx, string(claims.SignOnID))
	if err != nil {
		return "", err
	}
	tablet, err := load[shop.Tablet](tx, string(on.TabletID))
	if err != nil {
		return "", err
	}
	if on.StaffID != claims.StaffID || on.TabletID != claims.TabletID || on.EndedAt != nil || tablet.RevokedAt != nil || !tx.Now().Before(on.ExpiresAt) {
		return "", signInAgain()
	}
	return auth.KindSignOn, nil
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// AuthenticateTablet looks up which enrolled tablet a device secret is of.
func (a *App) AuthenticateTablet(ctx context.Context, secret string) (Caller, error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenDevice, secret)
	if err != nil {
		return Caller{}, enrolFirst()
	}
	var out Caller
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		tablets, err := list[shop.Tablet](tx, By{"secret_hash": hash, "revoked_at": nil})
		if err != nil {
			return err
		}
		if len(tablets) != 1 {
			return enrolFirst()
		}
		out.Who = auth.Principal{Kind: auth.KindTablet, ShopID: scope, TabletID: tablets[0].ID}
		out.Shop, err = load[shop.Shop](tx, string(scope))
		return err
	})
	return out, err
}

func enrolFirst() error {
	return fault.New(fault.Unauthenticated, "app.enrol_first", "This tablet is not enrolled here, or was taken out of use; ask the owner.")
}
