// Package fault names what can go wrong, in words a person can act on.
//
// It decides which kind an error is and carries a stable code, a sentence,
// the fields at fault and the gates still unmet. It knows nothing of HTTP:
// the api package maps kinds to status codes in one table. The cause, if
// any, is for the log alone and never reaches a client.
package fault

import (
	"errors"
)

// Kind says what sort of thing went wrong. The zero kind is Internal, so an
// error that nobody classified is never mistaken for the caller's.
type Kind int

// The kinds, each with what it means to the caller.
const (
	Internal         Kind = iota // our defect; the caller can do nothing
	Shape                        // the request cannot be read: syntax, type, unknown field
	Meaning                      // readable, but what it says cannot be
	Unauthenticated              // not signed in, or the sign-in is no longer good
	Forbidden                    // signed in, but not allowed to do this
	NotFound                     // no such thing in this shop
	Gone                         // was there, and is closed for good (a dead link)
	Conflict                     // another change came first, or the state forbids it
	Gates                        // a move is refused; Gates lists everything unmet
	VersionMissing               // the write must say which version it changes
	VersionStale                 // the version named is not the current one
	Media                        // the body is not of a kind this route takes
	TooLarge                     // the body is larger than this route takes
	TooMany                      // asked too often; RetryAfter says when to come back
	Unavailable                  // overloaded or not ready; come back
	MethodNotAllowed             // the address exists, the method does not
	ExistsAlready                // create-only write met an existing, different row
	NoRoom                       // there is no room left to keep what was sent
)

// Kinds lists every kind, for tests of completeness.
func Kinds() []Kind {
	all := make([]Kind, 0, int(NoRoom)+1)
	for k := Internal; k <= NoRoom; k++ {
		all = append(all, k)
	}
	return all
}

// Field is one place in the request that is wrong.
type Field struct {
	// Pointer is a JSON Pointer (RFC 6901) into the body, or the name of a
	// query or path parameter.
	Pointer string
	// Message is a sentence that says what to do.
	Message string
}

// Gate is one unmet condition of a refused move.
type Gate struct {
	Code    string // stable, "stage.condition"
	Message string // a sentence a person can act on
	Where   string // where to act: the noun's path below the job, e.g. "findings"
	Subject string // id of the row at fault, or ""
}

// Error is a classified error.
type Error struct {
	Kind       Kind
	Code       string // stable, "package.noun_problem"
	Message    string // for the client; no internals
	Fields     []Field
	Gates      []Gate
	RetryAfter int // seconds, for TooMany and Unavailable
	Cause      error
}

// Error gives code, message and cause, for the log.
func (e *Error) Error() string {
	if e.Cause != nil {
		return e.Code + ": " + e.Message + ": " + e.Cause.Error()
	}
	return e.Code + ": " + e.Message
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Cause }

// New makes an error of a kind with a stable code and a sentence.
func New(kind Kind, code, message string) *Error {
	return &Error{Kind: kind, Code: code, Message: message}
}

// Invalid is a Meaning error that points at one field.
func Invalid(code, pointer, message string) *Error {
	return &Error{Kind: Meaning, Code: code, Message: message, Fields: []Field{{Pointer: pointer, Message: message}}}
}

// Missing is the one not-found error. It names no id, so that a foreign
// row and a row that never was give the same answer.
func Missing(noun string) *Error {
	return New(NotFound, "shop.not_found", "There is no such "+noun+" here.")
}

// Because attaches a cause and returns e.
func (e *Error) Because(cause error) *Error {
	e.Cause = cause
	return e
}

// Of reports the kind of err: that of the first *Error in its chain, else Internal.
func Of(err error) Kind {
	var f *Error
	if errors.As(err, &f) {
		return f.Kind
	}
	return Internal
}

// Is reports whether err is of the kind.
func Is(err error, kind Kind) bool { return err != nil && Of(err) == kind }
