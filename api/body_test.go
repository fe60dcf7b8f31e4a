package api_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"benchtag/api"
)

// FuzzReadCursor proves that a cursor is read back as written and nothing
// else panics or passes as one.
func FuzzReadCursor(f *testing.F) {
	for _, text := range []string{"", "x", api.WriteCursor("a"), api.WriteCursor(""), "MS4", "Mi5h", "====", "é"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		after, ok := api.ReadCursor(text)
		if !ok {
			return
		}
		if back := api.WriteCursor(after); back != text && strings.TrimRight(text, "\r\n") == text && !strings.ContainsAny(text, "\r\n") {
			// The last letter of base64 has bits that mean nothing.
			if again, ok := api.ReadCursor(back); !ok || again != after {
				t.Fatalf("%q gives %q, which gives %q", text, after, again)
			}
		}
	})
}

// FuzzParseVersion proves that one version has one spelling.
func FuzzParseVersion(f *testing.F) {
	for _, text := range []string{`"1"`, `"0"`, `"-1"`, `1`, `W/"1"`, `"01"`, `"+1"`, `"9223372036854775808"`, `""`, `*`, `"1","2"`, `"1" `, `""1""`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := api.ParseVersion(text)
		if err != nil {
			return
		}
		if want := fmt.Sprintf(`"%d"`, n); text != want || n < 1 {
			t.Fatalf("%q was read as %d", text, n)
		}
	})
}

func zipped(text string) string {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, _ = w.Write([]byte(text))
	_ = w.Close()
	return b.String()
}

const signIn = `{"shop":"a-shop","login":"a","password":"b"}`

// TestBodies sends bodies to an address that takes one.
func TestBodies(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	s.Probe("signIn", "anyone", func(body map[string]any, _ string) error {
		if body["shop"] != "a-shop" {
			t.Errorf("the handler got %v", body)
		}
		return nil
	})
	jsonType := http.Header{"Content-Type": {"application/json"}}
	for _, tt := range []struct {
		name    string
		header  http.Header
		body    string
		chunked bool
		status  int
		code    string
	}{
		{"plain", jsonType, signIn, false, 204, ""},
		{"in chunks", jsonType, signIn, true, 204, ""},
		{"with its characters named", http.Header{"Content-Type": {"application/json; charset=UTF-8"}}, signIn, false, 204, ""},
		{"in other characters", http.Header{"Content-Type": {"application/json; charset=latin-1"}}, signIn, false, 415, "api.not_json"},
		{"a form", http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}, "shop=a-shop&login=a&password=b", false, 415, "api.not_json"},
		{"a form of parts", http.Header{"Content-Type": {"multipart/form-data; boundary=x"}}, "--x--", false, 415, "api.not_json"},
		{"XML", http.Header{"Content-Type": {"application/xml"}}, "<a/>", false, 415, "api.not_json"},
		{"text", http.Header{"Content-Type": {"text/plain"}}, signIn, false, 415, "api.not_json"},
		{"JSON by another name", http.Header{"Content-Type": {"application/jsonp"}}, signIn, false, 415, "api.not_json"},
		{"of no kind", http.Header{}, signIn, false, 415, "api.not_json"},
		{"of two kinds", http.Header{"Content-Type": {"application/json", "text/plain"}}, signIn, false, 415, "api.not_json"},
		{"zipped", http.Header{"Content-Type": {"application/json"}, "Content-Encoding": {"gzip"}}, zipped(signIn), false, 415, "api.encoding_refused"},
		{"zipped without saying so", jsonType, zipped(signIn), false, 400, "json.not_utf8"},
		{"not zipped, said twice", http.Header{"Content-Type": {"application/json"}, "Content-Encoding": {"identity", "gzip"}}, signIn, false, 415, "api.encoding_refused"},
		{"an unknown field", jsonType, `{"shop":"a-shop","login":"a","password":"b","admin":true}`, false, 400, "api.body_invalid"},
		{"a field missing", jsonType, `{"shop":"a-shop","login":"a"}`, false, 400, "api.body_invalid"},
		{"a field of another type", jsonType, `{"shop":"a-shop","login":"a","password":7}`, false, 400, "api.body_invalid"},
		{"null for a field", jsonType, `{"shop":"a-shop","login":"a","password":null}`, false, 400, "api.body_invalid"},
		{"a list", jsonType, `[]`, false, 400, "api.body_invalid"},
		{"null", jsonType, `null`, false, 400, "api.body_invalid"},
		{"nothing", jsonType, ``, false, 400, "json.body_not_json"},
		{"a key twice", jsonType, `{"shop":"b","shop":"a-shop","login":"a","password":"b"}`, false, 400, "json.key_twice"},
		{"a key in another case", jsonType, `{"shop":"a-shop","Login":"a","password":"b"}`, false, 400, "json.key_unknown"},
		{"the largest", jsonType, signIn + strings.Repeat(" ", api.MaxBody-len(signIn)), false, 204, ""},
		{"one byte too large", jsonType, signIn + strings.Repeat(" ", api.MaxBody-len(signIn)+1), false, 413, "api.body_too_large"},
		{"too large in chunks", jsonType, signIn + strings.Repeat(" ", api.MaxBody), true, 413, "api.body_too_large"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			var body io.Reader = strings.NewReader(tt.body)
			if tt.chunked {
				body = io.MultiReader(body) // of no known length
			}
			r := httptest.NewRequest(http.MethodPost, "/v1/sign-in", body)
			r.Header = tt.header.Clone()
			wantAnswer(t, serve(s, r), tt.status, tt.code)
		})
	}
}

