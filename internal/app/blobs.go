package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Blobs keeps the bytes of photos, outside the database. A key holds the
// SHA-256 of what stands under it, so that nothing is ever put over another
// thing, and whoever reads can tell whether it is still what it was.
type Blobs interface {
	// Put stores content under a key, whole or not at all. When it gives nil
	// the bytes outlive a crash. Put again under the same key is no error, and
	// makes the content young again.
	Put(ctx context.Context, key string, content []byte) error
	// Open reads what stands under a key; a NotFound fault where nothing does.
	Open(ctx context.Context, key string) (io.ReadCloser, error)
	// Delete removes what stands under a key; nothing there is no error.
	Delete(ctx context.Context, key string) error
	// List tells each of everything whose key begins so, remains of writes
	// that were cut off included.
	List(ctx context.Context, prefix string, each func(Blob) error) error
	// Room tells how much more can be kept.
	Room(ctx context.Context) (Room, error)
}

// Blob is one thing that is kept.
type Blob struct {
	Key      string
	Size     int64
	Modified time.Time
}

// Room is how much can be kept, in bytes. Total 0 is a store without a known
// end.
type Room struct{ Free, Total uint64 }

// PhotoSize is a copy of a photo.
type PhotoSize string

// The copies that are kept of a photo.
const (
	PhotoFull  PhotoSize = "full"  // as stored
	PhotoLarge PhotoSize = "large" // to read on a screen
	PhotoSmall PhotoSize = "small" // for lists
)

// PhotoSizes lists every copy.
func PhotoSizes() []PhotoSize { return []PhotoSize{PhotoFull, PhotoLarge, PhotoSmall} }

// photoFolder is where everything of a photo stands.
func photoFolder(scope shop.ShopID, id shop.PhotoID) string {
	return shopFolder(scope) + string(id) + "/"
}

// shopFolder is where everything of a shop's photos stands.
func shopFolder(scope shop.ShopID) string { return "shop/" + string(scope) + "/photo/" }

// PhotoKey is where a copy of a photo stands, by the SHA-256 of its bytes, hex.
func PhotoKey(scope shop.ShopID, id shop.PhotoID, sha256 string) string {
	return photoFolder(scope, id) + sha256
}

// PhotoHashes lists the SHA-256, hex, of the copies that a photo's row speaks
// of, by their size; none of a photo without content.
func PhotoHashes(p shop.Photo) map[PhotoSize]string {
	if p.StoredAt == nil || p.ErasedAt != nil {
		return nil
	}
	return map[PhotoSize]string{PhotoFull: p.StoredSHA256, PhotoLarge: p.LargeSHA256, PhotoSmall: p.SmallSHA256}
}

// HashBlob reads what stands under a key and gives its SHA-256, hex, and its
// size; a NotFound fault where nothing stands.
func HashBlob(ctx context.Context, blobs Blobs, key string) (sum string, size int64, err error) {
	from, err := blobs.Open(ctx, key)
	if err != nil {
		return "", 0, err
	}
	defer func() { _ = from.Close() }()
	h := sha256.New()
	size, err = io.Copy(h, from)
	return hex.EncodeToString(h.Sum(nil)), size, err
}

// maxStoredPhoto bounds what is read back at once, in bytes: no stored copy
// comes near it.
const maxStoredPhoto = 64 << 20

// readPhoto reads a copy whole and makes sure that it is what was stored:
// damaged bytes are never shown.
func (a *App) readPhoto(ctx context.Context, key, sum string) ([]byte, error) {
	if a.Blobs == nil {
		return nil, noPhotos()
	}
	from, err := a.Blobs.Open(ctx, key)
	if fault.Is(err, fault.NotFound) {
		return nil, photoDamaged(err)
	}
	if err != nil {
		return nil, err
	}
	defer func() { _ = from.Close() }()
	var content bytes.Buffer
	if _, err := io.Copy(&content, io.LimitReader(from, maxStoredPhoto)); err != nil {
		return nil, fault.New(fault.Unavailable, "app.photo_unreadable", "The picture could not be read just now; try again.").Because(err)
	}
	if got := sha256.Sum256(content.Bytes()); hex.EncodeToString(got[:]) != sum {
		return nil, photoDamaged(nil)
	}
	return content.Bytes(), nil
}

// CodePhotoDamaged is the code of the fault that says that a stored picture is
// not what it was.
const CodePhotoDamaged = "app.photo_damaged"

func photoDamaged(cause error) error {
	return fault.New(fault.Unavailable, CodePhotoDamaged,
		"The stored picture is missing or damaged, so it is not shown. Send the same file again if there still is one, or have it brought back from a backup.").Because(cause)
}

const codePhotosOff = "app.photos_off"

func noPhotos() error {
	return fault.New(fault.Unavailable, codePhotosOff, "This server keeps no pictures; whoever runs it has to give it a place for them.")
}
