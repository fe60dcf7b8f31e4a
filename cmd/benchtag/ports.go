package main

import (
	"crypto/rand"
	"time"

	"github.com/google/uuid"

	"benchtag/internal/app"
	"benchtag/internal/auth/secret"
	"benchtag/internal/auth/token"
	"benchtag/internal/shop"
)

// source makes ids and randomness from the system's cryptographic source.
type source struct{}

// ID gives a fresh UUIDv7.
func (source) ID() string { return uuid.Must(uuid.NewV7()).String() }

// Bytes fills b; the system's source does not fail.
func (source) Bytes(b []byte) { _, _ = rand.Read(b) }

// tokens gives the app and the api their tokens.
type tokens struct {
	ring   *token.Keyring
	signer *token.Signer
	now    func() time.Time
}

// newTokens reads or makes the keys in a folder, for tokens of one address.
func newTokens(folder, publicURL string, now func() time.Time) (tokens, error) {
	ring, err := token.LoadOrCreateKeyring(folder, now())
	if err != nil {
		return tokens{}, err
	}
	signer, err := token.NewSigner(ring, token.Names{Issuer: publicURL, Audience: "benchtag-api"})
	return tokens{ring: ring, signer: signer, now: now}, err
}

// Access signs an access token.
func (t tokens) Access(c app.AccessClaims) (string, error) {
	methods := []token.Method{token.MethodPassword}
	if c.SignOnID != "" {
		methods = []token.Method{token.MethodDevice, token.MethodPIN}
	}
	text, _, err := t.signer.Issue(token.Access{Shop: c.ShopID, Staff: c.StaffID, Session: c.SessionID,
		Tablet: c.TabletID, SignOn: c.SignOnID, SessionVersion: c.SessionVersion, Methods: methods, AuthTime: c.AuthTime}, t.now())
	return string(text), err
}

// ReadAccess reads an access token.
func (t tokens) ReadAccess(text string) (app.AccessClaims, error) {
	a, err := t.signer.Verify(text, t.now())
	if err != nil {
		return app.AccessClaims{}, err
	}
	return app.AccessClaims{ShopID: a.Shop, StaffID: a.Staff, SessionID: a.Session, TabletID: a.Tablet, SignOnID: a.SignOn,
		SessionVersion: a.SessionVersion, AuthTime: a.AuthTime, IssuedAt: a.IssuedAt, ExpiresAt: a.Expires}, nil
}

// NewOpaque makes a random token.
func (tokens) NewOpaque(kind app.TokenKind, scope shop.ShopID) (text, hash string, err error) {
	made, kept, err := token.NewOpaque(token.Kind(kind), scope)
	return string(made), kept.Hash.String(), err
}

// ParseOpaque reads one.
func (tokens) ParseOpaque(kind app.TokenKind, text string) (shop.ShopID, string, error) {
	kept, err := token.ParseOpaque(token.Kind(kind), text)
	return kept.Shop, kept.Hash.String(), err
}

// Successor derives what a refresh token is exchanged for.
func (t tokens) Successor(refresh string) (text, hash string, err error) {
	made, kept, err := t.ring.Successor(refresh)
	return string(made), kept.Hash.String(), err
}

// hasher keeps passwords and PINs, and knows the common ones.
type hasher struct {
	*secret.Hasher
	common *secret.Common
}

func newHasher(cost secret.Params) (hasher, error) {
	c := secret.DefaultConfig()
	c.Params = cost
	h, err := secret.NewHasher(c)
	if err != nil {
		return hasher{}, err
	}
	common, err := secret.NewCommon()
	return hasher{Hasher: h, common: common}, err
}

// Common reports whether a password is on the list of common ones.
func (h hasher) Common(password string) bool { return h.common.Has(password) }

// maxSecretFile bounds what is read as a file of a password or of keys, in bytes.
const maxSecretFile = 64 << 10
