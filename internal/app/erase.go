package app

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// An erasure takes the person and leaves the work: every personal column of
// the customer's rows is emptied, the customer's key and what it sealed in the
// journal go, and the headers of the journal stay, so that every chain, the
// shop's tree and every other customer's receipt hold as before. While papers
// have to be kept, the same happens to the rows, but what stood there is kept
// beside them, sealed under the customer's key, until the last of it may go.

// ErasureState says what became of a wish to be erased.
type ErasureState string

// The states.
const (
	Erased     ErasureState = "erased"     // nothing of the person is left
	Restricted ErasureState = "restricted" // kept under seal, goes by itself later
)

// Erasure is the answer to a wish to be erased.
type Erasure struct {
	State    ErasureState
	Customer shop.Customer
	// Held reports that a legal hold keeps the papers whatever their age.
	Held bool
	// Reason says in a sentence what was done and, if so, why it is kept and
	// until when.
	Reason string
}

// EraseCustomer erases a customer, or restricts them as long as papers of
// theirs have to be kept. It asks for a fresh sign-in (trust R15). An open
// work order refuses.
func (a *App) EraseCustomer(ctx context.Context, who auth.Principal, id shop.CustomerID, why shop.EraseReason) (out Erasure, err error) {
	if why == shop.EraseReasonNone || !slices.Contains(shop.EraseReasonValues(), why) {
		return out, fault.Invalid("app.reason_missing", "/reason", "Say why: asked, no_longer_needed or other.")
	}
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		if err := (&Change{Tx: tx, Who: who}).freshly(); err != nil {
			return err
		}
		customer, err := load[shop.Customer](tx, string(id))
		if err != nil {
			return err
		}
		if customer.ErasedAt != nil {
			return erasedAlready()
		}
		if customer.EraseAskedAt == nil {
			now := tx.Now()
			customer.EraseAskedAt, customer.EraseReason = &now, why
		}
		out, err = a.eraseOrRestrict(ctx, tx, who, customer)
		return err
	})
	return out, err
}

func erasedAlready() error {
	return fault.New(fault.Conflict, "app.customer_erased", "This customer was erased; nothing of them is left. Make a new customer.")
}

// eraseOrRestrict does to a customer what can be done today.
func (a *App) eraseOrRestrict(ctx context.Context, tx Tx, who auth.Principal, customer shop.Customer) (Erasure, error) {
	own, err := ownerOf(tx, customer.ID)
	if err != nil {
		return Erasure{}, err
	}
	if err := own.allClosed(); err != nil {
		return Erasure{}, err
	}
	kept, err := paperTimeOf(tx, own.orders)
	if err != nil {
		return Erasure{}, err
	}
	settings, err := load[shop.Shop](tx, string(tx.Shop()))
	if err != nil {
		return Erasure{}, err
	}
	if kept.over(tx.Now()) {
		return a.eraseNow(ctx, tx, who, customer, own)
	}
	return a.restrict(ctx, tx, who, customer, own, kept.day(settings, tx.Now()), kept.held)
}

// paperTimeOf says until when the papers of visits that have ended are kept.
func paperTimeOf(tx Tx, orders []shop.WorkOrder) (paperTime, error) {
	all, err := retentions(tx, orders)
	var k paperTime
	for _, r := range all {
		if r.Held != nil {
			k.held = true
		}
		if r.Until != nil && r.Until.After(k.until) {
			k.until = *r.Until
		}
	}
	return k, err
}

// allClosed refuses as long as work is under way.
func (o owner) allClosed() error {
	var open []string
	for _, w := range o.orders {
		if w.ClosedAt == nil {
			open = append(open, strconv.FormatInt(w.Number, 10))
		}
	}
	if len(open) == 0 {
		return nil
	}
	return fault.New(fault.Conflict, "app.customer_has_open_work",
		fmt.Sprintf("There is open work for this customer, on work order %s. Close it or withdraw its jobs first; then erase.", strings.Join(open, ", ")))
}

// paperTime says until when papers have to be kept.
type paperTime struct {
	until time.Time // zero: nothing has to be
	held  bool      // a legal hold stands
}

func (k paperTime) over(now time.Time) bool { return !k.held && !now.Before(k.until) }

// day is the day on which it is looked at again.
func (k paperTime) day(s shop.Shop, now time.Time) shop.Date {
	at := k.until
	if at.Before(now) {
		at = now.Add(day) // a hold alone keeps it; nobody knows for how long
	}
	return shop.DateOf(at, zoneOf(s))
}

// restrict empties the rows and keeps what stood there under seal. Done a
// second time it only moves the day.
func (a *App) restrict(ctx context.Context, tx Tx, who auth.Principal, customer shop.Customer, own owner, until shop.Date, held bool) (Erasure, error) {
	out := Erasure{State: Restricted, Held: held, Customer: customer, Reason: restrictedWords(until, held)}
	first := customer.EraseOn == ""
	if !first && customer.EraseOn == until {
		return out, nil
	}
	if first {
		if err := a.keepSealed(tx, own); err != nil {
			return out, err
		}
	}
	customer.EraseOn = until
	err := a.forgetRows(ctx, tx, who, &customer, own, "customer.restricted")
	out.Customer = customer
	return out, err
}

func restrictedWords(until shop.Date, held bool) string {
	why := "The law asks that what was agreed to and billed be kept for years after the work (see the shop's consent rule), so it is kept under seal until " + string(until) + " and erased by itself then."
	if held {
		why = "A legal hold stands on a work order of this customer, so what has to be kept is kept under seal; it is looked at again on " + string(until) + " and erased by itself once the hold is lifted and the years are over."
	}
	return "Nobody in the shop sees this person's data any more, in no list and no search. " + why + " Until then only the owner can look at it, with a reason that is noted."
}

