package storetest

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"

	"gorm.io/gorm/schema"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Fields gives the columns of a noun as gorm maps them.
func Fields(t testing.TB, noun app.Noun) []*schema.Field {
	t.Helper()
	s, err := schema.Parse(noun, &sync.Map{}, schema.NamingStrategy{})
	if err != nil {
		t.Fatalf("read the fields of %T: %v", noun, err)
	}
	fields := make([]*schema.Field, 0, len(s.Fields))
	for _, f := range s.Fields {
		if f.DBName != "" {
			fields = append(fields, f)
		}
	}
	return fields
}

// kept are the columns that the store itself fills.
var kept = []string{"shop_id", "version", "created_at", "updated_at"}

// World is a shop that holds one row of every noun.
type World struct {
	Shop    shop.ShopID
	Series  int
	Catalog Catalog
	IDs     map[string]string // of the row in each table
}

// NewWorld makes a shop without rows. Worlds of one series have the same ids.
func NewWorld(t testing.TB, b *Backend, number, series int) *World {
	t.Helper()
	w := &World{Shop: NewShop(t, b, number), Series: series, Catalog: ReadCatalog(t, b), IDs: map[string]string{}}
	for i, name := range w.Catalog.Names() {
		w.IDs[name] = testID(series, i)
	}
	w.IDs["shops"] = string(w.Shop)
	w.alias()
	return w
}

// alias gives tables whose id is another's row that row's id.
func (w *World) alias() {
	for name, table := range w.Catalog {
		if ref := referred(table, "id"); ref != "" {
			w.IDs[name] = w.IDs[ref]
		}
		for _, same := range table.Same {
			if ref := referred(table, same[1]); ref != "" {
				w.IDs[name] = w.IDs[ref]
			}
		}
	}
}

// Populate makes a shop with one row of every noun, every field set, and
// rows in the tables that are no nouns.
func Populate(t testing.TB, b *Backend, number, series int) *World {
	t.Helper()
	w := NewWorld(t, b, number, series)
	rows := w.Order(t)
	write(t, b, w.Shop, func(tx app.Tx) error {
		for _, noun := range rows {
			w.Fill(t, noun, false)
			if err := tx.Insert(noun); err != nil {
				return fmt.Errorf("insert the empty %s: %w", noun.TableName(), err)
			}
		}
		for _, noun := range rows {
			w.Fill(t, noun, true)
			if err := tx.Advance(noun); err != nil {
				return fmt.Errorf("fill the %s: %w", noun.TableName(), err)
			}
		}
		return w.system(tx)
	})
	w.raw(t, b)
	return w
}

// system writes to the tables that are no nouns, through the store.
func (w *World) system(tx app.Tx) error {
	if _, err := tx.Number("work_order"); err != nil {
		return err
	}
	if _, err := tx.CustomerKey(shop.CustomerID(w.IDs["customers"]), [32]byte{1}); err != nil {
		return err
	}
	if err := tx.Remember(app.IdempotencyKey{Actor: w.IDs["staff"], Route: "r", KeyHash: "k"},
		app.StoredAnswer{Fingerprint: "canary", Status: 200, Body: []byte("canary")}); err != nil {
		return err
	}
	head, err := tx.Lock(w.Stream())
	if err != nil {
		return err
	}
	if err := note(tx, head, w.IDs["staff"]); err != nil {
		return err
	}
	return tx.AddEvidence(app.Evidence{ConsentID: shop.ConsentID(w.IDs["consents"]), Version: 1, Salt: journal.Salt{1}, Record: []byte("canary")})
}

// Stream is the journal of the world's work order.
func (w *World) Stream() journal.Stream {
	return journal.Stream{ShopID: string(w.Shop), Kind: journal.WorkOrder, ID: w.IDs["work_orders"]}
}

// note appends one entry after head.
func note(tx app.Tx, head journal.Head, staff string) error {
	draft := journal.Draft{Time: tx.Now(), Actor: journal.Actor{Kind: journal.Staff, ID: staff}, Event: "job.changed",
		Subject: journal.Subject{Noun: "jobs", ID: staff, Version: 1}}
	salt, body := journal.Salt{byte(head.Sequence), 1}, []byte("canary")
	entry, next, err := journal.Append(head, draft, salt, body)
	if err != nil {
		return err
	}
	return tx.Append(entry, journal.Body{Salt: salt, Bytes: body}, next, "")
}

// raw writes to the tables that the store fills by other ways or not yet.
func (w *World) raw(t testing.TB, b *Backend) {
	t.Helper()
	insert := func(table string, columns []string, values ...any) {
		t.Helper()
		text := "INSERT INTO " + table + " (" + join(columns) + ") VALUES (" + marks(b, len(values)) + ")"
		if _, err := b.Raw.ExecContext(t.Context(), text, values...); err != nil {
			t.Fatalf("insert into %s: %v", table, err)
		}
	}
	insert("journal_leaves", []string{"shop_id", "leaf_index", "stream_id", "sequence"}, w.Shop, 0, w.IDs["work_orders"], 1)
	insert("journal_nodes", []string{"shop_id", "position", "hash"}, w.Shop, 0, make([]byte, 32))
	insert("journal_checkpoints", []string{"shop_id", "tree_size", "root_hash", "note", "signed_at"}, w.Shop, 1, make([]byte, 32), []byte("note"), start)
	insert("customer_archives", []string{"shop_id", "customer_id", "sealed", "created_at"}, w.Shop, w.IDs["customers"], []byte("canary"), start)
	insert("erasures", []string{"shop_id", "customer_id", "erased_at", "photo_ids"}, w.Shop, w.IDs["customers"], start, "[]")
	insert("personal_reads", []string{"shop_id", "id", "staff_id", "read_at", "operation", "subject", "subject_ids", "reason"},
		w.Shop, w.IDs["personal_reads"], w.IDs["staff"], start, "getCustomer", "customers", "[]", "")
}

