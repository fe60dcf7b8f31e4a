package token_test

import (
	"crypto/hmac"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"encoding/json"
	"hash"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/auth/token"
)

// forge holds what an attacker has in the worst case: the signing key. So
// every refusal below is the gate's or the claims', never the signature's,
// unless the case says so.
type forge struct {
	signer *token.Signer
	kid    string
	key    []byte
	header string // JSON of a good header
	claims string // JSON of good claims
}

func newForge(t testing.TB) forge {
	t.Helper()
	dir := t.TempDir()
	ring, err := token.LoadOrCreateKeyring(dir, noon())
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "access.keys.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Keys []struct {
			ID     string
			State  token.State
			Secret []byte
		}
	}
	if err := json.Unmarshal(data, &file); err != nil || file.Keys[0].State != token.StateCurrent {
		t.Fatalf("key file: %v, %+v", err, file)
	}
	f := forge{signer: newSigner(t, ring), kid: file.Keys[0].ID, key: file.Keys[0].Secret}
	text, _, err := f.signer.Issue(staff(), noon())
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(text), ".")
	f.header, f.claims = decode(t, parts[0]), decode(t, parts[1])
	return f
}

func decode(t testing.TB, part string) string {
	t.Helper()
	data, err := base64.RawURLEncoding.DecodeString(part)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func encode(text string) string { return base64.RawURLEncoding.EncodeToString([]byte(text)) }

// sign writes a token by hand, straight from RFC 7515 section 3.1.
func (f forge) sign(header, claims string) string {
	return signWith(sha256.New, f.key, encode(header)+"."+encode(claims))
}

func signWith(h func() hash.Hash, key []byte, input string) string {
	mac := hmac.New(h, key)
	mac.Write([]byte(input))
	return input + "." + base64.RawURLEncoding.EncodeToString(mac.Sum(nil))
}

func swap(t testing.TB, text, old, repl string) string {
	t.Helper()
	if !strings.Contains(text, old) {
		t.Fatalf("%q is not in %s", old, text)
	}
	return strings.Replace(text, old, repl, 1)
}

func TestForgeIsGood(t *testing.T) {
	t.Parallel()
	f := newForge(t)
	if _, err := f.signer.Verify(f.sign(f.header, f.claims), noon()); err != nil {
		t.Fatalf("the forge's good token: %v, so the refusals prove nothing", err)
	}
}

func TestCraftedTokens(t *testing.T) {
	t.Parallel()
	f := newForge(t)
	good := f.sign(f.header, f.claims)
	body, sig := good[:strings.LastIndex(good, ".")], good[strings.LastIndex(good, ".")+1:]
	head := func(old, repl string) string { return f.sign(swap(t, f.header, old, repl), f.claims) }
	claim := func(old, repl string) string { return f.sign(f.header, swap(t, f.claims, old, repl)) }
	tests := map[string]string{
		"empty":                       "",
		"two parts":                   body,
		"four parts":                  good + "." + sig,
		"empty signature":             body + ".",
		"no signature, alg none":      encode(swap(t, f.header, "HS256", "none")) + "." + encode(f.claims) + ".",
		"alg none, signed":            head("HS256", "none"),
		"alg nOnE":                    head("HS256", "nOnE"),
		"alg hs256":                   head("HS256", "hs256"),
		"alg HS512, rightly signed":   signWith(sha512.New, f.key, encode(swap(t, f.header, "HS256", "HS512"))+"."+encode(f.claims)),
		"alg RS256":                   head("HS256", "RS256"),
		"alg a number":                head(`"HS256"`, "256"),
		"typ JWT":                     head("at+jwt", "JWT"),
		"typ of a refresh token":      head("at+jwt", "rt+jwt"),
		"typ in capitals":             head("at+jwt", "AT+JWT"),
		"typ missing":                 head(`,"typ":"at+jwt"`, ""),
		"kid missing":                 f.sign(`{"alg":"HS256","typ":"at+jwt"}`, f.claims),
		"kid unknown":                 head(f.kid, "AAAAAAAAAAAA"),
		"kid with SQL":                head(f.kid, "' OR 1=1 --"),
		"kid a path":                  head(f.kid, "../../dev/null"),
		"kid null":                    head(`"`+f.kid+`"`, "null"),
		"crit":                        head("{", `{"crit":["x"],`),
		"jku":                         head("{", `{"jku":"https://evil.example/keys",`),
		"jwk":                         head("{", `{"jwk":{"kty":"oct"},`),
		"x5u":                         head("{", `{"x5u":"https://evil.example/x",`),
		"x5c":                         head("{", `{"x5c":["x"],`),
		"zip":                         head("{", `{"zip":"DEF",`),
		"enc":                         head("{", `{"enc":"A128GCM",`),
		"unknown header":              head("{", `{"foo":"bar",`),
		"alg twice":                   head("{", `{"alg":"none",`),
		"Alg beside alg":              head("{", `{"Alg":"none",`),
		"Alg instead of alg":          head(`"alg"`, `"Alg"`),
		"header an array":             f.sign(`["HS256"]`, f.claims),
		"header not JSON":             f.sign("{", f.claims),
		"something after header":      f.sign(f.header+"{}", f.claims),
		"JSON serialisation":          `{"payload":"` + encode(f.claims) + `","protected":"` + encode(f.header) + `","signature":"` + sig + `"}`,
		"line end behind":             good + "\n",
		"CR LF behind":                good + "\r\n",
		"line end in the signature":   body + "." + sig[:10] + "\n" + sig[10:],
		"CR LF in the signature":      body + "." + sig[:10] + "\r\n" + sig[10:],
		"blank in front":              " " + good,
		"Bearer in front":             "Bearer " + good,
		"padding":                     good + "=",
		"standard alphabet":           strings.NewReplacer("-", "+", "_", "/").Replace(f.sign(f.header, f.claims)) + "+/",
		"trailing bits":               body + "." + sig[:len(sig)-1] + nextLetter(sig[len(sig)-1]),
		"signature cut":               body + "." + sig[:len(sig)-4],
		"signature of another":        body + "." + strings.Repeat("A", len(sig)),
		"claims of another":           encode(f.header) + "." + encode(swap(t, f.claims, `"sv":7`, `"sv":8`)) + "." + sig,
		"header of 8 MiB":             f.sign(swap(t, f.header, f.kid, strings.Repeat("A", 8<<20)), f.claims),
		"a million dots":              strings.Repeat(".", 1_000_000),
		"4,097 bytes":                 good + strings.Repeat("A", 4097-len(good)),
		"sub twice":                   claim("{", `{"sub":"0199a000-0000-7000-8000-000000000009",`),
		"sub twice, one escaped":      claim("{", `{"\u0073ub":"0199a000-0000-7000-8000-000000000009",`),
		"Sub beside sub":              claim("{", `{"Sub":"0199a000-0000-7000-8000-000000000009",`),
		"a role":                      claim("{", `{"role":"owner",`),
		"nbf":                         claim("{", `{"nbf":0,`),
		"claims an array":             f.sign(f.header, "[]"),
		"claims null":                 f.sign(f.header, "null"),
		"claims empty":                f.sign(f.header, "{}"),
		"claims not UTF-8":            f.sign(f.header, swap(t, f.claims, "https", "\xff")),
		"something after claims":      f.sign(f.header, f.claims+" 1"),
		"good but too long":           claim("{", "{"+strings.Repeat(" ", 4000)),
		"jti not UTF-8":               claim(`"jti":"`, `"jti":"`+"\xff"),
		"claims nested deep":          f.sign(f.header, `{"amr":`+strings.Repeat("[", 1500)),
		"exp missing":                 claim(`"exp":`+number(f.claims, "exp"), `"sv2":1`),
		"exp in the year 9999":        claim(number(f.claims, "exp"), "253402300799"),
		"exp an hour on":              claim(`"exp":`+number(f.claims, "exp"), `"exp":1772456400`),
		"exp before iat":              claim(`"exp":`+number(f.claims, "exp"), `"exp":1772452790`),
		"exp a float":                 claim(`"exp":`+number(f.claims, "exp"), `"exp":1772453400.5`),
		"exp with an exponent":        claim(`"exp":`+number(f.claims, "exp"), `"exp":1e300`),
		"exp text":                    claim(`"exp":`+number(f.claims, "exp"), `"exp":"1772453400"`),
		"exp negative":                claim(`"exp":`+number(f.claims, "exp"), `"exp":-1`),
		"iat in the future":           f.sign(f.header, swap(t, swap(t, f.claims, `"iat":1772452800`, `"iat":1772453000`), `"exp":1772453400`, `"exp":1772453600`)),
		"auth_time 0":                 claim(`"auth_time":`+number(f.claims, "auth_time"), `"auth_time":0`),
		"aud a list":                  claim(`"aud":"benchtag-api"`, `"aud":["benchtag-api"]`),
		"aud another":                 claim("benchtag-api", "other"),
		"iss another":                 claim("https://shop.example", "https://evil.example"),
		"iss with a slash":            claim("https://shop.example", "https://shop.example/"),
		"shop empty":                  claim(string(shopID), ""),
		"shop in capitals":            claim(string(shopID), strings.ToUpper(string(shopID))),
		"sub null":                    claim(`"`+string(staffID)+`"`, "null"),
		"neither session nor sign-on": claim(`"sid":"`+string(session)+`",`, ""),
		"session and sign-on":         claim("{", `{"tablet":"`+string(tabletID)+`","sign_on":"`+string(signOnID)+`",`),
		"sign-on without a tablet":    claim(`"sid":"`+string(session)+`",`, `"sign_on":"`+string(signOnID)+`",`),
		"amr text":                    claim(`["pwd"]`, `"pwd"`),
		"amr null":                    claim(`["pwd"]`, `null`),
		"amr unknown":                 claim(`["pwd"]`, `["owner"]`),
		"amr of objects":              claim(`["pwd"]`, `[{"a":1,"a":2}]`),
		"sv too large":                claim(`"sv":7`, `"sv":9223372036854775808`),
	}
	if len(tests) < 30 {
		t.Fatalf("%d crafted tokens, want at least 30", len(tests))
	}
	for name, text := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, err := f.signer.Verify(text, noon())
			if !isRefusal(err) {
				t.Fatalf("got %v, want a refusal", err)
			}
			if diff := cmp.Diff(token.Access{}, got); diff != "" {
				t.Errorf("a refused token is given back: %s", diff)
			}
			checkNoLeak(t, text, err.Error())
		})
	}
}

