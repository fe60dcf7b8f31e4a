package figures

import "math/bits"

// mulDiv gives a × b / c and what is left over, exactly. It requires a, b >= 0
// and b <= c, c > 0, so that the quotient fits.
func mulDiv(a, b, c int64) (quotient, rest int64) {
	high, low := bits.Mul64(uint64(a), uint64(b))
	q, r := bits.Div64(high, low, uint64(c))
	return int64(q), int64(r)
}
