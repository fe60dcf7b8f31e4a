package consent_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
)

func TestDecideOrderOfTests(t *testing.T) {
	t.Parallel()
	limited := func(c consent.Change, m consent.Minor, b consent.Base) consent.Change {
		c.Limit = &consent.Limit{Minor: m, Base: b}
		return c
	}
	with := func(c consent.Change, set func(*consent.Change)) consent.Change {
		set(&c)
		return c
	}
	taxed := consent.Change{Authorized: consent.Amount{ExclTax: 20000, Tax: 2000}, Actual: consent.Amount{ExclTax: 22000, Tax: 2201}}
	removed := func(c *consent.Change) { c.AllowanceRemoved = true }
	for _, tc := range []struct {
		name, id  string
		in        consent.Change
		own, effe consent.Verdict
		says      string
	}{
		{"scope before limit", "US-NH", with(limited(plain(20000, 30000), 25000, ""), func(c *consent.Change) { c.Motorcycle = true }), consent.NotCovered, consent.Required, "motorcycles"},
		{"an excluded machine within the limit", "US-NH", with(limited(plain(20000, 24000), 25000, ""), func(c *consent.Change) { c.Motorcycle = true }), consent.NotCovered, consent.NotRequired, "strict default"},
		{"limit beats tolerance", "US-WA", limited(plain(20000, 21001), 21000, ""), consent.Required, consent.Required, "maximum"},
		{"limit widens too", "US-WA", limited(plain(20000, 30000), 30000, ""), consent.NotRequired, consent.NotRequired, "within"},
		{"limit meant with tax", "US-WA", limited(taxed, 24200, consent.InclTax), consent.Required, consent.Required, "maximum"},
		{"limit not said is with tax", "US-WA", limited(taxed, 24200, ""), consent.Required, consent.Required, "maximum"},
		{"limit meant without tax", "US-WA", limited(taxed, 24200, consent.ExclTax), consent.NotRequired, consent.NotRequired, "within"},
		{"removed allowance", "US-MI", with(plain(20000, 20001), removed), consent.Required, consent.Required, "asked about any excess"},
		{"removed allowance, no excess", "US-MI", with(plain(20000, 20000), removed), consent.NotRequired, consent.NotRequired, "within"},
		{"removed allowance under a limit", "US-MI", with(limited(plain(20000, 20001), 30000, ""), removed), consent.Required, consent.Required, "any excess"},
		{"a base not named: tax alone counts", "US-FL", taxed, consent.Required, consent.Required, "with tax"},
		{"a base without tax: tax does not count", "US-WA", taxed, consent.NotRequired, consent.NotRequired, "within"},
		{"a date slip, Wisconsin", "US-WI", with(plain(20000, 20000), func(c *consent.Change) { c.DateSlip = true }), consent.Required, consent.Required, "date"},
		{"a date slip, Washington", "US-WA", with(plain(20000, 20000), func(c *consent.Change) { c.DateSlip = true }), consent.NotRequired, consent.NotRequired, "within"},
		{"new work anywhere", "US-WA", with(plain(20000, 20000), func(c *consent.Change) { c.NewWork = true }), consent.Required, consent.Required, "not agreed to"},
		{"part condition, California", "US-CA", with(plain(20000, 20000), func(c *consent.Change) { c.PartCondition = true }), consent.Required, consent.Required, "condition"},
		{"method, Oregon", "US-OR", with(plain(50000, 50000), func(c *consent.Change) { c.MethodOrPart = true }), consent.Required, consent.Required, "method"},
		{"business, Minnesota", "US-MN", with(plain(20000, 20001), func(c *consent.Change) { c.Business = true }), consent.NotCovered, consent.Required, "consumers"},
		{"foreign currency", "US-WA", with(plain(20000, 20001), func(c *consent.Change) { c.Currency = "EUR" }), consent.NotCovered, consent.Required, "USD"},
		{"small job, Oregon", "US-OR", plain(20000, 20001), consent.NoRule, consent.Required, "200.00"},
		{"brought in by the new total", "US-IL", plain(9500, 10400), consent.NotRequired, consent.Required, "estimate alone"},
		{"rule of thumb passed", "DE", plain(20000, 23001), consent.Advisory, consent.Required, "judgment"},
		{"no change, no rule", "GB", plain(20000, 20000), consent.Advisory, consent.NotRequired, "judgment"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			a := mustDecide(t, find(t, tc.id), tc.in)
			if a.Own != tc.own || a.Effective != tc.effe || !strings.Contains(strings.Join(a.Reasons, " "), tc.says) {
				t.Errorf("own %s (want %s), effective %s (want %s), reasons %q", a.Own, tc.own, a.Effective, tc.effe, a.Reasons)
			}
		})
	}
}

func TestDecideGuide(t *testing.T) {
	t.Parallel()
	for actual, want := range map[consent.Minor]consent.Guide{23000: consent.GuideWithin, 23001: consent.GuideBeyond} {
		if a := mustDecide(t, find(t, "DE"), plain(20000, actual)); a.Guide != want {
			t.Errorf("%d: %q, want %q", actual, a.Guide, want)
		}
	}
}

// Ohio counts from the original estimate: what was agreed since is agreed,
// and the next cent is measured from the first figure.
func TestDecideFromOriginal(t *testing.T) {
	t.Parallel()
	c := plain(30000, 30000)
	c.Original = &consent.Amount{ExclTax: 20000}
	if a := mustDecide(t, find(t, "US-OH"), c); a.Own != consent.NotRequired || *a.Ceiling.ExclTax != 30000 {
		t.Errorf("agreed to 300.00 and asked again: %+v", a)
	}
	c.Actual.ExclTax = 30001
	if a := mustDecide(t, find(t, "US-OH"), c); a.Own != consent.Required {
		t.Errorf("the tolerance was counted twice: %+v", a)
	}
	if a := mustDecide(t, find(t, "US-WA"), c); a.Own != consent.NotRequired {
		t.Errorf("Washington counts from the latest: %+v", a)
	}
}

