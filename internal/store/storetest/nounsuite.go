package storetest

import (
	"bytes"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
)

// runNouns proves that every noun comes back as it went in: as empty as it
// may be, with every field set, and set from the start.
func runNouns(t *testing.T, open Opener) {
	b := open(t)
	w := NewWorld(t, b, 1, 1)
	rows := w.Order(t)
	for _, noun := range rows {
		w.Fill(t, noun, false)
		write(t, b, w.Shop, func(tx app.Tx) error { return tx.Insert(noun) })
		wantStored(t, b, w, noun)
	}
	for _, noun := range rows {
		w.Fill(t, noun, true)
		if zero := zeroFields(t, noun); len(zero) > 0 {
			t.Errorf("%s: the filler leaves %v empty", noun.TableName(), zero)
		}
		write(t, b, w.Shop, func(tx app.Tx) error { return tx.Advance(noun) })
		wantStored(t, b, w, noun)
	}
	for _, noun := range rows {
		w.Fill(t, noun, false)
		write(t, b, w.Shop, func(tx app.Tx) error { return tx.Advance(noun) })
		wantStored(t, b, w, noun)
	}
	runFullInsert(t, b)
	runWords(t, b, w)
}

// runFullInsert inserts rows with everything set, all that they refer to
// being there before.
func runFullInsert(t *testing.T, b *Backend) {
	w := Populate(t, b, 2, 1)
	done := 0
	for _, noun := range Nouns() {
		table := w.Catalog[noun.TableName()]
		if len(table.Same) > 0 || referred(table, "id") != "" {
			continue // one row a job: its full row is an Advance above
		}
		if len(table.Uniques) > 0 {
			continue // the same names and numbers are taken
		}
		w.Fill(t, noun, true)
		own := w.IDs[table.Name]
		w.IDs[table.Name] = testID(0x77, done)
		noun.(interface{ SetKey(string) }).SetKey(w.IDs[table.Name])
		write(t, b, w.Shop, func(tx app.Tx) error { return tx.Insert(noun) })
		wantStored(t, b, w, noun)
		w.IDs[table.Name] = own
		done++
	}
	if done < 20 {
		t.Errorf("only %d nouns were inserted full", done)
	}
}

func wantStored(t *testing.T, b *Backend, w *World, noun app.Noun) {
	t.Helper()
	got := reflect.New(reflect.TypeOf(noun).Elem()).Interface().(app.Noun)
	read(t, b, w.Shop, func(tx app.Tx) error { return tx.Load(got, noun.Key()) })
	// No bytes and an empty row of bytes are the same thing.
	if diff := cmp.Diff(noun, got, cmp.Comparer(bytes.Equal)); diff != "" {
		t.Errorf("%s comes back changed (-want +got):\n%s", noun.TableName(), diff)
	}
	for _, f := range Fields(t, got) {
		value := f.ReflectValueOf(t.Context(), reflect.ValueOf(got).Elem())
		if value.Kind() == reflect.Pointer && value.IsNil() {
			continue
		}
		if at, ok := reflect.Indirect(value).Interface().(time.Time); ok && at.Location() != time.UTC {
			t.Errorf("%s.%s comes back in the zone %s", noun.TableName(), f.DBName, at.Location())
		}
	}
}

func zeroFields(t *testing.T, noun app.Noun) []string {
	var zero []string
	for _, f := range Fields(t, noun) {
		if f.ReflectValueOf(t.Context(), reflect.ValueOf(noun).Elem()).IsZero() && !slices.Contains(kept, f.DBName) {
			zero = append(zero, f.DBName)
		}
	}
	return zero
}

// runWords proves that the database allows exactly the words of the nouns'
// closed sets.
func runWords(t *testing.T, b *Backend, w *World) {
	enums, seen := Enums(), map[reflect.Type]bool{}
	for _, noun := range Nouns() {
		table := w.Catalog[noun.TableName()]
		for _, f := range Fields(t, noun) {
			values, ok := enums[f.FieldType]
			allowed := slices.Sorted(slices.Values(table.Words[f.DBName]))
			if !ok {
				continue
			}
			seen[f.FieldType] = true
			want := slices.Sorted(slices.Values(values))
			if slices.Contains(allowed, "") && !slices.Contains(want, "") {
				want = append([]string{""}, want...)
			}
			if diff := cmp.Diff(want, allowed); diff != "" {
				t.Errorf("%s.%s: the words of %s against the column's (-want +got):\n%s", table.Name, f.DBName, f.FieldType, diff)
			}
		}
	}
	for enum := range enums {
		// Roles stand in a list, which no CHECK looks into.
		if !seen[enum] && enum.Name() != "Role" {
			t.Errorf("no column holds a %s", enum)
		}
	}
}
