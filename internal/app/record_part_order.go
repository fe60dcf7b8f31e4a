package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func partOrderRules() rules[shop.PartOrder] {
	return rules[shop.PartOrder]{noun: "part_order", check: checkPartOrder}
}

// PutPartOrder records or changes the order of a part.
func (a *App) PutPartOrder(ctx context.Context, who auth.Principal, put Put, fill func(*shop.PartOrder)) (shop.PartOrder, bool, error) {
	return putRecord[shop.PartOrder](ctx, a, who, put, partOrderRules(), fill)
}

// StrikePartOrder strikes an order with a reason.
func (a *App) StrikePartOrder(ctx context.Context, who auth.Principal, at Place, reason string) (shop.PartOrder, error) {
	return strikeRecord[shop.PartOrder](ctx, a, who, at, reason, partOrderRules(), nil)
}

func checkPartOrder(c *JobChange, was, is *shop.PartOrder) error {
	before := shop.LineID("")
	if was != nil {
		before = was.LineID
	}
	err := refer[shop.Line](c, reference{id: string(is.LineID), was: string(before), pointer: "/line_id", noun: "line"})
	if err != nil {
		return err
	}
	if is.QuantityMilli <= 0 {
		return fault.Invalid("app.part_order_quantity_missing", "/quantity_milli", "Give the quantity in thousandths; 1000 is one.")
	}
	today, err := c.today()
	if err != nil {
		return err
	}
	return checkPartDates(is, today)
}

// checkPartDates compares days as texts, which is by calendar.
func checkPartDates(is *shop.PartOrder, today shop.Date) error {
	switch {
	case is.ArrivedOn != "" && is.ArrivedOn < is.OrderedOn:
		return fault.Invalid("app.part_order_days_wrong", "/arrived_on", "It cannot have arrived before it was ordered; check both days.")
	case is.PromisedOn != "" && is.PromisedOn < is.OrderedOn:
		return fault.Invalid("app.part_order_days_wrong", "/promised_on", "It cannot be promised for before it was ordered; check both days.")
	case is.ArrivedOn > today:
		return fault.Invalid("app.part_order_days_wrong", "/arrived_on", "That day is still to come; fill it in when the part is here.")
	}
	return nil
}

// today is the day it is in the shop.
func (c *JobChange) today() (shop.Date, error) { return c.dayOf(c.Now()) }

// dayOf gives the day of an instant in the shop's time zone.
func (c *JobChange) dayOf(t time.Time) (shop.Date, error) {
	s, err := load[shop.Shop](c, string(c.Shop()))
	return shop.DateOf(t, zoneOf(s)), err
}
