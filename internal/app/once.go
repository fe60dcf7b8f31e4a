package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
)

// Once is an effect that a client may send again after a lost answer.
type Once struct {
	Route       string // operation and address
	Key         string // Idempotency-Key, as sent
	Fingerprint string // SHA-256, hex, of the body
}

// Once runs do in one transaction with a note of its answer, or gives the
// answer of the first time to replay. The note is sealed under the key the
// client chose, of which only a hash is stored, so that an answer that holds
// a secret is not readable in the database.
func (a *App) Once(ctx context.Context, who auth.Principal, once Once, do func(context.Context) (StoredAnswer, error), replay func(StoredAnswer)) error {
	if once.Key == "" || len(once.Key) > 200 {
		return fault.New(fault.Shape, "app.idempotency_key_missing", "Send an Idempotency-Key of 1 to 200 characters, fresh for each effect.")
	}
	key := once.key(who)
	seal := sha256.Sum256([]byte("answer\n" + string(who.ShopID) + "\n" + once.Route + "\n" + once.Key))
	return a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		stored, err := tx.Recall(key)
		if err != nil {
			return err
		}
		if stored != nil {
			return give(*stored, once, seal, replay)
		}
		answer, err := do(ctx)
		if err != nil {
			return err
		}
		note := answer
		note.Fingerprint = once.Fingerprint
		if note.Body, err = sealWith(seal, a.Source, answer.Body); err != nil {
			return err
		}
		return tx.Remember(key, note)
	})
}

func (once Once) key(who auth.Principal) IdempotencyKey {
	return IdempotencyKey{Actor: actorOf(who).ID, Route: once.Route, KeyHash: HashText("idempotency\n" + once.Key)}
}

// Answered reports whether the answer to an effect is already known, so that
// Once will only give it again.
func (a *App) Answered(ctx context.Context, who auth.Principal, once Once) (known bool, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		stored, err := tx.Recall(once.key(who))
		known = stored != nil
		return err
	})
	return known, err
}

func give(stored StoredAnswer, once Once, seal [32]byte, replay func(StoredAnswer)) error {
	if stored.Fingerprint != once.Fingerprint {
		return fault.New(fault.Meaning, "app.idempotency_key_reused", "This Idempotency-Key was used with another body; take a fresh key.")
	}
	body, err := openWith(seal, stored.Body)
	if err != nil {
		return err
	}
	stored.Body = body
	replay(stored)
	return nil
}

// HashText is the SHA-256 of a text, hex: how secrets are kept and found.
func HashText(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}
