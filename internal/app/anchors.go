package app

import (
	"errors"
	"fmt"
	"time"

	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Anchors keep what of the journal must not lie in the database: the key that
// signs checkpoints, and the last checkpoint signed of each shop.
type Anchors interface {
	// Signing gives the keys that sign now, in a name: the current one, and
	// after it, while one key follows another, the one that leaves.
	Signing(name string) ([]journal.SigningKey, error)
	// Known gives every public key that signs or has signed, in a name, the
	// current one first.
	Known(name string) ([]KnownKey, error)
	// Last gives the signed checkpoint kept of a shop, or "".
	Last(scope shop.ShopID) (string, error)
	// Keep keeps a signed checkpoint of a shop in the place of the one before.
	Keep(scope shop.ShopID, note string) error
}

// KnownKey is a public key with the time in which it signed.
type KnownKey struct {
	Key         journal.VerifierKey
	From, Until time.Time // Until is zero while it signs
}

// errUnreachable marks that the key or a file beside it could not be had:
// trouble of the machine, not a broken history.
var errUnreachable = errors.New("app: what is kept of the journal outside the database cannot be reached")

func unreachable(err error) bool { return errors.Is(err, errUnreachable) }

func outside(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%w: %w", errUnreachable, err)
}

// knownKeys gives the public keys in a name.
func (a *App) knownKeys(name string) ([]journal.VerifierKey, error) {
	known, err := a.Anchors.Known(name)
	if err != nil {
		return nil, outside(err)
	}
	keys := make([]journal.VerifierKey, len(known))
	for i, k := range known {
		keys[i] = k.Key
	}
	return keys, nil
}

// openNote reads a checkpoint that this server signed. Whatever is wrong with
// it is told in a sentence, for brokenTree.
func (a *App) openNote(note string) (c journal.Checkpoint, wrong string, err error) {
	n, err := journal.ParseNote(note)
	if err == nil {
		c, err = journal.ParseCheckpoint(n.Text)
	}
	if err != nil {
		return c, "it is no checkpoint", nil
	}
	keys, err := a.knownKeys(c.Origin)
	if err != nil {
		return c, "", err
	}
	if _, _, err := journal.OpenCheckpoint(note, keys...); err != nil {
		return c, "its signature does not hold", nil
	}
	return c, "", nil
}
