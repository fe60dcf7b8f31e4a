package debris

import "slices"

// Judge says what a sample means. Faults (Meaning), each with its place:
// debris.compartment_unknown, .place_unknown, .moment_unknown, .form_unknown,
// .material_unknown, .word_unknown, .oil_unknown, .element_unknown,
// .size_wrong, .count_wrong, .volume_wrong, .distance_wrong, .node_unknown,
// .too_much.
//
// More or larger debris never gives a milder verdict, and no clean sample makes
// an earlier one harmless.
func Judge(in Input) (Result, error) {
	if err := in.check(); err != nil {
		return Result{}, err
	}
	j := judge{in: in, c: in.Criteria.filled()}
	j.unexcused = in.Compartment == MixtureCrankcase || slices.ContainsFunc(in.Earlier, func(s Sample) bool { return j.worst(s).coarse() })
	now := j.sample(in.Now)
	r := Result{SampleVerdict: now.level.verdict(), Amount: j.worst(in.Now).amount(), Entries: now.entries, Oil: now.oil, Lab: now.lab, Reasons: now.reasons}
	j.series(&r, now)
	r.Suspects = j.suspects()
	r.Asks = j.asks(r)
	r.Warnings = j.warnings()
	return r, nil
}

// judge is an input with its criteria filled in. unexcused says that new parts
// excuse nothing here.
type judge struct {
	in        Input
	c         Criteria
	unexcused bool
}

// judged is a sample with what it means.
type judged struct {
	level   level
	entries []Judged
	oil     []OilSays
	lab     []string
	reasons []string
}

func (j judge) sample(s Sample) judged {
	out := judged{entries: []Judged{}, oil: []OilSays{}, lab: []string{}, reasons: []string{}}
	for _, e := range s.Entries {
		level, reasons := j.entry(s, e)
		out.entries = append(out.entries, Judged{What: e.words(), Verdict: level.verdict(), Reasons: reasons, Class: ClassOf(e)})
		out.level = max(out.level, level)
	}
	for _, o := range s.Oil {
		level, reason := oilSays(o, j.in.Compartment)
		out.oil = append(out.oil, OilSays{Oil: o, Verdict: level.verdict(), Reason: reason})
		out.level = max(out.level, level)
	}
	out.laboratory(s, j.worst(s))
	out.volume(s)
	return out
}

// entry judges one sort of debris: by the table, then by where it lay and how
// far the machine has run.
func (j judge) entry(s Sample, e Entry) (level, []string) {
	shape, many, got := e.shape(j.c), false, normal
	for _, f := range e.families(s.Place) {
		lots := s.many(f, shape, j.c)
		many, got = many || lots, max(got, f.level(shape, lots))
	}
	reasons := []string{shape.words(many, j.c)}
	for _, a := range j.adjustments(s, e, many) {
		if to := a.to(got); a.so && to != got {
			got, reasons = to, append(reasons, a.why)
		}
	}
	return got, append(reasons, e.doubts()...)
}

// adjustment moves a level where something is so.
type adjustment struct {
	so  bool
	to  func(level) level
	why string
}

func (j judge) adjustments(s Sample, e Entry, many bool) []adjustment {
	shape, early := e.shape(j.c), j.runningIn(s)
	return []adjustment{
		{early && shape <= asHair && e.runsIn(), level.lowered, "Parts that are running in shed more of this; one step milder."},
		{many && !early && j.fresh(s), level.raisedToFurther, "That is a lot for the distance since the last oil; one step stricter."},
		{j.in.Compartment == MixtureCrankcase, level.raised, "Nothing filters a mixture crankcase: what lies in it goes through bearings, transfers and piston; one step stricter."},
		{s.CleanSide && shape >= asHair, level.raised, "It lay behind the filter, where the bearings are fed; one step stricter."},
	}
}

// runningIn reports that the parts are new, and nothing has broken in yet.
func (j judge) runningIn(s Sample) bool {
	return s.SinceOverhaul.Known && s.SinceOverhaul.Metres <= j.c.RunIn && !j.unexcused
}

// fresh reports oil that has hardly run.
func (j judge) fresh(s Sample) bool {
	return s.SinceChange.Known && s.SinceChange.Metres < j.c.ShortRun
}

// runsIn reports a material that new parts shed as they settle.
func (e Entry) runsIn() bool { return e.material().sticks() || e.material() == Aluminium }

// worst is the worst shape in a sample.
func (j judge) worst(s Sample) shape {
	worst := asNothing
	for _, e := range s.Entries {
		worst = max(worst, e.shape(j.c))
	}
	return worst
}

// laboratory adds what a laboratory says. It can only add: large particles are
// read low (ASTM D5185-18, 1.4), so a normal report clears nothing.
func (out *judged) laboratory(s Sample, worst shape) {
	for _, symbol := range s.Elevated {
		says, _ := elementSays(symbol)
		out.lab = append(out.lab, symbol+": "+says+".")
	}
	said := map[Lab]level{LabRaised: watch, LabHigh: further}[s.Lab]
	if len(s.Elevated) > 0 {
		said = max(said, watch)
	}
	if said > out.level {
		out.level = said
		out.reasons = append(out.reasons, "The laboratory found more in the oil than usual.")
	}
	if s.Lab == LabNormal && worst.coarse() {
		out.reasons = append(out.reasons, "A normal laboratory report does not clear it: it hardly sees particles larger than a few micrometres (ASTM D5185-18, 1.4).")
	}
}

// Volumes from which metal is too much, in microlitres: a quarter of a US
// teaspoon of what no magnet draws, half a teaspoon of any. From memory, of an
// aircraft engine maker's advice: an example.
const (
	QuarterTeaspoon int64 = 1_232
	HalfTeaspoon    int64 = 2_464
)

func (out *judged) volume(s Sample) {
	var metal, drawn int64
	for _, e := range s.Entries {
		if !e.material().metal() {
			continue
		}
		metal += e.Microlitres
		if e.Attracted == Attracted || e.material().sticks() && e.Attracted != NotAttracted {
			drawn += e.Microlitres
		}
	}
	if metal >= HalfTeaspoon || metal-drawn >= QuarterTeaspoon {
		out.level = stop
		out.reasons = append(out.reasons, "So much metal means opening: a quarter of a teaspoon (1.232 mL) that no magnet draws, or half a teaspoon (2.464 mL) of any (from memory, of advice for aircraft engines: an example).")
	}
}

// oilSays judges the oil itself. Common practice, no source.
func oilSays(o Oil, in Compartment) (level, string) {
	switch o {
	case OilClean:
		return normal, "Clean oil says nothing of pieces that settle, stick or are held by a filter."
	case OilDark:
		if in == EngineSump {
			return normal, "Engine oil turns dark in use."
		}
		return watch, "Oil that no combustion gets into turns dark by heat or clutch dust."
	case OilGrey:
		return further, "Grey oil carries fine metal everywhere; find what makes it."
	case OilGlitter:
		return further, "Glitter is fine flakes in all of the oil, as a bearing or a bore sheds them."
	case OilMilky:
		return further, "Milky oil holds water: condensation from short trips, or coolant. Find out which before it runs on."
	case OilFuel:
		return further, "Fuel thins the oil, and the film in the bearings with it; find where it comes from and change the oil."
	}
	return watch, "Burnt oil has been too hot somewhere."
}
