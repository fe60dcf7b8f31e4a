package storetest

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// race runs fn n times at once and gives the errors, those that won as nil.
func race(n int, fn func(i int) error) []error {
	errs := make([]error, n)
	var ready, done sync.WaitGroup
	ready.Add(n)
	done.Add(n)
	for i := range n {
		go func() {
			defer done.Done()
			ready.Done()
			ready.Wait()
			errs[i] = fn(i)
		}()
	}
	done.Wait()
	return errs
}

// wantOneWinner holds the errors of a race against what a loser is told.
func wantOneWinner(t *testing.T, what string, errs []error, loser fault.Kind) {
	t.Helper()
	won := 0
	for _, err := range errs {
		switch {
		case err == nil:
			won++
		case !fault.Is(err, loser):
			t.Errorf("%s: a loser got %v, want kind %v", what, err, loser)
		}
	}
	if won != 1 {
		t.Errorf("%s: %d won, want 1", what, won)
	}
}

// runRaces proves that of two that change the same thing at once one wins
// and the other is told.
func runRaces(t *testing.T, open Opener) {
	b := open(t)
	w := Populate(t, b, 1, 1)
	t.Run("each noun is advanced once from a version", func(t *testing.T) {
		for i := range Nouns() {
			errs := race(2, func(int) error {
				row := Nouns()[i]
				if err := b.Store.Read(t.Context(), w.Shop, func(tx app.Tx) error { return tx.Load(row, w.IDs[row.TableName()]) }); err != nil {
					return err
				}
				if row.Head().Version != 2 { // read after the other's commit
					row.Head().Version = 2
				}
				return tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) error { return tx.Advance(row) })
			})
			wantOneWinner(t, Nouns()[i].TableName(), errs, fault.VersionStale)
		}
	})
	t.Run("an id, a slug and a removal are had once", func(t *testing.T) {
		errs := race(4, func(i int) error {
			return tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) error { return tx.Insert(bay(5, 1, fmt.Sprint(i))) })
		})
		wantOneWinner(t, "insert", errs, fault.ExistsAlready)
		errs = race(4, func(int) error {
			row := bay(5, 1, "")
			row.ShopID = w.Shop
			return tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) error { return tx.Remove(row) })
		})
		wantOneWinner(t, "remove", errs, fault.NotFound)
		errs = race(4, func(i int) error {
			return tryWrite(t.Context(), b, ShopOf(100+i), func(tx app.Tx) error { return tx.ClaimSlug("wanted") })
		})
		wantOneWinner(t, "slug", errs, fault.Conflict)
	})
	t.Run("a journal's head is moved once", func(t *testing.T) {
		var head journal.Head
		write(t, b, w.Shop, func(tx app.Tx) (err error) { head, err = tx.Lock(w.Stream()); return err })
		errs := race(2, func(int) error {
			return tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) error { return note(tx, head, w.IDs["staff"]) })
		})
		wantOneWinner(t, "append", errs, fault.Conflict)
	})
	runCounters(t, b, w)
	runExact(t, b, w)
}

// runCounters proves that numbers have no gap and no double, whoever gives up.
func runCounters(t *testing.T, b *Backend, w *World) {
	t.Run("numbers have no gap", func(t *testing.T) {
		var mu sync.Mutex
		var given []int64
		race(8, func(i int) error {
			for round := range 15 {
				var n int64
				err := tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) (err error) {
					n, err = tx.Number("bill")
					if err == nil && (i+round)%3 == 0 {
						return errUndo
					}
					return err
				})
				if errors.Is(err, errUndo) {
					continue
				}
				if err != nil {
					t.Errorf("number: %v", err)
				}
				mu.Lock()
				given = append(given, n)
				mu.Unlock()
			}
			return nil
		})
		slices.Sort(given)
		for i, n := range given {
			if n != int64(i+1) {
				t.Fatalf("the numbers given are %v", given)
			}
		}
		if len(given) != 80 {
			t.Errorf("%d numbers were given, want 80", len(given))
		}
	})
}

// runExact proves that nothing is lost and nobody is turned away when eight
// read, change and write a hundred times each.
func runExact(t *testing.T, b *Backend, w *World) {
	t.Run("8 x 100 changes are 800", func(t *testing.T) {
		row := bay(6, 1, "0")
		write(t, b, w.Shop, func(tx app.Tx) error { return tx.Insert(row) })
		race(8, func(int) error {
			for range 100 {
				err := tryWrite(t.Context(), b, w.Shop, func(tx app.Tx) error { return countUp(tx, w.Stream(), string(row.ID)) })
				if err != nil {
					t.Errorf("a change was turned away: %v", err)
				}
			}
			return nil
		})
		var got shop.Bay
		read(t, b, w.Shop, func(tx app.Tx) error { return tx.Load(&got, string(row.ID)) })
		if got.Name != "800" || got.Version != 801 {
			t.Errorf("counted %s in version %d, want 800 in 801", got.Name, got.Version)
		}
	})
}

func countUp(tx app.Tx, stream journal.Stream, id string) error {
	if _, err := tx.Lock(stream); err != nil {
		return err
	}
	var row shop.Bay
	if err := tx.Load(&row, id); err != nil {
		return err
	}
	n, err := strconv.Atoi(row.Name)
	if err != nil {
		return err
	}
	row.Name = strconv.Itoa(n + 1)
	return tx.Advance(&row)
}
