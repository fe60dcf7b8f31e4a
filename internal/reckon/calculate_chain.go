package reckon

import (
	"math"
	"strings"

	"benchtag/internal/measure"
)

// chainCalculations are those of roller chains.
func chainCalculations() []calculation {
	drive := []string{"teeth_small", "teeth_large", "number", "pitch"}
	return []calculation{
		{"chain_centres", "the centre distance for a chain of so many pitches", append([]string{"pitches"}, drive...), chainCentres},
		{"chain_length_pitches", "how many pitches a chain needs for a centre distance", append([]string{"centres", "centre_distance"}, drive...), chainLength},
		{"chain_pitch", "the pitch of a chain from its number", []string{"number"}, chainPitch},
	}
}

func chainPitch(p *params) (calculated, error) {
	number := strings.ToUpper(p.word("number", "08B"))
	pitch, err := measure.ChainPitch(number)
	how := "sixteenths of an inch: number × 25.4/16 mm (ISO 606)"
	if len(number) > 2 && number[2] >= '0' && number[2] <= '9' {
		how = "its first digit counts eighths of an inch: × 25.4/8 mm (from memory)"
	}
	if number == "05B" {
		how = "ISO 606's one exception, 8 mm (from memory)"
	}
	return calculated{
		figures: []figure{{"pitch", pitch, "mm"}},
		working: []string{line("Chain %s: %s = %v mm. (Number × 1.6 is a wrong rule that circulates.)", number, how, pitch)},
	}, err
}

// pitch gives the chain's pitch in millimetres, or 0 where it is not given.
func (p *params) pitch() float64 {
	if !p.has("number") {
		return p.or("pitch", measure.Millimetre, 0)
	}
	pitch, err := measure.ChainPitch(strings.ToUpper(p.word("number", "08B")))
	p.keep(at("/with/number", err))
	return pitch
}

func (p *params) drive() measure.ChainDrive {
	return measure.ChainDrive{Small: p.whole("teeth_small"), Large: p.whole("teeth_large")}
}

func chainLength(p *params) (calculated, error) {
	d, pitch := p.drive(), p.pitch()
	var centres float64
	if p.has("centre_distance") {
		distance := p.need("centre_distance", measure.Millimetre)
		if pitch <= 0 {
			p.fail("measure.parameter_missing", "pitch", "Give the chain's pitch or number with a centre distance in millimetres.")
			return calculated{}, p.err
		}
		centres = distance / pitch
	} else {
		centres = p.need("centres", "")
	}
	if p.err != nil {
		return calculated{}, p.err
	}
	l, err := d.Length(centres)
	return calculated{
		figures: []figure{{"exact", l.Exact, "{pitch}"}, {"approximate", l.Approximate, "{pitch}"}, {"links", float64(l.Links), "1"}},
		working: []string{
			line("n = %d, N = %d teeth, centre distance C = %v pitches.", d.Small, d.Large, centres),
			line("Approximate: X = 2C + (N + n)/2 + ((N − n)/2π)²/C = %v + %v + %v/%v = %v pitches (chain makers' formula).",
				2*centres, float64(d.Small+d.Large)/2, math.Pow(float64(d.Large-d.Small)/2/math.Pi, 2), centres, l.Approximate),
			line("Exact, chain tangent to the pitch circles, radii 1/(2 sin(π/N)): R = %v, r = %v, sin φ = (R − r)/C, φ = %v°.", radius(d.Large), radius(d.Small), phi(d, centres)),
			line("2C cos φ + N(180° + 2φ)/360° + n(180° − 2φ)/360° = %v pitches.", l.Exact),
			line("Next even number of links: %d; an odd one needs a cranked link.", l.Links),
		},
		warnings: []string{"Length and slack by the maker's manual; a chain is never joined to suit a sum alone."},
	}, err
}

// radius gives a pitch radius in pitches.
func radius(teeth int64) float64 { return 1 / (2 * math.Sin(math.Pi/float64(teeth))) }

// phi gives the slant of the straight runs in degrees.
func phi(d measure.ChainDrive, centres float64) float64 {
	return math.Asin((radius(d.Large)-radius(d.Small))/centres) * 180 / math.Pi
}

func chainCentres(p *params) (calculated, error) {
	d, pitch, pitches := p.drive(), p.pitch(), p.need("pitches", "")
	if p.err != nil {
		return calculated{}, p.err
	}
	c, err := d.Centres(pitches)
	out := calculated{
		figures: []figure{{"exact", c.Exact, "{pitch}"}, {"approximate", c.Approximate, "{pitch}"}},
		working: []string{
			line("n = %d, N = %d teeth, chain of X = %v pitches, s = (N + n)/2 = %v.", d.Small, d.Large, pitches, float64(d.Small+d.Large)/2),
			line("Approximate: C = ¼((X − s) + √((X − s)² − 8((N − n)/2π)²)), X − s = %v, ((N − n)/2π)² = %v: %v pitches (chain makers' formula).",
				pitches-float64(d.Small+d.Large)/2, math.Pow(float64(d.Large-d.Small)/2/math.Pi, 2), c.Approximate),
			line("Exact: the distance at which 2C cos φ + N(180° + 2φ)/360° + n(180° − 2φ)/360° is X, by halving the interval: %v pitches, with φ = %v°.", c.Exact, phi(d, c.Exact)),
		},
		warnings: []string{"A tight chain; leave the slack the maker's manual asks for."},
	}
	if pitch > 0 && err == nil {
		out.figures = append(out.figures, figure{"distance", c.Exact * pitch, "mm"})
		out.working = append(out.working, line("%v pitches × %v mm = %v mm.", c.Exact, pitch, c.Exact*pitch))
	}
	return out, err
}
