package testkit_test

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/testkit"
)

// recorder stands in for a test, to see how a helper fails one. Only what
// the helpers call is there; anything else panics on the nil TB.
type recorder struct {
	testing.TB
	failed  []string
	skipped bool
}

// stopped is what the recorder panics with where a test would end.
type stopped struct{}

func (r *recorder) Helper() {}
func (r *recorder) Errorf(format string, args ...any) {
	r.failed = append(r.failed, fmt.Sprintf(format, args...))
}
func (r *recorder) Fatalf(format string, args ...any) {
	r.Errorf(format, args...)
	panic(stopped{})
}
func (r *recorder) Skipf(string, ...any) {
	r.skipped = true
	panic(stopped{})
}

func record(do func(t testing.TB)) (r *recorder) {
	r = &recorder{}
	defer func() {
		if p := recover(); p != nil && p != (stopped{}) {
			panic(p)
		}
	}()
	do(r)
	return r
}

func TestClock(t *testing.T) {
	t.Parallel()
	zone := time.FixedZone("", 3600)
	clock := testkit.NewClock(time.Date(2026, 5, 1, 10, 0, 0, 1999, zone))
	want := time.Date(2026, 5, 1, 9, 0, 0, 1000, time.UTC)
	if got := clock.Now(); got != want || clock.Now() != want {
		t.Errorf("Now = %v, want %v, twice", got, want)
	}
	if got := clock.Advance(time.Hour); got != want.Add(time.Hour) || clock.Now() != got {
		t.Errorf("Advance = %v, want %v", got, want.Add(time.Hour))
	}
	clock.Set(want.AddDate(-1, 0, 0))
	if got := clock.Now(); got != want.AddDate(-1, 0, 0) {
		t.Errorf("after Set: Now = %v", got)
	}
}

func TestGolden(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "sheet.golden")
	missing := record(func(r testing.TB) { testkit.Golden(r, path, []byte("a\n")) })
	if len(missing.failed) != 1 || !strings.Contains(missing.failed[0], "missing") {
		t.Errorf("missing file: got %q", missing.failed)
	}
	err := os.WriteFile(path, []byte("a\n"), 0o600)
	if err != nil {
		t.Fatal(err)
	}
	same := record(func(r testing.TB) { testkit.Golden(r, path, []byte("a\n")) })
	if len(same.failed) != 0 {
		t.Errorf("same bytes: got %q", same.failed)
	}
	other := record(func(r testing.TB) { testkit.Golden(r, path, []byte("b\n")) })
	if len(other.failed) != 1 || !strings.Contains(other.failed[0], "differs") {
		t.Errorf("other bytes: got %q", other.failed)
	}
}

type sum struct {
	In   []int `json:"in"`
	Want int   `json:"want"`
}

func TestVectors(t *testing.T) {
	t.Parallel()
	good := `{"desc":"two","source":"by hand","in":[1,2],"want":3}`
	for _, tt := range []struct{ name, text, wantErr string }{
		{"one object", good, ""},
		{"array", "[" + good + "," + good + "]", ""},
		{"no file", "", "no *.json"},
		{"empty array", "[]", "no case"},
		{"no source", `[{"desc":"two","in":[1,2],"want":3}]`, "no source"},
		{"empty desc", `{"desc":"","source":"x","want":3}`, "no desc"},
		{"misspelt member", `{"desc":"two","source":"x","wnat":3}`, "wnat"},
		{"something after it", good + good, "more after"},
		{"not JSON", "[", "unexpected"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			if tt.text != "" {
				err := os.WriteFile(filepath.Join(dir, "v.json"), []byte(tt.text), 0o600)
				if err != nil {
					t.Fatal(err)
				}
			}
			var cases []testkit.Case[sum]
			r := record(func(r testing.TB) { cases = testkit.Vectors[sum](r, dir) })
			if tt.wantErr != "" {
				if len(r.failed) != 1 || !strings.Contains(r.failed[0], tt.wantErr) {
					t.Errorf("got %q, want one with %q", r.failed, tt.wantErr)
				}
				return
			}
			if len(r.failed) != 0 || len(cases) == 0 {
				t.Fatalf("got %q, %d cases", r.failed, len(cases))
			}
			want := testkit.Case[sum]{Name: "v.json#0", Desc: "two", Source: "by hand", Data: sum{[]int{1, 2}, 3}}
			if diff := cmp.Diff(want, cases[0]); diff != "" {
				t.Errorf("first case (-want +got):\n%s", diff)
			}
		})
	}
}

// No parallel here: it sets the environment.
func TestPostgresWithoutServer(t *testing.T) {
	t.Setenv(testkit.ServerVariable, "")
	t.Setenv(testkit.RequireVariable, "")
	if r := record(func(r testing.TB) { testkit.Postgres(r, "a", nil) }); !r.skipped {
		t.Error("without a server the test is not skipped")
	}
	t.Setenv(testkit.RequireVariable, "1")
	if r := record(func(r testing.TB) { testkit.Postgres(r, "a", nil) }); r.skipped || len(r.failed) != 1 {
		t.Errorf("with a server required: skipped %v, failed %q", r.skipped, r.failed)
	}
	t.Setenv(testkit.ServerVariable, "host=/tmp")
	if r := record(func(r testing.TB) { testkit.Postgres(r, "a", nil) }); len(r.failed) != 1 {
		t.Errorf("with a server that is no URL: failed %q", r.failed)
	}
}

func TestPostgres(t *testing.T) {
	var prepared atomic.Int32
	prepare := func(dsn string) error {
		prepared.Add(1)
		return execute(dsn, "CREATE TABLE tag (code text)")
	}
	// Reported from the parent, as a skip in a subtest does not skip it.
	testkit.Postgres(t, "kit", prepare)
	var mu sync.Mutex
	seen := map[string]bool{}
	t.Run("each its own", func(t *testing.T) {
		for i := range 4 {
			t.Run(fmt.Sprint(i), func(t *testing.T) {
				t.Parallel()
				dsn := testkit.Postgres(t, "kit", prepare)
				mu.Lock()
				seen[dsn] = true
				mu.Unlock()
				err := execute(dsn, "INSERT INTO tag VALUES ('A')")
				if err != nil {
					t.Fatal(err)
				}
				if n := count(t, dsn); n != 1 {
					t.Errorf("%d rows, want the test's own one", n)
				}
			})
		}
	})
	if len(seen) != 4 || prepared.Load() != 1 {
		t.Errorf("%d databases, prepared %d times; want 4, once", len(seen), prepared.Load())
	}
	for dsn := range seen {
		if execute(dsn, "SELECT 1") == nil {
			t.Errorf("%s is still there", dsn)
		}
	}
}

func TestPostgresPrepareFails(t *testing.T) {
	if os.Getenv(testkit.ServerVariable) == "" {
		t.Skip("needs PostgreSQL")
	}
	broken := func(string) error { return errors.New("no such table") }
	for range 2 { // a template that failed is never taken for a good one
		r := record(func(r testing.TB) { testkit.Postgres(r, "broken", broken) })
		if len(r.failed) != 1 || !strings.Contains(r.failed[0], "no such table") {
			t.Errorf("got %q", r.failed)
		}
	}
}

func execute(dsn, statement string) error {
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.Exec(statement)
	return err
}

func count(t *testing.T, dsn string) int {
	t.Helper()
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var n int
	err = db.QueryRow("SELECT count(*) FROM tag").Scan(&n)
	if err != nil {
		t.Fatal(err)
	}
	return n
}
