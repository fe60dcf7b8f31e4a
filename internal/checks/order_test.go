package checks_test

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/checks"
	"benchtag/internal/fault"
)

// rat reads an exact number.
func rat(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic(text)
	}
	return r
}

// plain is a problem in which each check finds one cause of its own:
// "A .5/40 in cover", with ":100" for a repair cost.
func plain(checksOf ...string) checks.Problem {
	var p checks.Problem
	for _, text := range checksOf {
		f := strings.Fields(text)
		chance, cost, _ := strings.Cut(f[1], "/")
		cost, repair, repaired := strings.Cut(cost, ":")
		c := checks.Chance{Key: f[0], P: rat(chance)}
		if repaired {
			c.Repair = rat(repair)
		}
		task := checks.Task{Key: f[0], Cost: rat(cost), Finds: []string{f[0]}}
		if len(f) > 2 {
			task.Opens = f[3:]
		}
		p.Causes, p.Tasks = append(p.Causes, c), append(p.Tasks, task)
	}
	return p
}

func covers(p checks.Problem, list ...string) checks.Problem {
	for _, text := range list {
		f := strings.Fields(text)
		o := checks.Opening{Key: f[0], Cost: rat(f[1])}
		if len(f) > 2 {
			o.Inside = f[2]
		}
		p.Openings = append(p.Openings, o)
	}
	return p
}

func sequence(s checks.Sequence) string {
	var out []string
	for _, t := range s.Turns {
		out = append(out, t.Check)
	}
	return strings.Join(out, " ")
}

func TestOrder(t *testing.T) {
	t.Parallel()
	three := plain("A .5/40", "B .3/10", "C .2/5")
	for name, c := range map[string]struct {
		p      checks.Problem
		want   string
		cost   string
		method checks.Method
	}{
		"p over c":                         {three, "C B A", "33", checks.ByRatio},
		"repair costs change nothing":      {plain("A .5/40:100", "B .3/10:50", "C .2/5:20"), "C B A", "33", checks.ByRatio},
		"equal ratios stay as named":       {plain("A .1/1", "B .3/3", "C .2/2"), "A B C", "4.9", checks.ByRatio},
		"what costs nothing comes first":   {plain("A .5/1", "B 0/0", "C .1/0"), "B C A", "0.9", checks.ByRatio},
		"what finds nothing comes last":    {plain("A 0/1", "B .1/100"), "B A", "100.9", checks.ByRatio},
		"one check":                        {plain("A .5/7"), "A", "7", checks.ByRatio},
		"an opening not worth it at first": {covers(plain("A .5/1 in k", "B .3/10"), "k 30"), "B A", "31.7", checks.ByRatio},
		"an opening shared":                {covers(plain("A .3/1 in k", "B .2/10", "C .3/1 in k"), "k 20"), "A C B", "25.7", checks.ByRatio},
		"an opening inside another":        {covers(plain("A .6/1 in k", "B .1/10", "C .2/1 in l"), "k 5 l", "l 5"), "C A B", "12.8", checks.ByRatio},
		"an opening nobody needs":          {covers(plain("A .6/1"), "k 5"), "A", "1", checks.ByRatio},
		"two openings for one check":       {covers(plain("A .6/1 in k l", "B .3/6 in k"), "k 5", "l 4"), "A B", "12.4", checks.AllOrders},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, method, err := checks.Order(c.p)
			if err != nil {
				t.Fatal(err)
			}
			if sequence(got) != c.want || got.Expected.String() != c.cost || method != c.method {
				t.Errorf("got %s at %s by %s, want %s at %s by %s", sequence(got), got.Expected, method, c.want, c.cost, c.method)
			}
		})
	}
}

