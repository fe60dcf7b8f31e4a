// Package anchor keeps what of the journal must not lie in the database, as
// files beside it: the key that signs checkpoints, and the last checkpoint
// signed of each shop. Who steals or alters the database alone can neither
// sign nor hide that its end was cut off.
//
// It decides nothing of the journal itself; what a checkpoint says and when
// one is signed is for packages journal and app.
package anchor

import (
	"crypto/ed25519"
	"crypto/rand"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/journal"
)

// purpose is what the keys of the file are for. A key has one purpose.
const purpose = "journal"

// key is an Ed25519 key; its JSON is an entry of the key file. The seed of a
// key that signs no more is gone: nobody can sign in its name again.
type key struct {
	Public []byte    `json:"public"`
	Seed   seed      `json:"seed,omitempty"`
	From   time.Time `json:"from"`
	Until  time.Time `json:"until,omitzero"` // of one that leaves or has left
}

// seed is base64 in JSON and nothing in a message.
type seed []byte

// String hides the seed.
func (seed) String() string { return "[key]" }

// GoString hides the seed.
func (seed) GoString() string { return "[key]" }

// keyring is the key file: the current key first, then the one that leaves if
// one does, then those that have left, newest first.
type keyring struct {
	Purpose string `json:"purpose"`
	Keys    []key  `json:"keys"`
}

func newKey(now time.Time) key {
	fresh := make([]byte, ed25519.SeedSize)
	_, _ = rand.Read(fresh) // never fails
	return key{Public: publicOf(fresh), Seed: fresh, From: now.UTC().Truncate(time.Second)}
}

func publicOf(fresh []byte) []byte {
	return ed25519.NewKeyFromSeed(fresh).Public().(ed25519.PublicKey)
}

func newKeyring(now time.Time) keyring { return keyring{Purpose: purpose, Keys: []key{newKey(now)}} }

// rotating adds a new current key; the one before goes on signing beside it.
func (r keyring) rotating(now time.Time) keyring {
	keys := slices.Clone(r.Keys)
	keys[0].Until = now.UTC().Truncate(time.Second)
	return keyring{Purpose: r.Purpose, Keys: append([]key{newKey(now)}, keys...)}
}

// rotated takes the seed from the key that leaves.
func (r keyring) rotated() keyring {
	keys := slices.Clone(r.Keys)
	for i := range keys[1:] {
		keys[i+1].Seed = nil
	}
	return keyring{Purpose: r.Purpose, Keys: keys}
}

// leaving reports whether one key is being followed by another.
func (r keyring) leaving() bool { return len(r.Keys) > 1 && r.Keys[1].Seed != nil }

func decode(data []byte) (keyring, error) {
	var r keyring
	if err := json.Unmarshal(data, &r); err != nil {
		return keyring{}, errors.New("it is not JSON as it must be")
	}
	return r, r.check()
}

// check refuses a file that could not sign, or whose keys do not fit together.
func (r keyring) check() error {
	if r.Purpose != purpose {
		return errors.New("its keys are for another purpose than the journal")
	}
	if len(r.Keys) == 0 || r.Keys[0].Seed == nil || !r.Keys[0].Until.IsZero() {
		return errors.New("its first key is not one that signs")
	}
	for i, k := range r.Keys {
		if err := k.check(i); err != nil {
			return err
		}
		if slices.ContainsFunc(r.Keys[:i], func(o key) bool { return slices.Equal(o.Public, k.Public) }) {
			return errors.New("it holds one key twice")
		}
	}
	return nil
}

// check refuses a key that is not as its place in the file has it: only the
// first two may have a secret, and only the first signs without an end.
func (k key) check(place int) error {
	if len(k.Public) != ed25519.PublicKeySize || k.From.IsZero() || place > 0 && k.Until.IsZero() || place > 1 && k.Seed != nil {
		return errors.New("a key is not as it must be")
	}
	if k.Seed != nil && (len(k.Seed) != ed25519.SeedSize || !slices.Equal(publicOf(k.Seed), k.Public)) {
		return errors.New("a secret key does not fit its public one")
	}
	return nil
}

// signing gives the keys that sign now.
func (r keyring) signing(name string) ([]journal.SigningKey, error) {
	var keys []journal.SigningKey
	for _, k := range r.Keys {
		if k.Seed == nil {
			continue
		}
		one, err := journal.NewSigningKey(name, [32]byte(k.Seed))
		if err != nil {
			return nil, err
		}
		keys = append(keys, one)
	}
	return keys, nil
}

func (r keyring) known(name string) []app.KnownKey {
	keys := make([]app.KnownKey, len(r.Keys))
	for i, k := range r.Keys {
		keys[i] = app.KnownKey{Key: journal.VerifierKey{Name: name, Public: [32]byte(k.Public)}, From: k.From, Until: k.Until}
	}
	return keys
}
