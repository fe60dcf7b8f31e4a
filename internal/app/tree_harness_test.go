package app_test

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"benchtag/internal/anchor"
	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// treeHouse is a shop whose journal is signed for, with a key and checkpoints
// in a folder outside the database, and the database itself open to a vandal.
type treeHouse struct {
	*moneyBench
	opt    store.Options
	folder string
	files  *anchor.Files
	raw    *sql.DB
}

// onBothTrees runs a test over both databases.
func onBothTrees(t *testing.T, test func(t *testing.T, h *treeHouse)) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		test(t, newTreeHouse(t, store.Options{Folder: storetest.Folder(t)}))
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		test(t, newTreeHouse(t, store.Options{PostgresURL: storetest.Address(t)}))
	})
}

func newTreeHouse(t *testing.T, opt store.Options) *treeHouse {
	t.Helper()
	h := &treeHouse{moneyBench: newMoneyBenchOn(t, opt, nil), opt: opt, folder: t.TempDir()}
	h.files = openAnchors(t, h.folder)
	h.app.Anchors = h.files
	driver, address := "sqlite", "file:"+filepath.Join(opt.Folder, store.FileName)+"?_pragma=busy_timeout(5000)"
	if opt.PostgresURL != "" {
		driver, address = "pgx", opt.PostgresURL
	}
	var err error
	if h.raw, err = sql.Open(driver, address); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = h.raw.Close() })
	h.raw.SetMaxOpenConns(1)
	return h
}