// checkNoLeak fails if 12 characters in a row of the token are in the error.
func checkNoLeak(t *testing.T, text, message string) {
	t.Helper()
	for i := 0; i+12 <= len(message); i++ {
		if len(text) < 5000 && strings.Contains(text, message[i:i+12]) {
			t.Errorf("the error quotes the token: %s", message)
		}
	}
}

// number gives the digits of a numeric claim.
func number(claims, name string) string {
	_, rest, _ := strings.Cut(claims, `"`+name+`":`)
	return rest[:strings.IndexAny(rest, ",}")]
}

// nextLetter gives a letter that differs in the last bit only, which a lax
// decoder throws away at the end of 32 bytes.
func nextLetter(c byte) string {
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
	return string(letters[strings.IndexByte(letters, c)^1])
}

func FuzzVerify(f *testing.F) {
	forge := newForge(f)
	f.Add(forge.header, forge.claims, false)
	f.Add(`{"alg":"none"}`, forge.claims, false)
	f.Add("["+forge.header+"]", "{}", false)
	f.Add("a.b.c", "", true)
	f.Fuzz(func(t *testing.T, header, claims string, raw bool) {
		text := forge.sign(header, claims)
		if raw {
			text = header
		}
		got, err := forge.signer.Verify(text, noon())
		if err != nil {
			if !isRefusal(err) || !cmp.Equal(got, token.Access{}) {
				t.Errorf("%v, %+v", err, got)
			}
			return
		}
		if got.Expires.Sub(got.IssuedAt) > 600e9 || got.Principal(nil).Check() != nil {
			t.Errorf("passes: %s %s", header, claims)
		}
	})
}
