package token

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"
)

// maxKeyFile bounds what is read as a key file, in bytes.
const maxKeyFile = 64 << 10

// LoadOrCreateKeyring reads the key files in dir, one a purpose, and first
// makes those that are not there. Of processes that start at once, one makes
// them and all read the same. It refuses weak keys, and files that others than
// their owner can read (not on Windows, which has no such bits).
func LoadOrCreateKeyring(dir string, now time.Time) (*Keyring, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("key folder: %w", err)
	}
	ring := &Keyring{sets: map[Purpose]keySet{}}
	for _, purpose := range Purposes() {
		set, err := loadOrCreate(keyPath(dir, purpose), purpose, now)
		if err != nil {
			return nil, err
		}
		ring.sets[purpose] = set
	}
	return ring, nil
}

// Rotate makes each next key of the folder the current one and adds a new
// next; the old current still accepts for 11 minutes. Other processes go on
// with what they have read and take the new tokens too. Restart them within
// those minutes: after that, access tokens they still make with the old key
// are refused elsewhere, and clients have to refresh more often.
func Rotate(dir string, now time.Time) (*Keyring, error) {
	ring := &Keyring{sets: map[Purpose]keySet{}}
	for _, purpose := range Purposes() {
		path := keyPath(dir, purpose)
		set, err := load(path, purpose)
		if err != nil {
			return nil, err
		}
		set = set.rotated(now)
		if err := save(path, set, os.Rename); err != nil {
			return nil, err
		}
		ring.sets[purpose] = set
	}
	return ring, nil
}

func keyPath(dir string, purpose Purpose) string {
	return filepath.Join(dir, string(purpose)+".keys.json")
}

func loadOrCreate(path string, purpose Purpose, now time.Time) (keySet, error) {
	set, err := load(path, purpose)
	if !errors.Is(err, fs.ErrNotExist) {
		return set, err
	}
	// Link, unlike Rename, leaves a file that another process was first to make.
	if err := save(path, newKeySet(purpose, now), os.Link); err != nil && !errors.Is(err, fs.ErrExist) {
		return keySet{}, err
	}
	return load(path, purpose)
}

func load(path string, purpose Purpose) (keySet, error) {
	file, err := os.Open(path)
	if err != nil {
		return keySet{}, fmt.Errorf("key file: %w", err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return keySet{}, fmt.Errorf("key file: %w", err)
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return keySet{}, fmt.Errorf("key file %s: others can read or change it (mode %04o): chmod 600 it, and if the machine is shared make new keys", path, info.Mode().Perm())
	}
	data, err := io.ReadAll(io.LimitReader(file, maxKeyFile))
	if err != nil {
		return keySet{}, fmt.Errorf("key file: %w", err)
	}
	set, err := decodeKeySet(data, purpose)
	if err != nil {
		return keySet{}, fmt.Errorf("key file %s: %w", path, err)
	}
	return set, nil
}

// save writes the set to a file of mode 0600 beside path, durably, and moves
// it into place.
func save(path string, set keySet, place func(from, to string) error) error {
	data, err := json.MarshalIndent(set, "", "  ")
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	file, err := os.CreateTemp(filepath.Dir(path), ".keys-*") // mode 0600
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	defer os.Remove(file.Name()) // gone already after a rename
	_, err = file.Write(append(data, '\n'))
	err = errors.Join(err, file.Sync(), file.Close())
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	if err := place(file.Name(), path); err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	return syncDir(filepath.Dir(path))
}

// syncDir makes a new name in the folder durable, where folders can be synced.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	folder, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("key folder: %w", err)
	}
	defer folder.Close()
	if err := folder.Sync(); err != nil {
		return fmt.Errorf("key folder: %w", err)
	}
	return nil
}

// randomBytes gives n bytes of the operating system's generator; rand.Read
// never fails but ends the process.
func randomBytes(n int) []byte {
	out := make([]byte, n)
	rand.Read(out)
	return out
}
