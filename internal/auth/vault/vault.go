// Package vault seals what must lie in the database and not be readable
// there: a secret on its way out, a key that calls are signed with. Its own
// key lies in a file beside the database, never in it, so that a copy of the
// one without the other tells nothing.
package vault

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"benchtag/internal/auth/keyfile"
)

// FileName is the key file inside the folder of keys.
const FileName = "sealing.keys.json"

// maxFile bounds what is read as a key file, in bytes.
const maxFile = 64 << 10

const (
	keyBytes = 32 // AES-256
	format   = 1  // first byte of what is sealed
)

// Vault seals and opens. It does not change and may be shared.
type Vault struct {
	keys []cipher.AEAD // the first seals, any opens
}

// keyFile is the JSON of the file: keys by which something may be sealed, the
// newest first. To change keys, put a new one in front and keep the old.
type keyFile struct {
	Keys [][]byte `json:"keys"`
}

// Load reads the key file in dir, and first makes it if it is not there. Of
// processes that start at once, one makes it and all read the same. A file
// that others than its owner can read is refused (not on Windows, which has
// no such bits).
func Load(dir string) (*Vault, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("key folder: %w", err)
	}
	path := filepath.Join(dir, FileName)
	v, err := read(path)
	if !errors.Is(err, fs.ErrNotExist) {
		return v, err
	}
	if err := create(path); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, err
	}
	return read(path)
}

func read(path string) (*Vault, error) {
	data, err := keyfile.Read(path, maxFile, "")
	if err != nil {
		return nil, err
	}
	var kept keyFile
	if err := json.Unmarshal(data, &kept); err != nil || len(kept.Keys) == 0 {
		return nil, fmt.Errorf("key file %s is not one of ours; put the right one back", path)
	}
	v, err := New(kept.Keys...)
	if err != nil {
		return nil, fmt.Errorf("key file %s: %w", path, err)
	}
	return v, nil
}

// create writes a fresh key, durably, and leaves a file that another process
// was first to make.
func create(path string) error {
	secret := make([]byte, keyBytes)
	_, _ = rand.Read(secret) // never fails
	data, err := json.Marshal(keyFile{Keys: [][]byte{secret}})
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	return keyfile.Write(path, append(data, '\n'), os.Link)
}

// New makes a vault of keys of 32 bytes each, the newest first.
func New(keys ...[]byte) (*Vault, error) {
	v := &Vault{}
	for _, k := range keys {
		if len(k) != keyBytes {
			return nil, errors.New("a sealing key has not 32 bytes")
		}
		block, err := aes.NewCipher(k)
		if err != nil {
			return nil, fmt.Errorf("sealing key: %w", err)
		}
		gcm, err := cipher.NewGCM(block)
		if err != nil {
			return nil, fmt.Errorf("sealing key: %w", err)
		}
		v.keys = append(v.keys, gcm)
	}
	if len(v.keys) == 0 {
		return nil, errors.New("no sealing key")
	}
	return v, nil
}

// Seal encrypts plain (AES-256-GCM, a random nonce in front). What is sealed
// for one place opens for that place alone.
func (v *Vault) Seal(place string, plain []byte) []byte {
	gcm := v.keys[0]
	out := make([]byte, 1+gcm.NonceSize(), 1+gcm.NonceSize()+len(plain)+gcm.Overhead())
	out[0] = format
	_, _ = rand.Read(out[1:]) // never fails
	return gcm.Seal(out, out[1:], plain, []byte(place))
}

// errBroken tells nothing of why, so as to help nobody.
var errBroken = errors.New("vault: what was sealed cannot be opened; was the key file changed?")

// Open gives what was sealed for the place.
func (v *Vault) Open(place string, sealed []byte) ([]byte, error) {
	for _, gcm := range v.keys {
		if len(sealed) < 1+gcm.NonceSize() || sealed[0] != format {
			return nil, errBroken
		}
		nonce, text := sealed[1:1+gcm.NonceSize()], sealed[1+gcm.NonceSize():]
		if plain, err := gcm.Open(nil, nonce, text, []byte(place)); err == nil {
			return plain, nil
		}
	}
	return nil, errBroken
}
