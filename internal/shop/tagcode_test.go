package shop_test

import (
	"strings"
	"testing"

	"benchtag/internal/shop"
)

const tagCharacters = "23456789ABCDEFGHJKMNPQRSTVWXY"

func TestTagCodes(t *testing.T) {
	t.Parallel()
	seen := map[shop.TagCode]bool{}
	for n := uint32(0); n < shop.TagCodes; n += 997 {
		code, err := shop.NewTagCode(n)
		if err != nil {
			t.Fatal(err)
		}
		if seen[code] || len(code) != 5 || code.Number() != n {
			t.Fatalf("%d gives %q, which is %d", n, code, code.Number())
		}
		seen[code] = true
		back, err := shop.ParseTagCode(strings.ToLower(string(code[:2]) + "-" + string(code[2:]) + " "))
		if err != nil || back != code {
			t.Fatalf("%q reads as %q, %v", code, back, err)
		}
	}
	for n, want := range map[uint32]shop.TagCode{0: "22222", 1: "2223X", 29: "2232W", 123456: "73S5E", 707280: "YYYYG"} {
		got, err := shop.NewTagCode(n)
		if err != nil || got != want {
			t.Errorf("%d: got %q, want %q, %v", n, got, want, err)
		}
	}
	_, err := shop.NewTagCode(shop.TagCodes)
	wantCode(t, err, "shop.tag_code_used_up")
}

// TestTagCodeNoticesEveryMisreading tries, on codes spread over the whole
// range, each other character at each place and each swap of two.
func TestTagCodeNoticesEveryMisreading(t *testing.T) {
	t.Parallel()
	substitutions, swaps := 0, 0
	for n := uint32(0); n < shop.TagCodes; n += 1009 {
		code, err := shop.NewTagCode(n)
		if err != nil {
			t.Fatal(err)
		}
		for i := range len(code) {
			for _, c := range []byte(tagCharacters) {
				if c == code[i] {
					continue
				}
				refuse(t, string(code[:i])+string(c)+string(code[i+1:]))
				substitutions++
			}
			for j := i + 1; j < len(code); j++ {
				if code[i] == code[j] {
					continue
				}
				b := []byte(code)
				b[i], b[j] = b[j], b[i]
				refuse(t, string(b))
				swaps++
			}
		}
	}
	if substitutions < 90_000 || swaps < 6_000 {
		t.Errorf("only %d substitutions and %d swaps tried", substitutions, swaps)
	}
}

func refuse(t *testing.T, text string) {
	t.Helper()
	_, err := shop.ParseTagCode(text)
	if err == nil {
		t.Fatalf("%q was accepted", text)
	}
}

// TestTagCodeCheckIsSound carries the sample over to all codes: the check
// is linear, so it is enough that on each place each difference of two
// characters changes the sum, and that on each pair of places swapping
// each pair of characters does. Both are tried in full.
func TestTagCodeCheckIsSound(t *testing.T) {
	t.Parallel()
	const prime = len(tagCharacters)
	for i := 1; i <= 5; i++ {
		for d := 1; d < prime; d++ {
			if i*d%prime == 0 {
				t.Errorf("weight %d misses difference %d", i, d)
			}
			for j := i + 1; j <= 5; j++ {
				if (j-i)*d%prime == 0 {
					t.Errorf("weights %d and %d miss a swap with difference %d", i, j, d)
				}
			}
		}
	}
}

func TestParseTagCodeRefuses(t *testing.T) {
	t.Parallel()
	for in, code := range map[string]string{
		"": "shop.tag_code_length", "2222": "shop.tag_code_length", "222222": "shop.tag_code_length",
		"2222O": "shop.tag_code_character", "2222é": "shop.tag_code_character", "22_222": "shop.tag_code_character",
		"22223": "shop.tag_code_check",
	} {
		_, err := shop.ParseTagCode(in)
		wantCode(t, err, code)
	}
}

func FuzzParseTagCode(f *testing.F) {
	f.Add("22-222")
	f.Add("yyyyg")
	f.Fuzz(func(t *testing.T, text string) {
		code, err := shop.ParseTagCode(text)
		if err != nil {
			return
		}
		again, err := shop.NewTagCode(code.Number())
		if err != nil || again != code {
			t.Fatalf("%q reads as %q, but number %d is %q, %v", text, code, code.Number(), again, err)
		}
	})
}
