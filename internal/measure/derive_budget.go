package measure

import (
	"math"
	"strconv"

	"benchtag/internal/chance"
)

// check refuses a gauge that cannot be; nil is a gauge that nobody knows.
func (g *Gauge) check(reads Unit) error {
	if g == nil {
		return nil
	}
	if g.Display != "" && g.Display != Step && g.Display != Scale {
		return problemAt("/gauge/display", GaugeWrong, "Say how the gauge shows: step (digits, clicks) or scale (read between lines).")
	}
	if g.Resolution.Unit != "" {
		d, err := g.Resolution.width(reads)
		if err != nil {
			return placed("/gauge/resolution", err)
		}
		if d == 0 {
			return problemAt("/gauge/resolution", GaugeWrong, "Give the smallest step that the gauge shows, above nought.")
		}
	}
	if g.Uncertainty.Unit != "" && g.Uncertainty.Unit != Percent {
		_, err := g.Uncertainty.width(reads)
		return placed("/gauge/uncertainty", err)
	}
	if g.Uncertainty.Value.Sign() < 0 {
		return problemAt("/gauge/uncertainty", GaugeWrong, "An uncertainty is nought or more.")
	}
	return nil
}

func (g *Gauge) known() bool {
	return g != nil && (g.Resolution.Unit != "" || g.Uncertainty.Unit != "")
}

// resolution gives the line that the step of a gauge makes: half a step
// either way, rectangular (GUM F.2.2.1), or triangular for a scale read
// between its lines (GUM 4.3.9).
func (g *Gauge) resolution(unit Unit) (BudgetLine, bool) {
	if g == nil || g.Resolution.Unit == "" {
		return BudgetLine{}, false
	}
	step, err := g.Resolution.width(unit)
	line := BudgetLine{What: "resolution", Freedom: math.Inf(1), Half: step / 2, Unit: unit, Distribution: Rectangular, Divisor: math.Sqrt(3)}
	if g.Display == Scale {
		line.Distribution, line.Divisor = Triangular, math.Sqrt(6)
	}
	return line, err == nil
}

// ResolutionUncertainty gives the standard uncertainty that a step of a
// display leaves: d/(2√3) (GUM F.2.2.1), and d/(2√6) where a scale is read
// between its lines; in the unit of d.
func ResolutionUncertainty(d float64, as Display) float64 {
	if as == Scale {
		return d / (2 * math.Sqrt(6))
	}
	return d / (2 * math.Sqrt(3))
}

// certificate gives U of a gauge's certificate at a reading.
func (g *Gauge) certificate(in *input) (float64, bool) {
	if g == nil || g.Uncertainty.Unit == "" {
		return 0, false
	}
	if g.Uncertainty.Unit == Percent {
		return float(g.Uncertainty.Value) / 100 * math.Abs(in.x()), true
	}
	u, err := g.Uncertainty.width(in.grid.unit)
	return u, err == nil
}

// term is one input with what the result changes by a unit of its grid.
type term struct {
	in *input
	by float64
}

// budget lines up what every term leaves uncertain, in the order of terms:
// repeats, resolution and warmth of each, then the certificates by gauge.
func budget(terms []term) []BudgetLine {
	var lines []BudgetLine
	for _, t := range terms {
		if n := len(t.in.reads); n > 1 {
			lines = append(lines, BudgetLine{Of: t.in.name, What: "repeats", Half: t.in.deviation(), Unit: t.in.grid.unit,
				Distribution: Repeats, Divisor: math.Sqrt(float64(n)), Sensitivity: t.by, Freedom: float64(n - 1)})
		}
		line, ok := t.in.gauge.resolution(t.in.grid.unit)
		if ok {
			line.Of, line.Sensitivity = t.in.name, t.by
			lines = append(lines, line)
		}
		for _, line := range t.in.byWarmth {
			line.Of, line.Sensitivity = t.in.name, line.Sensitivity*t.by
			lines = append(lines, line)
		}
	}
	lines = append(lines, certificates(terms)...)
	for i := range lines {
		lines[i].Contribution = lines[i].Half / lines[i].Divisor * math.Abs(lines[i].Sensitivity)
	}
	return lines
}

