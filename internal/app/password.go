package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// SecretHash is the PHC string of a password or PIN that was held against the
// rules. It is made before the transaction that stores it, since making it
// takes as long as many transactions.
type SecretHash string

// passwordOf says where a new password stands in the request and which words
// a guesser would try first.
type passwordOf struct {
	pointer string
	words   []string
}

// hashPassword holds a new password against the rules and hashes it.
func (a *App) hashPassword(ctx context.Context, password string, of passwordOf) (SecretHash, error) {
	err := auth.CheckPassword(password, auth.PasswordRules{Pointer: of.pointer, Common: a.Hasher.Common, Context: append(of.words, "benchtag")})
	if err != nil {
		return "", err
	}
	hash, err := a.Hasher.Hash(ctx, password)
	return SecretHash(hash), err
}

// FirstPassword makes the hash of a first password of a person to add.
func (a *App) FirstPassword(ctx context.Context, caller Caller, login, name, password string) (SecretHash, error) {
	return a.hashPassword(ctx, password, passwordOf{"/password", []string{caller.Shop.Name, caller.Shop.Slug, login, name}})
}

// NextPassword makes the hash of a new password of a person of the shop.
func (a *App) NextPassword(ctx context.Context, caller Caller, id shop.StaffID, password string) (SecretHash, error) {
	staff, err := ShopRecordOf[shop.Staff](ctx, a, caller.Who, string(id))
	if err != nil {
		return "", err
	}
	return a.hashPassword(ctx, password, passwordOf{"/new_password", []string{caller.Shop.Name, caller.Shop.Slug, staff.Login, staff.Name}})
}

// NextPIN makes the hash of a new bench PIN.
func (a *App) NextPIN(ctx context.Context, pin string) (SecretHash, error) {
	if err := auth.CheckPIN(pin); err != nil {
		return "", err
	}
	hash, err := a.Hasher.Hash(ctx, pin)
	return SecretHash(hash), err
}

// ProvePassword makes sure that the person who asks knows their password. A
// wrong one is counted, in a transaction of its own; pointer names the field.
func (a *App) ProvePassword(ctx context.Context, who auth.Principal, password, pointer string) error {
	if err := auth.PasswordReadable(password); err != nil {
		return err
	}
	staff, err := ShopRecordOf[shop.Staff](ctx, a, who, string(who.StaffID))
	if err != nil {
		return err
	}
	right, err := a.try(ctx, guess{scope: who.ShopID, account: knownAccount(staff), look: func() (bool, error) {
		ok, _, err := a.verify(ctx, password, passwordHashOf(staff))
		return ok, err
	}})
	if err == nil && !right {
		err = fault.Invalid("app.password_wrong", pointer, "This is not your password; type the one you sign in with.")
	}
	return err
}

// ChangePassword sets one's own new password, after ProvePassword, and ends
// every other session and sign-on of the person.
func (a *App) ChangePassword(ctx context.Context, who auth.Principal, hash SecretHash) error {
	return a.onShop(ctx, who, "staff.password_changed", func(c *Change) error {
		staff, err := load[shop.Staff](c, string(who.StaffID))
		if err != nil {
			return err
		}
		staff.PasswordHash = string(hash)
		if err := c.Advance(&staff); err != nil {
			return err
		}
		return endAll(c.Tx, staff.ID, who, endedByPassword)
	})
}

// ResetPassword sets a new password for a person and unlocks them; it ends
// every session and sign-on of theirs.
func (a *App) ResetPassword(ctx context.Context, who auth.Principal, id shop.StaffID, hash SecretHash) error {
	return a.onShop(ctx, who, "staff.password_reset", func(c *Change) error {
		if err := c.freshly(); err != nil {
			return err
		}
		staff, err := load[shop.Staff](c, string(id))
		if err != nil {
			return err
		}
		staff.PasswordHash = string(hash)
		staff.SessionVersion++
		if err := c.Advance(&staff); err != nil {
			return err
		}
		if err := unlock(c.Tx, staff); err != nil {
			return err
		}
		return endAll(c.Tx, staff.ID, auth.Principal{}, endedByPassword)
	})
}

// unlock clears every count of wrong guesses at a person's secrets.
func unlock(tx Tx, staff shop.Staff) error {
	if err := clearCounter(tx, strangerAccount(staff.Login)); err != nil {
		return err
	}
	if err := clearCounter(tx, knownAccount(staff)); err != nil {
		return err
	}
	return each(tx, By{"revoked_at": nil}, func(t shop.Tablet) error {
		return clearCounter(tx, pinAccount(t.ID, staff.ID))
	})
}

// SetPIN sets one's own bench PIN, after ProvePassword, and ends every other
// sign-on of the person; the counts of wrong PINs start anew.
func (a *App) SetPIN(ctx context.Context, who auth.Principal, hash SecretHash) error {
	return a.onShop(ctx, who, "staff.pin_set", func(c *Change) error {
		staff, err := load[shop.Staff](c, string(who.StaffID))
		if err != nil {
			return err
		}
		staff.PinHash, staff.HasPin = string(hash), true
		if err := c.Advance(&staff); err != nil {
			return err
		}
		err = each(c.Tx, By{"staff_id": staff.ID, "ended_at": nil}, func(on shop.SignOn) error {
			if on.ID == who.SignOnID {
				return nil
			}
			return endSignOn(c.Tx, on)
		})
		if err != nil {
			return err
		}
		return each(c.Tx, By{"revoked_at": nil}, func(t shop.Tablet) error {
			return clearCounter(c.Tx, pinAccount(t.ID, staff.ID))
		})
	})
}

// freshly makes sure that whoever gives away roles or passwords typed their
// own password a moment ago (trust R15). The program itself, run by whoever
// holds the machine, needs none.
func (c *Change) freshly() error {
	if c.Who.Kind == auth.KindNobody {
		return nil
	}
	if c.Who.Kind != auth.KindStaff || !auth.FreshEnough(c.Who.AuthTime, auth.ReauthLimit, c.Now()) {
		return fault.New(fault.Unauthenticated, "app.sign_in_afresh", "This asks for a sign-in with the password within the last five minutes; sign in again, then repeat it.")
	}
	return nil
}
