package reckon

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"benchtag/internal/chance"
	"benchtag/internal/fault"
	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

// plainIn is figures in plain numbers of one unit, as decimal text.
type plainIn struct {
	// Y with its standard uncertainty U, for conformance; U for acceptance.
	Y string `json:"y,omitempty"`
	U string `json:"u,omitempty"`
	// TL and TU are tolerance limits, AL and AU acceptance limits.
	TL string `json:"t_l,omitempty"`
	TU string `json:"t_u,omitempty"`
	AL string `json:"a_l,omitempty"`
	AU string `json:"a_u,omitempty"`
	// R times K u is the guard band; W is one given straight.
	R string `json:"r,omitempty"`
	K string `json:"k,omitempty"`
	W string `json:"w,omitempty"`
	// Y0 and U0 are mean and standard deviation of a process; InTolerance
	// gives U0 by the share inside limits on both sides of the mean. UM is the
	// standard uncertainty of the measurement, UMOverU0 the same in parts of U0.
	Y0          string `json:"y0,omitempty"`
	U0          string `json:"u0,omitempty"`
	InTolerance string `json:"in_tolerance,omitempty"`
	UM          string `json:"u_m,omitempty"`
	UMOverU0    string `json:"u_m_over_u0,omitempty"`
	// Z and P are a point of the distribution and its probability, Nu the
	// degrees of freedom of Student's, none for the normal distribution.
	Z  string `json:"z,omitempty"`
	P  string `json:"p,omitempty"`
	Nu string `json:"nu,omitempty"`
}

type conformanceOut struct {
	Probability string `json:"pc"`
	Not         string `json:"not_conforming"`
}

type acceptanceOut struct {
	R       string  `json:"r"`
	W       *string `json:"w"`
	AL      *string `json:"a_l"`
	AU      *string `json:"a_u"`
	AtLimit string  `json:"pc_at_limit"`
	Risk    string  `json:"risk_at_limit"`
	AtAL    *string `json:"pc_at_a_l"`
	AtAU    *string `json:"pc_at_a_u"`
}

type normalOut struct {
	Z       string `json:"z"`
	P       string `json:"p"`
	Above   string `json:"above"`
	Density string `json:"density,omitempty"`
}

// plainFigure is a number of the input with where it stands.
type plainFigure struct {
	pointer, text string
	otherwise     float64 // NaN for a number that must be there
	to            *float64
}

// readPlain reads figures in order; one that is missing is a fault or its default.
func readPlain(figures ...plainFigure) error {
	for _, f := range figures {
		if f.text == "" {
			if math.IsNaN(f.otherwise) {
				return fault.Invalid("reckon.figure_missing", f.pointer, "Give "+f.pointer[1:]+" as decimal text.")
			}
			*f.to = f.otherwise
			continue
		}
		n, err := plainNumber(f.pointer, f.text)
		if err != nil {
			return err
		}
		*f.to = n
	}
	return nil
}

// plainNumber reads a number that is never compared exactly: any count of
// digits, an exponent if need be.
func plainNumber(pointer, text string) (float64, error) {
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || len(text) > 64 || strings.Trim(text, "0123456789.eE+-") != "" {
		return 0, fault.Invalid(string(measure.NumberMalformed), pointer, "Write the number as text with digits and a decimal point, like 0.250.")
	}
	return n, nil
}

// written writes figures, stopping at the first that is no number.
func written(all map[*string]float64) error {
	for to, f := range all {
		t, err := text(f)
		if err != nil {
			return err
		}
		*to = t
	}
	return nil
}

// shown is text for a sentence.
func shown(f float64) string {
	t, err := text(f)
	if err != nil {
		return "without end"
	}
	return t
}

func (in plainIn) tolerance() (grade.Interval, error) {
	i := grade.Unlimited()
	err := readPlain(plainFigure{"/t_l", in.TL, i.Lower, &i.Lower}, plainFigure{"/t_u", in.TU, i.Upper, &i.Upper})
	if err == nil && i.Lower > i.Upper {
		err = fault.Invalid("grade.limits_crossed", "/t_l", "The least is above the most. Check the limits.")
	}
	return i, err
}

