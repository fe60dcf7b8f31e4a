package reckon

import (
	"fmt"
	"strings"

	"benchtag/internal/debris"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/measure"
)

// debrisIn is a sample, those before it and, if there is one, the machine.
type debrisIn struct {
	machineIn
	At          layout.Key         `json:"at,omitempty"`
	Compartment debris.Compartment `json:"compartment"`
	debrisSample
	Earlier  []debrisEarlier `json:"earlier,omitempty"`
	Criteria *debrisCriteria `json:"criteria,omitempty"`
}

// debrisSample is what one look found.
type debrisSample struct {
	Place         debris.Place  `json:"place"`
	Moment        debris.Moment `json:"moment,omitempty"`
	Entries       []debrisEntry `json:"entries,omitempty"`
	Oil           []debris.Oil  `json:"oil,omitempty"`
	CleanSide     bool          `json:"clean_side,omitempty"`
	SinceChange   *Quantity     `json:"since_change,omitempty"`
	SinceOverhaul *Quantity     `json:"since_overhaul,omitempty"`
	Lab           debris.Lab    `json:"lab,omitempty"`
	Elevated      []string      `json:"elevated,omitempty"`
}

// debrisEarlier is an earlier sample.
type debrisEarlier struct {
	debrisSample
	DealtWith string `json:"dealt_with,omitempty"`
}

// debrisEntry is one sort of debris.
type debrisEntry struct {
	Form      debris.Form       `json:"form"`
	Material  debris.Material   `json:"material,omitempty"`
	Size      *Quantity         `json:"size,omitempty"` // the longest side
	Width     *Quantity         `json:"width,omitempty"`
	Thickness *Quantity         `json:"thickness,omitempty"`
	Count     int64             `json:"count,omitempty"`
	Share     debris.Share      `json:"share,omitempty"`
	Attracted debris.Attraction `json:"attracted,omitempty"`
	Shine     debris.Shine      `json:"shine,omitempty"`
	Volume    *Quantity         `json:"volume,omitempty"`
}

// debrisCriteria are the figures of a maker's manual.
type debrisCriteria struct {
	LargeFrom *Quantity `json:"large_from,omitempty"`
	Few       int64     `json:"few,omitempty"`
	RunIn     *Quantity `json:"run_in,omitempty"`
	ShortRun  *Quantity `json:"short_run,omitempty"`
	Repeats   int64     `json:"repeats,omitempty"`
	Source    string    `json:"source,omitempty"`
}

// debrisRevision is raised when an answer can change.
const debrisRevision = "1"

func debrisEngine() Engine {
	return engine("debris", debrisRevision, "What debris on a plug, in a filter or in oil means, what to do next, and what can have shed it.", func(in debrisIn) (Answer, error) {
		core, err := in.core()
		if err != nil {
			return Answer{}, err
		}
		r, err := debris.Judge(core)
		if err != nil {
			return Answer{}, err
		}
		return DebrisAnswer(r), nil
	})
}

// DebrisAnswer gives a judgement of debris as an answer.
func DebrisAnswer(r debris.Result) Answer {
	working := []string{"Each sort is judged by form, then size, then number, then where it lay; the worst counts (common practice, no source, where a line names none)."}
	for i, e := range r.Entries {
		working = append(working, strings.TrimSpace(fmt.Sprintf("Sort %d: %s: %s. %s", i+1, e.What, spoken(e.Verdict), strings.Join(e.Reasons, " "))))
	}
	for _, o := range r.Oil {
		working = append(working, fmt.Sprintf("Oil %s: %s. %s", o.Oil, spoken(o.Verdict), o.Reason))
	}
	working = append(working, r.Lab...)
	working = append(working, fmt.Sprintf("This sample alone: %s.", spoken(r.SampleVerdict)))
	working = append(working, r.Reasons...)
	working = append(working, fmt.Sprintf("Altogether: %s.", spoken(r.Verdict)))
	return Answer{Engine: "debris", Revision: debrisRevision, Verdict: string(r.Verdict), Value: r, Working: working, Warnings: r.Warnings}
}

func spoken(v debris.Verdict) string { return strings.ReplaceAll(string(v), "_", " ") }

