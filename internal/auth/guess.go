package auth

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// This file holds what a guesser would try: patterns, common words with
// trimmings, and the names around the person. The transformations are common
// practice, no source.

const (
	// maxRuns is how many steady runs (1234, qwer, aaaa) still make a whole
	// password a pattern.
	maxRuns = 3
	// minContext is the least length, in characters, of a context word that
	// must not occur inside a password.
	minContext = 4
	// minToken is the least length of a part of a context word, minRest what
	// must be left of a password without them.
	minToken, minRest = 3, 8
)

// keyRows are the letter rows of a keyboard, from memory; the blanks part them.
const keyRows = "qwertyuiop  asdfghjkl  zxcvbnm"

// patterned reports whether pw, with or without its punctuation, is one piece
// said again and again, or a few runs along the alphabet, the digits or the
// keyboard.
func patterned(pw string) bool {
	lower := strings.ToLower(pw)
	return slices.ContainsFunc([]string{lower, bare(lower)}, func(text string) bool {
		s := []rune(text)
		return len(s) > maxRuns && (periodic(s) || runs(s, alphabetStep) <= maxRuns || runs(s, keyStep) <= maxRuns)
	})
}

// periodic reports whether s is a piece of at most half its length, repeated,
// the last time perhaps in part.
func periodic(s []rune) bool {
	for period := 1; 2*period <= len(s); period++ {
		if slices.Equal(s[period:], s[:len(s)-period]) {
			return true
		}
	}
	return false
}

// runs counts the stretches of s in which each character is one step, the
// same step, from the one before.
func runs(s []rune, step func(from, to rune) (int, bool)) int {
	count, last, open := 1, 0, false
	for i := 1; i < len(s); i++ {
		way, ok := step(s[i-1], s[i])
		switch {
		case ok && (!open || way == last):
			last, open = way, true
		default:
			count, open = count+1, false
		}
	}
	return count
}

func alphabetStep(from, to rune) (int, bool) {
	way := int(to - from)
	switch {
	case from == '9' && to == '0':
		way = 1
	case from == '0' && to == '9':
		way = -1
	}
	return way, -1 <= way && way <= 1
}

func keyStep(from, to rune) (int, bool) {
	i, j := strings.IndexRune(keyRows, from), strings.IndexRune(keyRows, to)
	if i < 0 || j < 0 {
		return alphabetStep(from, to)
	}
	return j - i, -1 <= j-i && j-i <= 1
}

// wordForms gives what to look for on a list of common words: pw as typed,
// and without what hangs on the word at its ends unless that is half of it or
// more; each also without punctuation and with look-alikes read as letters.
func wordForms(pw string) []string {
	lower := strings.ToLower(pw)
	bases := []string{lower}
	for _, word := range []string{strings.TrimRightFunc(lower, notLetter), strings.TrimFunc(lower, notLetter)} {
		if 2*utf8.RuneCountInString(word) > utf8.RuneCountInString(lower) {
			bases = append(bases, word)
		}
	}
	var forms []string
	for _, base := range bases {
		forms = append(forms, base, bare(base), bare(asLetters(base, "i")), bare(asLetters(base, "l")))
	}
	return forms
}

func notLetter(c rune) bool { return !unicode.IsLetter(c) }

// bare keeps letters, marks and digits only.
func bare(text string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsMark(c) || unicode.IsDigit(c) {
			return c
		}
		return -1
	}, text)
}

// asLetters reads digits and signs as the letters they look like; one is what
// the strokes "1", "!" and "|" stand for.
func asLetters(text, one string) string {
	return strings.NewReplacer("0", "o", "3", "e", "4", "a", "5", "s", "7", "t", "8", "b",
		"@", "a", "$", "s", "+", "t", "1", one, "!", one, "|", one).Replace(text)
}

// fold gives the form in which context words are compared: look-alikes read
// as letters, i and l the same, nothing but letters, marks and digits.
func fold(text string) string {
	return strings.ReplaceAll(bare(asLetters(strings.ToLower(text), "i")), "l", "i")
}

// contextual reports whether pw holds a whole context word, or is little more
// than parts of them.
func contextual(pw string, context []string) bool {
	folded := fold(pw)
	for _, entry := range context {
		word := fold(entry)
		if word == folded && word != "" || utf8.RuneCountInString(word) >= minContext && strings.Contains(folded, word) {
			return true
		}
	}
	rest := folded
	for _, token := range tokens(context) {
		rest = strings.ReplaceAll(rest, token, "")
	}
	return rest != folded && utf8.RuneCountInString(rest) < minRest
}

// tokens gives the parts of the context words, folded, the longest first.
func tokens(context []string) []string {
	var all []string
	for _, entry := range context {
		for _, field := range strings.FieldsFunc(entry, func(c rune) bool { return notLetter(c) && !unicode.IsDigit(c) && !unicode.IsMark(c) }) {
			if token := fold(field); utf8.RuneCountInString(token) >= minToken {
				all = append(all, token)
			}
		}
	}
	slices.SortFunc(all, func(a, b string) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b))
	})
	return slices.Compact(all)
}
