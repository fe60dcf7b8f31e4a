package figures_test

import (
	"math/big"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/figures"
	"benchtag/internal/flow"
)

// minute is an instant so many minutes into a day.
func minute(n int) time.Time {
	return time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC).Add(time.Duration(n) * time.Minute)
}

func until(n int) *time.Time {
	t := minute(n)
	return &t
}

const aMinute figures.Span = 60_000_000

func TestTimeSpent(t *testing.T) {
	t.Parallel()
	spent, err := figures.TimeSpent(figures.Times{
		Entries: []figures.Entry{{"a", flow.Intake, minute(0)}, {"a", flow.Diagnosis, minute(10)}, {"a", flow.Authorization, minute(40)},
			{"a", flow.Repair, minute(100)}, {"a", flow.Closed, minute(200)}, {"b", flow.Intake, minute(190)}},
		Waits: []figures.Wait{{"a", flow.WhoCustomer, minute(50), until(100)}, {"c", flow.WhoCustomer, minute(0), nil}},
		Holds: []figures.Hold{{"a", flow.HoldParts, minute(90), until(130)}, {"a", flow.HoldOther, minute(120), until(140)}, {"a", flow.HoldOutside, minute(300), nil}},
		Until: minute(220),
	})
	if err != nil {
		t.Fatal(err)
	}
	share := func(n float64) *figures.Number { s := figures.Number(n / 230); return &s }
	want := figures.Spent{Jobs: 2, Total: 230 * aMinute, OnHold: 50 * aMinute,
		Stages: []figures.StageTime{
			{flow.Intake, 2, 40 * aMinute, 20 * aMinute, 0, share(40)},
			{flow.Diagnosis, 1, 30 * aMinute, 30 * aMinute, 0, share(30)},
			{flow.Authorization, 1, 60 * aMinute, 60 * aMinute, 10 * aMinute, share(60)},
			{flow.Repair, 1, 100 * aMinute, 100 * aMinute, 40 * aMinute, share(100)},
		},
		Waits: []figures.WhoTime{
			{flow.WhoBench, 90 * aMinute, share(90)},    // diagnosis 30, repair from 140 on
			{flow.WhoCounter, 60 * aMinute, share(60)},  // intakes 40, authorization until 50, other hold 130 to 140
			{flow.WhoCustomer, 40 * aMinute, share(40)}, // 50 to 90
			{flow.WhoParts, 40 * aMinute, share(40)},    // 90 to 130
		},
	}
	spent.Pieces = nil
	if diff := cmp.Diff(want, spent); diff != "" {
		t.Error(diff)
	}
}

// drawnDay draws the rows of some jobs in whole minutes.
func drawnDay(t *rapid.T) figures.Times {
	at := rapid.IntRange(0, 200)
	day := figures.Times{Until: minute(200)}
	span := func(t *rapid.T) (time.Time, *time.Time) {
		from := at.Draw(t, "from")
		if rapid.IntRange(0, 5).Draw(t, "open") == 0 {
			return minute(from), nil
		}
		return minute(from), until(rapid.IntRange(from, 260).Draw(t, "to"))
	}
	for _, job := range []string{"a", "b", "c"} {
		for range rapid.IntRange(0, 5).Draw(t, "entries") {
			day.Entries = append(day.Entries, figures.Entry{Job: job, Stage: rapid.SampledFrom(flow.Stages()).Draw(t, "stage"), At: minute(at.Draw(t, "at"))})
		}
		for range rapid.IntRange(0, 3).Draw(t, "waits") {
			from, to := span(t)
			day.Waits = append(day.Waits, figures.Wait{Job: job, On: rapid.SampledFrom(flow.Whos()[:5]).Draw(t, "on"), From: from, To: to})
		}
		for range rapid.IntRange(0, 3).Draw(t, "holds") {
			from, to := span(t)
			day.Holds = append(day.Holds, figures.Hold{Job: job, Reason: rapid.SampledFrom(flow.HoldKinds()).Draw(t, "reason"), From: from, To: to})
		}
	}
	return day
}

