package token

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// This file is the gate before the JWT library, which even with every strict
// option takes an unknown crit header, any typ, line ends inside the
// signature and duplicate claims of which the last wins (found by trying).
// Sources: RFC 7515 section 4.1.11, RFC 8725 sections 3.1 and 3.8 to 3.12,
// RFC 9068 section 2.1.

// maxToken is the greatest length of an access token in bytes.
const maxToken = 4096

// algorithm and mediaType are the only alg and typ taken.
const (
	algorithm = "HS256"
	mediaType = "at+jwt"
)

// The shapes of a compact JWS, of a key id and of a whole number of seconds.
// \z, unlike $ elsewhere, never lets a last line end pass.
var (
	tokenShape  = regexp.MustCompile(`\A[A-Za-z0-9_-]+\.[A-Za-z0-9_-]+\.[A-Za-z0-9_-]+\z`)
	kidShape    = regexp.MustCompile(`\A[A-Za-z0-9_-]{1,64}\z`)
	numberShape = regexp.MustCompile(`\A(0|[1-9][0-9]{0,11})\z`)
)

// header is all that a header may hold.
type header struct {
	Alg string `json:"alg"`
	Typ string `json:"typ"`
	Kid string `json:"kid"`
}

// gate reads a token's key id and reports why the library must not see it.
// Nothing of it is proven yet.
func gate(text string) (kid string, err error) {
	if len(text) > maxToken || !tokenShape.MatchString(text) {
		return "", errors.New("not a compact token, or too long")
	}
	parts := strings.Split(text, ".")
	fields, err := segment(parts[0])
	if err != nil {
		return "", err
	}
	h, err := readHeader(fields)
	if err != nil {
		return "", err
	}
	claims, err := segment(parts[1])
	if err != nil {
		return "", err
	}
	return h.Kid, checkClaims(claims)
}

func readHeader(fields map[string]json.RawMessage) (header, error) {
	if len(fields) != 3 {
		return header{}, errors.New("the header must have alg, typ and kid only")
	}
	var h header
	for name, into := range map[string]*string{"alg": &h.Alg, "typ": &h.Typ, "kid": &h.Kid} {
		raw, ok := fields[name]
		if !ok || !isString(raw) || json.Unmarshal(raw, into) != nil {
			return header{}, errors.New("the header must have alg, typ and kid, as strings")
		}
	}
	if h.Alg != algorithm || h.Typ != mediaType || !kidShape.MatchString(h.Kid) {
		return header{}, errors.New("alg, typ or kid is not one of ours")
	}
	return h, nil
}

// claimForms lists every claim there may be, with the form of its value and
// whether it may be left out. Anything else, a case variant included, is
// refused.
func claimForms() map[string]struct {
	form     func(json.RawMessage) bool
	optional bool
} {
	type f = struct {
		form     func(json.RawMessage) bool
		optional bool
	}
	return map[string]f{
		"iss": {isString, false}, "aud": {isString, false}, "sub": {isString, false}, "shop": {isString, false}, "jti": {isString, false},
		"sid": {isString, true}, "tablet": {isString, true}, "sign_on": {isString, true},
		"iat": {isNumber, false}, "exp": {isNumber, false}, "auth_time": {isNumber, false}, "sv": {isNumber, false},
		"amr": {isStrings, false},
	}
}

func checkClaims(fields map[string]json.RawMessage) error {
	forms := claimForms()
	for name, raw := range fields {
		f, known := forms[name]
		if !known || !f.form(raw) {
			return errors.New("a claim is unknown or of the wrong type")
		}
	}
	for name, f := range forms {
		if _, there := fields[name]; !there && !f.optional {
			return errors.New("the claim " + name + " is missing")
		}
	}
	return nil
}

func isString(raw json.RawMessage) bool { return len(raw) > 0 && raw[0] == '"' }

func isNumber(raw json.RawMessage) bool { return numberShape.Match(raw) }

func isStrings(raw json.RawMessage) bool {
	var all []json.RawMessage
	err := json.Unmarshal(raw, &all)
	return err == nil && len(raw) > 0 && raw[0] == '[' && !slices.ContainsFunc(all, func(one json.RawMessage) bool { return !isString(one) })
}

// segment decodes one JSON object of the token without losing what
// json.Unmarshal would silently settle: duplicate keys and what follows.
func segment(part string) (map[string]json.RawMessage, error) {
	data, err := base64.RawURLEncoding.Strict().DecodeString(part)
	if err != nil {
		return nil, errors.New("not base64url")
	}
	if !utf8.Valid(data) {
		return nil, errors.New("not UTF-8")
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	open, err := dec.Token()
	if err != nil || open != json.Delim('{') {
		return nil, errors.New("not a JSON object")
	}
	fields, err := members(dec)
	if err != nil {
		return nil, err
	}
	_, err = dec.Token()
	if !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows the JSON object")
	}
	return fields, nil
}

func members(dec *json.Decoder) (map[string]json.RawMessage, error) {
	fields := map[string]json.RawMessage{}
	for dec.More() {
		name, err := dec.Token()
		if err != nil {
			return nil, errors.New("not JSON")
		}
		text, _ := name.(string)
		if _, twice := fields[text]; twice {
			return nil, errors.New("a key stands twice")
		}
		var raw json.RawMessage
		if err := dec.Decode(&raw); err != nil {
			return nil, errors.New("not JSON")
		}
		fields[text] = raw
	}
	_, err := dec.Token() // the closing brace
	if err != nil {
		return nil, errors.New("not JSON")
	}
	return fields, nil
}
