package estimate

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"benchtag/internal/fault"
)

// MaxFinishDays bounds the search for a finish: ten years.
const MaxFinishDays = 3660

// Day is a calendar day, YYYY-MM-DD; "" for none.
type Day string

// number counts days since 1970-01-01; ok reports whether it is a day.
func (d Day) number() (n int64, ok bool) {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return 0, false
	}
	return t.Unix() / secondsPerDay, t.Year() >= 1970
}

const secondsPerDay = 86400

func dayOf(n int64) Day { return Day(time.Unix(n*secondsPerDay, 0).UTC().Format(time.DateOnly)) }

func weekdayOf(n int64) time.Weekday { return time.Unix(n*secondsPerDay, 0).UTC().Weekday() }

// Week is the bench minutes of one weekday each, 0 to 1440.
type Week struct {
	Monday    int64 `json:"monday,omitempty"`
	Tuesday   int64 `json:"tuesday,omitempty"`
	Wednesday int64 `json:"wednesday,omitempty"`
	Thursday  int64 `json:"thursday,omitempty"`
	Friday    int64 `json:"friday,omitempty"`
	Saturday  int64 `json:"saturday,omitempty"`
	Sunday    int64 `json:"sunday,omitempty"`
}

// days lists the minutes by time.Weekday.
func (w Week) days() [7]int64 {
	return [7]int64{w.Sunday, w.Monday, w.Tuesday, w.Wednesday, w.Thursday, w.Friday, w.Saturday}
}

// Task is one line still to be done.
type Task struct {
	ID    string `json:"id"`
	Label string `json:"label,omitempty"`
	// Minutes is the bench time left on it; 0 for one that only waits.
	Minutes int64 `json:"minutes,omitempty"`
	// Arrives is the day its last part comes; work on it can begin that day.
	Arrives Day `json:"arrives,omitempty"`
	// OutsideDays is how many open days outside work takes before the bench
	// can begin, counted from OutsideFrom, or from the start or the arrival.
	OutsideDays int64 `json:"outside_days,omitempty"`
	OutsideFrom Day   `json:"outside_from,omitempty"`
}

// Plan is what there is to do and when there is somebody to do it.
type Plan struct {
	Start  Day    `json:"start"`
	Tasks  []Task `json:"tasks"`
	Week   Week   `json:"bench_minutes"` // for this job, by weekday
	Closed []Day  `json:"closed,omitempty"`
}

// WaitKind says what a finish waits for.
type WaitKind string

// The kinds of waiting.
const (
	WaitBench   WaitKind = "bench"   // bench time alone
	WaitPart    WaitKind = "part"    // a part's arrival
	WaitOutside WaitKind = "outside" // outside work
	WaitNothing WaitKind = "nothing" // nothing is left to do
)

// WaitKinds lists every kind of waiting.
func WaitKinds() []WaitKind { return []WaitKind{WaitBench, WaitPart, WaitOutside, WaitNothing} }

// Ready is the earliest finish.
type Ready struct {
	Finish Day `json:"finish"`
	// WaitsFor is what sets the day: the last time the bench stood idle, it
	// waited for Task; with bench time alone Task is "".
	WaitsFor WaitKind   `json:"waits_for"`
	Task     string     `json:"task"`
	Tasks    []TaskDone `json:"tasks"` // in the order of the input
	Minutes  int64      `json:"minutes"`
	Working  []string   `json:"-"`
	Warnings []string   `json:"-"`
}

// TaskDone is when one task can begin and is done.
type TaskDone struct {
	ID   string `json:"id"`
	From Day    `json:"from"` // the first day the bench can work on it
	Done Day    `json:"done"`
}

