package secret_test

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/crypto/argon2"

	"benchtag/internal/auth"
	"benchtag/internal/auth/secret"
	"benchtag/internal/fault"
)

func cheap() secret.Config {
	return secret.Config{Params: secret.Params{Memory: 64, Iterations: 1, Parallelism: 1}, Gate: secret.DefaultGateLimits(), BelowFloor: true}
}

func newHasher(t testing.TB, c secret.Config) *secret.Hasher {
	t.Helper()
	h, err := secret.NewHasher(c)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func mustHash(t testing.TB, h *secret.Hasher, pw string) string {
	t.Helper()
	phc, err := h.Hash(t.Context(), pw)
	if err != nil {
		t.Fatal(err)
	}
	return phc
}

func TestHashVerify(t *testing.T) {
	t.Parallel()
	h := newHasher(t, cheap())
	tests := []struct {
		name, stored, typed string
		want                bool
	}{
		{"same", "kettle on a hob", "kettle on a hob", true},
		{"other case", "kettle on a hob", "Kettle on a hob", false},
		{"one more blank", "kettle on a hob", "kettle on a hob ", false},
		{"PIN", "4071", "4071", true},
		{"other PIN", "4071", "4070", false},
		{"PIN of full-width digits", "4071", "４０７１", true},
		{"not cut after 72", strings.Repeat("a", 72) + "b", strings.Repeat("a", 72) + "c", false},
		{"not cut at the limit", strings.Repeat("a", 1023) + "b", strings.Repeat("a", 1023) + "c", false},
		{"composed or not", "caf\u00e9 on the corner", "cafe\u0301 on the corner", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			ok, rehash, err := h.Verify(t.Context(), tt.typed, mustHash(t, h, tt.stored))
			if err != nil || ok != tt.want || rehash {
				t.Errorf("ok %v, rehash %v, %v", ok, rehash, err)
			}
		})
	}
}

// The stored text is that of the reference implementation's format, computed
// here by x/crypto directly.
func TestHashIsArgon2id(t *testing.T) {
	t.Parallel()
	phc := mustHash(t, newHasher(t, cheap()), "kettle on a hob")
	parts := strings.Split(phc, "$")
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil || len(salt) != 16 {
		t.Fatalf("salt of %d bytes, %v", len(salt), err)
	}
	tag := argon2.IDKey([]byte("kettle on a hob"), salt, 1, 64, 1, 32)
	want := fmt.Sprintf("$argon2id$v=19$m=64,t=1,p=1$%s$%s", parts[4], base64.RawStdEncoding.EncodeToString(tag))
	if diff := cmp.Diff(want, phc); diff != "" {
		t.Error(diff)
	}
	if again := mustHash(t, newHasher(t, cheap()), "kettle on a hob"); again == phc {
		t.Error("the same salt twice")
	}
}

// The program's own parameters, once: what is stored says so, and a hash at
// an older cost is to be replaced.
func TestDefaults(t *testing.T) {
	t.Parallel()
	h := newHasher(t, secret.DefaultConfig())
	phc := mustHash(t, h, "kettle on a hob")
	if !strings.HasPrefix(phc, "$argon2id$v=19$m=65536,t=3,p=1$") {
		t.Errorf("stored %s", phc)
	}
	params, err := secret.StoredParams(phc)
	if err != nil || !params.OverFloor() || h.NeedsRehash(phc) {
		t.Errorf("%+v, %v, rehash %v", params, err, h.NeedsRehash(phc))
	}
	old := mustHash(t, newHasher(t, cheap()), "kettle on a hob")
	ok, rehash, err := h.Verify(t.Context(), "kettle on a hob", old)
	if err != nil || !ok || !rehash || !h.NeedsRehash(old) {
		t.Errorf("old cost: ok %v, rehash %v, %v", ok, rehash, err)
	}
	ok, rehash, err = h.Verify(t.Context(), "kettle on a hub", old)
	if err != nil || ok || rehash {
		t.Errorf("old cost, wrong password: ok %v, rehash %v, %v", ok, rehash, err)
	}
}

