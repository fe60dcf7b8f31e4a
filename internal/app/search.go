package app

import (
	"context"
	"slices"
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
// a plate, or by the label of a tag, typed or scanned; stage, unless empty, is the one they must be in. Whoever may not
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
		labelled, err := foundByLabel(tx, who, query)
		if err == nil && labelled != nil && !slices.ContainsFunc(out, func(f Found) bool { return f.WorkOrderID == labelled.WorkOrderID }) {
			out = slices.Insert(out, 0, *labelled)
			out = out[:min(len(out), maxFound)]
		}
		return err
	})
	return out, err
}

// foundByLabel finds the work order of a tag whose label was searched for;
// nil where the text is no label of a tag here.
func foundByLabel(tx Tx, who auth.Principal, q SearchQuery) (*Found, error) {
	code, err := shop.ParseLabelText(q.Text, shop.TagMarkOf(who.ShopID))
	if err != nil {
		return nil, nil
	}
	tags, err := list[shop.Tag](tx, By{"code": string(code)})
	if err != nil || len(tags) == 0 {
		return nil, err
	}
	order, err := load[shop.WorkOrder](tx, string(tags[0].WorkOrderID))
	if err != nil {
		return nil, err
	}
	visits, err := withStages(tx, []shop.WorkOrder{order})
	if err != nil || (q.Stage != "" && visits[0].Stage != q.Stage) {
		return nil, err
	}
	customer, err := load[shop.Customer](tx, string(order.CustomerID))
	if err != nil {
		return nil, err
	}
	machine, err := load[shop.Machine](tx, string(order.MachineID))
	return &Found{WorkOrderID: order.ID, Number: order.Number, Customer: customer.Name, Machine: machineText(machine),
		Stage: visits[0].Stage, OpenedAt: order.OpenedAt}, err
}
