package api_test

import (
	"encoding/json"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/go-cmp/cmp"

	"benchtag/api"
	"benchtag/internal/shop"
	"benchtag/internal/store/storetest"
)

// permitted says which callers a route is for, by its line in the policy table.
var permitted = map[string][]string{
	"any staff":        {"technician", "advisor", "owner"},
	"advisor or owner": {"advisor", "owner"},
	"owner":            {"owner"},
	"enrolled tablet":  {"tablet"},
}

// TestRolesAtEveryRoute sends every kind of caller to every route: who is not
// meant gets no further than the door, whatever else the request holds.
func TestRolesAtEveryRoute(t *testing.T) { t.Parallel(); onEach(t, rolesAtEveryRoute) }

func rolesAtEveryRoute(t *testing.T, r *rig) {
	callers := slices.Concat(slices.Sorted(maps.Keys(roles)), nobodys, []string{"tablet"})
	tried := 0
	for _, route := range r.Routes() {
		if route.Allow == "anyone" {
			continue
		}
		for _, who := range callers {
			if slices.Contains(permitted[route.Allow], who) {
				continue // who is let in is tried with requests that mean something
			}
			tried++
			got := r.ask(t, route, who, idsOf(route, r.mine), "", nil)
			want := http.StatusUnauthorized
			if roles[who] != "" && route.Allow != "enrolled tablet" {
				want = http.StatusForbidden
			}
			if got.status != want {
				t.Errorf("%s: %q gets %d, want %d: %s", route.Operation, who, got.status, want, got.body)
			}
		}
	}
	if tried < 500 {
		t.Errorf("only %d refusals were tried", tried)
	}
}

// tableOf says of which table a path's {id} is, by the noun before it.
var tableOf = map[string]string{
	"machine-maps": "layouts", "intake-facts": "work_orders", "offers": "offers", "moves": "jobs", "sessions": "sessions",
}

var pathNoun = regexp.MustCompile(`/([a-z-]+)/\{(\w+)\}`)

// idsOf fills the ids of a route's address with those of a world.
func idsOf(route api.RouteInfo, w *storetest.World) map[string]string {
	ids := map[string]string{}
	for _, m := range pathNoun.FindAllStringSubmatch(route.Path, -1) {
		table := tableOf[m[1]]
		if table == "" {
			table = strings.ReplaceAll(m[1], "-", "_")
		}
		ids[m[2]] = w.IDs[table]
		if m[2] == "code" {
			ids[m[2]] = codeOf(uint32(w.Series))
		}
	}
	return ids
}

// codeOf gives a tag code that stands far from those of the suite's blocks:
// the code of the tag in a world of that series, or of no tag at all.
func codeOf(series uint32) string {
	code, err := shop.NewTagCode(1000 * series)
	if err != nil {
		panic(err)
	}
	return string(code)
}

// missing is what is nowhere, in the form that a part of an address has.
func missing(name string) string {
	if name == "code" {
		return codeOf(9)
	}
	return missingID
}

const missingID = "01950009-0000-7000-8000-00000000ffff"

// TestNothingOfAnotherShop asks the owner's way for what is another shop's and
// for what is nowhere: both answers are the same, and nothing of the other
// shop changes.
func TestNothingOfAnotherShop(t *testing.T) { t.Parallel(); onEach(t, nothingOfAnotherShop) }

func nothingOfAnotherShop(t *testing.T, r *rig) {
	before := storetest.Contents(t, r.backend, r.theirs)
	tried := 0
	for _, route := range r.Routes() {
		mine := idsOf(route, r.mine)
		if len(mine) == 0 || !slices.Contains(permitted[route.Allow], "owner") {
			continue
		}
		for name := range mine {
			tried++
			foreign, nowhere := maps.Clone(mine), maps.Clone(mine)
			foreign[name], nowhere[name] = idsOf(route, r.theirs)[name], missing(name)
			body := r.sample(route)
			one := r.ask(t, route, "owner", foreign, body, writeHeader(route))
			two := r.ask(t, route, "owner", nowhere, body, writeHeader(route))
			if one.status != http.StatusNotFound || two.status != http.StatusNotFound {
				t.Errorf("%s, %s: another shop's gets %d, none gets %d: %s", route.Operation, name, one.status, two.status, one.body)
			}
			if diff := cmp.Diff(problemOf(t, two), problemOf(t, one)); diff != "" {
				t.Errorf("%s, %s: the answers differ (-none +another shop's):\n%s", route.Operation, name, diff)
			}
		}
	}
	if tried < 100 {
		t.Errorf("only %d addresses were tried", tried)
	}
	if diff := cmp.Diff(before, storetest.Contents(t, r.backend, r.theirs)); diff != "" {
		t.Errorf("the other shop changed (-before +after):\n%s", diff)
	}
}

// problemOf is the answer without what is of the request alone.
func problemOf(t testing.TB, a answer) api.Problem {
	t.Helper()
	var p api.Problem
	if err := json.Unmarshal(a.body, &p); err != nil {
		t.Errorf("no problem: %s", a.body)
	}
	p.RequestID = ""
	return p
}

