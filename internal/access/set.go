package access

import "math/bits"

// set is a set of step numbers, a bit each. Sets of one graph have one length.
type set []uint64

func newSet(size int) set { return make(set, (size+63)/64) }

func (s set) has(i int) bool { return s[i>>6]>>(i&63)&1 == 1 }

func (s set) put(i int) { s[i>>6] |= 1 << (i & 63) }

func (s set) add(t set) {
	for w := range s {
		s[w] |= t[w]
	}
}

func (s set) keep(t set) {
	for w := range s {
		s[w] &= t[w]
	}
}

func (s set) clone() set { return append(set(nil), s...) }

// within reports whether all of s is in t.
func (s set) within(t set) bool {
	for w := range s {
		if s[w]&^t[w] != 0 {
			return false
		}
	}
	return true
}

// withinBut reports whether all of s is in t or in u.
func (s set) withinBut(t, u set) bool {
	for w := range s {
		if s[w]&^t[w]&^u[w] != 0 {
			return false
		}
	}
	return true
}

// meets reports whether s and t share a member that is not in but.
func (s set) meets(t, but set) bool {
	for w := range s {
		if s[w]&t[w]&^but[w] != 0 {
			return true
		}
	}
	return false
}

// equal reports whether s and t have the same members.
func (s set) equal(t set) bool { return s.within(t) && t.within(s) }

// members lists the members in ascending order.
func (s set) members() []int {
	var all []int
	for w, word := range s {
		for ; word != 0; word &= word - 1 {
			all = append(all, w<<6+bits.TrailingZeros64(word))
		}
	}
	return all
}

// weigh adds up the weights of the members of s that are not in but.
func (s set) weigh(weights []int64, but set) int64 {
	var sum int64
	for w := range s {
		for word := s[w] &^ but[w]; word != 0; word &= word - 1 {
			sum += weights[w<<6+bits.TrailingZeros64(word)]
		}
	}
	return sum
}