func TestDecideShowsItsWorking(t *testing.T) {
	t.Parallel()
	a := mustDecide(t, find(t, "US-HI"), plain(9999, 11499))
	want := []string{
		"Allowance without tax: 15 % of 99.99 = 14.9985",
		"Excess without tax: 114.99 - 99.99 = 15.00; consent when it is more than the allowance and more than nothing",
		"Largest price without tax without asking again: 114.98",
	}
	if diff := cmp.Diff(want, a.Working[:3]); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	yen, err := consent.Custom(consent.Params{Kind: consent.KindLesser, PctBP: 1250, AbsMinor: 5000, Cmp: consent.Gt, Currency: "JPY"})
	if err != nil {
		t.Fatal(err)
	}
	if got := mustDecide(t, yen, plain(20001, 20001)).Working[0]; got != "Allowance without tax: lesser of 12.5 % of 20001 and 5000 = 2500.125" {
		t.Errorf("yen: %s", got)
	}
}

func TestDecideAllTestsEachJob(t *testing.T) {
	t.Parallel()
	order := plain(50000, 52000)
	jobs := []consent.Change{plain(10000, 12000), plain(40000, 40000)}
	for id, want := range map[string]consent.Verdict{"US-IL": consent.Required, "US-WA": consent.NotRequired} {
		a, err := consent.DecideAll(find(t, id), order, jobs)
		if err != nil {
			t.Fatal(err)
		}
		if a.Effective != want {
			t.Errorf("%s: %s, want %s: %v", id, a.Effective, want, a.Reasons)
		}
	}
	// A small job of a large order is covered with its order.
	a, err := consent.DecideAll(find(t, "US-IL"), order, []consent.Change{plain(5000, 5500)})
	if err != nil || a.Own != consent.NotRequired {
		t.Errorf("%+v, %v", a, err)
	}
	_, err = consent.DecideAll(find(t, "US-IL"), order, []consent.Change{plain(-1, 0)})
	wantFault(t, err, fault.Meaning, "consent.change_invalid")
}

func TestDecideRefuses(t *testing.T) {
	t.Parallel()
	_, err := consent.Decide(consent.Rule{}, plain(1, 1))
	wantFault(t, err, fault.Meaning, "consent.rule_invalid")
	for name, set := range map[string]func(*consent.Change){
		"negative estimate": func(c *consent.Change) { c.Authorized.ExclTax = -1 },
		"huge actual":       func(c *consent.Change) { c.Actual.ExclTax = consent.MaxMinor + 1 },
		"huge with tax":     func(c *consent.Change) { c.Actual = consent.Amount{ExclTax: consent.MaxMinor, Tax: 1} },
		"negative original": func(c *consent.Change) { c.Original = &consent.Amount{Tax: -1} },
		"negative limit":    func(c *consent.Change) { c.Limit = &consent.Limit{Minor: -1} },
		"limit base":        func(c *consent.Change) { c.Limit = &consent.Limit{Base: "gross"} },
		"negative age":      func(c *consent.Change) { c.VehicleAge = -1 },
		"level":             func(c *consent.Change) { c.Level = "bike" },
	} {
		c := plain(1, 1)
		set(&c)
		_, err := consent.Decide(consent.Strict(), c)
		if !fault.Is(err, fault.Meaning) || !strings.HasPrefix(err.Error(), "consent.change_invalid") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	all, err := consent.Rules()
	if err != nil {
		f.Fatal(err)
	}
	for _, r := range all {
		stored, err := json.Marshal(r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(stored)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		r, err := consent.Parse(raw)
		if err != nil {
			return
		}
		stored, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := consent.Parse(stored); err != nil {
			t.Fatalf("what was read cannot be read again: %v", err)
		}
		if a := mustDecide(t, r, plain(20000, 20001)); !slices.Contains(consent.Verdicts(), a.Own) {
			t.Fatalf("own verdict %q", a.Own)
		}
	})
}

func FuzzDecide(f *testing.F) {
	all, err := consent.Rules()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint(0), int64(20000), int64(20001), int64(0), int64(-1), 0, uint8(0))
	f.Add(uint(16), int64(9000), int64(10001), int64(100), int64(30000), 30, uint8(7))
	f.Add(uint(2), consent.MaxMinor, consent.MaxMinor, int64(0), consent.MaxMinor, 1, uint8(255))
	f.Fuzz(func(t *testing.T, which uint, estimate, actual, tax, limit int64, age int, flags uint8) {
		r := all[which%uint(len(all))]
		c := consent.Change{
			Authorized: consent.Amount{ExclTax: estimate, Tax: tax}, Actual: consent.Amount{ExclTax: actual, Tax: tax}, VehicleAge: age,
			AllowanceRemoved: flags&1 != 0, NewWork: flags&2 != 0, DateSlip: flags&4 != 0, MethodOrPart: flags&8 != 0,
			PartCondition: flags&16 != 0, Motorcycle: flags&32 != 0, Business: flags&64 != 0,
		}
		if limit >= 0 {
			c.Limit = &consent.Limit{Minor: limit}
		}
		a, err := consent.Decide(r, c)
		if err != nil {
			if !fault.Is(err, fault.Meaning) {
				t.Fatal(err)
			}
			return
		}
		if got := a.Effective == consent.Required; got != refRequired(r, c) {
			t.Fatalf("%s: required %v, reference %v", r.ID, got, !got)
		}
	})
}
