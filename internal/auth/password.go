package auth

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"benchtag/internal/fault"
)

const (
	// MinPassword is the least length, in characters, of a password that is
	// the only factor (trust R3, NIST SP 800-63B-4 section 3.1.1).
	MinPassword = 15
	// MinPasswordMFA is the same where another factor is asked for as well.
	MinPasswordMFA = 8
	// MaxPassword is the greatest length in bytes; a longer one is refused,
	// never cut.
	MaxPassword = 1024
)

// PasswordRules are what a new password is held against.
type PasswordRules struct {
	// Context are words that a guesser would try first: the shop's name and
	// slug, the login, the product's name.
	Context []string
	// Common reports whether a lower-case word is on the list of common
	// passwords. It must be given.
	Common func(string) bool
	// MFA is whether another factor is always asked for as well.
	MFA bool
	// Pointer names the field at fault; "" means "/password".
	Pointer string
}

// CheckPassword decides whether pw may become somebody's password. There is
// no rule of composition and no expiry. Codes: auth.password_unreadable and
// auth.password_long (Shape), auth.password_short, auth.password_common,
// auth.password_pattern, auth.password_context (Meaning).
func CheckPassword(pw string, rules PasswordRules) error {
	if rules.Common == nil {
		return fault.New(fault.Internal, "auth.password_list_missing", "Passwords cannot be checked now.")
	}
	if err := PasswordReadable(pw); err != nil {
		return err
	}
	least := MinPassword
	if rules.MFA {
		least = MinPasswordMFA
	}
	if utf8.RuneCountInString(pw) < least {
		return rules.refuse("auth.password_short", fmt.Sprintf("Use at least %d characters; a few words you will remember are best.", least))
	}
	return rules.guessable(pw)
}

// PasswordReadable refuses, as a Shape fault, what cannot be any password:
// text longer than MaxPassword, not UTF-8, or with a NUL in it. It serves
// signing in as well.
func PasswordReadable(pw string) error {
	if len(pw) > MaxPassword {
		return fault.New(fault.Shape, "auth.password_long", fmt.Sprintf("Use at most %d bytes.", MaxPassword))
	}
	if !utf8.ValidString(pw) || strings.ContainsRune(pw, 0) {
		return fault.New(fault.Shape, "auth.password_unreadable", "Send the password as UTF-8 text without NUL.")
	}
	return nil
}

func (r PasswordRules) refuse(code, message string) error {
	pointer := r.Pointer
	if pointer == "" {
		pointer = "/password"
	}
	return fault.Invalid(code, pointer, message)
}

func (r PasswordRules) guessable(pw string) error {
	switch {
	case patterned(pw):
		return r.refuse("auth.password_pattern", "Choose one that is not a repetition or a run such as 1234.")
	case slices.ContainsFunc(wordForms(pw), r.Common):
		return r.refuse("auth.password_common", "This is one of the first that guessers try. Choose another.")
	case contextual(pw, r.Context):
		return r.refuse("auth.password_context", "Leave out the names of the shop, of the sign-in and of this program.")
	}
	return nil
}
