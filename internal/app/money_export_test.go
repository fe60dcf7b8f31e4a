package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// MoneyFacts gives tests the facts of one job that hang on money and consent.
func (a *App) MoneyFacts(ctx context.Context, who auth.Principal, id shop.JobID) (f flow.Facts, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		s, err := load[shop.Shop](tx, string(who.ShopID))
		if err != nil {
			return err
		}
		return a.moneyFacts(tx, s, []shop.Job{job}, map[shop.JobID]*flow.Facts{id: &f})
	})
	return f, err
}

// OpenOn gives tests what is still to pay on each bill.
func OpenOn(bills []shop.Bill, payments []shop.Payment) map[shop.BillID]money.Amount {
	return openOn(bills, payments)
}

// CheckMarks gives tests the check of what is drawn on a photo.
func CheckMarks(p *shop.Photo) error { return checkMarks(p) }
