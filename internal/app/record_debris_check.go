package app

import (
	"context"
	"slices"
	"strconv"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/debris"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

func (a *App) debrisCheckRules() rules[shop.DebrisCheck] {
	return rules[shop.DebrisCheck]{noun: "debris_check", check: func(c *JobChange, was, is *shop.DebrisCheck) error {
		if err := a.judgeDebris(c, is); err != nil {
			return err
		}
		return checkDebris(c, was, is)
	}}
}

// PutDebrisCheck records or changes what was on the plug, in the filter or in
// the oil after the work.
func (a *App) PutDebrisCheck(ctx context.Context, who auth.Principal, put Put, fill func(*shop.DebrisCheck)) (shop.DebrisCheck, bool, error) {
	return putRecord[shop.DebrisCheck](ctx, a, who, put, a.debrisCheckRules(), fill)
}

// StrikeDebrisCheck strikes such a check with a reason.
func (a *App) StrikeDebrisCheck(ctx context.Context, who auth.Principal, at Place, reason string) (shop.DebrisCheck, error) {
	return strikeRecord[shop.DebrisCheck](ctx, a, who, at, reason, a.debrisCheckRules(), nil)
}

func checkDebris(_ *JobChange, _, is *shop.DebrisCheck) error {
	if is.CoarseNew && is.Amount == shop.DebrisAmountNone {
		return fault.Invalid("app.debris_check_contradicts", "/amount", "Something coarse and new was found, so there is an amount; say which.")
	}
	return nil
}

// judgeDebris lets the engine say what the entries mean, beside the checks
// that came before. It never calls milder what a person called worse.
func (a *App) judgeDebris(c *JobChange, is *shop.DebrisCheck) error {
	is.Verdict, is.Asks = "", nil
	if len(is.Entries) == 0 {
		return nil
	}
	m, err := a.mapOf(c, *c.Job)
	if err != nil {
		return err
	}
	all, err := every[shop.DebrisCheck](c, By{"job_id": c.Job.ID})
	if err != nil {
		return err
	}
	in := debris.Input{Compartment: sampled(m), Map: m}
	for _, d := range unstruck(all) {
		if d.ID != is.ID && len(d.Entries) > 0 && !d.ReceivedAt.After(is.ReceivedAt) {
			earlier, err := sampleOf(d)
			if err != nil {
				return err
			}
			if openedSince(*c.Job, d.ReceivedAt) {
				earlier.DealtWith = "Back in the work since."
			}
			in.Earlier = append(in.Earlier, earlier)
		}
	}
	in.Earlier = in.Earlier[max(0, len(in.Earlier)-mostSamples):]
	if in.Now, err = sampleOf(*is); err != nil {
		return err
	}
	r, err := debris.Judge(in)
	if err != nil {
		return within(err, "/entries")
	}
	is.Verdict, is.Asks = string(r.Verdict), r.Asks
	amounts := shop.DebrisAmountValues()
	worst := max(slices.Index(amounts, is.Amount), slices.Index(amounts, shop.DebrisAmount(r.Amount)))
	is.Amount = amounts[max(worst, 0)]
	is.CoarseNew = is.CoarseNew || r.CoarseNew || r.Verdict == debris.StopAndOpen
	if len(in.Earlier) > 0 {
		is.Falling = r.Falling
	}
	return nil
}

// mostSamples is how many earlier samples of a job are held against a new one,
// the latest of them.
const mostSamples = 20

// sampled says what kind of room the oil is from: the crankcase of a machine
// that runs on mixture has none, so there it is the gearbox.
func sampled(m *layout.Compiled) debris.Compartment {
	if m != nil && slices.ContainsFunc(m.Map().Compartments, func(r layout.Compartment) bool { return r.Medium == layout.Mixture }) {
		return debris.GearCase
	}
	return debris.EngineSump
}

// openedSince reports that a job went back into the work after a time: what
// was found before then has been dealt with.
func openedSince(j shop.Job, at time.Time) bool {
	return slices.ContainsFunc(j.Stages, func(s shop.StageAt) bool {
		return s.At.After(at) && (s.Stage == shop.StageRepair || s.Stage == shop.StageTeardown)
	})
}

// sampleOf puts a debris check in the engine's words.
func sampleOf(d shop.DebrisCheck) (debris.Sample, error) {
	places := map[shop.DebrisSample]debris.Place{shop.DebrisSamplePlug: debris.MagneticPlug, shop.DebrisSampleFilter: debris.FilterElement,
		shop.DebrisSampleOil: debris.DrainedOil, shop.DebrisSampleScreen: debris.PickupScreen}
	s := debris.Sample{Place: places[d.Sampled], Moment: debris.Moment(d.Moment)}
	for i, e := range d.Entries {
		one := debris.Entry{Form: debris.Form(e.Form), Material: debris.Material(e.Material), Count: e.Count}
		if !e.Size.IsZero() {
			q, err := quantityOf(e.Size)
			if err != nil {
				return s, err
			}
			nm, err := q.Nanometres()
			if err != nil {
				return s, ofMeasurement(err, "/entries/"+strconv.Itoa(i)+"/size")
			}
			one.Length = debris.Nanometres(nm)
		}
		s.Entries = append(s.Entries, one)
	}
	return s, nil
}
