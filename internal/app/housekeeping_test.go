package app_test

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// house is the use cases over a database of either kind with a shop that
// holds a row of every noun, and a clock that moves when told.
type house struct {
	*app.App
	backend *storetest.Backend
	world   *storetest.World
	clock   *testkit.Clock
	photos  *housePhotos
	folder  string // of SQLite
}

var houseStart = time.Date(2026, 3, 1, 9, 30, 0, 0, time.UTC)

// eachHouse runs a test over each database.
func eachHouse(t *testing.T, test func(*testing.T, *house)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		test(t, sqliteHouse(t))
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		address := storetest.Address(t)
		test(t, newHouse(t, "pgx", address, store.Options{PostgresURL: address}))
	})
}

func sqliteHouse(t *testing.T) *house {
	t.Helper()
	folder := storetest.Folder(t)
	file := url.URL{Scheme: "file", Path: filepath.Join(folder, store.FileName), RawQuery: "_pragma=busy_timeout(5000)&_time_format=sqlite&_timezone=UTC"}
	return newHouse(t, "sqlite", file.String(), store.Options{Folder: folder})
}

func newHouse(t *testing.T, driver, address string, opt store.Options) *house {
	t.Helper()
	raw, err := sql.Open(driver, address)
	if err != nil {
		t.Fatal(err)
	}
	h := &house{clock: testkit.NewClock(houseStart), photos: &housePhotos{}, folder: opt.Folder}
	opt.Now = h.clock.Now
	h.backend = storetest.Open(t, opt, raw)
	h.world = storetest.Populate(t, h.backend, 1, 1)
	h.App = app.New(app.Options{Store: h.backend.Store, Source: signInSource{}, PublicURL: "https://shop.example"})
	return h
}

// housePhotos keeps the content of photos in memory.
type housePhotos struct{ kept map[string]string }

// run executes SQL; ? stands for the values on either database.
func (h *house) run(t testing.TB, text string, args ...any) {
	t.Helper()
	if _, err := h.backend.Raw.ExecContext(t.Context(), h.marked(text), args...); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
}

func (h *house) marked(text string) string {
	if !h.backend.Postgres {
		return text
	}
	out, n := "", 0
	for _, r := range text {
		if r == '?' {
			n++
			out += fmt.Sprintf("$%d", n)
			continue
		}
		out += string(r)
	}
	return out
}

func (h *house) count(t testing.TB, text string, args ...any) (n int) {
	t.Helper()
	if err := h.backend.Raw.QueryRowContext(t.Context(), h.marked(text), args...).Scan(&n); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return n
}

