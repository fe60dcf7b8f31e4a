package storetest

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// runMessages proves that of senders at once each gets other messages, that
// only what is due and in nobody's hand is given, and that what waits for a
// commit runs after one and never without.
func runMessages(t *testing.T, open Opener) {
	b := open(t)
	mine, theirs := NewShop(t, b, 1), NewShop(t, b, 2)
	t.Run("due and free", func(t *testing.T) { claimDue(t, b, mine, theirs) })
	t.Run("senders at once", func(t *testing.T) { claimAtOnce(t, b, NewShop(t, b, 3)) })
	t.Run("after the commit", func(t *testing.T) { afterCommit(t, b, mine) })
}

func claimDue(t *testing.T, b *Backend, mine, theirs shop.ShopID) {
	now := b.Options.Now().UTC().Truncate(time.Microsecond)
	at := func(d time.Duration) *time.Time { v := now.Add(d); return &v }
	put := func(of shop.ShopID, n int, state shop.MessageState, due time.Time, leased *time.Time) {
		write(t, b, of, func(tx app.Tx) error {
			m := message(n, due)
			m.State, m.LeasedUntil = state, leased
			return tx.Insert(&m)
		})
	}
	put(mine, 1, shop.MessageStateWaiting, now, nil)
	put(mine, 2, shop.MessageStateWaiting, now.Add(time.Hour), nil)                     // not due
	put(mine, 3, shop.MessageStateWaiting, now.Add(-time.Hour), at(time.Hour))          // in someone's hand
	put(mine, 4, shop.MessageStateWaiting, now.Add(-time.Hour), at(-time.Second))       // that hand has gone
	put(mine, 5, shop.MessageStateBeingSent, now.Add(-time.Hour), at(-time.Second))     // left in the middle: counted, not given
	put(mine, 6, shop.MessageStateUncertain, now.Add(-time.Hour), nil)                  // for a person
	put(theirs, 7, shop.MessageStateWaiting, now.Add(-time.Hour), nil)                  // another shop's
	put(mine, 8, shop.MessageStateWaiting, now.Add(-time.Hour-time.Microsecond), at(0)) // ends now
	var due int64
	var claimed []shop.Message
	write(t, b, mine, func(tx app.Tx) (err error) {
		if due, err = tx.MessagesDue(); err != nil {
			return err
		}
		claimed, err = tx.ClaimMessages(now.Add(time.Minute), 10)
		return err
	})
	if due != 4 {
		t.Errorf("%d are due, want 4", due)
	}
	var got []string
	for _, m := range claimed {
		got = append(got, string(m.ID))
		if m.Tries != 1 || m.Version != 2 || m.LeasedUntil == nil || !m.LeasedUntil.Equal(now.Add(time.Minute)) {
			t.Errorf("claimed as %+v", m)
		}
	}
	slices.Sort(got)
	if want := []string{testID(40, 1), testID(40, 4), testID(40, 8)}; !slices.Equal(got, want) {
		t.Errorf("claimed %v, want %v", got, want)
	}
}

// claimAtOnce lets senders race for forty messages: each is had once.
func claimAtOnce(t *testing.T, b *Backend, of shop.ShopID) {
	now := b.Options.Now().UTC()
	write(t, b, of, func(tx app.Tx) error {
		for n := range 40 {
			m := message(100+n, now)
			if err := tx.Insert(&m); err != nil {
				return err
			}
		}
		return nil
	})
	var mu sync.Mutex
	had := map[shop.MessageID]int{}
	for _, err := range race(4, func(int) error {
		for {
			var claimed []shop.Message
			err := tryWrite(t.Context(), b, of, func(tx app.Tx) (err error) {
				claimed, err = tx.ClaimMessages(now.Add(time.Hour), 3)
				return err
			})
			if err != nil || len(claimed) == 0 {
				return err
			}
			mu.Lock()
			for _, m := range claimed {
				had[m.ID]++
			}
			mu.Unlock()
		}
	}) {
		if err != nil {
			t.Error(err)
		}
	}
	if len(had) != 40 {
		t.Errorf("%d of 40 were taken in hand", len(had))
	}
	for id, n := range had {
		if n != 1 {
			t.Errorf("%s was taken in hand %d times", id, n)
		}
	}
}

func message(n int, due time.Time) shop.Message {
	return shop.Message{ID: shop.MessageID(testID(40, n)), Kind: shop.MessageKindTest, Way: shop.MessageWayEmail,
		State: shop.MessageStateWaiting, StateSince: due, DueAt: due}
}

func afterCommit(t *testing.T, b *Backend, of shop.ShopID) {
	ran := 0
	err := b.Store.Write(t.Context(), of, func(ctx context.Context, _ app.Tx) error {
		inner := b.Store.Write(ctx, of, func(_ context.Context, tx app.Tx) error {
			tx.AfterCommit(func() { ran++ })
			return nil
		})
		if ran != 0 {
			t.Error("it ran before the commit")
		}
		return inner
	})
	if err != nil || ran != 1 {
		t.Errorf("after the commit it ran %d times (%v), want once", ran, err)
	}
	undone := tryWrite(t.Context(), b, of, func(tx app.Tx) error {
		tx.AfterCommit(func() { ran++ })
		return errors.New("undone")
	})
	if undone == nil || ran != 1 {
		t.Errorf("it ran %d times though the second transaction was undone (%v)", ran, undone)
	}
}
