package shop

import (
	"fmt"
	"strings"

	"benchtag/internal/fault"
)

// VIN is a vehicle identification number of 17 characters (ISO 3779): the
// digits and the capital letters but I, O and Q.
type VIN string

// ParseVIN reads a VIN, whatever its case, and drops blanks. It says
// nothing of the check digit: see CheckVIN. Faults: shop.vin_letter,
// shop.vin_length, shop.vin_character.
func ParseVIN(text string) (VIN, error) {
	joined := strings.ToUpper(strings.Join(strings.Fields(text), ""))
	for _, c := range joined {
		if c == 'I' || c == 'O' || c == 'Q' {
			return "", fault.New(fault.Meaning, "shop.vin_letter",
				"A VIN never holds the letters I, O or Q. Read the number again: most often they are 1 and 0.")
		}
		if !isCapital(c) && !isNumeral(c) {
			return "", fault.New(fault.Meaning, "shop.vin_character", "A VIN holds digits and the letters A to Z alone.")
		}
	}
	if len(joined) != 17 {
		return "", fault.New(fault.Meaning, "shop.vin_length",
			fmt.Sprintf("A VIN has 17 characters, this has %d. Enter an older or domestic number as a frame number.", len(joined)))
	}
	return VIN(joined), nil
}

func isCapital(c rune) bool { return c >= 'A' && c <= 'Z' }
func isNumeral(c rune) bool { return c >= '0' && c <= '9' }

// NorthAmerica is the market (where the machine was sold new) in which the
// check digit is mandatory. Any other market is free of it.
const NorthAmerica = "north_america"

// VINCheck is a verdict with what stands behind it.
type VINCheck struct {
	// Verdict is ok, mismatch, or not_applicable where there is no check
	// digit: the ninth character is no digit and not X.
	Verdict VINVerdict
	Want    string // the check digit that the other characters ask for; "" unless there are 17
	// Binding reports that a mismatch is an error in this market; elsewhere
	// it is a warning at most, since makers are free to use the ninth
	// character for something else.
	Binding bool
}

// CheckVIN tries the check digit, the ninth character, by 49 CFR 565.15:
// each character's value times its place's weight, summed, modulo 11; ten
// is written X. In NorthAmerica the verdict is ok or mismatch and binds; a
// machine made for another market and brought in later is not bound, so
// market is the machine's, not the shop's.
func CheckVIN(vin VIN, market string) VINCheck {
	binding := market == NorthAmerica
	if len(vin) != 17 {
		return VINCheck{Verdict: VINVerdictMismatch, Binding: binding}
	}
	check := VINCheck{Verdict: VINVerdictMismatch, Want: checkDigit(vin), Binding: binding}
	ninth := vin[8]
	if string(ninth) == check.Want {
		check.Verdict = VINVerdictOk
	} else if !binding && !isNumeral(rune(ninth)) && ninth != 'X' {
		check.Verdict = VINVerdictNotApplicable
	}
	return check
}

// checkDigit gives the digit that the other 16 characters ask for; requires
// 17 characters, of which the ninth may be anything.
func checkDigit(vin VIN) string {
	weights := [17]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}
	sum := 0
	for i, weight := range weights {
		sum += weight * vinValue(vin[i])
	}
	const digits = "0123456789X"
	return digits[sum%11 : sum%11+1]
}

// vinValue transliterates one character (49 CFR 565.15): A to H are 1 to 8,
// J to R 1 to 9, S to Z 2 to 9.
func vinValue(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'A' && c <= 'H':
		return int(c-'A') + 1
	case c >= 'J' && c <= 'R':
		return int(c-'J') + 1
	case c >= 'S' && c <= 'Z':
		return int(c-'S') + 2
	default:
		return 0
	}
}

// FrameNumber is what identifies a machine without a VIN: 3 to 20 of capital
// letters, digits, hyphens, slashes and single blanks.
type FrameNumber string

// ParseFrameNumber reads a frame number, whatever its case; several blanks
// count as one. Faults: shop.frame_number_length, shop.frame_number_character.
func ParseFrameNumber(text string) (FrameNumber, error) {
	joined := strings.ToUpper(strings.Join(strings.Fields(text), " "))
	some := false
	for _, c := range joined {
		some = some || isCapital(c) || isNumeral(c)
		if !isCapital(c) && !isNumeral(c) && !strings.ContainsRune("-/ ", c) {
			return "", fault.New(fault.Meaning, "shop.frame_number_character",
				"A frame number holds letters A to Z, digits, hyphens, slashes and blanks alone.")
		}
	}
	if len(joined) < 3 || len(joined) > 20 || !some {
		return "", fault.New(fault.Meaning, "shop.frame_number_length",
			"A frame number has 3 to 20 characters. Enter it as it is stamped.")
	}
	return FrameNumber(joined), nil
}
