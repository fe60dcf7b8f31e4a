package testkit

import (
	"context"
	"crypto/rand"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx" of database/sql
)

// What Postgres reads from the environment.
const (
	// ServerVariable holds the address of a throwaway server, as a
	// postgres:// URL of a superuser.
	ServerVariable = "BENCHTAG_TEST_POSTGRES"
	// RequireVariable, set to 1, turns a skip for want of a server into a failure.
	RequireVariable = "BENCHTAG_REQUIRE_POSTGRES"
)

// adminTimeout bounds one statement that makes or drops a database.
const adminTimeout = time.Minute

// run tells this process's templates from those of packages tested beside it,
// which may prepare theirs another way. It is never changed.
var run = strings.ToLower(rand.Text()[:10])

var templateName = regexp.MustCompile(`^[a-z][a-z0-9_]{0,30}$`)

// Postgres returns the URL of a fresh database for this test alone, copied
// from the template called name and dropped when the test ends. The first
// call for a name in a test process makes the template and has prepare (the
// migrations, say) fill it; prepare must close its connections. A nil prepare
// leaves the template empty. Tests may call it in parallel.
//
// The server is the one that ServerVariable names. Without it the test is
// skipped, or fails if RequireVariable is 1.
func Postgres(t testing.TB, name string, prepare func(dsn string) error) string {
	t.Helper()
	server := serverURL(t)
	if !templateName.MatchString(name) {
		t.Fatalf("template name %q: want a lower-case word of at most 31 characters", name)
	}
	template := "tpl_" + run + "_" + name
	err := ensureTemplate(server, template, prepare)
	if err != nil {
		t.Fatalf("preparing the template database %s: %v", name, err)
	}
	database := "test_" + strings.ToLower(rand.Text())
	err = admin(server, "CREATE DATABASE "+database+" TEMPLATE "+template)
	if err != nil {
		t.Fatalf("making a database for the test: %v", err)
	}
	t.Cleanup(func() {
		err := admin(server, "DROP DATABASE "+database+" WITH (FORCE)")
		if err != nil {
			t.Errorf("dropping the test's database: %v", err)
		}
	})
	return at(server, database)
}

func serverURL(t testing.TB) *url.URL {
	t.Helper()
	text := os.Getenv(ServerVariable)
	if text == "" {
		if os.Getenv(RequireVariable) == "1" {
			t.Fatalf("%s is not set, and %s=1 forbids skipping", ServerVariable, RequireVariable)
		}
		t.Skipf("needs PostgreSQL: set %s to the URL of a throwaway server, or run bash .ci/test", ServerVariable)
	}
	server, err := url.Parse(text)
	if err != nil || server.Scheme != "postgres" && server.Scheme != "postgresql" {
		t.Fatalf("%s must be a postgres:// URL", ServerVariable)
	}
	return server
}

// at returns the server's URL with another database.
func at(server *url.URL, database string) string {
	there := *server
	there.Path = "/" + database
	return there.String()
}

// ensureTemplate makes and prepares the template unless it is there. A lock
// on the server makes parallel tests wait for the first, so that nothing has
// to be remembered here. A template counts as ready once it is marked as one.
func ensureTemplate(server *url.URL, template string, prepare func(dsn string) error) error {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	db, err := sql.Open("pgx", server.String())
	if err != nil {
		return err
	}
	defer db.Close()
	conn, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close() // the lock goes with the connection
	_, err = conn.ExecContext(ctx, "SELECT pg_advisory_lock(hashtextextended($1, 0))", template)
	if err != nil {
		return err
	}
	var ready bool
	err = conn.QueryRowContext(ctx,
		"SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1 AND datistemplate)", template).Scan(&ready)
	if err != nil || ready {
		return err
	}
	return makeTemplate(server, template, prepare)
}

func makeTemplate(server *url.URL, template string, prepare func(dsn string) error) error {
	err := admin(server, "DROP DATABASE IF EXISTS "+template+" WITH (FORCE)", "CREATE DATABASE "+template)
	if err != nil {
		return err
	}
	if prepare != nil {
		err = prepare(at(server, template))
		if err != nil {
			return err
		}
	}
	// Nobody may connect any more, autovacuum included: PostgreSQL copies
	// only a template that nobody is in.
	return admin(server, "ALTER DATABASE "+template+" IS_TEMPLATE true ALLOW_CONNECTIONS false")
}

// admin runs statements on the server, each outside a transaction.
func admin(server *url.URL, statements ...string) error {
	db, err := sql.Open("pgx", server.String())
	if err != nil {
		return err
	}
	defer db.Close()
	for _, statement := range statements {
		ctx, cancel := context.WithTimeout(context.Background(), adminTimeout)
		_, err = db.ExecContext(ctx, statement)
		cancel()
		if err != nil {
			return fmt.Errorf("%s: %w", statement, err)
		}
	}
	return nil
}
