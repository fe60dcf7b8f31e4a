package measure

import (
	"math"
	"strconv"
	"strings"
)

// chainElongation is how much a chain has grown over n pitches, in percent.
// Over the rollers and between them, the mean of both is n pitches, for the
// roller's own diameter falls out.
func chainElongation(r *reckoning) error {
	nominal, err := r.nominalLength()
	if err != nil {
		return err
	}
	lengths, err := r.chainLengths()
	if err != nil {
		return err
	}
	way := r.takes(takeLargest)
	for _, each := range []string{takeLargest, takeMean} {
		sum, per, _ := lengths.take(each)
		name := map[string]string{takeLargest: "worst", takeMean: "mean"}[each]
		r.also(name, Quantity{Value: ratioOf(100, sum-nominal*per, nominal*per), Unit: Percent})
	}
	sum, per, places := lengths.take(way)
	g := grid{Millimetre, 6}
	r.comeRatio(100, sum-nominal*per, nominal*per, Percent)
	by := 100 / g.real(nominal)
	for _, i := range places {
		for _, in := range lengths[i].parts {
			r.owe(in, by/float64(len(places)*len(lengths[i].parts)))
		}
	}
	r.alsoSteps("length", sum, per, g)
	r.alsoSteps("nominal", nominal, 1, g)
	r.say("Elongation = 100 (L − n p)/(n p) = 100 × (", g.decimal(nearest(sum, per)).String(), " − ", g.decimal(nominal).String(), ")/", g.decimal(nominal).String(), " (from the definition; the ", way, " place).")
	r.doubtChain()
	return nil
}

// doubtChain says when the pitches were probably miscounted.
func (r *reckoning) doubtChain() {
	if f := float(r.value.Value); f < -0.5 || f > 6 {
		r.warn("That is far from any chain in use. Check how many pitches lie between, and the pitch.")
	}
}

// nominalLength gives n p in nanometres.
func (r *reckoning) nominalLength() (int64, error) {
	n := r.whole("pitches", 0, [2]int64{1, 1000})
	if n == 0 {
		r.fail("pitches", ParameterMissing, "Give over how many pitches was measured, like 20.")
		return 0, r.err
	}
	pitch := r.number("pitch", Millimetre, 0)
	if number := strings.ToUpper(strings.TrimSpace(r.with["number"])); number != "" {
		p, err := ChainPitch(number)
		if err != nil {
			return 0, placed("/with/number", err)
		}
		pitch = p
	}
	if r.err == nil && !(pitch >= 1 && pitch <= 1000) {
		r.fail("pitch", ParameterMissing, "Give the chain's pitch, like 15.875 mm, or its number.")
	}
	if r.err != nil {
		return 0, r.err
	}
	g := grid{Millimetre, 6}
	total := n * int64(math.Round(pitch*1e6))
	r.say("n p = ", strconv.FormatInt(n, 10), " × ", g.write(int64(math.Round(pitch*1e6))), " = ", g.write(total), ".")
	return total, nil
}

// chainPlace is a length along a chain: the sum of its parts over their
// number.
type chainPlace struct{ parts []*input }

type chainPlaces []chainPlace

func (c chainPlace) sum() (n, per int64) {
	for _, in := range c.parts {
		n += in.n
	}
	return n, int64(len(c.parts))
}

// take gives the length of the place that counts as sum over per, and which
// places it is of. All places have as many parts.
func (c chainPlaces) take(way string) (sum, per int64, places []int) {
	if way == takeMean {
		for i, p := range c {
			n, parts := p.sum()
			sum, per, places = sum+n, per+parts, append(places, i)
		}
		return sum, per, places
	}
	at := 0
	for i := range c {
		n, _ := c[i].sum()
		best, _ := c[at].sum()
		if (way == takeLargest && n > best) || (way == takeSmallest && n < best) {
			at = i
		}
	}
	sum, per = c[at].sum()
	return sum, per, []int{at}
}

func (r *reckoning) chainLengths() (chainPlaces, error) {
	var out chainPlaces
	if r.has("length") {
		for _, in := range r.places["length"] {
			out = append(out, chainPlace{[]*input{in}})
		}
		r.sayRepeats()
		return out, nil
	}
	outer, err := r.all("over", 1)
	if err != nil {
		return nil, err
	}
	inner, err := r.all("between", 1)
	if err != nil {
		return nil, err
	}
	if len(outer) != len(inner) {
		return nil, problemAt("/readings", ReadingsUneven, "Read over and between the rollers at every place, as often.")
	}
	r.sayRepeats()
	for i := range outer {
		g := outer[i].grid
		r.say("L = (over + between)/2 = (", outer[i].write(), " + ", inner[i].write(), ")/2 = ", g.write(nearest(outer[i].n+inner[i].n, 2)), ".")
		out = append(out, chainPlace{[]*input{outer[i], inner[i]}})
	}
	return out, nil
}

// chainSag is √(3 span extra/8), which holds for a run that is slack by a
// little.
func chainSag(r *reckoning) error {
	span, err := r.one("span", takeMean)
	if err != nil {
		return err
	}
	extra, err := r.one("extra", takeMean)
	if err != nil {
		return err
	}
	s, d := span.x(), extra.x()
	if s <= 0 || d < 0 || d > s/10 {
		return outOfRange("Give a span above nought, and extra length from nought to a tenth of it.")
	}
	sag := math.Sqrt(3 * s * d / 8)
	r.comeReal(sag, Millimetre)
	if sag > 0 {
		r.weigh(span, sag/(2*s))
		r.weigh(extra, sag/(2*d))
	}
	r.say("Sag = √(3 × span × extra/8) = √(3 × ", span.words, " × ", extra.words, "/8), a flat arc (from the definition).")
	return nil
}

// ChainLimit is how far a chain may grow on a drive, in percent: 200/N for the
// large sprocket's teeth, at most 3; 1.5 where the centres are fixed (chain
// makers' published advice, which cites ASME B29.1).
func ChainLimit(largeTeeth int64, fixedCentres bool) (float64, error) {
	if largeTeeth < 5 || largeTeeth > 300 {
		return 0, outOfRange("Give the teeth of the large sprocket, 5 to 300.")
	}
	limit := min(200/float64(largeTeeth), 3)
	if fixedCentres {
		limit = min(limit, 1.5)
	}
	return limit, nil
}
