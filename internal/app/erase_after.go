package app

import (
	"context"
	"fmt"
	"time"

	"benchtag/internal/shop"
)

// FinishErasures does what an erasure leaves to be done outside the tables:
// the content of photos, a shop at a time.
func (a *App) FinishErasures(ctx context.Context, scope shop.ShopID) error {
	var open []OpenErasure
	err := a.Store.Read(ctx, scope, func(tx Tx) (err error) {
		open, err = tx.ErasuresWithPhotos()
		return err
	})
	if err != nil {
		return err
	}
	for _, e := range open {
		if err := a.DeletePhotoContent(ctx, scope, e.Photos); err != nil {
			return fmt.Errorf("app: delete the photos of an erased customer: %w", err)
		}
		err := a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) error { return tx.PhotosGone(e.Customer) })
		if err != nil {
			return err
		}
	}
	return nil
}

// OpenErasure is an erasure whose photos are not known to be gone.
type OpenErasure struct {
	Customer shop.CustomerID
	Photos   []shop.PhotoID
}

// ScrubErased makes the database let go of the bytes of what was erased since
// the last time, where it keeps them in its files for a while.
func (a *App) ScrubErased(ctx context.Context) error {
	shops, err := a.Store.Shops(ctx)
	if err != nil {
		return err
	}
	dirty := map[shop.ShopID]time.Time{}
	for _, id := range shops {
		var n int64
		var began time.Time
		err := a.Store.Read(ctx, id, func(tx Tx) (err error) {
			began = tx.Now()
			n, err = tx.Unscrubbed()
			return err
		})
		if err != nil {
			return err
		}
		if n > 0 {
			dirty[id] = began
		}
	}
	if len(dirty) == 0 {
		return nil
	}
	if err := a.Store.Scrub(ctx); err != nil {
		return err
	}
	for id, began := range dirty {
		if err := a.Store.Write(ctx, id, func(_ context.Context, tx Tx) error { return tx.Scrubbed(began) }); err != nil {
			return err
		}
	}
	return nil
}
