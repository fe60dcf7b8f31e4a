package debris_test

import (
	"fmt"
	"strings"
	"testing"

	"benchtag/internal/debris"
)

func cmpText(v any) string { return fmt.Sprint(v) }

func sample(moment debris.Moment, entries ...debris.Entry) debris.Sample {
	return debris.Sample{Place: debris.MagneticPlug, Moment: moment, Entries: entries}
}

func after(now debris.Sample, earlier ...debris.Sample) debris.Input {
	return debris.Input{Compartment: debris.EngineSump, Now: now, Earlier: earlier}
}

func dealt(s debris.Sample, with string) debris.Sample {
	s.DealtWith = with
	return s
}

// The series after a repair: stand run, ride, first distance. Common practice,
// no source.
func TestSeries(t *testing.T) {
	t.Parallel()
	fuzz, beard := debris.Entry{Form: debris.Fuzz, Material: debris.Steel}, debris.Entry{Form: debris.Fuzz, Material: debris.Steel, Share: debris.Heavy}
	chunk, flakes, fewer := steel(debris.Chunk, 3000*um, 1), steel(debris.Flake, 400*um, 4), steel(debris.Flake, 400*um, 3)
	hairs := steel(debris.Hair, 0, 3)
	for _, c := range []struct {
		name           string
		in             debris.Input
		verdict        debris.Verdict
		falling, clear bool
		coarseNew      bool
		next           debris.Moment
	}{
		{"nothing after the stand run", after(sample("stand_run")), "normal_wear", true, false, false, "ride"},
		{"fuzz after the stand run", after(sample("stand_run", fuzz)), "normal_wear", false, false, false, "ride"},
		{"less after the ride", after(sample("ride", fuzz), sample("stand_run", beard)), "normal_wear", true, false, false, "first_distance"},
		{"no more than wear, twice", after(sample("ride", fuzz), sample("stand_run", fuzz)), "normal_wear", true, false, false, "first_distance"},
		{"through", after(sample("first_distance", fuzz), sample("stand_run", beard), sample("ride", fuzz)), "normal_wear", true, true, false, ""},
		{"more after the ride", after(sample("ride", beard), sample("stand_run", fuzz)), "watch", false, false, false, "first_distance"},
		{"a beard as before", after(sample("ride", beard), sample("stand_run", beard)), "watch", false, false, false, "first_distance"},
		{"hairs where there were none", after(sample("first_distance", hairs), sample("ride")), "watch", false, false, false, "first_distance"},
		{"coarse and new", after(sample("ride", steel(debris.Flake, 100*um, 2)), sample("stand_run", fuzz)), "look_further", false, false, true, "first_distance"},
		{"flakes as before, fewer, dealt with", after(sample("ride", fewer), dealt(sample("stand_run", flakes), "flushed")), "look_further", true, false, false, "first_distance"},
		{"flakes before, dealt with, now nothing", after(sample("first_distance"), dealt(sample("ride", flakes), "flushed")), "watch", true, true, false, ""},
		{"flakes before, nothing done, now nothing", after(sample("first_distance"), sample("ride", flakes)), "look_further", true, false, false, "first_distance"},
		{"a chunk before, nothing done, now nothing", after(sample("first_distance"), sample("stand_run", chunk), sample("ride")), "stop_and_open", true, false, false, "first_distance"},
		{"another place is not set against it", after(sample("ride", fuzz), debris.Sample{Place: debris.FilterElement, Moment: "stand_run"}), "normal_wear", false, false, false, "first_distance"},
		{"the last one before it counts", after(sample("first_distance", fuzz), sample("stand_run"), sample("ride", beard)), "normal_wear", true, true, false, ""},
		{"fewer pieces than the last time", after(sample("ride", steel(debris.Hair, 0, 2)), sample("stand_run", hairs)), "watch", true, false, false, "first_distance"},
		{"more pieces than the last time", after(sample("ride", steel(debris.Hair, 0, 4)), sample("stand_run", hairs)), "watch", false, false, false, "first_distance"},
		{"outside a series", after(sample("", flakes)), "look_further", false, false, true, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := judge(t, c.in)
			if r.Verdict != c.verdict || r.Falling != c.falling || r.SeriesClear != c.clear || r.CoarseNew != c.coarseNew || r.NextMoment != c.next {
				t.Errorf("%s, falling %v, clear %v, coarse and new %v, next %q", r.Verdict, r.Falling, r.SeriesClear, r.CoarseNew, r.NextMoment)
			}
			if len(r.Series) != len(c.in.Earlier) {
				t.Errorf("%d earlier samples, want %d", len(r.Series), len(c.in.Earlier))
			}
		})
	}
}

