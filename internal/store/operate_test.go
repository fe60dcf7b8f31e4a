package store_test

import (
	"context"
	"crypto/rand"
	"database/sql"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// TestNounsAreListed proves that the suite's list of nouns is that of
// package shop.
func TestNounsAreListed(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob(filepath.Join("..", "shop", "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var declared []string
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv != nil && fn.Name.Name == "TableName" {
				declared = append(declared, fn.Recv.List[0].Type.(*ast.Ident).Name)
			}
		}
	}
	var listed []string
	for _, noun := range storetest.Nouns() {
		listed = append(listed, strings.TrimPrefix(fmt.Sprintf("%T", noun), "*shop."))
	}
	slices.Sort(declared)
	slices.Sort(listed)
	if diff := cmp.Diff(declared, listed); diff != "" || len(declared) == 0 {
		t.Errorf("nouns of package shop against the suite's (-shop +suite):\n%s", diff)
	}
}

// TestSoundSQLite walks the versions around the defect, from sqlite.org/wal.html.
func TestSoundSQLite(t *testing.T) {
	t.Parallel()
	for version, want := range map[string]bool{
		"3.51.3": true, "3.51.4": true, "3.52.1": true, "3.53.0": true, "4.0.0": true,
		"3.51.2": false, "3.52.0": false, "3.50.9": false, "3.7.0": false, "2.9.9": false,
		"": false, "x": false, "3": false, "3.51": false,
	} {
		if got := store.SoundSQLite(version); got != want {
			t.Errorf("%q: got %v, want %v", version, got, want)
		}
	}
}

func TestDurability(t *testing.T) {
	t.Parallel()
	t.Run("sqlite as opened is durable", func(t *testing.T) {
		if err := sqlite(t).Store.CheckDurability(t.Context()); err != nil {
			t.Error(err)
		}
	})
	t.Run("postgres without a sync is refused", func(t *testing.T) {
		b := postgres(t)
		var fsync string
		if err := b.Raw.QueryRowContext(t.Context(), "SHOW fsync").Scan(&fsync); err != nil {
			t.Fatal(err)
		}
		err := b.Store.CheckDurability(t.Context())
		if fsync == "on" && err != nil || fsync == "off" && (err == nil || !strings.Contains(err.Error(), "fsync")) {
			t.Errorf("fsync is %s, and the check says %v", fsync, err)
		}
	})
}

// TestFileIsPrivate proves that nobody but the server's user reads the data.
func TestFileIsPrivate(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "made")
	s, err := store.Open(store.Options{Folder: folder})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	err = filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err == nil && d.IsDir() && info.Mode().Perm() != 0o700 {
			t.Errorf("%s has the mode %v", path, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// role makes a login role of this test alone and opens the store as it.
func role(t *testing.T, b *storetest.Backend) (name string, as *store.Store, raw *sql.DB) {
	t.Helper()
	name = "serve_" + strings.ToLower(rand.Text()[:12])
	must(t, b.Raw, "CREATE ROLE "+name+" LOGIN")
	t.Cleanup(func() {
		ctx := context.Background()
		for _, text := range []string{"DROP OWNED BY " + name, "DROP ROLE " + name} {
			if _, err := b.Raw.ExecContext(ctx, text); err != nil {
				t.Errorf("%s: %v", text, err)
			}
		}
	})
	address, err := url.Parse(b.Options.PostgresURL)
	if err != nil {
		t.Fatal(err)
	}
	address.User = url.User(name)
	as, err = store.Open(store.Options{PostgresURL: address.String()})
	if err != nil {
		t.Fatal(err)
	}
	raw, err = sql.Open("pgx", address.String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _, _ = as.Close(), raw.Close() })
	return name, as, raw
}

func must(t *testing.T, db *sql.DB, text string) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), text); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
}

