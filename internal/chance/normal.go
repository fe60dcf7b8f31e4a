package chance

import "math"

// Normal gives the probability that a standard normal variable is z or less,
// Φ(z). Both tails are good to about 1e-15 of themselves. NaN gives NaN.
// Source: Φ(z) = erfc(−z/√2)/2, from the definition.
func Normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// Density gives the density of the standard normal distribution at z,
// exp(−z²/2)/√(2π).
func Density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// NormalQuantile gives the z at which Normal(z) is p. It requires p from 0 to 1
// (0 gives −Inf, 1 gives +Inf); anything else gives NaN. Close to 1 it is as
// good as p itself can be written.
func NormalQuantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0:
		return math.Inf(-1)
	case p > .5:
		return -lowerNormalQuantile(1 - p)
	}
	return lowerNormalQuantile(p)
}

// lowerNormalQuantile is NormalQuantile for p up to a half: a rational
// approximation good to 4.5e-4 (Abramowitz and Stegun, Handbook of Mathematical
// Functions, 26.2.23, from memory), drawn close by the method of Halley.
func lowerNormalQuantile(p float64) float64 {
	if p == 0 {
		return math.Inf(-1)
	}
	t := math.Sqrt(-2 * math.Log(p))
	z := (2.515517+t*(.802853+t*.010328))/(1+t*(1.432788+t*(.189269+t*.001308))) - t
	for range 4 {
		density := Density(z)
		if density == 0 {
			return z
		}
		step := (Normal(z) - p) / density
		z -= step / (1 + z*step/2)
	}
	return z
}