func openAnchors(t *testing.T, folder string) *anchor.Files {
	t.Helper()
	files, err := anchor.Open(folder, time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// otherServer is another server over the same database, with files of its own
// but the same key.
func (h *treeHouse) otherServer() *app.App {
	h.t.Helper()
	opt := h.opt
	opt.Now = h.clock.Now
	s, err := store.Open(opt)
	if err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { _ = s.Close() })
	return app.New(app.Options{Store: s, Source: moneySource{}, Tokens: moneyTokens{}, Anchors: h.files})
}

// vandal runs statements as the owner of the tables whom no trigger stops.
func (h *treeHouse) vandal(statements ...string) {
	h.t.Helper()
	if h.opt.PostgresURL != "" {
		statements = append([]string{"SET session_replication_role = replica"}, statements...)
	} else {
		rows, err := h.raw.Query("SELECT name FROM sqlite_master WHERE type = 'trigger'")
		if err != nil {
			h.t.Fatal(err)
		}
		var drop []string
		for rows.Next() {
			var name string
			if err := rows.Scan(&name); err != nil {
				h.t.Fatal(err)
			}
			drop = append(drop, "DROP TRIGGER "+name)
		}
		_ = rows.Close()
		statements = append(drop, statements...)
	}
	for _, s := range statements {
		if _, err := h.raw.Exec(s); err != nil {
			h.t.Fatalf("%s: %v", s, err)
		}
	}
}

// blob is bytes as a literal of the database.
func (h *treeHouse) blob(b []byte) string {
	if h.opt.PostgresURL != "" {
		return fmt.Sprintf(`'\x%x'`, b)
	}
	return fmt.Sprintf("x'%x'", b)
}

// cutBack takes the database back to a tree of so many leaves, as an old
// backup of it would.
func (h *treeHouse) cutBack(size int64) {
	h.t.Helper()
	later := fmt.Sprintf("(SELECT l.stream_id, l.sequence FROM journal_leaves l WHERE l.leaf_index >= %d)", size)
	h.vandal("DELETE FROM journal_pending",
		"DELETE FROM journal_bodies WHERE (stream_id, sequence) IN "+later,
		"DELETE FROM journal_entries WHERE (stream_id, sequence) IN "+later,
		fmt.Sprintf("DELETE FROM journal_leaves WHERE leaf_index >= %d", size),
		fmt.Sprintf("DELETE FROM journal_checkpoints WHERE tree_size > %d", size),
		"DELETE FROM journal_nodes",
		`UPDATE journal_heads SET sequence = (SELECT coalesce(max(e.sequence), 0) FROM journal_entries e WHERE e.stream_id = journal_heads.stream_id)`,
		`UPDATE journal_heads SET hash = (SELECT e.hash FROM journal_entries e WHERE e.stream_id = journal_heads.stream_id AND e.sequence = journal_heads.sequence) WHERE sequence > 0`,
		"DELETE FROM journal_heads WHERE sequence = 0")
	h.plant()
}

// plant writes the nodes of the tree anew from the entries' stored hashes.
func (h *treeHouse) plant() {
	h.t.Helper()
	var tree journal.Frontier
	for _, e := range h.leaves() {
		for _, n := range tree.Append(journal.Hash(e.Hash)) {
			h.vandalQuietly(fmt.Sprintf("INSERT INTO journal_nodes (shop_id, position, hash) VALUES ('%s', %d, %s)", h.who.ShopID, n.ID.Position(), h.blob(n.Hash[:])))
		}
	}
}

func (h *treeHouse) vandalQuietly(statement string) {
	h.t.Helper()
	if _, err := h.raw.Exec(statement); err != nil {
		h.t.Fatalf("%s: %v", statement, err)
	}
}

func (h *treeHouse) read(fn func(tx app.Tx) error) {
	h.t.Helper()
	if err := h.app.Store.Read(h.ctx, h.who.ShopID, fn); err != nil {
		h.t.Fatal(err)
	}
}

// leaves reads every entry that has a place, in the order of places.
func (h *treeHouse) leaves() (all []app.TreeEntry) {
	h.t.Helper()
	h.read(func(tx app.Tx) (err error) {
		all, err = tx.Leaves(0, 1_000_000)
		return err
	})
	return all
}

func (h *treeHouse) checkpoints() (all []app.StoredCheckpoint) {
	h.t.Helper()
	h.read(func(tx app.Tx) (err error) {
		all, err = tx.Checkpoints(-1, 1_000_000)
		return err
	})
	return all
}

func (h *treeHouse) tend() {
	h.t.Helper()
	if err := h.app.TendJournal(h.ctx, h.who.ShopID); err != nil {
		h.t.Fatal(err)
	}
}

// newCustomer is a change that writes one entry into the shop's stream.
func (h *treeHouse) newCustomer(on *app.App) error {
	_, err := on.AddCustomer(h.ctx, h.who, func(c *shop.Customer) {
		c.Name, c.Kind, c.ContactBy = "Wren Ashdown", shop.CustomerKindPerson, shop.ContactByPhone
	})
	return err
}

// sound holds the stored tree against the definition: every committed entry
// has one place and no other has one, each stream lies in its order, the
// nodes give the root of RFC 6962, and every checkpoint is signed, and of a
// beginning of this tree.
func (h *treeHouse) sound(committed int) {
	h.t.Helper()
	var entries, pending int
	for text, dest := range map[string]*int{"SELECT count(*) FROM journal_entries": &entries, "SELECT count(*) FROM journal_pending": &pending} {
		if err := h.raw.QueryRow(text).Scan(dest); err != nil {
			h.t.Fatal(err)
		}
	}
	leaves := h.leaves()
	if entries != committed || len(leaves) != committed || pending != 0 {
		h.t.Fatalf("%d changes committed, %d entries, %d leaves, %d pending", committed, entries, len(leaves), pending)
	}
	hashes := make([]journal.Hash, len(leaves))
	last := map[string]int64{}
	for i, e := range leaves {
		hashes[i] = journal.Leaf(e.Header)
		if e.Index != int64(i) || e.Sequence != last[e.StreamID]+1 || !bytes.Equal(e.Hash, hashes[i][:]) || !bytes.Equal(e.Node, e.Hash) {
			h.t.Fatalf("leaf %d: %+v, after %d", i, e, last[e.StreamID])
		}
		last[e.StreamID] = e.Sequence
	}
	h.soundCheckpoints(hashes)
}

func (h *treeHouse) soundCheckpoints(hashes []journal.Hash) {
	h.t.Helper()
	h.read(func(tx app.Tx) error {
		tree, err := journal.ReadFrontier(int64(len(hashes)), tx.Nodes)
		if err == nil && tree.Root() != journal.TreeHash(hashes) {
			h.t.Fatal("the nodes do not give the root")
		}
		return err
	})
	keys, err := h.files.Signing(journal.Origin(string(h.who.ShopID)))
	if err != nil {
		h.t.Fatal(err)
	}
	for _, c := range h.checkpoints() {
		signed, _, err := journal.OpenCheckpoint(c.Note, keys[0].Verifier())
		if err != nil || signed.Size != c.Size || signed.Root != c.Root || c.Root != journal.TreeHash(hashes[:c.Size]) {
			h.t.Fatalf("checkpoint of %d: %+v, %v", c.Size, signed, err)
		}
	}
}

// flaky is a store whose writes fail at their end when told to.
type flaky struct {
	app.Store
	fail error
}

func (f *flaky) Write(ctx context.Context, scope shop.ShopID, fn func(context.Context, app.Tx) error) error {
	return f.Store.Write(ctx, scope, func(ctx context.Context, tx app.Tx) error {
		if err := fn(ctx, tx); err != nil {
			return err
		}
		return f.fail
	})
}