func TestEvaluate(t *testing.T) {
	t.Parallel()
	p := plain("A .5/40:100", "B .3/10:50", "C .2/5:20")
	for order, want := range map[string]string{"A B C": "46", "A C B": "45.5", "B A C": "39", "B C A": "33.5", "C A B": "40", "C B A": "33"} {
		got, err := checks.Evaluate(p, strings.Fields(order))
		if err != nil || got.Expected.String() != want || got.Repair.String() != "69" || sequence(got) != order {
			t.Errorf("%s: %s and %s, %v; want %s and 69", order, got.Expected, got.Repair, err, want)
		}
	}
	turns := must(checks.Evaluate(p, strings.Fields("C B A"))).Turns
	want := checks.Turn{Check: "A", Opens: []string{}, Open: 0.5, Cost: 40, P: 0.5, Ratio: "0.0125", Adds: 20}
	if diff := cmp.Diff(want, turns[2]); diff != "" {
		t.Errorf("last turn (-want +got):\n%s", diff)
	}
	for _, order := range []string{"A B", "A B B", "A B D", "A B C C"} {
		_, err := checks.Evaluate(p, strings.Fields(order))
		if codeOf(err) != "checks.order_incomplete" {
			t.Errorf("%s: %v", order, err)
		}
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func codeOf(err error) string {
	var f *fault.Error
	if errors.As(err, &f) {
		return f.Code
	}
	return fmt.Sprint(err)
}

func TestOrderRefuses(t *testing.T) {
	t.Parallel()
	noP, noCost, strange := plain("A .5/1"), plain("A .5/1"), plain("A .5/1")
	noP.Causes[0].P, noCost.Tasks[0].Cost, strange.Tasks[0].Finds = nil, nil, []string{"X"}
	many := make([]string, 101)
	for i := range many {
		many[i] = fmt.Sprintf("A%d 0/1", i)
	}
	for name, c := range map[string]struct {
		p    checks.Problem
		code string
	}{
		"none":                  {checks.Problem{}, "checks.checks_missing"},
		"too many":              {plain(many...), "checks.checks_missing"},
		"a key twice":           {plain("A .1/1", "A .1/1"), "checks.key_twice"},
		"a negative p":          {plain("A -.1/1"), "checks.p_outside"},
		"no p":                  {noP, "checks.p_outside"},
		"more than 1":           {plain("A .6/1", "B .41/1"), "checks.p_outside"},
		"a negative cost":       {plain("A .6/-1"), "checks.cost_negative"},
		"no cost":               {noCost, "checks.cost_negative"},
		"a negative repair":     {plain("A .6/1:-1"), "checks.cost_negative"},
		"a negative opening":    {covers(plain("A .6/1"), "k -1"), "checks.cost_negative"},
		"an unknown cause":      {strange, "checks.cause_unknown"},
		"an unknown opening":    {plain("A .6/1 in k"), "checks.opening_unknown"},
		"inside an unknown one": {covers(plain("A .6/1"), "k 1 l"), "checks.opening_unknown"},
		"inside itself":         {covers(plain("A .6/1"), "k 1 l", "l 1 k"), "checks.opening_ring"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, _, err := checks.Order(c.p)
			if codeOf(err) != c.code {
				t.Errorf("got %v, want %s", err, c.code)
			}
			_, err = checks.Evaluate(c.p, []string{"A"})
			if codeOf(err) != c.code {
				t.Errorf("evaluating: got %v, want %s", err, c.code)
			}
		})
	}
}

func TestMethodsAreComplete(t *testing.T) {
	t.Parallel()
	if diff := cmp.Diff([]checks.Method{"by_ratio", "all_orders", "by_trial"}, checks.Methods()); diff != "" {
		t.Error(diff)
	}
}

func TestFigures(t *testing.T) {
	t.Parallel()
	for f, want := range map[checks.Figure]string{0: "0", 1: "1", 1.0 / 3: "0.3333333333", 1e-7: "0.0000001", -2.5: "-2.5", 123456789012: "123456789000"} {
		text, err := f.MarshalText()
		if err != nil || string(text) != want {
			t.Errorf("%v: %s, %v; want %s", float64(f), text, err, want)
		}
	}
}

// byDefinition is the expected cost of an order, from the definition: for
// each cause, what has been paid when it is found, times its probability.
func byDefinition(p checks.Problem, order []int) *big.Rat {
	sum, rest := new(big.Rat), big.NewRat(1, 1)
	for _, cause := range p.Causes {
		rest.Sub(rest, cause.P)
		paid := paidUntil(p, order, cause.Key)
		sum.Add(sum, paid.Mul(paid, cause.P))
	}
	all := paidUntil(p, order, "")
	return sum.Add(sum, all.Mul(all, rest))
}

func paidUntil(p checks.Problem, order []int, cause string) *big.Rat {
	paid, opened := new(big.Rat), map[string]bool{}
	for _, i := range order {
		paid.Add(paid, p.Tasks[i].Cost)
		for _, k := range p.Tasks[i].Opens {
			for k != "" && !opened[k] {
				o := p.Openings[slices.IndexFunc(p.Openings, func(o checks.Opening) bool { return o.Key == k })]
				opened[k] = true
				paid.Add(paid, o.Cost)
				k = o.Inside
			}
		}
		if slices.Contains(p.Tasks[i].Finds, cause) {
			break
		}
	}
	return paid
}

// permutations calls f with each order of n things.
func permutations(n int, f func([]int)) {
	order := make([]int, 0, n)
	var next func()
	next = func() {
		if len(order) == n {
			f(order)
			return
		}
		for i := range n {
			if !slices.Contains(order, i) {
				order = append(order, i)
				next()
				order = order[:len(order)-1]
			}
		}
	}
	next()
}

// drawProblem draws up to n checks. Where apart, each cause is found by one
// check and each check needs one chain of openings.
func drawProblem(t *rapid.T, n int, apart bool) checks.Problem {
	var p checks.Problem
	weights := rapid.SliceOfN(rapid.Int64Range(0, 9), 2, 8).Draw(t, "weights")
	sum := int64(1)
	for _, w := range weights {
		sum += w
	}
	for i, w := range weights {
		p.Causes = append(p.Causes, checks.Chance{Key: fmt.Sprint("cause", i), P: big.NewRat(w, sum)})
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "openings") {
		o := checks.Opening{Key: fmt.Sprint("o", i), Cost: big.NewRat(rapid.Int64Range(0, 30).Draw(t, "opening"), 1)}
		if i > 0 && rapid.Bool().Draw(t, "nested") {
			o.Inside = fmt.Sprint("o", rapid.IntRange(0, i-1).Draw(t, "inside"))
		}
		p.Openings = append(p.Openings, o)
	}
	taken := 0
	for i := range rapid.IntRange(1, n).Draw(t, "tasks") {
		task := checks.Task{Key: fmt.Sprint("t", i), Cost: big.NewRat(rapid.Int64Range(0, 20).Draw(t, "cost"), 1)}
		for c := range p.Causes {
			if apart && c >= taken && rapid.Bool().Draw(t, "finds") {
				task.Finds, taken = append(task.Finds, p.Causes[c].Key), c+1
			}
			if !apart && rapid.IntRange(0, 3).Draw(t, "finds") == 0 {
				task.Finds = append(task.Finds, p.Causes[c].Key)
			}
		}
		for range rapid.IntRange(0, 2).Draw(t, "opens") {
			if len(p.Openings) > 0 && (!apart || len(task.Opens) == 0) {
				task.Opens = append(task.Opens, p.Openings[rapid.IntRange(0, len(p.Openings)-1).Draw(t, "opening")].Key)
			}
		}
		p.Tasks = append(p.Tasks, task)
	}
	return p
}

// No order of all there are is cheaper than the one found, by either exact
// method; and what an order costs is what the definition says.
func TestNoOrderIsCheaper(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		apart := rapid.Bool().Draw(t, "apart")
		p := drawProblem(t, 6, apart)
		got, method, err := checks.Order(p)
		if err != nil {
			t.Fatal(err)
		}
		if method == checks.ByTrial || apart && method != checks.ByRatio {
			t.Fatalf("found by %s", method)
		}
		var best *big.Rat
		permutations(len(p.Tasks), func(order []int) {
			cost := byDefinition(p, order)
			if best == nil || cost.Cmp(best) < 0 {
				best = cost
			}
		})
		if f, _ := best.Float64(); checks.Figure(f).String() != got.Expected.String() {
			t.Fatalf("found %s by %s: %s; the cheapest order costs %s", sequence(got), method, got.Expected, checks.Figure(f))
		}
	})
}

