package layout_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/layout"
	"benchtag/internal/measure"
)

type keys = []layout.Key

// broken maps: one change of the example each, and the one fault that it must
// make, with its place.
var broken = []struct {
	name    string
	damage  func(*layout.Map)
	code    layout.Code
	pointer string
	key     layout.Key
}{
	{"key with a capital", func(m *layout.Map) { m.Assemblies = append(m.Assemblies, layout.Assembly{Key: "Top", Name: "Top end"}) }, layout.KeyMalformed, "/assemblies/1/key", "Top"},
	{"key that starts with a digit", func(m *layout.Map) { m.Code = "2_stroke" }, layout.KeyMalformed, "/code", "2_stroke"},
	{"key too long", func(m *layout.Map) { m.Looks[0].Key = layout.Key(strings.Repeat("a", 65)) }, layout.KeyMalformed, "/looks/0/key", layout.Key(strings.Repeat("a", 65))},
	{"kind missing", func(m *layout.Map) { m.Components[0].Kind = "" }, layout.KeyMalformed, "/components/0/kind", "timing_chain"},
	{"key twice", func(m *layout.Map) { m.Looks = append(m.Looks, m.Looks[0]) }, layout.KeyTwice, "/looks/1/key", "plug_out"},
	{"component named as a compartment", func(m *layout.Map) {
		m.Compartments = append(m.Compartments, layout.Compartment{Key: "oil_pump", Name: "pump", Medium: layout.Oil})
	}, layout.KeyTwice, "/components/2/key", "oil_pump"},
	{"group named as a component", func(m *layout.Map) { m.Groups[0].Key = "oil_pump" }, layout.KeyTwice, "/groups/0/key", "oil_pump"},
	{"name missing", func(m *layout.Map) { m.Steps[1].Name = " " }, layout.NameMissing, "/steps/1/name", "sump_pan"},
	{"name too long", func(m *layout.Map) { m.Title = strings.Repeat("a", 301) }, layout.NameTooLong, "/title", "example_engine"},
	{"revision missing", func(m *layout.Map) { m.Revision = 0 }, layout.RevisionMissing, "/revision", "example_engine"},
	{"example without notice", func(m *layout.Map) { m.Notice = "" }, layout.NoticeMissing, "/notice", "example_engine"},
	{"unknown side", func(m *layout.Map) { m.Components[0].Position.Side = "port" }, layout.WordUnknown, "/components/0/position/side", "timing_chain"},
	{"unknown valve", func(m *layout.Map) { m.Components[0].Position.Valve = "both" }, layout.WordUnknown, "/components/0/position/valve", "timing_chain"},
	{"unknown medium", func(m *layout.Map) { m.Compartments[1].Medium = "" }, layout.WordUnknown, "/compartments/1/medium", "sump"},
	{"unknown medium of a circuit", func(m *layout.Map) { m.Circuits[0].Medium = "water" }, layout.WordUnknown, "/circuits/0/medium", "engine_oil"},
	{"unknown material", func(m *layout.Map) { m.Components[0].Material = "iron" }, layout.WordUnknown, "/components/0/material", "timing_chain"},
	{"gathers an unknown material", func(m *layout.Map) { m.Components[5].Gathers[0] = "dust" }, layout.WordUnknown, "/components/5/gathers/0", "drain_plug"},
	{"unknown barrier", func(m *layout.Map) { m.Components[1].Barrier.Kind = "sieve" }, layout.WordUnknown, "/components/1/barrier/kind", "pickup_screen"},
	{"unknown passage", func(m *layout.Map) { m.Circuits[0].Passages[0].How = "hole" }, layout.WordUnknown, "/circuits/0/passages/0/how", "engine_oil"},
	{"unknown condition", func(m *layout.Map) { m.Fastenings[0].Condition = "" }, layout.WordUnknown, "/fastenings/0/condition", "sump_pan_bolts"},
	{"unknown safety", func(m *layout.Map) { m.Fastenings[0].Safety = "low" }, layout.WordUnknown, "/fastenings/0/safety", "sump_pan_bolts"},
	{"safety missing", func(m *layout.Map) { m.Components[0].Safety = "" }, layout.SafetyMissing, "/components/0/safety", "timing_chain"},
	{"safety of a joint missing", func(m *layout.Map) { m.Fastenings[1].Safety = "" }, layout.SafetyMissing, "/fastenings/1/safety", "pump_bolts"},
	{"assembly dangling", func(m *layout.Map) { m.Components[3].Assembly = "top_end" }, layout.AssemblyDangling, "/components/3/assembly", "oil_filter"},
	{"compartment dangling", func(m *layout.Map) { m.Components[0].In = "tunnel" }, layout.CompartDangling, "/components/0/in", "timing_chain"},
	{"a component is no compartment", func(m *layout.Map) { m.Components[0].In = "oil_pump" }, layout.CompartDangling, "/components/0/in", "timing_chain"},
	{"member dangling", func(m *layout.Map) { m.Groups[0].Members[1] = "chain" }, layout.ComponentDangling, "/groups/0/members/1", "fed_by_pressure"},
	{"taken off dangling", func(m *layout.Map) { m.Steps[1].TakesOff = keys{"pan"} }, layout.ComponentDangling, "/steps/1/takes_off/0", "sump_pan"},
	{"joint of nothing", func(m *layout.Map) { m.Fastenings[0].Component = "pan" }, layout.ComponentDangling, "/fastenings/0/component", "sump_pan_bolts"},
	{"point of nothing", func(m *layout.Map) { m.Points[0].Component = "chain" }, layout.ComponentDangling, "/points/0/component", "chain_length"},
	{"speaks of nothing", func(m *layout.Map) { m.Looks[0].Speaks[0].Component = "mains" }, layout.ComponentDangling, "/looks/0/speaks/0/component", "plug_out"},
	{"shut by nothing", func(m *layout.Map) { m.Circuits[0].Passages[0].ShutBy = "seal" }, layout.ComponentDangling, "/circuits/0/passages/0/shut_by", "engine_oil"},
	{"shut by a compartment", func(m *layout.Map) { m.Circuits[0].Passages[0].ShutBy = "sump" }, layout.ComponentDangling, "/circuits/0/passages/0/shut_by", "engine_oil"},
	{"bypasses nothing known", func(m *layout.Map) { m.Circuits[0].Passages[0].Bypasses = "sieve" }, layout.ComponentDangling, "/circuits/0/passages/0/bypasses", "engine_oil"},
	{"look by an unknown step", func(m *layout.Map) { m.Components[0].Look[0][0] = "cover" }, layout.StepDangling, "/components/0/look/0/0", "timing_chain"},
	{"renew by an unknown step", func(m *layout.Map) { m.Components[4].Renew[0][1] = "pan" }, layout.StepDangling, "/components/4/renew/0/1", "main_bearings"},
	{"need of an unknown step", func(m *layout.Map) { m.Steps[2].Needs[0][1] = "pan" }, layout.StepDangling, "/steps/2/needs/0/1", "timing_cover"},
	{"back after an unknown step", func(m *layout.Map) { m.Steps[0].BackAfter[1] = "cover" }, layout.StepDangling, "/steps/0/back_after/1", "drain_oil"},
	{"joint of an unknown step", func(m *layout.Map) { m.Fastenings[0].Step = "pan" }, layout.StepDangling, "/fastenings/0/step", "sump_pan_bolts"},
	{"hold before an unknown step", func(m *layout.Map) { m.Fastenings[1].HoldBefore = "cover" }, layout.StepDangling, "/fastenings/1/hold_before", "pump_bolts"},
	{"look that needs an unknown step", func(m *layout.Map) { m.Looks[0].Needs[0][0] = "drain" }, layout.StepDangling, "/looks/0/needs/0/0", "plug_out"},
	{"passage from nowhere", func(m *layout.Map) { m.Circuits[0].Passages[1].From = "pan" }, layout.NodeDangling, "/circuits/0/passages/1/from", "engine_oil"},
	{"passage to nowhere", func(m *layout.Map) { m.Circuits[0].Passages[4].To = "mains" }, layout.NodeDangling, "/circuits/0/passages/4/to", "engine_oil"},
	{"look at nothing known", func(m *layout.Map) { m.Looks[0].At[0] = "plug" }, layout.NodeDangling, "/looks/0/at/0", "plug_out"},
	{"thirteenth cylinder", func(m *layout.Map) { m.Components[0].Position.Cylinder = 13 }, layout.PositionUnlikely, "/components/0/position/cylinder", "timing_chain"},
	{"minutes missing", func(m *layout.Map) { m.Steps[0].Minutes = 0 }, layout.MinutesMissing, "/steps/0/minutes", "drain_oil"},
	{"minutes of a look missing", func(m *layout.Map) { m.Looks[0].Minutes = 0 }, layout.MinutesMissing, "/looks/0/minutes", "plug_out"},
	{"minutes negative", func(m *layout.Map) { m.Steps[0].MinutesBack = -1 }, layout.MinutesOutOfRange, "/steps/0/minutes_back", "drain_oil"},
	{"minutes of a year", func(m *layout.Map) { m.Components[0].RenewMinutes = 525600 }, layout.MinutesOutOfRange, "/components/0/renew_minutes", "timing_chain"},
	{"no part at all", func(m *layout.Map) { m.Steps[0].Destroys[0].Quantity = 0 }, layout.QuantityOutOfRange, "/steps/0/destroys/0/quantity", "drain_oil"},
	{"part without a name", func(m *layout.Map) { m.Components[0].Parts[0].Name = "" }, layout.NameMissing, "/components/0/parts/0/name", "timing_chain"},
	{"way without a step", func(m *layout.Map) { m.Components[0].Look = append(m.Components[0].Look, keys{}) }, layout.WayEmpty, "/components/0/look/1", "timing_chain"},
	{"need without an alternative", func(m *layout.Map) { m.Steps[1].Needs = append(m.Steps[1].Needs, keys{}) }, layout.NeedEmpty, "/steps/1/needs/1", "sump_pan"},
	{"step that needs itself", func(m *layout.Map) { m.Steps[2].Needs = append(m.Steps[2].Needs, keys{"timing_cover"}) }, layout.StepNeverPossible, "/steps/2/needs", "timing_cover"},
	{"back after itself", func(m *layout.Map) { m.Steps[1].BackAfter = keys{"sump_pan"} }, layout.BackInCircle, "/steps/1/back_after", "sump_pan"},
	{"screen without a rating", func(m *layout.Map) { m.Components[1].Barrier.RatingUM = 0 }, layout.RatingMissing, "/components/1/barrier/rating_um", "pickup_screen"},
	{"rating below nought", func(m *layout.Map) { m.Components[1].Barrier.RatingUM = -1 }, layout.WidthOutOfRange, "/components/1/barrier/rating_um", "pickup_screen"},
	{"opening of two metres", func(m *layout.Map) { m.Circuits[0].Passages[0].OpeningUM = 2_000_000 }, layout.WidthOutOfRange, "/circuits/0/passages/0/opening_um", "engine_oil"},
	{"bypass that leads nowhere", func(m *layout.Map) { m.Circuits[0].Passages = m.Circuits[0].Passages[:5] }, layout.BypassUnused, "/components/3/barrier/bypass", "oil_filter"},
	{"bypass past a pump", func(m *layout.Map) { m.Circuits[0].Passages[0].Bypasses = "oil_pump" }, layout.BypassOfNoBarrier, "/circuits/0/passages/0/bypasses", "engine_oil"},
	{"bypass past a screen that has none", func(m *layout.Map) { m.Circuits[0].Passages[0].Bypasses = "pickup_screen" }, layout.BypassOfNoBarrier, "/circuits/0/passages/0/bypasses", "engine_oil"},
	{"passage to itself", func(m *layout.Map) { m.Circuits[0].Passages[1].To = "sump" }, layout.PassageToItself, "/circuits/0/passages/1/to", "engine_oil"},
	{"circuit without passages", func(m *layout.Map) {
		m.Circuits = append(m.Circuits, layout.Circuit{Key: "fuel", Name: "fuel", Medium: layout.Fuel})
	}, layout.CircuitEmpty, "/circuits/1/passages", "fuel"},
	{"group without members", func(m *layout.Map) { m.Groups[0].Members = nil }, layout.GroupEmpty, "/groups/0/members", "fed_by_pressure"},
	{"member twice", func(m *layout.Map) { m.Groups[0].Members[1] = "main_bearings" }, layout.MemberTwice, "/groups/0/members/1", "fed_by_pressure"},
	{"hold before its own step", func(m *layout.Map) { m.Fastenings[0].HoldBefore = "sump_pan" }, layout.HoldAtItself, "/fastenings/0/hold_before", "sump_pan_bolts"},
	{"formula unknown", func(m *layout.Map) { m.Points[0].Derive = "guess" }, layout.DeriveUnknown, "/points/0/derive", "chain_length"},
	{"unit missing", func(m *layout.Map) { m.Points[0].Unit = "" }, layout.UnitMissing, "/points/0/unit", "chain_length"},
	{"unit unknown", func(m *layout.Map) { m.Points[0].Unit = "furlong" }, layout.UnitUnknown, "/points/0/unit", "chain_length"},
	{"parameter without a value", func(m *layout.Map) { m.Points[0].With["pitch"] = " " }, layout.ParameterMalformed, "/points/0/with/pitch", "chain_length"},
	{"parameter with an odd name", func(m *layout.Map) { m.Points[0].With["a/b~c"] = "1" }, layout.ParameterMalformed, "/points/0/with/a~1b~0c", "chain_length"},
	{"look that sees nothing", func(m *layout.Map) { m.Looks[0].At, m.Looks[0].Speaks = nil, nil }, layout.LookSeesNothing, "/looks/0/at", "plug_out"},
	{"all the doubt", func(m *layout.Map) { m.Looks[0].Speaks[0].Percent = 100 }, layout.PercentOutOfRange, "/looks/0/speaks/0/percent", "plug_out"},
}

