package app_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gorm.io/gorm/schema"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/store/storetest"
)

// notOfACustomer are tables below a work order that an export leaves out.
var notOfACustomer = map[string]string{
	"bench_times": "how long the shop's people were clocked on tells of them, not of the customer",
}

// elsewhere are personal columns that are no column of a noun, and where the
// export has them, or why it has not.
var elsewhere = map[string]string{
	"security_events.ip":       "an address at which someone tried to sign in: no customer's",
	"journal_bodies.body":      "journal.jsonl",
	"journal_evidence.record":  "answers/",
	"customer_archives.sealed": "customer.json of a restricted customer",
	"idempotency_keys.answer":  "sealed under the sender's own key, which is not kept",
}

// TestBelongingsAreEveryTable holds the list of what an export gives against
// the database: every table whose rows name a customer or a work order.
func TestBelongingsAreEveryTable(t *testing.T) {
	t.Parallel()
	have := app.BelongingTables()
	for _, noun := range storetest.Nouns() {
		name := noun.TableName()
		hangs := slices.ContainsFunc(storetest.Fields(t, noun), func(f *schema.Field) bool {
			return f.DBName == "work_order_id" || f.DBName == "customer_id"
		})
		if hangs != (slices.Contains(have, name) || notOfACustomer[name] != "") && name != "customers" && name != "intake_facts" {
			t.Errorf("%s: hangs off a customer is %v, among the belongings %v", name, hangs, slices.Contains(have, name))
		}
	}
	for name, class := range storetest.Privacy(t) {
		table, _, _ := strings.Cut(name, ".")
		if storetest.TellsOfAPerson(class) && !slices.Contains(have, table) && elsewhere[name] == "" {
			t.Errorf("%s tells of a person, and no part of the export has it", name)
		}
	}
}

// exportOf exports a customer and gives the files by name.
func (h *house) exportOf(t *testing.T, id shop.CustomerID) map[string]string {
	t.Helper()
	var out bytes.Buffer
	if err := h.ExportCustomer(t.Context(), h.person(auth.RoleOwner), id, app.Client{IP: "192.0.2.9"}, &out); err != nil {
		t.Fatal(err)
	}
	return unzipped(t, out.Bytes())
}

func unzipped(t *testing.T, text []byte) map[string]string {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(r)
		if err != nil {
			t.Fatalf("%s: %v", f.Name, err)
		}
		if _, twice := files[f.Name]; twice {
			t.Errorf("%s is there twice", f.Name)
		}
		files[f.Name] = string(content)
	}
	return files
}

// exportTables reads customer.json.
func exportTables(t *testing.T, files map[string]string) map[string][]map[string]any {
	t.Helper()
	var head struct {
		WhatThisIs string                      `json:"what_this_is"`
		CustomerID string                      `json:"customer_id"`
		Records    map[string][]map[string]any `json:"records"`
	}
	if err := json.Unmarshal([]byte(files[app.CustomerRows]), &head); err != nil {
		t.Fatalf("%v: %.300s", err, files[app.CustomerRows])
	}
	if head.WhatThisIs == "" || head.CustomerID == "" {
		t.Errorf("the file does not say what it is: %+v", head)
	}
	return head.Records
}

// TestExportIsWhole puts a text of its own into every personal column of two
// customers of one shop: the export of the one holds every text of theirs, in
// its own column, those of before in the journal, and none of the other's.
func TestExportIsWhole(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		id, canaries := h.settle(t, houseStart)
		theirs := h.world.Beside(t, h.backend, 7, app.BelongingTables()).Canaries(t, h.backend)
		files := h.exportOf(t, id)
		tables := exportTables(t, files)
		for name, canary := range canaries {
			if name == "the name before" {
				if !strings.Contains(files[app.CustomerJournal], canary) {
					t.Errorf("what the name was before is not in the journal's part: %s", files[app.CustomerJournal])
				}
				continue
			}
			table, column, _ := strings.Cut(name, ".")
			if len(tables[table]) != 1 {
				t.Fatalf("%s has %d rows in the export", table, len(tables[table]))
			}
			text, err := json.Marshal(tables[table][0][column])
			if err != nil || !strings.Contains(string(text), canary) {
				t.Errorf("%s is not in its column: %s", name, text)
			}
		}
		if diff := cmp.Diff(slices.Sorted(slices.Values(app.BelongingTables())), slices.Sorted(maps.Keys(tables))); diff != "" {
			t.Errorf("tables (-want +got):\n%s", diff)
		}
		for name, text := range files {
			if got := found([]byte(text), theirs); len(got) > 0 {
				t.Errorf("%s holds what is another customer's: %v", name, got)
			}
		}
		h.noted(t, id)
	})
}

