package chance

import "math"

// Student gives the probability that a variable of Student's t distribution
// with nu degrees of freedom is t or less. It requires nu above 0, which need
// not be whole and may be +Inf (the normal distribution); anything else gives
// NaN. Source: half the regularised incomplete beta function at nu/(nu + t²),
// with nu/2 and 1/2 (NIST Digital Library of Mathematical Functions 8.17, from
// memory).
func Student(t, nu float64) float64 {
	switch {
	case math.IsNaN(t) || !(nu > 0):
		return math.NaN()
	case nu > almostNormal:
		return Normal(t * (1 - 1/(4*nu)) / math.Sqrt(1+t*t/(2*nu)))
	case t > 0:
		return 1 - lowerStudent(t, nu)
	}
	return lowerStudent(t, nu)
}

// almostNormal is the number of degrees of freedom from which the normal
// distribution, with a correction (Abramowitz and Stegun 26.7.8, from memory),
// is as good as a float64 can tell.
const almostNormal = 1e8

// lowerStudent is the probability of less than −|t|.
func lowerStudent(t, nu float64) float64 {
	// Each share is reckoned by itself, so that the small one keeps its digits.
	near, far := 1/(1+(t/nu)*t), 0.0
	if t != 0 {
		far = 1 / (1 + nu/t/t)
	}
	return betaOf(near, far, nu/2, .5) / 2
}

// StudentQuantile gives the t at which Student(t, nu) is p, by halving. It
// requires nu above 0 and p from 0 to 1; anything else gives NaN.
func StudentQuantile(p, nu float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(nu > 0):
		return math.NaN()
	case p == 0 || p == 1:
		return math.Inf(2*int(p) - 1)
	case p == .5:
		return 0
	case p > .5:
		return -lowerStudentQuantile(1-p, nu)
	}
	return lowerStudentQuantile(p, nu)
}

func lowerStudentQuantile(p, nu float64) float64 {
	low, high := -1.0, 0.0
	for Student(low, nu) > p {
		low, high = 2*low, low
		if math.IsInf(low, -1) {
			return low
		}
	}
	for {
		middle := low + (high-low)/2
		switch {
		case middle <= low || middle >= high:
			return middle
		case Student(middle, nu) < p:
			low = middle
		default:
			high = middle
		}
	}
}