// TestNoBody sends bodies to an address that takes none.
func TestNoBody(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	s.Probe("signOut", "anyone", func(map[string]any, string) error { return nil })
	for _, tt := range []struct {
		name, body string
		chunked    bool
		status     int
		code       string
	}{
		{"none", "", false, 204, ""},
		{"none, in chunks", "", true, 204, ""},
		{"some", "{}", false, 400, "api.body_unexpected"},
		{"some, in chunks", "{}", true, 400, "api.body_unexpected"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			var body io.Reader = strings.NewReader(tt.body)
			if tt.chunked {
				body = io.MultiReader(body)
			}
			wantAnswer(t, serve(s, httptest.NewRequest(http.MethodPost, "/v1/sign-out", body)), tt.status, tt.code)
		})
	}
}

func TestQueries(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	s.Probe("listBays", "anyone", func(map[string]any, string) error { return nil })
	for _, tt := range []struct {
		query  string
		header http.Header
		status int
		code   string
	}{
		{"", nil, 204, ""},
		{"?limit=1", nil, 204, ""},
		{"?limit=1&limit=2", nil, 400, "api.parameter_twice"},
		{"?shop_id=1", nil, 400, "api.parameter_unknown"},
		{"?limit=0", nil, 400, "api.request_invalid"},
		{"?limit=101", nil, 400, "api.request_invalid"},
		{"?limit=x", nil, 400, "api.request_invalid"},
		{"?limit=1%27%20OR%201=1", nil, 400, "api.request_invalid"},
		{"?cursor=" + strings.Repeat("a", 401), nil, 400, "api.request_invalid"},
		{"", http.Header{"X-Shop-Id": {"x"}}, 400, "api.shop_from_outside"},
		{"?%", nil, 400, "api.query_unreadable"},
		{"?limit=1;limit=2", nil, 400, "api.query_unreadable"},
	} {
		t.Run(tt.query, func(t *testing.T) {
			t.Parallel()
			r := httptest.NewRequest(http.MethodGet, "/v1/bays", nil)
			r.URL.RawQuery = strings.TrimPrefix(tt.query, "?")
			r.Header = tt.header.Clone()
			wantAnswer(t, serve(s, r), tt.status, tt.code)
		})
	}
}

// TestWhatToSendInstead holds the sentences about fields to saying what to
// do, in whatever way the schema was missed.
func TestWhatToSendInstead(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	for _, id := range []string{"signIn", "addTaxCategory", "addMachine", "openWorkOrder", "setPin", "addStaff"} {
		s.Probe(id, "anyone", func(map[string]any, string) error { return nil })
	}
	for _, tt := range []struct{ path, body, pointer, message string }{
		{"/v1/sign-in", `{"shop":"a","login":"a"}`, "/password", "This field is required."},
		{"/v1/sign-in", `{"shop":"a","login":"a","password":""}`, "/password", "This cannot be empty; fill it in."},
		{"/v1/sign-in", `{"shop":"a","login":"a","password":7}`, "/password", "Send a text."},
		{"/v1/sign-in", `{"shop":"a","login":"a","password":null}`, "/password", "This cannot be null; send a value or leave it out."},
		{"/v1/sign-in", `{"shop":"a","login":"a","password":"b","admin":1}`, "/admin", "There is no such field here; leave it out."},
		{"/v1/sign-in", `{"shop":"a","login":"a","password":"b","a/~b":1}`, "/a~1~0b", "There is no such field here; leave it out."},
		{"/v1/sign-in", `{"shop":"` + strings.Repeat("a", 65) + `","login":"a","password":"b"}`, "/shop", "Send at most 64 characters."},
		{"/v1/sign-in", `{"shop":"a","login":"a","password":"b","keep":"no"}`, "/keep", "Choose one of: json, cookie."},
		{"/v1/sign-in", `[]`, "", "Send an object."},
		{"/v1/tax-categories", `{"code":"a","label":"b","rate_ppm":-1}`, "/rate_ppm", "Send at least 0."},
		{"/v1/tax-categories", `{"code":"a","label":"b","rate_ppm":9007199254740992}`, "/rate_ppm", "Send at most 9007199254740991."},
		{"/v1/tax-categories", `{"code":"a","label":"b","rate_ppm":"1"}`, "/rate_ppm", "Send a whole number."},
		{"/v1/machines", `{"customer_id":"7","make":"a","model":"b"}`, "/customer_id", "Give an id: a UUID in lower case."},
		{"/v1/work-orders", `{"machine_id":"01990000-0000-7000-8000-000000000001","customer_id":"01990000-0000-7000-8000-000000000001","promised_on":"soon"}`, "/promised_on", "Give a day, as in 2026-03-01."},
		{"/v1/me/pin", `{"password":"a","pin":"12ab"}`, "/pin", "The text has the wrong form. Four to eight digits."},
		{"/v1/staff", `{"login":"ab","name":"b","password":"c","roles":[]}`, "/roles", "Send at least 1 of them."},
		{"/v1/staff", `{"login":"ab","name":"b","password":"c","roles":"owner"}`, "/roles", "Send a list."},
		{"/v1/staff", `{"login":"ab","name":"b","password":"c","roles":["owner"],"rides":1}`, "/rides", "Send true or false."},
	} {
		r := httptest.NewRequest(http.MethodPost, tt.path, strings.NewReader(tt.body))
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Idempotency-Key", "a key")
		res := serve(s, r)
		var p api.Problem
		if err := json.NewDecoder(res.Body).Decode(&p); err != nil {
			t.Fatal(err)
		}
		if p.Status != 400 || p.Code != "api.body_invalid" || len(p.Fields) != 1 || p.Fields[0] != (api.FieldView{Pointer: tt.pointer, Message: tt.message}) {
			t.Errorf("%s %s: %+v, want %s: %s", tt.path, tt.body, p, tt.pointer, tt.message)
		}
	}
}