// naiveTimes asks of every minute of every job where it was, on what it waited
// and whether it was on hold.
func naiveTimes(day figures.Times) (stages map[flow.Stage]figures.Span, who map[flow.Who]figures.Span, held figures.Span) {
	stages, who = map[flow.Stage]figures.Span{}, map[flow.Who]figures.Span{}
	for _, job := range []string{"a", "b", "c"} {
		for m := range 200 {
			now := minute(m)
			stage, ok := stageAt(day, job, now)
			if !ok || stage.Final() {
				continue
			}
			on := flow.WhoBench
			if slices.Contains([]flow.Stage{flow.Intake, flow.Authorization, flow.Release}, stage) {
				on = flow.WhoCounter
			}
			var since time.Time
			for _, w := range day.Waits {
				if w.Job == job && covers(w.From, w.To, now) && (since.IsZero() || w.From.Before(since)) {
					on, since = w.On, w.From
				}
			}
			since = time.Time{}
			for _, h := range day.Holds {
				if h.Job == job && covers(h.From, h.To, now) && (since.IsZero() || h.From.Before(since)) {
					on, since = map[flow.HoldKind]flow.Who{flow.HoldParts: flow.WhoParts, flow.HoldCustomer: flow.WhoCustomer, flow.HoldOutside: flow.WhoOutside, flow.HoldOther: flow.WhoCounter}[h.Reason], h.From
				}
			}
			if !since.IsZero() {
				held += aMinute
			}
			stages[stage] += aMinute
			who[on] += aMinute
		}
	}
	return stages, who, held
}

func stageAt(day figures.Times, job string, now time.Time) (stage flow.Stage, ok bool) {
	var last time.Time
	for _, e := range day.Entries {
		if e.Job == job && !e.At.After(now) && !e.At.Before(last) {
			stage, last, ok = e.Stage, e.At, true
		}
	}
	return stage, ok
}

func covers(from time.Time, to *time.Time, now time.Time) bool {
	return !from.After(now) && (to == nil || to.After(now))
}

func TestTimesAgainstEveryMinute(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		day := drawnDay(t)
		spent, err := figures.TimeSpent(day)
		if err != nil {
			t.Fatal(err)
		}
		stages, who, held := naiveTimes(day)
		gotStages, gotWho := map[flow.Stage]figures.Span{}, map[flow.Who]figures.Span{}
		var inStages, inWaits figures.Span
		for _, s := range spent.Stages {
			if s.Total > 0 {
				gotStages[s.Stage] = s.Total
			}
			inStages += s.Total
		}
		for _, w := range spent.Waits {
			gotWho[w.On] = w.Total
			inWaits += w.Total
		}
		if diff := cmp.Diff(stages, gotStages); diff != "" {
			t.Fatalf("stages: %s", diff)
		}
		if diff := cmp.Diff(who, gotWho); diff != "" {
			t.Fatalf("whose move: %s", diff)
		}
		if held != spent.OnHold || inStages != spent.Total || inWaits != spent.Total {
			t.Fatalf("held %v, want %v; %v and %v of %v", spent.OnHold, held, inStages, inWaits, spent.Total)
		}
	})
}

func TestTimesRefuse(t *testing.T) {
	t.Parallel()
	now := minute(0)
	for _, c := range []struct {
		code, pointer string
		times         figures.Times
	}{
		{"figures.stage_unknown", "/events/0/stage", figures.Times{Entries: []figures.Entry{{"a", "limbo", now}}, Until: now}},
		{"figures.time_backwards", "/events/0/at", figures.Times{Entries: []figures.Entry{{"a", flow.Intake, minute(1)}}, Until: now}},
		{"figures.time_outside", "/events/0/at", figures.Times{Entries: []figures.Entry{{"a", flow.Intake, now.AddDate(-11, 0, 0)}}, Until: now}},
		{"figures.who_unknown", "/waits/0/on", figures.Times{Waits: []figures.Wait{{"a", "weather", now, nil}}, Until: now}},
		{"figures.who_unknown", "/waits/0/on", figures.Times{Waits: []figures.Wait{{"a", flow.WhoNobody, now, nil}}, Until: now}},
		{"figures.time_backwards", "/waits/0/to", figures.Times{Waits: []figures.Wait{{"a", flow.WhoBench, now, until(-1)}}, Until: now}},
		{"figures.hold_unknown", "/holds/0/reason", figures.Times{Holds: []figures.Hold{{"a", "rain", now, nil}}, Until: now}},
		{"figures.time_backwards", "/holds/0/to", figures.Times{Holds: []figures.Hold{{"a", flow.HoldParts, now, until(-1)}}, Until: now}},
		{"figures.rows_too_many", "/events", figures.Times{Entries: make([]figures.Entry, figures.MostRows+1), Until: now}},
		{"figures.rows_too_many", "/events", figures.Times{Entries: slices.Repeat([]figures.Entry{{"a", flow.Intake, now}}, 501), Until: now}},
	} {
		_, err := figures.TimeSpent(c.times)
		if code, at := codeOf(err); code != c.code || at != c.pointer {
			t.Errorf("%v at %s, want %s at %s", err, at, c.code, c.pointer)
		}
	}
}

