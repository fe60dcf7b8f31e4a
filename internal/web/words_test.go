package web

import (
	"strings"
	"testing"

	"benchtag/internal/shop"
)

func TestWordsAreComplete(t *testing.T) {
	t.Parallel()
	complete(t, shop.DamageModeValues(), damageWords, "")
	complete(t, shop.AnswerValues(), answerWords, ".")
	complete(t, shop.AdvisedValues(), advisedWords, "")
	complete(t, shop.YesNoValues(), safeWords, ".")
	complete(t, shop.RideAnswerValues(), rideWords, ".")
	complete(t, shop.ScopeKindValues(), kindQuestion, "?")
	complete(t, shop.LineKindValues(), lineWords, "")
	complete(t, shop.CertaintyValues(), certaintyWords, "")
}

// complete checks that every value is said, in words of its own, and as a
// sentence where the page needs one.
func complete[T ~string](t *testing.T, values []T, words func(T) string, end string) {
	t.Helper()
	if len(values) == 0 {
		t.Fatal("no values")
	}
	seen := map[string]T{}
	for _, v := range values {
		said := words(v)
		if before, twice := seen[said]; twice {
			t.Errorf("%q and %q are both %q", before, v, said)
		}
		seen[said] = v
		if strings.Contains(said, "_") || said == "" && v != "" || !strings.HasSuffix(said, end) {
			t.Errorf("%q is said as %q", v, said)
		}
	}
}

func TestLetterNames(t *testing.T) {
	t.Parallel()
	for index, want := range map[int]string{0: "A", 25: "Z", 26: "27"} {
		if got := letterName(index); got != want {
			t.Errorf("%d: %q", index, got)
		}
	}
}

func TestInstantsNameTheirZone(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, zone, want string }{
		{"2026-11-25T23:30:00Z", "Europe/Oslo", "Thursday 26 November 2026, 00:30 (UTC+01:00)"},
		{"2026-07-01T12:00:00Z", "America/New_York", "Wednesday 1 July 2026, 08:00 (UTC-04:00)"},
		{"2026-11-25T23:30:00Z", "", "Wednesday 25 November 2026, 23:30 UTC"},
		{"2026-11-25T23:30:00Z", "Local", "Wednesday 25 November 2026, 23:30 UTC"},
		{"2026-11-25T23:30:00Z", "../etc/passwd", "Wednesday 25 November 2026, 23:30 UTC"},
		{"soon", "", "soon"},
	} {
		if got := instant(c.text, c.zone); got != c.want {
			t.Errorf("%s in %q: %q, want %q", c.text, c.zone, got, c.want)
		}
	}
}
