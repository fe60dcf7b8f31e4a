package auth_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
)

// code gives the code of a fault, "" for nil.
func code(err error) string {
	var f *fault.Error
	if !errors.As(err, &f) {
		return ""
	}
	return f.Code
}

// common is a short stand-in for the list of the secret package.
func common(word string) bool {
	return slices.Contains([]string{"password", "iloveyou", "sunshine", "trustno1", "dragon", "q1w2e3r4t5y6u7i8", "passwordstandard", "football"}, word)
}

func rules() auth.PasswordRules {
	return auth.PasswordRules{Context: []string{"Larch Lane Cycles", "larch-lane", "wren", "Benchtag", ""}, Common: common}
}

func TestCheckPassword(t *testing.T) {
	t.Parallel()
	const short, long, unreadable, listed, pattern, context = "auth.password_short", "auth.password_long", "auth.password_unreadable",
		"auth.password_common", "auth.password_pattern", "auth.password_context"
	tests := []struct {
		name, in string
		mfa      bool
		want     string
	}{
		{"empty", "", false, short},
		{"14 characters", "kettle on hob ", false, short},
		{"15 characters", "kettle on a hob", false, ""},
		{"15 characters of two bytes", "ščřžýáíéúůďťňóě", false, ""},
		{"14 characters of two bytes", "ščřžýáíéúůďťňó", false, short},
		{"7 with another factor", "k3ttle-", true, short},
		{"8 with another factor", "k3ttle-j", true, ""},
		{"8 without", "k3ttle-j", false, short},
		{"64 bytes", strings.Repeat("moss anvil kite ", 3) + "lamp gravel oboe", false, ""},
		{"1024 bytes", "quarry " + strings.Repeat("e", 1017), false, ""},
		{"1025 bytes", "quarry " + strings.Repeat("e", 1018), false, long},
		{"NUL", "kettle on a hob\x00", false, unreadable},
		{"not UTF-8", "kettle on a hob\xff", false, unreadable},
		{"spaces are characters", "a b c d q z k w", false, ""},
		{"only small letters", "gravelobojeplum", false, ""},
		{"emoji", "🪴🧰🪚🔩🧲🪛🧽🪣🧯🪜🧵🪡🧶🪢🧷", false, ""},
		{"listed as it stands", "passwordstandard", false, listed},
		{"listed in capitals", "PASSWORDSTANDARD", false, listed},
		{"listed, keyboard zigzag", "q1w2e3r4t5y6u7i8", false, listed},
		{"listed with digits behind", "iloveyou1234567", false, listed},
		{"listed with look-alikes", "P@ssw0rd-123456", false, listed},
		{"listed with a 1 for i", "1loveyou!!!!!!!", false, listed},
		{"listed with a 1 for l", "footba11-footba", false, ""},
		{"listed between signs", "***sunshine***!", false, listed},
		{"a listed word inside a phrase", "the dragon ate 4 quinces", false, ""},
		{"listed, 8 with another factor", "trustno1", true, listed},
		{"listed, spaced out", "p a s s w o r d", false, listed},
		{"one character", "aaaaaaaaaaaaaaa", false, pattern},
		{"signs only, repeated", "!!!!!!!!!!!!!!!!", false, pattern},
		{"digits up", "123456789012345", false, pattern},
		{"digits down", "987654321098765", false, pattern},
		{"alphabet with capitals", "ABCdefghijklmno", false, pattern},
		{"letters then digits in runs", "abcdefgh1234567", false, pattern},
		{"keyboard rows", "qwertyuiopasdfgh", false, pattern},
		{"a piece twice", "kiln-marrow-kiln-marrow-", false, pattern},
		{"a run spaced out", "1-2-3-4-5-6-7-8-9", false, pattern},
		{"shop's name", "larchlanecycles", false, context},
		{"shop's name in disguise", "L4rch_L@ne_Cyc1es!", false, context},
		{"slug inside", "my larch-lane pass", false, context},
		{"login inside", "two wrens in a tree", false, context},
		{"product inside", "open b3nchtag please", false, context},
		{"parts of the name and a year", "cycles-larch-2026", false, context},
		{"a part of the name in a phrase", "larch logs burn slowly", false, ""},
	}
	if len(tests) < 40 {
		t.Fatalf("%d passwords, want at least 40", len(tests))
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			r := rules()
			r.MFA = tt.mfa
			if diff := cmp.Diff(tt.want, code(auth.CheckPassword(tt.in, r))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestCheckPasswordKinds(t *testing.T) {
	t.Parallel()
	r := rules()
	r.Pointer = "/new_password"
	err := auth.CheckPassword("short", r)
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != fault.Meaning || f.Fields[0].Pointer != "/new_password" {
		t.Errorf("got %#v, want a Meaning fault at /new_password", err)
	}
	if err := auth.CheckPassword(strings.Repeat("x", 1025), r); !fault.Is(err, fault.Shape) {
		t.Errorf("too long: %v, want a Shape fault", err)
	}
	r.Common = nil
	if err := auth.CheckPassword("kettle on a hob", r); !fault.Is(err, fault.Internal) {
		t.Errorf("without a list: %v, want it to fail closed", err)
	}
}

// The list is consulted with lower-case words only, and never empty-handed.
func TestCheckPasswordLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pw := rapid.StringN(0, 60, 300).Draw(t, "pw")
		r := rules()
		r.Common = func(word string) bool {
			if word != strings.ToLower(word) {
				t.Fatalf("asked for %q", word)
			}
			return common(word)
		}
		single := auth.CheckPassword(pw, r)
		r.MFA = true
		if err := auth.CheckPassword(pw, r); single == nil && err != nil {
			t.Fatalf("%q passes alone but not with another factor: %v", pw, err)
		}
		r.Common = func(string) bool { return true }
		if auth.CheckPassword(pw, r) == nil {
			t.Fatalf("%q passes though all words are listed", pw)
		}
	})
}

