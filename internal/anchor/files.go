package anchor

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"sync"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth/keyfile"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Names of the files in the key folder.
const (
	keyFile       = "journal.keys.json"
	noteFolder    = "journal"     // of the checkpoints
	noteExtension = ".checkpoint" // after the shop's id
)

// maxFile bounds what is read of a file, in bytes.
const maxFile = 256 << 10

// Files keeps the key and the checkpoints in a folder. Every question reads
// the file anew, so that a rotation reaches a running server at once.
type Files struct {
	folder string
	guard  sync.Mutex // one writer in this process
}

var _ app.Anchors = (*Files)(nil)

// Open reads the key file in a folder, and first makes it if it is not there.
// Of processes that start at once, one makes it and all read the same. It
// refuses a file that others than its owner can read (not on Windows, which
// has no such bits).
func Open(folder string, now time.Time) (*Files, error) {
	if err := os.MkdirAll(filepath.Join(folder, noteFolder), 0o700); err != nil {
		return nil, fmt.Errorf("key folder: %w", err)
	}
	f := &Files{folder: folder}
	_, err := f.ring()
	if errors.Is(err, fs.ErrNotExist) {
		// Link, unlike Rename, leaves a file that another process was first to make.
		err = f.save(newKeyring(now), os.Link)
		if errors.Is(err, fs.ErrExist) {
			err = nil
		}
		if err == nil {
			_, err = f.ring()
		}
	}
	return f, err
}

// OpenExisting opens the key file that is there, as Open does, and makes
// nothing: a new key would vouch for nothing that was signed before. Where
// there is none it gives an error that is fs.ErrNotExist and says what to do.
func OpenExisting(folder string) (*Files, error) {
	f := &Files{folder: folder}
	_, err := f.ring()
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no key of the journal in %s (the file %s): give the right data folder with --data, or put the file back from where the keys are kept safe: %w",
			folder, keyFile, fs.ErrNotExist)
	}
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (f *Files) path() string { return filepath.Join(f.folder, keyFile) }

func (f *Files) ring() (keyring, error) {
	data, err := keyfile.Read(f.path(), maxFile, ", and if the machine is shared take a new key with benchtag journal-key --rotate")
	if err != nil {
		return keyring{}, err
	}
	r, err := decode(data)
	if err != nil {
		return keyring{}, fmt.Errorf("key file %s: %w", f.path(), err)
	}
	return r, nil
}

// Signing gives the keys that sign now.
func (f *Files) Signing(name string) ([]journal.SigningKey, error) {
	r, err := f.ring()
	if err != nil {
		return nil, err
	}
	return r.signing(name)
}

// Known gives every public key, the current one first.
func (f *Files) Known(name string) ([]app.KnownKey, error) {
	r, err := f.ring()
	if err != nil {
		return nil, err
	}
	return r.known(name), nil
}

// BeginRotation makes a new key the current one; until EndRotation the one
// before signs beside it. One that was begun and not ended goes on.
func (f *Files) BeginRotation(now time.Time) error {
	f.guard.Lock()
	defer f.guard.Unlock()
	r, err := f.ring()
	if err != nil || r.leaving() {
		return err
	}
	return f.save(r.rotating(now), os.Rename)
}

// EndRotation destroys the secret of the key that leaves.
func (f *Files) EndRotation() error {
	f.guard.Lock()
	defer f.guard.Unlock()
	r, err := f.ring()
	if err != nil {
		return err
	}
	return f.save(r.rotated(), os.Rename)
}

func (f *Files) save(r keyring, place func(from, to string) error) error {
	data, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	return keyfile.Write(f.path(), append(data, '\n'), place)
}

// shopName is what a shop's id looks like; it becomes part of a path.
var shopName = regexp.MustCompile(`^[0-9a-f-]{36}$`)

func (f *Files) notePath(scope shop.ShopID) (string, error) {
	if !shopName.MatchString(string(scope)) {
		return "", fmt.Errorf("checkpoint file: %q is no shop", scope)
	}
	return filepath.Join(f.folder, noteFolder, string(scope)+noteExtension), nil
}

// Last gives the checkpoint kept of a shop, or "".
func (f *Files) Last(scope shop.ShopID) (string, error) {
	path, err := f.notePath(scope)
	if err != nil {
		return "", err
	}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", fmt.Errorf("checkpoint file: %w", err)
	}
	return string(data), nil
}

// Keep keeps a checkpoint of a shop. It never goes back: one that counts
// fewer breaks or fewer entries than the one kept is passed over.
func (f *Files) Keep(scope shop.ShopID, note string) error {
	path, err := f.notePath(scope)
	if err != nil {
		return err
	}
	f.guard.Lock()
	defer f.guard.Unlock()
	kept, err := f.Last(scope)
	if err != nil {
		return err
	}
	if !later(note, kept) {
		return nil
	}
	return keyfile.Write(path, []byte(note), os.Rename)
}

// later reports whether a note states a later tree than the one kept.
func later(note, kept string) bool {
	breaks, size := stateOf(note)
	keptBreaks, keptSize := stateOf(kept)
	return breaks > keptBreaks || breaks == keptBreaks && size > keptSize
}

// stateOf gives what a note states; -1 for what is no checkpoint of ours.
func stateOf(note string) (breaks, size int64) {
	n, err := journal.ParseNote(note)
	if err != nil {
		return -1, -1
	}
	c, err := journal.ParseCheckpoint(n.Text)
	if err != nil {
		return -1, -1
	}
	_, breaks, err = journal.ParseOrigin(c.Origin)
	if err != nil {
		return -1, -1
	}
	return breaks, c.Size
}
