package phone_test

import (
	"regexp"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/phone"
)

var _ app.Phones = phone.Book{}

func TestE164(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, text, region, want string }{
		// Numbers set aside for fiction: +1 xxx 555-01xx (NANP), +44 20 7946 0xxx (Ofcom).
		{"spaced", "+44 20 7946 0018", "", "+442079460018"},
		{"dressed up", " +1 (212) 555-0123 ", "", "+12125550123"},
		{"an extension", "+1 212 555 0123 ext. 7", "", "+12125550123"},
		{"national without a region", "020 7946 0018", "", ""},
		{"national with a region", "020 7946 0018", "GB", "+442079460018"},
		{"too short", "+1 23", "", ""},
		{"too short for a region", "123", "US", ""},
		{"no country", "+999 123 456 789", "", ""},
		{"words", "ask at the bakery", "", ""},
		{"a plus alone", "+", "", ""},
		{"nothing", "", "", ""},
		{"a region that is none", "020 7946 0018", "zz", ""},
		{"far too long", "+44 20 7946 0018" + strings.Repeat(" ", 60) + "1", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if got := (phone.Book{}).E164(tt.text, tt.region); got != tt.want {
				t.Errorf("E164(%q, %q) = %q, want %q", tt.text, tt.region, got, tt.want)
			}
		})
	}
}

func FuzzE164(f *testing.F) {
	f.Add("+44 20 7946 0018", "")
	f.Add("0212 555 0123", "US")
	f.Add("\x00+\xff", "GB")
	form := regexp.MustCompile(`^(\+[1-9][0-9]{1,14})?$`)
	f.Fuzz(func(t *testing.T, text, region string) {
		got := (phone.Book{}).E164(text, region)
		if !form.MatchString(got) {
			t.Fatalf("E164(%q, %q) = %q, which is no E.164 number", text, region, got)
		}
		if got != "" && (phone.Book{}).E164(got, "") != got {
			t.Fatalf("%q does not give itself", got)
		}
	})
}