func FuzzCheckPassword(f *testing.F) {
	for _, seed := range []string{"", "kettle on a hob", "\xff", "aaaaaaaaaaaaaaaa", "İİİİİİİİİİİİİİİİ", "larchlanecycles"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, pw string) {
		err := auth.CheckPassword(pw, rules())
		if err == nil && (len(pw) > auth.MaxPassword || len([]rune(pw)) < auth.MinPassword) {
			t.Errorf("%q passes", pw)
		}
		if err != nil && code(err) == "" {
			t.Errorf("%q: %v has no code", pw, err)
		}
	})
}

// naivePINSimple says, from the definition, which PINs are refused: all rotations
// of a shorter piece, and runs by one step modulo ten.
func naivePINSimple(pin string) bool {
	for n := 1; 2*n <= len(pin); n++ {
		if strings.HasPrefix(strings.Repeat(pin[:n], len(pin)), pin) {
			return true
		}
	}
	up, down := true, true
	for i := 1; i < len(pin); i++ {
		step := (int(pin[i]) - int(pin[i-1]) + 10) % 10
		up, down = up && step == 1, down && step == 9
	}
	return up || down
}

func TestCheckPIN(t *testing.T) {
	t.Parallel()
	tests := []struct{ in, want string }{
		{"", "auth.pin_malformed"}, {"123", "auth.pin_malformed"}, {"123456789", "auth.pin_malformed"},
		{"12a4", "auth.pin_malformed"}, {"１２３４", "auth.pin_malformed"}, {" 1357", "auth.pin_malformed"}, {"-135", "auth.pin_malformed"},
		{"0000", "auth.pin_simple"}, {"1212", "auth.pin_simple"}, {"123123", "auth.pin_simple"}, {"1234", "auth.pin_simple"},
		{"7890", "auth.pin_simple"}, {"0987", "auth.pin_simple"}, {"98765432", "auth.pin_simple"},
		{"1357", ""}, {"8263", ""}, {"1984", ""}, {"40718263", ""},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, code(auth.CheckPIN(tt.in))); diff != "" {
			t.Errorf("%q: %s", tt.in, diff)
		}
	}
}

func TestCheckPINAllOfFour(t *testing.T) {
	t.Parallel()
	refused := 0
	for n := range 10000 {
		pin := string([]byte{'0' + byte(n/1000), '0' + byte(n/100%10), '0' + byte(n/10%10), '0' + byte(n%10)})
		simple := naivePINSimple(pin)
		if got := auth.CheckPIN(pin) != nil; got != simple {
			t.Errorf("%s: refused %v, want %v", pin, got, simple)
		}
		if simple {
			refused++
		}
	}
	if refused != 120 { // 100 of two digits twice (0000 among them), 10 up, 10 down
		t.Errorf("%d refused, want 120", refused)
	}
}
