package estimate_test

import (
	"encoding/json"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"benchtag/internal/estimate"
)

// weekdays is eight hours from Monday to Friday.
func weekdays() estimate.Week {
	return estimate.Week{Monday: 480, Tuesday: 480, Wednesday: 480, Thursday: 480, Friday: 480}
}

// 2026-11-30 is a Monday.
func TestFinish(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		tasks  []estimate.Task
		closed []estimate.Day
		want   estimate.Day
		waits  estimate.WaitKind
		task   string
	}{
		"nothing left":                   {nil, nil, "2026-11-30", estimate.WaitNothing, ""},
		"one day's work":                 {[]estimate.Task{{ID: "a", Minutes: 480}}, nil, "2026-11-30", estimate.WaitBench, ""},
		"one minute more":                {[]estimate.Task{{ID: "a", Minutes: 481}}, nil, "2026-12-01", estimate.WaitBench, ""},
		"over the weekend":               {[]estimate.Task{{ID: "a", Minutes: 5*480 + 1}}, nil, "2026-12-07", estimate.WaitBench, ""},
		"over a closed day":              {[]estimate.Task{{ID: "a", Minutes: 481}}, []estimate.Day{"2026-12-01"}, "2026-12-02", estimate.WaitBench, ""},
		"closed on the first day":        {[]estimate.Task{{ID: "a", Minutes: 1}}, []estimate.Day{"2026-11-30"}, "2026-12-01", estimate.WaitBench, ""},
		"a part on Thursday":             {[]estimate.Task{{ID: "a", Minutes: 60, Arrives: "2026-12-03"}}, nil, "2026-12-03", estimate.WaitPart, "a"},
		"a part on Saturday":             {[]estimate.Task{{ID: "a", Minutes: 60, Arrives: "2026-12-05"}}, nil, "2026-12-07", estimate.WaitPart, "a"},
		"a part here already":            {[]estimate.Task{{ID: "a", Minutes: 60, Arrives: "2026-11-01"}}, nil, "2026-11-30", estimate.WaitBench, ""},
		"other work goes first":          {[]estimate.Task{{ID: "late", Minutes: 60, Arrives: "2026-12-01"}, {ID: "free", Minutes: 480}}, nil, "2026-12-01", estimate.WaitBench, ""},
		"the bench is busy all along":    {[]estimate.Task{{ID: "late", Minutes: 60, Arrives: "2026-12-01"}, {ID: "free", Minutes: 960}}, nil, "2026-12-02", estimate.WaitBench, ""},
		"idle, then bench time":          {[]estimate.Task{{ID: "late", Minutes: 960, Arrives: "2026-12-03"}}, nil, "2026-12-04", estimate.WaitPart, "late"},
		"outside three days":             {[]estimate.Task{{ID: "bore", Minutes: 30, OutsideDays: 3}}, nil, "2026-12-03", estimate.WaitOutside, "bore"},
		"outside over a weekend":         {[]estimate.Task{{ID: "bore", Minutes: 30, OutsideDays: 5}}, nil, "2026-12-07", estimate.WaitOutside, "bore"},
		"outside from Wednesday":         {[]estimate.Task{{ID: "bore", Minutes: 30, OutsideDays: 1, OutsideFrom: "2026-12-02"}}, nil, "2026-12-03", estimate.WaitOutside, "bore"},
		"outside begins when it is here": {[]estimate.Task{{ID: "bore", Minutes: 30, Arrives: "2026-12-02", OutsideDays: 2}}, nil, "2026-12-04", estimate.WaitOutside, "bore"},
		"a part and no work":             {[]estimate.Task{{ID: "a", Arrives: "2026-12-02"}}, nil, "2026-12-02", estimate.WaitPart, "a"},
		"the later of two parts":         {[]estimate.Task{{ID: "a", Minutes: 10, Arrives: "2026-12-02"}, {ID: "b", Minutes: 10, Arrives: "2026-12-03"}}, nil, "2026-12-03", estimate.WaitPart, "b"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, err := estimate.Finish(estimate.Plan{Start: "2026-11-30", Tasks: tc.tasks, Week: weekdays(), Closed: tc.closed})
			if err != nil {
				t.Fatal(err)
			}
			if r.Finish != tc.want || r.WaitsFor != tc.waits || r.Task != tc.task {
				t.Errorf("%s for %s %q, want %s for %s %q\n%q", r.Finish, r.WaitsFor, r.Task, tc.want, tc.waits, tc.task, r.Working)
			}
		})
	}
}

