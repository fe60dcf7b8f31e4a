package storetest

import (
	"context"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/store"
)

// runReadiness proves that a store serves its own version of the schema
// alone, and that migrating again, or twice at once, does no harm.
func runReadiness(t *testing.T, open Opener) {
	b := open(t)
	t.Run("migrated is ready, and again is the same", func(t *testing.T) {
		mine := NewShop(t, b, 1)
		write(t, b, mine, func(tx app.Tx) error { return tx.Insert(bay(1, 1, "kept")) })
		before := dump(t, b)
		if err := b.Store.Ready(t.Context()); err != nil {
			t.Errorf("not ready: %v", err)
		}
		if err := b.Store.Migrate(t.Context()); err != nil {
			t.Errorf("migrate again: %v", err)
		}
		if dump(t, b) != before {
			t.Error("the schema changed")
		}
		read(t, b, mine, func(tx app.Tx) error { return tx.Load(&shop.Bay{}, testID(1, 1)) })
	})
	t.Run("shops are found by slug and counted", func(t *testing.T) {
		id, err := b.Store.ShopBySlug(t.Context(), "shop-1")
		if err != nil || id != ShopOf(1) {
			t.Errorf("found %s, %v", id, err)
		}
		for _, slug := range []string{"", "shop-9", "shop-1' OR '1'='1"} {
			_, err = b.Store.ShopBySlug(t.Context(), slug)
			wantFault(t, err, fault.NotFound, "")
		}
		if n, err := b.Store.CountShops(t.Context()); n != 1 || err != nil {
			t.Errorf("counted %d, %v", n, err)
		}
		if all, err := b.Store.Shops(t.Context()); len(all) != 1 || err != nil {
			t.Errorf("listed %v, %v", all, err)
		}
	})
	for name, text := range map[string]string{
		"a newer schema":   "UPDATE goose_db_version SET version_id = 999 WHERE version_id = (SELECT max(version_id) FROM goose_db_version)",
		"an older schema":  "UPDATE goose_db_version SET version_id = 0 WHERE version_id > 0",
		"no schema at all": "DROP TABLE goose_db_version",
	} {
		t.Run(name+" is refused", func(t *testing.T) {
			b := open(t)
			if _, err := b.Raw.ExecContext(t.Context(), text); err != nil {
				t.Fatal(err)
			}
			if b.Store.Ready(t.Context()) == nil {
				t.Error("it is called ready")
			}
		})
	}
}

// MigrateTogether opens an empty database several times and migrates it from
// all of them at once.
func MigrateTogether(t *testing.T, opt store.Options) {
	stores := make([]*store.Store, 3)
	for i := range stores {
		s, err := store.Open(opt)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		stores[i] = s
	}
	for _, err := range race(len(stores), func(i int) error { return stores[i].Migrate(context.Background()) }) {
		if err != nil {
			t.Errorf("migrate: %v", err)
		}
	}
	for _, s := range stores {
		if err := s.Ready(t.Context()); err != nil {
			t.Errorf("not ready: %v", err)
		}
	}
}
