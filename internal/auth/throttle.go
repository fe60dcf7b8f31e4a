package auth

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"
)

// Throttle says how soon a guess may follow wrong ones.
type Throttle struct {
	Free  int           // tries before the first wait
	First time.Duration // wait before the try after those; doubles each time
	Most  time.Duration // no wait is longer
	Stop  int           // consecutive failures after which nothing is tried until a reset
}

// DefaultThrottle is free for 5 tries, then waits 1 s doubling to 15 min, and
// stops at 100 (trust R4; the 100 is NIST SP 800-63B-4 section 3.2.2).
func DefaultThrottle() Throttle {
	return Throttle{Free: 5, First: time.Second, Most: 15 * time.Minute, Stop: 100}
}

// Failures counts consecutive failures under one CounterKey.
type Failures struct {
	Count   int
	Last    time.Time // zero before the first
	NextTry time.Time // nothing is tried before
}

// Allowance is whether a guess may be looked at now, and why not.
type Allowance struct {
	Allowed bool
	// RetryAfter is how long to wait; 0 if Allowed or Stopped.
	RetryAfter time.Duration
	// Stopped is whether only a reset helps: by the owner, or a mailed link.
	Stopped bool
}

// Next decides whether a guess may be looked at. A NextTry further ahead than
// any wait comes from a clock that has since stepped back, and does not count.
func (t Throttle) Next(f Failures, now time.Time) Allowance {
	if f.Count >= t.Stop {
		return Allowance{Stopped: true}
	}
	wait := f.NextTry.Sub(now)
	if wait <= 0 || wait > t.Most {
		return Allowance{Allowed: true}
	}
	return Allowance{RetryAfter: wait}
}

// AfterFailure counts one failure. Store it *before* the hash is computed and
// clear it with AfterSuccess if the guess was right: then guesses made at the
// same moment cannot share one state.
func (t Throttle) AfterFailure(f Failures, now time.Time) Failures {
	f.Count = min(f.Count+1, t.Stop)
	f.Last = now
	f.NextTry = now.Add(t.wait(f.Count))
	return f
}

// AfterSuccess gives the counter after a right guess or a reset.
func (t Throttle) AfterSuccess() Failures { return Failures{} }

// wait is how long after the n-th failure the next try is.
func (t Throttle) wait(n int) time.Duration {
	if n < t.Free {
		return 0
	}
	wait := t.First
	for range n - t.Free {
		if wait >= t.Most {
			break
		}
		wait *= 2
	}
	return min(wait, t.Most)
}

// Account is what guesses are counted against. A device on which the person
// has signed in before has a counter of its own, so that strangers who run
// the account into the stop do not lock it out.
type Account struct {
	Login string
	// KnownDevice is the id of such a device, or "". It is known only by a
	// secret the device has shown, never by what the request says of itself.
	KnownDevice string
}

// CounterKey gives the key of the account's counter: hexadecimal SHA-256, so
// that what was typed in the login field by mistake is not kept. Logins that
// differ in case or outer spaces share a counter, and names that nobody has
// get one as well.
func (a Account) CounterKey() string {
	login := strings.ToLower(strings.TrimSpace(a.Login))
	sum := sha256.Sum256([]byte(a.KnownDevice + "\x00" + login))
	return hex.EncodeToString(sum[:])
}
