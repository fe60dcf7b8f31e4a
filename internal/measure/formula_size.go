package measure

import "math"

// direct is a size as read: of several places the one that counts.
func direct(usual string) func(*reckoning) error {
	return func(r *reckoning) error {
		p, err := r.one(r.formula.roles[0].name, r.takes(usual))
		if err != nil {
			return err
		}
		r.size(r.formula.roles[0].name, p)
		return nil
	}
}

// size lets a picked size be the result, and names the ends of its places.
func (r *reckoning) size(role string, p picked) {
	r.come(p.n, p.per, p.grid)
	r.weigh(p, 1)
	r.sayRepeats()
	r.say("Of the places that counts: ", p.words, ".")
	if all := r.places[role]; len(all) > 1 {
		low, high := pick(all, takeSmallest), pick(all, takeLargest)
		r.alsoSteps(takeSmallest, low.n, 1, low.grid)
		r.alsoSteps(takeLargest, high.n, 1, high.grid)
		middle := pick(all, takeMean)
		r.alsoSteps(takeMean, middle.n, middle.per, middle.grid)
	}
}

// sayRepeats writes the mean of each place that was read more than once, and
// each that a temperature changed.
func (r *reckoning) sayRepeats() {
	for _, p := range r.pending {
		if len(p.in.reads) > 1 {
			words := ""
			for i, n := range p.in.reads {
				if i > 0 {
					words += " + "
				}
				words += p.in.grid.decimal(n).String()
			}
			g := p.in.grid
			r.say(p.in.name, ", repeats: (", words, ")/", figures(float64(len(p.in.reads)), 3), " = ", g.write(mean(p.in.reads)),
				", standard deviation s = ", figures(p.in.deviation(), 4), g.unit.shown(), " (n − 1; JCGM 100:2008, 4.2).")
		}
		if read := mean(p.in.reads); p.one.Temperature != nil && p.in.grid.unit == Millimetre {
			w, err := p.one.Temperature.numbers()
			if err == nil {
				r.say(p.in.name, " at 20 °C (ISO 1): ", p.in.grid.write(read), " × (1 + ", figures(w.byGauge, 6), " × ", figures(w.gauge, 6),
					")/(1 + ", figures(w.byPart, 6), " × ", figures(w.part, 6), ") = ", p.in.grid.write(p.in.n), ", to the nanometre.")
			}
		}
	}
}

// clearance is hole less shaft less twice the lining (needles, shell walls).
func clearance(r *reckoning) error {
	way := r.takes(takeLargest)
	if r.has("play") {
		p, err := r.one("play", way)
		r.size("play", p)
		return err
	}
	for _, role := range []string{"hole", "shaft"} {
		if _, err := r.all(role, 1); err != nil {
			return err
		}
	}
	r.sayRepeats()
	r.assuming = r.room == nil && r.noneWarm()
	for _, each := range []string{takeSmallest, takeLargest, takeMean} {
		if each == way {
			continue
		}
		n, per, g, _ := r.between(each)
		r.alsoSteps(each, n, per, g)
	}
	n, per, g, parts := r.between(way)
	r.come(n, per, g)
	r.weigh(parts[0], 1)
	r.weigh(parts[1], -1)
	words := "clearance = hole − shaft = " + parts[0].words + " − " + parts[1].words
	if len(parts) > 2 {
		r.weigh(parts[2], -2)
		words = "clearance = hole − shaft − 2 × lining = " + parts[0].words + " − " + parts[1].words + " − 2 × " + parts[2].words
	}
	r.say("The ", way, " ", words, ".")
	return nil
}

func (r *reckoning) noneWarm() bool {
	for _, p := range r.pending {
		if p.one.Temperature != nil {
			return false
		}
	}
	return true
}

// between gives the clearance of the places that a way of taking asks for:
// the largest is the widest hole with the thinnest shaft.
func (r *reckoning) between(way string) (n, per int64, g grid, parts []picked) {
	other := map[string]string{takeMean: takeMean, takeSmallest: takeLargest, takeLargest: takeSmallest}[way]
	hole, shaft := pick(r.places["hole"], way), pick(r.places["shaft"], other)
	n, per = hole.n*shaft.per-shaft.n*hole.per, hole.per*shaft.per
	parts = []picked{hole, shaft}
	if r.has("lining") {
		lining := pick(r.places["lining"], other)
		n, per = n*lining.per-2*lining.n*per, per*lining.per
		parts = append(parts, lining)
	}
	return n, per, hole.grid, parts
}

// difference is the larger less the smaller of two roles.
func (r *reckoning) difference(high, low string) error {
	var ends [2]picked
	for i, role := range []string{high, low} {
		p, err := r.one(role, takeMean)
		if err != nil {
			return err
		}
		ends[i] = p
	}
	a, b := ends[0], ends[1]
	n, per := a.n*b.per-b.n*a.per, a.per*b.per
	if n < 0 {
		a, b, n = b, a, -n
	}
	r.sayRepeats()
	r.come(n, per, a.grid)
	r.weigh(a, 1)
	r.weigh(b, -1)
	r.say("Difference: ", a.words, " − ", b.words, ".")
	return nil
}

func endFloat(r *reckoning) error {
	if !r.has("play") && (r.has("pulled") || r.has("pushed")) {
		return r.difference("pulled", "pushed")
	}
	p, err := r.one("play", r.takes(takeLargest))
	if err == nil {
		r.size("play", p)
	}
	return err
}