func TestFloor(t *testing.T) {
	t.Parallel()
	tests := []struct {
		in   secret.Params
		want bool
	}{
		{secret.DefaultParams(), true},
		{secret.Params{Memory: 19456, Iterations: 2, Parallelism: 1}, true},
		{secret.Params{Memory: 19455, Iterations: 2, Parallelism: 1}, false},
		{secret.Params{Memory: 19456, Iterations: 1, Parallelism: 1}, false},
		{secret.Params{Memory: 47104, Iterations: 1, Parallelism: 1}, true},
		{secret.Params{Memory: 47103, Iterations: 1, Parallelism: 1}, false},
		{secret.Params{Memory: 12288, Iterations: 3, Parallelism: 1}, true},
		{secret.Params{Memory: 12287, Iterations: 16, Parallelism: 1}, false},
		{secret.Params{Memory: 1 << 20, Iterations: 3, Parallelism: 1}, false},
		{secret.Params{Memory: 65536, Iterations: 3}, false},
		{secret.Params{}, false},
	}
	for _, tt := range tests {
		c := secret.DefaultConfig()
		c.Params = tt.in
		if _, err := secret.NewHasher(c); (err == nil) != tt.want {
			t.Errorf("%+v: %v", tt.in, err)
		}
	}
	c := secret.DefaultConfig()
	c.Gate.AtOnce = 0
	if _, err := secret.NewHasher(c); err == nil {
		t.Error("a gate that lets nobody in")
	}
}

// What stands in the store and is no hash of ours is an error, never a match,
// never a panic, and never costs gigabytes.
func TestVerifyBadStored(t *testing.T) {
	t.Parallel()
	h := newHasher(t, cheap())
	good := mustHash(t, h, "kettle on a hob")
	bad := map[string]string{
		"empty": "", "plain text": "kettle on a hob", "cut": good[:40], "no tag": good[:strings.LastIndex(good, "$")+1],
		"bcrypt":   "$2a$10$N9qo8uLOickgx2ZMRZoMyeIjZAgcfl7p92ldGxad68LJZdL17lhWy",
		"0 passes": strings.Replace(good, "t=1", "t=0", 1), "0 lanes": strings.Replace(good, "p=1", "p=0", 1),
		"4 TiB": strings.Replace(good, "m=64", "m=4294967295", 1), "argon2i": strings.Replace(good, "argon2id", "argon2i", 1),
		"old version": strings.Replace(good, "v=19", "v=16", 1), "short tag": good[:len(good)-11],
	}
	for name, phc := range bad {
		ok, rehash, err := h.Verify(t.Context(), "kettle on a hob", phc)
		if ok || rehash || !fault.Is(err, fault.Internal) || !h.NeedsRehash(phc) {
			t.Errorf("%s: ok %v, rehash %v, %v", name, ok, rehash, err)
		}
		if _, err := secret.StoredParams(phc); err == nil {
			t.Errorf("%s has parameters", name)
		}
	}
}

func TestUnreadablePassword(t *testing.T) {
	t.Parallel()
	h := newHasher(t, cheap())
	good := mustHash(t, h, "kettle on a hob")
	for _, pw := range []string{strings.Repeat("a", 1025), "a\x00b", "\xff"} {
		_, errHash := h.Hash(t.Context(), pw)
		_, _, errVerify := h.Verify(t.Context(), pw, good)
		for _, err := range []error{errHash, errVerify, h.VerifyDummy(t.Context(), pw)} {
			if !fault.Is(err, fault.Shape) {
				t.Errorf("%.10q: %v", pw, err)
			}
		}
	}
	if err := h.VerifyDummy(t.Context(), "kettle on a hob"); err != nil {
		t.Error(err)
	}
}

// Every door goes through the gate.
func TestHasherIsGated(t *testing.T) {
	t.Parallel()
	h := newHasher(t, cheap())
	good := mustHash(t, h, "kettle on a hob")
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	_, errHash := h.Hash(gone, "kettle on a hob")
	ok, _, errVerify := h.Verify(gone, "kettle on a hob", good)
	for _, err := range []error{errHash, errVerify, h.VerifyDummy(gone, "kettle on a hob")} {
		if !fault.Is(err, fault.Unavailable) || !errors.Is(err, context.Canceled) {
			t.Errorf("got %v", err)
		}
	}
	if ok {
		t.Error("a hash that was not computed matches")
	}
}

