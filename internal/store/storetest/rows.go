package storetest

import (
	"context"
	"errors"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func bay(series, n int, name string) *shop.Bay {
	return &shop.Bay{ID: shop.BayID(testID(series, n)), Name: name}
}

// runRows proves Load, Insert, Advance and Remove one by one.
func runRows(t *testing.T, open Opener) {
	b := open(t)
	mine, other := NewShop(t, b, 1), NewShop(t, b, 2)
	t.Run("what was inserted is loaded", func(t *testing.T) {
		in := bay(1, 1, "Lift 1")
		write(t, b, mine, func(tx app.Tx) error { return tx.Insert(in) })
		want := &shop.Bay{Row: shop.Row{ShopID: mine, Version: 1, CreatedAt: start, UpdatedAt: start}, ID: in.ID, Name: "Lift 1"}
		if diff := cmp.Diff(want, in); diff != "" {
			t.Errorf("the row given (-want +got):\n%s", diff)
		}
		var got shop.Bay
		read(t, b, mine, func(tx app.Tx) error { return tx.Load(&got, string(in.ID)) })
		if diff := cmp.Diff(want, &got); diff != "" {
			t.Errorf("the row stored (-want +got):\n%s", diff)
		}
	})
	t.Run("what is not there, or is no id, is an error", func(t *testing.T) {
		for _, id := range []string{testID(9, 9), "", "x", "0195000100007000800000000000000001", "2 or 1=1"} {
			err := b.Store.Read(t.Context(), mine, func(tx app.Tx) error { return tx.Load(&shop.Bay{}, id) })
			wantFault(t, err, fault.NotFound, "")
		}
	})
	t.Run("another shop's row is not there", func(t *testing.T) {
		err := b.Store.Read(t.Context(), other, func(tx app.Tx) error { return tx.Load(&shop.Bay{}, testID(1, 1)) })
		wantFault(t, err, fault.NotFound, "")
	})
	t.Run("an id is taken once in a shop", func(t *testing.T) {
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Insert(bay(1, 1, "again")) })
		wantFault(t, err, fault.ExistsAlready, "store.id_taken")
		write(t, b, other, func(tx app.Tx) error { return tx.Insert(bay(1, 1, "theirs")) })
		read(t, b, mine, func(tx app.Tx) error {
			var got shop.Bay
			err := tx.Load(&got, testID(1, 1))
			if got.Name != "Lift 1" {
				t.Errorf("the row of the first shop became %q", got.Name)
			}
			return err
		})
	})
	t.Run("a name is taken once in a shop", func(t *testing.T) {
		category := func(n int) *shop.TaxCategory {
			return &shop.TaxCategory{ID: shop.TaxCategoryID(testID(2, n)), Code: "full"}
		}
		write(t, b, mine, func(tx app.Tx) error { return tx.Insert(category(1)) })
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Insert(category(2)) })
		wantFault(t, err, fault.Conflict, "store.value_taken")
		write(t, b, other, func(tx app.Tx) error { return tx.Insert(category(2)) })
	})
	runRefusals(t, b, mine)
	runAdvance(t, b, mine, other)
	runRemove(t, b, mine, other)
}

// runRefusals proves that what cannot be stored is the sender's fault, not
// the server's.
func runRefusals(t *testing.T, b *Backend, mine shop.ShopID) {
	long := make([]rune, 2001)
	for i := range long {
		long[i] = 'é'
	}
	for _, tt := range []struct {
		name string
		row  app.Noun
		code string
	}{
		{"a reference to nothing", &shop.Machine{ID: shop.MachineID(testID(3, 1)), CustomerID: shop.CustomerID(testID(3, 9)), VINVerdict: shop.VINVerdictValues()[0]}, "store.reference_unknown"},
		{"a word outside the set", &shop.Customer{ID: shop.CustomerID(testID(3, 2)), Kind: "ghost", ContactBy: shop.ContactByValues()[0]}, "store.value_refused"},
		{"an id that is none", &shop.Bay{ID: "x", Name: "x"}, "store.value_refused"},
		{"a reference that is no id", &shop.Machine{ID: shop.MachineID(testID(3, 3)), CustomerID: "x", VINVerdict: shop.VINVerdictValues()[0]}, "store.value_refused"},
		{"a required reference left out", &shop.Session{ID: shop.SessionID(testID(3, 4)), Kind: shop.SessionKindApi}, "store.value_refused"},
		{"a text over its bound", bay(3, 5, string(long)), "store.value_refused"},
		{"a number below its bound", &shop.TaxCategory{ID: shop.TaxCategoryID(testID(3, 6)), Code: "less", RatePPM: -1}, "store.value_refused"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Insert(tt.row) })
			wantFault(t, err, fault.Meaning, tt.code)
		})
	}
}

