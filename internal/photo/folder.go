package photo

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"strings"

	"benchtag/internal/app"
	"benchtag/internal/fault"
)

// Folder keeps photos in a folder of this machine.
type Folder struct {
	root *os.Root
	// at is told each step of a write, for tests that break off there.
	at   func(step string) error
	room func() (app.Room, error)
}

var _ app.Blobs = (*Folder)(nil)

// OpenFolder opens a folder, making it if it is new. Nothing outside of it is
// ever reached, whatever stands inside.
func OpenFolder(name string) (*Folder, error) {
	if err := os.MkdirAll(name, 0o700); err != nil {
		return nil, fmt.Errorf("photo: make the folder of photos: %w", err)
	}
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, fmt.Errorf("photo: open the folder of photos: %w", err)
	}
	return &Folder{root: root, at: func(string) error { return nil }, room: func() (app.Room, error) { return roomOf(name) }}, nil
}

// Close lets go of the folder.
func (f *Folder) Close() error { return f.root.Close() }

// checkKey takes keys as this program makes them, and no others, so that no
// name that came from outside can become one.
func checkKey(key string) error {
	parts := strings.Split(key, "/")
	if len(parts) != 5 || parts[0] != "shop" || parts[2] != "photo" || !isID(parts[1]) || !isID(parts[3]) || !isName(parts[4]) {
		return fault.New(fault.Internal, "photo.key_malformed", "A stored picture has an impossible name.")
	}
	return nil
}

// isID reports whether a text is a UUID in lower case.
func isID(text string) bool {
	if len(text) != 36 {
		return false
	}
	for i, c := range []byte(text) {
		dash := i == 8 || i == 13 || i == 18 || i == 23
		if dash != (c == '-') || !dash && !isHex(c) {
			return false
		}
	}
	return true
}

// isName reports whether a text is a SHA-256 in lower case, or the name of a
// write under way.
func isName(text string) bool {
	if rest, ok := strings.CutPrefix(text, partPrefix); ok {
		return len(rest) == 16 && allHex(rest)
	}
	return len(text) == 64 && allHex(text)
}

func allHex(text string) bool {
	for _, c := range []byte(text) {
		if !isHex(c) {
			return false
		}
	}
	return true
}

func isHex(c byte) bool { return c >= '0' && c <= '9' || c >= 'a' && c <= 'f' }

// partPrefix begins the name of a write under way.
const partPrefix = ".part-"

// Put writes beside, waits for the disk, and moves what is whole into place;
// the move itself is on the disk when it gives nil.
func (f *Folder) Put(_ context.Context, key string, content []byte) error {
	if err := checkKey(key); err != nil {
		return err
	}
	folder := path.Dir(key)
	if err := f.makeFolders(folder); err != nil {
		return fmt.Errorf("photo: make a folder: %w", err)
	}
	part := folder + "/" + partPrefix + randomName()
	if err := f.write(part, content); err != nil {
		return fmt.Errorf("photo: write: %w", errors.Join(err, f.root.Remove(part)))
	}
	err := errors.Join(f.at("rename"), f.root.Rename(part, key))
	if err != nil {
		return fmt.Errorf("photo: move into place: %w", err)
	}
	if err := errors.Join(f.at("renamed"), f.syncFolder(folder)); err != nil {
		return fmt.Errorf("photo: wait for the disk: %w", err)
	}
	return f.at("synced")
}

func randomName() string {
	var b [8]byte
	_, _ = rand.Read(b[:])
	return hex.EncodeToString(b[:])
}

// makeFolders makes the folders of a path, and waits until each stands on the
// disk in the one above.
func (f *Folder) makeFolders(name string) error {
	parts := strings.Split(name, "/")
	above := "."
	for i := range parts {
		here := strings.Join(parts[:i+1], "/")
		err := f.root.Mkdir(here, 0o700)
		switch {
		case err == nil:
			if err := errors.Join(f.at("folder"), f.syncFolder(above)); err != nil {
				return err
			}
		case !errors.Is(err, fs.ErrExist):
			return err
		}
		above = here
	}
	return nil
}

// write writes a new file and waits for the disk.
func (f *Folder) write(name string, content []byte) (err error) {
	file, err := f.root.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	if err := f.at("created"); err != nil {
		return err
	}
	half := len(content) / 2
	if _, err := file.Write(content[:half]); err != nil {
		return err
	}
	if err := f.at("half written"); err != nil {
		return err
	}
	if _, err := file.Write(content[half:]); err != nil {
		return err
	}
	if err := f.at("written"); err != nil {
		return err
	}
	return file.Sync()
}

// syncFolder waits until what was made or moved in a folder is on the disk.
func (f *Folder) syncFolder(name string) error {
	d, err := f.root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Open reads a file.
func (f *Folder) Open(_ context.Context, key string) (io.ReadCloser, error) {
	if err := checkKey(key); err != nil {
		return nil, err
	}
	file, err := f.root.Open(key)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, notThere(err)
	}
	if err != nil {
		return nil, fmt.Errorf("photo: open: %w", err)
	}
	return file, nil
}

func notThere(err error) error {
	return fault.New(fault.NotFound, "photo.not_there", "There is no such picture here.").Because(err)
}

// Delete removes a file, and the folder of a photo with its last.
func (f *Folder) Delete(_ context.Context, key string) error {
	if err := checkKey(key); err != nil {
		return err
	}
	err := f.root.Remove(key)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("photo: remove: %w", err)
	}
	_ = f.root.Remove(path.Dir(key)) // refused while anything else stands there
	return nil
}

// List walks the folder of a prefix that ends at a folder.
func (f *Folder) List(ctx context.Context, prefix string, each func(app.Blob) error) error {
	name := strings.TrimSuffix(prefix, "/")
	err := fs.WalkDir(f.root.FS(), name, func(key string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil // gone since, or never there
		}
		if err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if !d.Type().IsRegular() || checkKey(key) != nil {
			return nil
		}
		info, err := d.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return err
		}
		return each(app.Blob{Key: key, Size: info.Size(), Modified: info.ModTime()})
	})
	if err != nil {
		return fmt.Errorf("photo: list: %w", err)
	}
	return nil
}

// Room tells how much is free on the disk.
func (f *Folder) Room(context.Context) (app.Room, error) { return f.room() }
