package api

import (
	"sync"
	"time"

	"benchtag/internal/fault"
)

// limits counts requests by key in fixed windows, in this process. Counters
// that must survive a restart are the app's.
type limits struct {
	mu    sync.Mutex
	now   func() time.Time
	count map[string]window
	swept time.Time
}

type window struct {
	until time.Time
	n     int
}

func newLimits(now func() time.Time) *limits {
	return &limits{now: now, count: map[string]window{}}
}

// rate is at most n in a span.
type rate struct {
	n    int
	span time.Duration
}

// The rates of sign-in by address, and of customer links by address and by
// link: looks of each address, and answers of all together.
var (
	signInPerIP = rate{30, time.Minute}
	linkPerIP   = rate{60, time.Minute}
	perLink     = rate{30, time.Hour}
	// The fiftieth unknown link within a minute raises the alarm.
	unknownLinks  = rate{49, time.Minute}
	oncePerMinute = rate{1, time.Minute}
	linkPhotos    = rate{600, time.Hour}
)

// take counts one request and refuses it beyond the rate.
func (l *limits) take(key string, r rate) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	l.sweep(now)
	w := l.count[key]
	if !now.Before(w.until) {
		w = window{until: now.Add(r.span)}
	}
	w.n++
	l.count[key] = w
	if w.n <= r.n {
		return nil
	}
	f := fault.New(fault.TooMany, "api.too_often", "This was asked too often; wait a little and try again.")
	f.RetryAfter = int(w.until.Sub(now).Seconds()) + 1
	return f
}

const sweepEvery = time.Minute

// sweep forgets windows that have ended, so that memory stays bounded.
func (l *limits) sweep(now time.Time) {
	if now.Sub(l.swept) < sweepEvery {
		return
	}
	l.swept = now
	for key, w := range l.count {
		if !now.Before(w.until) {
			delete(l.count, key)
		}
	}
}
