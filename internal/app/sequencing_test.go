package app_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// TestLeavesAreTheCommittedEntries: over random operations, some of them
// undone at the last moment, the tree's leaves are exactly the entries
// committed, each once, and no place ever changes.
func TestLeavesAreTheCommittedEntries(t *testing.T) {
	steps := 60
	if os.Getenv("BENCHTAG_LONG") != "" {
		steps = 10_000
	}
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		store := &flaky{Store: h.app.Store}
		h.app.Store = store
		draw := rapid.Custom(func(t *rapid.T) [3]int {
			return [3]int{rapid.IntRange(0, 9).Draw(t, "act"), rapid.IntRange(0, 3).Draw(t, "fails"), 0}
		})
		committed, before := 0, []app.TreeEntry(nil)
		for i := range steps {
			act := draw.Example(i)
			store.fail = nil
			if act[1] == 0 {
				store.fail = errors.New("undone")
			}
			var err error
			entries := 1
			switch {
			case act[0] < 5:
				err = h.newCustomer(h.app)
			case act[0] < 7:
				_, err = h.app.AddJob(h.ctx, h.who, h.order.ID, func(j *shop.Job) { j.Title, j.Kind = "Chain", shop.JobKindRequest })
			default:
				entries = 0
				err = h.app.TendJournal(h.ctx, h.who.ShopID)
			}
			if (err == nil) != (store.fail == nil) {
				t.Fatalf("step %d: %v, meant to fail with %v", i, err, store.fail)
			}
			if err == nil {
				committed += entries
			}
			store.fail = nil
			after := h.leaves()
			if len(after) < len(before) {
				t.Fatalf("step %d: %d leaves became %d", i, len(before), len(after))
			}
			for n := range before {
				if before[n].StreamID != after[n].StreamID || before[n].Sequence != after[n].Sequence {
					t.Fatalf("step %d: leaf %d is another entry now", i, n)
				}
			}
			before = after
		}
		h.tend()
		h.sound(committed)
		if committed < steps/4 || len(h.checkpoints()) == 0 {
			t.Errorf("%d committed of %d steps, %d checkpoints: nothing was tried", committed, steps, len(h.checkpoints()))
		}
	})
}

// TestSeveralServersGrowOneTree: writers and sequencers of two servers at
// once leave one tree with every entry in it once.
func TestSeveralServersGrowOneTree(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		servers := []*app.App{h.app, h.otherServer()}
		const each = 6
		var all sync.WaitGroup
		for _, server := range servers {
			all.Go(func() {
				for range each {
					if err := h.newCustomer(server); err != nil {
						t.Error(err)
					}
				}
			})
			all.Go(func() {
				for range each {
					if err := server.TendJournal(h.ctx, h.who.ShopID); err != nil {
						t.Error(err)
					}
				}
			})
		}
		all.Wait()
		h.tend()
		h.sound(2 * each)
	})
}

// TestAnAnswerIsSignedForAtOnce: a customer's yes has its place and a signed
// checkpoint over it when it is answered, and so does its being taken back.
func TestAnAnswerIsSignedForAtOnce(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		view := h.agree(shop.ScopeKindRepair, h.part(h.job, 10_000))
		last := h.checkpoints()
		if len(last) != 1 || view.Receipt == nil {
			t.Fatalf("%d checkpoints after a yes", len(last))
		}
		entry, facts := h.consentEntry(t, "consent.given")
		proof, err := h.app.ProveEntry(h.ctx, h.who, string(h.order.ID), entry.Sequence)
		if err != nil || proof.Checkpoint.Size != last[0].Size || !bytes.Equal(proof.Header, entry.Header) {
			t.Fatalf("proof %+v, %v", proof, err)
		}
		if facts.ConsentID != string(view.Receipt.ConsentID) || facts.Decision != "agreed" || facts.DocumentSHA256 != view.SHA256 || facts.Revoked {
			t.Errorf("the open part says %+v", facts)
		}
		kept, err := h.files.Last(h.who.ShopID)
		if err != nil || kept != last[0].Note {
			t.Errorf("kept outside: %q, %v", kept, err)
		}
		h.clock.Advance(time.Minute)
		if _, err := h.app.RevokeConsent(h.ctx, h.who, view.Receipt.ConsentID, takenBack("sold it")); err != nil {
			t.Fatal(err)
		}
		if _, facts = h.consentEntry(t, "consent.revoked"); !facts.Revoked || facts.Version != 2 || len(h.checkpoints()) != 2 {
			t.Errorf("taken back: %+v, %d checkpoints", facts, len(h.checkpoints()))
		}
	})
}

