package layout

import (
	"slices"
	"strings"

	"benchtag/internal/measure"
)

// CheckSheet lists everything that is wrong in a limit sheet for a map, in the
// order of the sheet.
func CheckSheet(s Sheet, m Map) []Fault {
	c := &checker{}
	c.head(s.Code, s.Revision, s.Title, s.Example, s.Notice)
	if s.Map != m.Code {
		c.add(MapOther, "/map", "The sheet is for the map %.70q, and this is %s.", string(s.Map), m.Code)
	}
	c.machines(s)
	sources := c.sources(s)
	c.limits(s.Limits, sources, m)
	c.torques(s.Torques, sources, m)
	return c.faults
}

// machines checks whom the sheet is for: an example is for nobody's machine,
// any other names one.
func (c *checker) machines(s Sheet) {
	named := s.For.Make != "" || s.For.Model != ""
	if s.Example && named {
		c.add(ForContradicts, "/for", "An example names no machine; take make and model out, or say that it is no example.")
	}
	if !s.Example && s.For.Make == "" {
		c.add(ForContradicts, "/for/make", "Say for which make these figures are.")
	}
	from, to := s.For.YearFrom, s.For.YearTo
	if from < 0 || to < 0 || (to != 0 && from > to) {
		c.add(YearsOutOfOrder, "/for/year_to", "The years run from %d to %d; put the earlier one first.", from, to)
	}
}

func (c *checker) sources(s Sheet) map[Key]bool {
	seen := map[Key]bool{}
	for i, source := range s.Sources {
		at := at("sources", i)
		c.key(seen, at.member("key"), source.Key)
		c.name(at.member("title"), source.Title)
		word(c, at.member("kind"), source.Kind, SourceKinds(), true)
		if s.Example && source.Kind == FromMaker {
			c.add(SourceContradicts, at.member("kind"), "An example does not quote a maker; say that the sheet is no example, or that this source is one.")
		}
	}
	return seen
}

func (c *checker) source(at place, key Key, sources map[Key]bool) {
	if key == "" {
		c.add(SourceMissing, at, "Say where the figure comes from; without a source it cannot decide anything.")
		return
	}
	c.names(SourceDangling, at, sources, "source", key)
}

func (c *checker) limits(all []Limit, sources map[Key]bool, m Map) {
	seen := map[Key]bool{}
	for i, l := range all {
		at := at("limits", i)
		c.near = l.Point
		c.source(at.member("source"), l.Source, sources)
		if seen[l.Point] {
			c.add(PointTwice, at.member("point"), "The point %s has two limits; give it one.", l.Point)
		}
		seen[l.Point] = true
		if l.NearPercent < 0 || l.NearPercent > 99 {
			c.add(PercentOutOfRange, at.member("near_percent"), "The share left is 1 to 99 percent; leave it out for 10.")
		}
		if l.Rule != "" && !slices.Contains(Rules(), l.Rule) {
			c.add(RuleUnknown, at.member("rule"), "%.40q is no decision rule; there are %s.", l.Rule, strings.Join(Rules(), ", "))
		}
		j := slices.IndexFunc(m.Points, func(p Point) bool { return p.Key == l.Point })
		if j < 0 {
			c.add(PointDangling, at.member("point"), "The map has no point %.70q; correct the key or add the point there.", string(l.Point))
			continue
		}
		c.limit(at, l, m.Points[j].Unit)
	}
}

// limit checks the figures of one limit, given the point's unit.
func (c *checker) limit(at place, l Limit, unit measure.Unit) {
	if l.New == (Range{}) && l.Service == (Range{}) {
		c.add(LimitEmpty, at, "This limit has no figure; give a least or a most, or take it out.")
	}
	newMin := c.amount(at.member("new").member("min"), l.New.Min, unit.Dimension())
	newMax := c.amount(at.member("new").member("max"), l.New.Max, unit.Dimension())
	min := c.amount(at.member("service").member("min"), l.Service.Min, unit.Dimension())
	max := c.amount(at.member("service").member("max"), l.Service.Max, unit.Dimension())
	for _, pair := range []struct {
		code        Code
		at          place
		small, big  *measure.Quantity
		explanation string
	}{
		{RangeInverted, "new", newMin, newMax, "The least is greater than the most; exchange them."},
		{RangeInverted, "service", min, max, "The least is greater than the most; exchange them."},
		{ServiceTighter, "service", newMax, max, "The most in service is less than the most when new; a part may wear, so correct one of them."},
		{ServiceTighter, "service", min, newMin, "The least in service is greater than the least when new; a part may wear, so correct one of them."},
	} {
		if inverted(pair.small, pair.big) {
			c.add(pair.code, at.member(string(pair.at)), "%s", pair.explanation)
		}
	}
}

func inverted(small, big *measure.Quantity) bool {
	if small == nil || big == nil {
		return false
	}
	order, err := measure.Compare(*small, *big)
	return err == nil && order > 0
}

// amount reads a figure; nil where there is none or it is wrong. An empty
// dimension is that of an unknown unit and says nothing.
func (c *checker) amount(at place, a *Amount, want measure.Dimension) *measure.Quantity {
	if a == nil {
		return nil
	}
	c.unit(at.member("unit"), a.Unit)
	q, err := measure.ParseValue(a.Value, string(a.Unit))
	if _, number := measure.ParseDecimal(a.Value); number != nil {
		c.add(ValueMalformed, at.member("value"), "Write the figure with digits and a decimal point, like 0.250.")
	}
	if a.Unit.Known() && want != "" && a.Unit.Dimension() != want {
		c.add(DimensionOther, at.member("unit"), "A %s is given where a %s is wanted; correct the unit.", a.Unit.Dimension(), want)
		return nil
	}
	if err != nil {
		return nil
	}
	return &q
}

func (c *checker) torques(all []Torque, sources map[Key]bool, m Map) {
	seen := map[Key]bool{}
	known := keySet(m.Fastenings, func(f Fastening) Key { return f.Key })
	for i, t := range all {
		at := at("torques", i)
		c.near = t.Fastening
		c.source(at.member("source"), t.Source, sources)
		if seen[t.Fastening] {
			c.add(FasteningTwice, at.member("fastening"), "The joint %s has two entries; give it one.", t.Fastening)
		}
		seen[t.Fastening] = true
		if !known[t.Fastening] {
			c.add(FasteningDangling, at.member("fastening"), "The map has no fastening %.70q; correct the key or add it there.", string(t.Fastening))
		}
		if len(t.Stages) == 0 {
			c.add(StagesMissing, at.member("stages"), "Give at least one stage, to a torque or by an angle.")
		}
		for j, s := range t.Stages {
			c.stage(at.member("stages").item(j), s)
		}
	}
}

func (c *checker) stage(at place, s Stage) {
	said := 0
	for _, one := range []bool{s.Torque != nil, s.AngleDeg != 0, s.Loosen} {
		if one {
			said++
		}
	}
	if said != 1 {
		c.add(StageUnclear, at, "A stage is one pull: give a torque, or angle_deg, or loosen, and one alone.")
	}
	if s.AngleDeg < 0 || s.AngleDeg > 720 {
		c.add(AngleOutOfRange, at.member("angle_deg"), "%d degrees cannot be; give 1 to 720.", s.AngleDeg)
	}
	q := c.amount(at.member("torque"), s.Torque, measure.Torque)
	if q != nil && q.Value.Sign() <= 0 {
		c.add(TorqueOutOfRange, at.member("torque").member("value"), "A joint is drawn to more than nought; correct the torque.")
	}
}
