package estimate_test

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/estimate"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func price(n money.Amount) *money.Amount { return &n }

func grade(n int64) *int64 { return &n }

// worn is a chain that wore, cut its guide, and sent pieces into the sump;
// the covers are off, the crankcase is not split.
func worn() estimate.Situation {
	return estimate.Situation{
		Findings: []estimate.Found{
			{ID: "f1", Component: "timing_chain", Name: "timing chain", Grade: grade(3), Advised: shop.AdvisedReplace, SafeToRide: shop.YesNoNo, FirstCause: true},
			{ID: "f2", Component: "chain_guide", Name: "chain guide", Grade: grade(4), Advised: shop.AdvisedReplace, SafeToRide: shop.YesNoNo, CausedBy: "f1"},
			{ID: "f3", Component: "camshaft", Grade: grade(1), Advised: shop.AdvisedReuse, SafeToRide: shop.YesNoYes},
		},
		Unseen:  []estimate.Unseen{{Component: "main_bearings", State: estimate.Exposed}, {Component: "big_end", State: estimate.NotLookedAt}},
		Repairs: []estimate.Repair{{For: "f1", Minutes: 30}, {For: "f2", Minutes: 15}, {For: "main_bearings", Minutes: 240}},
		Parts: []estimate.Wanted{
			{For: "f1", Name: "chain", Price: price(8000)},
			{For: "f2", Name: "guide", Price: price(3000)},
			{For: "f2", Name: "guide bolt", Milli: 2000},
			{For: "main_bearings", Name: "bearing shells", Price: price(6000), Ceiling: 20000},
		},
		Looks: []estimate.Look{{For: "main_bearings", Minutes: 20}, {For: "big_end", Minutes: 10}},
		Steps: []estimate.Step{
			{Key: "cover", Minutes: 40, Back: 45, NeededBy: []string{"f1", "f2"}, Done: true, Destroys: []estimate.UsedOnce{{Name: "cover gasket", Price: price(1500)}}},
			{Key: "sump", Minutes: 25, Back: 30, NeededBy: []string{"f2", "main_bearings", "big_end"}, Destroys: []estimate.UsedOnce{{Name: "sump gasket"}}},
			{Key: "split", Minutes: 120, Back: 180, NeededBy: []string{"main_bearings", "big_end"}},
		},
		Rates: estimate.Rates{Labour: 6000, LabourTax: "standard", PartsTax: "standard"},
	}
}

func mustSuggest(t interface{ Fatalf(string, ...any) }, s estimate.Situation, rules estimate.Rules) estimate.Suggestion {
	out, err := estimate.Suggest(s, rules)
	if err != nil {
		t.Fatalf("Suggest: %v", err)
	}
	return out
}

func scopeOf(t interface{ Fatalf(string, ...any) }, s estimate.Suggestion, key estimate.ScopeKey) estimate.Scope {
	i := slices.IndexFunc(s.Scopes, func(sc estimate.Scope) bool { return sc.Key == key })
	if i < 0 {
		t.Fatalf("no way forward %s", key)
	}
	return s.Scopes[i]
}