// consentEntry gives the entry of an event with its open part, after holding
// the evidence against its commitment.
func (h *treeHouse) consentEntry(t *testing.T, event string) (found app.Entry, facts journal.ConsentFacts) {
	t.Helper()
	h.read(func(tx app.Tx) error {
		entries, err := tx.Entries(string(h.order.ID), 0, 1000)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if header, err := journal.Decode(e.Header); err != nil || string(header.Event) != event {
				continue
			}
			envelope, err := journal.DecodeEnvelope(e.Body, e.KeyedTo != "")
			if err != nil {
				return err
			}
			var ok bool
			if facts, ok = envelope.Consent(); !ok || envelope.Sealed == nil || envelope.Plain != nil {
				t.Fatalf("the body of %s is %s", event, e.Body)
			}
			found = e
			kept, err := tx.EvidenceOf(shop.ConsentID(facts.ConsentID), facts.Version)
			if err != nil {
				return err
			}
			if journal.Commit(kept.Salt, kept.Record).String() != facts.RecordHMAC || !strings.Contains(string(kept.Record), "Wren Ashdown") {
				t.Errorf("the record %s is not the one committed to", kept.Record)
			}
			if strings.Contains(string(e.Body), "Wren Ashdown") {
				t.Error("the body tells the name")
			}
		}
		return nil
	})
	if found.Header == nil {
		t.Fatalf("no entry %s", event)
	}
	return found, facts
}

// TestAnAnswerStandsWithoutTheKey: where the key cannot be read the answer is
// taken all the same, and signed for at the first turn that can.
func TestAnAnswerStandsWithoutTheKey(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		h.tend()
		path := filepath.Join(h.folder, "journal.keys.json")
		if err := os.Rename(path, path+".away"); err != nil {
			t.Fatal(err)
		}
		h.agree(shop.ScopeKindRepair, h.part(h.job, 10_000))
		if n := len(h.checkpoints()); n != 0 {
			t.Fatalf("%d checkpoints without a key", n)
		}
		if err := h.app.TendJournal(h.ctx, h.who.ShopID); err == nil {
			t.Error("nobody is told that the key is gone")
		}
		if err := os.Rename(path+".away", path); err != nil {
			t.Fatal(err)
		}
		h.tend()
		entry, _ := h.consentEntry(t, "consent.given")
		if _, err := h.app.ProveEntry(h.ctx, h.who, string(h.order.ID), entry.Sequence); err != nil {
			t.Errorf("not signed for afterwards: %v", err)
		}
	})
}

// TestSignedOnceADay: without an answer a tree that has grown is signed for
// once a day, and one that has not is not.
func TestSignedOnceADay(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		signed := func(want int, after time.Duration, grows bool) {
			t.Helper()
			h.clock.Advance(after)
			if grows {
				if err := h.newCustomer(h.app); err != nil {
					t.Fatal(err)
				}
			}
			h.tend()
			if got := len(h.checkpoints()); got != want {
				t.Errorf("%d checkpoints, want %d", got, want)
			}
		}
		signed(0, 0, false)
		signed(1, time.Minute, true)
		signed(1, time.Hour, true)
		signed(1, 22*time.Hour, true)
		signed(2, time.Hour, false)
		signed(2, 48*time.Hour, false)
		signed(3, time.Second, true)
	})
}

