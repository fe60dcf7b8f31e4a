// Package wire reads JSON that can be understood in one way only.
//
// It decides whether a body is fit to be decoded at all: every reader must
// see the same keys, texts and numbers in it. What they mean is for whoever
// decodes it.
package wire

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"benchtag/internal/fault"
)

// Bounds of every JSON body.
const (
	MaxDepth  = 32
	MaxItems  = 500
	MaxString = 10_000
)

// Check refuses JSON that two readers could understand differently, or
// that is out of bounds: invalid UTF-8, half a surrogate pair, NUL, a key
// twice in any spelling of its letters, anything after the value, more than
// 32 levels, lists of more than 500, texts of more than 10,000 characters.
func Check(body []byte) error {
	if !utf8.Valid(body) {
		return shape("json.not_utf8", "The body is not valid UTF-8.")
	}
	if bytes.HasPrefix(body, []byte("\xef\xbb\xbf")) {
		return shape("json.byte_order_mark", "Send the body without a byte order mark.")
	}
	if halfSurrogate(body) {
		return shape("json.half_surrogate", `The body holds half a character (\ud800 to \udfff alone); send whole ones.`)
	}
	d := json.NewDecoder(bytes.NewReader(body))
	d.UseNumber()
	if err := walk(d, 0); err != nil {
		return err
	}
	_, err := d.Token()
	if !errors.Is(err, io.EOF) {
		return shape("json.data_after_value", "The body has something after its JSON value; send one value.")
	}
	return nil
}

// halfSurrogate reports whether an escape \uD800 to \uDFFF stands without its
// other half: readers replace it, keep it or refuse it, each as it likes.
func halfSurrogate(body []byte) bool {
	for i := 0; i+1 < len(body); i++ {
		if body[i] != '\\' {
			continue
		}
		first := escaped(body[i:])
		i++ // whatever is escaped starts no escape itself
		if !utf16.IsSurrogate(first) {
			continue
		}
		if i+5 >= len(body) || utf16.DecodeRune(first, escaped(body[i+5:])) == utf8.RuneError {
			return true
		}
		i += 10
	}
	return false
}

// escaped reads an escape of four hex digits, or gives 0.
func escaped(b []byte) rune {
	if len(b) < 6 || b[0] != '\\' || b[1] != 'u' {
		return 0
	}
	n, err := strconv.ParseUint(string(b[2:6]), 16, 16)
	if err != nil {
		return 0
	}
	return rune(n)
}

func shape(code, message string) error { return fault.New(fault.Shape, code, message) }

// Broken says that a body is no JSON, and where it is known, why.
func Broken(err error) error {
	return fault.New(fault.Shape, "json.body_not_json", "The body is not JSON: "+Plain(err)).Because(err)
}

// walk reads one value.
func walk(d *json.Decoder, depth int) error {
	token, err := d.Token()
	if err != nil {
		return Broken(err)
	}
	switch v := token.(type) {
	case json.Delim:
		if depth >= MaxDepth {
			return shape("json.too_deep", "The body is nested more than 32 levels deep.")
		}
		if v == '{' {
			return walkObject(d, depth)
		}
		return walkList(d, depth)
	case string:
		return checkText(v)
	case json.Number:
		return checkNumber(string(v))
	}
	return nil
}

func walkObject(d *json.Decoder, depth int) error {
	seen := map[string]bool{}
	for d.More() {
		token, err := d.Token()
		if err != nil {
			return Broken(err)
		}
		key, _ := token.(string)
		folded := strings.Map(foldRune, key)
		if seen[folded] {
			return fault.New(fault.Shape, "json.key_twice", fmt.Sprintf("The key %.60q stands twice; send it once.", key))
		}
		if key != strings.ToLower(key) {
			return fault.New(fault.Shape, "json.key_unknown", fmt.Sprintf("There is no key %.60q; keys are in lower case.", key))
		}
		if err := checkText(key); err != nil {
			return err
		}
		seen[folded] = true
		if len(seen) > MaxItems {
			return shape("json.too_many_keys", "An object has more than 500 keys.")
		}
		if err := walk(d, depth+1); err != nil {
			return err
		}
	}
	return closeDelim(d)
}

// foldRune gives one rune for all that differ by case alone, as lenient
// readers compare keys: k for the Kelvin sign, s for the long s.
func foldRune(r rune) rune {
	least := r
	for next := unicode.SimpleFold(r); next != r; next = unicode.SimpleFold(next) {
		least = min(least, next)
	}
	return least
}

func walkList(d *json.Decoder, depth int) error {
	for n := 0; d.More(); n++ {
		if n >= MaxItems {
			return shape("json.list_too_long", "A list has more than 500 items; send less at once.")
		}
		if err := walk(d, depth+1); err != nil {
			return err
		}
	}
	return closeDelim(d)
}

func closeDelim(d *json.Decoder) error {
	if _, err := d.Token(); err != nil {
		return Broken(err)
	}
	return nil
}

func checkText(text string) error {
	if strings.ContainsRune(text, 0) {
		return shape("json.nul", "A text holds the character NUL; leave it out.")
	}
	if len(text) > MaxString && utf8.RuneCountInString(text) > MaxString {
		return shape("json.text_too_long", "A text is longer than 10,000 characters.")
	}
	return nil
}

// checkNumber allows whole numbers written plainly: every fraction in this
// API is decimal text.
func checkNumber(text string) error {
	if strings.ContainsAny(text, ".eE") || len(text) > 19 {
		return fault.New(fault.Shape, "json.number_not_whole", fmt.Sprintf("The number %.40s is not a whole number written plainly; amounts and measurements are texts.", text))
	}
	return nil
}

// Plain says in words what a JSON error means, without Go's own.
func Plain(err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return "the syntax is wrong."
	case errors.As(err, &kind) && kind.Field != "":
		return "the value of " + kind.Field + " is of the wrong type: " + kind.Value + "."
	case errors.As(err, &kind):
		return "a value is of the wrong type: " + kind.Value + "."
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return "it ends early."
	case strings.Contains(err.Error(), "unknown field"):
		_, name, _ := strings.Cut(err.Error(), "unknown field ")
		return "it holds an unknown field, " + name + "."
	}
	return "it cannot be read."
}

// Decode reads a checked body into a T. A key that T does not have is an error,
// and so is a value of another type. Faults: json.* of kind Shape.
func Decode[T any](body []byte) (T, error) {
	var v T
	if err := Check(body); err != nil {
		return v, err
	}
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		return v, fault.New(fault.Shape, "json.body_unreadable", "The body does not fit: "+Plain(err)).Because(err)
	}
	return v, nil
}
