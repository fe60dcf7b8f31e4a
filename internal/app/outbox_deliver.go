package app

import (
	"context"
	"errors"
	"sync"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// OutboxLease is how long a sender has a message in hand before another may
// take it, unless Options say otherwise. Every try ends well before.
const OutboxLease = 2 * time.Minute

// atOnce is how many messages of a shop are on their way at once.
const atOnce = 4

func (a *App) lease() time.Duration {
	if a.MessageLease > 0 {
		return a.MessageLease
	}
	return OutboxLease
}

// Woken gives the shops that have something new to send, as they turn up.
func (a *App) Woken() <-chan shop.ShopID { return a.wake.shops }

// DeliverMessages sends what is due of a shop, and goes on until nothing is.
// Several servers may do it at once: each message is in one hand at a time.
func (a *App) DeliverMessages(ctx context.Context, scope shop.ShopID) error {
	var due int64
	err := a.Store.Read(ctx, scope, func(tx Tx) (err error) {
		due, err = tx.MessagesDue()
		return err
	})
	if err != nil || due == 0 {
		return err
	}
	if err := a.markUncertain(ctx, scope); err != nil {
		return err
	}
	for ctx.Err() == nil {
		var claimed []shop.Message
		err := a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) (err error) {
			claimed, err = tx.ClaimMessages(tx.Now().Add(a.lease()), atOnce)
			return err
		})
		if err != nil || len(claimed) == 0 {
			return err
		}
		if err := a.deliverAll(ctx, claimed); err != nil {
			return err
		}
	}
	return nil
}

func (a *App) deliverAll(ctx context.Context, claimed []shop.Message) error {
	errs := make([]error, len(claimed))
	var under sync.WaitGroup
	for i := range claimed {
		under.Go(func() { errs[i] = a.deliver(ctx, claimed[i]) })
	}
	under.Wait()
	return errors.Join(errs...)
}

// markUncertain finds letters whose sender was cut off while handing over.
// Nobody can know whether they went, so a person must look: they are not
// sent again by themselves.
func (a *App) markUncertain(ctx context.Context, scope shop.ShopID) error {
	return a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) error {
		rows, err := list[shop.Message](tx, By{"state": shop.MessageStateBeingSent})
		for i := range rows {
			m := &rows[i]
			if m.LeasedUntil != nil && m.LeasedUntil.After(tx.Now()) {
				continue
			}
			setState(tx, m, shop.MessageStateUncertain, uncertainWords)
			if err := tx.Advance(m); err != nil && !fault.Is(err, fault.VersionStale) {
				return err
			}
		}
		return err
	})
}

const uncertainWords = "The server stopped while handing it over: it may have gone. Ask whether it has arrived; if not, send it again, else give it up here."

// setState notes where a message stands.
func setState(tx Tx, m *shop.Message, state shop.MessageState, words string) {
	m.State, m.StateSince, m.LeasedUntil, m.LastError = state, tx.Now(), nil, words
	if state == shop.MessageStateSent || state == shop.MessageStateGivenUp {
		m.Sealed = nil // what was secret has gone, or will never go
	}
}

// deliver makes one try at a message in hand and notes what became of it.
func (a *App) deliver(ctx context.Context, m shop.Message) error {
	out, err := a.attempt(ctx, &m)
	if ctx.Err() != nil && out.Result == "" || fault.Is(err, fault.Unavailable) {
		return err // its lease runs out, and another try is made
	}
	if err != nil {
		out = Delivery{Result: Later, Words: "It could not be written, because a record it needs could not be read."}
	}
	// From here on the note must be made, whether the server is stopping or not.
	rest, cancel := context.WithTimeout(context.WithoutCancel(ctx), settleWithin)
	defer cancel()
	return errors.Join(err, a.settle(rest, m, out))
}

const settleWithin = 20 * time.Second

// attempt renders a message and hands it over.
func (a *App) attempt(ctx context.Context, m *shop.Message) (Delivery, error) {
	parcel, why, err := a.pack(ctx, *m)
	if err != nil || why.Result != "" {
		return why, err
	}
	if parcel.letter != nil {
		return a.Mailer.Send(ctx, *parcel.letter, func(ctx context.Context) error { return a.markSending(ctx, m) }), nil
	}
	return a.Hooks.Call(ctx, *parcel.call), nil
}

// markSending notes, durably and before the first byte of a letter, that from
// here on it may have gone. It fails if the message is in another hand.
func (a *App) markSending(ctx context.Context, m *shop.Message) error {
	marked := *m
	err := a.Store.Write(ctx, m.ShopID, func(_ context.Context, tx Tx) error {
		marked = *m
		until := tx.Now().Add(a.lease())
		marked.State, marked.StateSince, marked.LeasedUntil = shop.MessageStateBeingSent, tx.Now(), &until
		return tx.Advance(&marked)
	})
	if err == nil {
		*m = marked
	}
	return err
}

// RetryPlan is how long after each failed try the next one is made, before a
// little chance is added (Standard Webhooks, "Operational considerations",
// whose first try is at once). After the last one a message has failed.
func RetryPlan() []time.Duration {
	return []time.Duration{5 * time.Second, 5 * time.Minute, 30 * time.Minute, 2 * time.Hour, 5 * time.Hour,
		10 * time.Hour, 14 * time.Hour, 20 * time.Hour, 24 * time.Hour}
}

// RetryAfter gives the wait after so many failed tries, a tenth longer at
// most as chance (0 to 255) has it, and false where there is no further try.
func RetryAfter(tries int64, chance byte) (time.Duration, bool) {
	plan := RetryPlan()
	if tries < 1 || tries > int64(len(plan)) {
		return 0, false
	}
	wait := plan[tries-1]
	return wait + wait/10*time.Duration(chance)/255, true
}
