package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"regexp"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"benchtag/migrations"
)

// provider gives the migrations of this database. On PostgreSQL a session
// lock keeps two migrators apart; on SQLite a lock file does.
func (s *Store) provider() (*goose.Provider, error) {
	if s.kind == kindPostgres {
		files, err := migrations.Postgres()
		if err != nil {
			return nil, err
		}
		locker, err := lock.NewPostgresSessionLocker()
		if err != nil {
			return nil, fmt.Errorf("store: prepare the migration lock: %w", err)
		}
		return goose.NewProvider(goose.DialectPostgres, s.pools[0], files, goose.WithSessionLocker(locker))
	}
	files, err := migrations.SQLite()
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectSQLite3, s.pools[0], files)
}

// Migrate brings the schema up to date. It is safe to run again, and from
// several processes at once.
func (s *Store) Migrate(ctx context.Context) error {
	if s.kind == kindSQLite {
		unlock, err := s.lockFile(ctx)
		if err != nil {
			return err
		}
		defer unlock()
	}
	p, err := s.provider()
	if err != nil {
		return fmt.Errorf("store: read the migrations: %w", err)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("store: migrate: %w", err)
	}
	return nil
}

// lockName is a file beside the embedded database that one migrator holds.
const lockName = "migrate.lock"

// lockFile keeps other migrators of the folder out until unlock. The lock is
// SQLite's own on a database of no tables, so it works wherever SQLite does
// and ends with the process.
func (s *Store) lockFile(ctx context.Context) (unlock func(), err error) {
	q := url.Values{"_pragma": {"busy_timeout(60000)"}, "_txlock": {"exclusive"}}
	path := (&url.URL{Path: filepath.Join(s.folder, lockName)}).EscapedPath()
	db, err := sql.Open("sqlite", "file:"+path+"?"+q.Encode())
	if err != nil {
		return nil, fmt.Errorf("store: open the migration lock: %w", err)
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		_ = db.Close()
		return nil, fmt.Errorf("store: another process is migrating: %w", err)
	}
	return func() {
		_ = tx.Rollback()
		_ = db.Close()
	}, nil
}

// roleName is what a runtime role may be called, since it cannot be a
// placeholder in GRANT.
var roleName = regexp.MustCompile(`^[a-z_][a-z0-9_]{0,62}$`)

// insertOnly are the tables the runtime role may add to and read, no more.
var insertOnly = []string{"journal_entries", "journal_leaves", "journal_nodes", "journal_checkpoints"}

// GrantRuntime lets a PostgreSQL role serve: read and write rows, own
// nothing, only add to the journal, and never rebind a slug.
func (s *Store) GrantRuntime(ctx context.Context, role string) error {
	if s.kind != kindPostgres {
		return errors.New("store: runtime roles exist on PostgreSQL alone")
	}
	if !roleName.MatchString(role) {
		return fmt.Errorf("store: %q is not a role name (lower-case letters, digits, underscore)", role)
	}
	return s.inSQL(ctx, func(tx *sql.Tx) error {
		for _, text := range []string{
			`GRANT USAGE ON SCHEMA public TO ` + role,
			`GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO ` + role,
			`REVOKE INSERT, UPDATE, DELETE ON goose_db_version FROM ` + role,
			`REVOKE UPDATE ON journal_bodies, journal_evidence, journal_pending, personal_reads FROM ` + role,
			`REVOKE UPDATE, DELETE ON shop_slugs FROM ` + role,
		} {
			if _, err := tx.ExecContext(ctx, text); err != nil {
				return fmt.Errorf("store: grant to %s: %w", role, err)
			}
		}
		for _, table := range insertOnly {
			if _, err := tx.ExecContext(ctx, `REVOKE UPDATE, DELETE ON `+table+` FROM `+role); err != nil {
				return fmt.Errorf("store: grant to %s: %w", role, err)
			}
		}
		return nil
	})
}

// Scrub makes SQLite write its file anew, so that no page keeps what was
// erased, and empties the write-ahead log. PostgreSQL does the like by itself
// (autovacuum); its runtime role owns no table that it could ask it for.
func (s *Store) Scrub(ctx context.Context) error {
	if s.kind != kindSQLite {
		return nil
	}
	if _, err := s.pools[0].ExecContext(ctx, `VACUUM`); err != nil {
		return fmt.Errorf("store: write the file anew: %w", err)
	}
	var busy, pages, done int
	if err := s.pools[0].QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &pages, &done); err != nil {
		return fmt.Errorf("store: empty the write-ahead log: %w", err)
	}
	if busy != 0 {
		return errors.New("store: the write-ahead log is being read; it is emptied at the next turn")
	}
	return nil
}

