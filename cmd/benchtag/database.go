package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"benchtag/internal/store"
)

// database says which database a command works on.
type database struct {
	Data     string `help:"Folder of the embedded database and the keys." env:"BENCHTAG_DATA" default:"data" type:"path"`
	Postgres string `help:"Connection string of PostgreSQL, instead of the embedded database. Better in the environment than on the command line." env:"BENCHTAG_POSTGRES" placeholder:"postgres://…"`
}

// open connects, and brings the embedded database up to date.
func (d database) open(ctx context.Context) (*store.Store, error) {
	s, err := store.Open(store.Options{Folder: d.Data, PostgresURL: d.Postgres})
	if err != nil {
		return nil, err
	}
	if d.Postgres == "" {
		err = s.Migrate(ctx)
	}
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// there refuses a data folder that is not there, which opening would make.
func (d database) there() error {
	if d.Postgres != "" {
		return nil
	}
	if _, err := os.Stat(d.Data); err != nil {
		return fmt.Errorf("there is no data folder %s; give the right one with --data", d.Data)
	}
	return nil
}

// safe makes sure that the database keeps what it acknowledges, and that the
// role it is served by owns nothing.
func (d database) safe(ctx context.Context, s *store.Store, unsafePostgres bool) error {
	if err := s.Ready(ctx); err != nil {
		return err
	}
	if unsafePostgres {
		return nil
	}
	if err := s.CheckDurability(ctx); err != nil {
		return err
	}
	return s.CheckRole(ctx)
}

type migrateCommand struct {
	database
	RuntimeRole string `help:"PostgreSQL role that serve runs as: it may read and write rows and owns nothing." placeholder:"ROLE"`
}

// Run migrates.
func (c migrateCommand) Run(ctx context.Context, to outputs) error {
	s, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	if c.Postgres != "" {
		if err := s.Migrate(ctx); err != nil {
			return err
		}
	}
	if c.RuntimeRole != "" {
		if err := s.GrantRuntime(ctx, c.RuntimeRole); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(to.out, "The schema is up to date.")
	return err
}

// makeFolder makes a data folder that only its owner can read.
func makeFolder(path string) error {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return fmt.Errorf("make the data folder: %w", err)
	}
	return nil
}
