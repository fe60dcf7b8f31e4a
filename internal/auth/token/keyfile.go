package token

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"benchtag/internal/auth/keyfile"
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
	data, err := keyfile.Read(path, maxKeyFile, ", and if the machine is shared make new keys")
	if err != nil {
		return keySet{}, err
	}
	set, err := decodeKeySet(data, purpose)
	if err != nil {
		return keySet{}, fmt.Errorf("key file %s: %w", path, err)
	}
	return set, nil
}

// save writes the set as a key file and moves it into place.
func save(path string, set keySet, place func(from, to string) error) error {
	data, err := json.MarshalIndent(set, "", "  ")
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	return keyfile.Write(path, append(data, '\n'), place)
}

// randomBytes gives n bytes of the operating system's generator; rand.Read
// never fails but ends the process.
func randomBytes(n int) []byte {
	out := make([]byte, n)
	rand.Read(out)
	return out
}
