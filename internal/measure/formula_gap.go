package measure

import (
	"math"
	"strings"
)

// gap is what feeler blades say: the thickest that fits and the thinnest that
// does not leave an interval, of which the middle is the estimate and half the
// width the bound (rectangular, GUM 4.3.7).
func gap(r *reckoning) error {
	if r.has("gap") {
		p, err := r.one("gap", r.takes(takeLargest))
		if err == nil {
			r.size("gap", p)
		}
		return err
	}
	fits, err := r.one("goes", takeLargest)
	if err != nil {
		return err
	}
	r.spare = true
	if !r.has("stops") {
		r.size("goes", fits)
		r.unfit = true
		r.indicate("Only the blade that fits is known: the gap is at least that. Name the thinnest blade that does not fit.")
		return nil
	}
	refuses, err := r.one("stops", takeSmallest)
	if err != nil {
		return err
	}
	return r.interval(fits, refuses)
}

// interval is the middle between two sizes.
func (r *reckoning) interval(low, high picked) error {
	if high.n*low.per <= low.n*high.per {
		return problemAt("/readings", IntervalInverted, "What still fits must be smaller than what does not: "+low.words+", "+high.words+".")
	}
	r.spare = true
	r.alsoSteps("from", low.n, low.per, low.grid)
	r.alsoSteps("to", high.n, high.per, high.grid)
	r.come(low.n*high.per+high.n*low.per, 2*low.per*high.per, low.grid)
	r.weigh(low, 0.5)
	r.weigh(high, 0.5)
	half := (high.x() - low.x()) / 2
	r.extra = append(r.extra, BudgetLine{Of: "both", What: "interval", Freedom: math.Inf(1), Half: half, Unit: low.grid.unit,
		Distribution: Rectangular, Divisor: math.Sqrt(3), Sensitivity: 1, Contribution: half / math.Sqrt(3)})
	r.say("Between ", low.words, " and ", high.words, ": the middle, ± half the width, any value as likely (GUM 4.3.7).")
	return nil
}

// strip is a type of plastic gauging strip with the clearances it is for.
type strip struct {
	name     string
	from, to int64 // nanometres
}

// strips lists the types of strip (as in an encyclopedia's table; the three
// of inch charts by colour: two from a dealer's page, blue from memory).
func strips() []strip {
	return []strip{
		{"PL-X", 18_000, 45_000}, {"PL-A", 25_000, 175_000}, {"PL-B", 100_000, 250_000}, {"PL-C", 175_000, 500_000},
		{"PL-D", 500_000, 1_000_000}, {"PL-E", 750_000, 1_750_000},
		{"green", 25_000, 76_000}, {"red", 51_000, 152_000}, {"blue", 102_000, 229_000},
	}
}

// crushStrip is the chart step that the crushed width matches, or the middle
// of the two it lies between.
func crushStrip(r *reckoning) error {
	r.warn("A strip reads the clearance where it lies, without the journal turning; a bore gauge and a micrometer tell more.")
	if r.has("from") || r.has("to") {
		// The wider a strip was crushed, the smaller the clearance.
		small, err := r.one("from", takeLargest)
		if err != nil {
			return err
		}
		large, err := r.one("to", takeSmallest)
		if err == nil {
			err = r.interval(small, large)
		}
		if err != nil {
			return err
		}
		return r.inStrip()
	}
	p, err := r.one("step", r.takes(takeLargest))
	if err != nil {
		return err
	}
	r.size("step", p)
	return r.inStrip()
}

// inStrip says whether the clearance lies in what the strip is made for.
func (r *reckoning) inStrip() error {
	name := strings.TrimSpace(r.with["type"])
	if name == "" {
		return nil
	}
	var names []string
	n, err := r.value.Nanometres()
	if err != nil {
		return err
	}
	for _, s := range strips() {
		names = append(names, s.name)
		if !strings.EqualFold(s.name, name) {
			continue
		}
		g := grid{Millimetre, 6}
		r.say("Strip ", s.name, " is for ", g.decimal(s.from).String(), " to ", g.write(s.to), ".")
		if n < s.from || n > s.to {
			r.indicate("The clearance lies outside what strip " + s.name + " is for, " + g.decimal(s.from).String() + " to " + g.write(s.to) + "; use another.")
		}
		return nil
	}
	return problemAt("/with/type", NameUnknown, "No strip of this type is known; there are "+strings.Join(names, ", ")+".")
}
