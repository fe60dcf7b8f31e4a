package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
)

// PhotoQuota bounds what is kept of photos; 0 takes the default.
type PhotoQuota struct {
	ShopBytes, ShopCount     int64
	PersonBytes, PersonCount int64
}

// DefaultPhotoQuota is room for some years of a busy shop: at about 2 MB a
// stored photo, 100,000 of them.
func DefaultPhotoQuota() PhotoQuota {
	return PhotoQuota{ShopBytes: 200 << 30, ShopCount: 500_000, PersonBytes: 100 << 30, PersonCount: 250_000}
}

// orDefault fills in what is not set.
func (q PhotoQuota) orDefault() PhotoQuota {
	d := DefaultPhotoQuota()
	for _, one := range []struct {
		set       *int64
		otherwise int64
	}{{&q.ShopBytes, d.ShopBytes}, {&q.ShopCount, d.ShopCount}, {&q.PersonBytes, d.PersonBytes}, {&q.PersonCount, d.PersonCount}} {
		if *one.set == 0 {
			*one.set = one.otherwise
		}
	}
	return q
}

// PhotoUsage is what a shop and one person keep of photos: stored copies.
type PhotoUsage struct {
	ShopBytes, ShopCount     int64
	PersonBytes, PersonCount int64
}

// Least room that photos leave free, so that the database beside them can
// always write: a share of the whole, or so many bytes, whichever is more.
const (
	leastFreeShare = 20 // one part in so many: 5 %
	leastFreeBytes = 1 << 30
)

// roomFor refuses a picture that there is no room for. Nothing else that is
// written asks this, so text goes on.
func (a *App) roomFor(ctx context.Context, who auth.Principal, size int64) error {
	room, err := a.Blobs.Room(ctx)
	if err != nil {
		return notKept(err)
	}
	if room.Total > 0 && (room.Free < uint64(size)+leastFreeBytes || room.Free < room.Total/leastFreeShare) {
		return fault.New(fault.NoRoom, "app.photos_disk_full",
			"The disk of this server is almost full, so it takes no pictures; everything else can still be recorded. Tell whoever runs it, and send the picture again later.")
	}
	return a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		used, err := tx.PhotoUsage(who.StaffID)
		if err != nil {
			return err
		}
		return a.PhotoQuota.orDefault().check(used, size)
	})
}

func (q PhotoQuota) check(used PhotoUsage, size int64) error {
	switch {
	case used.ShopCount >= q.ShopCount, used.ShopBytes+size > q.ShopBytes:
		return fault.New(fault.NoRoom, "app.photos_shop_full", "The shop has as many pictures as this server keeps for it; ask whoever runs it for more room.")
	case used.PersonCount >= q.PersonCount, used.PersonBytes+size > q.PersonBytes:
		return fault.New(fault.NoRoom, "app.photos_person_full", "You have sent as many pictures as this server keeps of one person; ask whoever runs it for more room.")
	}
	return nil
}