func (s *Store) inSQL(ctx context.Context, fn func(*sql.Tx) error) error {
	tx, err := s.pools[0].BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("store: begin: %w", err)
	}
	if err := fn(tx); err != nil {
		_ = tx.Rollback()
		return err
	}
	return tx.Commit()
}

// Ready reports why the store cannot serve: not reachable, or its schema is
// not of this program's version.
func (s *Store) Ready(ctx context.Context) error {
	p, err := s.provider()
	if err != nil {
		return err
	}
	sources := p.ListSources()
	if len(sources) == 0 {
		return errors.New("store: this program carries no migrations")
	}
	var have int64
	row := s.pools[len(s.pools)-1].QueryRowContext(ctx, `SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied`)
	if err := row.Scan(&have); err != nil {
		return fmt.Errorf("store: the schema's version cannot be read (run benchtag migrate): %w", err)
	}
	if want := sources[len(sources)-1].Version; have != want {
		return fmt.Errorf("store: the schema is at version %d and this program needs %d; run benchtag migrate", have, want)
	}
	return nil
}

// CheckDurability refuses a database that could lose an acknowledged write,
// or an SQLite with the write-ahead-log defect mended in 3.51.3.
func (s *Store) CheckDurability(ctx context.Context) error {
	if s.kind == kindSQLite {
		return s.checkSQLite(ctx)
	}
	for _, name := range []string{"fsync", "full_page_writes", "synchronous_commit"} {
		var value string
		if err := s.pools[0].QueryRowContext(ctx, `SELECT current_setting($1)`, name).Scan(&value); err != nil {
			return fmt.Errorf("store: read %s: %w", name, err)
		}
		if value == "off" {
			return fmt.Errorf("store: PostgreSQL has %s = off, so acknowledged work could be lost; turn it on, or say --allow-unsafe-postgres for a test", name)
		}
	}
	return nil
}

// CheckRole refuses to serve as a role that owns the tables or is above
// their rules.
func (s *Store) CheckRole(ctx context.Context) error {
	if s.kind != kindPostgres {
		return nil
	}
	var bad bool
	err := s.pools[0].QueryRowContext(ctx, `SELECT r.rolsuper OR EXISTS (
  SELECT 1 FROM pg_tables t WHERE t.schemaname = 'public' AND pg_has_role(current_user, t.tableowner, 'MEMBER'))
FROM pg_roles r WHERE r.rolname = current_user`).Scan(&bad)
	if err != nil {
		return fmt.Errorf("store: read the role: %w", err)
	}
	if bad {
		return errors.New("store: serve runs as a role that owns the tables or is a superuser; make a role of its own, and give it to benchtag migrate --runtime-role")
	}
	return nil
}

func (s *Store) checkSQLite(ctx context.Context) error {
	var version, mode string
	var sync, keys int
	db := s.pools[0]
	for _, q := range []struct {
		text string
		dest any
	}{
		{`SELECT sqlite_version()`, &version}, {`PRAGMA journal_mode`, &mode},
		{`PRAGMA synchronous`, &sync}, {`PRAGMA foreign_keys`, &keys},
	} {
		if err := db.QueryRowContext(ctx, q.text).Scan(q.dest); err != nil {
			return fmt.Errorf("store: ask SQLite %q: %w", q.text, err)
		}
	}
	if !soundSQLite(version) {
		return fmt.Errorf("store: SQLite %s can lose committed work (needs 3.51.3 or newer, not 3.52.0)", version)
	}
	if mode != "wal" || sync < 2 || keys != 1 {
		return fmt.Errorf("store: SQLite runs with journal_mode=%s synchronous=%d foreign_keys=%d; wal, 2 and 1 are needed", mode, sync, keys)
	}
	return nil
}

// soundSQLite reports whether a version is free of the write-ahead-log
// defect (sqlite.org/wal.html, "WAL-reset").
func soundSQLite(version string) bool {
	var major, minor, patch int
	if _, err := fmt.Sscanf(version, "%d.%d.%d", &major, &minor, &patch); err != nil {
		return false
	}
	n := major*1_000_000 + minor*1_000 + patch
	return n >= 3_051_003 && n != 3_052_000
}
