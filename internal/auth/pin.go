package auth

import "benchtag/internal/fault"

// The length of a PIN in digits: short enough for gloves. It counts only on
// an enrolled tablet, which is the other factor, and under a Throttle.
const (
	MinPIN = 4
	MaxPIN = 8
)

// CheckPIN decides whether pin may become somebody's PIN: MinPIN to MaxPIN
// digits 0–9, not one piece repeated (0000, 1212) and not a run up or down
// (1234, 9876, 7890). Dates are not looked for: most short numbers can be
// read as one. Codes: auth.pin_malformed, auth.pin_simple (Meaning).
func CheckPIN(pin string) error {
	if !digits(pin) || len(pin) < MinPIN || len(pin) > MaxPIN {
		return fault.Invalid("auth.pin_malformed", "/pin", "Use 4 to 8 digits.")
	}
	s := []rune(pin)
	if periodic(s) || runs(s, alphabetStep) == 1 {
		return fault.Invalid("auth.pin_simple", "/pin", "Choose one that is not a repetition or a run such as 1234.")
	}
	return nil
}

func digits(text string) bool {
	for _, c := range []byte(text) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}