func conformanceAnswer(in plainIn) (Answer, error) {
	var e grade.Estimate
	limits, err := in.tolerance()
	if err != nil {
		return Answer{}, err
	}
	err = readPlain(plainFigure{"/y", in.Y, math.NaN(), &e.Value}, plainFigure{"/u", in.U, math.NaN(), &e.Uncertainty})
	switch {
	case err != nil:
		return Answer{}, err
	case e.Uncertainty < 0:
		return Answer{}, fault.Invalid("grade.uncertainty_negative", "/u", "An uncertainty is nought or more.")
	case limits == grade.Unlimited():
		return Answer{}, fault.Invalid("reckon.figure_missing", "/t_u", "Give t_l, t_u or both.")
	}
	var out conformanceOut
	p := e.Conformity(limits)
	err = written(map[*string]float64{&out.Probability: p, &out.Not: 1 - p})
	return Answer{Value: out, Working: conformanceWorking(e, limits, p)}, err
}

func conformanceWorking(e grade.Estimate, limits grade.Interval, p float64) []string {
	if e.Uncertainty == 0 {
		return []string{"Without uncertainty: 1 inside the limits, 0 outside."}
	}
	low, high := (limits.Lower-e.Value)/e.Uncertainty, (limits.Upper-e.Value)/e.Uncertainty
	line := fmt.Sprintf("pc = Φ((T_U − y)/u) − Φ((T_L − y)/u) = Φ(%s) − Φ(%s) = %s", shown(high), shown(low), shown(p))
	if math.IsInf(limits.Lower, -1) {
		line = fmt.Sprintf("pc = Φ((T_U − y)/u) = Φ((%s − %s)/%s) = Φ(%s) = %s", shown(limits.Upper), shown(e.Value), shown(e.Uncertainty), shown(high), shown(p))
	} else if math.IsInf(limits.Upper, 1) {
		line = fmt.Sprintf("pc = Φ((y − T_L)/u) = Φ((%s − %s)/%s) = Φ(%s) = %s", shown(e.Value), shown(limits.Lower), shown(e.Uncertainty), shown(-low), shown(p))
	}
	return []string{line + " (JCGM 106:2012, 7.2 to 7.4; normal distribution about the value)."}
}

// band is a guard band: w = r k u; Relative is r k, which alone says what
// happens at the limit.
type band struct{ r, k, u, w, relative float64 }

func (in plainIn) band() (band, error) {
	var b band
	none := math.Inf(1)
	err := readPlain(plainFigure{"/k", in.K, 2, &b.k}, plainFigure{"/u", in.U, none, &b.u}, plainFigure{"/w", in.W, none, &b.w}, plainFigure{"/r", in.R, none, &b.r})
	var p float64
	if err == nil {
		err = readPlain(plainFigure{"/p", in.P, none, &p})
	}
	given := 0
	for _, f := range []float64{b.w, b.r, p} {
		if f != none {
			given++
		}
	}
	switch {
	case err != nil:
		return b, err
	case given > 1:
		return b, fault.Invalid("grade.guard_unclear", "/r", "Give one of r, w and p.")
	case p != none && !(p > 0 && p < 1):
		return b, fault.Invalid("grade.figure_outside", "/p", "Give the wanted probability between 0 and 1.")
	}
	b = b.filled(p)
	return b, b.check()
}

func (b band) check() error {
	switch {
	case !(b.k > 0):
		return fault.Invalid("grade.figure_outside", "/k", "Give a coverage factor k above nought.")
	case !(b.u > 0):
		return fault.Invalid("grade.figure_outside", "/u", "Give a standard uncertainty above nought.")
	case math.IsNaN(b.relative):
		return fault.Invalid("reckon.figure_missing", "/u", "Give u, so that w can be set against it.")
	}
	return nil
}

// filled works out what was not given.
func (b band) filled(p float64) band {
	none := math.Inf(1)
	switch {
	case b.w != none && b.u == none:
		b.r = math.NaN()
	case b.w != none:
		b.r = b.w / (b.k * b.u)
	case p != none:
		b.r = chance.NormalQuantile(p) / b.k
	case b.r == none:
		b.r = 1
	}
	b.relative = b.r * b.k
	if b.u != none {
		b.w = b.relative * b.u
	}
	return b
}