// certificates gives a line for each gauge and sign: what is read with one
// gauge shares its error, so places that pull the result the same way add up
// in full, and only those that pull opposite ways are taken as independent.
// No correlation between them could make u larger.
func certificates(terms []term) []BudgetLine {
	var lines []BudgetLine
	var of []term // the first term of each line
	for _, t := range terms {
		u, ok := t.in.gauge.certificate(t.in)
		if !ok || t.by == 0 {
			continue
		}
		i := 0
		for i < len(of) && (!of[i].in.gauge.same(t.in.gauge) || (of[i].by > 0) != (t.by > 0)) {
			i++
		}
		if i == len(of) {
			of = append(of, t)
			lines = append(lines, BudgetLine{Of: t.in.name, What: "certificate", Freedom: math.Inf(1), Half: u, Unit: t.in.grid.unit,
				Distribution: Certificate, Divisor: 2, Sensitivity: t.by})
			continue
		}
		lines[i].Of += ", " + t.in.name
		lines[i].Sensitivity += shareOf(u*t.by, lines[i].Half)
	}
	return lines
}

// shareOf gives what to add to a sensitivity for another product of U and
// sensitivity; an half of nought has nothing to share.
func shareOf(product, estimate float64) float64 {
	if estimate == 0 {
		return 0
	}
	return product / estimate
}

func (g *Gauge) same(as *Gauge) bool {
	return g == as || (g.Name != "" && g.Name == as.Name)
}

// Spread is what a budget comes to.
type Spread struct {
	Standard float64 // u, by the root of the sum of squares
	Freedom  float64 // effective degrees of freedom; +Inf
	Factor   float64 // k
	Expanded float64 // U, not rounded
	// Raised says that U was kept at what the repeats alone come to, which
	// Welch and Satterthwaite's formula can fall below.
	Raised bool
}

// Contribution is one standard uncertainty with its sensitivity and its
// degrees of freedom, +Inf or nought for infinitely many.
type Contribution struct{ Standard, Sensitivity, Freedom float64 }

// Combine adds up uncorrelated contributions by JCGM 100:2008: u² = Σ(c u)²
// (5.1.2), νeff = u⁴/Σ((c u)⁴/ν) (G.4.1), U = k u with k the t factor for a
// probability and νeff (G.3). A probability of nought stands for that of
// k = 2, 95.45 %; a factor above nought is taken as it is.
//
// U is not less than what the contributions with finite degrees of freedom
// come to alone: the formula of G.4.1 can give less, and then a coarser gauge
// would look better than a finer one.
func Combine(parts []Contribution, probability, factor float64) Spread {
	square, fourth, repeats := 0.0, 0.0, 0.0
	for _, p := range parts {
		c := p.Standard * p.Sensitivity
		square += c * c
		if p.Freedom > 0 && !math.IsInf(p.Freedom, 1) {
			repeats += c * c
			fourth += c * c * c * c / p.Freedom
		}
	}
	s := Spread{Standard: math.Sqrt(square), Freedom: freedom(square, fourth), Factor: factor}
	if factor > 0 {
		s.Expanded = factor * s.Standard
		return s
	}
	s.Factor = factorOf(probability, s.Freedom)
	s.Expanded = s.Factor * s.Standard
	alone := factorOf(probability, freedom(repeats, fourth)) * math.Sqrt(repeats)
	if alone > s.Expanded*(1+1e-9) {
		s.Expanded, s.Raised = alone, true
	}
	return s
}

func freedom(square, fourth float64) float64 {
	if fourth == 0 {
		return math.Inf(1)
	}
	return square * square / fourth
}

// factorOf gives the two-sided factor of a probability; nought stands for
// that of k = 2 under a normal distribution.
func factorOf(probability, nu float64) float64 {
	const asGoodAsNormal = 1e7
	switch {
	case probability == 0 && nu > asGoodAsNormal:
		return 2
	case probability == 0:
		return -chance.StudentQuantile(chance.Normal(-2), nu)
	case nu > asGoodAsNormal:
		return chance.NormalQuantile((1 + probability) / 2)
	}
	return chance.StudentQuantile((1+probability)/2, nu)
}

// roundedUp gives a positive figure rounded up to two significant digits, and
// to no more places than given.
func roundedUp(f float64, places int) Decimal {
	if f <= 0 {
		return Decimal{}
	}
	places = min(places, 1-int(math.Floor(math.Log10(f))))
	down := max(-places, 0)
	places = max(places, 0)
	size := f * math.Pow10(places) / math.Pow10(down)
	n := uint64(math.Ceil(size * (1 - 1e-12)))
	if n > 99 { // 99.5 became 100
		return Decimal{digits: n * pow10(down), scale: uint8(places)}.trimmed()
	}
	return Decimal{digits: n * pow10(down), scale: uint8(places)}
}

// figures writes a figure with so many significant digits, without exponent.
func figures(f float64, digits int) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(f, 'e', digits-1, 64), 64)
	if err != nil || rounded == 0 {
		return "0"
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
