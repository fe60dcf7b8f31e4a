package api_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"benchtag/api"
)

// told is what stands in every field that a client of this test sends.
const told = "canary-told"

// TestNothingPersonalIsLogged puts a text of its own into every column that
// tells something of a customer or holds a secret, and into every field of
// every request, sound and broken; then it breaks the database under the
// server, and lets handlers panic. None of the texts is in the log, whatever
// went wrong.
func TestNothingPersonalIsLogged(t *testing.T) { t.Parallel(); onEach(t, nothingPersonalIsLogged) }

func nothingPersonalIsLogged(t *testing.T, r *rig) {
	r.mine.Canaries(t, r.backend)
	r.mine.Secrets(t, r.backend)
	sent, served := 0, 0
	everything := func() {
		for _, route := range r.Routes() {
			if strings.Contains(route.Operation, "ession") || strings.Contains(route.Operation, "signOut") {
				continue // the test's own session would end
			}
			for _, req := range r.talkative(route) {
				sent++
				if r.serves(req) {
					served++
				}
			}
		}
	}
	everything()
	if served < 1000 {
		t.Errorf("only %d of %d requests were served", served, sent)
	}
	lines := r.wantDiscreet(t)
	if lines["request"] != sent {
		t.Errorf("%d requests left %d lines", sent, lines["request"])
	}
	if got := r.ask(t, r.routeOf(t, "whoAmI"), "owner", nil, "", nil); got.status != http.StatusOK {
		t.Fatalf("the owner was signed out on the way: %d", got.status)
	}
	r.breakDown(t)
	everything()
	if lines = r.wantDiscreet(t); lines["request failed"] < 20 || lines["an export was cut off"] == 0 {
		t.Errorf("only %d requests met the broken database, and %d exports", lines["request failed"], lines["an export was cut off"])
	}
	r.Probe("getShop", "anyone", func(map[string]any, string) error { panic(told) })
	r.Probe("addCustomer", "anyone", func(body map[string]any, _ string) error { panic(fmt.Errorf("no use: %v", body)) })
	serve(r.Server, httptest.NewRequest(http.MethodGet, "/v1/shop", nil))
	for _, req := range r.talkative(r.routeOf(t, "addCustomer")) {
		serve(r.Server, req)
	}
	if lines = r.wantDiscreet(t); lines["panic"] < 2 {
		t.Errorf("%d panics were logged", lines["panic"])
	}
}

// serves reports whether a request gets an answer that is none of the
// server's own failures; an export may be cut off.
func (r *rig) serves(req *http.Request) (well bool) {
	defer func() {
		if cut := recover(); cut != nil && cut != http.ErrAbortHandler {
			panic(cut)
		}
	}()
	return serve(r.Server, req).StatusCode < 500
}

// wantDiscreet looks for the texts in the log, and counts its lines by what
// they say.
func (r *rig) wantDiscreet(t *testing.T) map[string]int {
	t.Helper()
	lines := map[string]int{}
	for line := range strings.Lines(r.logged.String()) {
		if strings.Contains(strings.ToLower(line), "canary") {
			t.Errorf("the log says: %s", line)
		}
		var entry struct{ Msg string }
		if err := json.Unmarshal([]byte(line), &entry); err != nil {
			t.Errorf("%v: %s", err, line)
		}
		lines[entry.Msg]++
	}
	return lines
}

// breakDown makes the database one that fails: a table is gone, and a number
// and a document are something else.
func (r *rig) breakDown(t *testing.T) {
	t.Helper()
	statements := []string{"PRAGMA foreign_keys = 0", "PRAGMA ignore_check_constraints = 1", "DROP TABLE lines",
		"UPDATE machines SET year = 'canary-number'", "UPDATE findings SET debris = 'canary-debris'"}
	if r.backend.Postgres {
		statements = []string{"DROP TABLE lines CASCADE", "ALTER TABLE machines DROP CONSTRAINT machines_year_check, ALTER COLUMN year TYPE text USING 'canary-number'"}
	}
	r.backend.Raw.SetMaxOpenConns(1) // the settings are of one connection
	for _, text := range statements {
		if _, err := r.backend.Raw.ExecContext(t.Context(), text); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
}

// talkative makes requests of a route that say the text wherever they can.
func (r *rig) talkative(route api.RouteInfo) []*http.Request {
	ids := idsOf(route, r.mine)
	var bodies []string
	if op := r.doc.Paths.Value(route.Path).GetOperation(route.Method); op.RequestBody != nil && !route.Bytes {
		schema := op.RequestBody.Value.Content.Get("application/json").Schema.Value
		for _, kind := range []bool{true, false} {
			text, err := json.Marshal(talk{kind}.value(schema, 0))
			if err == nil {
				bodies = append(bodies, string(text), string(text[:len(text)/2]))
			}
		}
		bodies = append(bodies, r.sample(route), `{"`+told+`":"`+told+`"}`, `"`+told+`"`)
	} else {
		bodies = []string{"", told}
	}
	var out []*http.Request
	for i, body := range bodies {
		path := route.Path
		for name, id := range ids {
			if i%3 == 2 {
				id = told
			}
			path = strings.ReplaceAll(path, "{"+name+"}", id)
		}
		if i%3 == 1 {
			path += "?q=" + told + "&" + told + "=1"
		}
		req := httptest.NewRequest(route.Method, path, strings.NewReader(body))
		req.Header.Set("Authorization", "Bearer owner")
		if i == len(bodies)-1 {
			req.Header.Set("Authorization", "Bearer "+told)
			req.Header.Set("Cookie", "__Host-benchtag_tablet="+told)
		}
		req.Header.Set("User-Agent", told)
		req.Header.Set("Referer", "https://"+told+".example")
		req.Header.Set("X-Forwarded-For", told)
		req.Header.Set("Content-Type", "application/json")
		if route.Effect {
			r.sent++
			req.Header.Set("Idempotency-Key", fmt.Sprint(told, r.sent))
		}
		for name, values := range writeHeader(route) {
			req.Header[name] = values
		}
		out = append(out, req)
	}
	return out
}

// talk makes bodies: as the schema wants them, or with the text in the place
// of every value.
type talk struct{ sound bool }

func (k talk) value(s *openapi3.Schema, depth int) any {
	switch {
	case depth > 6:
		return nil
	case len(s.AllOf) == 1:
		return k.value(s.AllOf[0].Value, depth+1)
	case s.Type.Is("object"):
		out := map[string]any{}
		for name, p := range s.Properties {
			out[name] = k.value(p.Value, depth+1)
		}
		return out
	case s.Type.Is("array") && s.Items != nil:
		return []any{k.value(s.Items.Value, depth+1)}
	case !k.sound:
		return told
	}
	return (&rig{}).loud(s)
}

// loud is value for what is no object or list, with the text where any text
// may stand.
func (r *rig) loud(s *openapi3.Schema) any {
	if s.Type.Is("string") && len(s.Enum) == 0 && s.Format == "" && s.Pattern == "" {
		return told
	}
	return r.value(s)
}
