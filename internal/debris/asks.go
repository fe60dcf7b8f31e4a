package debris

import "slices"

// Cautions that go before what a person is asked to do. Common practice, no
// source.
const (
	cautionOil    = "Caution: oil is hot after a run and splinters cut; let it cool, wear gloves, do not feel for splinters with bare fingers."
	cautionStop   = "Do not run it, and do not turn it over on the starter: loose pieces lock wheels and break cases."
	cautionMagnet = "Caution: keep strong magnets away from pacemakers and other implants."
)

// asks says what to do next. Common practice, no source.
func (j judge) asks(r Result) []string {
	out := []string{}
	switch r.Verdict {
	case NormalWear:
		out = append(out, "Clean the place, note what lay there and how far it has run, and look again at the next oil change.")
	case Watch:
		out = append(out, cautionOil, "Clean the place, fill fresh oil and a new filter if it is due, and look again after a short distance that the customer is told; keep what was caught in a labelled bag.")
	case LookFurther:
		out = append(out, cautionOil, "Keep it standing until you know where it comes from: cut the filter open and spread the pleats, look at the pick-up screen, swab a gallery past the filter.",
			"Sort what you find with a magnet, measure the largest and count; keep it in a labelled bag with the reading of the odometer.")
	case StopAndOpen:
		out = append(out, cautionStop, "Open it where the debris points to, find what it came off, and see whether the pieces make a whole; everything the same oil reaches is exposed until it is looked at.",
			"Renew the filter, and clean or renew cooler and lines: what lies in them comes back (as published for aircraft engines).")
	}
	out = append(out, j.asksOfSample()...)
	return append(out, seriesAsks(r, j.in.Now)...)
}

// asksOfSample asks for what the sample itself calls for.
func (j judge) asksOfSample() []string {
	var out []string
	has := func(so func(Entry) bool) bool { return slices.ContainsFunc(j.in.Now.Entries, so) }
	if has(func(e Entry) bool { return e.shape(j.c).coarse() && e.size() == 0 && e.Form != Piece }) {
		out = append(out, "Measure the largest piece: nobody did, and its size decides.")
	}
	if has(func(e Entry) bool {
		return e.shape(j.c) > asFuzz && e.shape(j.c) < asLarge && e.Count == 0 && e.Share == ""
	}) {
		out = append(out, "Count the pieces: nobody did, and they were taken as few.")
	}
	if has(func(e Entry) bool { return e.material() == Unknown }) {
		out = append(out, cautionMagnet, "Try a magnet on it, then press it with a point: bearing metal takes a mark, plastic bends, carbon crumbles.")
	}
	if has(func(e Entry) bool { return chokes(e.material()) && e.shape(j.c).coarse() }) {
		out = append(out, "Look at the pick-up screen: plastic, rubber, lining and sealant float past magnets and choke it. Take the oil pressure with a gauge before it is trusted.")
	}
	for _, o := range j.in.Now.Oil {
		switch o {
		case OilMilky:
			out = append(out, "Find the water: coolant level, pressure test of the cooling system, or many short trips in the cold. Change the oil.")
		case OilFuel:
			out = append(out, "Caution: fuel in the oil gives off vapour that burns; no flame, no sparks, fresh air. Find the float valve, tap or injector that leaks, then change the oil.")
		}
	}
	return out
}

func chokes(m Material) bool {
	return slices.Contains([]Material{Plastic, Rubber, Fibre, Sealant}, m)
}

func seriesAsks(r Result, now Sample) []string {
	var out []string
	switch {
	case r.SeriesClear:
		out = append(out, "The series is through: it fell, nothing coarse is new, and nothing stands from before.")
	case now.Moment != "" && (r.Verdict == LookFurther || r.Verdict == StopAndOpen):
		out = append(out, "The series starts anew once that is put right.")
	case r.NextMoment == Ride:
		out = append(out, "Book the next look: after the ride.")
	case r.NextMoment == FirstDistance:
		out = append(out, "Book the next look: after the first distance, some 500 km unless the maker's manual says otherwise (common practice, no source).")
	}
	return out
}

// warnings say what a sample does not show.
func (j judge) warnings() []string {
	out := []string{}
	now := j.in.Now
	switch now.Place {
	case MagneticPlug:
		out = append(out, "A magnetic plug is a sampler and no barrier: it shows steel and iron that came past, and nothing of aluminium, bronze, bearing metal, plastic, rubber or lining.")
	case PlainPlug:
		out = append(out, "A plug without a magnet catches little: much can be in the oil and nothing on it.")
	case FilterElement:
		out = append(out, "A filter shows what came through it since it was fitted, and only while its bypass stayed shut.")
	case PickupScreen:
		out = append(out, "A screen catches pieces wider than its mesh alone; what is finer went on to the pump.")
	case DrainedOil:
		out = append(out, "Drained oil leaves behind what settled and what sticks; let it run through a clean cloth or a paint strainer.")
	case Swab:
		out = append(out, "A swab tells about the spot it was taken from.")
	}
	if j.in.Criteria == (Criteria{}) {
		out = append(out, "The sizes and numbers that decide are examples from general and aircraft publications, no limits for this machine; what the maker's manual says comes first.")
	}
	if slices.ContainsFunc(j.in.Earlier, func(s Sample) bool { return s.Place != now.Place }) {
		out = append(out, "Earlier samples come from other places in part; only those from the same place are set against this one.")
	}
	if now.Place == FilterElement && now.CleanSide {
		out = append(out, "Metal on the clean side of a filter says that its bypass opened or the element failed.")
	}
	return out
}
