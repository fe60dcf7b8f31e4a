package main

import (
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// wholeEvidence is the record of a yes on the phone, taken back later.
func wholeEvidence() app.ConsentEvidence {
	limit := money.Amount(20_000)
	return app.ConsentEvidence{Version: 1, ConsentID: "the-consent", WorkOrder: 12,
		Who: app.EvidenceWho{Name: "Wren Ashdown", Relation: "owner", ContactUsed: "+1 555 0100", IdentifiedHow: "called back"},
		What: app.EvidenceWhat{Kind: shop.ConsentKindDropOff, Decision: shop.DecisionAgreed, Currency: "USD", Limit: &limit,
			Lines: []app.EvidenceLine{{Kind: shop.LineKindPart, Description: "Gear pair", Low: 9_000, High: 10_000}}},
		When: app.EvidenceWhen{ServerTime: "2026-03-02T09:00:00.000000Z", SaidAt: "2026-03-02T08:59:00.000000Z", JournalStream: "the-order", JournalSequence: 7},
		How:  app.EvidenceHow{Channel: shop.ConsentMethodSpoken},
		Intent: app.EvidenceIntent{Act: "Said so on the phone.", Wording: "The customer says yes.", Meaning: "A yes.",
			SaidBack: "go on\nHOLDS: forged"},
		CopyTo: "wren@example.test", Staff: app.EvidenceStaff{ID: "the-staff", Name: "Ivo", Took: true},
		Ending: &app.EvidenceEnding{Kind: shop.EndingKindRevoked, Reason: "sells it", Name: "Wren Ashdown", SaidAt: "2026-03-03T08:59:00.000000Z", Left: []string{"a", "b"}},
	}
}

// What is written down of an answer is told in words; and what somebody typed
// never passes for a line of the program.
func TestRecordInWords(t *testing.T) {
	t.Parallel()
	record, err := wholeEvidence().Bytes()
	if err != nil {
		t.Fatal(err)
	}
	words := recordWords(record)
	for _, want := range []string{"    Answer: YES, up to USD 200.00, tax included\n", "    Name: Wren Ashdown\n", "    Number called: +1 555 0100\n",
		"    Answered at: Monday 2 March 2026, 08:59 (UTC+00:00), that is 2026-03-02 08:59:00.000000 UTC\n", "    Taken by: Ivo, staff the-staff\n",
		"    Said back, or written: go on\n      HOLDS: forged\n", "    Copy to: wren@example.test\n", "  Taken back\n", "    Lines left undone: 2: a, b\n"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is not in\n%s", want, words)
		}
	}
	other := strings.Replace(string(record), `"version":1`, `"version":9`, 1)
	if got := recordWords([]byte(other)); got != jsonWords([]byte(other)) {
		t.Errorf("a record of a later form:\n%s", got)
	}
	spaced := strings.Replace(string(record), `"version":1`, `"version": 1`, 1)
	if got := recordWords([]byte(spaced)); got != jsonWords([]byte(spaced)) {
		t.Errorf("a record in another spelling:\n%s", got)
	}
}
