package checks_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/checks"
	"benchtag/internal/layout"
)

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// machine is a map with a component of each kind.
func machine(t fataler, kinds ...layout.Key) *layout.Compiled {
	t.Helper()
	m := layout.Map{Format: layout.MapFormat, Code: "bench", Revision: 1, Title: "A bench", Example: true, Notice: "Example figures, not for service.",
		Assemblies:   []layout.Assembly{{Key: "engine", Name: "Engine"}},
		Compartments: []layout.Compartment{{Key: "sump", Name: "Sump", Medium: layout.Oil}},
		Steps:        []layout.Step{}, Fastenings: []layout.Fastening{}, Groups: []layout.Group{}, Circuits: []layout.Circuit{}, Points: []layout.Point{}, Looks: []layout.Look{}}
	for i, k := range kinds {
		m.Components = append(m.Components, layout.Component{Key: layout.Key(fmt.Sprintf("c%d", i)), Name: "The " + string(k), Assembly: "engine", Kind: k,
			Safety: layout.Major, Look: [][]layout.Key{}, Renew: [][]layout.Key{}})
	}
	compiled, err := layout.Compile(m)
	if err != nil {
		t.Fatalf("the map of the test is not sound: %v", err)
	}
	return compiled
}

// everything is a map with every kind the catalogue knows.
func everything(t fataler) *layout.Compiled {
	var kinds []layout.Key
	for _, c := range must(checks.Shipped()).Causes {
		if !slices.Contains(kinds, c.Kind) {
			kinds = append(kinds, c.Kind)
		}
	}
	return machine(t, kinds...)
}

// primary is the primary side of a machine, alone.
func primary(t fataler) *layout.Compiled {
	return machine(t, "primary_chain", "clutch_nut", "clutch_bearing", "gearbox_bearing", "gearbox_bearing")
}

func find(a checks.Advice, cause string) checks.Likely {
	i := slices.IndexFunc(a.Causes, func(l checks.Likely) bool { return l.Cause == cause })
	if i < 0 {
		return checks.Likely{}
	}
	return a.Causes[i]
}

func TestForReckonsByHand(t *testing.T) {
	t.Parallel()
	// Weights for primary_noise: chain 8, clutch bearing 6, clutch nut 5,
	// gearbox bearing 2, something else 1; together 22.
	a := must(checks.For(primary(t), checks.Question{Symptoms: []string{"primary_noise"}}))
	for cause, want := range map[string]string{"primary_chain_slack": "0.3636363636", "clutch_bearing_worn": "0.2727272727", "clutch_nut_loose": "0.2272727273", "gearbox_bearing_worn": "0.09090909091"} {
		if got := find(a, cause).Mean.String(); got != want {
			t.Errorf("%s: %s, want %s", cause, got, want)
		}
	}
	if got := find(a, "gearbox_bearing_worn").Components; len(got) != 2 {
		t.Errorf("components: %v", got)
	}
	// Listening finds the clutch bearing, and the gearbox bearing 3 times in
	// 4: 7.5/22 in 3 min. Then the cap (5 min) with the chain, 8/22 in 10, and
	// the nut, 5/22 in 8. The ride finds the rest of the gearbox bearing,
	// 0.5/22 in 15.
	var order []string
	for _, l := range a.Looks {
		order = append(order, l.Check)
	}
	if diff := cmp.Diff([]string{"clutch_listen", "primary_feel", "primary_nuts", "gear_ride"}, order); diff != "" {
		t.Errorf("order:\n%s", diff)
	}
	// 3 + 14.5/22 x (5 + 10) + 6.5/22 x 8 + 1.5/22 x 15; 1/22 is missed.
	if a.Expected.String() != "16.27272727" || a.Missed.String() != "0.04545454545" || a.Method != checks.AllOrders {
		t.Errorf("expected %s, missed %s, by %s", a.Expected, a.Missed, a.Method)
	}
	if a.Other.Mean.String() != "0.04545454545" {
		t.Errorf("something else: %s", a.Other.Mean)
	}
}