// TestAnOldBackupStopsTheShop: a database behind what was signed for it is
// read only, until somebody says that they know; the journal then says so,
// under another name of the tree, and what was signed before still stands.
func TestAnOldBackupStopsTheShop(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		view := h.agree(shop.ScopeKindRepair, h.part(h.job, 10_000))
		size := h.checkpoints()[0].Size
		h.clock.Advance(25 * time.Hour)
		if err := h.newCustomer(h.app); err != nil {
			t.Fatal(err)
		}
		h.tend()
		if _, err := h.app.AcceptBreak(h.ctx, h.who.ShopID); !hasFault(err, "app.journal_sound") {
			t.Fatalf("accepted without a break: %v", err)
		}
		outside, err := h.files.Last(h.who.ShopID)
		if err != nil {
			t.Fatal(err)
		}
		h.cutBack(size)
		server := h.otherServer() // as after a start
		if err := server.CheckJournal(h.ctx, h.who.ShopID); !hasFault(err, "app.journal_broken") {
			t.Fatalf("on start: %v", err)
		}
		for _, a := range []*app.App{server, h.app} {
			if err := a.TendJournal(h.ctx, h.who.ShopID); !hasFault(err, "app.journal_broken") {
				t.Fatalf("a turn: %v", err)
			}
			err := h.newCustomer(a)
			if !hasFault(err, "app.journal_broken") || !fault.Is(err, fault.Unavailable) {
				t.Fatalf("a change was taken: %v", err)
			}
		}
		if _, err := server.ConsentRecord(h.ctx, h.who, view.Receipt.ConsentID); err != nil {
			t.Errorf("reading: %v", err)
		}
		note, err := server.AcceptBreak(h.ctx, h.who.ShopID)
		if err != nil || !strings.HasPrefix(note, journal.OriginAfter(string(h.who.ShopID), 1)+"\n") {
			t.Fatalf("accepted with %q, %v", note, err)
		}
		if err := h.newCustomer(server); err != nil {
			t.Errorf("after it: %v", err)
		}
		h.tend()
		if err := h.newCustomer(h.app); err != nil {
			t.Errorf("the other server: %v", err)
		}
		h.tend()
		h.breakIsTold(t, outside)
	})
}

func (h *treeHouse) breakIsTold(t *testing.T, outside string) {
	t.Helper()
	told := 0
	h.read(func(tx app.Tx) error {
		entries, err := tx.Entries(string(h.who.ShopID), 0, 1000)
		for _, e := range entries {
			var body struct {
				Open struct {
					Kept   string `json:"kept_checkpoint"`
					Breaks int64  `json:"breaks"`
				} `json:"open"`
			}
			if header, err := journal.Decode(e.Header); err != nil || header.Event != "journal.break_accepted" {
				continue
			}
			if err := json.Unmarshal(e.Body, &body); err != nil || body.Open.Kept != outside || body.Open.Breaks != 1 {
				t.Errorf("the break is told as %s (%v)", e.Body, err)
			}
			told++
		}
		return err
	})
	if told != 1 {
		t.Errorf("the break is told %d times", told)
	}
}

func hasFault(err error, code string) bool {
	var f *fault.Error
	return errors.As(err, &f) && f.Code == code
}

