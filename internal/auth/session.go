package auth

import (
	"slices"
	"time"
)

const (
	// AccessLife is the longest life of an access token (trust R9).
	AccessLife = 10 * time.Minute
	// ClockSkew is how far the clocks of two server processes may differ.
	ClockSkew = 30 * time.Second
	// RetryWindow is how long a consumed refresh token still yields its
	// successor again, for a client whose answer was lost (trust R10).
	RetryWindow = 10 * time.Second
	// SecondPersonLimit is how long ago the second person of a critical
	// fastening may have typed their own PIN.
	SecondPersonLimit = 2 * time.Minute
	// ReauthLimit is how long ago the password must have been typed for what
	// asks for it afresh: roles, export, erasure, keys (trust R15).
	ReauthLimit = 5 * time.Minute
)

// FreshEnough reports whether a proof given at authTime is at most limit old
// at now. A proof from further ahead than ClockSkew is not.
func FreshEnough(authTime time.Time, limit time.Duration, now time.Time) bool {
	age := now.Sub(authTime)
	return !authTime.IsZero() && age >= -ClockSkew && age <= limit
}

// Limits bound a session.
type Limits struct {
	Idle     time.Duration // without a refresh
	Absolute time.Duration // since the sign-in, whatever happens
}

// LimitsFor gives the limits of a person with these roles: idle 12 h and 30
// days in all, an owner idle 1 h and 24 h in all (trust R11, after NIST SP
// 800-63B-4 section 2 and ASVS 7.3).
func LimitsFor(roles []Role) Limits {
	if slices.Contains(roles, RoleOwner) {
		return Limits{Idle: time.Hour, Absolute: 24 * time.Hour}
	}
	return Limits{Idle: 12 * time.Hour, Absolute: 30 * 24 * time.Hour}
}

// Session is what is stored of a sign-in.
type Session struct {
	Started  time.Time
	LastUsed time.Time // sign-in or last refresh
	Ended    time.Time // zero while it lives
	Limits   Limits
}

// Until gives the moment at which the session dies if it is not used again.
func (s Session) Until() time.Time {
	idle, absolute := s.LastUsed.Add(s.Limits.Idle), s.Started.Add(s.Limits.Absolute)
	if idle.Before(absolute) {
		return idle
	}
	return absolute
}

// Alive reports whether the session may still be used at now.
func (s Session) Alive(now time.Time) bool {
	return s.Ended.IsZero() && now.Before(s.Until())
}

// Rotation is what a refresh token presented now leads to.
type Rotation string

// The rotations.
const (
	// RotationRotate: consume the token and hand out its successor.
	RotationRotate Rotation = "rotate"
	// RotationRepeat: consumed a moment ago and the successor is untouched,
	// so the answer was lost; hand out the same successor again.
	RotationRepeat Rotation = "repeat_successor"
	// RotationReplay: somebody holds a copy; end the session with all its
	// tokens and record a security event.
	RotationReplay Rotation = "replay_revoke_family"
	// RotationExpired: the session is over; sign in again.
	RotationExpired Rotation = "expired"
)

// Rotations lists every rotation.
func Rotations() []Rotation {
	return []Rotation{RotationRotate, RotationRepeat, RotationReplay, RotationExpired}
}

// RefreshState is what is stored of a refresh token, with its session.
type RefreshState struct {
	Session Session
	// ConsumedAt is when it was first exchanged; zero if never.
	ConsumedAt time.Time
	// SuccessorUsed is whether the token it was exchanged for has been
	// presented in its turn.
	SuccessorUsed bool
}

// Rotate decides what a refresh token that was found in the store may do
// (trust R10, after RFC 9700 section 4.14.2). Exactly RetryWindow after the
// exchange is still a retry.
func Rotate(stored RefreshState, now time.Time) Rotation {
	switch {
	case !stored.Session.Alive(now):
		return RotationExpired
	case stored.ConsumedAt.IsZero():
		return RotationRotate
	case !stored.SuccessorUsed && now.Sub(stored.ConsumedAt).Abs() <= RetryWindow:
		return RotationRepeat
	}
	return RotationReplay
}
