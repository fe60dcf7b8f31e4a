package debris_test

import (
	"encoding/json"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/debris"
)

func drawEntry(t *rapid.T) debris.Entry {
	e := debris.Entry{
		Form: rapid.SampledFrom(debris.Forms()).Draw(t, "form"), Material: rapid.SampledFrom(debris.Materials()).Draw(t, "material"),
		Attracted: rapid.SampledFrom(debris.Attractions()).Draw(t, "attracted"),
		Share:     rapid.SampledFrom([]debris.Share{"", "", debris.Light, debris.Heavy}).Draw(t, "share"),
		Count:     rapid.Int64Range(0, 14).Draw(t, "count"),
	}
	e.Length = debris.Nanometres(rapid.SampledFrom([]int64{0, 3_000, 15_000, 15_001, 200_000, 200_001, 1_587_499, 1_587_500, 9_000_000}).Draw(t, "length"))
	if rapid.IntRange(0, 4).Draw(t, "measured") == 0 {
		e.Microlitres = rapid.Int64Range(0, 3000).Draw(t, "volume")
	}
	return e
}

func drawSample(t *rapid.T) debris.Sample {
	km := func(name string) debris.Distance {
		return debris.Distance{Known: rapid.Bool().Draw(t, name), Metres: rapid.SampledFrom([]int64{0, 999_999, 1_000_000, 1_000_001, 50_000_000}).Draw(t, name)}
	}
	return debris.Sample{
		Place:     rapid.SampledFrom(debris.Places()[:3]).Draw(t, "place"),
		Moment:    rapid.SampledFrom(append(debris.Moments(), "")).Draw(t, "moment"),
		Entries:   rapid.SliceOfN(rapid.Custom(drawEntry), 0, 4).Draw(t, "entries"),
		Oil:       rapid.SliceOfN(rapid.SampledFrom(debris.Oils()), 0, 2).Draw(t, "oil"),
		CleanSide: rapid.Bool().Draw(t, "clean side"), SinceChange: km("since change"), SinceOverhaul: km("since overhaul"),
		Lab:       rapid.SampledFrom(append(debris.Labs(), "")).Draw(t, "lab"),
		DealtWith: rapid.SampledFrom([]string{"", "opened and put right"}).Draw(t, "dealt with"),
	}
}

func drawInput(t *rapid.T) debris.Input {
	return debris.Input{Compartment: rapid.SampledFrom(debris.Compartments()).Draw(t, "compartment"), Now: rapid.Custom(drawSample).Draw(t, "now"),
		Earlier: rapid.SliceOfN(rapid.Custom(drawSample), 0, 3).Draw(t, "earlier")}
}

func strict(t *rapid.T, in debris.Input) int {
	r, err := debris.Judge(in)
	if err != nil {
		t.Fatal(err)
	}
	return slices.Index(debris.Verdicts(), r.Verdict)
}

func TestMoreOrLargerIsNeverMilder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		if len(in.Now.Entries) == 0 {
			in.Now.Entries = []debris.Entry{drawEntry(t)}
		}
		before := strict(t, in)
		more := in
		more.Now.Entries = slices.Clone(in.Now.Entries)
		i := rapid.IntRange(0, len(more.Now.Entries)-1).Draw(t, "which")
		e := &more.Now.Entries[i]
		switch rapid.SampledFrom([]string{"count", "size", "share", "volume", "sort"}).Draw(t, "what") {
		case "count":
			e.Count += rapid.Int64Range(1, 20).Draw(t, "more")
		case "size":
			if e.Length == 0 {
				return // nobody measured it: no size to compare with
			}
			e.Length += debris.Nanometres(rapid.Int64Range(1, 3_000_000).Draw(t, "longer"))
		case "share":
			e.Share = debris.Heavy
		case "volume":
			e.Microlitres += 2000
		case "sort":
			more.Now.Entries = append(more.Now.Entries, drawEntry(t))
		}
		if got := strict(t, more); got < before {
			t.Fatalf("%s became %s with more: %+v", debris.Verdicts()[before], debris.Verdicts()[got], more.Now.Entries)
		}
	})
}

func TestMoreWordsAgainstItAreNeverMilder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := strict(t, in)
		in.Now.Oil = append(slices.Clone(in.Now.Oil), rapid.SampledFrom(debris.Oils()).Draw(t, "another oil"))
		if got := strict(t, in); got < before {
			t.Fatal("milder by a word on the oil")
		}
		in.Now.Elevated = []string{"Fe"}
		in.Now.CleanSide = true
		if got := strict(t, in); got < before {
			t.Fatal("milder by iron in the oil and metal behind the filter")
		}
	})
}