// An order weighed by hand is never cheaper than the definition says, and the
// turns add up.
func TestTurnsAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 40, false)
		order := rapid.Permutation(numbers(len(p.Tasks))).Draw(t, "order")
		var keys []string
		for _, i := range order {
			keys = append(keys, p.Tasks[i].Key)
		}
		got := must(checks.Evaluate(p, keys))
		if f, _ := byDefinition(p, order).Float64(); checks.Figure(f).String() != got.Expected.String() {
			t.Fatalf("expected %s, by definition %s", got.Expected, checks.Figure(f))
		}
		found := must(second(checks.Order(p)))
		if float64(found.Expected) > float64(got.Expected)*(1+1e-9) {
			t.Fatalf("the order found costs %s, one at random %s", found.Expected, got.Expected)
		}
		if sum := found.Missed + sumP(found); sum < 1-1e-9 || sum > 1+1e-9 {
			t.Fatalf("found and missed add up to %s", sum)
		}
	})
}

func second(s checks.Sequence, _ checks.Method, err error) (checks.Sequence, error) { return s, err }

func sumP(s checks.Sequence) checks.Figure {
	var sum checks.Figure
	for _, t := range s.Turns {
		sum += t.P
	}
	return sum
}

func numbers(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Where checks stand apart, trial finds about what the ratio rule proves: the
// same problem with one overlap added is hardly dearer.
func TestTrialIsNearTheBest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var list []string
		for i := range 20 {
			list = append(list, fmt.Sprintf("t%d %d/%d", i, 0, rapid.IntRange(1, 40).Draw(t, "cost")))
		}
		p := plain(list...)
		for i := range p.Causes {
			p.Causes[i].P = big.NewRat(rapid.Int64Range(0, 50).Draw(t, "p"), 1000)
		}
		best, method, err := checks.Order(p)
		if err != nil || method != checks.ByRatio {
			t.Fatalf("%s, %v", method, err)
		}
		p.Causes = append(p.Causes, checks.Chance{Key: "none", P: new(big.Rat)})
		for i := range p.Tasks {
			p.Tasks[i].Finds = append(p.Tasks[i].Finds, "none")
		}
		tried, method, err := checks.Order(p)
		if err != nil || method != checks.ByTrial {
			t.Fatalf("%s, %v", method, err)
		}
		if float64(tried.Expected) > 1.000001*float64(best.Expected) {
			t.Fatalf("trial %s, proven %s", tried.Expected, best.Expected)
		}
	})
}

