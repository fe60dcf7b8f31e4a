package app_test

import (
	"encoding/csv"
	"strings"
	"testing"
	"unicode/utf8"

	"benchtag/internal/app"
)

// FuzzCSVLine reads every row back with the standard library's reader: the
// texts return as they were, but for an apostrophe before what could be a
// formula, and the line breaks that the reader makes one of.
func FuzzCSVLine(f *testing.F) {
	f.Add("plain", "a,b", "\"quoted\"")
	f.Add("=1+1", "", "\r\nx")
	f.Add(" ", "'", "a\nb")
	f.Add("＝1", "\t", "-")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		if !utf8.ValidString(a + b + c) {
			return // no such text gets in
		}
		row := []string{a, b, c}
		got, err := csv.NewReader(strings.NewReader(app.CSVLine(row))).Read()
		if err != nil || len(got) != 3 {
			t.Fatalf("%q reads as %q: %v", row, got, err)
		}
		for i, text := range got {
			if strings.HasPrefix(text, "=") || strings.HasPrefix(text, "@") || strings.HasPrefix(text, "+") || strings.HasPrefix(text, "-") {
				t.Errorf("%q comes out as a formula", row[i])
			}
			want := strings.ReplaceAll(row[i], "\r\n", "\n")
			if text != want && strings.TrimPrefix(text, "'") != want {
				t.Errorf("%q reads as %q", row[i], text)
			}
		}
		if !strings.HasSuffix(app.CSVLine(row), "\r\n") {
			t.Errorf("%q does not end in CRLF", row)
		}
	})
}
