package figures

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"benchtag/internal/flow"
)

// Entry is a job entering a stage.
type Entry struct {
	Job   string     `json:"job"`
	Stage flow.Stage `json:"stage"`
	At    time.Time  `json:"at"`
}

// Wait is a time in which it was known whose move a job waited on, for example
// the customer's while an offer was open.
type Wait struct {
	Job  string    `json:"job"`
	On   flow.Who  `json:"on"`
	From time.Time `json:"from"`
	// To is its end, nil while it lasts.
	To *time.Time `json:"to,omitempty"`
}

// Hold is a time in which a job was on hold.
type Hold struct {
	Job    string        `json:"job"`
	Reason flow.HoldKind `json:"reason"`
	From   time.Time     `json:"from"`
	To     *time.Time    `json:"to,omitempty"`
}

// Times is what TimeSpent counts over.
type Times struct {
	Entries []Entry
	Waits   []Wait
	Holds   []Hold
	// Until is up to when to count what has no end.
	Until time.Time
}

// StageTime is the time jobs spent in one stage.
type StageTime struct {
	Stage flow.Stage `json:"stage"`
	Jobs  int64      `json:"jobs"` // that were in it at all
	Total Span       `json:"total_seconds"`
	// Median over the jobs that were in it, of all their times in it.
	Median Span `json:"median_seconds"`
	OnHold Span `json:"on_hold_seconds"`
	// Share of the time in all stages, nil where there is none.
	Share *Number `json:"share"`
}

// WhoTime is the time jobs waited on somebody's move.
type WhoTime struct {
	On    flow.Who `json:"on"`
	Total Span     `json:"total_seconds"`
	Share *Number  `json:"share"`
}

// Spent is where the time went. The totals of the stages add up to Total, and so
// do those of the moves.
type Spent struct {
	Jobs   int64       `json:"jobs"`
	Total  Span        `json:"total_seconds"`
	OnHold Span        `json:"on_hold_seconds"`
	Stages []StageTime `json:"stages"` // in the order of the path
	Waits  []WhoTime   `json:"waits"`
	// Pieces are the times that were added up, the first MostPieces of them,
	// for the working.
	Pieces []Piece `json:"-"`
}

// MostPieces is how many pieces are kept for the working.
const MostPieces = 200

// Piece is a time in which a job was in one stage and waited on one's move.
type Piece struct {
	Job      string
	Stage    flow.Stage
	From, To time.Time
	On       flow.Who
	OnHold   bool
}

// TimeSpent reckons the time in each stage and whose move it waited on. A stage
// lasts until the next entry of its job, an end stage takes no time. In each
// moment a hold says whose move it is; where there is none, a wait does; else
// the stage: intake, authorization and release wait on the counter, the others
// on the bench. Of several at once the one that began first counts. What lies
// before a job's first entry or after its end is left out. Faults:
// figures.stage_unknown, figures.who_unknown, figures.hold_unknown,
// figures.time_backwards, figures.rows_too_many.
func TimeSpent(t Times) (Spent, error) {
	err := t.check()
	if err != nil {
		return Spent{}, err
	}
	sum := spending{stages: map[flow.Stage]*stageSum{}, who: map[flow.Who]Span{}}
	jobs := t.jobs()
	for _, job := range jobs {
		if len(job.entries) > mostOfJob || len(job.overlays) > mostOfJob {
			return Spent{}, invalid("rows_too_many", "/events", "One job has more than "+strconv.Itoa(mostOfJob)+" moves or waits. Leave it out.")
		}
	}
	for _, job := range jobs {
		sum.job(job, t.Until.Truncate(time.Microsecond))
	}
	return sum.spent(), nil
}

// mostOfJob bounds the rows of one job, which are held against each other.
const mostOfJob = 500

func (t Times) check() error {
	err := cmp.Or(bounded("/events", len(t.Entries)), bounded("/waits", len(t.Waits)), bounded("/holds", len(t.Holds)))
	if err != nil {
		return err
	}
	for i, e := range t.Entries {
		switch {
		case !slices.Contains(flow.Stages(), e.Stage):
			return invalid("stage_unknown", row("events", i, "stage"), "Choose a stage: "+words(flow.Stages())+".")
		case e.At.After(t.Until):
			return invalid("time_backwards", row("events", i, "at"), "This is after the time up to which to count. Check both.")
		case e.At.Before(t.Until.AddDate(-mostYears, 0, 0)):
			return invalid("time_outside", row("events", i, "at"), "This is more than ten years before the time up to which to count. Leave that job out.")
		}
	}
	return t.checkOverlays()
}

// mostYears bounds how long a job lasts, so that no sum overflows.
const mostYears = 10

func (t Times) checkOverlays() error {
	for i, w := range t.Waits {
		switch {
		case !slices.Contains(flow.Whos(), w.On) || w.On == flow.WhoNobody:
			return invalid("who_unknown", row("waits", i, "on"), "Say whose move it was: bench, counter, customer, parts or outside.")
		case w.To != nil && w.To.Before(w.From):
			return invalid("time_backwards", row("waits", i, "to"), "It ends before it begins. Check both times.")
		}
	}
	for i, h := range t.Holds {
		switch {
		case !slices.Contains(flow.HoldKinds(), h.Reason):
			return invalid("hold_unknown", row("holds", i, "reason"), "Choose what it waited for: "+words(flow.HoldKinds())+".")
		case h.To != nil && h.To.Before(h.From):
			return invalid("time_backwards", row("holds", i, "to"), "It ends before it begins. Check both times.")
		}
	}
	return nil
}

