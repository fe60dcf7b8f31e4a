package measure

import (
	"math"
	"strings"
)

// copperAt20 is the temperature coefficient of annealed copper at 20 °C, 1/K
// (IEC 60028), and copperZero the inferred temperature of no resistance below
// 0 °C (234.5; IEC 60076-1 uses 235; aluminium 225).
const (
	copperAt20    = 0.00393
	copperZero    = 234.5
	aluminiumZero = 225
	// copper is the resistivity of annealed copper at 20 °C in Ω·mm²/m (IEC
	// 60028).
	copper = 0.017241
)

// temperature gives that of a winding: read, or of the part.
func (r *reckoning) temperature() (picked, error) {
	switch {
	case r.has("temperature"):
		return r.one("temperature", takeMean)
	case r.room == nil || r.room.Part.Unit == "":
		return picked{}, problemAt("/with/temperature", TemperatureMissing, "Give the temperature it was read at.")
	}
	q, err := Convert(r.room.Part, Celsius)
	if err != nil {
		return picked{}, placed("/temperature/part", err)
	}
	g := grid{Celsius, 9}
	n, ok := g.count(q.Value)
	if !ok {
		return picked{}, outOfRange("Give a temperature that can be.")
	}
	in := &input{name: "temperature", grid: g, n: n, reads: []int64{n}}
	within := 1.0
	if r.room.Within.Unit != "" {
		within, err = r.room.Within.width(Celsius)
		if err != nil {
			return picked{}, placed("/temperature/within", err)
		}
	}
	d, err := realDecimal(2 * within)
	if err != nil || within <= 0 {
		return picked{}, outOfRange("Say within how many kelvins, above nought.")
	}
	in.gauge = &Gauge{Resolution: Quantity{Value: d, Unit: Celsius}, Uncertainty: Quantity{Unit: Celsius}}
	return picked{n, 1, g, in.write(), []term{{in, 1}}}, nil
}

// resistanceAt20 takes a copper winding's resistance to 20 °C.
func resistanceAt20(r *reckoning) error {
	net, less, t, err := r.netResistance()
	if err != nil {
		return err
	}
	at := r.number("at", Celsius, 20)
	alpha, zero := r.number("coefficient", "", copperAt20), r.number("inferred_zero", "", r.usualZero())
	if r.err != nil {
		return r.err
	}
	by, slope, words := 0.0, 0.0, ""
	x := t.x()
	switch {
	case zero != 0:
		by = (zero + at) / (zero + x)
		slope = -by / (zero + x)
		words = "R2 = R1 (z + t2)/(z + t1), z = " + figures(zero, 6)
	default:
		by = (1 + alpha*(at-20)) / (1 + alpha*(x-20))
		slope = -by * alpha / (1 + alpha*(x-20))
		words = "R2 = R1 (1 + α (t2 − 20))/(1 + α (t1 − 20)), α = " + figures(alpha, 6) + "/K (annealed copper, IEC 60028)"
	}
	if !(by > 0.05 && by < 20) {
		return outOfRange("At these temperatures the formula does not hold; check the temperature and the coefficient.")
	}
	r.comeReal((net.x()-less.x())*by, net.grid.unit)
	r.weigh(net, by)
	r.weigh(less, -by)
	r.weigh(t, slope*(net.x()-less.x()))
	r.alsoReal("factor", 1/by, "1")
	if zero == 0 && alpha == copperAt20 {
		r.alsoReal("by_zero_temperature", (net.x()-less.x())*(copperZero+at)/(copperZero+x), net.grid.unit)
	}
	r.sayRepeats()
	r.say(words, ", t2 = ", figures(at, 6), " °C: ", minusWords(net, less), " at ", t.words, " × ", figures(by, 8), "; the factor at t1 is ", figures(1/by, 8), ".")
	return nil
}

// usualZero is the inferred zero of the winding's material where the form with
// a coefficient is not meant: aluminium.
func (r *reckoning) usualZero() float64 {
	switch strings.TrimSpace(r.with["material"]) {
	case "", "copper":
		return 0
	case "aluminium":
		return aluminiumZero
	}
	r.fail("material", NameUnknown, "Windings are of copper or aluminium; of anything else give coefficient or inferred_zero.")
	return 0
}

func minusWords(net, less picked) string {
	if less.words == "" {
		return net.words
	}
	return "(" + net.words + " − " + less.words + ")"
}

// netResistance gives what was read, what the leads alone read, and the
// temperature.
func (r *reckoning) netResistance() (net, less, t picked, err error) {
	net, err = r.one("resistance", takeMean)
	if err != nil {
		return net, less, t, err
	}
	less = picked{per: 1, grid: net.grid}
	if r.has("leads") {
		less, err = r.one("leads", takeMean)
		if err != nil {
			return net, less, t, err
		}
	}
	t, err = r.temperature()
	return net, less, t, err
}