func TestFinishRefuses(t *testing.T) {
	t.Parallel()
	good := func() estimate.Plan {
		return estimate.Plan{Start: "2026-11-30", Week: weekdays(), Tasks: []estimate.Task{{ID: "a", Minutes: 10}}}
	}
	for name, tc := range map[string]struct {
		bend func(*estimate.Plan)
		want string
	}{
		"no start":              {func(p *estimate.Plan) { p.Start = "" }, "estimate.day_invalid"},
		"no such day":           {func(p *estimate.Plan) { p.Start = "2026-02-30" }, "estimate.day_invalid"},
		"no such closed day":    {func(p *estimate.Plan) { p.Closed = []estimate.Day{"soon"} }, "estimate.day_invalid"},
		"no such arrival":       {func(p *estimate.Plan) { p.Tasks[0].Arrives = "soon" }, "estimate.day_invalid"},
		"no bench minutes":      {func(p *estimate.Plan) { p.Week = estimate.Week{} }, "estimate.bench_minutes_invalid"},
		"a day of 25 hours":     {func(p *estimate.Plan) { p.Week.Monday = 1500 }, "estimate.bench_minutes_invalid"},
		"one id twice":          {func(p *estimate.Plan) { p.Tasks = append(p.Tasks, p.Tasks[0]) }, "estimate.task_id_invalid"},
		"negative minutes":      {func(p *estimate.Plan) { p.Tasks[0].Minutes = -1 }, "estimate.task_invalid"},
		"negative outside":      {func(p *estimate.Plan) { p.Tasks[0].OutsideDays = -1 }, "estimate.task_invalid"},
		"outside from, no days": {func(p *estimate.Plan) { p.Tasks[0].OutsideFrom = "2026-12-01" }, "estimate.task_invalid"},
		"a part in 2099":        {func(p *estimate.Plan) { p.Tasks[0].Arrives = "2099-01-01" }, "estimate.finish_too_far"},
		"a minute a week":       {func(p *estimate.Plan) { p.Week, p.Tasks[0].Minutes = estimate.Week{Monday: 1}, 100_000 }, "estimate.finish_too_far"},
		"outside for ever":      {func(p *estimate.Plan) { p.Week, p.Tasks[0].OutsideDays = estimate.Week{Monday: 1}, 3660 }, "estimate.finish_too_far"},
		"too many tasks":        {func(p *estimate.Plan) { p.Tasks = make([]estimate.Task, 501) }, "estimate.situation_too_large"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := good()
			tc.bend(&p)
			_, err := estimate.Finish(p)
			if got := codeOf(err); got != tc.want {
				t.Errorf("%q, want %q", got, tc.want)
			}
		})
	}
}

// drawPlan draws tasks around a start whose weekday varies.
func drawPlan(t *rapid.T) estimate.Plan {
	base := time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 6).Draw(t, "start"))
	day := func(name string) estimate.Day {
		return estimate.Day(base.AddDate(0, 0, rapid.IntRange(-3, 15).Draw(t, name)).Format(time.DateOnly))
	}
	minutes := rapid.SampledFrom([]int64{0, 0, 60, 240, 480})
	p := estimate.Plan{
		Start: estimate.Day(base.Format(time.DateOnly)),
		Week:  estimate.Week{Monday: 30 + minutes.Draw(t, "mo"), Tuesday: minutes.Draw(t, "tu"), Thursday: minutes.Draw(t, "th"), Saturday: minutes.Draw(t, "sa")},
	}
	for range rapid.IntRange(0, 3).Draw(t, "closed") {
		p.Closed = append(p.Closed, day("closed day"))
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "tasks") {
		task := estimate.Task{ID: "t" + strconv.Itoa(i), Minutes: rapid.Int64Range(0, 600).Draw(t, "minutes")}
		if rapid.Bool().Draw(t, "late") {
			task.Arrives = day("arrives")
		}
		if rapid.IntRange(0, 3).Draw(t, "outside") == 0 {
			task.OutsideDays = rapid.Int64Range(1, 4).Draw(t, "days")
		}
		p.Tasks = append(p.Tasks, task)
	}
	return p
}

