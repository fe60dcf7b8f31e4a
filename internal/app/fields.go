package app

import (
	"strings"
	"unicode"

	"benchtag/internal/fault"
)

// oneLine trims texts that stand on one line and refuses any that holds a
// line break or another control character: such a text would forge lines in
// mail, labels and exports. That is the shape of a request, not its meaning.
func oneLine(fields map[string]*string) error {
	for pointer, text := range fields {
		*text = strings.TrimSpace(*text)
		if strings.ContainsFunc(*text, func(r rune) bool { return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' }) {
			const words = "This stands on one line; leave out line breaks and control characters."
			return &fault.Error{Kind: fault.Shape, Code: "app.line_broken", Message: words, Fields: []fault.Field{{Pointer: pointer, Message: words}}}
		}
	}
	return nil
}

// given refuses a text that is empty once trimmed.
func given(pointer, text, what string) error {
	if text == "" {
		return fault.Invalid("app.text_missing", pointer, "Give "+what+".")
	}
	return nil
}
