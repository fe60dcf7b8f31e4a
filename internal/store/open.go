// Package store keeps the nouns in SQLite or PostgreSQL through gorm. It is
// the only package that knows SQL. Its one door is Read and Write, each of
// one shop, at one time, in one transaction.
package store

import (
	"context"
	"database/sql"
	"fmt"
	"io"
	"log"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/stdlib"
	"gorm.io/driver/postgres"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
	"gorm.io/gorm/schema"
	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Store is one database. Reads and writes have pools of their own on SQLite,
// where one writer is all there can be.
type Store struct {
	write, read *gorm.DB
	pools       []*sql.DB
	kind        kind
	folder      string // of SQLite
	now         func() time.Time
}

type kind string

const (
	kindSQLite   kind = "sqlite"
	kindPostgres kind = "postgres"
)

const (
	sqliteReaders = 4
	pgConnections = 16
)

// Options say which database to open.
type Options struct {
	// Folder holds the embedded database; used when PostgresURL is empty.
	Folder string
	// PostgresURL is a connection string of PostgreSQL.
	PostgresURL string
	// Now is the clock; nil is the system's.
	Now func() time.Time
}

// Open connects. It does not migrate.
func Open(opt Options) (*Store, error) {
	schema.RegisterSerializer("ref", refSerializer{})
	now := opt.Now
	if now == nil {
		now = time.Now
	}
	if opt.PostgresURL != "" {
		return openPostgres(opt.PostgresURL, now)
	}
	return openSQLite(opt.Folder, now)
}

// FileName is the embedded database inside its folder.
const FileName = "benchtag.db"

func openSQLite(folder string, now func() time.Time) (*Store, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, fmt.Errorf("store: make the data folder: %w", err)
	}
	path := filepath.Join(folder, FileName)
	writer, err := sql.Open("sqlite", sqliteDSN(path, false))
	if err != nil {
		return nil, fmt.Errorf("store: open SQLite: %w", err)
	}
	writer.SetMaxOpenConns(1)
	reader, err := sql.Open("sqlite", sqliteDSN(path, true))
	if err != nil {
		return nil, fmt.Errorf("store: open SQLite for reading: %w", err)
	}
	reader.SetMaxOpenConns(sqliteReaders)
	reader.SetMaxIdleConns(sqliteReaders)
	s := &Store{pools: []*sql.DB{writer, reader}, kind: kindSQLite, folder: folder, now: now}
	if s.write, err = s.gorm(sqliteDialect{conn: writer}); err != nil {
		return nil, err
	}
	if s.read, err = s.gorm(sqliteDialect{conn: reader}); err != nil {
		return nil, err
	}
	return s, nil
}

// sqliteDSN asks for what durability and correctness need: write-ahead log,
// a sync at each commit, foreign keys, and the write lock from the start.
func sqliteDSN(path string, readOnly bool) string {
	q := url.Values{}
	for _, p := range []string{"busy_timeout(5000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)", "cache_size(-4096)"} {
		q.Add("_pragma", p)
	}
	if readOnly {
		q.Add("_pragma", "query_only(1)")
	} else {
		q.Add("_pragma", "secure_delete(1)") // what is erased is overwritten, not only forgotten
		q.Set("_txlock", "immediate")
	}
	q.Set("_time_format", "sqlite")
	q.Set("_timezone", "UTC")
	q.Set("_texttotime", "1")
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + q.Encode()
}

func openPostgres(address string, now func() time.Time) (*Store, error) {
	cfg, err := pgx.ParseConfig(address)
	if err != nil {
		return nil, fmt.Errorf("store: the PostgreSQL address cannot be read: %s", withoutSecrets(err))
	}
	pool := stdlib.OpenDB(*cfg, stdlib.OptionAfterConnect(func(_ context.Context, conn *pgx.Conn) error {
		conn.TypeMap().RegisterType(&pgtype.Type{Name: "timestamptz", OID: pgtype.TimestamptzOID, Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC}})
		return nil
	}))
	pool.SetMaxOpenConns(pgConnections)
	pool.SetMaxIdleConns(pgConnections)
	s := &Store{pools: []*sql.DB{pool}, kind: kindPostgres, now: now}
	if s.write, err = s.gorm(postgres.New(postgres.Config{Conn: pool})); err != nil {
		return nil, err
	}
	s.read = s.write
	return s, nil
}

// withoutSecrets keeps the password of a connection string out of messages.
func withoutSecrets(err error) string {
	text := err.Error()
	if i := strings.Index(text, "postgres"); i >= 0 {
		return "check its spelling"
	}
	return text
}

func (s *Store) gorm(dialect gorm.Dialector) (*gorm.DB, error) {
	db, err := gorm.Open(dialect, &gorm.Config{
		SkipDefaultTransaction: true,
		TranslateError:         true,
		DisableAutomaticPing:   true,
		Logger:                 silent(),
		NowFunc:                s.clock,
	})
	if err != nil {
		return nil, fmt.Errorf("store: start gorm: %w", err)
	}
	return db, guard(db)
}

// silent logs nothing, and would log statements without their values if it
// were ever made to.
func silent() logger.Interface {
	return logger.New(log.New(io.Discard, "", 0), logger.Config{LogLevel: logger.Silent, ParameterizedQueries: true})
}

// clock gives the time as both databases keep it: UTC, microseconds.
func (s *Store) clock() time.Time { return s.now().UTC().Truncate(time.Microsecond) }

// Close closes every pool.
func (s *Store) Close() error {
	var first error
	for _, p := range s.pools {
		if err := p.Close(); err != nil && first == nil {
			first = err
		}
	}
	return first
}
