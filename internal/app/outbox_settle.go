package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// settle notes what became of a try. The row is changed only if it is still
// as this sender left it: what another has noted since stands, save that a
// known end is better than an uncertain one.
func (a *App) settle(ctx context.Context, m shop.Message, out Delivery) error {
	if out.Result == Gone {
		if err := a.disableHook(ctx, m, "The other end answered 410: gone for good."); err != nil {
			return err
		}
	}
	was := m
	err := a.settleOnce(ctx, m, out)
	if !fault.Is(err, fault.VersionStale) {
		return err
	}
	err = a.Store.Read(ctx, m.ShopID, func(tx Tx) error { return tx.Load(&m, string(m.ID)) })
	if err != nil || m.State != shop.MessageStateUncertain || m.Tries != was.Tries || out.Result == Uncertain {
		return err
	}
	return a.settleOnce(ctx, m, out)
}

func (a *App) settleOnce(ctx context.Context, m shop.Message, out Delivery) error {
	if out.Result == Accepted && m.Kind == shop.MessageKindConsentCopy {
		return a.settleCopy(ctx, m)
	}
	return a.Store.Write(ctx, m.ShopID, func(_ context.Context, tx Tx) error {
		row := m
		var chance [1]byte
		a.Source.Bytes(chance[:])
		noteResult(tx, &row, out, chance[0])
		return tx.Advance(&row)
	})
}

// noteResult sets where a message stands after a try.
func noteResult(tx Tx, m *shop.Message, out Delivery, chance byte) {
	switch out.Result {
	case Accepted:
		now := tx.Now()
		m.SentAt = &now
		setState(tx, m, shop.MessageStateSent, "")
	case Uncertain:
		setState(tx, m, shop.MessageStateUncertain, out.Words)
	case NotSetUp:
		setState(tx, m, shop.MessageStateNotSetUp, out.Words)
	case Pointless:
		setState(tx, m, shop.MessageStateGivenUp, out.Words)
	case Later:
		wait, more := RetryAfter(m.Tries, chance)
		if !more {
			setState(tx, m, shop.MessageStateFailed, out.Words+" It was tried for days and is not tried again by itself.")
			return
		}
		setState(tx, m, shop.MessageStateWaiting, out.Words)
		m.DueAt = tx.Now().Add(wait.Truncate(time.Microsecond))
	default: // Refused, Gone
		setState(tx, m, shop.MessageStateFailed, out.Words)
	}
}

// settleCopy notes that a customer's copy was accepted, on the answer as
// well: that is part of what can be proved later, so it is journaled.
func (a *App) settleCopy(ctx context.Context, m shop.Message) error {
	system := auth.Principal{ShopID: m.ShopID}
	return a.onJob(ctx, system, m.JobID, "consent.copy_sent", func(c *JobChange) error {
		given, err := load[shop.Consent](c.Tx, m.SubjectID)
		if err != nil {
			return err
		}
		now := c.Now()
		given.CopySentAt = &now // and nothing else: the record is proved as it is
		if err := c.Advance(&given); err != nil {
			return err
		}
		row := m
		noteResult(c.Tx, &row, Delivery{Result: Accepted}, 0)
		return c.Tx.Advance(&row)
	})
}

// disableHook switches a webhook off, and says so in the shop's journal.
func (a *App) disableHook(ctx context.Context, m shop.Message, why string) error {
	id := m.EndpointID
	system := auth.Principal{ShopID: m.ShopID}
	return a.onShop(ctx, system, "webhook.disabled", func(c *Change) error {
		if id == "" {
			hook, err := textHook(c.Tx)
			if err != nil || hook.ID == "" {
				return err
			}
			id = hook.ID
		}
		hook, err := load[shop.Webhook](c.Tx, string(id))
		if err != nil || hook.DisabledAt != nil {
			return err
		}
		now := c.Now()
		hook.DisabledAt, hook.DisabledReason = &now, why
		return c.Advance(&hook)
	})
}