// TestRuntimeRole proves what the role that serves can do, and what not.
func TestRuntimeRole(t *testing.T) {
	t.Parallel()
	b := postgres(t)
	w := storetest.Populate(t, b, 1, 1)
	name, as, raw := role(t, b)
	if err := as.Ready(t.Context()); err == nil {
		t.Error("a role without rights is ready")
	}
	if err := b.Store.GrantRuntime(t.Context(), name); err != nil {
		t.Fatal(err)
	}
	if err := b.Store.GrantRuntime(t.Context(), name); err != nil {
		t.Errorf("granting again: %v", err)
	}
	for what, err := range map[string]error{"ready": as.Ready(t.Context()), "role": as.CheckRole(t.Context())} {
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	serves(t, as, w)
	for _, text := range []string{
		"UPDATE journal_entries SET kind = 'x'", "DELETE FROM journal_entries", "TRUNCATE journal_entries CASCADE",
		"UPDATE journal_bodies SET body = salt", "TRUNCATE journal_bodies",
		"UPDATE journal_leaves SET sequence = 1", "DELETE FROM journal_leaves", "TRUNCATE journal_leaves",
		"UPDATE journal_checkpoints SET tree_size = 1", "DELETE FROM journal_checkpoints", "TRUNCATE journal_checkpoints",
		"UPDATE shop_slugs SET slug = 'other'", "DELETE FROM shop_slugs",
		"DROP TABLE bays", "ALTER TABLE bays ADD x int", "CREATE TABLE x (id int)", "TRUNCATE bays", "CREATE INDEX x ON bays (name)",
		"ALTER TABLE journal_entries DISABLE TRIGGER ALL", "DROP TRIGGER journal_entries_insert_only ON journal_entries",
		"SET session_replication_role = replica", "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE sql AS 'SELECT 1'",
		"INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, true)", "DELETE FROM goose_db_version", "UPDATE goose_db_version SET version_id = 9",
		"CREATE ROLE other", "CREATE SCHEMA other",
	} {
		_, err := raw.ExecContext(t.Context(), text)
		if err == nil {
			t.Errorf("the serving role did %s", text)
		} else if !strings.Contains(err.Error(), "42501") {
			t.Errorf("%s: refused, but for another reason: %v", text, err)
		}
	}
	if as.Migrate(t.Context()) == nil {
		t.Log("migrate found nothing to do")
	}
}

// serves proves that the role can do the work of the store.
func serves(t *testing.T, as *store.Store, w *storetest.World) {
	err := as.Write(t.Context(), w.Shop, func(_ context.Context, tx app.Tx) error {
		var row shop.Bay
		if err := tx.Load(&row, w.IDs["bays"]); err != nil {
			return err
		}
		if _, err := tx.Number("work_order"); err != nil {
			return err
		}
		if _, err := tx.Lock(w.Stream()); err != nil {
			return err
		}
		return tx.Advance(&row)
	})
	if err != nil {
		t.Errorf("the serving role cannot serve: %v", err)
	}
}

// TestRoleIsChecked proves that an owner, a superuser and a member of the
// owner are refused, and that a role's name is one.
func TestRoleIsChecked(t *testing.T) {
	t.Parallel()
	b := postgres(t)
	if b.Store.CheckRole(t.Context()) == nil {
		t.Error("a superuser may serve")
	}
	name, as, _ := role(t, b)
	if err := as.CheckRole(t.Context()); err != nil {
		t.Errorf("a role of its own may not serve: %v", err)
	}
	must(t, b.Raw, "ALTER TABLE bays OWNER TO "+name)
	if as.CheckRole(t.Context()) == nil {
		t.Error("an owner may serve")
	}
	must(t, b.Raw, "ALTER TABLE bays OWNER TO postgres")
	must(t, b.Raw, "GRANT postgres TO "+name)
	if as.CheckRole(t.Context()) == nil {
		t.Error("a member of the owner may serve")
	}
	for _, bad := range []string{"", "A", "x y", "x; DROP TABLE bays", `x"`, "9x", strings.Repeat("x", 64)} {
		if b.Store.GrantRuntime(t.Context(), bad) == nil {
			t.Errorf("the role %q was granted", bad)
		}
	}
	if sqlite(t).Store.GrantRuntime(t.Context(), name) == nil {
		t.Error("SQLite granted a role")
	}
}
