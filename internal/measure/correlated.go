package measure

import "math"

// Impedance is what sets of simultaneous readings of an alternating voltage
// (volts), a current (amperes) and the angle between both (radians) come to,
// each estimate with its standard uncertainty in ohms.
type Impedance struct {
	Sets                            int
	Means                           [3]float64    // voltage, current, angle
	OfMeans                         [3]float64    // standard uncertainties of the means
	Correlation                     [3][3]float64 // of the means
	Resistance, Reactance, Modulus  Estimate
	ResistanceReactance             float64 // correlation of R and X
	ResistanceModulus, ReactModulus float64 // of R and Z, of X and Z
}

// Estimate is a value with its standard uncertainty.
type Estimate struct{ Value, Standard float64 }

// NewImpedance reckons R = V/I cos φ, X = V/I sin φ and Z = V/I from the means
// of sets read together, with the correlation that the sets show (JCGM
// 100:2008, H.2, first approach). It wants 2 to 100 sets, as many of each;
// code readings_uneven, figure_out_of_range.
func NewImpedance(voltage, current, angle []float64) (Impedance, error) {
	sets := [3][]float64{voltage, current, angle}
	n := len(voltage)
	if len(current) != n || len(angle) != n {
		return Impedance{}, problem(ReadingsUneven, "Give as many voltages, currents and angles, in the order they were read together.")
	}
	if n < 2 || n > maxRepeats {
		return Impedance{}, outOfRange("Give 2 to 100 sets.")
	}
	z := Impedance{Sets: n}
	var cov [3][3]float64
	for i := range sets {
		z.Means[i] = average(sets[i])
	}
	for i := range sets {
		for j := range sets {
			cov[i][j] = covarianceOfMeans([2][]float64{sets[i], sets[j]}, [2]float64{z.Means[i], z.Means[j]})
		}
		z.OfMeans[i] = math.Sqrt(cov[i][i])
	}
	z.Correlation = correlations(cov)
	if z.Means[1] == 0 {
		return Impedance{}, outOfRange("The current must not be nought.")
	}
	z.fill(cov)
	return z, nil
}

// fill carries the covariances through the three formulas.
func (z *Impedance) fill(cov [3][3]float64) {
	v, i, phi := z.Means[0], z.Means[1], z.Means[2]
	sin, cos := math.Sincos(phi)
	slopes := [3][3]float64{
		{cos / i, -v * cos / (i * i), -v * sin / i},
		{sin / i, -v * sin / (i * i), v * cos / i},
		{1 / i, -v / (i * i), 0},
	}
	var out [3][3]float64
	for a := range slopes {
		for b := range slopes {
			for j := range cov {
				for k := range cov {
					out[a][b] += slopes[a][j] * slopes[b][k] * cov[j][k]
				}
			}
		}
	}
	z.Resistance = Estimate{v / i * cos, math.Sqrt(max(out[0][0], 0))}
	z.Reactance = Estimate{v / i * sin, math.Sqrt(max(out[1][1], 0))}
	z.Modulus = Estimate{v / i, math.Sqrt(max(out[2][2], 0))}
	r := correlations(out)
	z.ResistanceReactance, z.ResistanceModulus, z.ReactModulus = r[0][1], r[0][2], r[1][2]
}

func correlations(cov [3][3]float64) [3][3]float64 {
	var out [3][3]float64
	for i := range cov {
		for j := range cov {
			if size := math.Sqrt(cov[i][i] * cov[j][j]); size > 0 {
				out[i][j] = cov[i][j] / size
			}
		}
	}
	return out
}

func average(all []float64) float64 {
	sum := 0.0
	for _, f := range all {
		sum += f
	}
	return sum / float64(len(all))
}

// covarianceOfMeans gives Σ(a − ā)(b − b̄)/(n (n − 1)) (JCGM 100:2008, 5.2.3).
func covarianceOfMeans(of [2][]float64, means [2]float64) float64 {
	sum, n := 0.0, float64(len(of[0]))
	for k := range of[0] {
		sum += (of[0][k] - means[0]) * (of[1][k] - means[1])
	}
	return sum / (n * (n - 1))
}