func acceptanceAnswer(in plainIn) (Answer, error) {
	limits, err := in.tolerance()
	if err != nil {
		return Answer{}, err
	}
	b, err := in.band()
	if err != nil {
		return Answer{}, err
	}
	var out acceptanceOut
	at := chance.Normal(b.relative)
	err = written(map[*string]float64{&out.R: b.r, &out.AtLimit: at, &out.Risk: chance.Normal(-b.relative)})
	if err != nil {
		return Answer{}, err
	}
	working := []string{fmt.Sprintf("At an acceptance limit, w = r k u away from one tolerance limit, pc = Φ(r k) = Φ(%s × %s) = %s, and the risk 1 − pc = %s (JCGM 106:2012, 8.3).",
		shown(b.r), shown(b.k), out.AtLimit, out.Risk)}
	if math.IsInf(b.u, 1) {
		return Answer{Value: out, Working: append(working, "Without u there are no acceptance limits to reckon.")}, nil
	}
	lines, err := out.draw(limits, b)
	return Answer{Value: out, Working: append(working, lines...), Warnings: acceptanceWarnings(limits.Acceptance(b.w))}, err
}

// draw puts in the acceptance limits and what is left of pc there with both
// tolerance limits.
func (out *acceptanceOut) draw(limits grade.Interval, b band) ([]string, error) {
	accepted := limits.Acceptance(b.w)
	w, err := text(b.w)
	if err != nil {
		return nil, err
	}
	out.W = &w
	lines := []string{fmt.Sprintf("w = r k u = %s × %s × %s = %s.", shown(b.r), shown(b.k), shown(b.u), w)}
	for _, side := range []struct {
		name     string
		sign     string
		from, at float64
		limit    **string
		pc       **string
	}{{"L", "+", limits.Lower, accepted.Lower, &out.AL, &out.AtAL}, {"U", "−", limits.Upper, accepted.Upper, &out.AU, &out.AtAU}} {
		if math.IsInf(side.at, 0) {
			continue
		}
		p := grade.Estimate{Value: side.at, Uncertainty: b.u}.Conformity(limits)
		limit, pc := shown(side.at), shown(p)
		*side.limit, *side.pc = &limit, &pc
		lines = append(lines, fmt.Sprintf("A_%s = T_%s %s w = %s %s %s = %s; pc there, with every limit given, is %s.", side.name, side.name, side.sign, shown(side.from), side.sign, w, limit, pc))
	}
	return lines, nil
}

func acceptanceWarnings(accepted grade.Interval) []string {
	if accepted.Lower > accepted.Upper {
		return []string{"The guard is wider than half the tolerance: nothing is accepted. Measure better."}
	}
	return nil
}

func normalAnswer(in plainIn) (Answer, error) {
	var z, p, nu float64
	err := readPlain(plainFigure{"/z", in.Z, 0, &z}, plainFigure{"/p", in.P, 0, &p}, plainFigure{"/nu", in.Nu, math.Inf(1), &nu})
	switch {
	case err != nil:
		return Answer{}, err
	case (in.Z == "") == (in.P == ""):
		return Answer{}, fault.Invalid("reckon.figure_missing", "/z", "Give z for its probability, or p for its point; one of them.")
	case in.P != "" && !(p > 0 && p < 1):
		return Answer{}, fault.Invalid("grade.figure_outside", "/p", "Give a probability between 0 and 1.")
	case !(nu > 0):
		return Answer{}, fault.Invalid("grade.figure_outside", "/nu", "Give degrees of freedom above nought, or none for the normal distribution.")
	}
	above := 0.0
	if in.P != "" {
		z, above = chance.StudentQuantile(p, nu), 1-p
	} else {
		p, above = chance.Student(z, nu), chance.Student(-z, nu)
	}
	if math.IsInf(nu, 1) && in.P != "" {
		z = chance.NormalQuantile(p)
	}
	var out normalOut
	err = written(map[*string]float64{&out.Z: z, &out.P: p, &out.Above: above})
	name, source := "Φ", "standard normal distribution, from the definition by the error function"
	if !math.IsInf(nu, 1) {
		name, source = "F", "Student's t distribution with "+in.Nu+" degrees of freedom, by the incomplete beta function"
	} else if err == nil {
		out.Density, err = text(chance.Density(z))
	}
	return Answer{Value: out, Working: []string{fmt.Sprintf("%s(%s) = %s; above it lies %s (%s).", name, out.Z, out.P, out.Above, source)}}, err
}
