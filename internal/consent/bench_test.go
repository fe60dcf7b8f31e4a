package consent_test

import (
	"testing"

	"benchtag/internal/consent"
)

func BenchmarkDecide(b *testing.B) {
	r := find(b, "US-HI")
	for b.Loop() {
		if _, err := consent.Decide(r, plain(9999, 11499)); err != nil {
			b.Fatal(err)
		}
	}
}
