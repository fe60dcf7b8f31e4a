package app

import (
	"context"
	"fmt"
	"slices"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// leastYears is for how long papers are kept at the least, whatever the rule:
// three years, as 16 CCR 3358 asks. The shortest rules ask for one; a claim
// can come later than that. The program's own minimum.
const leastYears = 3

// Retention says until when the papers of a work order are kept, and why.
type Retention struct {
	RuleID string
	// Years are full years from the closing of the work order.
	Years int
	// Until is the first moment at which they need not be kept any more; nil
	// as long as the work order is open or a legal hold stands.
	Until *time.Time
	// Held is the legal hold that stands, or nil.
	Held *shop.LegalHold
	// Working says it in sentences.
	Working []string
}

// Over reports whether nothing asks for the papers at a time any more.
func (r Retention) Over(now time.Time) bool { return r.Until != nil && !now.Before(*r.Until) }

// KeptUntil says how long the papers of a work order are kept under a rule:
// the years the rule asks for (see [consent.RecordsYears]) and at the least
// three, from the day its last job ended. A legal hold that was not lifted
// keeps them beyond that; holds are those of this work order, in any order.
func KeptUntil(rule consent.Rule, order shop.WorkOrder, holds []shop.LegalHold) Retention {
	asked := consent.RecordsYears(rule)
	out := Retention{RuleID: rule.ID, Years: max(leastYears, asked)}
	out.Working = []string{fmt.Sprintf("The rule %s asks for %d years; here papers are kept %d years at the least. Tax law may ask for more.", rule.ID, asked, leastYears)}
	if i := slices.IndexFunc(holds, func(h shop.LegalHold) bool { return h.LiftedAt == nil }); i >= 0 {
		out.Held = &holds[i]
		out.Working = append(out.Working, "A legal hold stands since "+holds[i].HeldAt.UTC().Format(time.DateOnly)+"; until it is lifted everything is kept.")
	}
	if order.ClosedAt == nil {
		out.Working = append(out.Working, "The work order is open; the years count from the day its last job ends.")
		return out
	}
	until := order.ClosedAt.UTC().AddDate(out.Years, 0, 0)
	out.Working = append(out.Working, fmt.Sprintf("Its last job ended on %s; %d years from then is %s.", order.ClosedAt.UTC().Format(time.DateOnly), out.Years, until.Format(time.DateOnly)))
	if out.Held == nil {
		out.Until = &until
	}
	return out
}

// Retention says how long the papers of a work order are kept.
func (a *App) Retention(ctx context.Context, who auth.Principal, id shop.WorkOrderID) (out Retention, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		order, err := load[shop.WorkOrder](tx, string(id))
		if err != nil {
			return err
		}
		all, err := retentions(tx, []shop.WorkOrder{order})
		out = all[id]
		return err
	})
	return out, err
}

// retentions says for several work orders how long their papers are kept.
func retentions(tx Tx, orders []shop.WorkOrder) (map[shop.WorkOrderID]Retention, error) {
	out := make(map[shop.WorkOrderID]Retention, len(orders))
	if len(orders) == 0 {
		return out, nil
	}
	s, err := load[shop.Shop](tx, string(tx.Shop()))
	if err != nil {
		return nil, err
	}
	rule, err := ruleOf(s)
	if err != nil {
		return nil, err
	}
	holds, err := every[shop.LegalHold](tx, By{"work_order_id": idsOf(orders, func(w shop.WorkOrder) string { return string(w.ID) }), "lifted_at": nil})
	if err != nil {
		return nil, err
	}
	of := groupBy(holds, func(h shop.LegalHold) shop.WorkOrderID { return h.WorkOrderID })
	for _, w := range orders {
		out[w.ID] = KeptUntil(rule, w, of[w.ID])
	}
	return out, nil
}

// HoldPapers puts a work order under legal hold: nothing of it is erased for
// its age or at somebody's wish until the hold is lifted. One stands at a time.
func (a *App) HoldPapers(ctx context.Context, who auth.Principal, id shop.WorkOrderID, reason string) (hold shop.LegalHold, err error) {
	err = a.onOrder(ctx, who, id, "legal_hold.set", func(c *Change, order *shop.WorkOrder) error {
		if blank(reason) {
			return fault.Invalid("app.reason_missing", "/reason", "Say why the papers must be kept: the claim, the case or who asked for it.")
		}
		standing, err := list[shop.LegalHold](c.Tx, By{"work_order_id": id, "lifted_at": nil})
		if err != nil {
			return err
		}
		if len(standing) > 0 {
			return fault.New(fault.Conflict, "app.legal_hold_stands", "This work order is under legal hold already; lift that hold first to give another reason.")
		}
		hold = shop.LegalHold{ID: shop.LegalHoldID(a.Source.ID()), WorkOrderID: order.ID, Reason: reason, HeldBy: who.StaffID, HeldAt: c.Now()}
		return c.Insert(&hold)
	})
	return hold, err
}

// ReleasePapers lifts a legal hold, with the reason why it is over.
func (a *App) ReleasePapers(ctx context.Context, who auth.Principal, id shop.LegalHoldID, reason string) (hold shop.LegalHold, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.LegalHold](tx, string(id))
		if err != nil {
			return err
		}
		return a.onOrder(ctx, who, found.WorkOrderID, "legal_hold.lifted", func(c *Change, _ *shop.WorkOrder) error {
			if hold, err = load[shop.LegalHold](c.Tx, string(id)); err != nil {
				return err
			}
			if hold.LiftedAt != nil {
				return fault.New(fault.Conflict, "app.legal_hold_lifted", "This hold was lifted already.")
			}
			if blank(reason) {
				return fault.Invalid("app.reason_missing", "/reason", "Say why the hold is over.")
			}
			now := c.Now()
			hold.LiftedBy, hold.LiftedAt, hold.LiftedReason = who.StaffID, &now, reason
			return c.Advance(&hold)
		})
	})
	return hold, err
}

// LegalHolds reads a page of the legal holds of a work order, past ones too.
func (a *App) LegalHolds(ctx context.Context, who auth.Principal, order shop.WorkOrderID, page Page) ([]shop.LegalHold, error) {
	return underOrder[shop.LegalHold](ctx, a, who, order, page)
}
