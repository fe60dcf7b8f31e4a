// Package storetest proves the store: one suite that runs over every
// database the store speaks to, and the catalog of a database as it is, from
// which the suite draws its cases.
package storetest

import (
	"context"
	"database/sql"
	"fmt"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/testkit"
)

// Backend is one database, migrated and empty.
type Backend struct {
	Store *store.Store
	// Raw is a connection of the tables' owner, beside the store.
	Raw *sql.DB
	// Postgres says which of the two databases it is.
	Postgres bool
	// Options open the same database again.
	Options store.Options
}

// Opener makes a fresh backend that the test's end takes away.
type Opener func(t testing.TB) *Backend

// Run runs the whole suite over the databases that open gives.
func Run(t *testing.T, open Opener) {
	for _, part := range []struct {
		name string
		run  func(*testing.T, Opener)
	}{
		{"rows", runRows}, {"lists", runLists}, {"nouns", runNouns}, {"transactions", runTransactions},
		{"races", runRaces}, {"journal", runJournal}, {"answers", runAnswers}, {"wall", runWall},
		{"schema", runSchema}, {"readiness", runReadiness}, {"messages", runMessages},
	} {
		t.Run(part.name, func(t *testing.T) {
			t.Parallel()
			part.run(t, open)
		})
	}
}

// start is when the tests' clocks start: with microseconds and no more.
var start = time.Date(2026, 3, 1, 9, 30, 0, 123456000, time.UTC)

// Open gives a backend over opened options: the store migrated, the raw
// connection as given.
func Open(t testing.TB, opt store.Options, raw *sql.DB) *Backend {
	t.Helper()
	if opt.Now == nil {
		opt.Now = testkit.NewClock(start).Now
	}
	s, err := store.Open(opt)
	if err != nil {
		t.Fatalf("open the store: %v", err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("close the store: %v", err)
		}
		if err := raw.Close(); err != nil {
			t.Errorf("close the raw connection: %v", err)
		}
	})
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatalf("migrate: %v", err)
	}
	return &Backend{Store: s, Raw: raw, Postgres: opt.PostgresURL != "", Options: opt}
}

// ids are made of a series and a number, so that two worlds have the same
// ids where they share a series.
func testID(series, n int) string {
	return fmt.Sprintf("0195%04x-0000-7000-8000-%012x", series, n)
}

// ShopOf is the id of the shop of a number; shops share no id with rows.
func ShopOf(n int) shop.ShopID { return shop.ShopID(testID(0xffff, n)) }

// NewShop claims a slug for a shop, without which it can hold nothing.
func NewShop(t testing.TB, b *Backend, n int) shop.ShopID {
	t.Helper()
	id := ShopOf(n)
	write(t, b, id, func(tx app.Tx) error { return tx.ClaimSlug(fmt.Sprintf("shop-%d", n)) })
	return id
}

func write(t testing.TB, b *Backend, scope shop.ShopID, fn func(app.Tx) error) {
	t.Helper()
	if err := tryWrite(t.Context(), b, scope, fn); err != nil {
		t.Fatalf("write: %v", err)
	}
}

func tryWrite(ctx context.Context, b *Backend, scope shop.ShopID, fn func(app.Tx) error) error {
	return b.Store.Write(ctx, scope, func(_ context.Context, tx app.Tx) error { return fn(tx) })
}

func read(t testing.TB, b *Backend, scope shop.ShopID, fn func(app.Tx) error) {
	t.Helper()
	if err := b.Store.Read(t.Context(), scope, fn); err != nil {
		t.Fatalf("read: %v", err)
	}
}

func wantFault(t testing.TB, err error, kind fault.Kind, code string) {
	t.Helper()
	if err == nil {
		t.Errorf("got success, want %s (kind %v)", code, kind)
		return
	}
	var f *fault.Error
	if !asFault(err, &f) || f.Kind != kind || code != "" && f.Code != code {
		t.Errorf("got %v, want %s (kind %v)", err, code, kind)
	}
}
