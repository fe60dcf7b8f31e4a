package api_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/google/uuid"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/discreet"
	paper "benchtag/internal/document"
	"benchtag/internal/fault"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
	"benchtag/openapi"
)

// rig is the real app over a real database behind the real server, with two shops that
// hold a row of every noun, and callers of every kind in the first.
type rig struct {
	*api.Server
	backend      *storetest.Backend
	mine, theirs *storetest.World
	doc          *openapi3.T
	clock        *testkit.Clock
	claims       map[string]app.AccessClaims
	sent         int
	logged       bytes.Buffer // what the server wrote to its log, as it serves
}

// rigSource is the system's randomness.
type rigSource struct{}

func (rigSource) ID() string     { return uuid.Must(uuid.NewV7()).String() }
func (rigSource) Bytes(b []byte) { _, _ = rand.Read(b) }

// rigTokens knows device secrets by their hash; other tokens are proven where
// they are made.
type rigTokens struct{ app.Tokens }

func (rigTokens) ParseOpaque(_ app.TokenKind, text string) (shop.ShopID, string, error) {
	if text == "" {
		return "", "", fault.New(fault.Unauthenticated, "auth.token_refused", "There is none.")
	}
	return storetest.ShopOf(1), app.HashText(text), nil
}

// ReadAccess knows the tokens that the rig gave out, by name.
func (r *rig) ReadAccess(text string) (app.AccessClaims, error) {
	claims, ok := r.claims[text]
	if !ok {
		return claims, fault.New(fault.Unauthenticated, "auth.token_refused", "Sign in.")
	}
	return claims, nil
}

// Callers are who may ask, by the name of their token: those with roles, and
// those who are nobody any more.
var (
	roles   = map[string]shop.Role{"technician": shop.RoleTechnician, "advisor": shop.RoleAdvisor, "owner": shop.RoleOwner}
	nobodys = []string{"", "made-up", "disabled", "ended", "idle", "another-version", "other-shop"}
)

// onEach runs a test over each database.
func onEach(t *testing.T, test func(t *testing.T, r *rig)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); test(t, newRig(t)) })
	t.Run("postgres", func(t *testing.T) { t.Parallel(); test(t, newPostgresRig(t)) })
}

var rigStart = time.Date(2026, 3, 1, 9, 30, 0, 0, time.UTC)

func newRig(t testing.TB) *rig {
	t.Helper()
	clock, folder := testkit.NewClock(rigStart), storetest.Folder(t)
	file := url.URL{Scheme: "file", Path: filepath.Join(folder, store.FileName), RawQuery: "_pragma=busy_timeout(5000)"}
	raw, err := sql.Open("sqlite", file.String())
	if err != nil {
		t.Fatal(err)
	}
	return newRigOver(t, clock, storetest.Open(t, store.Options{Folder: folder, Now: clock.Now}, raw))
}

func newPostgresRig(t testing.TB) *rig {
	t.Helper()
	clock, address := testkit.NewClock(rigStart), storetest.Address(t)
	raw, err := sql.Open("pgx", address)
	if err != nil {
		t.Fatal(err)
	}
	return newRigOver(t, clock, storetest.Open(t, store.Options{PostgresURL: address, Now: clock.Now}, raw))
}

func newRigOver(t testing.TB, clock *testkit.Clock, backend *storetest.Backend) *rig {
	t.Helper()
	r := &rig{clock: clock, backend: backend, doc: document(t), claims: map[string]app.AccessClaims{}}
	r.mine, r.theirs = storetest.Populate(t, r.backend, 1, 1), storetest.Populate(t, r.backend, 2, 2)
	blobs, err := photo.OpenFolder(filepath.Join(t.TempDir(), "photos"))
	if err != nil {
		t.Fatal(err)
	}
	r.Server, err = api.New(api.Options{
		App: app.New(app.Options{Store: r.backend.Store, Source: rigSource{}, Tokens: rigTokens{}, PublicURL: "https://shop.example", Papers: paper.Printer{},
			Blobs: blobs, Pictures: photo.NewBaker()}),
		Access: r, Contract: openapi.Document(), Now: r.clock.Now,
		Log: slog.New(slog.NewJSONHandler(&r.logged, &slog.HandlerOptions{Level: slog.LevelDebug, ReplaceAttr: discreet.Attr})),
	})
	if err != nil {
		t.Fatal(err)
	}
	r.write(t, r.settle)
	r.write(t, func(tx app.Tx) error { return r.picture(tx, blobs) })
	r.write(t, r.people)
	return r
}