// Of 200 at once, 2 are let in, 32 wait and 166 are turned away at once;
// those who wait give up after 2 s. Time is the test's own.
func TestGate(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		gate := secret.NewGate(secret.GateLimits{AtOnce: 2, Queue: 32, Wait: 2 * time.Second})
		start := time.Now()
		var inside, most, atOnce, late atomic.Int32
		release := make(chan struct{})
		for range 200 {
			go func() {
				err := gate.Do(t.Context(), func() {
					most.Store(max(most.Load(), inside.Add(1)))
					<-release
					inside.Add(-1)
				})
				if err == nil {
					return
				}
				var f *fault.Error
				if !errors.As(err, &f) || f.Kind != fault.Unavailable || f.RetryAfter != 2 {
					t.Errorf("got %v", err)
				}
				switch time.Since(start) {
				case 0:
					atOnce.Add(1)
				case 2 * time.Second:
					late.Add(1)
				}
			}()
		}
		synctest.Wait()
		if inside.Load() != 2 || atOnce.Load() != 166 {
			t.Errorf("%d inside, %d turned away", inside.Load(), atOnce.Load())
		}
		time.Sleep(3 * time.Second)
		synctest.Wait()
		if late.Load() != 32 {
			t.Errorf("%d gave up after 2 s, want 32", late.Load())
		}
		close(release)
		synctest.Wait()
		if most.Load() != 2 || inside.Load() != 0 {
			t.Errorf("%d at once, %d still inside", most.Load(), inside.Load())
		}
		if err := gate.Do(t.Context(), func() {}); err != nil {
			t.Errorf("the gate stays shut: %v", err)
		}
	})
}

// Whoever waits gets in when somebody leaves, even by panic; whoever hangs up
// leaves the queue.
func TestGateHandsOn(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		gate := secret.NewGate(secret.GateLimits{AtOnce: 1, Queue: 1, Wait: 2 * time.Second})
		release := make(chan struct{})
		go func() {
			defer func() { recover() }()
			gate.Do(t.Context(), func() { <-release; panic("work failed") })
		}()
		synctest.Wait()
		ctx, cancel := context.WithCancel(t.Context())
		left := make(chan error, 1)
		go func() { left <- gate.Do(ctx, func() { t.Error("ran though its caller had left") }) }()
		synctest.Wait()
		cancel()
		if err := <-left; !errors.Is(err, context.Canceled) || !fault.Is(err, fault.Unavailable) {
			t.Errorf("got %v", err)
		}
		ran := false
		done := make(chan error, 1)
		go func() { done <- gate.Do(t.Context(), func() { ran = true }) }()
		synctest.Wait()
		close(release)
		if err := <-done; err != nil || !ran {
			t.Errorf("ran %v, %v", ran, err)
		}
	})
}

func TestCommon(t *testing.T) {
	t.Parallel()
	c, err := secret.NewCommon(strings.NewReader("Kettle On A Hob\r\n\nmarrow\n"))
	if err != nil {
		t.Fatal(err)
	}
	if c.Len() < 3000 {
		t.Fatalf("%d words, want at least 3,000", c.Len())
	}
	for _, word := range []string{"password", "123456789", "trustno1", "q1w2e3r4t5y6u7i8", "kettle on a hob", "marrow"} {
		if !c.Has(word) {
			t.Errorf("%q is not listed", word)
		}
	}
	for _, word := range []string{"", "gravel oboe plum lamp"} {
		if c.Has(word) {
			t.Errorf("%q is listed", word)
		}
	}
	err = auth.CheckPassword("TrustNo1!", auth.PasswordRules{Common: c.Has, MFA: true})
	if !fault.Is(err, fault.Meaning) {
		t.Errorf("the policy does not use the list: %v", err)
	}
	if _, err := secret.NewCommon(strings.NewReader(strings.Repeat("x", 2000))); err == nil {
		t.Error("an endless line passes")
	}
}

func FuzzVerifyStored(f *testing.F) {
	h := newHasher(f, cheap())
	good, err := h.Hash(context.Background(), "kettle on a hob")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add("$argon2id$v=19$m=64,t=1,p=1$$")
	f.Add("")
	f.Fuzz(func(t *testing.T, phc string) {
		params, err := secret.StoredParams(phc)
		if err != nil {
			return
		}
		if params.Memory > 256<<10 || params.Iterations < 1 || params.Parallelism < 1 {
			t.Errorf("%q: %+v", phc, params)
		}
	})
}
