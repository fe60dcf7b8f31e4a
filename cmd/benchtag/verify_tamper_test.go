package main

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
)

// burgled is a house whose database somebody else writes, past every trigger
// and constraint.
type burgled struct {
	*house
	conn   *sql.Conn
	shop   shop.ShopID
	tables []string
	key    journal.SigningKey
	anchor app.OutsideAnchor // the customer's receipt
	photos string            // folder of the pictures
}

// keysAlone are the keys of a shop without the file beside them: what is
// known from outside is only what a test gives.
type keysAlone struct{ app.Anchors }

func (keysAlone) Last(shop.ShopID) (string, error) { return "", nil }

func openBurgled(t *testing.T, dsn string) *burgled {
	b := &burgled{house: openHouse(t, dsn)}
	var err error
	b.shop, err = b.store.ShopBySlug(t.Context(), "lane")
	b.must(err)
	b.photos = t.TempDir()
	blobs, err := photo.OpenFolder(b.photos)
	b.must(err)
	b.app.Blobs = blobs
	b.conn, err = b.raw.Conn(t.Context())
	b.must(err)
	t.Cleanup(func() { _ = b.conn.Close() })
	if dsn == "" {
		for _, trigger := range b.texts("SELECT name FROM sqlite_master WHERE type = 'trigger'") {
			b.sql("DROP TRIGGER " + trigger)
		}
		b.sql("PRAGMA foreign_keys = off")
		b.tables = b.texts("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose%'")
	} else {
		b.sql("SET session_replication_role = replica")
		b.tables = b.texts("SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema() AND table_name NOT LIKE 'goose%'")
	}
	keys, err := b.app.Anchors.Signing(journal.Origin(string(b.shop)))
	b.must(err)
	b.key = keys[0]
	return b
}

// sql runs a statement of the burglar; ? stands for $1 and so on.
func (b *burgled) sql(statement string, args ...any) {
	b.t.Helper()
	if b.dsn != "" {
		for n := 1; strings.Contains(statement, "?"); n++ {
			statement = strings.Replace(statement, "?", "$"+strconv.Itoa(n), 1)
		}
	}
	if _, err := b.conn.ExecContext(b.t.Context(), statement, args...); err != nil {
		b.t.Fatalf("%s: %v", statement, err)
	}
}

// save copies every table; restore puts the copies back, as an old backup.
func (b *burgled) save(name string) {
	for _, table := range b.tables {
		b.sql("CREATE TABLE zz_" + name + "_" + table + " AS SELECT * FROM " + table)
	}
}

func (b *burgled) restore(name string) {
	for _, table := range b.tables {
		b.sql("DELETE FROM " + table)
		b.sql("INSERT INTO " + table + " SELECT * FROM zz_" + name + "_" + table)
	}
}

// audit checks the shop as benchtag verify does.
func (b *burgled) audit(anchors ...app.OutsideAnchor) app.AuditReport {
	b.t.Helper()
	a := app.New(app.Options{Store: b.store, Source: source{}, Anchors: keysAlone{b.app.Anchors}, Blobs: b.app.Blobs})
	r, err := a.Audit(context.Background(), b.shop, app.AuditWanted{Anchors: anchors})
	b.must(err)
	return r
}

// answer lets the customer say yes to a new offer and gives the receipt.
func (b *burgled) answer(n int) app.OutsideAnchor {
	b.t.Helper()
	b.offerMade()
	path := b.link()
	if got := b.request(n, "POST", path+"/decide", b.yes(), formType); got.status != 303 {
		b.t.Fatalf("the answer: %d %s", got.status, got.body)
	}
	got := b.request(n, "GET", path+"/receipt", "", nil)
	if got.status != 200 || got.header.Get("Cache-Control") != "no-store" || !strings.HasPrefix(got.header.Get("Content-Disposition"), "attachment") {
		b.t.Fatalf("the receipt: %d %v %s", got.status, got.header, got.body)
	}
	r, err := journal.ParseReceipt([]byte(got.body))
	b.must(err)
	if v := journal.VerifyReceipt(r, b.key.Verifier()); !v.OK() {
		b.t.Fatalf("the receipt does not hold: %s", v.Reason)
	}
	if words := recordWords(r.Record.Bytes); !strings.Contains(words, "    Answer: YES, to “") || strings.Contains(words, "_") {
		b.t.Fatalf("the record of a real answer is not put into words:\n%s", words)
	}
	return app.OutsideAnchor{Name: "the customer's receipt", Note: string(r.Proof.Checkpoint), Receipt: &r}
}

