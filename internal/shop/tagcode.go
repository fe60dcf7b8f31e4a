package shop

import (
	"strings"

	"benchtag/internal/fault"
)

// TagCode is the code printed on a tag: five characters, the last of them
// a check character, unique within a shop.
//
// The alphabet has 29 characters: the digits and capitals without 0, 1, I,
// L, O, U and Z, which are taken for one another. With n1…n4 the values of
// the first four, the fifth makes 5·n1 + 4·n2 + 3·n3 + 2·n4 + n5 divisible
// by 29. Since 29 is prime and the weights differ, every single wrong
// character and every swap of two characters is noticed (the argument is
// that of ISO/IEC 7064 and ISBN-10, from memory).
type TagCode string

const (
	tagAlphabet = "23456789ABCDEFGHJKMNPQRSTVWXY"
	tagPrime    = uint32(len(tagAlphabet))
	tagLength   = 5
)

// TagCodes is the number of codes: NewTagCode takes 0 to TagCodes-1.
const TagCodes = tagPrime * tagPrime * tagPrime * tagPrime

// NewTagCode gives the n-th code. Fault: shop.tag_code_used_up when n is
// not below TagCodes.
func NewTagCode(n uint32) (TagCode, error) {
	if n >= TagCodes {
		return "", fault.New(fault.Conflict, "shop.tag_code_used_up",
			"Every tag code of this shop is used up. Tags need longer codes from here on.")
	}
	var code [tagLength]byte
	sum := uint32(0)
	for i := tagLength - 2; i >= 0; i-- {
		value := n % tagPrime
		n /= tagPrime
		code[i] = tagAlphabet[value]
		sum += uint32(tagLength-i) * value
	}
	code[tagLength-1] = tagAlphabet[(tagPrime-sum%tagPrime)%tagPrime]
	return TagCode(code[:]), nil
}

// ParseTagCode reads a code as people type it: any case, blanks and hyphens
// anywhere. Faults: shop.tag_code_length, shop.tag_code_character,
// shop.tag_code_check.
func ParseTagCode(text string) (TagCode, error) {
	code := strings.ToUpper(strings.ReplaceAll(strings.ReplaceAll(text, " ", ""), "-", ""))
	sum := uint32(0)
	for i, c := range code {
		value := strings.IndexRune(tagAlphabet, c)
		if value < 0 {
			return "", fault.New(fault.Meaning, "shop.tag_code_character",
				"Tag codes never hold 0, 1, I, L, O, U or Z, nor any sign but a hyphen. Read the tag again.")
		}
		if i < tagLength {
			sum += uint32(tagLength-i) * uint32(value)
		}
	}
	if len(code) != tagLength {
		return "", fault.New(fault.Meaning, "shop.tag_code_length", "A tag code has 5 characters. Read the tag again.")
	}
	if sum%tagPrime != 0 {
		return "", fault.New(fault.Meaning, "shop.tag_code_check",
			"One character of this tag code is wrong, or two are swapped. Read the tag again.")
	}
	return TagCode(code), nil
}

// Number undoes NewTagCode; requires a code from NewTagCode or ParseTagCode.
func (c TagCode) Number() uint32 {
	n := uint32(0)
	for i := range min(len(c), tagLength-1) {
		n = n*tagPrime + uint32(strings.IndexByte(tagAlphabet, c[i]))
	}
	return n
}
