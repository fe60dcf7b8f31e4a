package storetest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"benchtag/internal/store"
	"benchtag/internal/testkit"
)

// Folder returns a folder of this test alone with an embedded database that
// is up to date and empty. It is a copy of one that was migrated once: doing
// that for every test took half the time of all of them. What migrating does
// is for the tests of the store.
func Folder(t testing.TB) string {
	t.Helper()
	file, err := migratedFile()
	if err != nil {
		t.Fatalf("making the database that tests begin with: %v", err)
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, store.FileName), file, 0o600); err != nil {
		t.Fatal(err)
	}
	return folder
}

// Address returns the URL of a PostgreSQL database of this test alone that is
// up to date and empty, a copy as in Folder. The test is skipped as in
// testkit.Postgres.
func Address(t testing.TB) string {
	t.Helper()
	return testkit.Postgres(t, "migrated", func(dsn string) error { return migrate(store.Options{PostgresURL: dsn}) })
}

// migratedFile is made once and never changed.
var migratedFile = sync.OnceValues(func() (content []byte, err error) {
	folder, err := os.MkdirTemp("", "benchtag-migrated")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	if err := migrate(store.Options{Folder: folder}); err != nil {
		return nil, err
	}
	file := filepath.Join(folder, store.FileName)
	if _, err := os.Stat(file + "-wal"); !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the database is closed and not all of it is in its file: %w", err)
	}
	return os.ReadFile(file)
})

func migrate(opt store.Options) error {
	s, err := store.Open(opt)
	if err != nil {
		return err
	}
	return errors.Join(s.Migrate(context.Background()), s.Close())
}
