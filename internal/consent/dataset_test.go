package consent_test

import (
	"encoding/json"
	"strings"
	"testing"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
)

func TestDatasetRefuses(t *testing.T) {
	t.Parallel()
	whole := string(consent.Embedded())
	if n, err := consent.ParseDataset([]byte(whole)); n != 34 || err != nil {
		t.Fatalf("%d rules, %v", n, err)
	}
	for _, tc := range []struct{ name, old, new, says string }{
		{"no JSON", `{`, `[`, "unreadable"},
		{"another schema", `benchtag-consent-rules/1`, `benchtag-consent-rules/2`, "schema"},
		{"no warning", `"warning": "`, `"warning": "", "units_note": "`, "unreadable"},
		{"two of one id", `"US-FL"`, `"US-CA"`, "twice"},
		{"the strict default's id", `"US-FL"`, `"STRICT"`, "twice"},
		{"a kind of no list", `"greater_capped"`, `"greatest"`, "US-FL"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			bent := strings.Replace(whole, tc.old, tc.new, 1)
			if bent == whole {
				t.Fatal("nothing changed")
			}
			_, err := consent.ParseDataset([]byte(bent))
			if !fault.Is(err, fault.Internal) || !strings.Contains(err.Error(), tc.says) {
				t.Errorf("got %v, want one that says %q", err, tc.says)
			}
		})
	}
}

// bent changes one member of a stored rule.
func bent(t *testing.T, id string, change func(map[string]any)) error {
	t.Helper()
	stored, err := json.Marshal(find(t, id))
	if err != nil {
		t.Fatal(err)
	}
	var rule map[string]any
	if err := json.Unmarshal(stored, &rule); err != nil {
		t.Fatal(err)
	}
	change(rule)
	stored, err = json.Marshal(rule)
	if err != nil {
		t.Fatal(err)
	}
	_, err = consent.Parse(stored)
	return err
}

func TestParseRefusesWhatDoesNotFit(t *testing.T) {
	t.Parallel()
	in := func(member string, set func(map[string]any)) func(map[string]any) {
		return func(r map[string]any) { set(r[member].(map[string]any)) }
	}
	for _, tc := range []struct {
		name, id string
		change   func(map[string]any)
	}{
		{"no sources", "US-CA", func(r map[string]any) { r["sources"] = []any{} }},
		{"101 years of papers", "US-CA", func(r map[string]any) { r["records_years"] = 101 }},
		{"a source of no quality", "US-CA", func(r map[string]any) { r["sources"].([]any)[0].(map[string]any)["quality"] = "hearsay" }},
		{"a teardown that is perhaps its own", "US-CA", in("teardown", func(m map[string]any) { m["separate_estimate"] = "perhaps" })},
		{"a statement of no list", "US-CA", in("teardown", func(m map[string]any) { m["must_state"] = []any{"weather"} })},
		{"a return of no list", "US-CA", in("parts", func(m map[string]any) { m["return"] = "melt" })},
		{"minus five days shown", "US-MN", in("parts", func(m map[string]any) { m["show_business_days"] = -5 })},
		{"minus two days kept", "US-MI", in("parts", func(m map[string]any) { m["keep_business_days"] = -2 })},
		{"a waiver of no kind", "US-FL", in("waiver", func(m map[string]any) { m["kind"] = "shrug" })},
		{"a box of no form", "US-IL", in("waiver", func(m map[string]any) { m["options"] = []any{"maybe"} })},
		{"a smallest total out of range", "US-IL", in("scope", func(m map[string]any) { m["min_total_minor"] = -1 })},
		{"a threshold without comparison", "US-FL", in("estimate", func(m map[string]any) { m["threshold_cmp"] = "" })},
		{"a band out of range", "US-HI", in("overage", func(m map[string]any) { m["bands"].([]any)[0].(map[string]any)["pct_bp"] = 10001 })},
		{"a band by age among bands by estimate", "US-HI", in("overage", func(m map[string]any) { m["bands"].([]any)[0].(map[string]any)["min_model_years"] = 3 })},
		{"a standard with a comparison", "GB", in("overage", func(m map[string]any) { m["cmp"] = "gt" })},
		{"a duty of no list", "GB", in("overage", func(m map[string]any) { m["duty"] = "sing" })},
		{"too many bands", "US-HI", in("overage", func(m map[string]any) { m["bands"] = make([]map[string]any, 65) })},
		{"ages that fall", "US-VA", in("overage", func(m map[string]any) {
			m["bands"] = []any{map[string]any{"min_model_years": 25, "pct_bp": 2000}, map[string]any{"min_model_years": 20, "pct_bp": 2500}}
		})},
		{"bands that do not rise", "US-HI", in("overage", func(m map[string]any) {
			m["bands"] = []any{map[string]any{"below_estimate_minor": 100, "pct_bp": 1}, map[string]any{"below_estimate_minor": 100, "pct_bp": 2}, map[string]any{"pct_bp": 3}}
		})},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			wantFault(t, bent(t, tc.id, tc.change), fault.Meaning, "consent.rule_invalid")
		})
	}
}