// Taking the best ratio at each turn would begin with the wide check; moving
// it back saves a quarter. Twelve checks that find nothing make the problem
// too large to compare all orders.
func TestTrialImproves(t *testing.T) {
	t.Parallel()
	p := checks.Problem{
		Causes: []checks.Chance{{Key: "x", P: rat("1/6")}, {Key: "y", P: rat("2/6")}, {Key: "z", P: rat("3/6")}},
		Tasks: []checks.Task{
			{Key: "wide", Cost: rat("6"), Finds: []string{"x", "y", "z"}},
			{Key: "left", Cost: rat("3"), Finds: []string{"x", "y"}},
			{Key: "right", Cost: rat("3"), Finds: []string{"z"}},
		},
	}
	for i := range 12 {
		p.Tasks = append(p.Tasks, checks.Task{Key: fmt.Sprint("idle", i), Cost: rat("1")})
	}
	got, method, err := checks.Order(p)
	if err != nil || method != checks.ByTrial || got.Expected.String() != "4.5" {
		t.Errorf("%s at %s by %s, %v; want 4.5", sequence(got), got.Expected, method, err)
	}
}

// With openings shared and causes found twice, trial stays close to the best
// of all orders: the same problem with idle checks added is hardly dearer.
func TestTrialWithOpenings(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 6, false)
		best, method, err := checks.Order(p)
		if err != nil || method == checks.ByTrial {
			t.Fatalf("%s, %v", method, err)
		}
		// One cause found twice and idle checks that cost nothing, so that
		// they change no order's cost.
		p.Causes = append(p.Causes, checks.Chance{Key: "twice", P: new(big.Rat)})
		for i := range 15 {
			p.Tasks = append(p.Tasks, checks.Task{Key: fmt.Sprint("idle", i), Cost: new(big.Rat), Finds: []string{"twice"}})
		}
		tried, method, err := checks.Order(p)
		if err != nil || method != checks.ByTrial {
			t.Fatalf("%s, %v", method, err)
		}
		if float64(tried.Expected) < float64(best.Expected)*(1-1e-9) || float64(tried.Expected) > 1.5*float64(best.Expected)+1e-9 {
			t.Fatalf("trial %s, best of all %s", tried.Expected, best.Expected)
		}
	})
}