// Finish finds the earliest day on which every task can be done. Each open
// day has the bench minutes of its weekday; a closed day has none. The bench
// takes what can be done, what came free earliest first (ties in the order
// of the input), so that work which does not need a late part goes before
// it. Whatever the order, a bench that never stands idle while there is work
// it can do ends on the same day, and none ends earlier (scheduling one
// machine with release dates for the last finish; textbook result, from
// memory).
//
// A part can be used on the day it arrives. Outside work counts open days of
// this shop. A finish is always an open day.
//
// It fails with estimate.day_invalid, estimate.task_id_invalid,
// estimate.task_invalid, estimate.bench_minutes_invalid (none on any weekday,
// or more than a day has) and estimate.finish_too_far.
func Finish(p Plan) (Ready, error) {
	b, err := p.bench()
	if err != nil {
		return Ready{}, err
	}
	err = b.work()
	if err != nil {
		return Ready{}, err
	}
	return b.ready(), nil
}

// bench is a plan being worked off.
type bench struct {
	plan     Plan
	week     [7]int64
	closed   map[int64]bool
	start    int64
	from     []int64 // first day of each task
	kind     []WaitKind
	done     []int64
	order    []int // of the tasks, by first day
	finish   int64
	waitsFor int // the task the bench last stood idle for, -1 for none
	working  []string
}

// bench checks a plan and finds the first day of each task.
func (p Plan) bench() (*bench, error) {
	b := &bench{plan: p, week: p.Week.days(), closed: map[int64]bool{}, waitsFor: -1}
	for _, m := range b.week {
		if m < 0 || m > 24*minutesPerHour {
			return nil, fault.Invalid("estimate.bench_minutes_invalid", "/bench_minutes", "Give minutes from 0 to 1440 for each weekday.")
		}
	}
	if b.week == [7]int64{} {
		return nil, fault.Invalid("estimate.bench_minutes_invalid", "/bench_minutes", "Give bench minutes for at least one weekday.")
	}
	for i, d := range p.Closed {
		n, ok := d.number()
		if !ok {
			return nil, badDay("/closed/" + strconv.Itoa(i))
		}
		b.closed[n] = true
	}
	var ok bool
	b.start, ok = p.Start.number()
	if !ok {
		return nil, badDay("/start")
	}
	return b, b.takeTasks()
}

func badDay(where string) error {
	return fault.Invalid("estimate.day_invalid", where, "Give a day as YYYY-MM-DD, from 1970 on.")
}

func (b *bench) takeTasks() error {
	if len(b.plan.Tasks) > MaxSituation {
		return fault.Invalid("estimate.situation_too_large", "/tasks", "Give at most "+strconv.Itoa(MaxSituation)+" of them.")
	}
	seen := map[string]bool{}
	for i, t := range b.plan.Tasks {
		where := "/tasks/" + strconv.Itoa(i)
		if t.ID == "" || seen[t.ID] {
			return fault.Invalid("estimate.task_id_invalid", where+"/id", "Give every task an id of its own.")
		}
		seen[t.ID] = true
		if outside(t.Minutes) || t.OutsideDays < 0 || t.OutsideDays > MaxFinishDays || t.OutsideDays == 0 && t.OutsideFrom != "" {
			return fault.Invalid("estimate.task_invalid", where, "Give minutes and outside days of zero or more, and outside_from only with outside_days.")
		}
		err := b.takeTask(t, where)
		if err != nil {
			return err
		}
		b.order = append(b.order, i)
	}
	slices.SortStableFunc(b.order, func(x, y int) int { return int(b.from[x] - b.from[y]) })
	b.done = make([]int64, len(b.from))
	return nil
}

// takeTask finds the first day on which the bench can work on a task.
func (b *bench) takeTask(t Task, where string) error {
	from, kind := b.start, WaitBench
	for _, day := range []struct {
		field string
		day   Day
		kind  WaitKind
	}{{"arrives", t.Arrives, WaitPart}, {"outside_from", t.OutsideFrom, WaitOutside}} {
		if day.day == "" {
			continue
		}
		n, ok := day.day.number()
		if !ok {
			return badDay(where + "/" + day.field)
		}
		if n > from {
			from, kind = n, day.kind
		}
	}
	if from-b.start > MaxFinishDays {
		return tooFar()
	}
	for left := t.OutsideDays; left > 0; from++ {
		if from-b.start > MaxFinishDays {
			return tooFar()
		}
		if b.minutesOn(from) > 0 {
			left--
		}
		kind = WaitOutside
	}
	b.from, b.kind = append(b.from, from), append(b.kind, kind)
	return nil
}