func runAdvance(t *testing.T, b *Backend, mine, other shop.ShopID) {
	row := bay(4, 1, "first")
	write(t, b, mine, func(tx app.Tx) error { return tx.Insert(row) })
	old := *row
	t.Run("a known version is changed and counted up", func(t *testing.T) {
		row.Name = "second"
		write(t, b, mine, func(tx app.Tx) error { return tx.Advance(row) })
		if row.Version != 2 {
			t.Errorf("the version given is %d, want 2", row.Version)
		}
		wantBay(t, b, mine, row)
	})
	t.Run("a stale version changes nothing", func(t *testing.T) {
		stale := old
		stale.Name = "stale"
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Advance(&stale) })
		wantFault(t, err, fault.VersionStale, "store.version_stale")
		if stale.Version != old.Version {
			t.Errorf("the refused row counts version %d, want %d", stale.Version, old.Version)
		}
		wantBay(t, b, mine, row)
	})
	t.Run("a row never stored is not made", func(t *testing.T) {
		never := bay(4, 2, "never")
		never.Row = old.Row
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Advance(never) })
		wantFault(t, err, fault.VersionStale, "")
		err = b.Store.Read(t.Context(), mine, func(tx app.Tx) error { return tx.Load(&shop.Bay{}, string(never.ID)) })
		wantFault(t, err, fault.NotFound, "")
	})
	t.Run("another shop's row is not changed", func(t *testing.T) {
		foreign := *row
		err := tryWrite(t.Context(), b, other, func(tx app.Tx) error { return tx.Advance(&foreign) })
		wantFault(t, err, fault.NotFound, "")
		foreign.ShopID = other // as if it had been read there
		err = tryWrite(t.Context(), b, other, func(tx app.Tx) error { return tx.Advance(&foreign) })
		wantFault(t, err, fault.VersionStale, "")
		wantBay(t, b, mine, row)
	})
	t.Run("what was vanished is an error", func(t *testing.T) {
		gone := bay(4, 3, "gone")
		write(t, b, mine, func(tx app.Tx) error { return tx.Insert(gone) })
		write(t, b, mine, func(tx app.Tx) error { return tx.Remove(gone) })
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Advance(gone) })
		wantFault(t, err, fault.VersionStale, "")
	})
	t.Run("the time and the shop of making stay", func(t *testing.T) {
		changed := *row
		changed.CreatedAt = start.Add(-time.Hour)
		write(t, b, mine, func(tx app.Tx) error { return tx.Advance(&changed) })
		changed.CreatedAt = start
		wantBay(t, b, mine, &changed)
	})
}

func wantBay(t *testing.T, b *Backend, scope shop.ShopID, want *shop.Bay) {
	t.Helper()
	var got shop.Bay
	read(t, b, scope, func(tx app.Tx) error { return tx.Load(&got, string(want.ID)) })
	if diff := cmp.Diff(want, &got); diff != "" {
		t.Errorf("the stored row (-want +got):\n%s", diff)
	}
}

func runRemove(t *testing.T, b *Backend, mine, other shop.ShopID) {
	t.Run("remove takes this shop's row alone", func(t *testing.T) {
		row := bay(5, 1, "here")
		write(t, b, mine, func(tx app.Tx) error { return tx.Insert(row) })
		write(t, b, other, func(tx app.Tx) error { return tx.Insert(bay(5, 1, "there")) })
		write(t, b, mine, func(tx app.Tx) error { return tx.Remove(row) })
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return tx.Remove(row) })
		wantFault(t, err, fault.NotFound, "")
		read(t, b, other, func(tx app.Tx) error { return tx.Load(&shop.Bay{}, testID(5, 1)) })
	})
}

var errUndo = errors.New("undo")

