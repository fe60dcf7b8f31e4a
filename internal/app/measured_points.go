package app

import (
	"context"
	"slices"

	"benchtag/internal/auth"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// MeasuredPoint is a point of the machine map with its limits in words.
type MeasuredPoint struct {
	layout.Point
	Limits []string // none: no data
	Source string
}

// MeasuredPoints lists what can be measured on the components of a job's
// findings, or on all of the machine where there is no finding yet.
func (a *App) MeasuredPoints(ctx context.Context, who auth.Principal, id shop.JobID) (out []MeasuredPoint, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		m, err := a.needMap(tx, job)
		if err != nil {
			return err
		}
		sheet, err := sheetOf(tx, job)
		if err != nil {
			return err
		}
		findings, err := every[shop.Finding](tx, By{"job_id": id})
		if err != nil {
			return err
		}
		named := namedBy(m, unstruck(findings))
		out = nil
		for _, p := range m.Map().Points {
			if len(named) == 0 || named[p.Component] {
				out = append(out, withLimits(p, sheet))
			}
		}
		return nil
	})
	return out, err
}

// namedBy gives the components of the map that findings name, by themselves,
// as a group or as members.
func namedBy(m *layout.Compiled, findings []shop.Finding) map[layout.Key]bool {
	named := map[layout.Key]bool{}
	for _, f := range findings {
		for _, key := range membersOf(m, f) {
			named[key] = true
		}
	}
	return named
}

// membersOf gives the components of the map that a finding is about: its
// component and its members may each name a component, a group, an assembly or
// a compartment.
func membersOf(m *layout.Compiled, f shop.Finding) []layout.Key {
	var out []layout.Key
	for _, name := range append([]string{f.Component}, f.Members...) {
		for _, key := range componentsNamed(m, layout.Key(name)) {
			if !slices.Contains(out, key) {
				out = append(out, key)
			}
		}
	}
	return out
}

func componentsNamed(m *layout.Compiled, key layout.Key) []layout.Key {
	if members := m.Members(key); len(members) > 0 {
		return members
	}
	if inside := m.In(key); len(inside) > 0 {
		return inside
	}
	var out []layout.Key
	for _, c := range m.Map().Components {
		if c.Assembly == key {
			out = append(out, c.Key)
		}
	}
	return out
}

func withLimits(p layout.Point, sheet *layout.Sheet) MeasuredPoint {
	out := MeasuredPoint{Point: p}
	if sheet == nil {
		return out
	}
	limit, ok := sheet.Limit(p.Key)
	if !ok {
		return out
	}
	source, _ := sheet.Source(limit.Source)
	out.Source = sourceWords(source)
	for _, r := range []struct {
		of string
		layout.Range
	}{{"new", limit.New}, {"in service", limit.Service}} {
		if words := rangeWords(r.Range); words != "" {
			out.Limits = append(out.Limits, r.of+": "+words)
		}
	}
	return out
}

func sourceWords(s layout.Source) string {
	words := s.Title
	if s.Page != "" {
		words += ", " + s.Page
	}
	if s.Kind == layout.FromExample {
		words += " (example figures, not for service)"
	}
	return words
}

func rangeWords(r layout.Range) string {
	write := func(a *layout.Amount) string { return a.Value + " " + a.Unit.Symbol() }
	switch {
	case r.Min != nil && r.Max != nil:
		return write(r.Min) + " to " + write(r.Max)
	case r.Min != nil:
		return "at least " + write(r.Min)
	case r.Max != nil:
		return "at most " + write(r.Max)
	}
	return ""
}
