package consent_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
)

func fieldOf(t *testing.T, err error) string {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || len(f.Fields) != 1 {
		t.Fatalf("no field in %v", err)
	}
	return f.Fields[0].Pointer
}

func TestAllowanceWords(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ id, want string }{
		{"US-CA", "No allowance: any excess over what was agreed needs consent."},
		{"US-FL", "Allowance the greater of 10 % of the estimate and 10.00, at most 50.00; consent when the excess is more than it."},
		{"US-MI", "Allowance the lesser of 10 % of the estimate and 50.00; consent when the excess is more than it."},
		{"US-OH", "Allowance 10 % of the estimate; consent when the excess is at least it."},
		{"US-MA", "Allowance 10.00; consent when the excess is more than it."},
		{"US-HI", "Allowance 15 % of an estimate below 100.00, 10 % of any other; consent when the excess is more than it."},
		{"US-VA", "Allowance 10 % of the estimate, 20 % from 25 model years on; consent when the excess is more than it."},
		{"US-ME", "No allowance in figures: only the customer's own maximum counts."},
		{"DE", "A standard of judgment without a number; 15 % is a rule of thumb, not law."},
		{"GB", "A standard of judgment without a number."},
	} {
		if got := consent.Allowance(find(t, tc.id)); got != tc.want {
			t.Errorf("%s: %q, want %q", tc.id, got, tc.want)
		}
	}
}

// Every matter a rule holds is said in words, and no sentence is left open.
func TestDescribeSaysEverything(t *testing.T) {
	t.Parallel()
	for _, r := range jurisdictions(t) {
		words := consent.Describe(r)
		all := strings.Join(words, "\n")
		if !strings.Contains(all, r.Citation) || !strings.Contains(all, "not verified") || len(words) < 10+len(r.Sources) {
			t.Errorf("%s: %s", r.ID, all)
		}
		for _, s := range words {
			if !strings.HasSuffix(s, ".") || strings.Contains(s, ": .") || strings.Contains(s, "  ") || strings.Contains(s, ": ;") {
				t.Errorf("%s: %q", r.ID, s)
			}
		}
		for _, note := range []string{r.Storage, r.Electronic, r.RecordNote} {
			if !strings.Contains(all, note) {
				t.Errorf("%s does not say %q", r.ID, note)
			}
		}
	}
}

func TestReaching(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		id         string
		motorcycle bool
		customer   consent.Customer
		want       string
	}{
		{"US-CO", true, consent.Consumer, consent.StrictID},
		{"US-CO", false, consent.Consumer, "US-CO"},
		{"US-NH", true, "", consent.StrictID},
		{"US-MN", true, consent.Business, consent.StrictID},
		{"US-MN", true, consent.Consumer, "US-MN"},
		{"US-CA", true, consent.Business, "US-CA"},
	} {
		r, why := consent.Reaching(find(t, tc.id), tc.motorcycle, tc.customer)
		if r.ID != tc.want || (why == "") != (r.ID == tc.id) {
			t.Errorf("%+v: %s %q", tc, r.ID, why)
		}
	}
}

func TestWarnings(t *testing.T) {
	t.Parallel()
	if got := consent.Warnings(consent.Strict()); len(got) != 1 {
		t.Errorf("STRICT: %q", got)
	}
	if got := consent.Warnings(find(t, "US-FL")); len(got) != 2 {
		t.Errorf("Florida: %q", got)
	}
	if got := consent.Warnings(find(t, "US-OH")); len(got) != 4 {
		t.Errorf("Ohio: %q", got)
	}
}

func TestFootingOf(t *testing.T) {
	t.Parallel()
	r := find(t, "US-CA")
	if f := consent.FootingOf(r); f.RuleID != "US-CA" || f.Checked != "not verified" || f.Retrieved != "2026-11-25" || f.Caution == "" {
		t.Errorf("%+v", f)
	}
	day := "2027-01-02"
	r.VerifiedOn = &day
	if f := consent.FootingOf(r); f.Checked != day {
		t.Errorf("%+v", f)
	}
}

func TestWordsAreDistinct(t *testing.T) {
	t.Parallel()
	var terms, fields []string
	for _, v := range consent.Terms() {
		terms = append(terms, consent.TermWords(v))
	}
	for _, v := range consent.RecordFieldsAll() {
		fields = append(fields, consent.FieldWords(v))
	}
	for _, words := range [][]string{terms, fields} {
		n := len(words)
		slices.Sort(words)
		if len(slices.Compact(words)) != n || slices.Contains(words, "") {
			t.Errorf("two share their words: %q", words)
		}
	}
}

// Whatever exception is claimed, a part asked for is never simply kept
// unless the rule has that exception.
func TestLawPartFate(t *testing.T) {
	t.Parallel()
	for _, r := range append(jurisdictions(t), consent.Strict()) {
		known := consent.OldParts(r).Exceptions
		for _, e := range append(consent.Exceptions(), "") {
			asked, why := consent.PartFate(r, consent.PartAsk{Exception: e, Requested: true})
			if !slices.Contains(known, e) && asked != consent.FateGiveBack || !strings.HasSuffix(why, ".") {
				t.Errorf("%s, %q: %s (%s)", r.ID, e, asked, why)
			}
			silent, _ := consent.PartFate(r, consent.PartAsk{Exception: e})
			if silent == consent.FateShopsOwn && asked != consent.FateShopsOwn {
				t.Errorf("%s, %q: kept without a word, given when asked", r.ID, e)
			}
		}
	}
}

func TestDescribeNamesWhatIsRare(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ id, want string }{
		{"DE", "Duty: notify without delay; the customer may terminate; courts have spanned 10 % to 25 %."},
		{"GB", "Duty: agreed price else reasonable price."},
		{"US-MI", "confidence low"},
		{"US-MI", "not collected, parts are kept for 2 business days"},
		{"US-MN", "such a part is shown for 5 business days"},
		{"US-HI", "not if it was free of charge"},
		{"US-OR", "an estimate of its own: yes"},
		{"US-OR", "only for an estimate above 200.00"},
		{"US-MN", "Only where the larger of estimate and price is more than 100.00."},
		{"US-MN", "Only where the smaller of estimate and price is less than 7500.00."},
		{"US-MN", "Consumers only."},
		{"US-WA", "not for a job taken in without meeting the customer"},
		{"US-NV", "taken strictly; read as always, not confirmed"},
		{"US-OH", "from the original estimate"},
		{"CA-ON", "Warranty by statute: 90 days or 5000 km"},
		{"CA-MB", "Warranty: a warranty by statute exists; its length was not seen."},
		{"US-CO", "Motorcycles covered: no."},
		{"US-FL", "the shop may not require one"},
		{"US-IL", "the text knows it on a signed paper only"},
		{"US-CA", "it counts only if it names the work"},
	} {
		if all := strings.Join(consent.Describe(find(t, tc.id)), "\n"); !strings.Contains(all, tc.want) {
			t.Errorf("%s does not say %q:\n%s", tc.id, tc.want, all)
		}
	}
}