func TestForTakesCircumstancesAndCounts(t *testing.T) {
	t.Parallel()
	// With the clutch pulled: bearing 6 x 2.5 = 15, nut 5 x 1.5 = 7.5, chain
	// 8, gearbox bearing 2; the shop counted 20 chains and 3 gearbox bearings
	// by their kind. Together
	// 56.5 with something else.
	a := must(checks.For(primary(t), checks.Question{Symptoms: []string{"primary_noise"}, Circumstances: []string{"clutch_pulled", "clutch_pulled"},
		Counts: []checks.Count{{Cause: "primary_chain_slack", Count: 20}, {Kind: "gearbox_bearing", Count: 3}, {Cause: "valve_burnt", Count: 9}}}))
	for cause, want := range map[string][3]string{
		"primary_chain_slack":  {"8", "20", "0.4955752212"},
		"clutch_bearing_worn":  {"15", "0", "0.2654867257"},
		"clutch_nut_loose":     {"7.5", "0", "0.1327433628"},
		"gearbox_bearing_worn": {"2", "3", "0.08849557522"},
	} {
		l := find(a, cause)
		if diff := cmp.Diff(want, [3]string{l.Weight.String(), l.Count.String(), l.Mean.String()}); diff != "" {
			t.Errorf("%s:\n%s", cause, diff)
		}
	}
}

func TestForRulesOut(t *testing.T) {
	t.Parallel()
	q := checks.Question{Symptoms: []string{"primary_noise"}, Clean: []string{"clutch_listen"}, Opened: []string{"primary_cap_off"}}
	a := must(checks.For(primary(t), q))
	if l := find(a, "clutch_bearing_worn"); !l.RuledOut || l.Mean != 0 {
		t.Errorf("the clutch bearing: %+v", l)
	}
	// What only samples lowers the doubt and does not take it away: a quarter
	// of the gearbox bearing's 2 is left, of 8 + 5 + 0.5 + 1.
	if l := find(a, "gearbox_bearing_worn"); l.RuledOut || l.Kept != 0.25 || l.Mean.String() != "0.03448275862" {
		t.Errorf("the gearbox bearing: %+v", l)
	}
	if l := find(a, "primary_chain_slack"); l.Mean.String() != "0.5517241379" {
		t.Errorf("the chain: %s, want 8/14.5", l.Mean)
	}
	if len(a.Looks) != 3 || a.Looks[0].Opening != 0 || a.Looks[0].Check != "primary_feel" {
		t.Errorf("looks: %+v", a.Looks)
	}
	for _, s := range a.Stops {
		if s.Because == "clutch_bearing_worn" {
			t.Error("warns of what is ruled out")
		}
	}
	q.Clean = []string{"clutch_listen", "primary_feel", "primary_nuts", "gear_ride", "drain_plug_look"}
	none := must(checks.For(primary(t), q))
	if len(none.Looks) != 0 || none.Missed != 1 || none.Other.Mean != 1 {
		t.Errorf("with all checks made: %+v", none)
	}
}

// A clean drain plug never clears a bearing: a plug is a sampler.
func TestPlugClearsNothing(t *testing.T) {
	t.Parallel()
	m := machine(t, "big_end", "main_bearing")
	before := must(checks.For(m, checks.Question{Symptoms: []string{"bottom_end_knock"}}))
	after := must(checks.For(m, checks.Question{Symptoms: []string{"bottom_end_knock"}, Clean: []string{"drain_plug_look", "filter_look", "listen_where"}}))
	for _, cause := range []string{"big_end_worn", "main_bearing_worn"} {
		b, a := find(before, cause), find(after, cause)
		if a.RuledOut || a.Mean <= 0 || a.Mean >= b.Mean {
			t.Errorf("%s: %s, then %s, ruled out %v", cause, b.Mean, a.Mean, a.RuledOut)
		}
	}
}

// A kind of complaint stands for all its symptoms.
func TestForTakesComplaints(t *testing.T) {
	t.Parallel()
	c := must(checks.Shipped())
	var brakes []string
	for _, s := range c.Symptoms {
		if s.Of == "brakes" {
			brakes = append(brakes, s.Key)
		}
	}
	m := everything(t)
	whole, apart := must(checks.For(m, checks.Question{Symptoms: []string{"brakes"}})), must(checks.For(m, checks.Question{Symptoms: brakes}))
	if diff := cmp.Diff(apart, whole); diff != "" || len(whole.Causes) == 0 {
		t.Error(diff)
	}
	if len(whole.Stops) == 0 || !whole.Stops[0].Certain {
		t.Errorf("a bad brake may be ridden: %+v", whole.Stops)
	}
}

