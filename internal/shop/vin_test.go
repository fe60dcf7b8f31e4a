package shop_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func wantCode(t *testing.T, err error, code string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Code != code || f.Message == "" {
		t.Errorf("got %v, want %s", err, code)
	}
}

func TestParseVIN(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, in, want, wantErr string }{
		{"as stamped", "1M8GDM9AXKP042788", "1M8GDM9AXKP042788", ""},
		{"lower case and blanks", " 1m8gdm9a xkp 042788\n", "1M8GDM9AXKP042788", ""},
		{"letter I", "1M8GDM9AIKP042788", "", "shop.vin_letter"},
		{"letter o", "1m8gdm9axkpo42788", "", "shop.vin_letter"},
		{"letter Q", "QM8GDM9AXKP042788", "", "shop.vin_letter"},
		{"hyphen", "1M8GDM9AX-KP04278", "", "shop.vin_character"},
		{"not Latin", "1M8GDM9AXKP04278Ж", "", "shop.vin_character"},
		{"short", "1M8GDM9AXKP04278", "", "shop.vin_length"},
		{"long", "1M8GDM9AXKP0427888", "", "shop.vin_length"},
		{"empty", "", "", "shop.vin_length"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := shop.ParseVIN(tt.in)
			if tt.wantErr != "" {
				wantCode(t, err, tt.wantErr)
				return
			}
			if err != nil || string(got) != tt.want {
				t.Errorf("got %q, %v", got, err)
			}
		})
	}
}

// TestCheckVINOnPublishedNumbers: 1G4AH59H45G118341 is the sample of 49 CFR
// 565.15; the other two are widely published for trying check digits.
func TestCheckVINOnPublishedNumbers(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, vin, market string
		want              shop.VINCheck
	}{
		{"sample of the rule", "1G4AH59H45G118341", shop.NorthAmerica, shop.VINCheck{Verdict: shop.VINVerdictOk, Want: "4", Binding: true}},
		{"ten is X", "1M8GDM9AXKP042788", shop.NorthAmerica, shop.VINCheck{Verdict: shop.VINVerdictOk, Want: "X", Binding: true}},
		{"all ones", "11111111111111111", shop.NorthAmerica, shop.VINCheck{Verdict: shop.VINVerdictOk, Want: "1", Binding: true}},
		{"fits elsewhere too", "11111111111111111", "europe", shop.VINCheck{Verdict: shop.VINVerdictOk, Want: "1"}},
		{"wrong, bound", "1M8GDM9A1KP042788", shop.NorthAmerica, shop.VINCheck{Verdict: shop.VINVerdictMismatch, Want: "X", Binding: true}},
		{"wrong, elsewhere", "1M8GDM9A1KP042788", "europe", shop.VINCheck{Verdict: shop.VINVerdictMismatch, Want: "X"}},
		{"none, elsewhere", "1M8GDM9AZKP042788", "", shop.VINCheck{Verdict: shop.VINVerdictNotApplicable, Want: "X"}},
		{"none, bound", "1M8GDM9AZKP042788", shop.NorthAmerica, shop.VINCheck{Verdict: shop.VINVerdictMismatch, Want: "X", Binding: true}},
		{"not 17 long", "1M8", "europe", shop.VINCheck{Verdict: shop.VINVerdictMismatch}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if diff := cmp.Diff(tt.want, shop.CheckVIN(shop.VIN(tt.vin), tt.market)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestCheckDigitMatchesTable compares with the transliteration and weights
// written out as 49 CFR 565.15 prints them.
func TestCheckDigitMatchesTable(t *testing.T) {
	t.Parallel()
	values := map[rune]int{'A': 1, 'B': 2, 'C': 3, 'D': 4, 'E': 5, 'F': 6, 'G': 7, 'H': 8, 'J': 1, 'K': 2, 'L': 3, 'M': 4,
		'N': 5, 'P': 7, 'R': 9, 'S': 2, 'T': 3, 'U': 4, 'V': 5, 'W': 6, 'X': 7, 'Y': 8, 'Z': 9}
	weights := []int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[0-9A-HJ-NPR-Z]{17}`).Draw(t, "vin")
		vin, err := shop.ParseVIN(strings.ToLower(text))
		if err != nil {
			t.Fatal(err)
		}
		sum := 0
		for i, c := range text {
			value, letter := values[c]
			if !letter {
				value = int(c - '0')
			}
			sum += value * weights[i]
		}
		want := []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "X"}[sum%11]
		if got := shop.CheckVIN(vin, shop.NorthAmerica); got.Want != want {
			t.Fatalf("%s: got %s, want %s", vin, got.Want, want)
		}
	})
}

func TestParseFrameNumber(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, in, want, wantErr string }{
		{"hyphen", "ab12-3456789", "AB12-3456789", ""},
		{"blanks", "  ab  12\t345 ", "AB 12 345", ""},
		{"slash", "a/12", "A/12", ""},
		{"short", "a1", "", "shop.frame_number_length"},
		{"long", strings.Repeat("1", 21), "", "shop.frame_number_length"},
		{"signs alone", "- / -", "", "shop.frame_number_length"},
		{"underscore", "ab_12", "", "shop.frame_number_character"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := shop.ParseFrameNumber(tt.in)
			if tt.wantErr != "" {
				wantCode(t, err, tt.wantErr)
				return
			}
			if err != nil || string(got) != tt.want {
				t.Errorf("got %q, %v", got, err)
			}
		})
	}
}

func FuzzParseVIN(f *testing.F) {
	f.Add("1m8gdm9a xkp042788")
	f.Add("1M8GDM9AIKP042788")
	f.Fuzz(func(t *testing.T, text string) {
		vin, err := shop.ParseVIN(text)
		if err != nil {
			return
		}
		again, err := shop.ParseVIN(string(vin))
		if err != nil || again != vin || len(vin) != 17 {
			t.Fatalf("%q reads as %q, then as %q, %v", text, vin, again, err)
		}
	})
}