// eraseNow takes the person out of everything.
func (a *App) eraseNow(ctx context.Context, tx Tx, who auth.Principal, customer shop.Customer, own owner) (Erasure, error) {
	now := tx.Now()
	customer.ErasedAt, customer.EraseOn = &now, ""
	if err := a.forgetRows(ctx, tx, who, &customer, own, "customer.erased"); err != nil {
		return Erasure{}, err
	}
	photos, err := photosOf(tx, own)
	if err != nil {
		return Erasure{}, err
	}
	orders := make([]string, len(own.orders))
	for i, w := range own.orders {
		orders[i] = string(w.ID)
	}
	err = tx.ForgetSealed(customer.ID, orders)
	if err == nil {
		err = tx.NoteErasure(customer.ID, photos)
	}
	if err == nil {
		err = a.tellOwner(tx, "customer.erased", who.StaffID, Client{}, "A customer was erased; what was sealed under their key can be read by nobody any more.")
	}
	return Erasure{State: Erased, Customer: customer,
		Reason: "Nothing of this person is left here; the record of the work stays without them. Backups made before still hold them: see the README."}, err
}

func photosOf(tx Tx, own owner) ([]shop.PhotoID, error) {
	if len(own.orders) == 0 {
		return nil, nil
	}
	photos, err := every[shop.Photo](tx, By{"work_order_id": own.orderIDs()})
	ids := make([]shop.PhotoID, len(photos))
	for i, p := range photos {
		ids[i] = p.ID
	}
	return ids, err
}

// forgetRows empties the personal columns of all that is the customer's, and
// says so in the journal of each visit and in the shop's, by ids alone.
func (a *App) forgetRows(ctx context.Context, tx Tx, who auth.Principal, customer *shop.Customer, own owner, event journal.Event) error {
	for i := range own.orders {
		order := &own.orders[i]
		err := a.changeIn(ctx, tx, who, orderStream(tx.Shop(), order.ID), event, func(c *Change) error {
			return c.forgetVisit(order, customer.ErasedAt != nil)
		})
		if err != nil {
			return err
		}
	}
	return a.changeIn(ctx, tx, who, shopStream(tx.Shop()), event, func(c *Change) error {
		if err := c.forget(customer); err != nil {
			return err
		}
		return each(c.Tx, By{"customer_id": customer.ID}, func(m shop.Machine) error { return c.forget(&m) })
	})
}

// forgetVisit empties what a visit says of the person, closes links that are
// still open, and gives up messages that have not gone out. Of photos, the
// content goes only when nothing has to be kept any more (gone).
func (c *Change) forgetVisit(order *shop.WorkOrder, gone bool) error {
	visit := owner{orders: []shop.WorkOrder{*order}}
	if err := c.forget(order); err != nil {
		return err
	}
	for _, b := range belongings() {
		if b.table == "customers" || b.table == "machines" || b.table == "work_orders" {
			continue
		}
		rows, err := b.all(c.Tx, visit)
		if err != nil {
			return err
		}
		for _, row := range rows {
			if err := c.forgetRow(row, gone); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *Change) forgetRow(row Noun, gone bool) error {
	switch n := row.(type) {
	case *shop.Photo:
		// Said here, in the transaction of the erasure, so that deleting the
		// files afterwards has nothing to write under a key that is gone.
		if now := c.Now(); gone && n.ErasedAt == nil {
			n.ErasedAt = &now
		}
	case *shop.OfferLink:
		if n.RevokedAt != nil {
			return nil
		}
		now := c.Now()
		n.RevokedAt = &now
		return c.forget(n)
	case *shop.Message:
		if n.State == shop.MessageStateSent {
			return nil
		}
		n.State, n.StateSince, n.Sealed, n.LastError = shop.MessageStateGivenUp, c.Now(), []byte{}, "The customer asked to be erased."
		return c.forget(n)
	}
	if !slices.Contains(PersonalTables(), row.TableName()) {
		return nil
	}
	return c.forget(row)
}

// forget empties the personal columns of a row and notes for the journal what
// is left, so that a check of the shop still answers for the row.
func (c *Change) forget(row Noun) error {
	if err := c.Tx.Forget(row); err != nil {
		return err
	}
	c.note(row)
	return nil
}

// EraseDue erases every customer of a shop whose papers need not be kept any
// more; those that have to be kept longer than was thought wait on.
func (a *App) EraseDue(ctx context.Context, scope shop.ShopID) error {
	var due []shop.CustomerID
	err := a.Store.Read(ctx, scope, func(tx Tx) error {
		due = nil
		s, err := load[shop.Shop](tx, string(scope))
		if err != nil {
			return err
		}
		today := shop.DateOf(tx.Now(), zoneOf(s))
		return each(tx, By{"erase_on": Not{""}}, func(n shop.Customer) error {
			if n.EraseOn <= today && n.ErasedAt == nil {
				due = append(due, n.ID)
			}
			return nil
		})
	})
	for _, id := range due {
		if err == nil {
			err = a.eraseOne(ctx, scope, id)
		}
	}
	return err
}

func (a *App) eraseOne(ctx context.Context, scope shop.ShopID, id shop.CustomerID) error {
	who := auth.Principal{Kind: auth.KindNobody, ShopID: scope}
	return a.Store.Write(ctx, scope, func(ctx context.Context, tx Tx) error {
		customer, err := load[shop.Customer](tx, string(id))
		if err != nil || customer.ErasedAt != nil {
			return err
		}
		_, err = a.eraseOrRestrict(ctx, tx, who, customer)
		return err
	})
}
