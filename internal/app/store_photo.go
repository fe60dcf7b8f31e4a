package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Pictures looks at, turns upright, strips and draws on pictures; see package
// photo.
type Pictures interface {
	// Bake makes of a picture as it was received the copies that are kept:
	// upright, without anything but pixels. The declared media type has to be
	// what the bytes are. A Media fault is a kind that is not taken, a Meaning
	// fault a picture that cannot be one or is too much work.
	Bake(ctx context.Context, declared string, original []byte) (BakedPhoto, error)
	// Draw gives a stored copy with its marks for paper, its long edge at most
	// so many pixels.
	Draw(ctx context.Context, stored []byte, marks []DrawnMark, longEdge int) (DrawnPhoto, error)
}

// BakedPhoto is what is kept of a picture.
type BakedPhoto struct {
	MediaType     string // of the full copy; the smaller ones are JPEG
	Width, Height int64  // pixels of the full copy
	Full          []byte
	Large, Small  []byte
}

// MaxPhoto is the most that a picture may hold as it is sent, in bytes.
const MaxPhoto = 20 << 20

// PhotoContent is the bytes of a photo on their way in.
type PhotoContent struct {
	MediaType string // as declared
	Size      int64  // as declared; 0 where it was not
	// Read gives the bytes, once the photo is known to be wanted.
	Read func() ([]byte, error)
}

// StorePhoto stores the content of a photo. It gives the row only when the
// bytes are kept durably and the row that speaks of them is committed; the
// journal's entry holds the SHA-256 of the bytes as received. The same bytes
// again change nothing; they mend a stored copy that was found damaged. It
// reports whether content was stored now.
func (a *App) StorePhoto(ctx context.Context, who auth.Principal, at Place, in PhotoContent) (row shop.Photo, made bool, err error) {
	if a.Blobs == nil || a.Pictures == nil {
		return row, false, noPhotos()
	}
	was, err := a.wanted(ctx, who, at)
	if err != nil {
		return row, false, err
	}
	if was.StoredAt == nil {
		if err := a.roomFor(ctx, who, max(in.Size, 0)); err != nil {
			return row, false, err
		}
	}
	original, err := in.Read()
	if err != nil {
		return row, false, err
	}
	sum := sha256.Sum256(original)
	received := hex.EncodeToString(sum[:])
	if was.StoredAt != nil && (was.OriginalSHA256 != received || was.DamagedAt == nil) {
		return was, false, sameContent(was, received)
	}
	baked, err := a.Pictures.Bake(ctx, in.MediaType, original)
	if err != nil {
		return row, false, err
	}
	kept := keptOf(baked)
	kept.OriginalSHA256, kept.OriginalBytes = received, int64(len(original))
	if err := a.keep(ctx, who.ShopID, shop.PhotoID(at.ID), baked, kept); err != nil {
		return row, false, err
	}
	return a.commitPhoto(ctx, who, at, kept)
}

// wanted reads the photo that content is sent for.
func (a *App) wanted(ctx context.Context, who auth.Principal, at Place) (row shop.Photo, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if err := loadOf[shop.Photo](tx, at, "photo", &row); err != nil {
			return err
		}
		return takesContent(row)
	})
	return row, err
}

// takesContent says why a photo takes no content, or nil. That its job moved
// on or ended is no reason: the photo was taken before.
func takesContent(row shop.Photo) error {
	switch {
	case row.ErasedAt != nil:
		return fault.New(fault.Gone, "app.photo_erased", "The content of this photo was erased for good.")
	case row.IsStruck():
		return struckAlready()
	}
	return nil
}

// sameContent allows the same bytes again and refuses others.
func sameContent(row shop.Photo, received string) error {
	if row.OriginalSHA256 == received {
		return nil
	}
	return fault.New(fault.Conflict, "app.photo_has_content", "This photo has other content already, which is never replaced; record a new photo.")
}