// photographed stores a drawn picture with the job, and gives its file and
// what is in it.
func (b *burgled) photographed(name string) (path string, content []byte) {
	b.t.Helper()
	b.play(`
uuid SHOT
put /v1/jobs/${JOB}/photos/${SHOT} '{"shows":"Drawn.","file_name":"drawn.png","captured_at":"2026-03-02T09:00:00Z"}'
status 201
picture ${JOB} ${SHOT} ` + name + `
let SUM stored_sha256
`)
	path = filepath.Join(b.photos, filepath.FromSlash(app.PhotoKey(b.shop, shop.PhotoID(b.vars["SHOT"]), b.vars["SUM"])))
	content, err := os.ReadFile(path)
	b.must(err)
	return path, content
}

// storedEntry is an entry as the burglar reads and writes it.
type storedEntry struct {
	stream string
	seq    int64
	header journal.Header
	salt   journal.Salt
	body   []byte
}

// forge writes the whole journal anew with changed entries: chains, tree and
// checkpoints all fit. It signs with the key it is given.
func (b *burgled) forge(key journal.SigningKey, change func([]storedEntry) []storedEntry) {
	b.t.Helper()
	sizes := b.texts("SELECT tree_size FROM journal_checkpoints ORDER BY tree_size")
	var list []storedEntry
	b.must(b.store.Read(b.t.Context(), b.shop, func(tx app.Tx) error {
		leaves, err := tx.Leaves(0, 100_000)
		for _, l := range leaves {
			h, err := journal.Decode(l.Header)
			if err != nil {
				return err
			}
			entries, err := tx.Entries(l.StreamID, l.Sequence-1, 1)
			if err != nil {
				return err
			}
			list = append(list, storedEntry{l.StreamID, l.Sequence, h, journal.Salt(entries[0].Salt), entries[0].Body})
		}
		return err
	}))
	list = change(list)
	for _, table := range []string{"journal_nodes", "journal_checkpoints", "journal_leaves"} {
		b.sql("DELETE FROM "+table+" WHERE shop_id = ?", string(b.shop))
	}
	heads := map[string]journal.Head{}
	var tree journal.Frontier
	for i, e := range list {
		head, there := heads[e.stream]
		if !there {
			head = journal.Start(e.header.Stream)
		}
		made, next, err := journal.Append(head, journal.Draft{Time: e.header.Time, Actor: e.header.Actor, Event: e.header.Event, Subject: e.header.Subject}, e.salt, e.body)
		b.must(err)
		heads[e.stream] = next
		b.sql("UPDATE journal_entries SET header = ?, hash = ?, happened_at = ? WHERE shop_id = ? AND stream_id = ? AND sequence = ?",
			made.Bytes, made.Hash[:], e.header.Time, string(b.shop), e.stream, next.Sequence)
		b.sql("UPDATE journal_bodies SET body = ?, salt = ? WHERE shop_id = ? AND stream_id = ? AND sequence = ?", e.body, e.salt[:], string(b.shop), e.stream, next.Sequence)
		b.sql("INSERT INTO journal_leaves (shop_id, leaf_index, stream_id, sequence) VALUES (?, ?, ?, ?)", string(b.shop), i, e.stream, next.Sequence)
		for _, n := range tree.Append(made.Hash) {
			b.sql("INSERT INTO journal_nodes (shop_id, position, hash) VALUES (?, ?, ?)", string(b.shop), n.ID.Position(), n.Hash[:])
		}
		for _, size := range sizes {
			if fmt.Sprint(tree.Size()) != strings.Trim(size, "[]") {
				continue
			}
			root := tree.Root()
			note, err := journal.SignCheckpoint(journal.Checkpoint{Origin: journal.Origin(string(b.shop)), Size: tree.Size(), Root: root}, key)
			b.must(err)
			b.sql("INSERT INTO journal_checkpoints (shop_id, tree_size, root_hash, note, signed_at) VALUES (?, ?, ?, ?, ?)", string(b.shop), tree.Size(), root[:], []byte(note), time.Now().UTC())
		}
	}
	for stream, head := range heads {
		b.sql("UPDATE journal_heads SET sequence = ?, hash = ? WHERE shop_id = ? AND stream_id = ?", head.Sequence, head.Hash[:], string(b.shop), stream)
	}
}

// later moves an entry of the visit's journal by an hour; a forger's change.
func later(at int) func([]storedEntry) []storedEntry {
	return func(list []storedEntry) []storedEntry {
		list[at].header.Time = list[at].header.Time.Add(-time.Hour)
		return list
	}
}