func (r *rig) write(t testing.TB, fn func(app.Tx) error) {
	t.Helper()
	err := r.backend.Store.Write(t.Context(), r.mine.Shop, func(_ context.Context, tx app.Tx) error { return fn(tx) })
	if err != nil {
		t.Fatal(err)
	}
}

// settle gives the first shop settings that mean something: the suite fills
// texts with anything.
func (r *rig) settle(tx app.Tx) error {
	var s shop.Shop
	if err := tx.Load(&s, string(r.mine.Shop)); err != nil {
		return err
	}
	s.Currency, s.TimeZone, s.Rounding, s.ConsentRule, s.OwnRule, s.Slug = "USD", "UTC", "half_up", "", nil, "shop-1"
	if err := tx.Advance(&s); err != nil {
		return err
	}
	return errors.Join(
		change(tx, &shop.Customer{}, r.mine.IDs["customers"], func(n *shop.Customer) {
			n.EraseAskedAt, n.EraseReason, n.EraseOn, n.ErasedAt = nil, "", "", nil
		}),
		change(tx, &shop.Tablet{}, r.mine.IDs["tablets"], func(n *shop.Tablet) { n.SecretHash, n.RevokedAt = app.HashText("device"), nil }),
		change(tx, &shop.Measurement{}, r.mine.IDs["measurements"], func(n *shop.Measurement) { n.Inputs, n.Verdict = []byte("{}"), "within" }),
		change(tx, &shop.Complaint{}, r.mine.IDs["complaints"], func(n *shop.Complaint) {
			n.Struck, n.Kind, n.Symptom = shop.Struck{}, shop.JobKindComplaint, shop.SymptomNoise
		}),
		change(tx, &shop.Job{}, r.mine.IDs["jobs"], func(n *shop.Job) { n.Stages = nil }),
		change(tx, &shop.Finding{}, r.mine.IDs["findings"], func(n *shop.Finding) { n.Debris = nil }),
		change(tx, &shop.Layout{}, r.mine.IDs["layouts"], func(n *shop.Layout) { n.Document = exampleDocument("example.map.json") }),
		change(tx, &shop.LimitSheet{}, r.mine.IDs["limit_sheets"], func(n *shop.LimitSheet) { n.Document = exampleDocument("example.limits.json") }),
		change(tx, &shop.Tag{}, r.mine.IDs["tags"], func(n *shop.Tag) { n.Code = codeOf(uint32(r.mine.Series)) }),
		change(tx, &shop.Scope{}, r.mine.IDs["scopes"], func(n *shop.Scope) { n.LineIDs = []string{r.mine.IDs["lines"]} }),
		change(tx, &shop.Bill{}, r.mine.IDs["bills"], func(n *shop.Bill) { n.JobIDs, n.Document = []string{r.mine.IDs["jobs"]}, []byte("{}") }),
		change(tx, &shop.Offer{}, r.mine.IDs["offers"], func(n *shop.Offer) { n.ScopeIDs, n.Document = []string{r.mine.IDs["scopes"]}, []byte("{}") }),
	)
}

// picture gives the first shop's photo something to show.
func (r *rig) picture(tx app.Tx, blobs app.Blobs) error {
	content := []byte("as good as a picture here")
	sum, id := app.SumOf(content), r.mine.IDs["photos"]
	if err := blobs.Put(context.Background(), app.PhotoKey(r.mine.Shop, shop.PhotoID(id), sum), content); err != nil {
		return err
	}
	return change(tx, &shop.Photo{}, id, func(n *shop.Photo) {
		n.Struck, n.ErasedAt, n.DamagedAt, n.Marks = shop.Struck{}, nil, nil, nil
		n.MediaType, n.StoredSHA256, n.LargeSHA256, n.SmallSHA256 = "image/png", sum, sum, sum
	})
}

// exampleDocument reads one of the small example documents of package layout.
func exampleDocument(name string) []byte {
	text, err := os.ReadFile(filepath.Join("..", "internal", "layout", "testdata", name))
	if err != nil {
		panic(err)
	}
	return text
}

func change[P app.Noun](tx app.Tx, row P, id string, fn func(P)) error {
	if err := tx.Load(row, id); err != nil {
		return err
	}
	fn(row)
	return tx.Advance(row)
}

