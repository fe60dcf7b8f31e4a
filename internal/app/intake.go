package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// GetIntakeFacts reads the intake facts of a work order.
func (a *App) GetIntakeFacts(ctx context.Context, who auth.Principal, id shop.WorkOrderID) (in shop.IntakeFacts, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		in, err = load[shop.IntakeFacts](tx, string(id))
		return err
	})
	return in, err
}

// PutIntakeFacts records the intake facts of a work order, whose id they
// share. It reports whether they were made now. What the odometer said is
// kept in the machine's readings as well.
func (a *App) PutIntakeFacts(ctx context.Context, who auth.Principal, put Put, fill func(*shop.IntakeFacts)) (in shop.IntakeFacts, made bool, err error) {
	err = a.onOrder(ctx, who, shop.WorkOrderID(put.ID), "intake_facts.recorded", func(c *Change, order *shop.WorkOrder) error {
		was, err := load[shop.IntakeFacts](c, put.ID)
		made = fault.Is(err, fault.NotFound) && put.Create
		if err != nil && !made {
			return err
		}
		if made {
			in, err = c.firstIntake(order, put, fill)
		} else {
			in, err = c.changeIntake(order, put, was, fill)
		}
		if err != nil || len(c.rows) == 0 {
			return err
		}
		if in.Odometer == was.Odometer && in.OdometerNotReadable == was.OdometerNotReadable {
			return nil
		}
		return c.Insert(odometerIn(c, *order, in))
	})
	return in, made, err
}

func (c *Change) firstIntake(order *shop.WorkOrder, put Put, fill func(*shop.IntakeFacts)) (shop.IntakeFacts, error) {
	var in shop.IntakeFacts
	fill(&in)
	in.Row, in.ID = shop.Row{}, order.ID
	in.RecordedBy, in.TabletID, in.SignOnID = c.Who.StaffID, c.Who.TabletID, c.Who.SignOnID
	in.ReceivedAt, in.CreatedDigest, in.BodyDigest = c.Now(), put.Digest, put.Digest
	if order.ClosedAt != nil {
		in.Late = in.CapturedAt != nil && in.CapturedAt.Before(*order.ClosedAt)
		if !in.Late {
			return in, orderClosed()
		}
	}
	if err := checkIntake(in); err != nil {
		return in, err
	}
	err := c.Insert(&in)
	return in, err
}

func (c *Change) changeIntake(order *shop.WorkOrder, put Put, was shop.IntakeFacts, fill func(*shop.IntakeFacts)) (shop.IntakeFacts, error) {
	resent, err := put.resent(was.Origin, was.Version)
	if err != nil || resent {
		return was, err
	}
	if order.ClosedAt != nil {
		return was, orderClosed()
	}
	in := was
	fill(&in)
	in.Row, in.ID = was.Row, was.ID
	captured := either(in.CapturedAt, was.CapturedAt)
	in.Origin = was.Origin
	in.CapturedAt, in.BodyDigest = captured, put.Digest
	if err := checkIntake(in); err != nil {
		return was, err
	}
	err = c.Advance(&in)
	return in, err
}

// checkIntake refuses an odometer that was read and could not be.
func checkIntake(in shop.IntakeFacts) error {
	if !in.Odometer.IsZero() && in.OdometerNotReadable != "" {
		return fault.Invalid("app.odometer_twice", "/odometer_not_readable", "Give the reading, or why there is none, not both.")
	}
	return nil
}

func orderClosed() error {
	return fault.New(fault.Conflict, "app.work_order_closed", "Every job of this work order has ended; add a job to open it again.")
}

// odometerIn is the reading as the machine's own history keeps it.
func odometerIn(c *Change, order shop.WorkOrder, in shop.IntakeFacts) *shop.OdometerReading {
	at := c.Now()
	if in.CapturedAt != nil {
		at = *in.CapturedAt
	}
	return &shop.OdometerReading{ID: shop.OdometerReadingID(c.app.Source.ID()), WorkOrderID: order.ID, MachineID: order.MachineID,
		Moment: "in", Reading: in.Odometer, NotReadableBecause: in.OdometerNotReadable, ReadAt: at}
}