// TestTamperingIsNotSigned: whatever is changed in the stored tree or in the
// entries since the last signature, nothing more is signed.
func TestTamperingIsNotSigned(t *testing.T) {
	zero := fmt.Sprintf("%x", sha256.Sum256(nil))
	for name, statement := range map[string]string{
		"an entry since":         "UPDATE journal_entries SET header = hash WHERE sequence = (SELECT max(sequence) FROM journal_entries)",
		"its hash":               "UPDATE journal_entries SET hash = BLOB WHERE sequence = (SELECT max(sequence) FROM journal_entries)",
		"a node signed for":      "UPDATE journal_nodes SET hash = BLOB WHERE position = 1",
		"a node since":           "UPDATE journal_nodes SET hash = BLOB WHERE position = (SELECT max(position) FROM journal_nodes)",
		"a node gone":            "DELETE FROM journal_nodes WHERE position = 1",
		"a leaf gone":            "DELETE FROM journal_leaves WHERE leaf_index = 2",
		"the last leaf gone":     "DELETE FROM journal_leaves WHERE leaf_index = (SELECT max(leaf_index) FROM journal_leaves)",
		"a checkpoint's row":     "UPDATE journal_checkpoints SET root_hash = BLOB",
		"a checkpoint's note":    "UPDATE journal_checkpoints SET note = BLOB",
		"an entry not in a tree": "PENDING",
	} {
		t.Run(name, func(t *testing.T) {
			onBothTrees(t, func(t *testing.T, h *treeHouse) {
				for range 2 {
					if err := h.newCustomer(h.app); err != nil {
						t.Fatal(err)
					}
				}
				h.tend()
				for range 2 {
					if err := h.newCustomer(h.app); err != nil {
						t.Fatal(err)
					}
				}
				h.tend()
				text := strings.ReplaceAll(statement, "BLOB", h.blob([]byte(zero)[:32]))
				if statement == "PENDING" {
					if err := h.newCustomer(h.app); err != nil {
						t.Fatal(err)
					}
					text = "UPDATE journal_entries SET header = hash WHERE sequence = (SELECT max(sequence) FROM journal_entries)"
				}
				h.vandal(text)
				h.clock.Advance(25 * time.Hour)
				err := h.app.TendJournal(h.ctx, h.who.ShopID)
				if err == nil || len(h.checkpointsQuietly()) > 1 {
					t.Fatalf("signed all the same (%v)", err)
				}
			})
		})
	}
}

// checkpointsQuietly counts the sizes signed for, whatever their rows say.
func (h *treeHouse) checkpointsQuietly() (sizes []int64) {
	rows, err := h.raw.Query("SELECT tree_size FROM journal_checkpoints")
	if err != nil {
		h.t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			h.t.Fatal(err)
		}
		sizes = append(sizes, n)
	}
	return sizes
}

// TestStolenKeyCannotRewriteThePast: who has the database and the key can
// write a history that is sound in itself, yet every checkpoint that somebody
// kept outside shows it to be another one. Without one it cannot be told.
func TestStolenKeyCannotRewriteThePast(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		for range 5 {
			if err := h.newCustomer(h.app); err != nil {
				t.Fatal(err)
			}
		}
		h.tend()
		outside, _, err := journal.OpenCheckpoint(h.checkpoints()[0].Note, h.key(t))
		if err != nil {
			t.Fatal(err)
		}
		h.forge(t, 2)
		h.sound(5) // chain, nodes and signatures all fit
		if err := h.otherServer().CheckJournal(h.ctx, h.who.ShopID); !hasFault(err, "app.journal_broken") {
			t.Errorf("not found with the file beside the key: %v", err)
		}
		// The file beside the key is in the thief's hands too; the customer's is not.
		if err := os.Remove(filepath.Join(h.folder, "journal", string(h.who.ShopID)+".checkpoint")); err != nil {
			t.Fatal(err)
		}
		if err := h.otherServer().CheckJournal(h.ctx, h.who.ShopID); err != nil {
			t.Errorf("found with nothing kept outside, which cannot be: %v", err)
		}
		proof, err := h.app.ProveGrowth(h.ctx, h.who, outside.Size, 0)
		if err != nil || proof.From.Root == outside.Root {
			t.Errorf("the forged tree agrees with the checkpoint kept outside (%v)", err)
		}
	})
}

func (h *treeHouse) key(t *testing.T) journal.VerifierKey {
	t.Helper()
	keys, err := h.files.Signing(journal.Origin(string(h.who.ShopID)))
	if err != nil {
		t.Fatal(err)
	}
	return keys[0].Verifier()
}

