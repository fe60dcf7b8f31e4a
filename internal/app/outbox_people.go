package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Outbox reads a page of the messages, the newest first, in one state or in
// any.
func (a *App) Outbox(ctx context.Context, who auth.Principal, state shop.MessageState, page Page) ([]shop.Message, error) {
	var by By
	if state != "" {
		by = By{"state": state}
	}
	page.Newest = true
	return ShopRecordsOf[shop.Message](ctx, a, who, by, page)
}

// Messaging says what messages of a shop can go by, and how many need a
// person: those that failed, and those of which nobody knows whether they went.
type Messaging struct {
	Mail, Texts, Webhooks bool
	Stuck                 int64
}

// Messaging tells how messages stand.
func (a *App) Messaging(ctx context.Context, who auth.Principal) (out Messaging, err error) {
	out = Messaging{Mail: a.Mailer != nil, Webhooks: a.Hooks != nil}
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		hook, err := textHook(tx)
		if err != nil {
			return err
		}
		out.Texts = a.Hooks != nil && hook.ID != ""
		out.Stuck, err = tx.MessagesStuck()
		return err
	})
	return out, err
}

// RetryMessage sends a message again that has stopped, with a fresh run of
// tries. It keeps its id at the other end, so that what did arrive before can
// be known for the same.
func (a *App) RetryMessage(ctx context.Context, who auth.Principal, id shop.MessageID) (shop.Message, error) {
	return a.onMessage(ctx, who, id, "message.retried", func(c *Change, m *shop.Message) error {
		switch m.State {
		case shop.MessageStateFailed, shop.MessageStateUncertain, shop.MessageStateNotSetUp, shop.MessageStateWaiting:
		default:
			return fault.New(fault.Conflict, "app.message_not_stopped", "This message is "+messageStateWords(m.State)+"; there is nothing to send again.")
		}
		why, err := a.notSetUp(c.Tx, *m)
		if err != nil {
			return err
		}
		if why != "" {
			return fault.New(fault.Conflict, "app.message_not_set_up", why)
		}
		setState(c.Tx, m, shop.MessageStateWaiting, "")
		m.DueAt, m.Tries = c.Now(), 0
		c.AfterCommit(func() { a.wake.nudge(m.ShopID) })
		return nil
	})
}

// GiveUpMessage says that nobody needs to send a message any more: it was
// handed over otherwise, or has arrived after all.
func (a *App) GiveUpMessage(ctx context.Context, who auth.Principal, id shop.MessageID, reason string) (shop.Message, error) {
	return a.onMessage(ctx, who, id, "message.given_up", func(c *Change, m *shop.Message) error {
		switch m.State {
		case shop.MessageStateSent, shop.MessageStateGivenUp, shop.MessageStateBeingSent:
			return fault.New(fault.Conflict, "app.message_not_stopped", "This message is "+messageStateWords(m.State)+"; there is nothing to give up.")
		}
		c.Remark(reason)
		setState(c.Tx, m, shop.MessageStateGivenUp, m.LastError)
		return nil
	})
}

func messageStateWords(s shop.MessageState) string {
	switch s {
	case shop.MessageStateSent:
		return "sent"
	case shop.MessageStateBeingSent:
		return "being sent right now"
	case shop.MessageStateGivenUp:
		return "given up"
	}
	return "waiting"
}

// onMessage runs a person's change of a message, in the journal of the visit
// it is about, or of the shop. A sender that has it in hand goes first.
func (a *App) onMessage(ctx context.Context, who auth.Principal, id shop.MessageID, event journal.Event, fn func(*Change, *shop.Message) error) (m shop.Message, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		if m, err = load[shop.Message](tx, string(id)); err != nil {
			return err
		}
		do := func(c *Change) error {
			if m, err = load[shop.Message](c.Tx, string(id)); err != nil {
				return err
			}
			if m.LeasedUntil != nil && m.LeasedUntil.After(c.Now()) {
				return fault.New(fault.Conflict, "app.message_in_hand", "This message is on its way right now; look again in a minute.")
			}
			if err := fn(c, &m); err != nil {
				return err
			}
			return c.advanceFirst(&m)
		}
		if m.WorkOrderID == "" {
			return a.onShop(ctx, who, event, do)
		}
		return a.onOrder(ctx, who, m.WorkOrderID, event, func(c *Change, _ *shop.WorkOrder) error { return do(c) })
	})
	return m, err
}

// TestMessage sends a test to the shop itself, by mail or as a text message.
func (a *App) TestMessage(ctx context.Context, who auth.Principal, way shop.MessageWay) (m shop.Message, err error) {
	if way != shop.MessageWayEmail && way != shop.MessageWayText {
		return m, fault.Invalid("app.send_way_unknown", "/by", "Say email or text.")
	}
	return a.sendTest(ctx, who, Outgoing{Kind: shop.MessageKindTest, Way: way})
}

func (a *App) sendTest(ctx context.Context, who auth.Principal, out Outgoing) (m shop.Message, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		c := &Change{Tx: tx, Ctx: ctx, Who: who, app: a}
		if m, err = c.Send(out); err != nil {
			return err
		}
		if m.State == shop.MessageStateNotSetUp {
			return fault.New(fault.Conflict, "app.message_not_set_up", m.LastError)
		}
		return nil
	})
	return m, err
}