func chainSlack(r *reckoning) error {
	if !r.has("slack") && (r.has("up") || r.has("down")) {
		return r.difference("up", "down")
	}
	p, err := r.one("slack", r.takes(takeSmallest))
	if err == nil {
		r.size("slack", p)
	}
	return err
}

// runOut is the total reading of an indicator; a part that is round but set
// off by e reads 2 e.
func runOut(r *reckoning) error {
	err := r.turn()
	if err != nil {
		return err
	}
	n := r.value.Value
	half, err := Convert(Quantity{Value: n, Unit: r.value.Unit}, Millimetre)
	if err != nil {
		return err
	}
	steps, _ := grid{Millimetre, 6}.count(half.Value)
	r.alsoSteps("eccentricity", steps, 2, grid{Millimetre, 6})
	r.say("If the part is round, it sits off its axis by half the run-out: ", r.result.Figures[len(r.result.Figures)-1].Quantity.String(), " (TIR = 2 e).")
	return nil
}

func (r *reckoning) turn() error {
	switch {
	case r.has("round"):
		all, err := r.all("round", 2)
		if err != nil {
			return err
		}
		high, low := pick(all, takeLargest), pick(all, takeSmallest)
		r.come(high.n-low.n, 1, high.grid)
		r.weigh(high, 1)
		r.weigh(low, -1)
		r.say("Run-out over a full turn (TIR): ", high.words, " − ", low.words, ".")
		return nil
	case r.has("highest") || r.has("lowest"):
		return r.difference("highest", "lowest")
	}
	p, err := r.one("run_out", r.takes(takeLargest))
	if err == nil {
		r.size("run_out", p)
	}
	return err
}

// thicknessLoss is what a span lost, laid along the pitch circle.
func thicknessLoss(r *reckoning) error {
	fresh, err := r.one("span_new", takeMean)
	if err != nil {
		return err
	}
	worn, err := r.one("span", r.takes(takeSmallest))
	if err != nil {
		return err
	}
	angle := r.number("pressure_angle", Degree, 20)
	if !(angle > 0 && angle < 45) {
		r.fail("pressure_angle", FigureOutOfRange, "Give the pressure angle, above 0 and below 45 degrees.")
		return r.err
	}
	by := 1 / math.Cos(angle*math.Pi/180)
	r.comeReal((fresh.x()-worn.x())*by, Millimetre)
	r.weigh(fresh, by)
	r.weigh(worn, -by)
	r.say("Loss of thickness = (span new − span)/cos α = (", fresh.words, " − ", worn.words, ")/cos ", figures(angle, 6), "° (from the definition).")
	return nil
}

func springRate(r *reckoning) error {
	var p [4]picked
	for i, role := range []string{"force0", "force1", "length0", "length1"} {
		one, err := r.one(role, takeMean)
		if err != nil {
			return err
		}
		p[i] = one
	}
	force := (p[1].x() - p[0].x()) * float64(p[0].grid.unit.facts().factor) / float64(Newton.facts().factor)
	way := p[2].x() - p[3].x()
	if way == 0 {
		return outOfRange("Both lengths are the same; read the spring at two.")
	}
	rate, newtons := force/way, float64(p[0].grid.unit.facts().factor)/float64(Newton.facts().factor)
	r.comeReal(rate, "N/mm")
	r.weigh(p[1], newtons/way)
	r.weigh(p[0], -newtons/way)
	r.weigh(p[2], -rate/way)
	r.weigh(p[3], rate/way)
	r.say("Rate = (F1 − F0)/(L0 − L1) = (", p[1].words, " − ", p[0].words, ")/(", p[2].words, " − ", p[3].words, "), in N/mm.")
	return nil
}

func lengthAt20(r *reckoning) error {
	if r.noneWarm() {
		return problemAt("/with/part_temperature", TemperatureMissing, "Give the temperature of the part, like 23.7 °C; and that of the gauge, where it differs.")
	}
	p, err := r.one("length", takeMean)
	if err != nil {
		return err
	}
	r.size("length", p)
	sum := int64(0)
	for _, in := range r.places["length"] {
		sum += mean(in.reads)
	}
	r.alsoSteps("correction", p.n-sum, p.per, p.grid)
	return nil
}

func expansionCoefficient(r *reckoning) error {
	var p [4]picked
	for i, role := range []string{"length0", "length1", "temperature0", "temperature1"} {
		one, err := r.one(role, takeMean)
		if err != nil {
			return err
		}
		p[i] = one
	}
	rise, l0, l1 := p[3].x()-p[2].x(), p[0].x(), p[1].x()
	if rise == 0 || l0 <= 0 {
		return outOfRange("Read a length above nought at two temperatures that differ.")
	}
	alpha := (l1 - l0) / (l0 * rise)
	r.comeReal(alpha, "/K")
	r.weigh(p[0], -l1/(l0*l0*rise))
	r.weigh(p[1], 1/(l0*rise))
	r.weigh(p[2], alpha/rise)
	r.weigh(p[3], -alpha/rise)
	r.say("α = (L1 − L0)/(L0 (t1 − t0)) = (", p[1].words, " − ", p[0].words, ")/(", p[0].words, " × ", figures(rise, 8), " K), from the definition.")
	return nil
}