func tooFar() error {
	return fault.New(fault.Meaning, "estimate.finish_too_far", "The finish lies more than ten years after the start; check days and bench minutes.")
}

func (b *bench) minutesOn(day int64) int64 {
	if b.closed[day] {
		return 0
	}
	return b.week[weekdayOf(day)]
}

// work goes through the days until nothing is left.
func (b *bench) work() error {
	left := make([]int64, len(b.from))
	for i, t := range b.plan.Tasks {
		left[i] = t.Minutes
	}
	queue := slices.Clone(b.order)
	for day := b.start; len(queue) > 0; day++ {
		if day-b.start > MaxFinishDays {
			return tooFar()
		}
		minutes := b.minutesOn(day)
		if minutes == 0 {
			continue
		}
		spent := int64(0)
		for len(queue) > 0 && b.from[queue[0]] <= day {
			i := queue[0]
			takes := min(left[i], minutes-spent)
			left[i], spent = left[i]-takes, spent+takes
			if left[i] > 0 {
				break
			}
			b.done[i], b.finish, queue = day, day, queue[1:]
		}
		b.note(day, spent)
		if len(queue) > 0 && spent < minutes {
			b.waitsFor = queue[0]
		}
	}
	return nil
}

func (b *bench) note(day, spent int64) {
	const shown = 60
	switch {
	case len(b.working) == shown:
		b.working = append(b.working, "… and so on.")
	case len(b.working) < shown && spent > 0:
		b.working = append(b.working, string(dayOf(day))+" ("+weekdayOf(day).String()+"): "+minutesText(spent)+" of "+minutesText(b.minutesOn(day))+" min.")
	}
}

func (b *bench) ready() Ready {
	r := Ready{Finish: b.plan.Start, WaitsFor: WaitNothing, Tasks: []TaskDone{}}
	var working []string
	for i, t := range b.plan.Tasks {
		r.Minutes += t.Minutes
		r.Tasks = append(r.Tasks, TaskDone{t.ID, dayOf(b.from[i]), dayOf(b.done[i])})
		working = append(working, b.taskWords(i))
	}
	if len(b.plan.Tasks) > 0 {
		r.Finish, r.WaitsFor = dayOf(b.finish), WaitBench
	}
	if b.waitsFor >= 0 {
		r.WaitsFor, r.Task = b.kind[b.waitsFor], b.plan.Tasks[b.waitsFor].ID
	}
	r.Working = slices.Concat(working, b.working, []string{"Finish: " + string(r.Finish) + "; it waits for " + waitWords(r) + "."})
	r.Warnings = []string{"Days on which parts arrive are promises of others; outside days count this shop's open days. Name a finish with room to spare."}
	return r
}

func (b *bench) taskWords(i int) string {
	t := b.plan.Tasks[i]
	out := cmp.Or(t.Label, t.ID) + ": " + minutesText(t.Minutes) + " min, possible from " + string(dayOf(b.from[i]))
	switch b.kind[i] {
	case WaitPart:
		out += ", when its part arrives"
	case WaitOutside:
		out += ", when outside work of " + counted(t.OutsideDays, "open day", "open days") + " is back"
	}
	return out + "; done " + string(dayOf(b.done[i])) + "."
}

func waitWords(r Ready) string {
	switch r.WaitsFor {
	case WaitPart:
		return "the part of " + r.Task
	case WaitOutside:
		return "the outside work of " + r.Task
	case WaitNothing:
		return "nothing"
	}
	return "bench time alone"
}