func words[T ~string](all []T) string {
	out := ""
	for i, w := range all {
		if i > 0 {
			out += ", "
		}
		out += string(w)
	}
	return out
}

// history is one job's rows, in order of time.
type history struct {
	entries  []Entry
	overlays []overlay
}

// overlay is a hold or a wait; holds come first.
type overlay struct {
	hold     bool
	on       flow.Who
	from, to time.Time
}

// jobs gathers rows by job, in the order in which the jobs first come up.
func (t Times) jobs() []*history {
	byKey := map[string]*history{}
	var all []*history
	for _, e := range t.Entries {
		h, ok := byKey[e.Job]
		if !ok {
			h = &history{}
			byKey[e.Job], all = h, append(all, h)
		}
		e.At = e.At.Truncate(time.Microsecond)
		h.entries = append(h.entries, e)
	}
	for _, o := range t.Holds {
		if h, ok := byKey[o.Job]; ok {
			h.overlays = append(h.overlays, overlay{true, holdWaits(o.Reason), o.From.Truncate(time.Microsecond), orUntil(o.To, t.Until)})
		}
	}
	for _, o := range t.Waits {
		if h, ok := byKey[o.Job]; ok {
			h.overlays = append(h.overlays, overlay{false, o.On, o.From.Truncate(time.Microsecond), orUntil(o.To, t.Until)})
		}
	}
	for _, h := range all {
		slices.SortStableFunc(h.entries, func(a, b Entry) int { return a.At.Compare(b.At) })
		slices.SortStableFunc(h.overlays, func(a, b overlay) int {
			return cmp.Or(-compareBools(a.hold, b.hold), a.from.Compare(b.from))
		})
	}
	return all
}

func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

func orUntil(to *time.Time, until time.Time) time.Time {
	if to == nil || to.After(until) {
		return until.Truncate(time.Microsecond)
	}
	return to.Truncate(time.Microsecond)
}

// holdWaits says whose move a hold waits for; another reason is the counter's.
func holdWaits(k flow.HoldKind) flow.Who {
	switch k {
	case flow.HoldParts:
		return flow.WhoParts
	case flow.HoldCustomer:
		return flow.WhoCustomer
	case flow.HoldOutside:
		return flow.WhoOutside
	default:
		return flow.WhoCounter
	}
}

// stageWaits says whose move a stage is where nothing else is known.
func stageWaits(s flow.Stage) flow.Who {
	switch s {
	case flow.Intake, flow.Authorization, flow.Release:
		return flow.WhoCounter
	default:
		return flow.WhoBench
	}
}

// spending adds up.
type spending struct {
	jobs   int64
	held   Span
	stages map[flow.Stage]*stageSum
	who    map[flow.Who]Span
	pieces []Piece
}

type stageSum struct {
	total, held Span
	each        []Span // a job
}

func (s *spending) job(h *history, until time.Time) {
	s.jobs++
	each := map[flow.Stage]Span{}
	for i, e := range h.entries {
		to := until
		if i+1 < len(h.entries) {
			to = h.entries[i+1].At
		}
		if e.Stage.Final() {
			continue
		}
		each[e.Stage] += spanOf(e.At, to)
		s.stay(e, to, h.overlays)
	}
	for stage, spent := range each {
		s.stage(stage).each = append(s.stage(stage).each, spent)
	}
}

func (s *spending) stage(of flow.Stage) *stageSum {
	if s.stages[of] == nil {
		s.stages[of] = &stageSum{}
	}
	return s.stages[of]
}

// stay cuts a stay in a stage where overlays begin and end.
func (s *spending) stay(e Entry, to time.Time, overlays []overlay) {
	cuts := []time.Time{e.At, to}
	for _, o := range overlays {
		for _, at := range []time.Time{o.from, o.to} {
			if at.After(e.At) && at.Before(to) {
				cuts = append(cuts, at)
			}
		}
	}
	slices.SortFunc(cuts, time.Time.Compare)
	for i := range len(cuts) - 1 {
		s.piece(Piece{Job: e.Job, Stage: e.Stage, From: cuts[i], To: cuts[i+1], On: stageWaits(e.Stage)}, overlays)
	}
}

// piece counts a time that no overlay begins or ends in.
func (s *spending) piece(p Piece, overlays []overlay) {
	length := spanOf(p.From, p.To)
	i := slices.IndexFunc(overlays, func(o overlay) bool { return !o.from.After(p.From) && !o.to.Before(p.To) && o.from.Before(o.to) })
	if i >= 0 {
		p.On, p.OnHold = overlays[i].on, overlays[i].hold
	}
	if p.OnHold {
		s.stage(p.Stage).held += length
		s.held += length
	}
	s.stage(p.Stage).total += length
	s.who[p.On] += length
	if length > 0 && len(s.pieces) < MostPieces {
		s.pieces = append(s.pieces, p)
	}
}

func (s *spending) spent() Spent {
	out := Spent{Jobs: s.jobs, OnHold: s.held, Stages: []StageTime{}, Waits: []WhoTime{}, Pieces: s.pieces}
	for _, stage := range s.stages {
		out.Total += stage.total
	}
	for _, stage := range flow.Stages() {
		if sum, ok := s.stages[stage]; ok {
			out.Stages = append(out.Stages, StageTime{stage, int64(len(sum.each)), sum.total, median(sum.each), sum.held, part(sum.total, out.Total)})
		}
	}
	for _, who := range flow.Whos() {
		if spent := s.who[who]; spent > 0 {
			out.Waits = append(out.Waits, WhoTime{who, spent, part(spent, out.Total)})
		}
	}
	return out
}
