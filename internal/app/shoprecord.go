package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/journal"
)

// ShopRecord is a pointer to a noun that belongs to the shop itself and to
// no work order: a bay, a gauge, a customer.
type ShopRecord[T any] interface {
	*T
	Noun
	SetKey(id string)
}

// ShopPut is a change of a shop's record at a version the client has read.
type ShopPut struct {
	ID    string
	Match int64 // If-Match
}

// shopRules say what makes one kind of shop record valid and what follows.
type shopRules[T any] struct {
	noun string // singular, for events: bay.added, bay.changed
	// check refuses what cannot be, may fill what the server sets, and does
	// what follows. was is nil for a new one; nil means nothing to check.
	check func(c *Change, was, is *T) error
}

func (r shopRules[T]) run(c *Change, was, is *T) error {
	if r.check == nil {
		return nil
	}
	return r.check(c, was, is)
}

// addShopRecord stores a new record of the shop under a fresh id.
func addShopRecord[T any, P ShopRecord[T]](ctx context.Context, a *App, who auth.Principal, r shopRules[T], fill func(*T)) (row T, err error) {
	id := a.Source.ID()
	err = a.onShop(ctx, who, journal.Event(r.noun+".added"), func(c *Change) error {
		var is T
		fill(&is)
		P(&is).SetKey(id)
		if err := r.run(c, nil, &is); err != nil {
			return err
		}
		row = is
		return c.insertFirst(P(&row))
	})
	return row, err
}

// replaceShopRecord changes a record of the shop if it is still at the
// version the client named.
func replaceShopRecord[T any, P ShopRecord[T]](ctx context.Context, a *App, who auth.Principal, put ShopPut, r shopRules[T], fill func(*T)) (row T, err error) {
	err = a.onShop(ctx, who, journal.Event(r.noun+".changed"), func(c *Change) error {
		was, err := load[T, P](c, put.ID)
		if err != nil {
			return err
		}
		if P(&was).Head().Version != put.Match {
			return stale()
		}
		is := was
		fill(&is)
		if err := r.run(c, &was, &is); err != nil {
			return err
		}
		row = is
		return c.advanceFirst(P(&row))
	})
	return row, err
}

// ShopRecordOf reads one record of the shop.
func ShopRecordOf[T any, P ShopRecord[T]](ctx context.Context, a *App, who auth.Principal, id string) (row T, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		row, err = load[T, P](tx, id)
		return err
	})
	return row, err
}

// ShopRecordsOf reads a page of the records of a shop that by selects (nil:
// all), in order of making.
func ShopRecordsOf[T any](ctx context.Context, a *App, who auth.Principal, by By, page Page) (rows []T, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		rows = nil
		return tx.List(&rows, by, page)
	})
	return rows, err
}
