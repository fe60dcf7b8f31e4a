// Package chance has the distribution functions that doubt is reckoned with.
//
// It decides nothing: what a probability means for a part or a price is for
// the packages that call it.
package chance

import "math"

// Beta gives the probability that a Beta(a, b) variable is x or less: the
// regularised incomplete beta function. It requires a and b above 0; x below 0
// gives 0, above 1 gives 1. The error is about 1e-14 for a and b up to some
// hundreds and grows with the larger of them. Source: the continued fraction of
// the NIST Digital Library of Mathematical Functions, 8.17.22 (from memory),
// evaluated by the method of Lentz.
func Beta(x, a, b float64) float64 {
	switch {
	case math.IsNaN(x) || !(a > 0) || !(b > 0):
		return math.NaN()
	case x <= 0:
		return 0
	case x >= 1:
		return 1
	}
	return betaOf(x, 1-x, a, b)
}

// betaOf is Beta for x in (0, 1), with y = 1-x, which a caller may know better
// than a subtraction gives it.
func betaOf(x, y, a, b float64) float64 {
	switch {
	case y <= 0:
		return 1
	case x <= 0:
		return 0
	case x > (a+1)/(a+b+2):
		return 1 - betaFraction(y, x, b, a)
	}
	return betaFraction(x, y, a, b)
}

// maxTerms bounds the continued fraction; it takes about the square root of
// the larger parameter.
const maxTerms = 1_000_000

// betaFraction is Beta for x up to (a+1)/(a+b+2), with y = 1-x.
func betaFraction(x, y, a, b float64) float64 {
	// tiny stands for a denominator that comes out as nought.
	const tiny, enough = 1e-300, 1e-16
	f, c, d := 1.0, 1.0, 0.0
	for i := 1; i < maxTerms; i++ {
		term := betaTerm(i, x, a, b)
		d = 1 / unlessZero(1+term*d, tiny)
		c = unlessZero(1+term/c, tiny)
		f *= c * d
		if math.Abs(c*d-1) < enough {
			break
		}
	}
	return math.Exp(a*logShare(x, y)+b*logShare(y, x)-logBeta(a, b)) / (a * f)
}

// logShare is the logarithm of x, from y = 1-x where that has more digits.
func logShare(x, y float64) float64 {
	if x > .5 {
		return math.Log1p(-y)
	}
	return math.Log(x)
}

// betaTerm gives the ith numerator of the continued fraction, from 1.
func betaTerm(i int, x, a, b float64) float64 {
	m := float64(i / 2)
	if i%2 == 0 {
		return m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
	}
	return -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
}

func unlessZero(v, instead float64) float64 {
	if v == 0 {
		return instead
	}
	return v
}

// logBeta is the logarithm of the beta function. Where a or b is large its
// parts are large too and nearly cancel, so that part is reckoned by the series
// of Stirling (NIST Digital Library of Mathematical Functions 5.11.1, from
// memory).
func logBeta(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	gb, _ := math.Lgamma(b)
	if a >= 20 {
		return gb - (a-.5)*math.Log1p(b/a) - b*math.Log(a+b) + b + stirling(a) - stirling(a+b)
	}
	ga, _ := math.Lgamma(a)
	gab, _ := math.Lgamma(a + b)
	return ga + gb - gab
}

// stirling is what lacks to (a−½) ln a − a + ln √(2π) in the logarithm of Γ(a),
// for a from 20.
func stirling(a float64) float64 {
	s := 1 / (a * a)
	return (1./12 - s*(1./360-s*(1./1260-s*(1./1680-s/1188)))) / a
}

// BetaQuantile gives the x at which Beta(x, a, b) is p, by halving. It requires
// a and b above 0 and p from 0 to 1; anything else gives NaN.
func BetaQuantile(p, a, b float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(a > 0) || !(b > 0):
		return math.NaN()
	case p == 0 || p == 1:
		return p
	}
	low, high := 0.0, 1.0
	for {
		middle := low + (high-low)/2
		switch {
		case middle <= low || middle >= high:
			return middle
		case Beta(middle, a, b) < p:
			low = middle
		default:
			high = middle
		}
	}
}
