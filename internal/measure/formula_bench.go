package measure

import "math"

// leakDown is the share of the supply's pressure that a cylinder loses.
func leakDown(r *reckoning) error {
	r.warn("Go by the maker's figures and by where it hisses; published aircraft practice looks further below 60 of 80 psi (25 %), engine hot.")
	if r.has("loss") {
		p, err := r.one("loss", takeMean)
		if err == nil {
			r.size("loss", p)
		}
		return err
	}
	supply, err := r.one("supply", takeMean)
	if err != nil {
		return err
	}
	cylinder, err := r.one("cylinder", takeMean)
	if err != nil {
		return err
	}
	if supply.n <= 0 {
		return outOfRange("Give a supply above nought.")
	}
	if cylinder.n*supply.per > supply.n*cylinder.per {
		r.warn("The cylinder reads more than the supply. Check which gauge is which.")
	}
	r.sayRepeats()
	r.comeRatio(100, supply.n*cylinder.per-cylinder.n*supply.per, supply.n*cylinder.per, Percent)
	r.weigh(supply, 100*cylinder.x()/(supply.x()*supply.x()))
	r.weigh(cylinder, -100/supply.x())
	r.say("Leak-down = 100 (supply − cylinder)/supply = 100 × (", supply.words, " − ", cylinder.words, ")/", supply.words, " (as of FAA AC 43.13-1B, 8-14).")
	return nil
}

// ends gives the largest and the smallest of several, all above nought.
func (r *reckoning) ends(role string) (high, low *input, err error) {
	all, err := r.all(role, 2)
	if err != nil {
		return nil, nil, err
	}
	high, low = pick(all, takeLargest).terms[0].in, pick(all, takeSmallest).terms[0].in
	if low.n < 0 || high.n <= 0 || high.grid.unit.Dimension() == Temperature {
		return nil, nil, outOfRange("These must be sizes above nought.")
	}
	r.sayRepeats()
	r.alsoSteps(takeLargest, high.n, 1, high.grid)
	r.alsoSteps(takeSmallest, low.n, 1, low.grid)
	return high, low, nil
}

func pressureSpread(r *reckoning) error {
	high, low, err := r.ends("cylinder")
	if err != nil {
		return err
	}
	r.comeRatio(100, high.n-low.n, high.n, Percent)
	r.owe(high, 100*low.x()/(high.x()*high.x()))
	r.owe(low, -100/high.x())
	r.also("ratio", Quantity{Value: ratioOf(1, low.n, high.n), Unit: "1"})
	r.say("Spread = 100 (largest − smallest)/largest = 100 × (", high.write(), " − ", low.write(), ")/", high.write(), " (common practice).")
	return nil
}

func smallestOverLargest(r *reckoning) error {
	high, low, err := r.ends("cylinder")
	if err != nil {
		return err
	}
	r.comeRatio(1, low.n, high.n, "1")
	r.owe(high, -low.x()/(high.x()*high.x()))
	r.owe(low, 1/high.x())
	r.say("Ratio = smallest/largest = ", low.write(), "/", high.write(), ".")
	return nil
}

// torqueWithExtension is what a wrench must be set to when an extension
// carries the socket beside its axis: T L/(L + E cos θ), L from hand to drive,
// E from drive to bolt, θ between both, 0 straight on.
func torqueWithExtension(r *reckoning) error {
	length, err := r.one("wrench", takeMean)
	if err != nil {
		return err
	}
	beside, err := r.one("extension", takeMean)
	if err != nil {
		return err
	}
	angle := r.number("angle", Degree, 0)
	l, e := length.x(), beside.x()
	c := math.Cos(angle * math.Pi / 180)
	if math.Mod(math.Abs(angle), 180) == 90 {
		c = 0
	}
	arm := l + e*c
	if r.err == nil && (l <= 0 || e < 0 || arm < l/10) {
		return outOfRange("Give the wrench from hand to drive above nought, and an extension that does not reach back over it.")
	}
	name, by, slope := "torque", l/arm, [2]float64{e * c / (arm * arm), -l * c / (arm * arm)}
	if !r.has("torque") && r.has("set") {
		name, by, slope = "set", arm/l, [2]float64{-e * c / (l * l), c / l}
	}
	from, err := r.one(name, takeMean)
	if err != nil {
		return err
	}
	r.comeReal(from.x()*by, from.grid.unit)
	r.weigh(from, by)
	r.weigh(length, slope[0]*from.x())
	r.weigh(beside, slope[1]*from.x())
	formula := map[string]string{"torque": "set = T L/(L + E cos θ)", "set": "T = set (L + E cos θ)/L"}[name]
	r.say(formula, ", ", from.words, ", L = ", length.words, ", E = ", beside.words, ", θ = ", figures(angle, 6), "° (from the definition; 0 straight on, 90 sideways, 180 back).")
	r.warn("Hold the wrench at the mark that L was measured to, and go by the maker's manual.")
	return nil
}
