package api_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"benchtag/api"
	"benchtag/internal/store/storetest"
)

// unnoted are reads of personal columns that leave no note, and why.
var unnoted = map[string]string{
	"getFloor": "make, model and plate of what stands in the shop before everybody's eyes, asked again every few seconds",
}

// TestReadsAreNoted asks for everything that can be read, with a text of its
// own in every column that tells something of a customer: whatever gives one
// leaves a note of who was given which rows, and holds none of the texts. So
// "what did this account see?" has a whole answer.
func TestReadsAreNoted(t *testing.T) { t.Parallel(); onEach(t, readsAreNoted) }

func readsAreNoted(t *testing.T, r *rig) {
	canaries := r.mine.Canaries(t, r.backend)
	gave := 0
	for _, route := range r.Routes() {
		if route.Method != http.MethodGet || !slices.Contains(permitted[route.Allow], "owner") {
			continue
		}
		ids := idsOf(route, r.mine)
		if strings.HasSuffix(route.Path, "/search") {
			ids = map[string]string{}
			route.Path += "?q=canary"
		}
		before := r.reads(t)
		got := r.get(t, route, "owner", ids)
		if !givesAny(got.body, canaries) || unnoted[route.Operation] != "" {
			continue
		}
		gave++
		if r.reads(t) != before+1 {
			t.Errorf("%s gives what tells something of a customer and leaves %d notes", route.Operation, r.reads(t)-before)
		}
	}
	if gave < 12 {
		t.Errorf("only %d routes gave anything personal", gave)
	}
	for _, row := range storetest.Contents(t, r.backend, r.mine)["personal_reads"] {
		if givesAny([]byte(row), canaries) {
			t.Errorf("the note holds the data: %s", row)
		}
	}
}

// TestReadsOnceAMinute asks the same again and again.
func TestReadsOnceAMinute(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	before := r.reads(t)
	route := r.routeOf(t, "getCustomer")
	for range 3 {
		r.ask(t, route, "owner", idsOf(route, r.mine), "", nil)
		r.clock.Advance(time.Second)
	}
	if n := r.reads(t) - before; n != 1 {
		t.Errorf("three looks within a minute left %d notes", n)
	}
	r.ask(t, route, "advisor", idsOf(route, r.mine), "", nil)
	r.clock.Advance(time.Minute)
	r.ask(t, route, "owner", idsOf(route, r.mine), "", nil)
	if n := r.reads(t) - before; n != 3 {
		t.Errorf("another person and another minute make it %d notes, want 3", n)
	}
	r.clock.Advance(time.Second)
	list := r.routeOf(t, "listReads")
	got := r.ask(t, list, "owner", map[string]string{"id": string(r.claims["owner"].StaffID)}, "", nil)
	if got.status != http.StatusOK || strings.Count(string(got.body), `"operation":"getCustomer"`) != 2 {
		t.Errorf("the owner's reads: %d %s", got.status, got.body)
	}
}

// reads counts the notes.
func (r *rig) reads(t testing.TB) (n int) {
	t.Helper()
	if err := r.backend.Raw.QueryRowContext(t.Context(), "SELECT count(*) FROM personal_reads").Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

func givesAny(text []byte, canaries map[string]string) bool {
	for _, c := range canaries {
		if strings.Contains(string(text), c) {
			return true
		}
	}
	return false
}

// get asks as ask does, without a look at the contract, for data that no
// client could have put there.
func (r *rig) get(t testing.TB, route api.RouteInfo, who string, ids map[string]string) answer {
	t.Helper()
	path := route.Path
	for name, id := range ids {
		path = strings.ReplaceAll(path, "{"+name+"}", id)
	}
	req := httptest.NewRequest(route.Method, path, nil)
	req.Header.Set("Authorization", "Bearer "+who)
	res := serve(r.Server, req)
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer{res.StatusCode, res.Header, body}
}

// routeOf finds a route by its operation.
func (r *rig) routeOf(t testing.TB, operation string) api.RouteInfo {
	t.Helper()
	for _, route := range r.Routes() {
		if route.Operation == operation {
			return route
		}
	}
	t.Fatalf("there is no %s", operation)
	return api.RouteInfo{}
}
