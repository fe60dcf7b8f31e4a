package storetest

import (
	"context"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"testing"

	"benchtag/internal/app"
)

// Beside adds a second row to each of these tables of the same shop, every
// field set. They refer to each other, and where a table is not among these,
// to the first row. It gives the world in which they are the rows.
func (w *World) Beside(t testing.TB, b *Backend, series int, tables []string) *World {
	t.Helper()
	o := &World{Shop: w.Shop, Series: series, Catalog: w.Catalog, IDs: maps.Clone(w.IDs)}
	for i, name := range w.Catalog.Names() {
		if slices.Contains(tables, name) {
			o.IDs[name] = testID(series, i)
		}
	}
	o.alias()
	rows := slices.DeleteFunc(o.Order(t), func(n app.Noun) bool { return !slices.Contains(tables, n.TableName()) })
	write(t, b, o.Shop, func(tx app.Tx) error {
		for _, noun := range rows {
			o.Fill(t, noun, false)
			o.unlike(t, noun)
			if err := tx.Insert(noun); err != nil {
				return fmt.Errorf("insert another %s: %w", noun.TableName(), err)
			}
		}
		for _, noun := range rows {
			o.Fill(t, noun, true)
			o.unlike(t, noun)
			if err := tx.Advance(noun); err != nil {
				return fmt.Errorf("fill another %s: %w", noun.TableName(), err)
			}
		}
		return nil
	})
	return o
}

// unlike changes what no two rows of a shop may share.
func (w *World) unlike(t testing.TB, noun app.Noun) {
	t.Helper()
	table := w.Catalog[noun.TableName()]
	for _, f := range Fields(t, noun) {
		unique := slices.ContainsFunc(table.Uniques, func(columns []string) bool { return slices.Contains(columns, f.DBName) })
		if !unique || f.DBName == "id" || referred(table, f.DBName) != "" || slices.Contains(kept, f.DBName) || len(table.Words[f.DBName]) > 0 {
			continue
		}
		place := f.ReflectValueOf(context.Background(), reflect.ValueOf(noun).Elem())
		switch place.Kind() {
		case reflect.String:
			place.SetString(fmt.Sprint("another ", w.Series))
		case reflect.Int64:
			place.SetInt(int64(1000 + w.Series))
		}
	}
}
