package token_test

import (
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/auth"
	"benchtag/internal/auth/token"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

const (
	shopID   = shop.ShopID("0199a000-0000-7000-8000-000000000001")
	staffID  = shop.StaffID("0199a000-0000-7000-8000-000000000002")
	session  = shop.SessionID("0199a000-0000-7000-8000-000000000003")
	tabletID = shop.TabletID("0199a000-0000-7000-8000-000000000004")
	signOnID = shop.SignOnID("0199a000-0000-7000-8000-000000000005")
)

func noon() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }

func names() token.Names {
	return token.Names{Issuer: "https://shop.example", Audience: "benchtag-api"}
}

func newRing(t testing.TB) *token.Keyring {
	t.Helper()
	ring, err := token.LoadOrCreateKeyring(t.TempDir(), noon())
	if err != nil {
		t.Fatal(err)
	}
	return ring
}

func newSigner(t testing.TB, ring *token.Keyring) *token.Signer {
	t.Helper()
	signer, err := token.NewSigner(ring, names())
	if err != nil {
		t.Fatal(err)
	}
	return signer
}

func staff() token.Access {
	return token.Access{Shop: shopID, Staff: staffID, Session: session, SessionVersion: 7,
		Methods: []token.Method{token.MethodPassword}, AuthTime: noon().Add(-time.Minute)}
}

func signOn() token.Access {
	return token.Access{Shop: shopID, Staff: staffID, Tablet: tabletID, SignOn: signOnID,
		Methods: []token.Method{token.MethodPIN, token.MethodDevice}, AuthTime: noon()}
}

// isRefusal reports whether err is the one answer to a bad token.
func isRefusal(err error) bool {
	var f *fault.Error
	return errors.As(err, &f) && f.Kind == fault.Unauthenticated && f.Code == "auth.token_refused" && f.Message == "Sign in again."
}

