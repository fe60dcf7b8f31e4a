package app

import (
	"context"
	"errors"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// breakFacts is what the journal keeps of an acknowledged break.
type breakFacts struct {
	// Found says what did not agree.
	Found string `json:"found"`
	// Kept is the checkpoint that was kept outside the database, as signed.
	Kept string `json:"kept_checkpoint"`
	// Size and Root are those of the tree that goes on.
	Size int64  `json:"tree_size"`
	Root string `json:"root"`
	// Breaks counts this one too.
	Breaks int64 `json:"breaks"`
}

// AcceptBreak lets a shop go on whose history contradicts what was signed for
// it, because somebody knows why: a backup was put back, or the key was lost.
// The journal says so for ever, and from here on the tree bears another name,
// since under the old one two checkpoints would contradict each other. Where
// another server was told already, this one takes that over.
func (a *App) AcceptBreak(ctx context.Context, scope shop.ShopID) (note string, err error) {
	if a.Anchors == nil {
		return "", fault.New(fault.Internal, "app.no_anchors", "There is no key here to sign with.")
	}
	err = a.Store.Write(ctx, scope, func(ctx context.Context, tx Tx) error {
		state, err := tx.LockTree()
		if err != nil {
			return err
		}
		_, found := a.trusted(tx, state)
		if found == nil {
			return fault.New(fault.Conflict, "app.journal_sound", "The journal agrees with what was signed for it; there is nothing to accept.")
		}
		if !broken(found) {
			return found
		}
		kept, err := a.Anchors.Last(scope)
		if err != nil {
			return outside(err)
		}
		if last := a.acknowledged(tx, state, kept); last != nil {
			note = last.Note
			tx.AfterCommit(func() { _ = a.Anchors.Keep(scope, last.Note) })
			return nil
		}
		note, err = a.acceptIn(ctx, tx, state, kept, found)
		return err
	})
	if err == nil {
		a.seals.judge(scope, nil)
	}
	return note, err
}

// acknowledged gives the database's last checkpoint where that was signed
// after a break that this server's own file does not know of yet.
func (a *App) acknowledged(tx Tx, state TreeState, kept string) *StoredCheckpoint {
	last, err := tx.LastCheckpoint()
	if err != nil || last == nil {
		return nil
	}
	c, wrong, err := a.openNote(last.Note)
	if err != nil || wrong != "" || sameAsRow(c, *last) != "" {
		return nil
	}
	if why, err := contradicts(tx, state, c); err != nil || why != "" {
		return nil
	}
	if _, breaks, err := journal.ParseOrigin(c.Origin); err != nil || breaks != state.Breaks || breaks <= breaksOf(kept) {
		return nil
	}
	return last
}

// breaksOf gives how many breaks a checkpoint knows of; -1 if it is none.
func breaksOf(note string) int64 {
	n, err := journal.ParseNote(note)
	if err != nil {
		return -1
	}
	c, err := journal.ParseCheckpoint(n.Text)
	if err != nil {
		return -1
	}
	_, breaks, err := journal.ParseOrigin(c.Origin)
	if err != nil {
		return -1
	}
	return breaks
}

// acceptIn counts the break, journals it and signs for the tree under its new name.
func (a *App) acceptIn(ctx context.Context, tx Tx, state TreeState, kept string, found error) (string, error) {
	for known := max(state.Breaks, breaksOf(kept)); state.Breaks <= known; state.Breaks++ {
		if _, err := tx.Number("journal_tree"); err != nil {
			return "", err
		}
	}
	tree, err := journal.ReadFrontier(state.Size, tx.Nodes)
	if err != nil {
		return "", err
	}
	facts := breakFacts{Found: causeOf(found), Kept: kept, Size: state.Size, Root: tree.Root().String(), Breaks: state.Breaks}
	scope := tx.Shop()
	who := auth.Principal{ShopID: scope}
	err = a.noteIn(ctx, tx, who, shopStream(scope), "journal.break_accepted", func(c *Change) error {
		c.subject = &journal.Subject{Noun: "journal", ID: string(scope), Version: state.Breaks}
		c.open = facts
		return nil
	})
	if err != nil {
		return "", err
	}
	return a.signAnew(tx, state)
}

// signAnew gives every pending entry its place and signs for the whole tree,
// trusting nothing that was signed before.
func (a *App) signAnew(tx Tx, state TreeState) (string, error) {
	for n := placedAtOnce; n == placedAtOnce; {
		var err error
		if n, err = place(tx, &state, placedAtOnce); err != nil {
			return "", err
		}
	}
	nothing := trust{Checkpoint: journal.Checkpoint{Origin: journal.OriginAfter(string(tx.Shop()), state.Breaks)}}
	if err := a.sign(tx, state, nothing); err != nil {
		return "", err
	}
	last, err := tx.LastCheckpoint()
	return noteOf(last), err
}

// causeOf gives what a refusal hides from clients.
func causeOf(err error) string {
	var f *fault.Error
	if errors.As(err, &f) && f.Cause != nil {
		return f.Cause.Error()
	}
	return fmt.Sprint(err)
}