// keptOf is what a row says of the copies.
func keptOf(b BakedPhoto) shop.Photo {
	return shop.Photo{MediaType: b.MediaType, SizeBytes: int64(len(b.Full)), Width: b.Width, Height: b.Height,
		StoredSHA256: SumOf(b.Full), LargeSHA256: SumOf(b.Large), SmallSHA256: SumOf(b.Small)}
}

// SumOf is the SHA-256 of bytes, hex.
func SumOf(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// keep stores the copies before any row speaks of them. What is left behind
// where that fails is swept up later.
func (a *App) keep(ctx context.Context, scope shop.ShopID, id shop.PhotoID, b BakedPhoto, kept shop.Photo) error {
	for _, one := range []struct {
		sum     string
		content []byte
	}{{kept.StoredSHA256, b.Full}, {kept.LargeSHA256, b.Large}, {kept.SmallSHA256, b.Small}} {
		if err := a.Blobs.Put(ctx, PhotoKey(scope, id, one.sum), one.content); err != nil {
			return notKept(err)
		}
	}
	return nil
}

func notKept(err error) error {
	if fault.Of(err) != fault.Internal {
		return err
	}
	f := fault.New(fault.Unavailable, "app.photo_not_kept", "The picture could not be stored; nothing was recorded. Send it again.").Because(err)
	f.RetryAfter = 5
	return f
}

// commitPhoto makes the row speak of the copies that are kept.
func (a *App) commitPhoto(ctx context.Context, who auth.Principal, at Place, kept shop.Photo) (row shop.Photo, made bool, err error) {
	err = a.onJob(ctx, who, at.JobID, "photo.stored", func(c *JobChange) error {
		if err := loadOf[shop.Photo](c, at, "photo", &row); err != nil {
			return err
		}
		if err := takesContent(row); err != nil {
			return err
		}
		mends := row.StoredAt != nil && row.DamagedAt != nil && row.StoredSHA256 == kept.StoredSHA256
		if row.StoredAt != nil && !mends {
			return sameContent(row, kept.OriginalSHA256)
		}
		made = row.StoredAt == nil
		now := c.Now()
		row.StoredAt, row.DamagedAt = &now, nil
		row.MediaType, row.SizeBytes, row.Width, row.Height = kept.MediaType, kept.SizeBytes, kept.Width, kept.Height
		row.OriginalSHA256, row.OriginalBytes = kept.OriginalSHA256, kept.OriginalBytes
		row.StoredSHA256, row.LargeSHA256, row.SmallSHA256 = kept.StoredSHA256, kept.LargeSHA256, kept.SmallSHA256
		return c.advanceFirst(&row)
	})
	return row, made, err
}

// PhotoFile is a copy of a photo to be shown.
type PhotoFile struct {
	MediaType string
	SHA256    string // hex, of the bytes
	Name      string // as it came, for display alone
	StoredAt  time.Time
	// Content is the bytes; nil where the asker has them already.
	Content []byte
}

// Photo reads a copy of a photo. known lists the SHA-256 of bytes that the
// asker has; they are not read again.
func (a *App) Photo(ctx context.Context, who auth.Principal, at Place, size PhotoSize, known []string) (PhotoFile, error) {
	var row shop.Photo
	err := a.Store.Read(ctx, who.ShopID, func(tx Tx) error { return loadOf[shop.Photo](tx, at, "photo", &row) })
	if err != nil {
		return PhotoFile{}, err
	}
	sum := PhotoHashes(row)[size]
	if sum == "" {
		return PhotoFile{}, fault.New(fault.NotFound, "app.photo_without_content", "There is no picture of this photo here.")
	}
	file := PhotoFile{MediaType: mediaOf(row, size), SHA256: sum, Name: row.FileName, StoredAt: *row.StoredAt}
	for _, k := range known {
		if k == sum {
			return file, nil
		}
	}
	file.Content, err = a.readPhoto(ctx, PhotoKey(who.ShopID, row.ID, sum), sum)
	return file, err
}

// mediaOf gives the media type of a copy.
func mediaOf(p shop.Photo, size PhotoSize) string {
	if size == PhotoFull {
		return p.MediaType
	}
	return "image/jpeg"
}
