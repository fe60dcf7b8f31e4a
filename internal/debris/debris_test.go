package debris_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/debris"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

const um = debris.Nanometres(1_000)

func judge(t testing.TB, in debris.Input) debris.Result {
	t.Helper()
	r, err := debris.Judge(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func plug(entries ...debris.Entry) debris.Input {
	return debris.Input{Compartment: debris.GearCase, Now: debris.Sample{Place: debris.MagneticPlug, Entries: entries}}
}

func steel(form debris.Form, length debris.Nanometres, count int64) debris.Entry {
	return debris.Entry{Form: form, Material: debris.Steel, Length: length, Count: count}
}

// The rule, cell by cell, on the plug of a gear case: common practice, no
// source.
func TestTheRule(t *testing.T) {
	t.Parallel()
	type cells = [14]string // few and many of fuzz, hair, small, grain, middle, large, chunk
	rule := map[debris.Material]cells{
		debris.Steel:        {"normal_wear", "watch", "watch", "look_further", "watch", "look_further", "look_further", "stop_and_open", "look_further", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open"},
		debris.Bronze:       {"watch", "look_further", "look_further", "look_further", "look_further", "look_further", "look_further", "stop_and_open", "look_further", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open"},
		debris.BearingMetal: {"watch", "look_further", "look_further", "look_further", "look_further", "look_further", "look_further", "stop_and_open", "look_further", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open"},
		debris.Aluminium:    {"watch", "look_further", "watch", "look_further", "watch", "look_further", "look_further", "stop_and_open", "look_further", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open"},
		debris.Plastic:      {"watch", "look_further", "watch", "look_further", "watch", "look_further", "watch", "look_further", "look_further", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open", "stop_and_open"},
		debris.Fibre:        {"normal_wear", "look_further", "normal_wear", "look_further", "watch", "look_further", "watch", "look_further", "watch", "look_further", "look_further", "look_further", "stop_and_open", "stop_and_open"},
		debris.Carbon:       {"normal_wear", "watch", "normal_wear", "watch", "watch", "watch", "watch", "watch", "watch", "look_further", "look_further", "look_further", "look_further", "look_further"},
		debris.Sealant:      {"watch", "look_further", "watch", "look_further", "watch", "look_further", "watch", "look_further", "watch", "look_further", "look_further", "look_further", "look_further", "look_further"},
	}
	shapes := []debris.Entry{
		{Form: debris.Fuzz}, {Form: debris.Hair, Length: 900 * um}, {Form: debris.Sliver, Length: 200 * um}, {Form: debris.Granular, Length: 400 * um},
		{Form: debris.Flake, Length: 201 * um}, {Form: debris.Flake, Length: debris.LargeFlake}, {Form: debris.Chunk, Length: 201 * um},
	}
	for material, want := range rule {
		for i, e := range shapes {
			for many := range 2 {
				e.Material, e.Count = material, []int64{10, 11}[many]
				if got := string(judge(t, plug(e)).Verdict); got != want[2*i+many] {
					t.Errorf("%s %s, %d of them: %s, want %s", material, e.Form, e.Count, got, want[2*i+many])
				}
			}
		}
	}
}

// Like materials, like words for a form.
func TestWhatIsJudgedAlike(t *testing.T) {
	t.Parallel()
	for name, pair := range map[string][2]debris.Entry{
		"paste is fuzz":                {{Form: debris.Fuzz, Material: debris.Steel}, {Form: debris.Paste, Material: debris.Steel}},
		"a splinter is a sliver":       {steel(debris.Sliver, 400*um, 3), steel(debris.Splinter, 400*um, 3)},
		"a chip is a flake":            {steel(debris.Flake, 150*um, 3), steel(debris.Chip, 150*um, 3)},
		"no material is an unknown":    {{Form: debris.Flake, Material: debris.Unknown}, {Form: debris.Flake}},
		"no magnet is not tried":       {steel(debris.Hair, 0, 3), {Form: debris.Hair, Material: debris.Steel, Count: 3, Attracted: debris.NotTried}},
		"cast iron is steel":           {steel(debris.Flake, 150*um, 3), {Form: debris.Flake, Material: debris.CastIron, Length: 150 * um, Count: 3}},
		"plating is soft metal":        {{Form: debris.Hair, Material: debris.Plating}, {Form: debris.Hair, Material: debris.Bronze}},
		"rubber is plastic":            {{Form: debris.Granular, Material: debris.Rubber}, {Form: debris.Granular, Material: debris.Plastic}},
		"dirt is sealant":              {{Form: debris.Granular, Material: debris.Dirt}, {Form: debris.Granular, Material: debris.Sealant}},
		"unknown and drawn is steel":   {steel(debris.Hair, 0, 3), {Form: debris.Hair, Count: 3, Attracted: debris.Attracted}},
		"unknown fuzz on a magnet":     {{Form: debris.Fuzz, Material: debris.Steel}, {Form: debris.Fuzz}},
		"a small chunk is a flake":     {steel(debris.Flake, 400*um, 1), steel(debris.Chunk, 200*um, 1)},
		"a rubbed flake is fuzz":       {{Form: debris.Fuzz, Material: debris.Steel}, steel(debris.Flake, 15*um, 1)},
		"a long hair is a sliver":      {steel(debris.Sliver, 500*um, 11), steel(debris.Hair, 2000*um, 11)},
		"a fat grain is a chunk":       {steel(debris.Chunk, 0, 1), steel(debris.Granular, debris.LargeFlake, 1)},
		"a piece is a chunk":           {steel(debris.Chunk, 0, 1), steel(debris.Piece, 10*um, 1)},
		"a sphere one sees is a grain": {steel(debris.Granular, 300*um, 1), steel(debris.Sphere, 300*um, 1)},
		"a sphere nobody sees":         {steel(debris.Hair, 300*um, 1), steel(debris.Sphere, 4*um, 1)},
		"heavy is many":                {steel(debris.Flake, 400*um, 11), {Form: debris.Flake, Material: debris.Steel, Length: 400 * um, Share: debris.Heavy}},
		"the longest side counts":      {steel(debris.Flake, 400*um, 3), {Form: debris.Flake, Material: debris.Steel, Length: 100 * um, Width: 400 * um, Count: 3}},
	} {
		if a, b := judge(t, plug(pair[0])).Verdict, judge(t, plug(pair[1])).Verdict; a != b {
			t.Errorf("%s: %s and %s", name, a, b)
		}
	}
}

func TestWhereItLayAndHowFarItRan(t *testing.T) {
	t.Parallel()
	km := func(n int64) debris.Distance { return debris.Distance{Known: true, Metres: n * 1000} }
	heavy := debris.Entry{Form: debris.Fuzz, Material: debris.Steel, Share: debris.Heavy}
	chunk := debris.Sample{Place: debris.MagneticPlug, Entries: []debris.Entry{steel(debris.Chunk, 0, 1)}, DealtWith: "gear renewed"}
	for _, c := range []struct {
		name string
		in   debris.Input
		fill func(*debris.Input)
		want debris.Verdict
	}{
		{"a heavy beard", plug(heavy), nil, debris.Watch},
		{"while running in", plug(heavy), func(in *debris.Input) { in.Now.SinceOverhaul = km(1000) }, debris.NormalWear},
		{"after running in", plug(heavy), func(in *debris.Input) { in.Now.SinceOverhaul = km(1001) }, debris.Watch},
		{"running in by the manual", plug(heavy), func(in *debris.Input) {
			in.Now.SinceOverhaul, in.Criteria = km(1001), debris.Criteria{RunIn: 1_500_000}
		}, debris.NormalWear},
		{"too soon after fresh oil", plug(heavy), func(in *debris.Input) { in.Now.SinceChange = km(999) }, debris.LookFurther},
		{"soon by the manual", plug(heavy), func(in *debris.Input) { in.Now.SinceChange, in.Criteria = km(999), debris.Criteria{ShortRun: 900_000} }, debris.Watch},
		{"long after fresh oil", plug(heavy), func(in *debris.Input) { in.Now.SinceChange = km(1000) }, debris.Watch},
		{"too soon, running in", plug(heavy), func(in *debris.Input) { in.Now.SinceChange, in.Now.SinceOverhaul = km(300), km(300) }, debris.NormalWear},
		{"running in excuses no grain", plug(steel(debris.Granular, 0, 1)), func(in *debris.Input) { in.Now.SinceOverhaul = km(1) }, debris.LookFurther},
		{"running in excuses no bronze", plug(debris.Entry{Form: debris.Fuzz, Material: debris.Bronze}), func(in *debris.Input) { in.Now.SinceOverhaul = km(1) }, debris.Watch},
		{"running in excuses nothing after a chunk", plug(heavy), func(in *debris.Input) { in.Now.SinceOverhaul, in.Earlier = km(1), []debris.Sample{chunk} }, debris.Watch},
		{"soon after fresh oil never stops alone", plug(debris.Entry{Form: debris.Fuzz, Material: debris.Bronze, Share: debris.Heavy}), func(in *debris.Input) { in.Now.SinceChange = km(10) }, debris.LookFurther},
		{"mixture crankcase", plug(steel(debris.Hair, 0, 1)), func(in *debris.Input) { in.Compartment = debris.MixtureCrankcase }, debris.LookFurther},
		{"mixture crankcase, new", plug(heavy), func(in *debris.Input) { in.Compartment, in.Now.SinceOverhaul = debris.MixtureCrankcase, km(1) }, debris.LookFurther},
		{"behind the filter", plug(steel(debris.Granular, 0, 1)), func(in *debris.Input) { in.Now.CleanSide = true }, debris.StopAndOpen},
		{"fuzz behind the filter", plug(steel(debris.Fuzz, 0, 0)), func(in *debris.Input) { in.Now.CleanSide = true }, debris.NormalWear},
	} {
		if c.fill != nil {
			c.fill(&c.in)
		}
		if got := judge(t, c.in).Verdict; got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestSortsCountTogether(t *testing.T) {
	t.Parallel()
	six := steel(debris.Flake, 400*um, 6)
	for _, c := range []struct {
		name string
		with debris.Entry
		want debris.Verdict
	}{
		{"six and six", six, debris.StopAndOpen},
		{"six and four", steel(debris.Flake, 400*um, 4), debris.LookFurther},
		{"iron is ferrous as well", debris.Entry{Form: debris.Flake, Material: debris.CastIron, Length: 400 * um, Count: 6}, debris.StopAndOpen},
		{"smaller ones do not make the larger many", steel(debris.Flake, 100*um, 6), debris.LookFurther},
		{"nor does another family", debris.Entry{Form: debris.Flake, Material: debris.Aluminium, Length: 400 * um, Count: 6}, debris.LookFurther},
	} {
		if got := judge(t, plug(six, c.with)).Verdict; got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// A magnet that contradicts the name makes it stricter, never milder.
func TestMagnetAndName(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		e    debris.Entry
		want debris.Verdict
		says string
	}{
		{debris.Entry{Form: debris.Fuzz, Material: debris.Steel, Attracted: debris.NotAttracted}, debris.Watch, "No magnet draws it"},
		{debris.Entry{Form: debris.Hair, Material: debris.Fibre, Attracted: debris.Attracted}, debris.Watch, "not fibre alone"},
		{debris.Entry{Form: debris.Fuzz, Material: debris.Aluminium, Attracted: debris.Attracted}, debris.Watch, "not aluminium alone"},
		{debris.Entry{Form: debris.Fuzz, Material: debris.Unknown, Attracted: debris.NotAttracted}, debris.Watch, ""},
	} {
		r := judge(t, plug(c.e))
		if r.Verdict != c.want || !strings.Contains(strings.Join(r.Entries[0].Reasons, " "), c.says) {
			t.Errorf("%+v: %s, %v", c.e, r.Verdict, r.Entries[0].Reasons)
		}
	}
}

func TestOil(t *testing.T) {
	t.Parallel()
	want := map[debris.Oil][4]debris.Verdict{ // by Compartments
		debris.OilClean:   {"normal_wear", "normal_wear", "normal_wear", "normal_wear"},
		debris.OilDark:    {"watch", "normal_wear", "watch", "watch"},
		debris.OilGrey:    {"look_further", "look_further", "look_further", "look_further"},
		debris.OilGlitter: {"look_further", "look_further", "look_further", "look_further"},
		debris.OilMilky:   {"look_further", "look_further", "look_further", "look_further"},
		debris.OilFuel:    {"look_further", "look_further", "look_further", "look_further"},
		debris.OilBurnt:   {"watch", "watch", "watch", "watch"},
	}
	for _, oil := range debris.Oils() {
		for i, room := range debris.Compartments() {
			r := judge(t, debris.Input{Compartment: room, Now: debris.Sample{Place: debris.DrainedOil, Oil: []debris.Oil{oil}}})
			if r.Verdict != want[oil][i] || r.Oil[0].Verdict != want[oil][i] || r.Oil[0].Reason == "" {
				t.Errorf("%s in %s: %+v, want %s", oil, room, r.Oil, want[oil][i])
			}
		}
	}
	r := judge(t, debris.Input{Compartment: debris.EngineSump, Now: debris.Sample{Place: debris.DrainedOil, Oil: []debris.Oil{debris.OilFuel, debris.OilMilky}}})
	for _, words := range []string{"vapour that burns", "Find the water"} {
		if !strings.Contains(strings.Join(r.Asks, " "), words) {
			t.Errorf("no word of %q: %v", words, r.Asks)
		}
	}
}

// ASTM D5185-18, 1.4: large particles read low.
func TestALaboratoryOnlyAdds(t *testing.T) {
	t.Parallel()
	chips := plug(steel(debris.Flake, 400*um, 3))
	chips.Now.Lab = debris.LabNormal
	r := judge(t, chips)
	if r.Verdict != debris.LookFurther || !strings.Contains(strings.Join(r.Reasons, " "), "does not clear it") {
		t.Errorf("chips and a normal report: %s, %v", r.Verdict, r.Reasons)
	}
	for lab, want := range map[debris.Lab]debris.Verdict{"": debris.NormalWear, debris.LabNormal: debris.NormalWear, debris.LabRaised: debris.Watch, debris.LabHigh: debris.LookFurther} {
		in := plug()
		in.Now.Lab = lab
		if got := judge(t, in).Verdict; got != want {
			t.Errorf("%q: %s, want %s", lab, got, want)
		}
	}
	in := plug()
	in.Now.Elevated = []string{"Sn", "Fe"}
	r = judge(t, in)
	if r.Verdict != debris.Watch || len(r.Lab) != 2 || !strings.HasPrefix(r.Lab[0], "Sn: bearing metal") {
		t.Errorf("%s, %v", r.Verdict, r.Lab)
	}
}

// From memory: a quarter of a teaspoon of what no magnet draws, half of any.
func TestVolume(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		material debris.Material
		ul       int64
		want     debris.Verdict
	}{
		{debris.Aluminium, 1231, debris.Watch}, {debris.Aluminium, 1232, debris.StopAndOpen}, {debris.Steel, 1232, debris.NormalWear},
		{debris.Steel, 2463, debris.NormalWear}, {debris.Steel, 2464, debris.StopAndOpen}, {debris.Fibre, 9000, debris.NormalWear},
	} {
		e := debris.Entry{Form: debris.Fuzz, Material: c.material, Microlitres: c.ul}
		if got := judge(t, plug(e)).Verdict; got != c.want {
			t.Errorf("%d µL of %s: %s, want %s", c.ul, c.material, got, c.want)
		}
	}
	mixed := judge(t, plug(debris.Entry{Form: debris.Fuzz, Material: debris.Aluminium, Microlitres: 1000}, debris.Entry{Form: debris.Fuzz, Material: debris.Steel, Microlitres: 1464}))
	if mixed.Verdict != debris.StopAndOpen {
		t.Errorf("half a teaspoon together: %s", mixed.Verdict)
	}
}

func TestFigures(t *testing.T) {
	t.Parallel()
	// 1/16 in is 1.5875 mm; a quarter of a US teaspoon, 4.92892159375 mL, is 1.232 mL: by hand.
	if debris.LargeFlake != 25_400_000/16 {
		t.Errorf("1/16 in is %d nm", debris.LargeFlake)
	}
	if debris.QuarterTeaspoon != 1232 || debris.HalfTeaspoon != 2464 {
		t.Error("teaspoons")
	}
}

func TestClasses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		e    debris.Entry
		want debris.Class
	}{
		{"a platelet of 10 µm (ASTM D7898-14)", debris.Entry{Form: debris.Flake, Length: 10 * um, Thickness: um}, debris.RubbingWear},
		{"15 µm is still rubbing", debris.Entry{Form: debris.Flake, Length: 15 * um}, debris.RubbingWear},
		{"any free metal below 5 µm", debris.Entry{Form: debris.Chunk, Length: 4 * um}, debris.RubbingWear},
		{"above 15 µm and longer than wide", debris.Entry{Form: debris.Sliver, Length: 60 * um, Width: 20 * um}, debris.SevereSliding},
		{"not long enough", debris.Entry{Form: debris.Sliver, Length: 59 * um, Width: 20 * um}, ""},
		{"wire-like loops", debris.Entry{Form: debris.Curl, Length: 3000 * um}, debris.Cutting},
		{"a sphere of 3 µm (from memory)", debris.Entry{Form: debris.Sphere, Length: 3 * um}, debris.FatigueSphere},
		{"a sphere of 6 µm", debris.Entry{Form: debris.Sphere, Length: 6 * um}, ""},
		{"thick (from memory)", debris.Entry{Form: debris.Flake, Length: 30 * um, Thickness: 10 * um}, debris.FatigueChunk},
		{"thin (from memory)", debris.Entry{Form: debris.Flake, Length: 31 * um, Width: 30 * um, Thickness: um}, debris.Laminar},
		{"no size", debris.Entry{Form: debris.Flake}, ""},
		{"no metal", debris.Entry{Form: debris.Flake, Length: 10 * um, Material: debris.Plastic}, ""},
	} {
		if got := debris.ClassOf(c.e); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	with := func(change func(*debris.Input)) debris.Input {
		in := plug(steel(debris.Flake, 0, 1))
		change(&in)
		return in
	}
	for _, c := range []struct {
		code, pointer string
		in            debris.Input
	}{
		{"debris.compartment_unknown", "/compartment", with(func(in *debris.Input) { in.Compartment = "" })},
		{"debris.place_unknown", "/place", with(func(in *debris.Input) { in.Now.Place = "pocket" })},
		{"debris.moment_unknown", "/moment", with(func(in *debris.Input) { in.Now.Moment = "later" })},
		{"debris.form_unknown", "/entries/0/form", with(func(in *debris.Input) { in.Now.Entries[0].Form = "" })},
		{"debris.material_unknown", "/entries/0/material", with(func(in *debris.Input) { in.Now.Entries[0].Material = "cheese" })},
		{"debris.word_unknown", "/entries/0/share", with(func(in *debris.Input) { in.Now.Entries[0].Share = "lots" })},
		{"debris.word_unknown", "/entries/0/attracted", with(func(in *debris.Input) { in.Now.Entries[0].Attracted = "bit" })},
		{"debris.word_unknown", "/entries/0/shine", with(func(in *debris.Input) { in.Now.Entries[0].Shine = "pink" })},
		{"debris.word_unknown", "/lab", with(func(in *debris.Input) { in.Now.Lab = "fine" })},
		{"debris.oil_unknown", "/oil/0", with(func(in *debris.Input) { in.Now.Oil = []debris.Oil{"blue"} })},
		{"debris.element_unknown", "/elevated/0", with(func(in *debris.Input) { in.Now.Elevated = []string{"Au"} })},
		{"debris.size_wrong", "/entries/0/size", with(func(in *debris.Input) { in.Now.Entries[0].Length = -1 })},
		{"debris.size_wrong", "/entries/0/width", with(func(in *debris.Input) { in.Now.Entries[0].Width = 1_000_000_001 })},
		{"debris.size_wrong", "/criteria/large_from", with(func(in *debris.Input) { in.Criteria.Large = -1 })},
		{"debris.count_wrong", "/entries/0/count", with(func(in *debris.Input) { in.Now.Entries[0].Count = -1 })},
		{"debris.count_wrong", "/criteria/few", with(func(in *debris.Input) { in.Criteria.Few = -1 })},
		{"debris.count_wrong", "/criteria/repeats", with(func(in *debris.Input) { in.Criteria.Repeats = -1 })},
		{"debris.volume_wrong", "/entries/0/volume", with(func(in *debris.Input) { in.Now.Entries[0].Microlitres = -1 })},
		{"debris.distance_wrong", "/since_change", with(func(in *debris.Input) { in.Now.SinceChange.Metres = -1 })},
		{"debris.distance_wrong", "/criteria/run_in", with(func(in *debris.Input) { in.Criteria.RunIn = -1 })},
		{"debris.distance_wrong", "/criteria/short_run", with(func(in *debris.Input) { in.Criteria.ShortRun = -1 })},
		{"debris.node_unknown", "/at", with(func(in *debris.Input) { in.At = "sump" })},
		{"debris.too_much", "/entries", with(func(in *debris.Input) { in.Now.Entries = make([]debris.Entry, 51) })},
		{"debris.too_much", "/earlier", with(func(in *debris.Input) { in.Earlier = make([]debris.Sample, 21) })},
		{"debris.place_unknown", "/earlier/0/place", with(func(in *debris.Input) { in.Earlier = make([]debris.Sample, 1) })},
	} {
		_, err := debris.Judge(c.in)
		var f *fault.Error
		if !errors.As(err, &f) || f.Code != c.code || len(f.Fields) != 1 || f.Fields[0].Pointer != c.pointer || !strings.HasSuffix(f.Message, ".") {
			t.Errorf("%s at %s: got %v", c.code, c.pointer, err)
		}
	}
}

// Every word of every list is taken, and no list holds a word twice.
func TestListsAreWhole(t *testing.T) {
	t.Parallel()
	for _, form := range debris.Forms() {
		for _, m := range debris.Materials() {
			for _, a := range debris.Attractions() {
				for _, place := range debris.Places() {
					in := plug(debris.Entry{Form: form, Material: m, Attracted: a})
					in.Now.Place = place
					r := judge(t, in)
					if !slices.Contains(debris.Verdicts(), r.Verdict) || !slices.Contains(debris.Amounts(), r.Amount) || len(r.Asks) == 0 || len(r.Warnings) == 0 || len(r.Suspects) != 1 {
						t.Fatalf("%s %s: %+v", m, form, r)
					}
				}
			}
		}
	}
	for _, m := range layout.Materials() {
		if !slices.Contains(debris.Materials(), debris.Material(m)) {
			t.Errorf("%s of the maps is not known here", m)
		}
	}
	if n := len(debris.Elements()); n != 22 {
		t.Errorf("ASTM D5185 determines 22 elements, not %d", n)
	}
	for _, symbol := range debris.Elements() {
		in := plug()
		in.Now.Elevated = []string{symbol}
		if got := judge(t, in).Lab; len(got) != 1 || !strings.HasPrefix(got[0], symbol+": ") {
			t.Errorf("%s: %v", symbol, got)
		}
	}
	listed(t, debris.Places(), debris.Compartments(), debris.Forms(), debris.Materials(), debris.Attractions(), debris.Shines(), debris.Shares(), debris.Oils(),
		debris.Moments(), debris.Labs(), debris.Verdicts(), debris.Amounts(), debris.Classes(), debris.Elements())
}

func listed(t *testing.T, lists ...any) {
	t.Helper()
	if len(lists) == 0 {
		t.Fatal("nothing to check")
	}
	for _, list := range lists {
		words := strings.Fields(strings.Trim(cmpText(list), "[]"))
		seen := map[string]bool{}
		for _, w := range words {
			if seen[w] {
				t.Errorf("%s twice", w)
			}
			seen[w] = true
		}
		if len(seen) < 2 {
			t.Errorf("%v is no list", list)
		}
	}
}

// Smaller and larger ones count together where the smaller are judged.
func TestLargerOnesCountWithTheSmaller(t *testing.T) {
	t.Parallel()
	lining := func(length debris.Nanometres) debris.Entry {
		return debris.Entry{Form: debris.Flake, Material: debris.Fibre, Length: length, Count: 6}
	}
	r := judge(t, plug(lining(100*um), lining(400*um)))
	if r.Entries[0].Verdict != debris.LookFurther || r.Entries[1].Verdict != debris.Watch {
		t.Errorf("%s and %s", r.Entries[0].Verdict, r.Entries[1].Verdict)
	}
}

// What lies behind a sound seal is no suspect.
func TestASealKeepsSuspectsApart(t *testing.T) {
	t.Parallel()
	part := func(key, in layout.Key) layout.Component {
		return layout.Component{Key: key, Name: string(key), Assembly: "all", Kind: "part", Safety: layout.Major, Material: layout.Steel, In: in}
	}
	m, err := layout.Compile(layout.Map{Format: layout.MapFormat, Code: "two_rooms", Revision: 1, Title: "Two rooms", Assemblies: []layout.Assembly{{Key: "all", Name: "all"}},
		Compartments: []layout.Compartment{{Key: "crankcase", Name: "crankcase", Medium: layout.Mixture}, {Key: "gear_case", Name: "gear case", Medium: layout.Oil}},
		Components:   []layout.Component{part("small_end", "crankcase"), part("gears", "gear_case"), part("crank_seal", "")},
		Circuits: []layout.Circuit{{Key: "past", Name: "past", Medium: layout.Oil, Passages: []layout.Passage{
			{From: "crankcase", To: "gear_case", How: layout.Opening, ShutBy: "crank_seal"}}}}})
	if err != nil {
		t.Fatal(err)
	}
	in := plug(steel(debris.Flake, 0, 1))
	in.Map, in.At = m, "gear_case"
	if diff := cmp.Diff([]debris.Named{{Component: "gears", Name: "gears"}}, judge(t, in).Suspects[0].Components); diff != "" {
		t.Error(diff)
	}
	in.At = ""
	in.Compartment = debris.MixtureCrankcase
	if diff := cmp.Diff([]debris.Named{{Component: "small_end", Name: "small_end"}}, judge(t, in).Suspects[0].Components); diff != "" {
		t.Error(diff)
	}
}

func TestSuspects(t *testing.T) {
	t.Parallel()
	doc, ok, err := layout.ShippedMap("parallel_twin_wet_sump")
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	m, err := layout.Compile(doc)
	if err != nil {
		t.Fatal(err)
	}
	in := debris.Input{Compartment: debris.EngineSump, Map: m, At: "sump", Now: debris.Sample{Place: debris.DrainedOil, Entries: []debris.Entry{
		{Form: debris.Flake, Material: debris.BearingMetal}, {Form: debris.Piece, Material: debris.Plastic}, {Form: debris.Flake, Material: debris.Unknown}}}}
	got := map[debris.Material][]layout.Key{}
	for _, s := range judge(t, in).Suspects {
		got[s.Material] = []layout.Key{}
		for _, c := range s.Components {
			got[s.Material] = append(got[s.Material], c.Component)
		}
		if s.From == "" {
			t.Errorf("no words for %s", s.Material)
		}
	}
	if !slices.Contains(got[debris.BearingMetal], "main_bearing_left") || slices.Contains(got[debris.BearingMetal], "wheel_bearing_front") {
		t.Errorf("bearing metal: %v", got[debris.BearingMetal])
	}
	if !slices.Contains(got[debris.Plastic], "tensioner_blade") {
		t.Errorf("plastic: %v", got[debris.Plastic])
	}
	if diff := cmp.Diff([]layout.Key{}, got[debris.Unknown]); diff != "" {
		t.Error(diff)
	}
	in.At = ""
	for _, s := range judge(t, in).Suspects {
		for _, c := range s.Components {
			part, _ := m.Component(c.Component)
			if room, _ := m.Compartment(part.In); room.Medium != layout.Oil {
				t.Errorf("%s does not run in oil", c.Component)
			}
		}
	}
}
