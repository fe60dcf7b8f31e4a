package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// Visit is a work order with the stage of its least finished job, which is
// derived and empty as long as it has none.
type Visit struct {
	shop.WorkOrder
	Stage shop.Stage
}

// OpenWorkOrder opens a work order for a machine that is known. It gets the
// shop's next number and starts its own journal.
func (a *App) OpenWorkOrder(ctx context.Context, who auth.Principal, fill func(*shop.WorkOrder)) (out Visit, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		var order shop.WorkOrder
		fill(&order)
		order.Row = shop.Row{}
		order.ID = shop.WorkOrderID(a.Source.ID())
		order.OpenedBy, order.OpenedAt, order.ClosedAt = who.StaffID, tx.Now(), nil
		if err := checkOrder(tx, shop.WorkOrder{}, order); err != nil {
			return err
		}
		order.Number, err = tx.Number("work_order")
		if err != nil {
			return err
		}
		out = Visit{}
		return a.changeIn(ctx, tx, who, orderStream(who.ShopID, order.ID), "work_order.opened", func(c *Change) error {
			c.SealFor(order.CustomerID)
			if err := c.Insert(&order); err != nil {
				return err
			}
			out.WorkOrder = order
			return nil
		})
	})
	return out, err
}

// checkOrder makes sure that what a work order newly points at is there.
func checkOrder(tx Tx, was, is shop.WorkOrder) error {
	if is.MachineID != was.MachineID {
		if _, err := pointed[shop.Machine](tx, string(is.MachineID), "/machine_id"); err != nil {
			return err
		}
	}
	if is.CustomerID != was.CustomerID {
		customer, err := pointed[shop.Customer](tx, string(is.CustomerID), "/customer_id")
		if err != nil {
			return err
		}
		if customer.Unseen() {
			return customerUnseen("/customer_id")
		}
	}
	if is.BayID == "" || is.BayID == was.BayID {
		return nil
	}
	bay, err := pointed[shop.Bay](tx, string(is.BayID), "/bay_id")
	if err != nil {
		return err
	}
	if bay.Retired {
		return fault.Invalid("app.bay_retired", "/bay_id", "This bay is no longer used; take another.")
	}
	return nil
}

// pointed reads a row the client named; one that is not there is their
// mistake, at the place where they named it.
func pointed[T any, P interface {
	*T
	Noun
}](tx Tx, id, pointer string) (T, error) {
	row, err := load[T, P](tx, id)
	if fault.Is(err, fault.NotFound) {
		return row, fault.Invalid("app.reference_unknown", pointer, "There is no such record here; check the id.")
	}
	return row, err
}

// GetWorkOrder reads one work order.
func (a *App) GetWorkOrder(ctx context.Context, who auth.Principal, id shop.WorkOrderID) (out Visit, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		order, err := load[shop.WorkOrder](tx, string(id))
		if err != nil {
			return err
		}
		visits, err := withStages(tx, []shop.WorkOrder{order})
		if err != nil {
			return err
		}
		out = visits[0]
		return nil
	})
	return out, err
}

// ListWorkOrders reads a page of the work orders, newest first.
func (a *App) ListWorkOrders(ctx context.Context, who auth.Principal, page Page) (out []Visit, err error) {
	page.Newest = true
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		var orders []shop.WorkOrder
		if err := tx.List(&orders, By{}, page); err != nil {
			return err
		}
		out, err = withStages(tx, orders)
		return err
	})
	return out, err
}

// withStages adds the stage of each work order's least finished job.
func withStages(tx Tx, orders []shop.WorkOrder) ([]Visit, error) {
	ids := make([]shop.WorkOrderID, len(orders))
	for i, w := range orders {
		ids[i] = w.ID
	}
	stages := map[shop.WorkOrderID][]flow.Stage{}
	if len(ids) > 0 {
		jobs, err := every[shop.Job](tx, By{"work_order_id": ids})
		if err != nil {
			return nil, err
		}
		for _, j := range jobs {
			stages[j.WorkOrderID] = append(stages[j.WorkOrderID], stageOf(j.Stage))
		}
	}
	out := make([]Visit, len(orders))
	for i, w := range orders {
		out[i].WorkOrder = w
		if s := stages[w.ID]; len(s) > 0 {
			out[i].Stage = shop.Stage(flow.Least(s))
		}
	}
	return out, nil
}

// OrderVersion names a work order and the version a change starts from.
type OrderVersion struct {
	ID      shop.WorkOrderID
	Version int64
}

// PutWorkOrder changes bay, promise, channel or note. Machine and customer
// can be put right only while every job is still at intake: later, consents
// and findings hang on them.
func (a *App) PutWorkOrder(ctx context.Context, who auth.Principal, at OrderVersion, fill func(*shop.WorkOrder)) (out Visit, err error) {
	err = a.onOrder(ctx, who, at.ID, "work_order.changed", func(c *Change, order *shop.WorkOrder) error {
		if order.Version != at.Version {
			return stale()
		}
		was := *order
		fill(order)
		order.Row, order.ID, order.Number = was.Row, was.ID, was.Number
		order.OpenedBy, order.OpenedAt, order.ClosedAt = was.OpenedBy, was.OpenedAt, was.ClosedAt
		if err := checkOrder(c, was, *order); err != nil {
			return err
		}
		if err := c.Advance(order); err != nil {
			return err
		}
		if order.MachineID != was.MachineID || order.CustomerID != was.CustomerID {
			if err := c.otherMachine(*order); err != nil {
				return err
			}
		}
		visits, err := withStages(c, []shop.WorkOrder{*order})
		if err != nil {
			return err
		}
		out = visits[0]
		return nil
	})
	return out, err
}

// otherMachine lets the jobs of a work order follow it to another machine or
// customer, or refuses.
func (c *Change) otherMachine(order shop.WorkOrder) error {
	jobs, err := every[shop.Job](c, By{"work_order_id": order.ID})
	if err != nil {
		return err
	}
	for _, j := range jobs {
		if j.Stage != shop.StageIntake {
			return fault.New(fault.Conflict, "app.work_order_under_way", "Work on this order has begun, so its machine and customer stay; open another work order.")
		}
	}
	for _, j := range jobs {
		j.LayoutID, j.LimitSheetID = "", ""
		if err := pin(c, order, &j); err != nil {
			return err
		}
		if checkJob(c, order, j) != nil {
			j.EarlierJobID = ""
		}
		if err := c.Advance(&j); err != nil {
			return err
		}
	}
	return nil
}
