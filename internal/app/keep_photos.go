package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// orphanAge is how old stored bytes are before they may be taken for
// left behind: far more than an upload takes, far less than a day.
const orphanAge = 6 * time.Hour

// SweepPhotos removes stored bytes of a shop that no row speaks of: what an
// upload that was cut off left behind, and what was erased. It gives how many
// it removed.
func (a *App) SweepPhotos(ctx context.Context, scope shop.ShopID) (removed int, err error) {
	if a.Blobs == nil {
		return 0, nil
	}
	var old []Blob
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		before := tx.Now().Add(-orphanAge)
		return a.Blobs.List(ctx, shopFolder(scope), func(b Blob) error {
			if b.Modified.Before(before) {
				old = append(old, b)
			}
			return nil
		})
	})
	for _, b := range old {
		if err != nil {
			break
		}
		var owned bool
		owned, err = a.owned(ctx, scope, b.Key)
		if err == nil && !owned {
			err = a.Blobs.Delete(ctx, b.Key)
			removed++
		}
	}
	return removed, err
}

// owned reports whether a row speaks of what stands under a key.
func (a *App) owned(ctx context.Context, scope shop.ShopID, key string) (owned bool, err error) {
	id, sum, _ := strings.Cut(strings.TrimPrefix(key, shopFolder(scope)), "/")
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		row, err := load[shop.Photo](tx, id)
		if fault.Is(err, fault.NotFound) {
			return nil
		}
		for _, kept := range PhotoHashes(row) {
			owned = owned || kept == sum
		}
		return err
	})
	return owned, err
}

// ScrubPhotos reads every stored copy of a shop again. A photo of which one is
// missing or changed is marked as damaged, and one that is whole again no
// longer so. The error names how many are damaged; a store that cannot be read
// just now damages nothing.
func (a *App) ScrubPhotos(ctx context.Context, scope shop.ShopID) error {
	if a.Blobs == nil {
		return nil
	}
	damaged, after := 0, ""
	for {
		var rows []shop.Photo
		err := a.Store.Read(ctx, scope, func(tx Tx) error {
			return tx.List(&rows, By{"erased_at": nil}, Page{After: after, Limit: 100})
		})
		if err != nil {
			return err
		}
		for _, row := range rows {
			whole, err := a.scrub(ctx, scope, row)
			if err != nil {
				return err
			}
			if !whole {
				damaged++
			}
		}
		if len(rows) < 100 {
			break
		}
		after = string(rows[len(rows)-1].ID)
	}
	if damaged > 0 {
		return fmt.Errorf("app: %d photos are damaged: stored pictures are missing or not what they were; bring them back from a backup", damaged)
	}
	return nil
}

// scrub looks at the copies of one photo and reports whether they are whole.
func (a *App) scrub(ctx context.Context, scope shop.ShopID, row shop.Photo) (whole bool, err error) {
	whole = true
	for _, sum := range PhotoHashes(row) {
		got, _, err := HashBlob(ctx, a.Blobs, PhotoKey(scope, row.ID, sum))
		if err != nil && !fault.Is(err, fault.NotFound) {
			return false, err
		}
		whole = whole && got == sum
	}
	if whole == (row.DamagedAt == nil) {
		return whole, nil
	}
	event := "photo.damaged"
	if whole {
		event = "photo.mended"
	}
	return whole, a.notePhoto(ctx, scope, row, event, func(p *shop.Photo, now time.Time) {
		p.DamagedAt = nil
		if !whole {
			p.DamagedAt = &now
		}
	})
}

// notePhoto changes a photo's row on the program's own account. A row that
// changed meanwhile is left for the next time.
func (a *App) notePhoto(ctx context.Context, scope shop.ShopID, row shop.Photo, event string, change func(*shop.Photo, time.Time)) error {
	err := a.onJob(ctx, auth.Principal{ShopID: scope}, row.JobID, journal.Event(event), func(c *JobChange) error {
		change(&row, c.Now())
		return c.advanceFirst(&row)
	})
	if fault.Is(err, fault.VersionStale) {
		return nil
	}
	return err
}

// DeletePhotoContent erases the content of photos for good: the rows stay and
// say so. Photos that are not there, or erased already, are no error, so that
// it can be done again after a failure.
func (a *App) DeletePhotoContent(ctx context.Context, scope shop.ShopID, ids []shop.PhotoID) error {
	var failed []error
	for _, id := range ids {
		failed = append(failed, a.deletePhotoContent(ctx, scope, id))
	}
	return errors.Join(failed...)
}

func (a *App) deletePhotoContent(ctx context.Context, scope shop.ShopID, id shop.PhotoID) error {
	var row shop.Photo
	err := a.Store.Read(ctx, scope, func(tx Tx) error { return tx.Load(&row, string(id)) })
	if err != nil && !fault.Is(err, fault.NotFound) {
		return err
	}
	if err == nil && row.ErasedAt == nil {
		err := a.onJob(ctx, auth.Principal{ShopID: scope}, row.JobID, "photo.erased", func(c *JobChange) error {
			if err := c.Load(&row, string(id)); err != nil {
				return err
			}
			now := c.Now()
			row.ErasedAt = &now
			return c.advanceFirst(&row)
		})
		if err != nil {
			return err
		}
	}
	if a.Blobs == nil {
		return nil
	}
	var keys []string
	err = a.Blobs.List(ctx, photoFolder(scope, id), func(b Blob) error {
		keys = append(keys, b.Key)
		return nil
	})
	for _, key := range keys {
		err = errors.Join(err, a.Blobs.Delete(ctx, key))
	}
	return err
}
