package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Sweeping is a kind of row that is taken away when its time is over.
type Sweeping string

// What is swept.
const (
	// SweepAnswers takes stored answers to effects that were made before.
	SweepAnswers Sweeping = "answers"
	// SweepRefreshTokens takes the tokens of sessions that ended before.
	SweepRefreshTokens Sweeping = "refresh_tokens"
	// SweepSessions takes sessions that ended before and have no token left.
	SweepSessions Sweeping = "sessions"
	// SweepLinkHashes wipes the hash of customer links that ended before; the
	// link itself stays on record.
	SweepLinkHashes Sweeping = "link_hashes"
	// SweepReads takes notes of reads made before.
	SweepReads Sweeping = "reads"
	// SweepOutbox takes messages that were done before.
	SweepOutbox Sweeping = "outbox"
	// SweepAddresses wipes the network address of security events before.
	SweepAddresses Sweeping = "addresses"
)

const day = 24 * time.Hour

// SweepRule says how long a kind of row is kept after its end.
type SweepRule struct {
	What Sweeping
	Keep time.Duration
}

// SweepRules lists what is swept, in the order in which it can be: tokens
// before their session. The figures are retention limits of common practice:
// long enough for a client to ask again and for the owner to look, no longer.
func SweepRules() []SweepRule {
	return []SweepRule{
		{SweepAnswers, 72 * time.Hour},
		{SweepRefreshTokens, 30 * day},
		{SweepSessions, 30 * day},
		{SweepLinkHashes, 30 * day},
		{SweepReads, 90 * day},
		{SweepOutbox, 30 * day},
		{SweepAddresses, 90 * day},
	}
}

// sweepBatch is how many rows one transaction takes: few enough that no
// writer waits for long.
const sweepBatch = 200

// Sweep takes away everything of a shop whose time is over, a small batch a
// transaction. Two servers may do it at once: what one has taken, the other
// does not find.
func (a *App) Sweep(ctx context.Context, scope shop.ShopID) error {
	for _, r := range SweepRules() {
		if err := a.sweepKind(ctx, scope, r); err != nil {
			return err
		}
	}
	return a.sweepCounters(ctx, scope)
}

func (a *App) sweepKind(ctx context.Context, scope shop.ShopID, r SweepRule) error {
	for {
		var n int64
		err := a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) (err error) {
			n, err = tx.Sweep(r.What, tx.Now().Add(-r.Keep), sweepBatch)
			return err
		})
		if err != nil || n < sweepBatch {
			return err
		}
	}
}

// idleCounter is how long after the last failure the counter of a name that
// nobody has is kept.
const idleCounter = 30 * day

// sweepCounters takes the counters of guesses at names that nobody has: an
// attacker makes one with each name tried. Those of real accounts stay until
// a right guess or a reset, or waiting would win fresh guesses.
func (a *App) sweepCounters(ctx context.Context, scope shop.ShopID) error {
	idle, err := a.idleCounters(ctx, scope)
	for len(idle) > 0 && err == nil {
		batch := idle[:min(len(idle), sweepBatch)]
		idle = idle[len(batch):]
		err = a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) error { return removeUnchanged(tx, batch) })
	}
	return err
}

func (a *App) idleCounters(ctx context.Context, scope shop.ShopID) (idle []shop.SignInCounter, err error) {
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		idle = nil
		real, err := accountKeys(tx)
		if err != nil {
			return err
		}
		before := tx.Now().Add(-idleCounter)
		return each(tx, By{}, func(c shop.SignInCounter) error {
			if c.LastFailureAt != nil && c.LastFailureAt.Before(before) && !real[c.AccountKey] {
				idle = append(idle, c)
			}
			return nil
		})
	})
	return idle, err
}

// accountKeys gives the keys of every counter that an account can have.
func accountKeys(tx Tx) (map[string]bool, error) {
	tablets, err := every[shop.Tablet](tx, By{})
	if err != nil {
		return nil, err
	}
	real := map[string]bool{}
	add := func(account auth.Account) { real[account.CounterKey()] = true }
	err = each(tx, By{}, func(s shop.Staff) error {
		add(strangerAccount(s.Login))
		add(knownAccount(s))
		for _, t := range tablets {
			add(pinAccount(t.ID, s.ID))
		}
		return nil
	})
	return real, err
}

// removeUnchanged removes counters that nobody has counted up since.
func removeUnchanged(tx Tx, counters []shop.SignInCounter) error {
	for _, was := range counters {
		is, err := load[shop.SignInCounter](tx, string(was.ID))
		if fault.Is(err, fault.NotFound) || err == nil && is.Version != was.Version {
			continue
		}
		if err != nil {
			return err
		}
		if err := tx.Remove(&is); err != nil {
			return err
		}
	}
	return nil
}
