package app

import (
	"context"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// maxFound bounds what one search gives: who finds more has to ask closer.
const maxFound = 50

// Found is a work order found.
type Found struct {
	WorkOrderID shop.WorkOrderID
	Number      int64
	Customer    string // name
	Machine     string // make, model and plate
	Stage       shop.Stage
	OpenedAt    time.Time
}

// Search finds work orders, newest first, by number, part of the customer's
// name or of the model, phone number, or the tail of a VIN, a frame number or
// a plate; stage, unless empty, is the one they must be in. Whoever may not
// see phone numbers cannot find by them either, or digits could be guessed
// one at a time.
func (a *App) Search(ctx context.Context, who auth.Principal, text string, stage shop.Stage) (out []Found, err error) {
	query := SearchQuery{Text: text, Stage: stage, Limit: maxFound}
	if seesContacts(who) {
		query.Phone = strings.TrimLeft(phoneDigits(text), "0") // a leading 0 is dialled inside a country alone
	}
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		rows, err := tx.Search(query)
		if err != nil {
			return err
		}
		out = make([]Found, len(rows))
		for i, r := range rows {
			out[i] = Found{WorkOrderID: r.WorkOrder.ID, Number: r.WorkOrder.Number, Customer: r.Customer,
				Machine: machineText(r.Machine), Stage: r.Stage, OpenedAt: r.WorkOrder.OpenedAt}
		}
		return nil
	})
	return out, err
}