func TestPartFate(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, id string
		in       consent.PartAsk
		want     consent.Fate
		says     string
	}{
		{"default", "US-MI", consent.PartAsk{}, consent.FateGiveBack, "unless the customer declines; not collected, it is kept for 2 business days"},
		{"declined", "US-MI", consent.PartAsk{Declined: true}, consent.FateShopsOwn, "on record"},
		{"asked for", "US-CA", consent.PartAsk{Requested: true}, consent.FateGiveBack, "asked for it"},
		{"not yet asked for", "US-CA", consent.PartAsk{}, consent.FateHold, "authorization"},
		{"shown for days", "US-MN", consent.PartAsk{Exception: consent.ExceptLegalHold}, consent.FateShow, "for 5 business days"},
		{"unknown exception", "US-NJ", consent.PartAsk{Exception: consent.ExceptCore, Requested: true}, consent.FateGiveBack, "no such exception"},
		{"offered", "", consent.PartAsk{}, consent.FateAsk, "every customer is asked"},
		{"free in Quebec", "CA-QC", consent.PartAsk{Free: true, Requested: true}, consent.FateShopsOwn, "excepts"},
		{"free elsewhere", "US-NJ", consent.PartAsk{Free: true, Requested: true}, consent.FateGiveBack, "asked"},
	} {
		fate, why := consent.PartFate(find(t, tc.id), tc.in)
		if fate != tc.want || !strings.Contains(why, tc.says) {
			t.Errorf("%s: %s %q, want %s and %q", tc.name, fate, why, tc.want, tc.says)
		}
	}
	show := consent.Strict()
	show.Parts = &consent.PartsRule{Return: consent.ReturnShowOnly}
	if fate, _ := consent.PartFate(show, consent.PartAsk{Requested: true}); fate != consent.FateShow {
		t.Errorf("shown only: %s", fate)
	}
}

// Each line of the working can be redone: the largest price is the estimate
// with the allowance, or what was agreed last.
func TestWorkingNamesTheRevisionBase(t *testing.T) {
	t.Parallel()
	c := plain(30000, 30000)
	c.Original = &consent.Amount{ExclTax: 20000}
	a := mustDecide(t, find(t, "US-UT"), c)
	if all := strings.Join(a.Working, "\n"); !strings.Contains(all, "300.00, what was agreed last; the allowance counts from the smaller sum of 200.00") {
		t.Errorf("working:\n%s", all)
	}
	c = plain(20500, 21000)
	c.Original = &consent.Amount{ExclTax: 20000}
	a = mustDecide(t, find(t, "US-UT"), c)
	if all := strings.Join(a.Working, "\n"); !strings.Contains(all, "219.99; the allowance counts from 200.00") {
		t.Errorf("working:\n%s", all)
	}
}