// The figures below are added up by hand: labour is 1.00 a minute.
func TestSuggestWorkedExample(t *testing.T) {
	t.Parallel()
	out := mustSuggest(t, worn(), untaxed())
	type figures struct {
		Low, High      money.Amount
		Repairs, Stays []string
		Unseen         []string
		Riding         shop.YesNo
		Missing        []string
	}
	want := map[estimate.ScopeKey]figures{
		// close cover 45 + chain 30 + chain 80.00 + gasket 15.00
		estimate.ScopeFirstCause: {17000, 17000, []string{"f1"}, []string{"f2"}, []string{"main_bearings", "big_end"}, shop.YesNoNo, []string{}},
		// close cover 45, sump 55, chain 30, guide 15, 80.00, 30.00, gasket 15.00
		estimate.ScopeEverything: {27000, 27000, []string{"f1", "f2"}, []string{}, []string{"main_bearings", "big_end"}, shop.YesNoNotKnown, []string{"sump gasket", "guide bolt"}},
		// and split 300, looks 20 + 10; possibly 240 of work and shells up to 200.00
		estimate.ScopeLookFurther: {60000, 104000, []string{"f1", "f2"}, []string{}, []string{}, shop.YesNoNotKnown, []string{"sump gasket", "guide bolt"}},
		// close cover 45
		estimate.ScopePutBack: {4500, 4500, []string{}, []string{"f1", "f2"}, []string{"main_bearings", "big_end"}, shop.YesNoNo, []string{}},
	}
	got := map[estimate.ScopeKey]figures{}
	for _, sc := range out.Scopes {
		got[sc.Key] = figures{sc.Totals.Low.Gross, sc.Totals.High.Gross, sc.Repairs, sc.Stays, append(append([]string{}, sc.Exposed...), sc.NotLookedAt...), sc.Riding, sc.PricesMissing}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	missing := []estimate.MissingPrice{{For: "f2", Name: "guide bolt"}, {For: "sump", Name: "sump gasket"}}
	if diff := cmp.Diff(missing, out.PricesMissing); diff != "" {
		t.Errorf("prices missing: -want +got\n%s", diff)
	}
	first := scopeOf(t, out, estimate.ScopeFirstCause)
	if !slices.Contains(first.Notes, "chain guide, caused by timing chain, stays as it is.") {
		t.Errorf("notes %q", first.Notes)
	}
}

func untaxed() estimate.Rules {
	rules := validRules()
	rules.Taxes = []estimate.Tax{{Category: "standard"}}
	return rules
}

func TestSuggestNamesWays(t *testing.T) {
	t.Parallel()
	keys := func(s estimate.Situation) []estimate.ScopeKey {
		var out []estimate.ScopeKey
		for _, sc := range mustSuggest(t, s, untaxed()).Scopes {
			out = append(out, sc.Key)
		}
		return out
	}
	nothing := estimate.Situation{Rates: worn().Rates}
	alone := worn()
	alone.Findings, alone.Unseen = alone.Findings[:1], nil
	alone.Repairs, alone.Parts, alone.Looks, alone.Steps = alone.Repairs[:1], alone.Parts[:1], nil, nil
	look := nothing
	look.Findings = []estimate.Found{{ID: "f1", Component: "gear", Advised: shop.AdvisedLookFurther}}
	for name, tc := range map[string]struct {
		in   estimate.Situation
		want []estimate.ScopeKey
	}{
		"all four":                    {worn(), estimate.ScopeKeys()},
		"nothing found":               {nothing, []estimate.ScopeKey{estimate.ScopePutBack}},
		"first cause is all there is": {alone, []estimate.ScopeKey{estimate.ScopeEverything, estimate.ScopePutBack}},
		"only to look further":        {look, []estimate.ScopeKey{estimate.ScopeLookFurther, estimate.ScopePutBack}},
	} {
		if diff := cmp.Diff(tc.want, keys(tc.in)); diff != "" {
			t.Errorf("%s: -want +got\n%s", name, diff)
		}
	}
}

func TestSuggestRefuses(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		bend func(*estimate.Situation)
		want string
	}{
		"one id twice":            {func(s *estimate.Situation) { s.Findings[1].ID = "f1" }, "estimate.finding_id_invalid"},
		"no id":                   {func(s *estimate.Situation) { s.Findings[0].ID = "" }, "estimate.finding_id_invalid"},
		"a grade off the scale":   {func(s *estimate.Situation) { s.Findings[0].Grade = grade(5) }, "estimate.grade_invalid"},
		"advice of no list":       {func(s *estimate.Situation) { s.Findings[0].Advised = "pray" }, "estimate.advice_unknown"},
		"safe is no word of ours": {func(s *estimate.Situation) { s.Findings[0].SafeToRide = "maybe" }, "estimate.safe_unknown"},
		"a cause elsewhere":       {func(s *estimate.Situation) { s.Findings[1].CausedBy = "f9" }, "estimate.cause_unknown"},
		"its own cause":           {func(s *estimate.Situation) { s.Findings[0].CausedBy = "f1" }, "estimate.cause_in_circle"},
		"causes in a circle":      {func(s *estimate.Situation) { s.Findings[0].CausedBy = "f2" }, "estimate.cause_in_circle"},
		"unseen like a finding":   {func(s *estimate.Situation) { s.Unseen[0].Component = "f1" }, "estimate.unseen_invalid"},
		"unseen without a state":  {func(s *estimate.Situation) { s.Unseen[0].State = "" }, "estimate.unseen_invalid"},
		"work on nothing":         {func(s *estimate.Situation) { s.Repairs[0].For = "x" }, "estimate.for_unknown"},
		"part for nothing":        {func(s *estimate.Situation) { s.Parts[0].For = "x" }, "estimate.for_unknown"},
		"look at nothing":         {func(s *estimate.Situation) { s.Looks[0].For = "x" }, "estimate.for_unknown"},
		"step for nothing":        {func(s *estimate.Situation) { s.Steps[0].NeededBy = []string{"x"} }, "estimate.for_unknown"},
		"sure of the unseen":      {func(s *estimate.Situation) { s.Repairs[2].Certainty = estimate.Certain }, "estimate.unseen_certain"},
		"unknown certainty":       {func(s *estimate.Situation) { s.Parts[0].Certainty = "likely" }, "estimate.certainty_unknown"},
		"labour as a part":        {func(s *estimate.Situation) { s.Parts[0].Kind = estimate.Labour }, "estimate.kind_unknown"},
		"negative time":           {func(s *estimate.Situation) { s.Repairs[0].Minutes = -1 }, "estimate.line_negative"},
		"endless time":            {func(s *estimate.Situation) { s.Steps[0].Back = estimate.MaxMinutes + 1 }, "estimate.line_negative"},
		"negative look":           {func(s *estimate.Situation) { s.Looks[0].Minutes = -1 }, "estimate.line_negative"},
		"negative price":          {func(s *estimate.Situation) { s.Parts[0].Price = price(-1) }, "estimate.line_negative"},
		"negative gasket":         {func(s *estimate.Situation) { s.Steps[0].Destroys[0].Price = price(-1) }, "estimate.line_negative"},
		"one step twice":          {func(s *estimate.Situation) { s.Steps[1].Key = "cover" }, "estimate.step_key_invalid"},
		"too many findings":       {func(s *estimate.Situation) { s.Findings = make([]estimate.Found, estimate.MaxSituation+1) }, "estimate.situation_too_large"},
		"a tax nobody set up":     {func(s *estimate.Situation) { s.Rates.PartsTax = "none" }, "estimate.tax_category_unknown"},
		"ceiling below the price": {func(s *estimate.Situation) { s.Parts[3].Ceiling = 1 }, "estimate.ceiling_too_low"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := worn()
			tc.bend(&s)
			_, err := estimate.Suggest(s, untaxed())
			if got := codeOf(err); got != tc.want {
				t.Errorf("%q (%v), want %q", got, err, tc.want)
			}
		})
	}
}