// TestSweepEdges holds both edges of every kind that housekeeping takes away:
// at the last moment of its time a row is there, a microsecond later it is gone.
func TestSweepEdges(t *testing.T) {
	t.Parallel()
	far := houseStart.AddDate(20, 0, 0)
	sessions := "UPDATE sessions SET ended_at = %s, idle_until = %s, expires_at = %s"
	tests := []struct {
		name string
		what app.Sweeping
		keep time.Duration
		set  string // puts the end of the row at the one time, else far away
		args func(end time.Time) []any
		left string // counts what is left
	}{
		{"answers", app.SweepAnswers, 72 * time.Hour, "UPDATE idempotency_keys SET created_at = ?", endsAt, "SELECT count(*) FROM idempotency_keys"},
		{"tokens of a session ended", app.SweepRefreshTokens, 30 * 24 * time.Hour, fmt.Sprintf(sessions, "?", "?", "?"),
			func(end time.Time) []any { return []any{end, far, far} }, "SELECT count(*) FROM refresh_tokens"},
		{"session ended", app.SweepSessions, 30 * 24 * time.Hour, fmt.Sprintf(sessions, "?", "?", "?"),
			func(end time.Time) []any { return []any{end, far, far} }, "SELECT count(*) FROM sessions"},
		{"session left idle", app.SweepSessions, 30 * 24 * time.Hour, fmt.Sprintf(sessions, "NULL", "?", "?"),
			func(end time.Time) []any { return []any{end, far} }, "SELECT count(*) FROM sessions"},
		{"session at its end", app.SweepSessions, 30 * 24 * time.Hour, fmt.Sprintf(sessions, "NULL", "?", "?"),
			func(end time.Time) []any { return []any{far, end} }, "SELECT count(*) FROM sessions"},
		{"link past its end", app.SweepLinkHashes, 30 * 24 * time.Hour, "UPDATE offer_links SET view_until = ?, revoked_at = NULL", endsAt,
			"SELECT count(*) FROM offer_links WHERE token_hash NOT LIKE 'ended:%'"},
		{"link revoked", app.SweepLinkHashes, 30 * 24 * time.Hour, "UPDATE offer_links SET revoked_at = ?, view_until = ?",
			func(end time.Time) []any { return []any{end, far} }, "SELECT count(*) FROM offer_links WHERE token_hash NOT LIKE 'ended:%'"},
		{"reads", app.SweepReads, 90 * 24 * time.Hour, "", nil, "SELECT count(*) FROM personal_reads"},
		{"messages sent", app.SweepOutbox, 30 * 24 * time.Hour, "UPDATE outbox SET state = 'sent', state_since = ?", endsAt, "SELECT count(*) FROM outbox"},
		{"messages given up", app.SweepOutbox, 30 * 24 * time.Hour, "UPDATE outbox SET state = 'given_up', state_since = ?", endsAt, "SELECT count(*) FROM outbox"},
		{"address of a security event", app.SweepAddresses, 90 * 24 * time.Hour, "UPDATE security_events SET happened_at = ?", endsAt,
			"SELECT count(*) FROM security_events WHERE ip <> ''"},
		{"counter of a name that nobody has", "counters", 30 * 24 * time.Hour, "UPDATE sign_in_counters SET last_failure_at = ?", endsAt,
			"SELECT count(*) FROM sign_in_counters"},
	}
	eachHouse(t, func(t *testing.T, h *house) {
		tried := map[app.Sweeping]bool{}
		for i, tt := range tests {
			tried[tt.what] = true
			if i > 0 { // what the case before took is there again
				h.world = storetest.Populate(t, h.backend, i+1, i+1)
			}
			end := houseStart.Add(time.Duration(i) * 400 * 24 * time.Hour)
			h.spare(t, far)
			if tt.set != "" {
				h.run(t, tt.set, tt.args(end)...)
			} else {
				h.run(t, "DELETE FROM personal_reads")
				h.clock.Set(end)
				h.look(t)
			}
			before := h.count(t, tt.left)
			for _, edge := range []struct {
				late time.Duration
				gone bool
			}{{0, false}, {time.Microsecond, true}} {
				h.clock.Set(end.Add(tt.keep + edge.late))
				if err := h.Sweep(t.Context(), h.world.Shop); err != nil {
					t.Fatalf("%s: %v", tt.name, err)
				}
				left := h.count(t, tt.left)
				if (left < before) != edge.gone {
					t.Errorf("%s, %v after the end of its time: %d of %d are left", tt.name, edge.late, left, before)
				}
			}
		}
		for _, r := range app.SweepRules() {
			if !tried[r.What] {
				t.Errorf("nothing here looks at %s", r.What)
			}
		}
		if n := h.count(t, "SELECT count(*) FROM offer_links"); n < 2 {
			t.Errorf("%d links are on record, want all: only their hash goes", n)
		}
	})
}

func endsAt(end time.Time) []any { return []any{end} }

// spare puts the end of everything far away, so that one kind at a time ends.
func (h *house) spare(t testing.TB, far time.Time) {
	t.Helper()
	h.run(t, "UPDATE idempotency_keys SET created_at = ?", far)
	h.run(t, "UPDATE sessions SET ended_at = NULL, idle_until = ?, expires_at = ?", far, far)
	h.run(t, "UPDATE offer_links SET view_until = ?, revoked_at = NULL", far)
	h.run(t, "UPDATE outbox SET state = 'failed', state_since = ?", houseStart.AddDate(-9, 0, 0))
	h.run(t, "UPDATE security_events SET happened_at = ?", far)
	h.run(t, "UPDATE sign_in_counters SET last_failure_at = ?", far)
}

// look notes one read by the world's person, now.
func (h *house) look(t testing.TB) {
	t.Helper()
	err := h.NoteRead(t.Context(), h.person(auth.RoleOwner), app.Seen{Operation: "getCustomer", Subject: "customers", IDs: []string{h.world.IDs["customers"]}})
	if err != nil {
		t.Fatal(err)
	}
}

// person is the world's one person in a role, signed in now.
func (h *house) person(role auth.Role) auth.Principal {
	return auth.Principal{Kind: auth.KindStaff, ShopID: h.world.Shop, StaffID: shop.StaffID(h.world.IDs["staff"]), Roles: []auth.Role{role}, AuthTime: h.clock.Now()}
}