// runTransactions proves what Read and Write promise of transactions.
func runTransactions(t *testing.T, open Opener) {
	b := open(t)
	mine, other := NewShop(t, b, 1), NewShop(t, b, 2)
	there := func(id shop.BayID) bool {
		err := b.Store.Read(t.Context(), mine, func(tx app.Tx) error { return tx.Load(&shop.Bay{}, string(id)) })
		if err != nil && !fault.Is(err, fault.NotFound) {
			t.Errorf("load: %v", err)
		}
		return err == nil
	}
	t.Run("an error undoes all", func(t *testing.T) {
		row := bay(1, 1, "undone")
		err := tryWrite(t.Context(), b, mine, func(tx app.Tx) error { return errors.Join(tx.Insert(row), errUndo) })
		if !errors.Is(err, errUndo) || there(row.ID) {
			t.Errorf("got %v, and the row is there: %v", err, there(row.ID))
		}
	})
	t.Run("a panic undoes all and passes on", func(t *testing.T) {
		row := bay(1, 2, "panic")
		func() {
			defer func() {
				if r := recover(); r != "stop" {
					t.Errorf("recovered %v", r)
				}
			}()
			_ = tryWrite(t.Context(), b, mine, func(tx app.Tx) error {
				if err := tx.Insert(row); err != nil {
					t.Error(err)
				}
				panic("stop")
			})
		}()
		if there(row.ID) {
			t.Error("the row is there")
		}
		write(t, b, mine, func(tx app.Tx) error { return tx.Insert(bay(1, 3, "after")) })
	})
	t.Run("reads and writes inside a write join it", func(t *testing.T) { runJoin(t, b, mine, there) })
	runViews(t, b, [2]shop.ShopID{mine, other}, there)
}

// runViews proves what one shop's transaction sees, of what time it is, and
// how it ends.
func runViews(t *testing.T, b *Backend, shops [2]shop.ShopID, there func(shop.BayID) bool) {
	mine, other := shops[0], shops[1]
	t.Run("a transaction across shops is refused", func(t *testing.T) {
		err := b.Store.Write(t.Context(), mine, func(ctx context.Context, _ app.Tx) error {
			return b.Store.Write(ctx, other, func(context.Context, app.Tx) error { return nil })
		})
		if err == nil {
			t.Error("a write of another shop joined")
		}
		err = b.Store.Write(t.Context(), mine, func(ctx context.Context, _ app.Tx) error {
			return b.Store.Read(ctx, other, func(app.Tx) error { return nil })
		})
		if err == nil {
			t.Error("a read of another shop joined")
		}
	})
	t.Run("a read writes nothing", func(t *testing.T) {
		row := bay(1, 6, "no")
		err := b.Store.Read(t.Context(), mine, func(tx app.Tx) error { return tx.Insert(row) })
		if err == nil || there(row.ID) {
			t.Errorf("got %v, and the row is there: %v", err, there(row.ID))
		}
	})
	t.Run("a read sees one state", func(t *testing.T) {
		read(t, b, mine, func(tx app.Tx) error {
			var before, after []shop.Bay
			err := tx.List(&before, nil, app.Page{})
			write(t, b, mine, func(tx app.Tx) error { return tx.Insert(bay(1, 7, "meanwhile")) })
			err = errors.Join(err, tx.List(&after, nil, app.Page{}))
			if diff := cmp.Diff(before, after); diff != "" {
				t.Errorf("the view moved:\n%s", diff)
			}
			return err
		})
	})
	t.Run("time is one, UTC, in microseconds", func(t *testing.T) {
		write(t, b, mine, func(tx app.Tx) error {
			if now := tx.Now(); now != tx.Now() || now.Location() != time.UTC || !now.Equal(now.Truncate(time.Microsecond)) {
				t.Errorf("now is %v", now)
			}
			return nil
		})
	})
	t.Run("a context that ended is unavailable, not a fault of ours", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		wantFault(t, tryWrite(ctx, b, mine, func(tx app.Tx) error { return tx.Insert(bay(1, 8, "late")) }), fault.Unavailable, "")
		wantFault(t, b.Store.Read(ctx, mine, func(tx app.Tx) error { return tx.List(&[]shop.Bay{}, nil, app.Page{}) }), fault.Unavailable, "")
	})
}

func runJoin(t *testing.T, b *Backend, mine shop.ShopID, there func(shop.BayID) bool) {
	outer, inner := bay(1, 4, "outer"), bay(1, 5, "inner")
	err := b.Store.Write(t.Context(), mine, func(ctx context.Context, tx app.Tx) error {
		if err := tx.Insert(outer); err != nil {
			return err
		}
		err := b.Store.Write(ctx, mine, func(_ context.Context, joined app.Tx) error {
			if !reflect.DeepEqual(joined.Now(), tx.Now()) {
				t.Error("the joined transaction has another time")
			}
			return joined.Insert(inner)
		})
		if err != nil {
			return err
		}
		err = b.Store.Read(ctx, mine, func(joined app.Tx) error { return joined.Load(&shop.Bay{}, string(inner.ID)) })
		return errors.Join(err, errUndo)
	})
	if fault.Is(err, fault.NotFound) || !errors.Is(err, errUndo) {
		t.Errorf("got %v", err)
	}
	if there(outer.ID) || there(inner.ID) {
		t.Error("what the inner write wrote outlived the outer one")
	}
}