// Without such a part there is nothing to say, and nothing is made up.
func TestForWithoutTheParts(t *testing.T) {
	t.Parallel()
	a := must(checks.For(machine(t, "drive_chain"), checks.Question{Symptoms: []string{"coolant_leak"}}))
	if len(a.Causes) != 0 || len(a.Looks) != 0 {
		t.Errorf("%+v", a)
	}
}

// A noise from the primary side has cheap explanations that come first: a
// slack chain, a loose nut, a worn bearing. Common practice, no source.
func TestPrimaryNoiseBeginsCheaply(t *testing.T) {
	t.Parallel()
	a := must(checks.For(everything(t), checks.Question{Symptoms: []string{"primary_noise"}}))
	cheap := 0
	for _, l := range a.Looks[:3] {
		if slices.Contains([]string{"clutch_listen", "primary_feel", "primary_nuts", "chain_feel"}, l.Check) {
			cheap++
		}
	}
	if cheap < 3 {
		t.Errorf("the first looks are %s, %s, %s", a.Looks[0].Check, a.Looks[1].Check, a.Looks[2].Check)
	}
}

func TestForRefuses(t *testing.T) {
	t.Parallel()
	ok := []string{"primary_noise"}
	for name, c := range map[string]struct {
		q    checks.Question
		code string
	}{
		"no symptom":      {checks.Question{}, "checks.symptom_unknown"},
		"other":           {checks.Question{Symptoms: []string{"other"}}, "checks.symptom_unknown"},
		"a circumstance":  {checks.Question{Symptoms: ok, Circumstances: []string{"moon"}}, "checks.circumstance_unknown"},
		"a check":         {checks.Question{Symptoms: ok, Clean: []string{"moon"}}, "checks.check_unknown"},
		"an opening":      {checks.Question{Symptoms: ok, Opened: []string{"moon"}}, "checks.opening_unknown"},
		"a cause":         {checks.Question{Symptoms: ok, Counts: []checks.Count{{Cause: "moon", Count: 1}}}, "checks.count_unclear"},
		"a kind":          {checks.Question{Symptoms: ok, Counts: []checks.Count{{Kind: "moon", Count: 1}}}, "checks.count_unclear"},
		"a count below 0": {checks.Question{Symptoms: ok, Counts: []checks.Count{{Kind: "valve", Count: -1}}}, "checks.count_unclear"},
		"of nothing":      {checks.Question{Symptoms: ok, Counts: []checks.Count{{Count: 1}}}, "checks.count_unclear"},
		"of both":         {checks.Question{Symptoms: ok, Counts: []checks.Count{{Cause: "valve_burnt", Kind: "valve", Count: 1}}}, "checks.count_unclear"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := checks.For(primary(t), c.q)
			if codeOf(err) != c.code {
				t.Errorf("got %v, want %s", err, c.code)
			}
		})
	}
}

// drawQuestion draws a question the catalogue can answer.
func drawQuestion(t *rapid.T, c checks.Catalogue) checks.Question {
	q := checks.Question{Symptoms: []string{rapid.SampledFrom(c.Symptoms).Draw(t, "symptom").Key}}
	if rapid.Bool().Draw(t, "two") {
		q.Symptoms = append(q.Symptoms, rapid.SampledFrom(c.Symptoms).Draw(t, "another").Key)
	}
	for range rapid.IntRange(0, 3).Draw(t, "counts") {
		q.Counts = append(q.Counts, checks.Count{Cause: rapid.SampledFrom(c.Causes).Draw(t, "cause").Key, Count: rapid.Int64Range(0, 20).Draw(t, "count")})
	}
	for range rapid.IntRange(0, 2).Draw(t, "clean") {
		q.Clean = append(q.Clean, rapid.SampledFrom(c.Checks).Draw(t, "check").Key)
	}
	q.Circumstances = append(q.Circumstances, rapid.SampledFrom(c.Circumstances).Draw(t, "circumstance").Key)
	return q
}