// Order lists fresh nouns so that what a row must refer to comes before it.
func (w *World) Order(t testing.TB) []app.Noun {
	t.Helper()
	left := Nouns()
	done := map[string]bool{}
	var order []app.Noun
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(n app.Noun) bool { return w.ready(n.TableName(), done) })
		if i < 0 {
			t.Fatalf("%d tables must refer to each other in a ring, e.g. %s", len(left), left[0].TableName())
		}
		order, done[left[i].TableName()] = append(order, left[i]), true
		left = append(left[:i], left[i+1:]...)
	}
	return order
}

// ready reports whether everything that a table must refer to is there.
func (w *World) ready(name string, done map[string]bool) bool {
	table := w.Catalog[name]
	for _, f := range table.Foreign {
		column, _ := table.Column(f.Columns[len(f.Columns)-1])
		if f.Table != name && f.Table != "shop_slugs" && !column.Null && !done[f.Table] {
			return false
		}
	}
	return true
}

// referred names the table that a column refers to, or "".
func referred(table Table, column string) string {
	for _, f := range table.Foreign {
		if f.Columns[len(f.Columns)-1] == column && column != "shop_id" {
			return f.Table
		}
	}
	return ""
}

// Fill sets the fields of a noun: all of them to something, or, where full
// is false, only those that cannot be empty.
func (w *World) Fill(t testing.TB, noun app.Noun, full bool) {
	t.Helper()
	table := w.Catalog[noun.TableName()]
	for i, f := range Fields(t, noun) {
		if slices.Contains(kept, f.DBName) {
			continue
		}
		place := f.ReflectValueOf(context.Background(), reflect.ValueOf(noun).Elem())
		column, ok := table.Column(f.DBName)
		ref := referred(table, f.DBName)
		switch {
		case f.DBName == "id":
			place.SetString(w.IDs[table.Name])
		case ok && ref != "" && (full || !column.Null):
			place.SetString(w.IDs[ref])
		case ref != "":
			place.SetString("")
		case len(table.Words[f.DBName]) > 0:
			place.SetString(pick(table.Words[f.DBName], full))
		case full:
			set(t, place, f.DBName, i)
		default:
			place.SetZero()
		}
	}
}

// pick gives a word that is something, or the emptiest one that is allowed.
func pick(words []string, full bool) string {
	if !full && slices.Contains(words, "") {
		return ""
	}
	for _, w := range slices.Backward(words) {
		if w != "" {
			return w
		}
	}
	return ""
}

// set gives any field a value that is not its zero.
func set(t testing.TB, v reflect.Value, name string, n int) {
	t.Helper()
	switch v.Interface().(type) {
	case time.Time:
		v.Set(reflect.ValueOf(start.Add(time.Duration(n)*time.Hour + time.Duration(n)*time.Microsecond)))
		return
	case shop.Date:
		v.SetString(fmt.Sprintf("2026-03-%02d", n%28+1))
		return
	case []byte:
		v.SetBytes([]byte{0, byte(n), 0xff, '\''})
		if name == "document" { // what has to be read as JSON, and bytes that are no text in it
			v.SetBytes([]byte("{\"job\":\"" + string(rune('a'+n)) + "\xff'\"}"))
		}
		return
	case []shop.Role:
		v.Set(reflect.ValueOf([]shop.Role{shop.RoleOwner, shop.RoleTechnician}))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(clip(fmt.Sprintf("%dé'%s\n☂", n, name)))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int64:
		v.SetInt(int64(n + 1))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		set(t, v.Elem(), name, n)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range 2 {
			set(t, v.Index(i), name, n+i)
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		set(t, key, name, n)
		set(t, value, name, n+1)
		v.SetMapIndex(key, value)
	case reflect.Struct:
		for i := range v.NumField() {
			set(t, v.Field(i), name, n+i)
		}
	default:
		t.Fatalf("the field %s has a kind that the suite cannot fill: %s", name, v.Type())
	}
}

// clip keeps a text within the shortest bound that a column has.
func clip(text string) string {
	r := []rune(text)
	if len(r) > 30 {
		r = r[:30]
	}
	return string(r)
}

func join(names []string) string {
	text := ""
	for i, n := range names {
		if i > 0 {
			text += ", "
		}
		text += `"` + n + `"`
	}
	return text
}

// marks writes n placeholders as the database wants them.
func marks(b *Backend, n int) string {
	text := ""
	for i := range n {
		if i > 0 {
			text += ", "
		}
		text += mark(b, i+1)
	}
	return text
}

func mark(b *Backend, n int) string {
	if b.Postgres {
		return fmt.Sprintf("$%d", n)
	}
	return "?"
}