// TestSweepKeepsCountersOfAccounts proves that waiting wins nobody fresh
// guesses: the counter of a real account stays, however old.
func TestSweepKeepsCountersOfAccounts(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		var login string
		if err := h.backend.Raw.QueryRowContext(t.Context(), "SELECT login FROM staff").Scan(&login); err != nil {
			t.Fatal(err)
		}
		person, tablet := h.world.IDs["staff"], h.world.IDs["tablets"]
		for name, account := range map[string]auth.Account{
			"a stranger's": {Login: login}, "a known device's": {Login: login, KnownDevice: person}, "a PIN's": {Login: "pin:" + person, KnownDevice: tablet},
		} {
			h.run(t, "UPDATE sign_in_counters SET account_key = ?, last_failure_at = ?", account.CounterKey(), houseStart)
			h.clock.Set(houseStart.AddDate(3, 0, 0))
			if err := h.Sweep(t.Context(), h.world.Shop); err != nil {
				t.Fatal(err)
			}
			if h.count(t, "SELECT count(*) FROM sign_in_counters") != 1 {
				t.Fatalf("%s counter was swept", name)
			}
		}
	})
}

// countingStore notes how many rows each transaction sweeps.
type countingStore struct {
	app.Store
	swept *[]int64
}

type countingTx struct {
	app.Tx
	swept *[]int64
}

func (s countingStore) Write(ctx context.Context, scope shop.ShopID, fn func(context.Context, app.Tx) error) error {
	return s.Store.Write(ctx, scope, func(ctx context.Context, tx app.Tx) error { return fn(ctx, countingTx{tx, s.swept}) })
}

func (tx countingTx) Sweep(what app.Sweeping, before time.Time, limit int) (int64, error) {
	n, err := tx.Tx.Sweep(what, before, limit)
	*tx.swept = append(*tx.swept, n)
	return n, err
}

// TestSweepInSmallBatches proves that however much is to go, no transaction
// takes much of it, that all of it goes, and that another shop's stays.
func TestSweepInSmallBatches(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		other := storetest.Populate(t, h.backend, 2, 2)
		for range 450 {
			h.look(t)
		}
		h.clock.Set(houseStart.AddDate(1, 0, 0))
		var swept []int64
		h.Store = countingStore{h.Store, &swept}
		if err := h.Sweep(t.Context(), h.world.Shop); err != nil {
			t.Fatal(err)
		}
		if n := h.count(t, "SELECT count(*) FROM personal_reads WHERE shop_id = ?", string(h.world.Shop)); n != 0 {
			t.Errorf("%d reads are left", n)
		}
		if n := h.count(t, "SELECT count(*) FROM personal_reads WHERE shop_id = ?", string(other.Shop)); n != 1 {
			t.Errorf("the other shop has %d reads, want its one", n)
		}
		if most := slices.Max(swept); most > 200 || most < 100 {
			t.Errorf("one transaction took %d rows", most)
		}
	})
}

// TestReadsOfAWindow asks what a person saw: the start of the window is in,
// its end is not, and nobody else's reads are.
func TestReadsOfAWindow(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		h.run(t, "DELETE FROM personal_reads")
		for i := range 5 {
			h.clock.Set(houseStart.Add(time.Duration(i) * time.Hour))
			h.look(t)
		}
		who := h.person(auth.RoleOwner)
		want := app.ReadsWanted{StaffID: who.StaffID, From: houseStart.Add(time.Hour), Until: houseStart.Add(3 * time.Hour)}
		got, err := h.Reads(t.Context(), who, want, app.Page{Limit: 1})
		if err != nil || len(got) != 1 {
			t.Fatalf("%d reads on a page of one, %v", len(got), err)
		}
		rest, err := h.Reads(t.Context(), who, want, app.Page{After: got[0].Key(), Limit: 10})
		if err != nil || len(rest) != 1 || !got[0].ReadAt.Equal(want.From) || !rest[0].ReadAt.Equal(want.From.Add(time.Hour)) {
			t.Errorf("the window gives %v then %v, %v", got, rest, err)
		}
		if got[0].Operation != "getCustomer" || got[0].Subject != "customers" || !slices.Equal(got[0].IDs, []string{h.world.IDs["customers"]}) {
			t.Errorf("noted is %+v", got[0])
		}
		want.StaffID = shop.StaffID(signInSource{}.ID())
		if _, err := h.Reads(t.Context(), who, want, app.Page{}); err == nil {
			t.Error("the reads of nobody are listed")
		}
		if _, err := h.backend.Raw.ExecContext(t.Context(), "UPDATE personal_reads SET operation = 'nothing'"); err == nil {
			t.Error("a note of a read was changed")
		}
	})
}
