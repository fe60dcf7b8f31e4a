package app

import (
	"context"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// maxOfferPhotos is how many photos an offer shows, so that its page can be
// opened on a telephone.
const maxOfferPhotos = 24

// photosFor gathers the photos of a job that were chosen for the customer, by
// the finding they show.
func photosFor(tx Tx, job shop.Job) (map[shop.FindingID][]OfferPhoto, error) {
	rows, err := chosenPhotos(tx, job)
	out := map[shop.FindingID][]OfferPhoto{}
	for finding, photos := range rows {
		for _, p := range photos {
			if hashes := PhotoHashes(p); hashes != nil {
				out[finding] = append(out[finding], OfferPhoto{PhotoID: p.ID, SHA256: hashes[PhotoFull], PreviewSHA256: hashes[PhotoSmall],
					MediaType: p.MediaType, Width: p.Width, Height: p.Height, Shows: p.Shows})
			}
		}
	}
	return out, err
}

// chosenPhotos are the photos of a job that were chosen for the customer, by
// the finding they show; those that were erased since are among them.
func chosenPhotos(tx Tx, job shop.Job) (map[shop.FindingID][]shop.Photo, error) {
	rows, err := every[shop.Photo](tx, By{"job_id": job.ID, "for_customer": true, "struck_at": nil})
	out, shown := map[shop.FindingID][]shop.Photo{}, 0
	for _, p := range rows {
		if p.FindingID == "" || shown == maxOfferPhotos || PhotoHashes(p) == nil && p.ErasedAt == nil {
			continue
		}
		shown++
		out[p.FindingID] = append(out[p.FindingID], p)
	}
	return out, err
}

// LinkPhoto shows a photo of the offer that a customer's link leads to, and no
// other: by the hash in the offer's document, for as long as the link shows
// the offer itself. It changes nothing.
func (a *App) LinkPhoto(ctx context.Context, token string, id shop.PhotoID, size PhotoSize) (PhotoFile, error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenLink, token)
	if err != nil {
		return PhotoFile{}, linkUnknown()
	}
	var view LinkView
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		v, err := visit(tx, hash)
		if err != nil {
			return err
		}
		view, err = v.show(tx)
		return err
	})
	if err != nil {
		return PhotoFile{}, err
	}
	for _, f := range view.Document.Findings {
		for _, p := range f.Photos {
			if p.PhotoID == id {
				return a.linkPhoto(ctx, scope, p, size)
			}
		}
	}
	return PhotoFile{}, fault.New(fault.NotFound, "app.photo_not_in_offer", "There is no such picture here.")
}

func (a *App) linkPhoto(ctx context.Context, scope shop.ShopID, p OfferPhoto, size PhotoSize) (PhotoFile, error) {
	file := PhotoFile{MediaType: p.MediaType, SHA256: p.SHA256}
	if size != PhotoFull {
		file.MediaType, file.SHA256 = "image/jpeg", p.PreviewSHA256
	}
	var err error
	file.Content, err = a.readPhoto(ctx, PhotoKey(scope, p.PhotoID, file.SHA256), file.SHA256)
	return file, err
}
