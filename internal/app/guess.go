package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// This file counts guesses at passwords and PINs, so that guessing stops and
// the count survives a restart (trust R4).

// writeTries is how often a small write is tried again when another of the
// same kind came first.
const writeTries = 8

// writeAgain runs a write that may lose a race for a row, until it wins.
func (a *App) writeAgain(ctx context.Context, scope shop.ShopID, fn func(Tx) error) error {
	var err error
	for range writeTries {
		err = a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) error { return fn(tx) })
		if !lostRace(err) {
			return err
		}
	}
	busy := fault.New(fault.Unavailable, "app.busy", "Too much came at once; try again.").Because(err)
	busy.RetryAfter = 1
	return busy
}

// lostRace reports whether another write of the same row came first.
func lostRace(err error) bool {
	return fault.Is(err, fault.VersionStale) || fault.Is(err, fault.Conflict) || fault.Is(err, fault.ExistsAlready)
}

// guess is one try at a secret of an account.
type guess struct {
	scope   shop.ShopID
	account auth.Account
	// look computes the hash and says whether the secret was right.
	look func() (bool, error)
}

// try counts the guess as failed in a transaction of its own, only then looks
// at it, and clears the count if it was right: so guesses made at the same
// moment cannot share one state, and a refused one is counted for good. A
// guess that is refused by the count is not looked at.
func (a *App) try(ctx context.Context, g guess) (bool, error) {
	if err := a.countGuess(ctx, g); err != nil {
		return false, err
	}
	right, err := g.look()
	switch {
	case err != nil:
		// Nothing was learnt from it: the hasher was busy.
		return false, orFirst(a.uncountGuess(ctx, g), err)
	case right:
		err = a.clearGuesses(ctx, g)
	}
	return right, err
}

func orFirst(err, otherwise error) error {
	if err != nil {
		return err
	}
	return otherwise
}

func (a *App) countGuess(ctx context.Context, g guess) error {
	rule := auth.DefaultThrottle()
	return a.writeAgain(ctx, g.scope, func(tx Tx) error {
		row, found, err := counterOf(tx, g.account)
		if err != nil {
			return err
		}
		failed := failures(row)
		if may := rule.Next(failed, tx.Now()); !may.Allowed {
			return tooMany(may)
		}
		failed = rule.AfterFailure(failed, tx.Now())
		row.Failures, row.LastFailureAt, row.NextTryAt = int64(failed.Count), &failed.Last, &failed.NextTry
		if found {
			return tx.Advance(&row)
		}
		row.ID = shop.SignInCounterID(a.Source.ID())
		return tx.Insert(&row)
	})
}

// uncountGuess takes back one count.
func (a *App) uncountGuess(ctx context.Context, g guess) error {
	return a.writeAgain(ctx, g.scope, func(tx Tx) error {
		row, found, err := counterOf(tx, g.account)
		if err != nil || !found || row.Failures == 0 {
			return err
		}
		row.Failures, row.NextTryAt = row.Failures-1, nil
		return tx.Advance(&row)
	})
}

func (a *App) clearGuesses(ctx context.Context, g guess) error {
	return a.writeAgain(ctx, g.scope, func(tx Tx) error { return clearCounter(tx, g.account) })
}

func clearCounter(tx Tx, account auth.Account) error {
	row, found, err := counterOf(tx, account)
	if err != nil || !found {
		return err
	}
	err = tx.Remove(&row)
	if fault.Is(err, fault.NotFound) { // another right guess was faster
		return nil
	}
	return err
}

func counterOf(tx Tx, account auth.Account) (shop.SignInCounter, bool, error) {
	key := account.CounterKey()
	rows, err := list[shop.SignInCounter](tx, By{"account_key": key})
	if err != nil || len(rows) == 0 {
		return shop.SignInCounter{AccountKey: key}, false, err
	}
	return rows[0], true, nil
}

func failures(row shop.SignInCounter) auth.Failures {
	f := auth.Failures{Count: int(row.Failures)}
	if row.LastFailureAt != nil {
		f.Last = *row.LastFailureAt
	}
	if row.NextTryAt != nil {
		f.NextTry = *row.NextTryAt
	}
	return f
}

// tooMany says when to come back, or whom to ask.
func tooMany(may auth.Allowance) error {
	f := fault.New(fault.TooMany, "app.guess_too_soon", "That was wrong too often; wait a little and try again.")
	f.RetryAfter = int((may.RetryAfter + time.Second - 1) / time.Second)
	if may.Stopped {
		f = fault.New(fault.TooMany, "app.guess_stopped", "That was wrong too often; the owner of the shop must set a new password.")
		f.RetryAfter = int(auth.DefaultThrottle().Most / time.Second)
	}
	return f
}

// The accounts whose guesses are counted. A person's password has two: one
// for strangers, and one for devices on which the person is or was signed in,
// so that strangers cannot lock those out; both together stay at twice the
// stop at most.
func strangerAccount(login string) auth.Account { return auth.Account{Login: login} }

func knownAccount(staff shop.Staff) auth.Account {
	return auth.Account{Login: staff.Login, KnownDevice: string(staff.ID)}
}

// pinAccount is a person's PIN at one tablet. No login has a colon.
func pinAccount(tablet shop.TabletID, staff shop.StaffID) auth.Account {
	return auth.Account{Login: "pin:" + string(staff), KnownDevice: string(tablet)}
}
