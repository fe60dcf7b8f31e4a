package main

import (
	"context"
	"time"

	"benchtag/internal/photo"
	"benchtag/internal/shop"
)

// keepPhotos gives the server a folder to keep photos in.
func (b *built) keepPhotos(folder string) error {
	blobs, err := photo.OpenFolder(folder)
	if err != nil {
		return err
	}
	b.app.Blobs, b.app.Pictures = blobs, photo.NewBaker()
	return nil
}

// How often what nobody speaks of is swept up, and how often every stored
// picture is read again.
const (
	sweepEvery = 6 * time.Hour
	scrubEvery = 24 * time.Hour
)

// photoTasks keep the stored pictures whole and no more than there are photos.
func (b *built) photoTasks() []task {
	return []task{
		{name: "sweep photos", every: sweepEvery, do: forEachShop(b.app.Store, b.log, func(ctx context.Context, id shop.ShopID) error {
			_, err := b.app.SweepPhotos(ctx, id)
			return err
		})},
		{name: "scrub photos", every: scrubEvery, do: forEachShop(b.app.Store, b.log, b.app.ScrubPhotos)},
	}
}