func TestSell(t *testing.T) {
	t.Parallel()
	got, err := figures.Sell(
		[]figures.Sold{{Job: "j1", Minutes: 100}, {Job: "j2", Minutes: 60, By: "Ada"}, {Job: "j3", Minutes: 30}},
		[]figures.Worked{{"j1", "Ada", 20}, {"j1", "Ben", 40}, {"j2", "Ada", 80}, {"j4", "Ben", 10}})
	if err != nil {
		t.Fatal(err)
	}
	percent := func(f float64) *figures.Number { n := figures.Number(f); return &n }
	want := figures.Hours{
		Technicians: []figures.Efficiency{
			{By: "Ada", Sold: 93_333, Worked: 100, Jobs: 2, Percent: percent(93.333)},
			{By: "Ben", Sold: 66_667, Worked: 50, Jobs: 2, Percent: percent(133.334)},
		},
		Total:    figures.Efficiency{Sold: 190_000, Worked: 150, Jobs: 4, Percent: percent(126.66666666666667)},
		Unworked: 30_000, Unsold: 10,
		Divided: []figures.Division{{Sold: figures.Sold{Job: "j1", Minutes: 100, By: "Ada"}, Part: 33_333}, {Sold: figures.Sold{Job: "j1", Minutes: 100, By: "Ben"}, Part: 66_667}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// What is sold adds up exactly, and each part is within a thousandth of its
// exact share.
func TestSellAddsUp(t *testing.T) {
	t.Parallel()
	minutes := rapid.Int64Range(0, 1_000_000)
	rapid.Check(t, func(t *rapid.T) {
		sold := figures.Sold{Job: "j", Minutes: minutes.Draw(t, "sold")}
		var worked []figures.Worked
		var all int64
		for _, by := range []string{"a", "b", "c", "d"}[:rapid.IntRange(0, 4).Draw(t, "people")] {
			w := figures.Worked{Job: "j", By: by, Minutes: minutes.Draw(t, "worked")}
			worked, all = append(worked, w), all+w.Minutes
		}
		got, err := figures.Sell([]figures.Sold{sold}, worked)
		if err != nil {
			t.Fatal(err)
		}
		sum := got.Unworked
		for i, e := range got.Technicians {
			sum += e.Sold
			if all == 0 {
				continue
			}
			exact := big.NewRat(sold.Minutes*1000, all)
			exact.Mul(exact, big.NewRat(worked[i].Minutes, 1))
			off, _ := exact.Sub(exact, big.NewRat(int64(e.Sold), 1)).Float64()
			if off >= 1 || off <= -1 {
				t.Fatalf("%+v is %v thousandths off", e, off)
			}
		}
		if sum != got.Total.Sold || int64(sum) != sold.Minutes*1000 {
			t.Fatalf("%v of %v", sum, got.Total.Sold)
		}
	})
}

func TestSellRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		code, pointer string
		sold          []figures.Sold
		worked        []figures.Worked
	}{
		{"figures.minutes_outside", "/sold/0/minutes", []figures.Sold{{Minutes: -1}}, nil},
		{"figures.minutes_outside", "/worked/0/minutes", nil, []figures.Worked{{By: "a", Minutes: 1_000_001}}},
		{"figures.by_missing", "/worked/0/by", nil, []figures.Worked{{Minutes: 1}}},
		{"figures.rows_too_many", "/sold", make([]figures.Sold, figures.MostRows+1), nil},
	} {
		_, err := figures.Sell(c.sold, c.worked)
		if code, at := codeOf(err); code != c.code || at != c.pointer {
			t.Errorf("%v at %s, want %s", err, at, c.code)
		}
	}
}
