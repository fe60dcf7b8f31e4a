package app

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/flow"
	"benchtag/internal/layout"
	"benchtag/internal/measure"
	"benchtag/internal/reckon"
	"benchtag/internal/shop"
	"benchtag/internal/spread"
)

// Spread says where debris has got to on a job's machine, by what its findings
// and checks say.
func (a *App) Spread(ctx context.Context, who auth.Principal, id shop.JobID) (answer reckon.Answer, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		m, err := a.needMap(tx, job)
		if err != nil {
			return err
		}
		findings, err := every[shop.Finding](tx, By{"job_id": id})
		if err != nil {
			return err
		}
		looks, err := every[shop.Check](tx, By{"job_id": id})
		if err != nil {
			return err
		}
		r, err := spread.Trace(m, looseIn(m, job, unstruck(findings), unstruck(looks)))
		if err != nil {
			return err
		}
		answer = reckon.SpreadAnswer(m, r)
		return nil
	})
	return answer, err
}

// looseIn draws what a job's findings and checks say of loose debris. What the
// map does not know is left out: it cannot be followed.
func looseIn(m *layout.Compiled, job shop.Job, findings []shop.Finding, looks []shop.Check) spread.Input {
	var in spread.Input
	for _, step := range job.StepsDone {
		if _, ok := m.Step(layout.Key(step)); ok {
			in.StepsDone = append(in.StepsDone, layout.Key(step))
		}
	}
	for _, c := range looks {
		if _, ok := m.Look(layout.Key(c.Look)); ok && c.Outcome != shop.OutcomeNotPossible {
			in.LooksDone = append(in.LooksDone, spread.LookDone{Look: layout.Key(c.Look), Found: foundBy(c.Outcome)})
		}
	}
	for _, f := range findings {
		for _, key := range membersOf(m, f) {
			part, _ := m.Component(key)
			in.Shed = append(in.Shed, shedBy(part, f)...)
			if f.Debris != nil {
				seenAt(&in, part, *f.Debris)
			}
		}
	}
	return in
}

func foundBy(o shop.Outcome) spread.Found {
	if o == shop.OutcomeOk {
		return spread.FoundClean
	}
	return spread.FoundFines
}

// shedBy gives what came off a part. A broken part of which a piece is missing
// has shed it, whether anybody wrote so or not.
func shedBy(part layout.Component, f shop.Finding) []spread.Shed {
	var out []spread.Shed
	if f.Debris != nil {
		for _, s := range f.Debris.Sheds {
			out = append(out, spread.Shed{From: part.Key, Material: layout.Material(s.Material), Size: spread.Size(s.Size), WidthUM: micrometres(s.Width)})
		}
	}
	if len(out) == 0 && f.InPieces && f.Pieces == shop.PiecesMissing {
		material := part.Material
		if material == "" {
			material = layout.Steel
		}
		out = append(out, spread.Shed{From: part.Key, Material: material, Size: spread.Coarse})
	}
	return out
}

// micrometres gives a width in whole micrometres, rounded down, since a
// narrower piece goes further; 0 where there is no data.
func micrometres(q shop.Quantity) int64 {
	got, err := quantityOf(q)
	if err != nil || got.Unit.Dimension() != measure.Length {
		return 0
	}
	nm, err := got.Nanometres()
	if err != nil || nm < 0 {
		return 0
	}
	return min(nm/1000, 1_000_000)
}

// seenAt adds what lay at a part and how it stood as a barrier.
func seenAt(in *spread.Input, part layout.Component, d shop.FindingDebris) {
	if d.Seen != "" {
		seen := spread.Seen{At: part.Key, Found: spread.Found(d.Seen), WidthUM: micrometres(d.SeenWidth)}
		for _, m := range d.SeenMaterials {
			seen.Material = append(seen.Material, layout.Material(m))
		}
		in.Seen = append(in.Seen, seen)
	}
	if part.Barrier != nil && (d.Bypass != "" || d.InThroughout != "" || d.MetalOnCleanSide || d.CrushedPleats) {
		in.Barriers = append(in.Barriers, spread.Barrier{At: part.Key, Bypass: spread.Bypass(d.Bypass), InThroughout: spread.YesNo(d.InThroughout),
			MetalOnCleanSide: d.MetalOnCleanSide, CrushedPleats: d.CrushedPleats})
	}
	if d.NoLongerShuts {
		in.Leaking = append(in.Leaking, part.Key)
	}
}

// traced gives what debris can have reached and no finding speaks of: coarse
// debris by assembly, fines as one entry, so that a finding that names an
// assembly and says honestly why nobody looked can answer for many parts.
func (d *dossier) traced(j shop.Job) []flow.Reached {
	m := d.maps[j.ID]
	if m == nil {
		return nil
	}
	findings := unstruck(d.findings[j.ID])
	in := looseIn(m, j, findings, unstruck(d.checks[j.ID]))
	if len(in.Shed) == 0 && !slices.ContainsFunc(in.Seen, func(s spread.Seen) bool { return s.Found != spread.FoundClean }) {
		return nil
	}
	stand, err := spread.Stand(m, in)
	if err != nil {
		return []flow.Reached{{Row: flow.Row{Name: "parts nobody could reckon (" + err.Error() + ")"}}}
	}
	named := namedBy(m, slices.DeleteFunc(findings, silent))
	var coarse, fines []layout.Key
	for _, c := range stand {
		switch {
		case named[c.Component]:
		case c.State == spread.ExposedCoarse, c.State == spread.Confirmed:
			coarse = append(coarse, c.Component)
		case c.State == spread.ExposedFines:
			fines = append(fines, c.Component)
		}
	}
	var out []flow.Reached
	for _, a := range m.Map().Assemblies {
		if parts := ofAssembly(m, a.Key, coarse); len(parts) > 0 {
			out = append(out, flow.Reached{Row: flow.Row{Name: strings.ToLower(a.Name) + " with coarse pieces: " + briefly(asGroups(m, parts))}})
		}
	}
	if len(fines) > 0 {
		out = append(out, flow.Reached{Row: flow.Row{Name: "what fines can get to: " + briefly(asGroups(m, fines))}})
	}
	return out
}

// silent reports that a finding names a part and says nothing of its state, nor
// why; one that is marked as reached is asked for by itself.
func silent(f shop.Finding) bool {
	seen := f.Debris != nil && f.Debris.Seen != ""
	return f.EffectiveGrade == nil && f.NotLookedBecause == "" && !seen && !f.ReachedByDebris
}

func ofAssembly(m *layout.Compiled, assembly layout.Key, parts []layout.Key) []layout.Key {
	var out []layout.Key
	for _, k := range parts {
		if c, _ := m.Component(k); c.Assembly == assembly {
			out = append(out, k)
		}
	}
	return out
}

// asGroups names components, a group of the map in place of its members where
// all of them are meant.
func asGroups(m *layout.Compiled, parts []layout.Key) []string {
	var out []string
	left := slices.Clone(parts)
	for _, g := range m.Map().Groups {
		if len(g.Members) < 2 || slices.ContainsFunc(g.Members, func(k layout.Key) bool { return !slices.Contains(left, k) }) {
			continue
		}
		out = append(out, g.Name)
		left = slices.DeleteFunc(left, func(k layout.Key) bool { return slices.Contains(g.Members, k) })
	}
	for _, k := range left {
		out = append(out, m.Name(k))
	}
	return out
}

// briefly lists names, the first six by name.
func briefly(names []string) string {
	const most = 6
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return strings.Join(names[:most], ", ") + " and " + strconv.Itoa(len(names)-most) + " more (see the spread)"
}