// forge rewrites the shop's stream from a sequence on, an hour later than it
// happened, with hashes, nodes and signatures that fit.
func (h *treeHouse) forge(t *testing.T, from int64) {
	t.Helper()
	leaves := h.leaves()
	origin := journal.Origin(string(h.who.ShopID))
	keys, err := h.files.Signing(origin)
	if err != nil {
		t.Fatal(err)
	}
	h.vandal("DELETE FROM journal_nodes", "DELETE FROM journal_checkpoints")
	var tree journal.Frontier
	var previous journal.Hash
	for _, e := range leaves {
		header, err := journal.Decode(e.Header)
		if err != nil {
			t.Fatal(err)
		}
		if e.Sequence >= from {
			header.Time, header.Previous = header.Time.Add(time.Hour), previous
		}
		text, err := journal.Encode(header)
		if err != nil {
			t.Fatal(err)
		}
		previous = journal.Leaf(text)
		h.vandalQuietly(fmt.Sprintf("UPDATE journal_entries SET header = %s, hash = %s WHERE stream_id = '%s' AND sequence = %d", h.blob(text), h.blob(previous[:]), e.StreamID, e.Sequence))
		tree.Append(previous)
	}
	h.plant()
	note, err := journal.SignCheckpoint(journal.Checkpoint{Origin: origin, Size: tree.Size(), Root: tree.Root()}, keys...)
	if err != nil {
		t.Fatal(err)
	}
	root := tree.Root()
	h.write(func(tx app.Tx) error {
		return tx.AddCheckpoint(app.StoredCheckpoint{Size: tree.Size(), Root: root, Note: note, SignedAt: tx.Now()})
	})
}

// TestOneKeyFollowsAnother: the journal notes it, signed by both; both sign
// the checkpoint over it, and afterwards the new one alone does.
func TestOneKeyFollowsAnother(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		if err := h.newCustomer(h.app); err != nil {
			t.Fatal(err)
		}
		h.tend()
		old := h.key(t)
		if err := h.app.NoteRotation(h.ctx, h.who.ShopID); !hasFault(err, "app.no_rotation") {
			t.Errorf("noted without one: %v", err)
		}
		if err := h.files.BeginRotation(h.clock.Now()); err != nil {
			t.Fatal(err)
		}
		if err := h.app.NoteRotation(h.ctx, h.who.ShopID); err != nil {
			t.Fatal(err)
		}
		if err := h.files.EndRotation(); err != nil {
			t.Fatal(err)
		}
		next := h.key(t)
		last := h.checkpoints()[1]
		if _, by, err := journal.OpenCheckpoint(last.Note, old, next); err != nil || len(by) != 2 || old == next {
			t.Fatalf("the checkpoint over it is signed by %v, %v", by, err)
		}
		h.read(func(tx app.Tx) error {
			entries, err := tx.Entries(string(h.who.ShopID), 1, 1)
			if err != nil {
				return err
			}
			var body struct {
				Open struct {
					Note string `json:"note"`
				} `json:"open"`
			}
			if err := json.Unmarshal(entries[0].Body, &body); err != nil {
				return err
			}
			note, by, err := journal.VerifyNote(body.Open.Note, old, next)
			if err != nil || len(by) != 2 || note.Text != app.RotationText(old, next, h.clock.Now()) {
				t.Errorf("the note %q is signed by %v, %v", note.Text, by, err)
			}
			return nil
		})
		h.clock.Advance(25 * time.Hour)
		if err := h.newCustomer(h.app); err != nil {
			t.Fatal(err)
		}
		h.tend()
		n, err := journal.ParseNote(h.checkpoints()[2].Note)
		if err != nil || !n.SignedBy(next) || len(n.Signatures) != 1 {
			t.Errorf("afterwards %d sign, %v", len(n.Signatures), err)
		}
		known, err := h.app.JournalKeys(h.ctx, h.who.ShopID)
		if err != nil || len(known) != 2 || known[1].Key != old || known[1].Until.IsZero() {
			t.Errorf("known %+v, %v", known, err)
		}
	})
}
