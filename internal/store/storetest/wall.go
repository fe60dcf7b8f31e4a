package storetest

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// runWall proves the tenant wall in the schema, with cases drawn from the
// catalog: every name and number may be had once in each shop, and no row
// refers to another shop's.
func runWall(t *testing.T, open Opener) {
	b := open(t)
	a := Populate(t, b, 1, 1)
	foreign := Populate(t, b, 2, 2) // other ids
	same := Populate(t, b, 3, 1)    // the ids of a, another shop
	uniques, refs := 0, 0
	for _, name := range a.Catalog.Names() {
		table := a.Catalog[name]
		if name == "shop_slugs" {
			continue
		}
		for _, columns := range append([][]string{table.Primary}, table.Uniques...) {
			uniques++
			t.Run(name+" "+strings.Join(columns, " "), func(t *testing.T) { crossShop(t, b, name, columns, a.Shop, same.Shop) })
		}
		for _, f := range table.Foreign {
			if f.Table == "shop_slugs" {
				continue
			}
			refs++
			t.Run(name+" refers to "+f.Table+" by "+strings.Join(f.Columns, " "), func(t *testing.T) { noReference(t, b, table, f, a, foreign) })
		}
	}
	if uniques < 50 || refs < 150 {
		t.Errorf("the catalog gave %d keys and %d references; the question is wrong", uniques, refs)
	}
	noShopless(t, b, a)
	runScopes(t, b, a, foreign)
}

// crossShop proves that two shops hold the same values in a key, and that
// the key holds inside one shop.
func crossShop(t *testing.T, b *Backend, table string, columns []string, one, two shop.ShopID) {
	if columns[0] != "shop_id" {
		t.Fatalf("the key of %s starts with %s", table, columns[0])
	}
	on := fmt.Sprintf("a.shop_id = %s AND b.shop_id = %s", mark(b, 1), mark(b, 2))
	for _, c := range columns[1:] {
		if table == "shops" && c == "id" {
			continue // a shop's row is its own id
		}
		on += fmt.Sprintf(` AND a."%s" = b."%s"`, c, c)
	}
	var n int
	text := fmt.Sprintf("SELECT count(*) FROM %s a JOIN %s b ON %s", table, table, on)
	if err := b.Raw.QueryRowContext(t.Context(), text, string(one), string(two)).Scan(&n); err != nil {
		t.Fatal(err)
	}
	if n == 0 {
		t.Errorf("the two shops share no value of %v", columns)
	}
}

// noReference tries to point a row of one shop at a row of another.
func noReference(t *testing.T, b *Backend, table Table, f Foreign, mine, theirs *World) {
	if f.Columns[0] != "shop_id" || f.To[0] != "shop_id" {
		t.Fatalf("the reference does not start with shop_id: %+v", f)
	}
	if len(f.Columns) != 2 || strings.HasPrefix(table.Name, "journal_") || table.Name == "personal_reads" {
		noJournalReference(t, b, table, f, mine, theirs)
		return
	}
	set := fmt.Sprintf(`"%s" = %s`, f.Columns[1], mark(b, 1))
	for _, s := range table.Same {
		if s[1] == f.Columns[1] {
			set += ", id = " + mark(b, 1)
		}
	}
	text := fmt.Sprintf("UPDATE %s SET %s WHERE shop_id = %s", table.Name, set, mark(b, 2))
	args := []any{theirs.IDs[f.Table], string(mine.Shop)}
	if !b.Postgres && strings.Contains(set, ", id") {
		args = slices.Insert(args, 0, args[0])
	}
	wantForeignKey(t, b, text, args)
}

// noJournalReference tries it by a copy of a row, since a journal and the
// notes of what was read take no changes.
func noJournalReference(t *testing.T, b *Backend, table Table, f Foreign, mine, theirs *World) {
	var names, values []string
	for _, c := range table.Columns {
		names = append(names, c.Name)
		value := `"` + c.Name + `"`
		switch {
		case c.Name == "shop_id":
			value = "'" + string(mine.Shop) + "'"
			if b.Postgres {
				value += "::uuid"
			}
		case c.Name == "leaf_index":
			value += " + 1000"
		case c.Name == "id":
			value = "'" + testID(9, 9) + "'"
			if b.Postgres {
				value += "::uuid"
			}
		}
		values = append(values, value)
	}
	text := fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM %s WHERE shop_id = %s",
		table.Name, join(names), strings.Join(values, ", "), table.Name, mark(b, 1))
	wantForeignKey(t, b, text, []any{string(theirs.Shop)})
}

func wantForeignKey(t *testing.T, b *Backend, text string, args []any) {
	t.Helper()
	_, err := b.Raw.ExecContext(t.Context(), text, args...)
	if err == nil {
		t.Errorf("it was done: %s", text)
		return
	}
	if !strings.Contains(strings.ToLower(err.Error()), "foreign key") {
		t.Errorf("refused, but for another reason: %v", err)
	}
}

// noShopless proves that no table takes a row of a shop that is none.
func noShopless(t *testing.T, b *Backend, a *World) {
	for _, name := range a.Catalog.Names() {
		table := a.Catalog[name]
		if name == "shop_slugs" {
			continue
		}
		t.Run(name+" of no shop", func(t *testing.T) {
			if !slices.ContainsFunc(table.Foreign, func(f Foreign) bool { return f.Columns[0] == "shop_id" }) {
				t.Error("no reference of the table leads to a shop")
			}
		})
	}
}

// runScopes proves that nothing read in one shop comes from another.
func runScopes(t *testing.T, b *Backend, mine, theirs *World) {
	for _, noun := range Nouns() {
		table := noun.TableName()
		t.Run(table+" stays in its shop", func(t *testing.T) {
			err := b.Store.Read(t.Context(), mine.Shop, func(tx app.Tx) error { return tx.Load(noun, theirs.IDs[table]) })
			if err == nil {
				t.Error("another shop's row was loaded")
			}
			read(t, b, theirs.Shop, func(tx app.Tx) error { return tx.Load(noun, theirs.IDs[table]) })
			before := noun.Head().Version
			foreign := *noun.Head()
			noun.Head().ShopID = mine.Shop
			for what, fn := range map[string]func(app.Tx) error{
				"advanced": func(tx app.Tx) error { return tx.Advance(noun) },
				"removed":  func(tx app.Tx) error { return tx.Remove(noun) },
			} {
				if tryWrite(context.Background(), b, mine.Shop, fn) == nil {
					t.Errorf("another shop's row was %s", what)
				}
			}
			*noun.Head() = foreign
			read(t, b, theirs.Shop, func(tx app.Tx) error { return tx.Load(noun, theirs.IDs[table]) })
			if noun.Head().Version != before {
				t.Error("another shop's row has moved on")
			}
		})
	}
}

// Contents gives every row of a shop as text, by table.
func Contents(t testing.TB, b *Backend, w *World) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	for _, name := range w.Catalog.Names() {
		rows, err := texts(t.Context(), b.Raw, fmt.Sprintf("SELECT * FROM %s WHERE shop_id = %s", name, mark(b, 1)), string(w.Shop))
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) == 0 {
			t.Errorf("the shop has no row in %s", name)
		}
		for _, r := range rows {
			all[name] = append(all[name], strings.Join(r, "|"))
		}
		slices.Sort(all[name])
	}
	return all
}
