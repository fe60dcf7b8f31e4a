package api_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/base64"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/phone"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
	"benchtag/openapi"
)

// doorSource is the system's randomness.
type doorSource struct{}

func (doorSource) ID() string     { return uuid.Must(uuid.NewV7()).String() }
func (doorSource) Bytes(b []byte) { _, _ = rand.Read(b) }

// doorHasher is honest but cheap.
type doorHasher struct{}

func (doorHasher) Hash(_ context.Context, pw string) (string, error) { return app.HashText(pw), nil }
func (doorHasher) Verify(_ context.Context, pw, phc string) (bool, bool, error) {
	return app.HashText(pw) == phc, false, nil
}
func (doorHasher) VerifyDummy(context.Context, string) error { return nil }
func (doorHasher) Common(string) bool                        { return false }

// doorTokens are random texts that name their kind and shop.
type doorTokens struct{}

func (doorTokens) Access(c app.AccessClaims) (string, error) {
	b, err := json.Marshal(c)
	return "access." + base64.RawURLEncoding.EncodeToString(b), err
}

func (doorTokens) ReadAccess(text string) (c app.AccessClaims, err error) {
	raw, found := strings.CutPrefix(text, "access.")
	b, err := base64.RawURLEncoding.DecodeString(raw)
	if err != nil || !found {
		return c, fault.New(fault.Unauthenticated, "auth.token_refused", "Sign in.")
	}
	return c, json.Unmarshal(b, &c)
}

func (doorTokens) NewOpaque(kind app.TokenKind, scope shop.ShopID) (string, string, error) {
	text := string(kind) + "." + string(scope) + "." + rand.Text()
	return text, app.HashText(text), nil
}

func (doorTokens) ParseOpaque(kind app.TokenKind, text string) (shop.ShopID, string, error) {
	parts := strings.Split(text, ".")
	if len(parts) != 3 || parts[0] != string(kind) {
		return "", "", errors.New("not a token of this kind")
	}
	return shop.ShopID(parts[1]), app.HashText(text), nil
}

func (t doorTokens) Successor(text string) (string, string, error) {
	scope, hash, err := t.ParseOpaque(app.TokenRefresh, text)
	next := "refresh." + string(scope) + "." + app.HashText(hash)
	return next, app.HashText(next), err
}

const doorPassword = "violet ladder humming quietly"

// door is a server over a real database, and a client of it.
type door struct {
	t      *testing.T
	server *api.Server
	app    *app.App
	clock  *testkit.Clock
	doc    *openapi3.T
	owner  string // access token
}

// openDoor starts a server and sets up the shop through it.
func openDoor(t *testing.T) *door {
	t.Helper()
	d := &door{t: t, clock: testkit.NewClock(time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC))}
	s, err := store.Open(store.Options{Folder: storetest.Folder(t), Now: d.clock.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	d.app = app.New(app.Options{Store: s, Source: doorSource{}, Hasher: doorHasher{}, Tokens: doorTokens{}, Phones: phone.Book{}})
	if d.server, err = api.New(api.Options{App: d.app, Access: doorTokens{}, Contract: openapi.Document(), Now: d.clock.Now}); err != nil {
		t.Fatal(err)
	}
	d.doc = document(t)
	d.app.OfferSetup(app.HashText("set-up secret"), d.clock.Now().Add(time.Hour))
	var in struct {
		AccessToken string `json:"access_token"`
	}
	d.ask("POST", "/v1/setup", map[string]any{"secret": "set-up secret", "shop_name": "Kettle Lane Cycles", "slug": "kettle-lane",
		"currency": "USD", "time_zone": "Europe/Vienna", "owner_name": "Orla", "login": "orla", "password": doorPassword}).want(201).into(&in)
	d.owner = in.AccessToken
	return d
}

// reply is an answer of the server.
type reply struct {
	*httptest.ResponseRecorder
	t    *testing.T
	what string
}

type header struct{ name, value string }

func as(token string) header     { return header{"Authorization", "Bearer " + token} }
func match(etag string) header   { return header{"If-Match", etag} }
func keyed(key string) header    { return header{"Idempotency-Key", key} }
func cookies(text string) header { return header{"Cookie", text} }

// ask sends a request and holds the answer against the contract.
func (d *door) ask(method, path string, body any, headers ...header) reply {
	d.t.Helper()
	var sent bytes.Buffer
	if body != nil {
		if err := json.NewEncoder(&sent).Encode(body); err != nil {
			d.t.Fatal(err)
		}
	}
	r := httptest.NewRequest(method, "https://bench.example"+path, &sent)
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	for _, h := range headers {
		r.Header.Set(h.name, h.value)
	}
	w := httptest.NewRecorder()
	d.server.ServeHTTP(w, r)
	out := reply{w, d.t, method + " " + path}
	d.hold(out, method, path)
	return out
}

// hold checks a 2xx JSON answer against the operation's schema.
func (d *door) hold(out reply, method, path string) {
	d.t.Helper()
	if out.Code < 200 || out.Code > 299 || out.Body.Len() == 0 {
		return
	}
	path, _, _ = strings.Cut(path, "?")
	for pattern, item := range d.doc.Paths.Map() {
		op := item.GetOperation(method)
		if op == nil || !fitsPath(pattern, path) {
			continue
		}
		response := op.Responses.Status(out.Code)
		if response == nil {
			d.t.Errorf("%s: the contract has no status %d", out.what, out.Code)
			return
		}
		var value any
		if err := json.Unmarshal(out.Body.Bytes(), &value); err != nil {
			d.t.Fatal(err)
		}
		if err := response.Value.Content.Get("application/json").Schema.Value.VisitJSON(value, openapi3.VisitAsResponse()); err != nil {
			d.t.Errorf("%s: the answer does not fit the contract: %v", out.what, err)
		}
		return
	}
	d.t.Errorf("%s is not in the contract", out.what)
}

func fitsPath(pattern, path string) bool {
	want, got := strings.Split(pattern, "/"), strings.Split(path, "/")
	if len(want) != len(got) {
		return false
	}
	for i := range want {
		if want[i] != got[i] && !strings.HasPrefix(want[i], "{") {
			return false
		}
	}
	return true
}

func (r reply) want(status int) reply {
	r.t.Helper()
	if r.Code != status {
		r.t.Fatalf("%s: %d, want %d: %s", r.what, r.Code, status, r.Body)
	}
	return r
}

// code fails unless the answer is a problem with this status and code.
func (r reply) code(status int, code string) reply {
	r.t.Helper()
	var p struct{ Code string }
	r.want(status).into(&p)
	if p.Code != code {
		r.t.Fatalf("%s: code %s, want %s", r.what, p.Code, code)
	}
	return r
}

func (r reply) into(dest any) reply {
	r.t.Helper()
	if err := json.Unmarshal(r.Body.Bytes(), dest); err != nil {
		r.t.Fatalf("%s: %v: %s", r.what, err, r.Body)
	}
	return r
}

// cookie gives a cookie the answer set, or nil.
func (r reply) cookie(name string) *http.Cookie {
	for _, c := range r.Result().Cookies() {
		if c.Name == name {
			return c
		}
	}
	return nil
}