func TestExampleIsSound(t *testing.T) {
	t.Parallel()
	if diff := cmp.Diff([]layout.Fault(nil), layout.Check(example(t))); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]layout.Fault(nil), layout.CheckSheet(figures(t), example(t))); diff != "" {
		t.Error(diff)
	}
}

func TestBrokenMaps(t *testing.T) {
	t.Parallel()
	for _, b := range broken {
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			m := example(t)
			b.damage(&m)
			got := layout.Check(m)
			if len(got) != 1 {
				t.Fatalf("got %d faults, want one: %v", len(got), got)
			}
			want := layout.Fault{Code: b.code, Pointer: b.pointer, Key: b.key, Message: got[0].Message}
			if diff := cmp.Diff(want, got[0]); diff != "" {
				t.Error(diff)
			}
			if !strings.HasSuffix(got[0].Message, ".") {
				t.Errorf("no sentence: %q", got[0].Message)
			}
		})
	}
}

func TestMapWithoutComponents(t *testing.T) {
	t.Parallel()
	got := layout.Check(layout.Map{Code: "nothing", Revision: 1, Title: "Nothing"})
	if len(got) != 1 || got[0].Code != layout.ComponentsMissing {
		t.Errorf("got %v", got)
	}
}

// TestEveryFaultIsReported damages the example in all ways at once that do not
// touch each other.
func TestEveryFaultIsReported(t *testing.T) {
	t.Parallel()
	m := example(t)
	m.Notice, m.Revision = "", 0
	m.Components[0].Safety = ""
	m.Components[0].Look[0][0] = "cover"
	m.Circuits[0].Passages[1].From = "pan"
	m.Points[0].Unit = ""
	var got []layout.Code
	for _, f := range layout.Check(m) {
		got = append(got, f.Code)
	}
	want := []layout.Code{layout.RevisionMissing, layout.NoticeMissing, layout.SafetyMissing, layout.StepDangling, layout.NodeDangling, layout.UnitMissing}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func mm(v string) *layout.Amount { return &layout.Amount{Value: v, Unit: measure.Millimetre} }
func pc(v string) *layout.Amount { return &layout.Amount{Value: v, Unit: measure.Percent} }

// brokenSheets: as broken, for the example's figures.
var brokenSheets = []struct {
	name    string
	damage  func(*layout.Sheet)
	code    layout.Code
	pointer string
}{
	{"key", func(s *layout.Sheet) { s.Code = "" }, layout.KeyMalformed, "/code"},
	{"other map", func(s *layout.Sheet) { s.Map = "other" }, layout.MapOther, "/map"},
	{"example of a make", func(s *layout.Sheet) { s.For.Make = "Marrow" }, layout.ForContradicts, "/for"},
	{"figures for nobody", func(s *layout.Sheet) { s.Example = false }, layout.ForContradicts, "/for/make"},
	{"years", func(s *layout.Sheet) { s.For = layout.For{YearFrom: 1998, YearTo: 1989} }, layout.YearsOutOfOrder, "/for/year_to"},
	{"source without title", func(s *layout.Sheet) { s.Sources[0].Title = "" }, layout.NameMissing, "/sources/0/title"},
	{"source of no kind", func(s *layout.Sheet) { s.Sources[0].Kind = "forum" }, layout.WordUnknown, "/sources/0/kind"},
	{"example that quotes a maker", func(s *layout.Sheet) { s.Sources[0].Kind = layout.FromMaker }, layout.SourceContradicts, "/sources/0/kind"},
	{"source twice", func(s *layout.Sheet) { s.Sources = append(s.Sources, s.Sources[0]) }, layout.KeyTwice, "/sources/1/key"},
	{"limit without source", func(s *layout.Sheet) { s.Limits[0].Source = "" }, layout.SourceMissing, "/limits/0/source"},
	{"torque without source", func(s *layout.Sheet) { s.Torques[0].Source = "" }, layout.SourceMissing, "/torques/0/source"},
	{"source dangling", func(s *layout.Sheet) { s.Torques[1].Source = "manual" }, layout.SourceDangling, "/torques/1/source"},
	{"point dangling", func(s *layout.Sheet) { s.Limits[0].Point = "chain" }, layout.PointDangling, "/limits/0/point"},
	{"point twice", func(s *layout.Sheet) { s.Limits = append(s.Limits, s.Limits[0]) }, layout.PointTwice, "/limits/1/point"},
	{"no figure", func(s *layout.Sheet) { s.Limits[0].New, s.Limits[0].Service = layout.Range{}, layout.Range{} }, layout.LimitEmpty, "/limits/0"},
	{"decimal comma", func(s *layout.Sheet) { s.Limits[0].New.Max = pc("0,2") }, layout.ValueMalformed, "/limits/0/new/max/value"},
	{"unit missing", func(s *layout.Sheet) { s.Limits[0].New.Max.Unit = "" }, layout.UnitMissing, "/limits/0/new/max/unit"},
	{"unit unknown", func(s *layout.Sheet) { s.Limits[0].Service.Max.Unit = "inch" }, layout.UnitUnknown, "/limits/0/service/max/unit"},
	{"a length for a share", func(s *layout.Sheet) { s.Limits[0].New.Max = mm("0.2") }, layout.DimensionOther, "/limits/0/new/max/unit"},
	{"new inverted", func(s *layout.Sheet) { s.Limits[0].New.Min = pc("0.3") }, layout.RangeInverted, "/limits/0/new"},
	{"service inverted", func(s *layout.Sheet) { s.Limits[0].Service.Min = pc("1.6") }, layout.RangeInverted, "/limits/0/service"},
	{"service below new", func(s *layout.Sheet) { s.Limits[0].Service.Max = pc("0.1") }, layout.ServiceTighter, "/limits/0/service"},
	{"service above new", func(s *layout.Sheet) {
		s.Limits[0].New.Min, s.Limits[0].Service.Min = pc("0.1"), pc("0.15")
	}, layout.ServiceTighter, "/limits/0/service"},
	{"share left", func(s *layout.Sheet) { s.Limits[0].NearPercent = 100 }, layout.PercentOutOfRange, "/limits/0/near_percent"},
	{"rule", func(s *layout.Sheet) { s.Limits[0].Rule = "hope" }, layout.RuleUnknown, "/limits/0/rule"},
	{"fastening dangling", func(s *layout.Sheet) { s.Torques[0].Fastening = "bolts" }, layout.FasteningDangling, "/torques/0/fastening"},
	{"fastening twice", func(s *layout.Sheet) { s.Torques[1].Fastening = "sump_pan_bolts" }, layout.FasteningTwice, "/torques/1/fastening"},
	{"no stage", func(s *layout.Sheet) { s.Torques[0].Stages = nil }, layout.StagesMissing, "/torques/0/stages"},
	{"stage of nothing", func(s *layout.Sheet) { s.Torques[0].Stages[0] = layout.Stage{} }, layout.StageUnclear, "/torques/0/stages/0"},
	{"stage of two things", func(s *layout.Sheet) { s.Torques[1].Stages[0].Loosen = true }, layout.StageUnclear, "/torques/1/stages/0"},
	{"torque without unit", func(s *layout.Sheet) { s.Torques[0].Stages[0].Torque.Unit = "" }, layout.UnitMissing, "/torques/0/stages/0/torque/unit"},
	{"torque in millimetres", func(s *layout.Sheet) { s.Torques[0].Stages[0].Torque.Unit = "mm" }, layout.DimensionOther, "/torques/0/stages/0/torque/unit"},
	{"torque of nought", func(s *layout.Sheet) { s.Torques[0].Stages[0].Torque.Value = "0" }, layout.TorqueOutOfRange, "/torques/0/stages/0/torque/value"},
	{"angle of three turns", func(s *layout.Sheet) { s.Torques[1].Stages[1].AngleDeg = 1080 }, layout.AngleOutOfRange, "/torques/1/stages/1/angle_deg"},
}

func TestBrokenSheets(t *testing.T) {
	t.Parallel()
	for _, b := range brokenSheets {
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			s := figures(t)
			b.damage(&s)
			got := layout.CheckSheet(s, example(t))
			if len(got) != 1 {
				t.Fatalf("got %d faults, want one: %v", len(got), got)
			}
			if got[0].Code != b.code || got[0].Pointer != b.pointer || !strings.HasSuffix(got[0].Message, ".") {
				t.Errorf("got %+v, want %s at %s", got[0], b.code, b.pointer)
			}
		})
	}
}

// TestEveryCodeHasACase keeps the two tables complete.
func TestEveryCodeHasACase(t *testing.T) {
	t.Parallel()
	seen := map[layout.Code]bool{layout.ComponentsMissing: true, layout.FormatUnknown: true} // these have tests of their own
	for _, b := range broken {
		seen[b.code] = true
	}
	for _, b := range brokenSheets {
		seen[b.code] = true
	}
	listed := map[layout.Code]bool{}
	for _, code := range layout.Codes() {
		if !seen[code] || listed[code] {
			t.Errorf("%s has no case, or is listed twice", code)
		}
		listed[code] = true
		delete(seen, code)
	}
	for code := range seen {
		t.Errorf("%s is not listed", code)
	}
}
