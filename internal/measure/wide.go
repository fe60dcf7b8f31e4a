package measure

import "math/bits"

// wide is an unsigned integer of 256 bits, lowest word first. The largest
// value here is 18 digits times a unit's factor (61 bits) times ten to the
// twelfth, 161 bits; none of the sums below can overflow.
type wide [4]uint64

// signed is a wide with a sign; zero is never negative.
type signed struct {
	size     wide
	negative bool
}

func (w wide) isZero() bool { return w == wide{} }

func (w wide) times(m uint64) wide {
	var out wide
	var carry uint64
	for i, word := range w {
		hi, lo := bits.Mul64(word, m)
		var c uint64
		out[i], c = bits.Add64(lo, carry, 0)
		carry = hi + c
	}
	return out
}

func (w wide) plus(v wide) wide {
	var out wide
	var carry uint64
	for i := range w {
		out[i], carry = bits.Add64(w[i], v[i], carry)
	}
	return out
}

// minus requires w >= v.
func (w wide) minus(v wide) wide {
	var out wide
	var borrow uint64
	for i := range w {
		out[i], borrow = bits.Sub64(w[i], v[i], borrow)
	}
	return out
}

func (w wide) cmp(v wide) int {
	for i := len(w) - 1; i >= 0; i-- {
		if w[i] != v[i] {
			if w[i] < v[i] {
				return -1
			}
			return 1
		}
	}
	return 0
}

// over gives quotient and remainder; requires m > 0.
func (w wide) over(m uint64) (wide, uint64) {
	var out wide
	var rest uint64
	for i := len(w) - 1; i >= 0; i-- {
		out[i], rest = bits.Div64(rest, w[i], m)
	}
	return out, rest
}

// quotient is a division by a×b: both above zero.
type quotient struct {
	n    wide
	a, b uint64
}

// nearest gives n/(a×b) rounded to whole, halves to even.
func (q quotient) nearest() wide {
	first, low := q.n.over(q.a)
	whole, high := first.over(q.b)
	rest := wide{high}.times(q.a).plus(wide{low})
	half := rest.times(2).cmp(wide{q.a}.times(q.b))
	if half > 0 || (half == 0 && whole[0]%2 == 1) {
		return whole.plus(wide{1})
	}
	return whole
}

func (s signed) plus(t signed) signed {
	if s.negative == t.negative {
		return signed{s.size.plus(t.size), s.negative}
	}
	if s.size.cmp(t.size) < 0 {
		s, t = t, s
	}
	diff := s.size.minus(t.size)
	return signed{diff, s.negative && !diff.isZero()}
}

func (s signed) cmp(t signed) int {
	if s.negative != t.negative {
		if s.negative {
			return -1
		}
		return 1
	}
	if s.negative {
		return t.size.cmp(s.size)
	}
	return s.size.cmp(t.size)
}
