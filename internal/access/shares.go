package access

import (
	"fmt"
	"math/big"
	"slices"
)

// Thousandths is a number of thousandths of a minute. Its text is decimal
// minutes: "19.333".
type Thousandths int64

// String gives decimal minutes with three places.
func (t Thousandths) String() string {
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	return fmt.Sprintf("%s%d.%03d", sign, int64(t/1000), int64(t%1000))
}

// MarshalText is String.
func (t Thousandths) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// Shared is something that takes minutes once, whoever needs it.
type Shared struct {
	Minutes  int64 // 0 and up
	NeededBy []int // positions of those who need it, each once
}

// Divide gives each of n parties its Shapley value (Shapley 1953, A Value for
// n-Person Games): the minutes of each thing divided equally between those
// who need it, which is that value for costs of this form (Littlechild and
// Owen 1973, for runways). Fractions are exact; they are rounded down to
// thousandths of a minute and what is left goes to the largest remainders,
// among equals to the first, so that the shares add up to the minutes exactly.
// What nobody needs is nobody's.
func Divide(things []Shared, n int) []Thousandths {
	shares := make([]Thousandths, n)
	exact := fractions(things, n)
	rests := make([]*big.Rat, n)
	var left int64
	for _, thing := range things {
		if len(thing.NeededBy) > 0 {
			left += 1000 * thing.Minutes
		}
	}
	for i, f := range exact {
		whole := new(big.Int).Quo(f.Num(), f.Denom()).Int64()
		shares[i] = Thousandths(whole)
		rests[i] = f.Sub(f, new(big.Rat).SetInt64(whole))
		left -= whole
	}
	for _, i := range largestFirst(rests)[:left] {
		shares[i]++
	}
	return shares
}

// fractions gives the exact shares in thousandths. It adds up whole minutes by
// how many divide them before it makes fractions of them.
func fractions(things []Shared, n int) []*big.Rat {
	sums := make([]map[int64]int64, n) // by party: by number of parties
	for _, thing := range things {
		for _, i := range thing.NeededBy {
			if sums[i] == nil {
				sums[i] = map[int64]int64{}
			}
			sums[i][int64(len(thing.NeededBy))] += thing.Minutes
		}
	}
	out := make([]*big.Rat, n)
	for i, sum := range sums {
		out[i] = new(big.Rat)
		for parties, minutes := range sum {
			out[i].Add(out[i], big.NewRat(1000*minutes, parties))
		}
	}
	return out
}

func largestFirst(rests []*big.Rat) []int {
	order := make([]int, len(rests))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rests[b].Cmp(rests[a]) })
	return order
}
