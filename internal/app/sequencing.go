package app

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// How much of the tree is taken on at once.
const (
	placedAtOnce = 500            // entries given a place before the next question
	attestAtMost = 4 * 500        // entries given a place before an answer is given
	signedDaily  = 24 * time.Hour // a tree that has grown is signed for at least so often
	leavesAtOnce = 1000           // leaves read again before a signature
	secondsToTry = 60             // after which a client may ask a halted shop again
)

// seals is what a running server knows of the shops' trees.
type seals struct {
	guard  sync.Mutex
	halted map[shop.ShopID]error // shops that take no changes, and why
	paid   map[shop.ShopID]bool  // shops that owe no signature
}

// refuse gives the fault of a shop that takes no changes, or nil.
func (s *seals) refuse(scope shop.ShopID) error {
	s.guard.Lock()
	defer s.guard.Unlock()
	return s.halted[scope]
}

// judge remembers whether the shop's tree is sound; why is nil if it is.
func (s *seals) judge(scope shop.ShopID, why error) {
	s.guard.Lock()
	defer s.guard.Unlock()
	if s.halted == nil {
		s.halted = map[shop.ShopID]error{}
	}
	if why == nil {
		delete(s.halted, scope)
		return
	}
	s.halted[scope] = why
}

// owes reports whether a signature is wanted before its day: after a start,
// and where one that should have come with an answer could not be made.
func (s *seals) owes(scope shop.ShopID) bool {
	s.guard.Lock()
	defer s.guard.Unlock()
	return !s.paid[scope]
}

func (s *seals) settle(scope shop.ShopID, paid bool) {
	s.guard.Lock()
	defer s.guard.Unlock()
	if s.paid == nil {
		s.paid = map[shop.ShopID]bool{}
	}
	s.paid[scope] = paid
}

// TendJournal gives every entry of a shop that has none its place in the
// tree, and signs for the tree where a signature is due: once a day, and at
// the first turn after a start. Entries get their place in the order in which
// this sees them, each stream in its own; a place once given stays. Several
// servers may do it at once: one waits for the other.
//
// A tree that contradicts what is known outside the database is signed for no
// more, and the shop takes no changes until somebody has looked.
func (a *App) TendJournal(ctx context.Context, scope shop.ShopID) error {
	if a.Anchors == nil {
		return nil
	}
	for more := true; more; {
		err := a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) (err error) {
			more, err = a.tend(tx)
			return err
		})
		if broken(err) {
			a.seals.judge(scope, err)
		}
		if err != nil {
			return err
		}
	}
	a.seals.judge(scope, nil)
	a.seals.settle(scope, true)
	return nil
}

// CheckJournal holds a shop's tree against what is known of it outside the
// database, as a server does before it serves. Where they contradict each
// other the shop takes no changes from then on.
func (a *App) CheckJournal(ctx context.Context, scope shop.ShopID) error {
	if a.Anchors == nil {
		return nil
	}
	err := a.Store.Read(ctx, scope, func(tx Tx) error {
		state, err := tx.Tree()
		if err != nil {
			return err
		}
		_, err = a.trusted(tx, state)
		return err
	})
	if err == nil || broken(err) {
		a.seals.judge(scope, err)
	}
	return err
}

// tend does one stretch and reports whether more is left.
func (a *App) tend(tx Tx) (more bool, err error) {
	state, err := tx.LockTree()
	if err != nil {
		return false, err
	}
	placed, err := place(tx, &state, placedAtOnce)
	if err != nil || placed == placedAtOnce {
		return true, err
	}
	trust, err := a.trusted(tx, state)
	if err != nil {
		return false, err
	}
	due := a.seals.owes(tx.Shop()) || tx.Now().Sub(trust.at) >= signedDaily
	if state.Size == trust.Size || !due {
		return false, nil
	}
	return false, a.sign(tx, state, trust)
}

// Attest asks for a place in the tree and a signed checkpoint over it in the
// same transaction, so that a receipt can be given with the answer.
func (c *Change) Attest() { c.attest = true }

// attest gives the pending entries their places and signs. Where the key or
// the files beside it cannot be reached the change stands all the same, and
// the signature follows at the next turn of TendJournal: what a customer said
// is not lost for want of a receipt.
func (a *App) attest(tx Tx) error {
	if a.Anchors == nil {
		return nil
	}
	state, err := tx.LockTree()
	if err != nil {
		return err
	}
	for placed, n := 0, placedAtOnce; n == placedAtOnce && placed < attestAtMost; placed += n {
		if n, err = place(tx, &state, placedAtOnce); err != nil {
			return a.halt(tx, err)
		}
	}
	trust, err := a.trusted(tx, state)
	if err == nil && state.Size > trust.Size {
		err = a.sign(tx, state, trust)
	}
	if unreachable(err) {
		scope := tx.Shop()
		tx.AfterCommit(func() { a.seals.settle(scope, false) })
		return nil
	}
	return a.halt(tx, err)
}

// halt lets the shop take no more changes where err says that its tree is broken.
func (a *App) halt(tx Tx, err error) error {
	if broken(err) {
		a.seals.judge(tx.Shop(), err)
	}
	return err
}

// place gives at most so many pending entries the next places of the tree.
func place(tx Tx, state *TreeState, most int) (placed int, err error) {
	pending, err := tx.Pending(most)
	if err != nil || len(pending) == 0 {
		return 0, err
	}
	if state.Nodes != state.Size {
		return 0, miscounted(*state)
	}
	tree, err := journal.ReadFrontier(state.Size, tx.Nodes)
	if err != nil {
		return 0, err
	}
	for _, e := range pending {
		leaf, err := leafOf(e)
		if err != nil {
			return 0, err
		}
		e.Index = tree.Size()
		if err := tx.Place(e, tree.Append(leaf)); err != nil {
			return 0, err
		}
	}
	state.Size = tree.Size()
	state.Nodes = state.Size
	return len(pending), nil
}

// miscounted is the refusal of a tree whose leaves and nodes are not as many.
func miscounted(state TreeState) error {
	return brokenTree(fmt.Sprintf("%d entries have a place in the tree, and its nodes are of %d", state.Size, state.Nodes))
}

// leafOf gives an entry's leaf hash from its header, if it is the one stored.
func leafOf(e TreeEntry) (journal.Hash, error) {
	leaf := journal.Leaf(e.Header)
	if string(leaf[:]) != string(e.Hash) {
		return leaf, brokenTree(fmt.Sprintf("entry %d of stream %s is not what its hash says", e.Sequence, e.StreamID))
	}
	return leaf, nil
}

// codeBroken is the code of a shop that takes no changes.
const codeBroken = "app.journal_broken"

// brokenTree is the refusal of everything that would add to a history that
// contradicts itself or what is known of it outside.
func brokenTree(why string) error {
	f := fault.New(fault.Unavailable, codeBroken, "This shop's records cannot be changed for now, only read: the journal does not agree with what was signed for it. "+
		"Tell whoever keeps the server. If a backup was put back on purpose, they say so with benchtag journal-accept; if not, they run benchtag verify and keep the database as it is.").
		Because(fmt.Errorf("app: the journal is broken: %s", why))
	f.RetryAfter = secondsToTry
	return f
}

func broken(err error) bool { return hasCode(err, codeBroken) }

func hasCode(err error, code string) bool {
	var f *fault.Error
	return errors.As(err, &f) && f.Code == code
}