// insulationAt40 halves an insulation's resistance for every 10 K, as IEEE 43
// does for thermoplastic insulation.
func insulationAt40(r *reckoning) error {
	p, err := r.one("resistance", r.takes(takeSmallest))
	if err != nil {
		return err
	}
	t, err := r.temperature()
	if err != nil {
		return err
	}
	factor := math.Pow(0.5, (40-t.x())/10)
	r.comeReal(p.x()*factor, p.grid.unit)
	r.weigh(p, factor)
	r.weigh(t, p.x()*factor*math.Ln2/10)
	r.alsoReal("factor", factor, "1")
	r.say("R40 = R × 0.5^((40 − t)/10) = ", p.words, " × ", figures(factor, 8), " at ", t.words, " (IEEE 43-2013, thermoplastic insulation).")
	r.warn("IEEE 43 is for machines of 750 W and more; take it as a likeness for a small alternator. Its least: 5 MΩ for windings below 1 kV. Discharge the winding afterwards.")
	return nil
}

func polarisationIndex(r *reckoning) error {
	late, err := r.one("ten_minutes", takeMean)
	if err != nil {
		return err
	}
	early, err := r.one("one_minute", takeMean)
	if err != nil {
		return err
	}
	if early.n <= 0 {
		return outOfRange("The reading after a minute must be above nought.")
	}
	r.comeRatio(1, late.n*early.per, early.n*late.per, "1")
	r.weigh(late, 1/early.x())
	r.weigh(early, -late.x()/(early.x()*early.x()))
	r.say("Index = R(10 min)/R(1 min) = ", late.words, "/", early.words, " (IEEE 43-2013).")
	r.indicate("IEEE 43 asks for 1.5 (class A) or 2.0 (classes B, F, H), and does not use the index on small random-wound machines.")
	return nil
}

// phaseUnbalance is the largest departure from the mean, in percent of the
// mean (NEMA MG 1).
func phaseUnbalance(r *reckoning) error {
	all, err := r.all("phase", 2)
	if err != nil {
		return err
	}
	r.sayRepeats()
	middle := pick(all, takeMean)
	if middle.n <= 0 || all[0].grid.unit.Dimension() == Temperature {
		return outOfRange("The mean of the phases must be above nought.")
	}
	m := middle.per
	worst, most := all[0], int64(-1)
	for _, in := range all {
		if off := in.n*m - middle.n; max(off, -off) > most {
			worst, most = in, max(off, -off)
		}
	}
	r.comeRatio(100, most, middle.n, Percent)
	sign := 1.0
	if worst.n*m < middle.n {
		sign = -1
	}
	x, mean := worst.x(), middle.x()
	for _, in := range all {
		by := -sign * 100 * x / (mean * mean * float64(m))
		if in == worst {
			by += sign * 100 / mean
		}
		r.owe(in, by)
	}
	r.alsoSteps(takeMean, middle.n, m, middle.grid)
	r.say("Unbalance = 100 × largest departure/mean = 100 × |", worst.write(), " − mean|/mean, ", middle.words, " (NEMA MG 1).")
	return nil
}

// voltageDrop is what a voltmeter shows along a path, or what a wire of copper
// drops there and back.
func voltageDrop(r *reckoning) error {
	switch {
	case r.has("drop"):
		p, err := r.one("drop", r.takes(takeLargest))
		if err == nil {
			r.size("drop", p)
		}
		return err
	case r.has("source") || r.has("load"):
		return r.fall()
	}
	return r.wire()
}

// fall is source less load, with its sign.
func (r *reckoning) fall() error {
	source, err := r.one("source", takeMean)
	if err != nil {
		return err
	}
	load, err := r.one("load", takeMean)
	if err != nil {
		return err
	}
	r.sayRepeats()
	r.come(source.n*load.per-load.n*source.per, source.per*load.per, source.grid)
	r.weigh(source, 1)
	r.weigh(load, -1)
	r.say("Drop = source − load = ", source.words, " − ", load.words, ".")
	return nil
}

// wire is 2 L I ρ/A, L one way in metres, A in square millimetres.
func (r *reckoning) wire() error {
	length, err := r.one("length", takeMean)
	if err != nil {
		return err
	}
	current, err := r.one("current", takeMean)
	if err != nil {
		return err
	}
	area := r.number("area", "", 0)
	if area <= 0 || area > 1000 {
		r.fail("area", ParameterMissing, "Give the wire's cross-section in square millimetres, like 2.5.")
	}
	rho := r.number("resistivity", "", copper)
	ways := r.whole("ways", 2, [2]int64{1, 2})
	if r.err != nil {
		return r.err
	}
	metres, amperes := 1e-3, float64(current.grid.unit.facts().factor)/float64(Ampere.facts().factor)
	by := float64(ways) * rho / area * metres * amperes
	r.comeReal(by*length.x()*current.x(), Volt)
	r.weigh(length, by*current.x())
	r.weigh(current, by*length.x())
	r.say("Drop = ", strings.Repeat("2 ", int(ways-1)), "L I ρ/A, L = ", length.words, " one way, I = ", current.words, ", ρ = ", figures(rho, 6),
		" Ω·mm²/m (annealed copper at 20 °C: IEC 60028), A = ", figures(area, 6), " mm².")
	return nil
}