// people makes one person for each kind of caller, signed in.
func (r *rig) people(tx app.Tx) error {
	for name, role := range roles {
		if err := r.person(tx, name, role, func(*shop.Staff, *shop.Session) {}); err != nil {
			return err
		}
	}
	past := tx.Now().Add(-time.Minute)
	for name, change := range map[string]func(*shop.Staff, *shop.Session){
		"disabled":        func(p *shop.Staff, _ *shop.Session) { p.Disabled = true },
		"ended":           func(_ *shop.Staff, s *shop.Session) { s.EndedAt = &past },
		"idle":            func(_ *shop.Staff, s *shop.Session) { s.IdleUntil = past },
		"another-version": func(p *shop.Staff, _ *shop.Session) { p.SessionVersion = 9 },
	} {
		if err := r.person(tx, name, shop.RoleOwner, change); err != nil {
			return err
		}
	}
	// A token of this shop's owner that names the other shop.
	claims := r.claims["owner"]
	claims.ShopID = r.theirs.Shop
	r.claims["other-shop"] = claims
	return nil
}

func (r *rig) person(tx app.Tx, name string, role shop.Role, change func(*shop.Staff, *shop.Session)) error {
	p := &shop.Staff{ID: shop.StaffID(rigSource{}.ID()), Login: name, Name: name, Roles: []shop.Role{role}, Rides: true}
	until := tx.Now().Add(time.Hour)
	s := &shop.Session{ID: shop.SessionID(rigSource{}.ID()), StaffID: p.ID, Kind: shop.SessionKindApi,
		StartedAt: tx.Now(), LastUsedAt: tx.Now(), IdleUntil: until, ExpiresAt: until}
	change(p, s)
	r.claims[name] = app.AccessClaims{ShopID: r.mine.Shop, StaffID: p.ID, SessionID: s.ID, AuthTime: tx.Now(), ExpiresAt: until}
	if err := tx.Insert(p); err != nil {
		return err
	}
	return tx.Insert(s)
}

// answer is what the server said.
type answer struct {
	status int
	header http.Header
	body   []byte
}

// ask sends a request of a route with ids in its address, and holds the
// answer against the contract: no answer of a test goes unvalidated.
func (r *rig) ask(t testing.TB, route api.RouteInfo, who string, ids map[string]string, body string, header http.Header) answer {
	t.Helper()
	path := route.Path
	for name, id := range ids {
		path = strings.ReplaceAll(path, "{"+name+"}", id)
	}
	req := httptest.NewRequest(route.Method, path, strings.NewReader(body))
	if header != nil {
		req.Header = header.Clone()
	}
	if body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	r.sent++
	if route.Effect && req.Header.Get("Idempotency-Key") == "" {
		req.Header.Set("Idempotency-Key", fmt.Sprint("key-", r.sent))
	}
	switch who {
	case "":
	case "tablet":
		req.Header.Set("Cookie", "__Host-benchtag_tablet=device")
	default:
		req.Header.Set("Authorization", "Bearer "+who)
	}
	res := serve(r.Server, req)
	got, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	if !route.Bytes || res.StatusCode >= 400 {
		wantHeaders(t, res)
	}
	r.validate(t, route, req, res, got)
	return answer{res.StatusCode, res.Header, got}
}

// validate holds an answer against what the contract says of its route.
func (r *rig) validate(t testing.TB, route api.RouteInfo, req *http.Request, res *http.Response, body []byte) {
	t.Helper()
	item := r.doc.Paths.Value(route.Path)
	if item == nil || item.GetOperation(route.Method) == nil {
		t.Errorf("%s %s is not in the contract", route.Method, route.Path)
		return
	}
	input := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: req,
			Route: &routers.Route{Spec: r.doc, Path: route.Path, PathItem: item, Method: route.Method, Operation: item.GetOperation(route.Method)}},
		Status: res.StatusCode, Header: res.Header, Body: io.NopCloser(bytes.NewReader(body)),
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	}
	if media := res.Header.Get("Content-Type"); strings.HasPrefix(media, "image/") {
		input.Options.ExcludeResponseBody = true // bytes, to which a schema says nothing
		if item.GetOperation(route.Method).Responses.Value(strconv.Itoa(res.StatusCode)).Value.Content.Get(media) == nil {
			t.Errorf("%s %s answers with %s, which is not in the contract", route.Method, route.Path, media)
		}
	}
	if err := openapi3filter.ValidateResponse(context.Background(), input); err != nil {
		t.Errorf("%s %s answers %d against the contract: %v", route.Method, route.Path, res.StatusCode, err)
	}
}