// A clean sample, before or now, makes nothing that came earlier harmless.
func TestACleanSampleHealsNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := strict(t, in)
		clean := debris.Sample{Place: rapid.SampledFrom(debris.Places()[:3]).Draw(t, "clean place")}
		with := in
		with.Earlier = append(slices.Clone(in.Earlier), clean)
		if got := strict(t, with); got < before {
			t.Fatalf("%s became %s by a clean sample before it", debris.Verdicts()[before], debris.Verdicts()[got])
		}
		later := in
		in.Now.DealtWith = ""
		own, err := debris.Judge(debris.Input{Compartment: in.Compartment, Now: in.Now})
		if err != nil {
			t.Fatal(err)
		}
		later.Earlier, later.Now = []debris.Sample{in.Now}, clean
		floor := slices.Index(debris.Verdicts(), own.Verdict)
		if got := strict(t, later); floor >= 2 && got < floor {
			t.Fatalf("%s before, nothing done, and a clean one now give %s", own.Verdict, debris.Verdicts()[got])
		}
	})
}

func TestOrderAndSplittingDoNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := strict(t, in)
		other := in
		other.Now.Entries = nil
		for _, e := range slices.Backward(in.Now.Entries) {
			if e.Count > 1 {
				half := e
				half.Count, half.Microlitres = e.Count/2, 0
				e.Count -= half.Count
				other.Now.Entries = append(other.Now.Entries, half)
			}
			other.Now.Entries = append(other.Now.Entries, e)
		}
		if got := strict(t, other); got != before {
			t.Fatalf("%s became %s by writing it down in another way", debris.Verdicts()[before], debris.Verdicts()[got])
		}
	})
}

// TestReference holds the verdict of a sample alone against the rule told in
// another way: as a list of statements, of which the strictest that applies
// counts.
func TestReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.Earlier = nil
		r, err := debris.Judge(in)
		if err != nil {
			t.Fatal(err)
		}
		if want := debris.Verdicts()[reference(in)]; r.SampleVerdict != want || r.Verdict != want {
			t.Fatalf("%s (alone %s), want %s: %+v", r.Verdict, r.SampleVerdict, want, in.Now)
		}
	})
}

func isIn[T comparable](x T, list ...T) bool { return slices.Contains(list, x) }

// looks gives an entry as the statements speak of it: how bad its shape is on
// a scale from 1, fuzz, to 7, a chunk.
func looks(e debris.Entry) int {
	flat := !isIn(e.Form, "fuzz", "paste", "hair", "granular", "sphere", "chunk", "piece")
	tiny := e.Length > 0 && e.Length <= 15_000
	fine := e.Length > 0 && e.Length <= 200_000
	big := e.Length >= 1_587_500
	for _, s := range []struct {
		so   bool
		rank int
	}{
		{isIn(e.Form, "fuzz", "paste"), 1}, {e.Form == "piece", 7}, {e.Form == "chunk" && fine, 5}, {e.Form == "chunk", 7},
		{isIn(e.Form, "granular", "sphere") && big, 7}, {e.Form == "sphere" && tiny, 2}, {e.Form == "granular" && tiny, 1}, {isIn(e.Form, "granular", "sphere"), 4},
		{tiny, 1}, {e.Form == "hair" && big, 5}, {e.Form == "hair", 2}, {flat && big, 6}, {flat && fine, 3},
	} {
		if s.so {
			return s.rank
		}
	}
	return 5
}

// kinds says as what an entry is judged.
func kinds(e debris.Entry, place debris.Place) []string {
	sticks := isIn(e.Material, debris.Steel, debris.CastIron)
	own := map[debris.Material]string{"steel": "iron", "cast_iron": "iron", "aluminium": "light", "plastic": "soft_thing", "rubber": "soft_thing", "fibre": "lining", "carbon": "carbon", "dirt": "alien", "sealant": "alien"}[e.Material]
	if own == "" {
		own = "soft"
	}
	if e.Material == debris.Unknown && (e.Attracted == "yes" || e.Attracted != "no" && place == "magnetic_plug" && isIn(e.Form, "fuzz", "paste")) {
		return []string{"iron"}
	}
	if e.Attracted == "yes" && !sticks {
		return []string{own, "iron"}
	}
	if e.Attracted == "no" && sticks {
		return []string{own, "soft"}
	}
	return []string{own}
}

