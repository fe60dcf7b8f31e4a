package auth_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/auth"
)

func noon() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }

func TestThrottleSchedule(t *testing.T) {
	t.Parallel()
	throttle := auth.DefaultThrottle()
	want := []time.Duration{0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900}
	var f auth.Failures
	for n, seconds := range want {
		f = throttle.AfterFailure(f, noon())
		if got := f.NextTry.Sub(noon()); got != seconds*time.Second {
			t.Errorf("after failure %d the wait is %v, want %v s", n+1, got, int64(seconds))
		}
	}
	if diff := cmp.Diff(auth.Failures{}, throttle.AfterSuccess()); diff != "" {
		t.Error(diff)
	}
}

func TestThrottleNext(t *testing.T) {
	t.Parallel()
	at := func(wait time.Duration) auth.Failures {
		return auth.Failures{Count: 9, Last: noon(), NextTry: noon().Add(wait)}
	}
	tests := []struct {
		name string
		in   auth.Failures
		want auth.Allowance
	}{
		{"none yet", auth.Failures{}, auth.Allowance{Allowed: true}},
		{"too early", at(time.Second), auth.Allowance{RetryAfter: time.Second}},
		{"on the moment", at(0), auth.Allowance{Allowed: true}},
		{"the longest wait", at(15 * time.Minute), auth.Allowance{RetryAfter: 15 * time.Minute}},
		{"the clock stepped back two days", at(48 * time.Hour), auth.Allowance{Allowed: true}},
		{"99 failures", auth.Failures{Count: 99}, auth.Allowance{Allowed: true}},
		{"stopped", auth.Failures{Count: 100}, auth.Allowance{Stopped: true}},
		{"stopped long ago", auth.Failures{Count: 100, NextTry: noon().Add(-8760 * time.Hour)}, auth.Allowance{Stopped: true}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if diff := cmp.Diff(tt.want, auth.DefaultThrottle().Next(tt.in, noon())); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// 10,000 guesses, spread evenly over a week and then as fast as they are let
// in, lead to exactly 100 evaluations, and none later.
func TestThrottleWeek(t *testing.T) {
	t.Parallel()
	throttle := auth.DefaultThrottle()
	counters := map[string]auth.Failures{}
	guess := func(a auth.Account, now time.Time) bool {
		if !throttle.Next(counters[a.CounterKey()], now).Allowed {
			return false
		}
		counters[a.CounterKey()] = throttle.AfterFailure(counters[a.CounterKey()], now)
		return true
	}
	evaluated := 0
	for n := range 10000 {
		if guess(auth.Account{Login: "wren"}, noon().Add(time.Duration(n)*7*24*time.Hour/10000)) {
			evaluated++
		}
	}
	if evaluated != 100 {
		t.Errorf("%d guesses evaluated, want 100", evaluated)
	}
	later := noon().Add(365 * 24 * time.Hour)
	if guess(auth.Account{Login: " WREN"}, later) {
		t.Error("the same name in capitals has a counter of its own")
	}
	if !guess(auth.Account{Login: "wren", KnownDevice: "tablet 1"}, later) {
		t.Error("a known device is locked out by strangers")
	}
	if guess(auth.Account{Login: "wren"}, later) {
		t.Error("the stop wears off")
	}
}

// Whatever the times of the guesses, at most Stop in a row are evaluated, and
// two evaluations past the free ones stand at least the wait apart.
func TestThrottleLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		throttle := auth.DefaultThrottle()
		var f auth.Failures
		now, wait := noon(), time.Duration(0)
		for range 300 {
			now = now.Add(time.Duration(rapid.Int64Range(0, int64(20*time.Minute)).Draw(t, "step")))
			if !throttle.Next(f, now).Allowed {
				continue
			}
			if now.Sub(f.Last) < wait {
				t.Fatalf("guess %d after %v, want %v", f.Count+1, now.Sub(f.Last), wait)
			}
			f = throttle.AfterFailure(f, now)
			if f.Count >= throttle.Free {
				wait = min(throttle.Most, time.Second<<min(f.Count-throttle.Free, 20))
			}
		}
		if f.Count > throttle.Stop {
			t.Fatalf("%d evaluations", f.Count)
		}
	})
}

func TestCounterKeys(t *testing.T) {
	t.Parallel()
	keys := map[string]bool{}
	for _, a := range []auth.Account{{Login: "wren"}, {Login: "wrenx"}, {Login: "wren", KnownDevice: "a"}, {Login: "wren", KnownDevice: "b"}, {}} {
		keys[a.CounterKey()] = true
		if len(a.CounterKey()) != 64 {
			t.Errorf("key %q", a.CounterKey())
		}
	}
	if len(keys) != 5 {
		t.Errorf("%d different keys, want 5", len(keys))
	}
}
