package app

import (
	"context"
	"fmt"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// RotationText is what the old and the new key both sign when one follows the
// other for a shop.
func RotationText(old, next journal.VerifierKey, at time.Time) string {
	return "benchtag journal key rotated\n" + next.Name + "\nfrom " + old.String() + "\nto " + next.String() + "\nat " + at.UTC().Format(time.RFC3339) + "\n"
}

// rotationFacts is what the journal keeps of one key following another.
type rotationFacts struct {
	Old string `json:"old_key"`
	New string `json:"new_key"`
	// Note is RotationText, signed by both.
	Note string `json:"note"`
}

// NoteRotation journals that one key follows another, while both sign: the
// entry holds a statement signed by both, and the checkpoint over it is.
func (a *App) NoteRotation(ctx context.Context, scope shop.ShopID) error {
	return a.Store.Write(ctx, scope, func(ctx context.Context, tx Tx) error {
		state, err := tx.LockTree()
		if err != nil {
			return err
		}
		origin := journal.OriginAfter(string(scope), state.Breaks)
		keys, err := a.Anchors.Signing(origin)
		if err != nil {
			return outside(err)
		}
		if len(keys) != 2 {
			return fault.New(fault.Conflict, "app.no_rotation", "No key is being followed by another.")
		}
		next, old := keys[0].Verifier(), keys[1].Verifier()
		note, err := journal.SignNote(RotationText(old, next, tx.Now()), keys...)
		if err != nil {
			return fmt.Errorf("app: %w", err)
		}
		return a.changeIn(ctx, tx, auth.Principal{ShopID: scope}, shopStream(scope), "journal_key.rotated", func(c *Change) error {
			c.subject = &journal.Subject{Noun: "journal_key", ID: fmt.Sprintf("%08x", next.ID())}
			c.open = rotationFacts{Old: old.String(), New: next.String(), Note: note}
			c.Attest()
			return nil
		})
	})
}
