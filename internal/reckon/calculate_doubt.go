package reckon

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/measure"
)

// doubtCalculations are those of uncertainty, oil and photos, which take their
// figures as text; a list is parted by semicolons or blanks.
func doubtCalculations() []calculation {
	return []calculation{
		{"chain_limit", "how far a chain may grow on a drive", []string{"teeth_large", "fixed_centres", "pitches", "pitch", "number"}, chainLimit},
		{"combine", "standard uncertainties combined", []string{"u", "sensitivity", "degrees_of_freedom", "confidence", "k"}, combine},
		{"impedance", "resistance and reactance of sets read together, with their correlation", []string{"voltage", "current", "angle"}, impedance},
		{"iso_4406", "code of cleanliness of oil", []string{"per_ml", "counted"}, cleanliness},
		{"particle_size", "size of a thing on a photo", []string{"scale", "scale_within", "scale_pixels", "scale_from", "scale_to", "pixels", "from", "to", "pixel_within"}, particleSize},
		{"resolution_uncertainty", "what a step of a display leaves uncertain", []string{"resolution", "display"}, resolutionUncertainty},
	}
}

// figureList gives a list of numbers that is needed.
func (p *params) figureList(name string) []float64 {
	return p.numbers(name, p.word(name, "5.8 3.9 6.7"))
}

// numbers reads numbers parted by semicolons or blanks.
func (p *params) numbers(name, words string) []float64 {
	var out []float64
	for _, part := range strings.FieldsFunc(words, func(c rune) bool { return c == ';' || c == ' ' }) {
		f, err := number("/with/"+name, part)
		p.keep(err)
		out = append(out, f)
	}
	if len(out) > 100 {
		p.fail("measure.readings_too_many", name, "Give at most 100 numbers.")
	}
	return out
}

// likeOr gives a list as long as another, or so many of what stands in.
// Degrees of freedom without an end may be written as infinite.
func (p *params) likeOr(name string, like int, instead float64) []float64 {
	if !p.has(name) {
		return slices.Repeat([]float64{instead}, like)
	}
	got := p.numbers(name, strings.NewReplacer("infinite", "0", "inf", "0", "∞", "0").Replace(p.given[name]))
	if len(got) != like {
		p.fail("measure.readings_uneven", name, "Give as many as there are in u, "+strconv.Itoa(like)+".")
	}
	return got
}

func combine(p *params) (calculated, error) {
	u := p.figureList("u")
	by := p.likeOr("sensitivity", len(u), 1)
	nu := p.likeOr("degrees_of_freedom", len(u), 0)
	confidence, k := p.or("confidence", "%", 0), p.or("k", "", 0)
	if p.err == nil && (confidence < 0 || confidence >= 100 || (p.has("confidence") && confidence < 1)) {
		p.fail("measure.figure_out_of_range", "confidence", "Give the confidence in percent, from 1 to below 100; 95.45 goes with k = 2.")
	}
	if k < 0 {
		p.fail("measure.figure_out_of_range", "k", "A coverage factor is above nought.")
	}
	var parts []measure.Contribution
	var terms []string
	for i := range u {
		if u[i] < 0 || nu[i] < 0 {
			p.fail("measure.figure_out_of_range", "u", "Uncertainties and degrees of freedom are nought or more.")
		}
		if p.err != nil {
			break
		}
		parts = append(parts, measure.Contribution{Standard: u[i], Sensitivity: by[i], Freedom: nu[i]})
		terms = append(terms, line("(%v × %v)²", by[i], u[i]))
	}
	if p.err != nil {
		return calculated{}, p.err
	}
	s := measure.Combine(parts, confidence/100, k)
	return combined(s, terms)
}

func combined(s measure.Spread, terms []string) (calculated, error) {
	out := calculated{figures: []figure{{"standard_uncertainty", s.Standard, "1"}, {"coverage_factor", s.Factor, "1"}, {"expanded", s.Expanded, "1"}}}
	u, err := text(s.Standard)
	if err != nil {
		return calculated{}, err
	}
	out.working = []string{"u = √(Σ (c u)²) = √(" + strings.Join(terms, " + ") + ") = " + u + " (JCGM 100:2008, 5.1.2), in the unit of the parts."}
	if math.IsInf(s.Freedom, 1) {
		out.working = append(out.working, "No part has finite degrees of freedom, so νeff is infinite.")
	} else {
		out.figures = append(out.figures, figure{"degrees_of_freedom", s.Freedom, "1"})
		out.working = append(out.working, line("νeff = u⁴/Σ((c u)⁴/ν) = %v (Welch and Satterthwaite, G.4.1).", s.Freedom))
	}
	out.working = append(out.working, line("k = %v; U = k u = %v × %v = %v.", s.Factor, s.Factor, s.Standard, s.Factor*s.Standard))
	if s.Raised {
		out.working = append(out.working, line("The parts with finite degrees of freedom alone come to %v, so U stays at that.", s.Expanded))
	}
	return out, nil
}