func TestScopeKeysAreComplete(t *testing.T) {
	t.Parallel()
	titles := map[string]bool{}
	for _, k := range estimate.ScopeKeys() {
		titles[k.Title()] = true
	}
	if len(titles) != 4 || len(estimate.UnseenStates()) != 2 || len(estimate.WaitKinds()) != 4 {
		t.Errorf("titles %v", titles)
	}
}

// drawSituation draws findings with causes that lie before them, unseen
// components, and work, parts, looks and steps for any of them.
func drawSituation(t *rapid.T) estimate.Situation {
	s := estimate.Situation{Rates: estimate.Rates{Labour: money.Amount(rapid.Int64Range(0, 12_000).Draw(t, "rate")), LabourTax: "a", PartsTax: "b"}}
	var ids []string
	for i := range rapid.IntRange(0, 4).Draw(t, "findings") {
		f := estimate.Found{
			ID: "f" + strconv.Itoa(i), Component: "c" + strconv.Itoa(rapid.IntRange(0, 3).Draw(t, "component")),
			Advised:    rapid.SampledFrom(shop.AdvisedValues()).Draw(t, "advice"),
			SafeToRide: rapid.SampledFrom(append(shop.YesNoValues(), "")).Draw(t, "safe"),
			FirstCause: rapid.Bool().Draw(t, "first"),
		}
		if i > 0 && rapid.Bool().Draw(t, "caused") {
			f.CausedBy = ids[rapid.IntRange(0, i-1).Draw(t, "by")]
		}
		s.Findings, ids = append(s.Findings, f), append(ids, f.ID)
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "unseen") {
		u := estimate.Unseen{Component: "c" + strconv.Itoa(i), State: rapid.SampledFrom(estimate.UnseenStates()).Draw(t, "state")}
		s.Unseen, ids = append(s.Unseen, u), append(ids, u.Component)
	}
	if len(ids) == 0 {
		return s
	}
	one := func() string { return rapid.SampledFrom(ids).Draw(t, "for") }
	few := rapid.Int64Range(0, 90)
	for i := range rapid.IntRange(0, 4).Draw(t, "work") {
		s.Repairs = append(s.Repairs, estimate.Repair{For: one(), Minutes: few.Draw(t, "minutes")})
		s.Looks = append(s.Looks, estimate.Look{For: one(), Minutes: few.Draw(t, "look")})
		part := estimate.Wanted{For: one(), Name: "part " + strconv.Itoa(i), Milli: few.Draw(t, "milli") * 100}
		if rapid.Bool().Draw(t, "priced") {
			part.Price = price(money.Amount(few.Draw(t, "price") * 37))
		}
		step := estimate.Step{Key: "s" + strconv.Itoa(i), Minutes: few.Draw(t, "open"), Back: few.Draw(t, "back"), Done: rapid.Bool().Draw(t, "done"), NeededBy: []string{one(), one()}}
		if rapid.Bool().Draw(t, "destroys") {
			step.Destroys = []estimate.UsedOnce{{Name: "seal", Price: price(money.Amount(few.Draw(t, "seal")))}}
		}
		s.Parts, s.Steps = append(s.Parts, part), append(s.Steps, step)
	}
	return s
}