// Whatever is asked: probabilities add up, what is ruled out stays out, no
// look comes twice or again, each finds something, and a look not made yet
// that could find a cause is there.
func TestForHolds(t *testing.T) {
	t.Parallel()
	m, c := everything(t), must(checks.Shipped())
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuestion(t, c)
		a := must(checks.For(m, q))
		sum := float64(a.Other.Mean)
		for _, l := range a.Causes {
			sum += float64(l.Mean)
			if l.RuledOut && l.Mean != 0 {
				t.Fatalf("ruled out, and likely: %+v", l)
			}
		}
		if sum < 1-1e-9 || sum > 1+1e-9 {
			t.Fatalf("probabilities add up to %v", sum)
		}
		seen := map[string]bool{}
		for _, l := range a.Looks {
			if seen[l.Check] || slices.Contains(q.Clean, l.Check) || len(l.Finds)+len(l.Samples) == 0 || l.Do == "" {
				t.Fatalf("look %+v", l)
			}
			seen[l.Check] = true
		}
		if found := float64(a.Missed) + float64(sumOf(a.Looks)); found < 1-1e-9 || found > 1+1e-9 {
			t.Fatalf("missed %s, found %s", a.Missed, sumOf(a.Looks))
		}
	})
}

// What is still open before each look is what is left of each cause: nothing
// once a look that finds it was made, else the share that each sample made
// leaves; and something else stays whole.
func TestOpenIsWhatIsLeft(t *testing.T) {
	t.Parallel()
	m, c := everything(t), must(checks.Shipped())
	rapid.Check(t, func(t *rapid.T) {
		a := must(checks.For(m, drawQuestion(t, c)))
		left := map[string]float64{}
		for _, l := range a.Causes {
			left[l.Cause] = float64(l.Mean)
		}
		expected := 0.0
		for _, look := range a.Looks {
			open := float64(a.Other.Mean)
			for _, p := range left {
				open += p
			}
			if !near(look.Open, open, 1e-9) {
				t.Fatalf("before %s %s is open, by definition %v", look.Check, look.Open, open)
			}
			expected += open * float64(look.Opening+look.Cost)
			for _, k := range look.Finds {
				left[k] = 0
			}
			for k, percent := range look.Samples {
				left[k] *= 1 - float64(percent)/100
			}
		}
		if !near(a.Expected, expected, 1e-6) {
			t.Fatalf("expected %s, by definition %v", a.Expected, expected)
		}
	})
}

func sumOf(looks []checks.Look) checks.Figure {
	var sum checks.Figure
	for _, l := range looks {
		sum += l.P
	}
	return sum
}

// Jobs counted for a cause make it likelier, and never bring its look later
// than without when they outweigh all else.
func TestCountsOutweighExamples(t *testing.T) {
	t.Parallel()
	m := everything(t)
	a := must(checks.For(m, checks.Question{Symptoms: []string{"top_end_noise"}, Counts: []checks.Count{{Cause: "exhaust_gasket_blowing", Count: 100_000}}}))
	if a.Causes[0].Cause != "exhaust_gasket_blowing" || a.Looks[0].Check != "exhaust_feel" {
		t.Errorf("%s by %s", a.Causes[0].Cause, a.Looks[0].Check)
	}
}

func FuzzFor(f *testing.F) {
	f.Add([]byte(`{"symptoms":["primary_noise"],"circumstances":["clutch_pulled"],"counts":[{"cause":"primary_chain_slack","count":3}],"clean":["clutch_listen"],"opened":["primary_cap_off"]}`))
	f.Add([]byte(`{"symptoms":["noise","no_start"],"counts":[{"kind":"valve","count":1000000000}]}`))
	m := everything(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		var q checks.Question
		if json.Unmarshal(text, &q) != nil {
			return
		}
		a, err := checks.For(m, q)
		if err != nil {
			return
		}
		if len(a.Looks) > 0 && (a.Expected <= 0 || a.Missed < 0 || a.Missed > 1) {
			t.Fatalf("expected %s, missed %s", a.Expected, a.Missed)
		}
	})
}

func BenchmarkFor(b *testing.B) {
	m := everything(b)
	for b.Loop() {
		must(checks.For(m, checks.Question{Symptoms: []string{"noise"}}))
	}
}

func BenchmarkOrder(b *testing.B) {
	var list []string
	for i := range 100 {
		list = append(list, fmt.Sprintf("t%d 1/%d", i, i+3))
	}
	p := plain(list...)
	for i := range p.Causes {
		p.Causes[i].P = rat("1/100")
	}
	for b.Loop() {
		if _, _, err := checks.Order(p); err != nil {
			b.Fatal(err)
		}
	}
}
