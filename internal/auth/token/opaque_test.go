package token_test

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/auth/token"
	"benchtag/internal/shop"
)

func TestOpaqueForms(t *testing.T) {
	t.Parallel()
	want := map[token.Kind]struct {
		prefix string
		length int
	}{
		token.KindRefresh: {"btr_", 68}, token.KindLink: {"btl_", 68}, token.KindDevice: {"btd_", 68},
		token.KindEnrol: {"bte_", 68}, token.KindSetup: {"bts_", 26},
	}
	for _, kind := range token.Kinds() {
		owner := shopID
		if kind == token.KindSetup {
			owner = ""
		}
		text, made, err := token.NewOpaque(kind, owner)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(text), want[kind].prefix) || len(text) != want[kind].length {
			t.Errorf("%s is %d long and starts with %s", kind, len(text), string(text)[:4])
		}
		sum := sha256.Sum256([]byte(string(text)))
		if made.Hash.String() != hex.EncodeToString(sum[:]) {
			t.Errorf("%s: the hash is not that of the text", kind)
		}
		parsed, err := token.ParseOpaque(kind, string(text))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(token.Opaque{Kind: kind, Shop: owner, Hash: sum}, parsed); diff != "" {
			t.Error(diff)
		}
		if diff := cmp.Diff(made, parsed); diff != "" {
			t.Error(diff)
		}
	}
}

func TestNewOpaqueRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		kind token.Kind
		shop shop.ShopID
	}{
		{"unknown kind", "cookie", shopID},
		{"no shop", token.KindLink, ""},
		{"not a UUID", token.KindLink, "larch-lane"},
		{"UUID in braces", token.KindLink, "{0199a000-0000-7000-8000-000000000001}"},
		{"setup with a shop", token.KindSetup, shopID},
	}
	for _, tt := range tests {
		if text, _, err := token.NewOpaque(tt.kind, tt.shop); err == nil || text != "" {
			t.Errorf("%s passes", tt.name)
		}
	}
}

// Any change to a token's text is refused or gives another hash.
func TestParseOpaqueChanges(t *testing.T) {
	t.Parallel()
	text := newOpaque(t, token.KindLink)
	whole, err := token.ParseOpaque(token.KindLink, text)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.IntRange(0, len(text)-1).Draw(t, "at")
		b := rapid.Byte().Draw(t, "byte")
		changed := text[:at] + string([]byte{b}) + text[at+1:]
		got, err := token.ParseOpaque(token.KindLink, changed)
		if changed != text && err == nil && got.Hash == whole.Hash {
			t.Fatalf("%q passes for the token", changed)
		}
		if err != nil && !isRefusal(err) {
			t.Fatal(err)
		}
	})
	for _, bad := range []string{"", "btl_", text + "\n", text + "=", " " + text, text[:20] + "\n" + text[21:], text[:20] + "\r\n" + text[22:],
		strings.ToUpper(text), text[4:], strings.Repeat("btl_", 1<<20)} {
		if _, err := token.ParseOpaque(token.KindLink, bad); !isRefusal(err) {
			t.Errorf("%.40q: %v", bad, err)
		}
	}
	if _, err := token.ParseOpaque("cookie", ""); !isRefusal(err) {
		t.Errorf("unknown kind: %v", err)
	}
}

// Fifty refreshes at once give one successor, another keyring another one.
func TestSuccessor(t *testing.T) {
	t.Parallel()
	ring := newRing(t)
	old := newOpaque(t, token.KindRefresh)
	results := make([]string, 50)
	var group sync.WaitGroup
	for i := range results {
		group.Go(func() {
			text, _, err := ring.Successor(old)
			if err != nil {
				t.Error(err)
			}
			results[i] = string(text)
		})
	}
	group.Wait()
	for _, text := range results {
		if text != results[0] || text == old {
			t.Fatal("not one and the same successor")
		}
	}
	parsed, err := token.ParseOpaque(token.KindRefresh, results[0])
	if err != nil || parsed.Shop != shopID {
		t.Errorf("the successor is of shop %q: %v", parsed.Shop, err)
	}
	foreign, _, err := newRing(t).Successor(old)
	if err != nil || string(foreign) == results[0] {
		t.Errorf("another installation derives the same successor (%v)", err)
	}
	if _, _, err := ring.Successor(newOpaque(t, token.KindLink)); !isRefusal(err) {
		t.Errorf("a link has a successor: %v", err)
	}
}

func TestSuccessorAgainAfterRotation(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	before, err := token.LoadOrCreateKeyring(dir, noon())
	if err != nil {
		t.Fatal(err)
	}
	old := newOpaque(t, token.KindRefresh)
	first, kept, err := before.Successor(old)
	if err != nil {
		t.Fatal(err)
	}
	after, err := token.Rotate(dir, noon())
	if err != nil {
		t.Fatal(err)
	}
	again, _, err := after.SuccessorAgain(old, kept.Hash, noon().Add(5*time.Second))
	if err != nil || again != first {
		t.Errorf("the lost answer cannot be given again: %v", err)
	}
	if _, _, err := after.SuccessorAgain(old, kept.Hash, noon().Add(time.Hour)); !isRefusal(err) {
		t.Errorf("an old key lives for ever: %v", err)
	}
	renewed, fresh, err := after.Successor(old)
	if err != nil || renewed == first {
		t.Errorf("the new key is not used: %v", err)
	}
	if text, _, err := before.SuccessorAgain(old, fresh.Hash, noon()); err != nil || text != renewed {
		t.Errorf("a process that has not restarted does not know the new key: %v", err)
	}
	if _, _, err := before.SuccessorAgain(newOpaque(t, token.KindDevice), fresh.Hash, noon()); !isRefusal(err) {
		t.Errorf("a device token has a successor: %v", err)
	}
}

func FuzzParseOpaque(f *testing.F) {
	for _, kind := range token.Kinds() {
		f.Add(string(kind), newOpaque(f, kind))
	}
	f.Add("link", "btl_"+strings.Repeat("\n", 64))
	f.Add("", "")
	f.Fuzz(func(t *testing.T, kind, text string) {
		got, err := token.ParseOpaque(token.Kind(kind), text)
		if err != nil {
			if !isRefusal(err) || got != (token.Opaque{}) {
				t.Errorf("%q: %v, %+v", text, err, got)
			}
			return
		}
		_, body, _ := strings.Cut(text, "_")
		raw, err := base64.RawURLEncoding.Strict().DecodeString(body)
		if err != nil || base64.RawURLEncoding.EncodeToString(raw) != body {
			t.Errorf("%q passes and is not the one way to write it", text)
		}
	})
}