// US Army TM 1-1520-238-23, 6.25, as an example of the shape: granular steel,
// any flake above 1/16 by 3/16 in, or more than ten of 1/16 by 1/16 in mean
// renewing; fewer mean cleaning and another look, until the fourth time.
func TestAPublishedRuleByItsOwnFigures(t *testing.T) {
	t.Parallel()
	own := debris.Criteria{Large: 4762*um + 501, Few: 10, Repeats: 3, Source: "US Army TM 1-1520-238-23, 6.25"}
	small := func(count int64) debris.Entry {
		return debris.Entry{Form: debris.Flake, Material: debris.Steel, Length: debris.LargeFlake, Width: debris.LargeFlake, Count: count}
	}
	again := dealt(sample("", small(2)), "cleaned, drained, new filter, run")
	for _, c := range []struct {
		name    string
		now     debris.Entry
		earlier []debris.Sample
		want    debris.Verdict
	}{
		{"ten small", small(10), nil, "look_further"},
		{"eleven small", small(11), nil, "stop_and_open"},
		{"3/16 in exactly is not above it", debris.Entry{Form: debris.Splinter, Material: debris.Steel, Length: 4762*um + 500, Count: 1}, nil, "look_further"},
		{"one above it", debris.Entry{Form: debris.Splinter, Material: debris.Steel, Length: 4763 * um, Count: 1}, nil, "stop_and_open"},
		{"third time", small(2), []debris.Sample{again, again}, "look_further"},
		{"fourth time", small(2), []debris.Sample{again, again, again}, "stop_and_open"},
	} {
		in := plug(c.now)
		in.Earlier, in.Criteria = c.earlier, own
		r := judge(t, in)
		if r.Verdict != c.want {
			t.Errorf("%s: %s, want %s", c.name, r.Verdict, c.want)
		}
		for _, w := range r.Warnings {
			if strings.Contains(w, "are examples") {
				t.Errorf("figures of one's own are called examples: %s", w)
			}
		}
	}
}

func TestAsks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		in    debris.Input
		words []string
	}{
		{"normal", plug(), []string{"next oil change"}},
		{"watch", plug(steel(debris.Hair, 0, 3)), []string{"wear gloves", "after a short distance"}},
		{"further", plug(steel(debris.Granular, 0, 0)), []string{"cut the filter open", "Count the pieces", "Measure the largest"}},
		{"stop", plug(steel(debris.Chunk, 0, 1)), []string{"Do not run it", "clean or renew cooler and lines"}},
		{"unknown", plug(debris.Entry{Form: debris.Flake}), []string{"pacemakers", "bearing metal takes a mark"}},
		{"plastic", plug(debris.Entry{Form: debris.Piece, Material: debris.Plastic}), []string{"pick-up screen", "oil pressure with a gauge"}},
		{"series", after(sample("stand_run")), []string{"after the ride"}},
		{"series goes on", after(sample("ride")), []string{"500 km"}},
		{"series is through", after(sample("first_distance")), []string{"The series is through"}},
		{"series stops", after(sample("ride", steel(debris.Chunk, 0, 1))), []string{"starts anew"}},
	} {
		got := strings.Join(judge(t, c.in).Asks, " ")
		for _, words := range c.words {
			if !strings.Contains(got, words) {
				t.Errorf("%s: no word of %q: %s", c.name, words, got)
			}
		}
	}
}