// noted holds that one export left one note of each kind.
func (h *house) noted(t *testing.T, id shop.CustomerID) {
	t.Helper()
	for what, question := range map[string]string{
		"note among the reads": "SELECT count(*) FROM personal_reads WHERE operation = 'exportCustomer' AND reason = 'customer_asked' AND subject_ids LIKE '%' || ? || '%'",
		"entry in the journal": "SELECT count(*) FROM journal_entries WHERE kind = 'customer.exported' AND CAST(subject_id AS text) = ?",
		"event the owner sees": "SELECT count(*) FROM security_events WHERE kind = 'customer.exported' AND ip = '192.0.2.9' AND ? <> ''",
	} {
		if n := h.count(t, question, string(id)); n != 1 {
			t.Errorf("the export left %d times: %s", n, what)
		}
	}
}

// TestExportOfARestrictedCustomer gives what lies under seal too: a right to
// one's data does not end with the wish to be erased.
func TestExportOfARestrictedCustomer(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		id, canaries := h.settle(t, houseStart)
		delete(canaries, "the name before")
		if got, err := h.EraseCustomer(t.Context(), h.person(auth.RoleOwner), id, shop.EraseReasonAsked); err != nil || got.State != app.Restricted {
			t.Fatalf("%+v, %v", got, err)
		}
		files := h.exportOf(t, id)
		exportTables(t, files)
		if got := found([]byte(files[app.CustomerRows]), canaries); len(got) != len(canaries) {
			t.Errorf("only %d of %d texts are there", len(got), len(canaries))
		}
	})
}

// TestExportRefuses lists who and what is refused, and that nothing has been
// written or noted then.
func TestExportRefuses(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		id, _ := h.settle(t, houseStart.AddDate(-9, 0, 0))
		who := h.person(auth.RoleOwner)
		stale := who
		stale.AuthTime = h.clock.Now().Add(-6 * time.Minute)
		try := func(who auth.Principal, id shop.CustomerID, kind fault.Kind) {
			t.Helper()
			var out bytes.Buffer
			if err := h.ExportCustomer(t.Context(), who, id, app.Client{}, &out); !fault.Is(err, kind) || out.Len() > 0 {
				t.Errorf("%v, and %d bytes were written", err, out.Len())
			}
		}
		try(stale, id, fault.Unauthenticated)
		try(who, shop.CustomerID(signInSource{}.ID()), fault.NotFound)
		if _, err := h.EraseCustomer(t.Context(), who, id, shop.EraseReasonAsked); err != nil {
			t.Fatal(err)
		}
		try(who, id, fault.Conflict)
		if n := h.count(t, "SELECT count(*) FROM personal_reads WHERE operation = 'exportCustomer'"); n != 0 {
			t.Errorf("%d exports that were refused are noted", n)
		}
	})
}

// readsWhile is a store that says at each read how much has been written.
type readsWhile struct {
	app.Store
	written *counted
	at      []int
}

func (s *readsWhile) Read(ctx context.Context, scope shop.ShopID, fn func(app.Tx) error) error {
	s.at = append(s.at, s.written.n)
	return s.Store.Read(ctx, scope, fn)
}

// counted counts what is written to it and the largest piece.
type counted struct{ n, most int }

func (w *counted) Write(p []byte) (int, error) {
	w.n += len(p)
	w.most = max(w.most, len(p))
	return len(p), nil
}

// TestExportStreams exports ten thousand rows: they leave as they are read,
// page by page, and never lie in memory together.
func TestExportStreams(t *testing.T) {
	t.Parallel()
	h := sqliteHouse(t)
	id, _ := h.settle(t, houseStart)
	h.manyComplaints(t, 10_000)
	out := &counted{}
	watched := &readsWhile{Store: h.Store, written: out}
	h.Store = watched
	if err := h.ExportCustomer(t.Context(), h.person(auth.RoleOwner), id, app.Client{}, out); err != nil {
		t.Fatal(err)
	}
	pages, last := len(watched.at), 0
	for i, n := range watched.at {
		if n-last > out.n/4 {
			t.Errorf("between the reads %d and %d of %d, %d of %d bytes were held back", i-1, i, pages, n-last, out.n)
		}
		last = n
	}
	if pages < 50 || out.n < 500_000 || out.most > 1<<17 || last < out.n/2 {
		t.Errorf("%d reads, %d bytes, the largest piece %d, and %d written at the last read", pages, out.n, out.most, last)
	}
}

// manyComplaints copies the world's complaint, each with words that cannot be
// packed.
func (h *house) manyComplaints(t *testing.T, n int) {
	t.Helper()
	var names, values []string
	for _, c := range h.world.Catalog["complaints"].Columns {
		value := "c." + c.Name
		switch c.Name {
		case "id":
			value = "printf('01960000-0000-7000-8000-%012x', n.i)"
		case "words":
			value = "hex(randomblob(60))"
		}
		names, values = append(names, c.Name), append(values, value)
	}
	h.run(t, "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?) INSERT INTO complaints ("+
		strings.Join(names, ", ")+") SELECT "+strings.Join(values, ", ")+" FROM n CROSS JOIN complaints c", n)
}
