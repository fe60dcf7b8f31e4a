package chance

import "math"

// ChiSquareTail gives the probability that a chi-square variable with k degrees
// of freedom is above x. It requires k above 0; x of 0 or less gives 1. Good to
// about 1e-13 of itself for k up to some hundreds, in the tail as well. Source:
// the regularised incomplete gamma function Q(k/2, x/2) by its series (NIST
// Digital Library of Mathematical Functions 8.7.1) or its continued fraction
// (8.9.2), both from memory.
func ChiSquareTail(x, k float64) float64 {
	a, half := k/2, x/2
	switch {
	case math.IsNaN(x) || !(k > 0):
		return math.NaN()
	case x <= 0:
		return 1
	case math.IsInf(x, 1):
		return 0
	case half < a+1:
		return 1 - gammaFront(a, half)*gammaSeries(a, half)
	}
	return gammaFront(a, half) * gammaFraction(a, half)
}

// gammaFront is x^a e^−x / Γ(a).
func gammaFront(a, x float64) float64 {
	g, _ := math.Lgamma(a)
	return math.Exp(a*math.Log(x) - x - g)
}

// gammaSeries is the sum of x^n / (a (a+1) … (a+n)).
func gammaSeries(a, x float64) float64 {
	term := 1 / a
	sum := term
	for n := 1; n < maxTerms && term > sum*1e-17; n++ {
		term *= x / (a + float64(n))
		sum += term
	}
	return sum
}

// gammaFraction is 1/(x+1−a− 1(1−a)/(x+3−a− 2(2−a)/(x+5−a− …))), by the method
// of Lentz.
func gammaFraction(a, x float64) float64 {
	const tiny, enough = 1e-300, 1e-16
	b := x + 1 - a
	c, d := 1/tiny, 1/unlessZero(b, tiny)
	f := d
	for i := 1; i < maxTerms; i++ {
		n := float64(i)
		term := n * (a - n)
		b += 2
		d = 1 / unlessZero(b+term*d, tiny)
		c = unlessZero(b+term/c, tiny)
		f *= c * d
		if math.Abs(c*d-1) < enough {
			break
		}
	}
	return f
}