func resolutionUncertainty(p *params) (calculated, error) {
	entry := p.word("resolution", "0.01 mm")
	unit := "1"
	if q, err := measure.Parse(entry); err == nil {
		unit = string(q.Unit)
	}
	d := p.need("resolution", measure.Unit(strings.TrimPrefix(unit, "1")))
	display := measure.Display(p.given["display"])
	if display != "" && display != measure.Step && display != measure.Scale {
		p.fail("measure.gauge_wrong", "display", "Say step (digits, clicks) or scale (read between lines).")
	}
	if d <= 0 {
		p.fail("measure.figure_out_of_range", "resolution", "Give the smallest step, above nought.")
	}
	u := measure.ResolutionUncertainty(d, display)
	how := line("u = d/(2√3) = %v/(2√3) = %v (half a step either way, rectangular; GUM F.2.2.1).", d, u)
	if display == measure.Scale {
		how = line("u = d/(2√6) = %v/(2√6) = %v (half a division either way, triangular; GUM 4.3.9).", d, u)
	}
	return calculated{figures: []figure{{"standard_uncertainty", u, unit}}, working: []string{how}}, nil
}

func impedance(p *params) (calculated, error) {
	v, i, phi := p.figureList("voltage"), p.figureList("current"), p.figureList("angle")
	if p.err != nil {
		return calculated{}, p.err
	}
	z, err := measure.NewImpedance(v, i, phi)
	if err != nil {
		return calculated{}, err
	}
	return calculated{
		figures: []figure{
			{"resistance", z.Resistance.Value, "Ohm"}, {"resistance_u", z.Resistance.Standard, "Ohm"},
			{"reactance", z.Reactance.Value, "Ohm"}, {"reactance_u", z.Reactance.Standard, "Ohm"},
			{"modulus", z.Modulus.Value, "Ohm"}, {"modulus_u", z.Modulus.Standard, "Ohm"},
			{"correlation_resistance_reactance", z.ResistanceReactance, "1"},
			{"correlation_resistance_modulus", z.ResistanceModulus, "1"}, {"correlation_reactance_modulus", z.ReactModulus, "1"},
		},
		working: []string{
			line("%d sets: means V = %v, I = %v, φ = %v; standard deviations of the means %v, %v, %v.", z.Sets,
				z.Means[0], z.Means[1], z.Means[2], z.OfMeans[0], z.OfMeans[1], z.OfMeans[2]),
			line("Correlation of the means: V with I %v, V with φ %v, I with φ %v (JCGM 100:2008, 5.2.3).",
				z.Correlation[0][1], z.Correlation[0][2], z.Correlation[1][2]),
			line("R = V/I cos φ = %v, X = V/I sin φ = %v, Z = V/I = %v Ω.", z.Resistance.Value, z.Reactance.Value, z.Modulus.Value),
			line("u² = ΣΣ cᵢ cⱼ u(xᵢ, xⱼ) with cᵢ the partial derivatives (5.2.2): u(R) = %v, u(X) = %v, u(Z) = %v Ω.",
				z.Resistance.Standard, z.Reactance.Standard, z.Modulus.Standard),
			line("Correlation of the results: R with X %v, R with Z %v, X with Z %v.", z.ResistanceReactance, z.ResistanceModulus, z.ReactModulus),
		},
	}, nil
}

// decimals gives a list of decimals that is needed, kept exact.
func (p *params) decimals(name, example string) []measure.Decimal {
	var out []measure.Decimal
	for _, part := range strings.FieldsFunc(p.word(name, example), func(c rune) bool { return c == ';' || c == ' ' || c == '/' }) {
		d, err := measure.ParseDecimal(part)
		p.keep(at("/with/"+name, err))
		out = append(out, d)
	}
	return out
}

