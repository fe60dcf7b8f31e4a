// Package secret hashes passwords and PINs with argon2id (RFC 9106), bounded
// by a gate, and knows the list of common passwords.
//
// What a password must be and how soon a guess may follow another is for
// package auth; this one only computes. It is the only package that imports
// an argon2 implementation.
package secret

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"

	"github.com/alexedwards/argon2id"
	"golang.org/x/text/unicode/norm"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
)

const (
	saltLength = 16 // bytes
	keyLength  = 32 // bytes
)

// Params are the cost of a hash. Salt and tag are always 16 and 32 bytes.
type Params struct {
	Memory      uint32 // KiB
	Iterations  uint32
	Parallelism uint8
}

// DefaultParams is 64 MiB, 3 passes, 1 lane: 116 ms on one core as measured.
func DefaultParams() Params { return Params{Memory: 64 << 10, Iterations: 3, Parallelism: 1} }

// LeastParams is 12 MiB, 3 passes, 1 lane: the floor that needs the least
// memory, about a fifth of the work of DefaultParams. For small machines.
func LeastParams() Params { return Params{Memory: 12 << 10, Iterations: 3, Parallelism: 1} }

// floors are the least costs (OWASP Password Storage Cheat Sheet, in trust
// R1): each is enough with at least its memory and at least its passes.
func floors() []Params {
	return []Params{{46 << 10, 1, 1}, {19 << 10, 2, 1}, LeastParams()}
}

// OverFloor reports whether the cost is enough for a stored hash.
func (p Params) OverFloor() bool {
	for _, floor := range floors() {
		if p.Memory >= floor.Memory && p.Iterations >= floor.Iterations && p.Parallelism >= 1 {
			return true
		}
	}
	return false
}

// bounded reports whether a hash of this cost may be computed at all: a
// stored one with other figures was not made by this program.
func (p Params) bounded() bool {
	return 1 <= p.Iterations && p.Iterations <= 16 && 1 <= p.Parallelism && p.Parallelism <= 16 &&
		8*uint32(p.Parallelism) <= p.Memory && p.Memory <= 256<<10
}

// Config is how a Hasher works.
type Config struct {
	Params Params
	Gate   GateLimits
	// BelowFloor lets Params cost less than is safe. For tests.
	BelowFloor bool
}

// DefaultConfig is that of the program.
func DefaultConfig() Config { return Config{Params: DefaultParams(), Gate: DefaultGateLimits()} }

// Hasher hashes passwords and PINs and checks them against hashes. It is safe
// for use by many goroutines.
type Hasher struct {
	params Params
	gate   *Gate
	dummy  string
}

// NewHasher makes a Hasher and refuses parameters below the floor.
func NewHasher(c Config) (*Hasher, error) {
	if !c.Params.bounded() || !c.Params.OverFloor() && !c.BelowFloor {
		return nil, fmt.Errorf("argon2id with %d KiB, %d passes, %d lanes is not allowed", c.Params.Memory, c.Params.Iterations, c.Params.Parallelism)
	}
	if c.Gate.AtOnce < 1 || c.Gate.Queue < 0 || c.Gate.Wait < 0 {
		return nil, errors.New("the gate must let at least one hash through")
	}
	return &Hasher{params: c.Params, gate: NewGate(c.Gate), dummy: dummy(c.Params)}, nil
}

// dummy is a hash that no password gives, at the full cost.
func dummy(p Params) string {
	random := make([]byte, saltLength+keyLength)
	rand.Read(random)
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=19$m=%d,t=%d,p=%d$%s$%s", p.Memory, p.Iterations, p.Parallelism,
		b64.EncodeToString(random[:saltLength]), b64.EncodeToString(random[saltLength:]))
}

// Hash gives the PHC string of a new hash of pw. Errors: Shape for what
// cannot be a password, Unavailable from the gate.
func (h *Hasher) Hash(ctx context.Context, pw string) (phc string, err error) {
	if err := auth.PasswordReadable(pw); err != nil {
		return "", err
	}
	var inner error
	err = h.gate.Do(ctx, func() { phc, inner = argon2id.CreateHash(normal(pw), h.params.library()) })
	if err != nil {
		return "", err
	}
	if inner != nil {
		return "", fault.New(fault.Internal, "auth.hash_failed", "The password could not be stored.").Because(inner)
	}
	return phc, nil
}

// Verify reports whether pw gives the stored hash, and if so whether it
// should be hashed anew and stored because the cost has risen since. Errors:
// Shape for what cannot be a password, Unavailable from the gate, Internal
// for a stored text that is no hash of ours.
func (h *Hasher) Verify(ctx context.Context, pw, phc string) (ok, rehash bool, err error) {
	if err := auth.PasswordReadable(pw); err != nil {
		return false, false, err
	}
	stored, err := parse(phc)
	if err != nil {
		return false, false, err
	}
	var inner error
	err = h.gate.Do(ctx, func() { ok, inner = argon2id.ComparePasswordAndHash(normal(pw), phc) })
	if err != nil {
		return false, false, err
	}
	if inner != nil {
		return false, false, unreadable(inner)
	}
	return ok, ok && stored != h.params, nil
}

// VerifyDummy takes the time of a Verify that fails, for an account that does
// not exist, is disabled or has no password: so the answers cannot be told
// apart (trust R5).
func (h *Hasher) VerifyDummy(ctx context.Context, pw string) error {
	_, _, err := h.Verify(ctx, pw, h.dummy)
	return err
}

// NeedsRehash reports whether the stored hash was made at another cost than
// today's, or is none of ours.
func (h *Hasher) NeedsRehash(phc string) bool {
	stored, err := parse(phc)
	return err != nil || stored != h.params
}

// StoredParams reads the cost of a stored hash, for the check that none is
// below the floor. Errors: Internal.
func StoredParams(phc string) (Params, error) { return parse(phc) }

func parse(phc string) (Params, error) {
	read, salt, key, err := argon2id.DecodeHash(phc)
	if err != nil {
		return Params{}, unreadable(err)
	}
	p := Params{Memory: read.Memory, Iterations: read.Iterations, Parallelism: read.Parallelism}
	if !p.bounded() || len(salt) != saltLength || len(key) != keyLength {
		return Params{}, unreadable(errors.New("cost, salt or tag is not one of ours"))
	}
	return p, nil
}

func unreadable(cause error) error {
	return fault.New(fault.Internal, "auth.hash_unreadable", "The sign-in could not be checked.").Because(cause)
}

func (p Params) library() *argon2id.Params {
	return &argon2id.Params{Memory: p.Memory, Iterations: p.Iterations, Parallelism: p.Parallelism, SaltLength: saltLength, KeyLength: keyLength}
}

// normal gives the one form of a text that keyboards compose differently
// (NFKC, NIST SP 800-63B-4 section 3.1.1.2).
func normal(pw string) string { return norm.NFKC.String(pw) }
