package notify_test

import (
	"encoding/base64"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	standardwebhooks "github.com/standard-webhooks/standard-webhooks/libraries/go"
	"pgregory.net/rapid"

	"benchtag/internal/notify"
)

func secretOf(t testing.TB, text string) []byte {
	t.Helper()
	secret, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(text, "whsec_"))
	if err != nil {
		t.Fatal(err)
	}
	return secret
}

// TestPublishedSignature holds Sign to the vector that the standard's own
// libraries are tested with, the same in each of their languages.
func TestPublishedSignature(t *testing.T) {
	t.Parallel()
	secret := secretOf(t, "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")
	at, body := time.Unix(1614265330, 0), []byte(`{"test": 2432232314}`)
	got, err := notify.Sign("msg_p5jXN8AQM9LWM0D4loKWxJek", at, body, secret)
	if want := "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="; err != nil || got != want {
		t.Errorf("got %q, %v, want %q", got, err, want)
	}
}

// TestSignAgainstLibrary holds Sign and Verify to an independent
// implementation, over any body and secret.
func TestSignAgainstLibrary(t *testing.T) {
	t.Parallel()
	now := time.Now() // the library reads the clock itself
	rapid.Check(t, func(t *rapid.T) {
		secret := rapid.SliceOfN(rapid.Byte(), 24, 64).Draw(t, "secret")
		body := rapid.SliceOf(rapid.Byte()).Draw(t, "body")
		id := rapid.StringMatching(`msg_[A-Za-z0-9-]{1,40}`).Draw(t, "id")
		oracle, err := standardwebhooks.NewWebhookRaw(secret)
		if err != nil {
			t.Fatal(err)
		}
		want, err := oracle.Sign(id, now, body)
		if err != nil {
			t.Fatal(err)
		}
		got, err := notify.Sign(id, now, body, secret)
		if err != nil || got != want {
			t.Fatalf("got %q, %v, want %q", got, err, want)
		}
		call := notify.Signed{ID: id, Timestamp: strconv.FormatInt(now.Unix(), 10), Signature: want}
		if err := notify.Verify(secret, call, body, now); err != nil {
			t.Error(err)
		}
		header := http.Header{}
		header.Set(notify.HeaderID, id)
		header.Set(notify.HeaderTimestamp, call.Timestamp)
		header.Set(notify.HeaderSignature, got)
		if err := oracle.Verify(body, header); err != nil {
			t.Error(err)
		}
	})
}

// TestVerify: what is stale, from the future, changed or of another secret is
// not believed; while a secret is changed, either of both is.
func TestVerify(t *testing.T) {
	t.Parallel()
	now := time.Unix(1_800_000_000, 0)
	old, fresh, other := make([]byte, 24), []byte(strings.Repeat("n", 32)), []byte(strings.Repeat("o", 32))
	body := []byte(`{"type":"job.moved"}`)
	sign := func(at time.Time, secrets ...[]byte) notify.Signed {
		text, err := notify.Sign("msg_1", at, body, secrets...)
		if err != nil {
			t.Fatal(err)
		}
		return notify.Signed{ID: "msg_1", Timestamp: strconv.FormatInt(at.Unix(), 10), Signature: text}
	}
	change := func(fn func(*notify.Signed)) notify.Signed {
		s := sign(now, fresh)
		fn(&s)
		return s
	}
	for _, tt := range []struct {
		name   string
		call   notify.Signed
		secret []byte
		body   []byte
		want   error
	}{
		{"as sent", sign(now, fresh), fresh, body, nil},
		{"the new secret while both sign", sign(now, fresh, old), fresh, body, nil},
		{"the old secret while both sign", sign(now, fresh, old), old, body, nil},
		{"five minutes old", sign(now.Add(-notify.Tolerance), fresh), fresh, body, nil},
		{"older", sign(now.Add(-notify.Tolerance-time.Second), fresh), fresh, body, notify.ErrTime},
		{"from the future", sign(now.Add(notify.Tolerance+time.Second), fresh), fresh, body, notify.ErrTime},
		{"another secret", sign(now, fresh), other, body, notify.ErrForged},
		{"another body", sign(now, fresh), fresh, []byte(`{"type":"job.moved" }`), notify.ErrForged},
		{"another id", change(func(s *notify.Signed) { s.ID = "msg_2" }), fresh, body, notify.ErrForged},
		{"another time", change(func(s *notify.Signed) { s.Timestamp = strconv.FormatInt(now.Unix()+1, 10) }), fresh, body, notify.ErrForged},
		{"a time with a sign", change(func(s *notify.Signed) { s.Timestamp = "+" + s.Timestamp }), fresh, body, notify.ErrHeaders},
		{"no id", change(func(s *notify.Signed) { s.ID = "" }), fresh, body, notify.ErrHeaders},
		{"an id with a dot", change(func(s *notify.Signed) { s.ID = "msg.1" }), fresh, body, notify.ErrHeaders},
		{"no time", change(func(s *notify.Signed) { s.Timestamp = "" }), fresh, body, notify.ErrHeaders},
		{"no signature", change(func(s *notify.Signed) { s.Signature = "" }), fresh, body, notify.ErrHeaders},
		{"an empty signature", change(func(s *notify.Signed) { s.Signature = "v1," }), fresh, body, notify.ErrHeaders},
		{"another version", change(func(s *notify.Signed) { s.Signature = "v2" + s.Signature[2:] }), fresh, body, notify.ErrHeaders},
		{"a forged one before the true one", change(func(s *notify.Signed) {
			s.Signature = "v1," + base64.StdEncoding.EncodeToString(make([]byte, 32)) + " v1a,x " + s.Signature
		}), fresh, body, nil},
		{"a cut one", change(func(s *notify.Signed) { s.Signature = s.Signature[:len(s.Signature)-4] }), fresh, body, notify.ErrHeaders},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if err := notify.Verify(tt.secret, tt.call, tt.body, now); !errors.Is(err, tt.want) {
				t.Errorf("got %v, want %v", err, tt.want)
			}
		})
	}
}

// TestSignRefuses: a secret that could be guessed, or an id that could be
// read in two ways, signs nothing.
func TestSignRefuses(t *testing.T) {
	t.Parallel()
	good := make([]byte, 32)
	for name, fn := range map[string]func() (string, error){
		"a short secret":  func() (string, error) { return notify.Sign("m", time.Now(), nil, good, good[:23]) },
		"a long secret":   func() (string, error) { return notify.Sign("m", time.Now(), nil, make([]byte, 65)) },
		"no secret":       func() (string, error) { return notify.Sign("m", time.Now(), nil) },
		"no id":           func() (string, error) { return notify.Sign("", time.Now(), nil, good) },
		"an id with dots": func() (string, error) { return notify.Sign("a.b", time.Now(), nil, good) },
	} {
		if got, err := fn(); err == nil || got != "" {
			t.Errorf("%s: got %q, %v", name, got, err)
		}
	}
}

// FuzzParseSignatures: whatever a header holds, only whole signatures of 32
// bytes come out, few of them, and each of them stands in the header.
func FuzzParseSignatures(f *testing.F) {
	for _, seed := range []string{"", "v1,", "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=", "v1,a v2,b  v1,c", strings.Repeat("v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE= ", 40)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		sums := notify.ParseSignatures(header)
		if len(sums) > 16 {
			t.Errorf("%d signatures", len(sums))
		}
		for _, s := range sums {
			if len(s) != 32 || !strings.Contains(header, "v1,"+base64.StdEncoding.EncodeToString(s)) {
				t.Errorf("%x came out of %q", s, header)
			}
		}
	})
}