// naiveFinish tries one day after the other: a day is possible if it is
// open, if every task is free by then, and if for every day the tasks that
// come free on it or later fit into the bench minutes from it on.
func naiveFinish(t *rapid.T, p estimate.Plan) estimate.Day {
	parse := func(d estimate.Day) time.Time {
		at, err := time.Parse(time.DateOnly, string(d))
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	open := func(at time.Time) int64 {
		for _, c := range p.Closed {
			if parse(c).Equal(at) {
				return 0
			}
		}
		return map[time.Weekday]int64{
			time.Monday: p.Week.Monday, time.Tuesday: p.Week.Tuesday, time.Wednesday: p.Week.Wednesday, time.Thursday: p.Week.Thursday,
			time.Friday: p.Week.Friday, time.Saturday: p.Week.Saturday, time.Sunday: p.Week.Sunday,
		}[at.Weekday()]
	}
	free := make([]time.Time, len(p.Tasks))
	for i, task := range p.Tasks {
		free[i] = parse(p.Start)
		if task.Arrives != "" && parse(task.Arrives).After(free[i]) {
			free[i] = parse(task.Arrives)
		}
		for away := task.OutsideDays; away > 0; free[i] = free[i].AddDate(0, 0, 1) {
			if open(free[i]) > 0 {
				away--
			}
		}
	}
	fits := func(end time.Time) bool {
		for from := parse(p.Start); !from.After(end); from = from.AddDate(0, 0, 1) {
			var need, room int64
			for i, task := range p.Tasks {
				if !free[i].Before(from) {
					need += task.Minutes
				}
				if free[i].After(end) {
					return false
				}
			}
			for at := from; !at.After(end); at = at.AddDate(0, 0, 1) {
				room += open(at)
			}
			if need > room {
				return false
			}
		}
		return open(end) > 0
	}
	end := parse(p.Start)
	for !fits(end) {
		end = end.AddDate(0, 0, 1)
	}
	return estimate.Day(end.Format(time.DateOnly))
}

func mustFinish(t *rapid.T, p estimate.Plan) estimate.Ready {
	r, err := estimate.Finish(p)
	if err != nil {
		t.Fatalf("Finish: %v", err)
	}
	return r
}

func TestFinishAgreesWithReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t)
		r := mustFinish(t, p)
		if want := naiveFinish(t, p); r.Finish != want {
			t.Fatalf("%s, want %s\n%+v\n%q", r.Finish, want, p, r.Working)
		}
		for _, task := range r.Tasks {
			if task.Done < task.From || task.Done > r.Finish {
				t.Fatalf("%+v and finish %s", task, r.Finish)
			}
		}
	})
}

func TestLawLaterNeverMakesEarlier(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t)
		before := mustFinish(t, p).Finish
		i := rapid.IntRange(0, len(p.Tasks)-1).Draw(t, "task")
		at, err := time.Parse(time.DateOnly, string(max(p.Tasks[i].Arrives, p.Start)))
		if err != nil {
			t.Fatal(err)
		}
		p.Tasks[i].Arrives = estimate.Day(at.AddDate(0, 0, rapid.IntRange(0, 9).Draw(t, "later")).Format(time.DateOnly))
		if after := mustFinish(t, p).Finish; after < before {
			t.Fatalf("a later part finished earlier: %s, %s\n%+v", before, after, p)
		}
	})
}

func TestLawOrderOfTasksDoesNotMoveTheFinish(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t)
		before := mustFinish(t, p)
		p.Tasks = rapid.Permutation(p.Tasks).Draw(t, "order")
		after := mustFinish(t, p)
		if before.Finish != after.Finish || before.WaitsFor == estimate.WaitBench != (after.WaitsFor == estimate.WaitBench) {
			t.Fatalf("%+v and %+v", before, after)
		}
	})
}

// Were what it waits for here at the start, it would not be the wait.
func TestLawTheWaitIsAWait(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t)
		r := mustFinish(t, p)
		if (r.Task == "") != (r.WaitsFor == estimate.WaitBench) {
			t.Fatalf("%+v", r)
		}
		for i, task := range p.Tasks {
			if task.ID == r.Task && task.Arrives <= p.Start && task.OutsideDays == 0 {
				t.Fatalf("it waits for %s, which was there at the start", p.Tasks[i].ID)
			}
		}
	})
}

func FuzzFinish(f *testing.F) {
	f.Add([]byte(`{"start":"2026-11-30","tasks":[{"id":"a","minutes":481,"arrives":"2026-12-03","outside_days":2}],"bench_minutes":{"monday":480,"friday":60},"closed":["2026-12-04"]}`))
	f.Add([]byte(`{"start":"9999-12-31","tasks":[{"id":"a","minutes":1}],"bench_minutes":{"sunday":1}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var p estimate.Plan
		if json.Unmarshal(data, &p) != nil || len(p.Tasks) > 20 {
			return
		}
		r, err := estimate.Finish(p)
		if err != nil {
			return
		}
		if len(r.Finish) == len(p.Start) && r.Finish < p.Start {
			t.Fatalf("done on %s, before %s", r.Finish, p.Start)
		}
		if len(r.Tasks) != len(p.Tasks) || len(r.Working) == 0 {
			t.Fatalf("%+v", r)
		}
	})
}

func BenchmarkFinish(b *testing.B) {
	p := estimate.Plan{Start: "2026-11-30", Week: weekdays()}
	for i := range 100 {
		p.Tasks = append(p.Tasks, estimate.Task{ID: strconv.Itoa(i), Minutes: int64(i), Arrives: "2026-12-03"})
	}
	for b.Loop() {
		if _, err := estimate.Finish(p); err != nil {
			b.Fatal(err)
		}
	}
}
