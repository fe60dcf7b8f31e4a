package consent_test

import (
	"strings"
	"testing"

	"benchtag/internal/consent"
)

func TestEstimateNeeded(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, id string
		in       consent.EstimateAsk
		want     bool
		says     string
	}{
		{"unset", "", consent.EstimateAsk{Total: 1}, true, "every time"},
		{"unset, declined all the same", "", consent.EstimateAsk{Total: 1, Waived: consent.GivenByHand, HasMaximum: true}, true, "every time"},
		{"total not known", "US-WA", consent.EstimateAsk{Total: -1}, true, "not known"},
		{"unverified trigger", "CA-AB", consent.EstimateAsk{Total: 1}, true, "every time"},
		{"no rule", "GB", consent.EstimateAsk{Total: 90000}, false, "safer"},
		{"at the floor", "US-FL", consent.EstimateAsk{Total: 10000}, false, "not more than 100.00"},
		{"declined on paper", "US-FL", consent.EstimateAsk{Total: 10001, Waived: consent.GivenWritten}, false, "declined"},
		{"declined aloud", "US-FL", consent.EstimateAsk{Total: 10001, Waived: consent.GivenSpoken}, true, "spoken"},
		{"declined somehow", "US-FL", consent.EstimateAsk{Total: 10001, Waived: "nod"}, true, "not enough"},
		{"decline without maximum", "US-CT", consent.EstimateAsk{Total: 1, Waived: consent.GivenWritten}, true, "maximum"},
		{"decline with maximum", "US-CT", consent.EstimateAsk{Total: 1, Waived: consent.GivenWritten, HasMaximum: true}, false, "declined"},
		{"decline by message", "US-CT", consent.EstimateAsk{Total: 1, Waived: consent.GivenElectronic, HasMaximum: true}, true, "paper"},
		{"Ontario, no maximum", "CA-ON", consent.EstimateAsk{Total: 1, Waived: consent.GivenElectronic}, true, "maximum"},
		{"Ontario, maximum", "CA-ON", consent.EstimateAsk{Total: 1, Waived: consent.GivenElectronic, HasMaximum: true}, false, "declined"},
		{"typed, not by hand", "CA-QC", consent.EstimateAsk{Total: 10001, Waived: consent.GivenWritten}, true, "by hand"},
		{"by hand", "CA-QC", consent.EstimateAsk{Total: 10001, Waived: consent.GivenByHand}, false, "declined"},
		{"motorcycle left out", "US-NH", consent.EstimateAsk{Total: 1, Motorcycle: true}, true, "motorcycles"},
		{"business left out", "US-MN", consent.EstimateAsk{Total: 20000, Business: true}, true, "consumers"},
		{"too large for the rule", "US-MN", consent.EstimateAsk{Total: 750000}, true, "larger"},
		{"just inside", "US-MN", consent.EstimateAsk{Total: 749999}, false, "not asked"},
		{"other currency", "US-WA", consent.EstimateAsk{Total: 1, Currency: "EUR"}, true, "USD"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			got, why := consent.EstimateNeeded(find(t, tc.id), tc.in)
			if got != tc.want || !strings.Contains(why, tc.says) {
				t.Errorf("got %v %q, want %v and %q", got, why, tc.want, tc.says)
			}
		})
	}
}
