package testkit

import (
	"sync"
	"time"
)

// Clock is a clock for tests: it moves only when told to. It is safe for use
// by several goroutines.
type Clock struct {
	mu  sync.Mutex
	now time.Time
}

// NewClock returns a clock that shows now, in UTC and whole microseconds as
// every stored instant is.
func NewClock(now time.Time) *Clock {
	return &Clock{now: instant(now)}
}

// Now returns the time the clock shows.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// Set makes the clock show now, which may be earlier than before.
func (c *Clock) Set(now time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = instant(now)
}

// Advance moves the clock on by d and returns the time it then shows.
func (c *Clock) Advance(d time.Duration) time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = instant(c.now.Add(d))
	return c.now
}

func instant(t time.Time) time.Time {
	return t.UTC().Truncate(time.Microsecond)
}
