package main

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/store"
)

// TestFlippedBitsOfTheFileAreFound flips single bits all over the database's
// file. Each is found by the check of the shop or by SQLite's own, or changes
// nothing that the journal answers for.
func TestFlippedBitsOfTheFileAreFound(t *testing.T) {
	t.Parallel()
	b := openBurgled(t, "")
	b.anchor = b.answer(1)
	b.must(b.app.TendJournal(t.Context(), b.shop))
	want := journaledRows(b.house)
	b.sql("VACUUM")
	b.sql("PRAGMA wal_checkpoint(TRUNCATE)")
	file, err := os.ReadFile(filepath.Join(b.folder, store.FileName))
	b.must(err)
	spoilt := t.TempDir()
	counts := map[string]int{}
	step := len(file)/150 | 1
	if os.Getenv("BENCHTAG_LONG") != "" {
		step = 97
	}
	for at := 100; at < len(file); at += step {
		copied := append([]byte{}, file...)
		copied[at] ^= 1 << (at % 8)
		path := filepath.Join(spoilt, store.FileName)
		b.must(os.WriteFile(path, copied, 0o600))
		_ = os.Remove(path + "-wal")
		_ = os.Remove(path + "-shm")
		outcome := spoiltOutcome(b, spoilt, want)
		counts[outcome]++
		if outcome == "unexplained" {
			t.Errorf("bit %d of byte %d of %d: the journaled contents changed and nothing was found", at%8, at, len(file))
		}
	}
	t.Logf("%v", counts)
	if counts["found by the check"] == 0 || counts["no change"] == 0 {
		t.Errorf("%v: the flips did not reach the data", counts)
	}
}

// spoiltOutcome says what became of one flip.
func spoiltOutcome(b *burgled, folder string, want map[string][]string) string {
	s, err := store.Open(store.Options{Folder: folder, Now: b.clock.Now})
	if err != nil {
		return "will not open"
	}
	defer func() { _ = s.Close() }()
	a := app.New(app.Options{Store: s, Source: source{}, Anchors: keysAlone{b.app.Anchors}})
	r, err := a.Audit(context.Background(), b.shop, app.AuditWanted{Anchors: []app.OutsideAnchor{b.anchor}})
	if err != nil || !r.OK {
		return "found by the check"
	}
	if sqliteFinds(folder) {
		return "found by SQLite"
	}
	raw := &house{t: b.t, folder: folder}
	raw.raw = raw.openRaw()
	defer func() { _ = raw.raw.Close() }()
	if reflect.DeepEqual(journaledRows(raw), want) {
		return "no change"
	}
	return "unexplained"
}

// sqliteFinds asks SQLite itself.
func sqliteFinds(folder string) bool {
	file := url.URL{Scheme: "file", Path: filepath.Join(folder, store.FileName)}
	raw, err := sql.Open("sqlite", file.String())
	if err != nil {
		return true
	}
	defer func() { _ = raw.Close() }()
	for _, pragma := range []string{"PRAGMA integrity_check", "PRAGMA foreign_key_check"} {
		rows, err := raw.Query(pragma)
		if err != nil {
			return true
		}
		bad := false
		for rows.Next() {
			var words any
			if columns, _ := rows.Columns(); len(columns) > 1 || rows.Scan(&words) != nil || fmt.Sprint(words) != "ok" {
				bad = true
			}
		}
		if rows.Err() != nil || bad {
			_ = rows.Close()
			return true
		}
		_ = rows.Close()
	}
	return false
}

// journaledRows gives what the journal answers for: itself, and every table
// whose changes it tells of.
func journaledRows(h *house) map[string][]string {
	out := map[string][]string{}
	tables := []string{"journal_entries", "journal_bodies", "journal_leaves", "journal_nodes", "journal_evidence", "journal_heads"}
	for _, n := range app.JournaledNouns() {
		tables = append(tables, n.TableName())
	}
	for _, table := range tables {
		rows, err := h.raw.Query("SELECT * FROM " + table + " ORDER BY 1, 2, 3")
		if err != nil {
			return map[string][]string{"error": {err.Error()}}
		}
		columns, _ := rows.Columns()
		for rows.Next() {
			values := make([]any, len(columns))
			for i := range values {
				values[i] = new(any)
			}
			if err := rows.Scan(values...); err != nil {
				out[table] = append(out[table], err.Error())
				continue
			}
			var line strings.Builder
			for _, v := range values {
				fmt.Fprintf(&line, "%v|", *v.(*any))
			}
			out[table] = append(out[table], line.String())
		}
		if rows.Err() != nil {
			out[table] = append(out[table], rows.Err().Error())
		}
		_ = rows.Close()
	}
	return out
}
