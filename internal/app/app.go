// Package app is what can be done with Benchtag, one file a use case. A use
// case loads the facts, lets the core decide, and writes the change and its
// journal entry in one transaction. It owns the ports through which the
// outside is reached: the store, the clock inside it, ids and randomness.
package app

import (
	"context"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Source makes what cannot be reckoned: fresh ids and random bytes.
type Source interface {
	// ID gives a fresh UUIDv7.
	ID() string
	// Bytes fills b from a cryptographic source.
	Bytes(b []byte)
}

// Hasher keeps passwords and PINs; see auth/secret.
type Hasher interface {
	Hash(ctx context.Context, password string) (string, error)
	Verify(ctx context.Context, password, phc string) (ok, rehash bool, err error)
	VerifyDummy(ctx context.Context, password string) error
	Common(password string) bool
}

// Tokens makes and reads tokens; see auth/token.
type Tokens interface {
	// Access signs an access token.
	Access(claims AccessClaims) (string, error)
	// NewOpaque makes a random token of a kind that names its shop, and its hash.
	NewOpaque(kind TokenKind, scope shop.ShopID) (text, hash string, err error)
	// ParseOpaque reads such a token.
	ParseOpaque(kind TokenKind, text string) (scope shop.ShopID, hash string, err error)
	// Successor derives the one token a refresh token is exchanged for.
	Successor(refresh string) (text, hash string, err error)
}

// Phones reads phone numbers; see package phone.
type Phones interface {
	// E164 gives a number in the international form, or "" where text is no
	// valid number. Without a region (ISO 3166, two letters) only a number
	// that starts with + can be read.
	E164(text, region string) string
}

// TokenKind says what an opaque token is good for; kinds exclude each other.
type TokenKind string

// The kinds of opaque token.
const (
	TokenRefresh TokenKind = "refresh"
	TokenLink    TokenKind = "link"
	TokenDevice  TokenKind = "device"
	TokenEnrol   TokenKind = "enrol"
	TokenSetup   TokenKind = "setup"
)

// Options are the outside that App reaches.
type Options struct {
	Store  Store
	Source Source
	Hasher Hasher
	Tokens Tokens
	Phones Phones
	// Papers prints; nil prints nothing.
	Papers Papers
	// Vault, Mailer and Hooks may be missing: then nothing that holds a
	// secret, no mail and no call goes out.
	Vault  Vault
	Mailer Mailer
	Hooks  Hooks
	// Blobs and Pictures keep photos; without them there are none.
	Blobs    Blobs
	Pictures Pictures
	// PhotoQuota bounds photos; what is 0 takes the default.
	PhotoQuota PhotoQuota
	// Anchors keep what of the journal must not lie in the database. Without
	// them entries are chained all the same, and nothing is signed.
	Anchors Anchors
	// MessageLease is how long a sender has a message in hand; 0 is OutboxLease.
	MessageLease time.Duration
	// PublicURL is where customers reach the server; links start with it.
	PublicURL string
}

// App is the use cases over their ports.
type App struct {
	Options
	setup setupOffer
	maps  mapBook
	wake  wake
	seals seals
}

// New checks that every port is there.
func New(opt Options) *App {
	return &App{Options: opt, wake: newWake()}
}

// Forbidden is the answer to a person whose roles do not allow this.
func Forbidden() error {
	return fault.New(fault.Forbidden, "app.not_allowed", "Your roles do not allow this; ask the owner of the shop.")
}