func writeHeader(route api.RouteInfo) http.Header {
	if route.Method != http.MethodPut {
		return http.Header{}
	}
	if route.Bytes {
		return http.Header{"Content-Digest": {"sha-256=:47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=:"}, "Content-Type": {"image/jpeg"}}
	}
	return http.Header{"If-Match": {`"2"`}}
}

// refusedReads are the reads that the rig's shop cannot be given, and the code
// that says why: no key signs for it, and the proofs want to know of what.
var refusedReads = map[string]string{
	"getReceipt":       "app.entry_not_signed",
	"proveEntry":       "api.request_invalid",
	"proveConsistency": "api.request_invalid",
}

// TestReads asks the owner's way for everything that can be read: it is there,
// and as the contract says.
func TestReads(t *testing.T) { t.Parallel(); onEach(t, reads) }

func reads(t *testing.T, r *rig) {
	tried := 0
	for _, route := range r.Routes() {
		if route.Method != http.MethodGet || !slices.Contains(permitted[route.Allow], "owner") || strings.HasSuffix(route.Path, "/search") {
			continue
		}
		tried++
		got := r.ask(t, route, "owner", idsOf(route, r.mine), "", nil)
		if code := refusedReads[route.Operation]; code != "" {
			if got.status < 400 || problemOf(t, got).Code != code {
				t.Errorf("%s gets %d: %s", route.Operation, got.status, got.body)
			}
			continue
		}
		if got.status != http.StatusOK {
			t.Errorf("%s gets %d: %s", route.Operation, got.status, got.body)
		}
		for _, secret := range []string{"canary", r.theirs.IDs["jobs"], string(r.theirs.Shop)} {
			if strings.Contains(string(got.body), secret) {
				t.Errorf("%s gives what is another shop's: %s", route.Operation, got.body)
			}
		}
	}
	if tried < 30 {
		t.Errorf("only %d reads were tried", tried)
	}
}

// TestBrokenDatabase proves that a database that fails says nothing of itself
// to a client.
func TestBrokenDatabase(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for _, text := range []string{"PRAGMA foreign_keys = 0", "DROP TABLE lines"} {
		if _, err := r.backend.Raw.ExecContext(t.Context(), text); err != nil {
			t.Fatal(err)
		}
	}
	failed := 0
	for _, route := range r.Routes() {
		if !slices.Contains(permitted[route.Allow], "owner") || !strings.Contains(route.Path, "{") {
			continue // signing out, say, would end the test's own session
		}
		if strings.HasPrefix(route.Operation, "export") {
			continue // a stream that has begun is cut off, which says nothing either
		}
		got := r.ask(t, route, "owner", idsOf(route, r.mine), r.sample(route), writeHeader(route))
		if got.status < 500 {
			continue
		}
		failed++
		if got.status != http.StatusInternalServerError {
			t.Errorf("%s gets %d", route.Operation, got.status)
		}
		for _, secret := range []string{"SQL", "no such table", "sqlite", "lines", "store", "SELECT", ".go"} {
			if strings.Contains(string(got.body), secret) {
				t.Errorf("%s says %q: %s", route.Operation, secret, got.body)
			}
		}
	}
	if failed < 5 {
		t.Errorf("only %d routes met the broken database", failed)
	}
}

// sample makes the least body that a route's schema takes.
func (r *rig) sample(route api.RouteInfo) string {
	op := r.doc.Paths.Value(route.Path).GetOperation(route.Method)
	if op.RequestBody == nil {
		return ""
	}
	if route.Bytes {
		return "" // no picture; whoever owns none is not asked for one
	}
	body, err := json.Marshal(r.value(op.RequestBody.Value.Content.Get("application/json").Schema.Value))
	if err != nil {
		return ""
	}
	return string(body)
}

func (r *rig) value(s *openapi3.Schema) any {
	switch {
	case len(s.AllOf) == 1:
		return r.value(s.AllOf[0].Value)
	case len(s.Enum) > 0:
		return s.Enum[len(s.Enum)-1]
	case s.Properties["entered"] != nil:
		return map[string]any{"entered": "25 ft-lb"}
	case s.Type.Is("object"):
		out := map[string]any{}
		for _, name := range s.Required {
			out[name] = r.value(s.Properties[name].Value)
		}
		return out
	case s.Type.Is("array"):
		list := []any{}
		for range s.MinItems {
			list = append(list, r.value(s.Items.Value))
		}
		return list
	case s.Type.Is("integer"):
		return 1
	case s.Type.Is("boolean"):
		return true
	}
	return r.text(s)
}

func (r *rig) text(s *openapi3.Schema) string {
	switch {
	case s.Format == "uuid":
		return missingID
	case s.Format == "date":
		return "2026-03-01"
	case s.Format == "date-time":
		return "2026-03-01T09:30:00Z"
	case strings.Contains(s.Pattern, "A-Z]{3}"):
		return "USD"
	case strings.HasPrefix(s.Pattern, "^-?[0-9]"):
		return "1.00"
	case strings.Contains(s.Pattern, "[0-9]"):
		return strings.Repeat("4", int(max(s.MinLength, 4)))
	}
	return strings.Repeat("a", int(max(s.MinLength, 1)))
}
