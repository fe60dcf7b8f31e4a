package money

import (
	"cmp"
	"math/bits"
	"slices"
)

// Allocate divides total between the weights by the method of the largest
// remainder (Hamilton's): everybody gets the whole part of his exact quota,
// and the units left go one each to the largest remainders, ties to the
// lower index. The shares sum to total exactly, and each lies within one
// unit of its quota.
//
// A weight below zero counts as zero. If every weight is zero the total is
// divided evenly; no weights at all give no shares. Should the weights sum
// past 64 bits (three or more near the int64 limit), all are halved until
// they do not, which keeps the sum of the shares exact.
func Allocate(total Amount, weights []int64) []Amount {
	if len(weights) == 0 {
		return nil
	}
	sizes, sum := clean(weights)
	quotas := make([]quota, len(sizes))
	left := magnitude(int64(total))
	for i, w := range sizes {
		hi, lo := bits.Mul64(magnitude(int64(total)), w)
		whole, rest := bits.Div64(hi, lo, sum) // hi < sum because w <= sum
		quotas[i] = quota{index: i, whole: whole, rest: rest}
		left -= whole
	}
	slices.SortStableFunc(quotas, func(a, b quota) int { return cmp.Compare(b.rest, a.rest) })
	shares := make([]Amount, len(sizes))
	for n, q := range quotas {
		if uint64(n) < left {
			q.whole++
		}
		shares[q.index] = withSign(q.whole, total < 0)
	}
	return shares
}

// quota is one exact share, whole + rest/(sum of weights).
type quota struct {
	index       int
	whole, rest uint64
}

// withSign is signed for a magnitude known to fit.
func withSign(size uint64, negative bool) Amount {
	if negative {
		return Amount(-size)
	}
	return Amount(size)
}

// clean gives usable weights and their sum, which is never zero.
func clean(weights []int64) (sizes []uint64, sum uint64) {
	for shift := 0; ; shift++ {
		sizes, sum = make([]uint64, len(weights)), 0
		var carried uint64
		for i, w := range weights {
			sizes[i] = uint64(max(w, 0)) >> shift
			next, carry := bits.Add64(sum, sizes[i], 0)
			sum, carried = next, carried+carry
		}
		if carried == 0 {
			break
		}
	}
	if sum > 0 {
		return sizes, sum
	}
	for i := range sizes {
		sizes[i] = 1
	}
	return sizes, uint64(len(sizes))
}
