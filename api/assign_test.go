package api_test

import (
	"encoding/json"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/api"
	"benchtag/internal/store/storetest"
)

// spellings are the cases in which a careless reader may know a column.
var spellings = []func(string) string{
	func(s string) string { return s },
	strings.ToUpper,
	func(s string) string {
		var out strings.Builder
		for _, part := range strings.Split(s, "_") {
			out.WriteString(strings.ToUpper(part[:1]) + part[1:])
		}
		return out.String()
	},
}

// TestNoColumnIsAssigned sends each write the names of columns beside what it
// takes: the whole request is refused, and nothing is written.
func TestNoColumnIsAssigned(t *testing.T) { t.Parallel(); onEach(t, noColumnIsAssigned) }

func noColumnIsAssigned(t *testing.T, r *rig) {
	before := contentsOf(t, r)
	tried := 0
	for _, route := range r.Routes() {
		query := route
		query.Path += "?shop_id=" + string(r.theirs.Shop)
		if got := r.send(query); route.Allow != "anyone" && route.Allow != "enrolled tablet" && got != http.StatusBadRequest {
			t.Errorf("%s with ?shop_id= gets %d", route.Operation, got)
		}
		sample := r.sample(route)
		if sample == "" || !strings.HasPrefix(sample, "{") || !slices.Contains(permitted[route.Allow], "owner") {
			continue
		}
		for i, column := range columnsFor(r, route.Path) {
			for j, spell := range spellings {
				if column != "shop_id" && i%len(spellings) != j { // all spellings of the shop; one of each other
					continue
				}
				body := map[string]any{}
				if err := json.Unmarshal([]byte(sample), &body); err != nil {
					t.Fatal(err)
				}
				name := spell(column)
				if _, own := body[name]; own || r.takes(route.Path, route.Method, name) {
					continue
				}
				body[name] = missingID
				sent, err := json.Marshal(body)
				if err != nil {
					t.Fatal(err)
				}
				tried++
				got := r.ask(t, route, "owner", idsOf(route, r.mine), string(sent), writeHeader(route))
				named := strings.Contains(string(got.body), "/"+name+`"`) || strings.Contains(string(got.body), `"json.key_`)
				if got.status != http.StatusBadRequest || !named {
					t.Errorf("%s with %q gets %d: %s", route.Operation, name, got.status, got.body)
				}
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d names were tried", tried)
	}
	if diff := cmp.Diff(before, contentsOf(t, r)); diff != "" {
		t.Errorf("something was written (-before +after):\n%s", diff)
	}
}

// send asks as the owner without holding the answer against the contract.
func (r *rig) send(route api.RouteInfo) int {
	path := route.Path
	for name, id := range idsOf(route, r.mine) {
		path = strings.ReplaceAll(path, "{"+name+"}", id)
	}
	req := httptest.NewRequest(route.Method, path, nil)
	req.Header.Set("Authorization", "Bearer owner")
	req.Header.Set("Idempotency-Key", "of the query")
	return serve(r.Server, req).StatusCode
}

// contentsOf is what the first shop holds, without the note of when a session
// was last used.
func contentsOf(t *testing.T, r *rig) map[string][]string {
	t.Helper()
	all := storetest.Contents(t, r.backend, r.mine)
	delete(all, "sessions")
	return all
}

// columnsFor lists the columns of the tables that an address names.
func columnsFor(r *rig, path string) []string {
	names := map[string]bool{"shop_id": true, "id": true, "version": true, "created_at": true, "updated_at": true}
	for _, part := range strings.Split(path, "/") {
		for _, column := range r.mine.Catalog[strings.ReplaceAll(part, "-", "_")].Columns {
			names[column.Name] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}

// takes reports whether the contract lets a request's body hold a name.
func (r *rig) takes(path, method, name string) bool {
	schema := r.doc.Paths.Value(path).GetOperation(method).RequestBody.Value.Content.Get("application/json").Schema.Value
	if len(schema.AllOf) == 1 {
		schema = schema.AllOf[0].Value
	}
	return schema.Properties[name] != nil
}
