package store_test

import (
	"database/sql"
	"fmt"
	"net/url"
	"path/filepath"
	"testing"

	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

func sqlite(t testing.TB) *storetest.Backend {
	folder := storetest.Folder(t)
	file := url.URL{Scheme: "file", Path: filepath.Join(folder, store.FileName), RawQuery: "_pragma=busy_timeout(5000)&_pragma=foreign_keys(1)"}
	raw, err := sql.Open("sqlite", file.String())
	if err != nil {
		t.Fatal(err)
	}
	return storetest.Open(t, store.Options{Folder: folder}, raw)
}

func postgres(t testing.TB) *storetest.Backend {
	address := storetest.Address(t)
	raw, err := sql.Open("pgx", address)
	if err != nil {
		t.Fatal(err)
	}
	return storetest.Open(t, store.Options{PostgresURL: address}, raw)
}

func TestSQLite(t *testing.T) {
	t.Parallel()
	storetest.Run(t, sqlite)
}

func TestPostgres(t *testing.T) {
	t.Parallel()
	testkit.Postgres(t, "probe", nil) // skips here where there is none
	storetest.Run(t, postgres)
}

func TestSchemasAgree(t *testing.T) {
	t.Parallel()
	storetest.CompareSchemas(t, storetest.ReadCatalog(t, sqlite(t)), storetest.ReadCatalog(t, postgres(t)))
}

func TestMigrateTogether(t *testing.T) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) { storetest.MigrateTogether(t, store.Options{Folder: t.TempDir()}) })
	t.Run("postgres", func(t *testing.T) {
		storetest.MigrateTogether(t, store.Options{PostgresURL: testkit.Postgres(t, "empty", nil)})
	})
}

func TestCrashChild(t *testing.T) {
	if !storetest.IsCrashChild() {
		return
	}
	storetest.CrashChild(t)
}

func TestCrash(t *testing.T) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) { storetest.Crash(t, sqlite(t), 20, "TestCrashChild") })
	t.Run("postgres", func(t *testing.T) { storetest.Crash(t, postgres(t), 20, "TestCrashChild") })
}

// BenchmarkAppends: see DEVELOPERS.md for what it came to. PostgreSQL is
// durable here only where the server of the tests is.
func BenchmarkAppends(b *testing.B) {
	for name, open := range map[string]storetest.Opener{"sqlite": sqlite, "postgres": postgres} {
		for _, writers := range []int{1, 16} {
			b.Run(fmt.Sprintf("%s/%d writers a core", name, writers), func(b *testing.B) { storetest.BenchmarkAppends(b, open, writers) })
		}
	}
}
