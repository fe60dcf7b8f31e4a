package storetest

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// runLists proves List: what By selects, in which order, in which stretch.
func runLists(t *testing.T, open Opener) {
	b := open(t)
	mine, other := NewShop(t, b, 1), NewShop(t, b, 2)
	write(t, b, mine, func(tx app.Tx) error {
		for n, name := range []string{"a", "b", "c", "d", "e"} {
			row := &shop.Tablet{ID: shop.TabletID(testID(1, n)), Name: name, Unsent: int64(n)}
			if n%2 == 1 {
				at := start
				row.RevokedAt = &at
			}
			place := &shop.Bay{ID: shop.BayID(testID(1, n)), Name: name, Retired: n%2 == 1}
			if err := tx.Insert(row); err != nil {
				return err
			}
			if err := tx.Insert(place); err != nil {
				return err
			}
		}
		return nil
	})
	write(t, b, other, func(tx app.Tx) error {
		return tx.Insert(&shop.Tablet{ID: shop.TabletID(testID(1, 0)), Name: "a canary"})
	})
	type name string
	for _, tt := range []struct {
		name string
		by   app.By
		page app.Page
		want string
	}{
		{"all, by id", nil, app.Page{}, "abcde"},
		{"newest first", nil, app.Page{Newest: true}, "edcba"},
		{"at most so many", nil, app.Page{Limit: 2}, "ab"},
		{"after a row", nil, app.Page{After: testID(1, 1), Limit: 2}, "cd"},
		{"before a row", nil, app.Page{After: testID(1, 3), Newest: true}, "cba"},
		{"after the last", nil, app.Page{After: testID(1, 4)}, ""},
		{"more than there may be", nil, app.Page{Limit: 1 << 30}, "abcde"},
		{"below nothing", nil, app.Page{Limit: -1}, "abcde"},
		{"a text", app.By{"name": "c"}, app.Page{}, "c"},
		{"a named kind of text", app.By{"name": name("c")}, app.Page{}, "c"},
		{"a text that looks like SQL", app.By{"name": "c' OR '1'='1"}, app.Page{}, ""},
		{"any of", app.By{"name": []string{"d", "a", "zz"}}, app.Page{}, "ad"},
		{"any of a named kind", app.By{"name": []name{"d", "a"}}, app.Page{}, "ad"},
		{"any of none", app.By{"name": []string{}}, app.Page{}, ""},
		{"no value", app.By{"revoked_at": nil}, app.Page{}, "ace"},
		{"none of", app.By{"name": app.Not{"a", "b"}}, app.Page{}, "cde"},
		{"none of one", app.By{"name": app.Not{"a"}}, app.Page{}, "bcde"},
		{"none of none", app.By{"name": app.Not{}}, app.Page{}, "abcde"},
		{"a number", app.By{"unsent": int64(3)}, app.Page{}, "d"},
		{"both", app.By{"revoked_at": nil, "name": []string{"a", "b", "c"}}, app.Page{After: testID(1, 0)}, "c"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var rows []shop.Tablet
			read(t, b, mine, func(tx app.Tx) error { return tx.List(&rows, tt.by, tt.page) })
			got := ""
			for _, r := range rows {
				got += r.Name
			}
			if got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
	t.Run("yes and no", func(t *testing.T) {
		for want, retired := range map[string]bool{"ace": false, "bd": true} {
			var rows []shop.Bay
			read(t, b, mine, func(tx app.Tx) error { return tx.List(&rows, app.By{"retired": retired}, app.Page{}) })
			got := ""
			for _, r := range rows {
				got += r.Name
			}
			if got != want {
				t.Errorf("retired %v: got %q, want %q", retired, got, want)
			}
		}
	})
	t.Run("refused", func(t *testing.T) {
		for _, by := range []app.By{{"name": 1.5}, {"no_such_column": "x"}, {"name = 'a' or 1=1 --": "x"}, {"name": struct{}{}}} {
			err := b.Store.Read(t.Context(), mine, func(tx app.Tx) error { return tx.List(&[]shop.Tablet{}, by, app.Page{}) })
			if err == nil {
				t.Errorf("%v was taken", by)
			}
		}
		err := b.Store.Read(t.Context(), mine, func(tx app.Tx) error {
			return tx.List(&[]shop.Tablet{}, nil, app.Page{After: "x"})
		})
		wantFault(t, err, fault.Shape, "store.cursor_unreadable")
	})
	runBound(t, b)
}

// runBound proves that no list is longer than MaxRows, and that pages join
// without a gap or an overlap.
func runBound(t *testing.T, b *Backend) {
	many := NewShop(t, b, 3)
	const total = app.MaxRows + 3
	write(t, b, many, func(tx app.Tx) error {
		for n := range total {
			if err := tx.Insert(bay(7, n, fmt.Sprint(n))); err != nil {
				return err
			}
		}
		return nil
	})
	var rows []shop.Bay
	read(t, b, many, func(tx app.Tx) error { return tx.List(&rows, nil, app.Page{}) })
	if len(rows) != app.MaxRows {
		t.Errorf("a list has %d rows, want %d", len(rows), app.MaxRows)
	}
	var names, want []string
	for n := range total {
		want = append(want, fmt.Sprint(n))
	}
	after := ""
	for range total {
		var page []shop.Bay
		read(t, b, many, func(tx app.Tx) error { return tx.List(&page, nil, app.Page{After: after, Limit: 100}) })
		if len(page) == 0 {
			break
		}
		for _, r := range page {
			names = append(names, r.Name)
		}
		after = string(page[len(page)-1].ID)
	}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Errorf("the pages (-want +got):\n%s", diff)
	}
}