// naiveScope works a way forward out from the definition: which things it is
// about, then minutes and money by plain addition.
type naiveScope struct {
	labour int64
	riding shop.YesNo
}

func naiveWay(s estimate.Situation, key estimate.ScopeKey) naiveScope {
	fix := func(f estimate.Found) bool {
		listed := strings.Contains(" clean_and_reuse adjust rework send_out replace ", " "+string(f.Advised)+" ")
		return listed && key != estimate.ScopePutBack && (key != estimate.ScopeFirstCause || f.FirstCause)
	}
	in, mended := map[string]bool{}, map[string]bool{}
	riding := map[shop.YesNo]bool{shop.YesNoNo: key == estimate.ScopePutBack, shop.YesNoNotKnown: key == estimate.ScopeLookFurther}
	var minutes int64
	for _, f := range s.Findings {
		switch {
		case fix(f):
			in[f.ID], mended[f.Component] = true, true
			for _, r := range s.Repairs {
				if r.For == f.ID {
					minutes += r.Minutes
				}
			}
		case f.SafeToRide == "":
			riding[shop.YesNoNotKnown] = true
		default:
			riding[f.SafeToRide] = true
		}
		if key == estimate.ScopeLookFurther && f.Advised == shop.AdvisedLookFurther {
			in[f.ID] = true
		}
	}
	for _, u := range s.Unseen {
		if key == estimate.ScopeLookFurther {
			in[u.Component] = true
		} else if !mended[u.Component] {
			riding[shop.YesNoNotKnown] = true
		}
	}
	for _, l := range s.Looks {
		looked := slices.ContainsFunc(s.Unseen, func(u estimate.Unseen) bool { return u.Component == l.For }) ||
			slices.ContainsFunc(s.Findings, func(f estimate.Found) bool { return f.ID == l.For && f.Advised == shop.AdvisedLookFurther })
		if key == estimate.ScopeLookFurther && looked {
			minutes += l.Minutes
		}
	}
	for _, st := range s.Steps {
		needed := in[st.NeededBy[0]] || in[st.NeededBy[1]]
		if st.Done || needed {
			minutes += st.Back
		}
		if !st.Done && needed {
			minutes += st.Minutes
		}
	}
	out := naiveScope{minutes, shop.YesNoYes}
	if riding[shop.YesNoNotKnown] {
		out.riding = shop.YesNoNotKnown
	}
	if riding[shop.YesNoNo] {
		out.riding = shop.YesNoNo
	}
	return out
}

func TestSuggestAgreesWithReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s, rules := drawSituation(t), drawRules(t)
		out := mustSuggest(t, s, rules)
		lines := map[string]estimate.Line{}
		for _, l := range out.Lines {
			lines[l.ID] = l.Line
		}
		for _, sc := range out.Scopes {
			var minutes int64
			var own []estimate.Line
			for _, id := range sc.Lines {
				own = append(own, lines[id])
				if lines[id].Certainty == estimate.Certain {
					minutes += lines[id].Minutes
				}
			}
			want := naiveWay(s, sc.Key)
			if got := (naiveScope{minutes, sc.Riding}); got != want {
				t.Fatalf("%s: %+v, want %+v\n%+v", sc.Key, got, want, s)
			}
			if diff := cmp.Diff(mustTotal(t, own, rules).Totals, sc.Totals); diff != "" {
				t.Fatalf("%s: its lines do not make its totals\n%s", sc.Key, diff)
			}
		}
	})
}

func TestLawDangerIsNeverRidden(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSituation(t)
		for _, sc := range mustSuggest(t, s, drawRules(t)).Scopes {
			for _, f := range s.Findings {
				if f.SafeToRide == shop.YesNoNo && !slices.Contains(sc.Repairs, f.ID) && sc.Riding != shop.YesNoNo {
					t.Fatalf("%s leaves %s and riding is %s", sc.Key, f.ID, sc.Riding)
				}
			}
			if sc.Key == estimate.ScopePutBack && sc.Riding != shop.YesNoNo || len(sc.RidingWhy) == 0 {
				t.Fatalf("%s: riding %s, %q", sc.Key, sc.Riding, sc.RidingWhy)
			}
		}
	})
}