// TestEveryTamperIsFound lets somebody with the whole database do each of
// eleven things to it, plainly and then cleverly, and checks what is found
// with a customer's receipt in hand and without one. What only the receipt
// shows is what the report without one says that it cannot tell.
func TestEveryTamperIsFound(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		b := openBurgled(t, dsn)
		first := b.answer(1)
		picture, shown := b.photographed("broken_guide")
		_, another := b.photographed("long_chain")
		b.must(b.app.TendJournal(t.Context(), b.shop))
		b.save("old")
		b.anchor = b.answer(2)
		b.must(b.app.TendJournal(t.Context(), b.shop))
		b.save("good")
		if r := b.audit(first, b.anchor); !r.OK || r.AnchoredTo == 0 || r.Answers < 2 || r.Rows < 10 {
			t.Fatalf("before anything was done: %s", auditWords(r))
		}
		stranger, err := journal.NewSigningKey(journal.Origin(string(b.shop)), [32]byte{9})
		b.must(err)
		order := b.vars["ORDER"]
		entry := " WHERE stream_id = '" + order + "' AND sequence = "
		place := func(seq int) int64 {
			n, err := strconv.ParseInt(strings.Trim(b.texts("SELECT leaf_index FROM journal_leaves" + entry + strconv.Itoa(seq))[0], "[]"), 10, 64)
			b.must(err)
			return n
		}
		answered := b.anchor.Receipt.Proof.Index
		inOrder := func(b *burgled) { // writes the tail as the receipt's customer never saw it
			b.forge(b.key, func(list []storedEntry) []storedEntry {
				for i := range list {
					if i >= answered {
						list[i].salt[0]++
					}
				}
				return list
			})
		}
		cases := []struct {
			name   string
			do     func()
			what   string // the kind of the first fault, with the receipt
			leaf   int64  // and its place; -1 for anywhere
			hidden bool   // not found without the receipt
		}{
			{"edit an entry", func() { b.sql("UPDATE journal_entries SET header = ?"+entry+"3", []byte("benchtag-journal 1\n")) }, "hash_mismatch", place(3), false},
			{"edit what an entry says", func() { b.sql("UPDATE journal_bodies SET salt = ?"+entry+"3", bytes.Repeat([]byte{1}, 32)) }, "commitment_mismatch", place(3), false},
			{"edit a row", func() { b.sql("UPDATE lines SET minutes = minutes + 60 WHERE id = '" + b.vars["LINE"] + "'") }, "row_changed", -1, false},
			{"delete an entry", func() {
				for _, table := range []string{"journal_leaves", "journal_bodies", "journal_entries"} {
					b.sql("DELETE FROM " + table + entry + "3")
				}
			}, "", -1, false},
			{"delete a row", func() { b.sql("DELETE FROM lines WHERE id = '" + b.vars["LINE"] + "'") }, "row_missing", -1, false},
			{"insert an entry", func() {
				b.sql("INSERT INTO journal_entries SELECT shop_id, stream_id, sequence + 1000, header, hash, happened_at, actor_kind, actor_id, kind, subject, subject_id, subject_version FROM journal_entries" + entry + "3")
			}, "", -1, false},
			{"insert a row", func() {
				b.sql("UPDATE lines SET id = '0190c7a2-0000-7000-8000-00000000dead' WHERE id = '" + b.vars["LINE"] + "'")
				b.sql("INSERT INTO lines SELECT * FROM zz_good_lines WHERE id = '" + b.vars["LINE"] + "'")
			}, "row_unjournaled", -1, false},
			{"reorder", func() {
				b.sql("UPDATE journal_entries SET header = (SELECT header FROM zz_good_journal_entries" + entry + "3), hash = (SELECT hash FROM zz_good_journal_entries" + entry + "3)" + entry + "2")
				b.sql("UPDATE journal_entries SET header = (SELECT header FROM zz_good_journal_entries" + entry + "2), hash = (SELECT hash FROM zz_good_journal_entries" + entry + "2)" + entry + "3")
			}, "", place(2), false},
			{"reorder, and make the hashes fit", func() {
				b.forge(stranger, func(list []storedEntry) []storedEntry {
					list[2].body, list[3].body = list[3].body, list[2].body
					list[2].header.Subject, list[3].header.Subject = list[3].header.Subject, list[2].header.Subject
					return list
				})
			}, "", -1, false},
			{"truncate the tail", func() { b.sql("DELETE FROM journal_entries WHERE stream_id = '" + order + "' AND sequence > 3") }, "", -1, false},
			{"restore an old backup", func() { b.restore("old") }, "truncated", -1, true},
			{"fork: another history after the backup", func() { inOrder(b) }, "anchor_mismatch", int64(answered), true},
			{"swap shops", func() {
				b.sql("UPDATE journal_entries SET header = ?"+entry+"3", bytes.ReplaceAll(b.anchor.Receipt.Header, []byte(b.shop), []byte("0190c7a2-0000-7000-8000-0000000000ff")))
			}, "", place(3), false},
			{"swap shops: another's checkpoints", func() {
				b.sql("UPDATE journal_checkpoints SET note = ?", []byte(foreignNote(t)))
			}, "checkpoint_false", -1, false},
			{"shift the clock beside an entry", func() {
				b.sql("UPDATE journal_entries SET happened_at = ?"+entry+"3", time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC))
			}, "columns_mismatch", place(3), false},
			{"shift the clock, and make the hashes fit without the key", func() { b.forge(stranger, later(4)) }, "checkpoint_false", -1, false},
			{"shift the clock, and make the hashes fit with the key", func() { b.forge(b.key, later(answered)) }, "anchor_mismatch", int64(answered), true},
			{"swap a signature: who signed", func() { b.sql("UPDATE consents SET typed_name = 'Somebody Else'") }, "row_changed", -1, false},
			{"swap a signature: the record", func() {
				b.sql("UPDATE journal_evidence SET record = (SELECT record FROM zz_good_journal_evidence ORDER BY consent_id LIMIT 1)")
			}, "record_mismatch", -1, false},
			{"swap a signature: the document", func() {
				b.sql("UPDATE offers SET document = (SELECT document FROM zz_good_offers ORDER BY id LIMIT 1)")
			}, "row_changed", -1, false},
			{"swap a photo: another under its name", func() { b.must(os.WriteFile(picture, another, 0o600)) }, "photo_mismatch", -1, false},
			{"swap a photo: one bit of it", func() {
				b.must(os.WriteFile(picture, slices.Concat(shown[:9], []byte{shown[9] ^ 1}, shown[10:]), 0o600))
			}, "photo_mismatch", -1, false},
			{"swap a photo: taken away", func() { b.must(os.Remove(picture)) }, "photo_mismatch", -1, false},
			{"swap a photo: and its row", func() {
				sum := app.HashText(string(another))
				b.must(os.WriteFile(filepath.Join(filepath.Dir(picture), sum), another, 0o600))
				b.sql("UPDATE photos SET stored_sha256 = ? WHERE stored_sha256 = ?", sum, filepath.Base(picture))
			}, "row_changed", -1, false},
			{"a leaf of the tree", func() { b.sql("UPDATE journal_nodes SET hash = ? WHERE position = 4", bytes.Repeat([]byte{7}, 32)) }, "tree_mismatch", 2, false},
			{"a checkpoint taken away with the end of the tree", func() { b.sql("DELETE FROM journal_nodes WHERE position > 6") }, "tree_mismatch", -1, false},
		}
		for _, c := range cases {
			c.do()
			with, without := b.audit(b.anchor), b.audit()
			b.restore("good")
			b.must(os.WriteFile(picture, shown, 0o600))
			if with.OK || c.what != "" && with.First.What != c.what || c.leaf >= 0 && with.First.Leaf != c.leaf {
				t.Errorf("%s: with a receipt, want %q at %d:\n%s", c.name, c.what, c.leaf, auditWords(with))
			}
			if without.OK != c.hidden {
				t.Errorf("%s: without a receipt, hidden %v:\n%s", c.name, c.hidden, auditWords(without))
			}
			if !strings.Contains(auditWords(without), "whether an older backup was put back, whether another history was kept") {
				t.Errorf("%s: the report does not say what it cannot tell", c.name)
			}
		}
		if r := b.audit(first, b.anchor); !r.OK {
			t.Fatalf("after all was put back: %s", auditWords(r))
		}
	})
}

func foreignNote(t *testing.T) string {
	key, err := journal.NewSigningKey(journal.Origin("0190c7a2-0000-7000-8000-0000000000ff"), [32]byte{3})
	if err != nil {
		t.Fatal(err)
	}
	note, err := journal.SignCheckpoint(journal.Checkpoint{Origin: journal.Origin("0190c7a2-0000-7000-8000-0000000000ff"), Size: 1}, key)
	if err != nil {
		t.Fatal(err)
	}
	return note
}