// core gives what the engine takes.
func (in debrisIn) core() (out debris.Input, err error) {
	out = debris.Input{Compartment: in.Compartment, At: in.At}
	if in.Map != nil || in.Shipped != "" {
		out.Map, err = in.compile()
		if err != nil {
			return out, err
		}
	}
	out.Now, err = in.sample("")
	if err != nil {
		return out, err
	}
	for i, e := range in.Earlier {
		s, err := e.sample(fmt.Sprintf("/earlier/%d", i))
		if err != nil {
			return out, err
		}
		s.DealtWith = e.DealtWith
		out.Earlier = append(out.Earlier, s)
	}
	if in.Criteria != nil {
		out.Criteria, err = in.Criteria.core("/criteria")
	}
	return out, err
}

func (c debrisCriteria) core(at string) (debris.Criteria, error) {
	out := debris.Criteria{Few: c.Few, Repeats: c.Repeats, Source: c.Source}
	nm, err := length(at+"/large_from", c.LargeFrom)
	if err != nil {
		return out, err
	}
	out.Large = debris.Nanometres(nm)
	out.RunIn, err = metres(at+"/run_in", c.RunIn)
	if err != nil {
		return out, err
	}
	out.ShortRun, err = metres(at+"/short_run", c.ShortRun)
	return out, err
}

func (s debrisSample) sample(at string) (debris.Sample, error) {
	out := debris.Sample{Place: s.Place, Moment: s.Moment, Oil: s.Oil, CleanSide: s.CleanSide, Lab: s.Lab, Elevated: s.Elevated}
	for _, d := range []struct {
		name string
		in   *Quantity
		to   *debris.Distance
	}{{"/since_change", s.SinceChange, &out.SinceChange}, {"/since_overhaul", s.SinceOverhaul, &out.SinceOverhaul}} {
		m, err := metres(at+d.name, d.in)
		if err != nil {
			return out, err
		}
		*d.to = debris.Distance{Known: d.in != nil, Metres: m}
	}
	for i, e := range s.Entries {
		entry, err := e.core(fmt.Sprintf("%s/entries/%d", at, i))
		if err != nil {
			return out, err
		}
		out.Entries = append(out.Entries, entry)
	}
	return out, nil
}

func (e debrisEntry) core(at string) (debris.Entry, error) {
	out := debris.Entry{Form: e.Form, Material: e.Material, Count: e.Count, Share: e.Share, Attracted: e.Attracted, Shine: e.Shine}
	for _, side := range []struct {
		name string
		in   *Quantity
		to   *debris.Nanometres
	}{{"/size", e.Size, &out.Length}, {"/width", e.Width, &out.Width}, {"/thickness", e.Thickness, &out.Thickness}} {
		nm, err := length(at+side.name, side.in)
		if err != nil {
			return out, err
		}
		*side.to = debris.Nanometres(nm)
	}
	var err error
	out.Microlitres, err = microlitres(at+"/volume", e.Volume)
	return out, err
}

// length gives a length in nanometres; 0 for none.
func length(pointer string, q *Quantity) (int64, error) {
	if q == nil {
		return 0, nil
	}
	got, err := q.read(pointer)
	if err != nil {
		return 0, err
	}
	nm, err := got.Nanometres()
	return nm, at(pointer, err)
}

// metres gives a distance in whole metres, rounded down; 0 for none.
func metres(pointer string, q *Quantity) (int64, error) {
	nm, err := length(pointer, q)
	return nm / 1_000_000_000, err
}

// microlitres gives a volume in whole microlitres, to the nearest; 0 for none.
func microlitres(pointer string, q *Quantity) (int64, error) {
	if q == nil {
		return 0, nil
	}
	got, err := q.read(pointer)
	if err != nil {
		return 0, err
	}
	ml, err := measure.Convert(got, measure.Millilitre)
	if err != nil {
		return 0, at(pointer, err)
	}
	n, err := number(pointer, ml.Value.String())
	if err != nil {
		return 0, err
	}
	if n < 0 || n > 10_000 {
		return 0, fault.Invalid("debris.volume_wrong", pointer, "Give the volume of it all together, from 0 (not measured) to 10 litres.")
	}
	return int64(n*1000 + 0.5), nil
}
