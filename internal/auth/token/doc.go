// Package token makes and reads the program's tokens: access tokens, which
// are JSON Web Tokens (RFC 7519) signed with HMAC-SHA-256, and opaque ones,
// of which the server keeps only a SHA-256. It also keeps the keys for both.
//
// What a token may do is decided elsewhere: package auth says whether a
// refresh token rotates, the use cases look up session, roles and links. This
// is the only package that imports the JWT library, whose own checks let too
// much pass; see gate.go.
package token

import (
	"log/slog"

	"benchtag/internal/fault"
)

// Secret is the text of a token. Convert it to string to send it; logs and
// formatted messages show only that there was one.
type Secret string

// String hides the token.
func (Secret) String() string { return "[token]" }

// GoString hides the token.
func (Secret) GoString() string { return "[token]" }

// LogValue hides the token.
func (Secret) LogValue() slog.Value { return slog.StringValue("[token]") }

// refused is the one answer to every bad token. The cause is for the log and
// holds nothing of the token.
func refused(cause error) error {
	return fault.New(fault.Unauthenticated, "auth.token_refused", "Sign in again.").Because(cause)
}
