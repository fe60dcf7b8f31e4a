package secret

import (
	"context"
	"runtime"
	"time"

	"benchtag/internal/fault"
)

// GateLimits bound how many hashes are computed and waited for, each of which
// takes its memory whoever asks for it (trust R2).
type GateLimits struct {
	AtOnce int           // computed at the same time
	Queue  int           // waiting besides
	Wait   time.Duration // at most so long
}

// DefaultGateLimits is as many at once as the program has processors, 32
// waiting, 2 s.
func DefaultGateLimits() GateLimits {
	return GateLimits{AtOnce: runtime.GOMAXPROCS(0), Queue: 32, Wait: 2 * time.Second}
}

// Gate lets a bounded number of callers in and turns others away. It is safe
// for use by many goroutines.
type Gate struct {
	limits GateLimits
	places chan struct{} // of those inside and those waiting
	inside chan struct{}
}

// NewGate makes a Gate; it requires AtOnce >= 1 and Queue, Wait >= 0.
func NewGate(limits GateLimits) *Gate {
	return &Gate{
		limits: limits,
		places: make(chan struct{}, limits.AtOnce+limits.Queue),
		inside: make(chan struct{}, limits.AtOnce),
	}
}

// Do runs work inside the gate. If it is too busy, or ctx ends while waiting,
// work is not run and the answer is Unavailable, auth.hash_busy, with the
// seconds after which to come back.
func (g *Gate) Do(ctx context.Context, work func()) error {
	select {
	case g.places <- struct{}{}:
		defer func() { <-g.places }()
	default:
		return g.busy(nil)
	}
	if err := g.enter(ctx); err != nil {
		return err
	}
	defer func() { <-g.inside }()
	work()
	return nil
}

func (g *Gate) enter(ctx context.Context) error {
	if ctx.Err() != nil {
		return g.busy(ctx.Err())
	}
	select {
	case g.inside <- struct{}{}:
		return nil
	default:
	}
	timer := time.NewTimer(g.limits.Wait)
	defer timer.Stop()
	select {
	case g.inside <- struct{}{}:
		return nil
	case <-ctx.Done():
		return g.busy(ctx.Err())
	case <-timer.C:
		return g.busy(nil)
	}
}

func (g *Gate) busy(cause error) error {
	err := fault.New(fault.Unavailable, "auth.hash_busy", "Too many people are signing in at this moment. Try again in a few seconds.")
	err.RetryAfter = max(1, int(g.limits.Wait/time.Second))
	return err.Because(cause)
}
