package access_test

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/access"
)

func TestDivide(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		things []access.Shared
		n      int
		want   string
	}{
		"nobody":                     {nil, 0, "[]"},
		"one alone":                  {[]access.Shared{{Minutes: 7, NeededBy: []int{0}}}, 1, "[7.000]"},
		"thirds, the first gets on":  {[]access.Shared{{Minutes: 1, NeededBy: []int{0, 1, 2}}}, 3, "[0.334 0.333 0.333]"},
		"largest remainder gets on":  {[]access.Shared{{Minutes: 1, NeededBy: []int{0, 1, 2}}, {Minutes: 1, NeededBy: []int{1, 2, 3, 4, 5, 6}}}, 7, "[0.333 0.500 0.500 0.167 0.167 0.167 0.166]"},
		"what nobody needs":          {[]access.Shared{{Minutes: 4}, {Minutes: 2, NeededBy: []int{1}}}, 2, "[0.000 2.000]"},
		"a runway (8, 11, 13, 18)":   {[]access.Shared{{Minutes: 8, NeededBy: []int{0, 1, 2, 3}}, {Minutes: 3, NeededBy: []int{1, 2, 3}}, {Minutes: 2, NeededBy: []int{2, 3}}, {Minutes: 5, NeededBy: []int{3}}}, 4, "[2.000 3.000 4.000 9.000]"},
		"one who needs nothing":      {[]access.Shared{{Minutes: 9, NeededBy: []int{1, 2}}}, 3, "[0.000 4.500 4.500]"},
		"minutes beyond any working": {[]access.Shared{{Minutes: 1_000_000_000, NeededBy: []int{0, 1, 2}}}, 3, "[333333333.334 333333333.333 333333333.333]"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if got := fmt.Sprint(access.Divide(c.things, c.n)); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestThousandths(t *testing.T) {
	t.Parallel()
	for n, want := range map[access.Thousandths]string{0: "0.000", 7: "0.007", 1234: "1.234", -1: "-0.001", -12_340: "-12.340"} {
		text, err := n.MarshalText()
		if err != nil || string(text) != want {
			t.Errorf("%d: %s, %v; want %s", int64(n), text, err, want)
		}
	}
}

// permutations calls f with each order of n players.
func permutations(n int, f func([]int)) {
	order := make([]int, 0, n)
	var next func()
	next = func() {
		if len(order) == n {
			f(order)
			return
		}
		for i := range n {
			if slices.Contains(order, i) {
				continue
			}
			order = append(order, i)
			next()
			order = order[:len(order)-1]
		}
	}
	next()
}

// byDefinition is the Shapley value as defined: what each adds, over all
// orders in which they may come.
func byDefinition(things []access.Shared, n int) []*big.Rat {
	sums := make([]int64, n)
	var orders int64
	permutations(n, func(order []int) {
		orders++
		paid := map[int]bool{}
		for _, player := range order {
			for i, thing := range things {
				if !paid[i] && slices.Contains(thing.NeededBy, player) {
					paid[i] = true
					sums[player] += thing.Minutes
				}
			}
		}
	})
	out := make([]*big.Rat, n)
	for i := range out {
		out[i] = big.NewRat(sums[i], orders)
	}
	return out
}

// Shares are the Shapley value by its definition, to less than a thousandth,
// and add up.
func TestDivideIsShapley(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "players")
		things := make([]access.Shared, rapid.IntRange(0, 8).Draw(t, "things"))
		var sum int64
		for i := range things {
			things[i].Minutes = rapid.Int64Range(0, 500).Draw(t, "minutes")
			things[i].NeededBy = rapid.SliceOfNDistinct(rapid.IntRange(0, n-1), 0, n, rapid.ID).Draw(t, "needed by")
			if len(things[i].NeededBy) > 0 {
				sum += 1000 * things[i].Minutes
			}
		}
		got, want := access.Divide(things, n), byDefinition(things, n)
		for i := range got {
			off := new(big.Rat).Sub(big.NewRat(int64(got[i]), 1000), want[i])
			if off.Abs(off).Cmp(big.NewRat(1, 1000)) >= 0 {
				t.Fatalf("player %d: %s, by definition %s", i, got[i], want[i].FloatString(6))
			}
			sum -= int64(got[i])
		}
		if sum != 0 {
			t.Fatalf("%d thousandths went astray: %v", sum, got)
		}
	})
}

// The shares of a plan are the Shapley value of its steps.
func TestSharesOfPlanAreShapley(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		r := plan(t, m, access.Request{Targets: drawTargets(t, m, "targets")})
		things := make([]access.Shared, len(r.Opening))
		for i, o := range r.Opening {
			things[i].Minutes = o.Minutes + o.Back
			for _, k := range o.NeededBy {
				things[i].NeededBy = append(things[i].NeededBy, int(k))
			}
		}
		want := access.Divide(things, len(r.Targets))
		got := make([]access.Thousandths, len(r.Targets))
		for i, s := range r.Targets {
			got[i] = s.Opening
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatal(diff)
		}
	})
}