// Striking a line never makes the rest dearer than shown, and the parts of a
// way forward sum to it.
func TestLawStrikingALineLeavesTheRest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rules := drawRules(t)
		out := mustSuggest(t, drawSituation(t), rules)
		sc := rapid.SampledFrom(out.Scopes).Draw(t, "way")
		var own []estimate.Line
		for _, l := range out.Lines {
			if slices.Contains(sc.Lines, l.ID) {
				own = append(own, l.Line)
			}
		}
		if len(own) == 0 {
			return
		}
		struck := rapid.IntRange(0, len(own)-1).Draw(t, "struck")
		rest := mustTotal(t, slices.Concat(own[:struck], own[struck+1:]), rules).Totals
		if rest.Low.Gross > sc.Totals.Low.Gross || rest.High.Gross > sc.Totals.High.Gross {
			t.Fatalf("without %s it is dearer: %+v, %+v", own[struck].ID, rest, sc.Totals)
		}
	})
}

func TestLawOrderOfFindingsDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s, rules := drawSituation(t), drawRules(t)
		first := mustSuggest(t, s, rules)
		s.Findings = rapid.Permutation(s.Findings).Draw(t, "findings")
		s.Parts = rapid.Permutation(s.Parts).Draw(t, "parts")
		s.Steps = rapid.Permutation(s.Steps).Draw(t, "steps")
		again := mustSuggest(t, s, rules)
		if len(first.Scopes) != len(again.Scopes) {
			t.Fatalf("%d and %d ways", len(first.Scopes), len(again.Scopes))
		}
		for i, sc := range first.Scopes {
			if diff := cmp.Diff(sc.Totals, again.Scopes[i].Totals); diff != "" || sc.Riding != again.Scopes[i].Riding {
				t.Fatalf("%s: %s", sc.Key, diff)
			}
		}
	})
}

// Each way forward does at least what the one before it does, and costs it.
func TestLawMoreWorkCostsMore(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rules := drawRules(t)
		scopes := mustSuggest(t, drawSituation(t), rules).Scopes
		work := scopes[:len(scopes)-1] // put back last
		for i := 1; i < len(work); i++ {
			a, b := work[i-1].Totals, work[i].Totals
			if rules.LineRounding != money.Up && rules.LineRounding != money.Down && b.Low.Net+b.Low.Tax < a.Low.Net+a.Low.Tax {
				t.Fatalf("%s %+v, %s %+v", work[i-1].Key, a.Low, work[i].Key, b.Low)
			}
			for _, id := range work[i-1].Repairs {
				if !slices.Contains(work[i].Repairs, id) {
					t.Fatalf("%s leaves %s", work[i].Key, id)
				}
			}
		}
	})
}

func TestLawUnpricedPartsHaveNoLine(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSituation(t)
		out := mustSuggest(t, s, drawRules(t))
		unpriced := 0
		for _, p := range s.Parts {
			if p.Price == nil {
				unpriced++
				if slices.ContainsFunc(out.Lines, func(l estimate.ProposedLine) bool { return l.Label == p.Name }) {
					t.Fatalf("%s has a line", p.Name)
				}
			}
		}
		if len(out.PricesMissing) != unpriced {
			t.Fatalf("%d missing, want %d", len(out.PricesMissing), unpriced)
		}
	})
}

func FuzzSuggest(f *testing.F) {
	seed, err := json.Marshal(worn())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(seed)
	f.Add([]byte(`{"findings":[{"id":"a","caused_by":"b"},{"id":"b","caused_by":"a"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s estimate.Situation
		if json.Unmarshal(data, &s) != nil {
			return
		}
		out, err := estimate.Suggest(s, untaxed())
		if err != nil {
			return
		}
		if len(out.Scopes) == 0 || out.Scopes[len(out.Scopes)-1].Key != estimate.ScopePutBack {
			t.Fatalf("putting back is not proposed: %+v", out.Scopes)
		}
		for _, sc := range out.Scopes {
			if sc.Totals.Low.Gross > sc.Totals.High.Gross {
				t.Fatalf("%s: %+v", sc.Key, sc.Totals)
			}
		}
	})
}

func BenchmarkSuggest(b *testing.B) {
	for b.Loop() {
		if _, err := estimate.Suggest(worn(), untaxed()); err != nil {
			b.Fatal(err)
		}
	}
}