func cleanliness(p *params) (calculated, error) {
	per := p.decimals("per_ml", "1500 420 60")
	counted := make([]int64, len(per))
	for i := range counted {
		counted[i] = -1
	}
	if p.has("counted") {
		got := p.figureList("counted")
		if len(got) != len(per) {
			p.fail("measure.readings_uneven", "counted", "Give as many counts as there are sizes.")
		}
		for i := range min(len(got), len(counted)) {
			counted[i] = int64(got[i])
		}
	}
	if p.err == nil && (len(per) < 1 || len(per) > 3) {
		p.fail("measure.figure_out_of_range", "per_ml", "Give particles per millilitre at 4, 6 and 14 µm(c), or some of them from the left.")
	}
	if p.err != nil {
		return calculated{}, p.err
	}
	var sizes []measure.Counts
	for i := range per {
		sizes = append(sizes, measure.Counts{PerMillilitre: per[i], Counted: counted[i]})
	}
	c, err := measure.CleanlinessCode(sizes)
	if err != nil {
		return calculated{}, err
	}
	out := calculated{code: c.Code, warnings: []string{
		"A count of particles this small says nothing about chips; look at plug and filter.",
		"Below scale number 8 the number leans on how many particles were counted.",
	}}
	for i, n := range c.Numbers {
		name := []string{"r4", "r6", "r14"}[i]
		out.figures = append(out.figures, figure{name, float64(n), "1"})
		out.working = append(out.working, line("%s: %s particles in a millilitre lie in the band of scale number %d (ISO 4406: more than …, up to and including).", name, per[i].String(), n))
	}
	out.working = append(out.working, "Code "+c.Code+"; ≥ stands where fewer than 20 particles were counted.")
	return out, nil
}

// span gives a distance in pixels: the number itself, or two points "x,y".
func (p *params) span(name string, ends [2]string) float64 {
	if p.has(name) || !p.has(ends[0]) {
		return p.need(name, "")
	}
	a, b := p.point(ends[0]), p.point(ends[1])
	return math.Hypot(b[0]-a[0], b[1]-a[1])
}

func (p *params) point(name string) [2]float64 {
	var out [2]float64
	x, y, both := strings.Cut(p.word(name, "120,340"), ",")
	if !both {
		p.fail("measure.number_malformed", name, "Give the point as x,y in pixels, like 120,340.")
		return out
	}
	for i, part := range []string{x, y} {
		f, err := number("/with/"+name, strings.TrimSpace(part))
		p.keep(err)
		out[i] = f
	}
	return out
}

func particleSize(p *params) (calculated, error) {
	ask := measure.PhotoLength{Known: p.need("scale", measure.Millimetre), KnownWithin: p.or("scale_within", measure.Millimetre, 0),
		KnownPixels: p.span("scale_pixels", [2]string{"scale_from", "scale_to"}),
		Pixels:      p.span("pixels", [2]string{"from", "to"}), EndWithin: p.or("pixel_within", "", 1)}
	if p.err != nil {
		return calculated{}, p.err
	}
	got, err := ask.Reckon()
	if err != nil {
		p.fail("measure.figure_out_of_range", "scale_pixels", "Give the known length and its pixels above nought.")
		return calculated{}, p.err
	}
	return calculated{
		figures:  []figure{{"size", got.Size, "mm"}, {"standard_uncertainty", got.Standard, "mm"}},
		working:  got.Working,
		warnings: []string{measure.PhotoCaution},
		verdict:  "indicative",
	}, nil
}

func chainLimit(p *params) (calculated, error) {
	teeth := p.whole("teeth_large")
	fixed := p.given["fixed_centres"]
	if fixed != "" && fixed != "yes" && fixed != "no" {
		p.fail("measure.name_unknown", "fixed_centres", "Say yes or no: yes where nothing takes up the slack, as with most chains inside an engine.")
	}
	if p.err != nil {
		return calculated{}, p.err
	}
	limit, err := measure.ChainLimit(teeth, fixed == "yes")
	if err != nil {
		return calculated{}, err
	}
	out := calculated{
		figures:  []figure{{"limit", limit, "%"}},
		working:  []string{line("Limit = 200/N = 200/%d = %v %%, at most 3 %%, and 1.5 %% for fixed centres: %v %% (chain makers' advice, which cites ASME B29.1).", teeth, 200/float64(teeth), limit)},
		warnings: []string{"The maker's limit goes before this rule."},
	}
	if pitch := p.pitch(); p.has("pitches") && pitch > 0 {
		n := p.whole("pitches")
		longest := float64(n) * pitch * (1 + limit/100)
		out.figures = append(out.figures, figure{"longest", longest, "mm"})
		out.working = append(out.working, line("%d pitches of %v mm may measure n p (1 + limit/100) = %v mm.", n, pitch, longest))
	}
	return out, p.err
}
