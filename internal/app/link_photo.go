package app

import (
	"context"
	"slices"

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
				shown := OfferPhoto{PhotoID: p.ID, SHA256: hashes[PhotoFull], PreviewSHA256: hashes[PhotoSmall],
					MediaType: p.MediaType, Width: p.Width, Height: p.Height, Shows: p.Shows}
				shown.draw(p)
				out[finding] = append(out[finding], shown)
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

// draw puts the marks of a photo into the document, so that what is pointed
// at is part of what is agreed to.
func (o *OfferPhoto) draw(p shop.Photo) {
	var marks []DrawnMark
	marks, o.Notes = DrawMarks(p)
	for _, m := range marks {
		o.Marks = append(o.Marks, OfferMark(m))
	}
}

// erasedPhotos lists the photos of a document whose picture is no more.
func (v visited) erasedPhotos(tx Tx) (out []shop.PhotoID, err error) {
	var shown []shop.PhotoID
	for _, f := range v.doc.Findings {
		for _, p := range f.Photos {
			shown = append(shown, p.PhotoID)
		}
	}
	if len(shown) == 0 {
		return nil, nil
	}
	rows, err := every[shop.Photo](tx, By{"job_id": v.offer.JobID})
	for _, p := range rows {
		if p.ErasedAt != nil && slices.Contains(shown, p.ID) {
			out = append(out, p.ID)
		}
	}
	return out, err
}

// PhotoErased is the code of the fault that a picture was erased, which is no
// trouble of the link that shows it.
const PhotoErased = "app.photo_erased"

// LinkPhoto shows a photo of the offer that a customer's link leads to, and no
// other: by the hash in the offer's document, for as long as the link shows
// the offer itself. It changes nothing. One that was erased is a Gone fault.
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
	if slices.Contains(view.Erased, id) {
		return PhotoFile{}, fault.New(fault.Gone, PhotoErased, "This picture was erased.")
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