func reference(in debris.Input) int {
	worst := 0
	say := func(level int, so bool) {
		if so {
			worst = max(worst, level)
		}
	}
	var metal, loose int64
	for _, e := range in.Now.Entries {
		say(referenceEntry(in, e), true)
		if !isIn(e.Material, "plastic", "rubber", "fibre", "sealant", "carbon", "dirt") {
			metal += e.Microlitres
			if e.Attracted == "no" || e.Attracted != "yes" && !isIn(e.Material, debris.Steel, debris.CastIron) {
				loose += e.Microlitres
			}
		}
	}
	say(3, metal >= 2464 || loose >= 1232)
	for _, o := range in.Now.Oil {
		say(2, isIn(o, "grey", "glitter", "milky", "fuel"))
		say(1, o == "burnt" || o == "dark" && in.Compartment != "engine_sump")
	}
	say(1, in.Now.Lab == "raised")
	say(2, in.Now.Lab == "high")
	return worst
}

func referenceEntry(in debris.Input, e debris.Entry) int {
	rank, level, crowd := looks(e), 0, false
	for _, kind := range kinds(e, in.Now.Place) {
		many, count := false, int64(0)
		for _, other := range in.Now.Entries {
			if looks(other) >= rank && isIn(kind, kinds(other, in.Now.Place)...) {
				count += other.Count
				many = many || other.Share == "heavy"
			}
		}
		many = many || count > 10
		crowd = crowd || many
		hard := isIn(kind, "iron", "soft", "light")
		for _, s := range []struct {
			level int
			so    bool
		}{
			{3, rank >= 6 && (hard || kind == "soft_thing")}, {3, rank == 7 && kind == "lining"}, {2, rank >= 6},
			{3, many && rank >= 4 && hard}, {3, many && rank == 5 && kind == "soft_thing"},
			{2, rank >= 4 && hard}, {2, rank == 5 && kind == "soft_thing"}, {2, rank >= 2 && kind == "soft"},
			{2, many && !isIn(kind, "iron", "carbon")}, {2, many && rank >= 2 && kind == "iron"}, {2, many && rank == 5 && kind == "carbon"},
			{1, many}, {1, rank >= 2 && kind == "iron"}, {1, isIn(kind, "soft", "light", "soft_thing", "alien")}, {1, rank >= 3},
		} {
			if s.so {
				level = max(level, s.level)
			}
		}
	}
	early := in.Now.SinceOverhaul.Known && in.Now.SinceOverhaul.Metres <= 1_000_000 && in.Compartment != "mixture_crankcase"
	if early && rank <= 2 && isIn(e.Material, "steel", "cast_iron", "aluminium") && level > 0 {
		level--
	}
	if crowd && !early && in.Now.SinceChange.Known && in.Now.SinceChange.Metres < 1_000_000 && level < 2 {
		level++
	}
	if in.Compartment == "mixture_crankcase" {
		level++
	}
	if in.Now.CleanSide && rank >= 2 {
		level++
	}
	return min(level, 3)
}

func FuzzJudge(f *testing.F) {
	for _, in := range []debris.Input{plug(), plug(steel(debris.Flake, 400*um, 3)), after(sample("ride"), sample("stand_run", steel(debris.Chunk, 0, 1)))} {
		text, err := json.Marshal(in)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var in debris.Input
		if json.Unmarshal(text, &in) != nil || in.Map != nil {
			return
		}
		r, err := debris.Judge(in)
		if err != nil {
			return
		}
		if slices.Index(debris.Verdicts(), r.Verdict) < slices.Index(debris.Verdicts(), r.SampleVerdict) {
			t.Fatalf("the series made %s of %s", r.Verdict, r.SampleVerdict)
		}
		if len(r.Entries) != len(in.Now.Entries) || len(r.Series) != len(in.Earlier) {
			t.Fatal("something was left out")
		}
	})
}

func BenchmarkJudge(b *testing.B) {
	in := after(sample("ride", steel(debris.Flake, 400*um, 3), steel(debris.Hair, 0, 20), debris.Entry{Form: debris.Fuzz, Material: debris.Bronze}), sample("stand_run", steel(debris.Chunk, 0, 1)))
	for b.Loop() {
		if _, err := debris.Judge(in); err != nil {
			b.Fatal(err)
		}
	}
}
