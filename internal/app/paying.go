package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// signed is what a payment adds to what the shop holds.
func signed(p shop.Payment) money.Amount {
	if p.Kind == shop.PaymentKindRefund {
		return -p.Amount
	}
	return p.Amount
}

// kept is what is left of payments after refunds. Each amount has been
// checked against the sum before it was stored, so that it stays in range.
func kept(payments []shop.Payment) money.Amount {
	var sum money.Amount
	for _, p := range payments {
		sum += signed(p)
	}
	return sum
}

// unbilled gives the payments that name no bill: deposits and their refunds.
func unbilled(payments []shop.Payment) []shop.Payment {
	return groupBy(payments, func(p shop.Payment) bool { return p.BillID == "" })[true]
}

// openOn tells what is still to pay on each bill that is not void. Money that
// names a bill goes to it first; deposits, and what is left over from a void
// bill, then fill the bills in order of their numbers.
func openOn(bills []shop.Bill, payments []shop.Payment) map[shop.BillID]money.Amount {
	direct := groupBy(payments, func(p shop.Payment) shop.BillID { return p.BillID })
	open := map[shop.BillID]money.Amount{}
	pool := kept(payments)
	for _, b := range bills {
		if b.VoidedAt != nil {
			continue
		}
		paid := min(max(0, kept(direct[b.ID])), b.Gross)
		open[b.ID] = b.Gross - paid
		pool -= paid
	}
	for _, b := range bills {
		if b.VoidedAt == nil {
			take := min(max(0, pool), open[b.ID])
			open[b.ID] -= take
			pool -= take
		}
	}
	if pool < 0 { // a refund without a bill took from what was paid on one
		for i := len(bills) - 1; i >= 0; i-- {
			b := bills[i]
			if b.VoidedAt == nil {
				back := min(-pool, b.Gross-open[b.ID])
				open[b.ID] += back
				pool += back
			}
		}
	}
	return open
}

// TakePayment records money taken or given back. A payment is for a bill and
// at most what is open on it; a deposit is for the work order and comes before
// the bill; a refund is at most what the shop holds.
func (a *App) TakePayment(ctx context.Context, who auth.Principal, order shop.WorkOrderID, in shop.Payment) (paid shop.Payment, err error) {
	err = a.onOrder(ctx, who, order, "payment.taken", func(c *Change, order *shop.WorkOrder) error {
		bills, err := every[shop.Bill](c.Tx, By{"work_order_id": order.ID})
		if err != nil {
			return err
		}
		payments, err := every[shop.Payment](c.Tx, By{"work_order_id": order.ID})
		if err != nil {
			return err
		}
		if err := checkPayment(in, bills, payments); err != nil {
			return err
		}
		paid = in
		paid.ID, paid.WorkOrderID = shop.PaymentID(a.Source.ID()), order.ID
		paid.TakenBy, paid.TakenAt = who.StaffID, c.Now()
		return c.insertFirst(&paid)
	})
	return paid, err
}

func checkPayment(in shop.Payment, bills []shop.Bill, payments []shop.Payment) error {
	if in.Amount <= 0 {
		return fault.Invalid("app.amount_not_positive", "/amount", "Give an amount above zero; money given back is a refund.")
	}
	bill, err := billOf(in, bills)
	if err != nil {
		return err
	}
	held := kept(payments)
	switch in.Kind {
	case shop.PaymentKindPayment:
		if in.BillID == "" {
			return fault.Invalid("app.bill_missing", "/bill_id", "Name the bill it pays; before there is one, it is a deposit.")
		}
		if bill.VoidedAt != nil {
			return fault.New(fault.Conflict, "app.bill_voided", "This bill is void; take the payment on the one that took its place.")
		}
		if in.Amount > openOn(bills, payments)[bill.ID] {
			return fault.Invalid("app.overpaid", "/amount", "This is more than is open on the bill; take what is open.")
		}
	case shop.PaymentKindDeposit:
		if in.BillID != "" {
			return fault.Invalid("app.deposit_on_bill", "/bill_id", "A deposit names no bill; money for a bill is a payment.")
		}
	case shop.PaymentKindRefund:
		if in.Amount > held {
			return fault.Invalid("app.refund_too_large", "/amount", "This is more than was paid; give back at most that.")
		}
		return nil
	}
	_, err = held.Add(in.Amount)
	return err
}

// billOf finds the bill that a payment names.
func billOf(in shop.Payment, bills []shop.Bill) (shop.Bill, error) {
	for _, b := range bills {
		if b.ID == in.BillID {
			return b, nil
		}
	}
	if in.BillID == "" {
		return shop.Bill{}, nil
	}
	return shop.Bill{}, fault.Invalid("app.bill_unknown", "/bill_id", "Name a bill of this work order.")
}

// Payments reads a page of the payments of a work order.
func (a *App) Payments(ctx context.Context, who auth.Principal, order shop.WorkOrderID, page Page) ([]shop.Payment, error) {
	return underOrder[shop.Payment](ctx, a, who, order, page)
}
