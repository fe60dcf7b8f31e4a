package storetest

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// runJournal proves that a chain holds whoever wrote it, and that what is
// written stays.
func runJournal(t *testing.T, open Opener) {
	b := open(t)
	w := Populate(t, b, 1, 1)
	runChain(t, b, w)
	runStretches(t, b, w)
	t.Run("a new stream starts at nothing", func(t *testing.T) {
		stream := journal.Stream{ShopID: string(w.Shop), Kind: journal.Shop, ID: string(w.Shop)}
		write(t, b, w.Shop, func(tx app.Tx) error {
			head, err := tx.Lock(stream)
			if diff := cmp.Diff(journal.Start(stream), head); diff != "" {
				t.Errorf("head (-want +got):\n%s", diff)
			}
			return err
		})
	})
	t.Run("a customer's key stays the first", func(t *testing.T) {
		write(t, b, w.Shop, func(tx app.Tx) error {
			key, err := tx.CustomerKey(shop.CustomerID(w.IDs["customers"]), [32]byte{2})
			if key != [32]byte{1} {
				t.Errorf("the key is %x", key)
			}
			return err
		})
	})
	runInsertOnly(t, b)
	runErased(t, b, w)
}

// runChain proves that a chain written by several at once holds.
func runChain(t *testing.T, b *Backend, w *World) {
	t.Run("a chain written by many holds", func(t *testing.T) {
		errs := race(6, func(int) error {
			for range 8 {
				err := tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) error {
					head, err := tx.Lock(w.Stream())
					if err != nil {
						return err
					}
					return note(tx, head, w.IDs["staff"])
				})
				if err != nil {
					return err
				}
			}
			return nil
		})
		for _, err := range errs {
			if err != nil {
				t.Errorf("append: %v", err)
			}
		}
		if n := VerifyStream(t, b, w.Stream()); n != 49 {
			t.Errorf("the chain has %d entries, want 49", n)
		}
	})
}

// runStretches proves that a stream is read from a sequence on, a bounded
// number at once.
func runStretches(t *testing.T, b *Backend, w *World) {
	t.Run("entries come in stretches", func(t *testing.T) {
		read(t, b, w.Shop, func(tx app.Tx) error {
			list, err := tx.Entries(w.Stream().ID, 3, 2)
			if len(list) != 2 || list[0].Sequence != 4 || list[1].Sequence != 5 {
				t.Errorf("after 3, at most 2: %v", list)
			}
			for _, e := range list {
				if !e.HappenedAt.Equal(start) || e.HappenedAt.Location() != time.UTC {
					t.Errorf("entry %d happened at %v", e.Sequence, e.HappenedAt)
				}
				if e.KeyedTo != "" || !e.HasBody || string(e.Body) != "canary" {
					t.Errorf("entry %d has the body %+v", e.Sequence, e)
				}
			}
			return err
		})
	})
}

// VerifyStream verifies a stored chain and gives its length.
func VerifyStream(t testing.TB, b *Backend, stream journal.Stream) int {
	t.Helper()
	var stored []journal.Stored
	var head journal.Head
	write(t, b, shop.ShopID(stream.ShopID), func(tx app.Tx) (err error) {
		if head, err = tx.Lock(stream); err != nil {
			return err
		}
		list, err := tx.Entries(stream.ID, 0, 1_000_000)
		for _, e := range list {
			one := journal.Stored{Bytes: e.Header, Hash: journal.Hash(e.Hash)}
			if e.HasBody {
				one.Body = &journal.Body{Salt: journal.Salt(e.Salt), Bytes: e.Body}
			}
			stored = append(stored, one)
		}
		return err
	})
	report := journal.Verify(journal.Start(stream), stored, head)
	if !report.OK() {
		t.Errorf("the chain is broken at %d: %s", report.BadIndex, report.Reason)
	}
	return report.Checked
}

