package wire_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"benchtag/internal/fault"
	"benchtag/internal/wire"
)

func nested(levels int, inside string) string {
	return strings.Repeat("[", levels) + inside + strings.Repeat("]", levels)
}

func items(n int) string { return "[" + strings.TrimSuffix(strings.Repeat("1,", n), ",") + "]" }

// bodies are what a strict reader takes (code "") and refuses.
var bodies = []struct{ name, body, code string }{
	{"an object", `{"a":"b","c":[1,-2,0,true,false,null,{}],"d":{}}`, ""},
	{"space around", " \n{ } \t", ""},
	{"the deepest", nested(wire.MaxDepth, ""), ""},
	{"the deepest with something inside", nested(wire.MaxDepth, "1"), ""},
	{"too deep", nested(wire.MaxDepth+1, ""), "json.too_deep"},
	{"far too deep", strings.Repeat("[", 100_000), "json.too_deep"},
	{"objects too deep", strings.Repeat(`{"a":`, wire.MaxDepth+1) + "1" + strings.Repeat("}", wire.MaxDepth+1), "json.too_deep"},
	{"the longest list", items(wire.MaxItems), ""},
	{"a list too long", items(wire.MaxItems + 1), "json.list_too_long"},
	{"the longest text", `"` + strings.Repeat("é", wire.MaxString) + `"`, ""},
	{"a text too long", `"` + strings.Repeat("é", wire.MaxString+1) + `"`, "json.text_too_long"},
	{"too many keys", "{" + manyKeys(wire.MaxItems+1) + "}", "json.too_many_keys"},
	{"a key twice", `{"a":1,"a":2}`, "json.key_twice"},
	{"a key twice, escaped", `{"a":1,"\u0061":2}`, "json.key_twice"},
	{"a key twice further in", `[{"b":{"a":1,"a":1}}]`, "json.key_twice"},
	{"a key in another case", `{"Shop":"x"}`, "json.key_unknown"},
	{"a key twice, in another case", `{"shop":1,"SHOP":2}`, "json.key_twice"},
	{"a key twice, with the Kelvin sign", "{\"keep\":1,\"\u212Aeep\":2}", "json.key_twice"},
	{"a key twice, with the long s", `{"shop":1,"ſhop":2}`, "json.key_twice"},
	{"two values", `{} {}`, "json.data_after_value"},
	{"something after", `{}x`, "json.data_after_value"},
	{"a bracket after", `{}]`, "json.data_after_value"},
	{"nothing", ``, "json.body_not_json"},
	{"only space", ` `, "json.body_not_json"},
	{"cut short", `{"a":`, "json.body_not_json"},
	{"a comma too many", `{"a":1,}`, "json.body_not_json"},
	{"single quotes", `{'a':1}`, "json.body_not_json"},
	{"a comment", `{/**/}`, "json.body_not_json"},
	{"not a number", `[NaN]`, "json.body_not_json"},
	{"infinity", `[Infinity]`, "json.body_not_json"},
	{"a byte order mark", "\xef\xbb\xbf{}", "json.byte_order_mark"},
	{"bytes that are no text", "{\"a\":\"\xff\"}", "json.not_utf8"},
	{"an overlong slash", "{\"a\":\"\xc0\xaf\"}", "json.not_utf8"},
	{"a surrogate in bytes", "{\"a\":\"\xed\xa0\x80\"}", "json.not_utf8"},
	{"half a pair", `{"a":"\ud83d"}`, "json.half_surrogate"},
	{"half a pair, then text", `{"a":"\ud83dxxxxxx"}`, "json.half_surrogate"},
	{"the wrong half first", `{"a":"\ude00\ud83d"}`, "json.half_surrogate"},
	{"a pair", `{"a":"\ud83d\ude00"}`, ""},
	{"an escaped backslash before u", `{"a":"\\ud83d"}`, ""},
	{"NUL escaped", `{"a":"x\u0000"}`, "json.nul"},
	{"NUL in a key", `{"a\u0000":1}`, "json.nul"},
	{"NUL itself", "{\"a\":\"\x00\"}", "json.body_not_json"},
	{"a fraction", `{"a":1.5}`, "json.number_not_whole"},
	{"a whole fraction", `{"a":1.0}`, "json.number_not_whole"},
	{"a power", `{"a":1e3}`, "json.number_not_whole"},
	{"a power in capitals", `{"a":1E3}`, "json.number_not_whole"},
	{"a number too long", `{"a":99999999999999999999}`, "json.number_not_whole"},
	{"a leading nought", `{"a":01}`, "json.body_not_json"},
	{"a plus", `{"a":+1}`, "json.body_not_json"},
	{"UTF-16", "{\x00}\x00", "json.body_not_json"},
}

func manyKeys(n int) string {
	var out []string
	for i := range n {
		out = append(out, fmt.Sprintf(`"k%d":1`, i))
	}
	return strings.Join(out, ",")
}

func TestCheck(t *testing.T) {
	t.Parallel()
	for _, tt := range bodies {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			err := wire.Check([]byte(tt.body))
			var f *fault.Error
			switch {
			case tt.code == "" && err != nil:
				t.Errorf("refused: %v", err)
			case tt.code != "" && (!errors.As(err, &f) || f.Code != tt.code || f.Kind != fault.Shape):
				t.Errorf("got %v, want %s", err, tt.code)
			}
		})
	}
}

// FuzzCheck holds the strict reader against the standard one: what it
// takes, that one takes too.
func FuzzCheck(f *testing.F) {
	for _, b := range bodies {
		if len(b.body) < 1000 {
			f.Add([]byte(b.body))
		}
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		if wire.Check(body) != nil {
			return
		}
		if !json.Valid(body) {
			t.Fatalf("taken, and no JSON: %q", body)
		}
		var first, second any
		if err := json.Unmarshal(body, &first); err != nil {
			t.Fatalf("taken, and unreadable: %v", err)
		}
		again, err := json.Marshal(first)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(again, &second); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(again), `\u0000`) && !strings.Contains(string(again), `\\u0000`) {
			t.Fatalf("taken with NUL: %q", body)
		}
	})
}