func TestIssueVerify(t *testing.T) {
	t.Parallel()
	signer := newSigner(t, newRing(t))
	for name, in := range map[string]token.Access{"staff": staff(), "sign-on": signOn()} {
		text, made, err := signer.Issue(in, noon().Add(123*time.Millisecond))
		if err != nil {
			t.Fatal(err)
		}
		got, err := signer.Verify(string(text), noon().Add(9*time.Minute))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if diff := cmp.Diff(made, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		in.ID, in.IssuedAt, in.Expires = got.ID, noon(), noon().Add(10*time.Minute)
		if diff := cmp.Diff(in, got); diff != "" || len(got.ID) != 22 {
			t.Errorf("%s: %s", name, diff)
		}
		if err := got.Principal(auth.Roles()).Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestVerifyEdges(t *testing.T) {
	t.Parallel()
	signer := newSigner(t, newRing(t))
	text, _, err := signer.Issue(staff(), noon())
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name  string
		after time.Duration
		ok    bool
	}{
		{"another clock is behind", -30 * time.Second, true},
		{"issued in the future", -31 * time.Second, false},
		{"last second, and the leeway", 10*time.Minute + 29*time.Second, true},
		{"past the leeway", 10*time.Minute + 31*time.Second, false},
		{"clock two days back", -48 * time.Hour, false},
	}
	for _, tt := range tests {
		got, err := signer.Verify(string(text), noon().Add(tt.after))
		if (err == nil) != tt.ok || err != nil && !isRefusal(err) {
			t.Errorf("%s: %v", tt.name, err)
		}
		if err != nil && !cmp.Equal(got, token.Access{}) {
			t.Errorf("%s: a refused token is given back: %+v", tt.name, got)
		}
	}
}

func TestIssueRefusesWhatVerifyWould(t *testing.T) {
	t.Parallel()
	signer := newSigner(t, newRing(t))
	broken := map[string]func(*token.Access){
		"no shop":           func(a *token.Access) { a.Shop = "" },
		"shop not a UUID":   func(a *token.Access) { a.Shop = "1" },
		"capital UUID":      func(a *token.Access) { a.Shop = "0199A000-0000-7000-8000-000000000001" },
		"no staff":          func(a *token.Access) { a.Staff = "" },
		"no session":        func(a *token.Access) { a.Session = "" },
		"tablet alone":      func(a *token.Access) { a.Tablet = tabletID },
		"both":              func(a *token.Access) { a.Tablet, a.SignOn = tabletID, signOnID },
		"negative version":  func(a *token.Access) { a.SessionVersion = -1 },
		"no method":         func(a *token.Access) { a.Methods = nil },
		"unknown method":    func(a *token.Access) { a.Methods = []token.Method{"magic"} },
		"no auth time":      func(a *token.Access) { a.AuthTime = time.Time{} },
		"auth time to come": func(a *token.Access) { a.AuthTime = noon().Add(time.Minute) },
	}
	for name, spoil := range broken {
		a := staff()
		spoil(&a)
		text, _, err := signer.Issue(a, noon())
		if !fault.Is(err, fault.Internal) || text != "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := token.NewSigner(newRing(t), token.Names{Issuer: "x"}); err == nil {
		t.Error("a signer without an audience")
	}
}

// Another installation's token, another audience's and another issuer's are
// refused.
func TestVerifyForeign(t *testing.T) {
	t.Parallel()
	ring := newRing(t)
	signer := newSigner(t, ring)
	other := []struct {
		name  string
		ring  *token.Keyring
		names token.Names
	}{
		{"keys", newRing(t), names()},
		{"issuer", ring, token.Names{Issuer: "https://other.example", Audience: names().Audience}},
		{"audience", ring, token.Names{Issuer: names().Issuer, Audience: "other"}},
	}
	for _, tt := range other {
		foreign, err := token.NewSigner(tt.ring, tt.names)
		if err != nil {
			t.Fatal(err)
		}
		text, _, err := foreign.Issue(staff(), noon())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := signer.Verify(string(text), noon()); !isRefusal(err) {
			t.Errorf("other %s: %v", tt.name, err)
		}
	}
}

// Each kind of token read as each kind: only the diagonal passes.
func TestKindSubstitution(t *testing.T) {
	t.Parallel()
	signer := newSigner(t, newRing(t))
	access, _, err := signer.Issue(staff(), noon())
	if err != nil {
		t.Fatal(err)
	}
	texts := map[string]string{"access": string(access)}
	readers := map[string]func(string) error{"access": func(text string) error { _, err := signer.Verify(text, noon()); return err }}
	for _, kind := range token.Kinds() {
		texts[string(kind)] = newOpaque(t, kind)
		readers[string(kind)] = func(text string) error { _, err := token.ParseOpaque(kind, text); return err }
	}
	cells := 0
	for made, text := range texts {
		for read, parse := range readers {
			cells++
			if err := parse(text); (err == nil) != (made == read) || err != nil && !isRefusal(err) {
				t.Errorf("%s read as %s: %v", made, read, err)
			}
		}
	}
	if cells != 36 {
		t.Errorf("%d cells, want 36", cells)
	}
}

func newOpaque(t testing.TB, kind token.Kind) string {
	t.Helper()
	owner := shopID
	if kind == token.KindSetup {
		owner = ""
	}
	text, _, err := token.NewOpaque(kind, owner)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// No way of printing a secret shows it.
func TestSecretsStayHidden(t *testing.T) {
	t.Parallel()
	text := newOpaque(t, token.KindRefresh)
	var log strings.Builder
	slog.New(slog.NewJSONHandler(&log, nil)).Info("x", "token", token.Secret(text))
	out := fmt.Sprintf("%s %v %+v %#v %s", token.Secret(text), token.Secret(text), struct{ T token.Secret }{token.Secret(text)}, token.Secret(text), log.String())
	_, err := token.ParseOpaque(token.KindLink, text)
	out += err.Error() + fmt.Sprintf("%+v %#v", newRing(t), newRing(t))
	for i := 0; i+12 <= len(text); i++ {
		if strings.Contains(out, text[i:i+12]) {
			t.Fatalf("a piece of the token shows in %s", out)
		}
	}
	if strings.Contains(out, "0x") && strings.Contains(out, "Secret:0x") {
		t.Error("key bytes show")
	}
}