// runInsertOnly proves that the database itself refuses to change a journal,
// even for the owner of its tables.
func runInsertOnly(t *testing.T, b *Backend) {
	refused := map[string][]string{
		"journal_entries":     {"UPDATE %s SET kind = 'x'", "DELETE FROM %s"},
		"journal_bodies":      {"UPDATE %s SET body = salt"},
		"journal_leaves":      {"UPDATE %s SET leaf_index = 7", "DELETE FROM %s"},
		"journal_checkpoints": {"UPDATE %s SET tree_size = 7", "DELETE FROM %s"},
		"journal_nodes":       {"UPDATE %s SET hash = hash", "DELETE FROM %s"},
		"journal_evidence":    {"UPDATE %s SET record = salt"},
		"journal_pending":     {"UPDATE %s SET sequence = 7", "DELETE FROM %s"},
	}
	for table, attempts := range refused {
		if b.Postgres {
			attempts = append(attempts, "TRUNCATE %s CASCADE")
		}
		for _, attempt := range attempts {
			text := fmt.Sprintf(attempt, table)
			t.Run(text, func(t *testing.T) {
				var before, after int
				count := "SELECT count(*) FROM " + table
				if err := b.Raw.QueryRowContext(t.Context(), count).Scan(&before); err != nil || before == 0 {
					t.Fatalf("%d rows to try it on (%v)", before, err)
				}
				if _, err := b.Raw.ExecContext(t.Context(), text); err == nil {
					t.Error("it was done")
				}
				if err := b.Raw.QueryRowContext(t.Context(), count).Scan(&after); err != nil || after != before {
					t.Errorf("%d rows became %d (%v)", before, after, err)
				}
			})
		}
	}
}

// runErased proves that a body can be erased and the chain still holds.
func runErased(t *testing.T, b *Backend, w *World) {
	t.Run("an erased body leaves the chain whole", func(t *testing.T) {
		_, err := b.Raw.ExecContext(t.Context(), "DELETE FROM journal_bodies WHERE sequence = 2")
		if err != nil {
			t.Fatal(err)
		}
		VerifyStream(t, b, w.Stream())
		read(t, b, w.Shop, func(tx app.Tx) error {
			list, err := tx.Entries(w.Stream().ID, 1, 1)
			if len(list) != 1 || list[0].HasBody || list[0].Body != nil {
				t.Errorf("the erased entry reads %+v", list)
			}
			return err
		})
	})
}

// runAnswers proves that an effect happens once however often it is sent.
func runAnswers(t *testing.T, open Opener) {
	b := open(t)
	mine, other := NewShop(t, b, 1), NewShop(t, b, 2)
	key := app.IdempotencyKey{Actor: "actor", Route: "makeBay /v1/bays", KeyHash: "hash"}
	answer := app.StoredAnswer{Fingerprint: "f", Status: 201, ETag: `"1"`, Body: []byte{0, 1, 0xff}, CreatedAt: start}
	recall := func(scope shop.ShopID, k app.IdempotencyKey) (got *app.StoredAnswer) {
		read(t, b, scope, func(tx app.Tx) (err error) { got, err = tx.Recall(k); return err })
		return got
	}
	if got := recall(mine, key); got != nil {
		t.Errorf("an answer before there was one: %+v", got)
	}
	write(t, b, mine, func(tx app.Tx) error { return tx.Remember(key, answer) })
	if diff := cmp.Diff(&answer, recall(mine, key)); diff != "" {
		t.Errorf("the answer (-want +got):\n%s", diff)
	}
	for name, k := range map[string]app.IdempotencyKey{
		"another actor": {Actor: "b", Route: key.Route, KeyHash: key.KeyHash},
		"another route": {Actor: key.Actor, Route: "b", KeyHash: key.KeyHash},
		"another key":   {Actor: key.Actor, Route: key.Route, KeyHash: "b"},
	} {
		if got := recall(mine, k); got != nil {
			t.Errorf("%s is given the answer", name)
		}
	}
	if got := recall(other, key); got != nil {
		t.Error("another shop is given the answer")
	}
	t.Run("two at once make one", func(t *testing.T) { runTwice(t, b, mine) })
}

// runTwice lets several send the same effect at once: on PostgreSQL all may
// find no answer yet, and all but one must try again and find it.
func runTwice(t *testing.T, b *Backend, mine shop.ShopID) {
	for round := range 10 {
		key := app.IdempotencyKey{Actor: "actor", Route: "r", KeyHash: fmt.Sprint(round)}
		bodies := make([][]byte, 3)
		errs := race(3, func(i int) error {
			return tryWrite(t.Context(), b, mine, func(tx app.Tx) error {
				got, err := tx.Recall(key)
				if err != nil {
					return err
				}
				if got != nil {
					bodies[i] = got.Body
					return nil
				}
				bodies[i] = []byte{byte(i)}
				if err := tx.Insert(bay(10+round, i, "made")); err != nil {
					return err
				}
				return tx.Remember(key, app.StoredAnswer{Body: bodies[i]})
			})
		})
		for i, err := range errs {
			if err != nil || !bytes.Equal(bodies[i], bodies[0]) {
				t.Errorf("round %d: %v, answers %x and %x", round, err, bodies[i], bodies[0])
			}
		}
	}
	var rows []shop.Bay
	read(t, b, mine, func(tx app.Tx) error { return tx.List(&rows, nil, app.Page{}) })
	if len(rows) != 10 {
		t.Errorf("%d rows were made, want 10", len(rows))
	}
}
