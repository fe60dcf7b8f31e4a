package app_test

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/google/uuid"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// signInSource is the system's randomness.
type signInSource struct{}

func (signInSource) ID() string     { return uuid.Must(uuid.NewV7()).String() }
func (signInSource) Bytes(b []byte) { _, _ = rand.Read(b) }

// signInHasher is honest but cheap: "v<cost>$" and a SHA-256. It counts how
// often it looked at a guess, and can be busy.
type signInHasher struct {
	cost   string
	looked atomic.Int64
	busy   atomic.Bool
}

func (h *signInHasher) Hash(_ context.Context, pw string) (string, error) {
	return h.cost + "$" + app.HashText(pw), nil
}

func (h *signInHasher) Verify(_ context.Context, pw, phc string) (ok, rehash bool, err error) {
	if h.busy.Load() {
		return false, false, fault.New(fault.Unavailable, "auth.hasher_busy", "Try again.")
	}
	h.looked.Add(1)
	cost, sum, found := strings.Cut(phc, "$")
	if !found {
		return false, false, errors.New("no hash")
	}
	ok = sum == app.HashText(pw)
	return ok, ok && cost != h.cost, nil
}

func (h *signInHasher) VerifyDummy(ctx context.Context, pw string) error {
	_, _, err := h.Verify(ctx, pw, h.cost+"$dummy")
	return err
}

func (h *signInHasher) Common(pw string) bool { return pw == "correcthorsebatterystaple" }

// signInTokens are random texts that name their kind and shop.
type signInTokens struct{ key []byte }

func (t signInTokens) Access(c app.AccessClaims) (string, error) {
	b, err := json.Marshal(c)
	return "access." + base64.RawURLEncoding.EncodeToString(b), err
}

func (t signInTokens) ReadAccess(text string) (app.AccessClaims, error) {
	var c app.AccessClaims
	raw, found := strings.CutPrefix(text, "access.")
	b, err := base64.RawURLEncoding.DecodeString(raw)
	if err != nil || !found {
		return c, fault.New(fault.Unauthenticated, "auth.token_refused", "Sign in.")
	}
	return c, json.Unmarshal(b, &c)
}

func (t signInTokens) NewOpaque(kind app.TokenKind, scope shop.ShopID) (string, string, error) {
	text := string(kind) + "." + string(scope) + "." + rand.Text()
	return text, app.HashText(text), nil
}

func (t signInTokens) ParseOpaque(kind app.TokenKind, text string) (shop.ShopID, string, error) {
	parts := strings.Split(text, ".")
	if len(parts) != 3 || parts[0] != string(kind) {
		return "", "", errors.New("not a token of this kind")
	}
	return shop.ShopID(parts[1]), app.HashText(text), nil
}

func (t signInTokens) Successor(text string) (string, string, error) {
	scope, _, err := t.ParseOpaque(app.TokenRefresh, text)
	mac := hmac.New(sha256.New, t.key)
	mac.Write([]byte(text))
	next := string(app.TokenRefresh) + "." + string(scope) + "." + hex.EncodeToString(mac.Sum(nil))
	return next, app.HashText(next), err
}

// deskPassword holds against the rules.
const deskPassword = "violet ladder humming quietly"

// desk is a shop with an owner, on a real database.
type desk struct {
	*app.App
	t      *testing.T
	folder string // of SQLite, or
	url    string // of PostgreSQL
	store  *store.Store
	clock  *testkit.Clock
	hasher *signInHasher
	tokens signInTokens
	shop   shop.Shop
	owner  shop.Staff
}

func openDesk(t *testing.T) *desk {
	t.Helper()
	return openDeskOn(t, "")
}

func openDeskOn(t *testing.T, url string) *desk {
	t.Helper()
	d := &desk{t: t, folder: storetest.Folder(t), url: url, clock: testkit.NewClock(time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)),
		hasher: &signInHasher{cost: "v2"}, tokens: signInTokens{key: []byte(rand.Text())}}
	d.open()
	made, owner, err := d.CreateShop(t.Context(), app.NewShop{Name: "Kettle Lane Cycles", Slug: "kettle-lane", Currency: "USD",
		TimeZone: "Europe/Vienna", OwnerName: "Orla", Login: "orla", Password: deskPassword})
	if err != nil {
		t.Fatal(err)
	}
	d.shop, d.owner = made, owner
	return d
}

// open opens the database, as a start of the program does.
func (d *desk) open() {
	d.t.Helper()
	s, err := store.Open(store.Options{Folder: d.folder, PostgresURL: d.url, Now: d.clock.Now})
	if err != nil {
		d.t.Fatal(err)
	}
	d.t.Cleanup(func() { _ = s.Close() })
	if err := s.Migrate(d.t.Context()); err != nil {
		d.t.Fatal(err)
	}
	d.store = s
	d.App = app.New(app.Options{Store: s, Source: signInSource{}, Hasher: d.hasher, Tokens: d.tokens})
}

func (d *desk) signIn(login, password string) (app.SignedIn, error) {
	return d.SignIn(d.t.Context(), app.SignIn{Shop: "kettle-lane", Login: login, Password: password, Keep: shop.SessionKindApi}, app.Client{IP: "192.0.2.1"})
}

// mustSignIn signs in and gives the tokens and who they speak for.
func (d *desk) mustSignIn(login string) (app.SignedIn, auth.Principal) {
	d.t.Helper()
	in, err := d.signIn(login, deskPassword)
	if err != nil {
		d.t.Fatal(err)
	}
	who, err := d.whoHas(in.Access)
	if err != nil {
		d.t.Fatal(err)
	}
	return in, who
}

// whoHas reads an access token as the server does.
func (d *desk) whoHas(access string) (auth.Principal, error) {
	claims, err := d.tokens.ReadAccess(access)
	if err != nil {
		return auth.Principal{}, err
	}
	caller, err := d.Authenticate(d.t.Context(), claims)
	return caller.Who, err
}

// hire adds a person with the usual password, by a fresh sign-in of the owner.
func (d *desk) hire(login string, roles ...shop.Role) shop.Staff {
	d.t.Helper()
	_, owner := d.mustSignIn("orla")
	hash, err := d.FirstPassword(d.t.Context(), app.Caller{Who: owner, Shop: d.shop}, login, login, deskPassword)
	if err != nil {
		d.t.Fatal(err)
	}
	n, err := d.AddStaff(d.t.Context(), owner, hash, func(n *shop.Staff) { n.Login, n.Name, n.Roles = login, login, roles })
	if err != nil {
		d.t.Fatal(err)
	}
	return n
}

// wantFault fails unless the error has the code.
func wantFault(t *testing.T, err error, code string) *fault.Error {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Code != code {
		t.Fatalf("error is %v, want %s", err, code)
	}
	return f
}

// rows reads every row of a kind.
func rowsOf[T any](d *desk, by app.By) []T {
	d.t.Helper()
	var rows []T
	err := d.store.Read(d.t.Context(), d.shop.ID, func(tx app.Tx) error {
		rows = nil
		return tx.List(&rows, by, app.Page{})
	})
	if err != nil {
		d.t.Fatal(err)
	}
	return rows
}
