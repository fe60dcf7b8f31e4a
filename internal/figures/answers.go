package figures

import (
	"cmp"
	"slices"
	"time"
)

// Decision is what became of an offer.
type Decision string

// The decisions. Open is none yet; Lapsed ran out or was called back unanswered.
const (
	Accepted Decision = "accepted"
	Declined Decision = "declined"
	Lapsed   Decision = "lapsed"
	Open     Decision = "open"
)

// Decisions lists every decision.
func Decisions() []Decision { return []Decision{Accepted, Declined, Lapsed, Open} }

// Asked is an offer put to a customer.
type Asked struct {
	AskedAt  time.Time `json:"asked_at"`
	Decision Decision  `json:"decision"`
	// DecidedAt is when it was decided, or lapsed; nil while it is open.
	DecidedAt *time.Time `json:"decided_at,omitempty"`
}

// Approval is how customers answer.
type Approval struct {
	Asked    int64 `json:"asked"`
	Accepted int64 `json:"accepted"`
	Declined int64 `json:"declined"`
	Lapsed   int64 `json:"lapsed"`
	Open     int64 `json:"open"`
	// Rate is accepted of accepted and declined.
	Rate Proportion `json:"rate"`
	// MedianSeconds is the middle of the times to a decision, of those decided;
	// nil for none.
	MedianSeconds *Span `json:"median_seconds"`
	// WaitingMedian is the time after which half of all offers are decided, the
	// open and lapsed ones counted as far as they were watched (Kaplan–Meier);
	// nil where half are not decided yet.
	WaitingMedian *Number `json:"waiting_median_seconds"`
}

// Approve reckons how offers are answered, up to a time. Faults:
// figures.decision_unknown, figures.decided_missing, figures.time_backwards,
// figures.rows_too_many, figures.level_outside.
func Approve(all []Asked, until time.Time, level Level) (Approval, error) {
	err := checkAsked(all, until)
	if err != nil {
		return Approval{}, err
	}
	out := Approval{Asked: int64(len(all))}
	var decided []Span
	var watched []Observation
	for _, a := range all {
		took := spanOf(a.AskedAt.Truncate(time.Microsecond), orUntil(a.DecidedAt, until))
		event := a.Decision == Accepted || a.Decision == Declined
		if event {
			decided = append(decided, took)
		}
		watched = append(watched, Observation{float64(took) / 1e6, event})
		*out.count(a.Decision)++
	}
	if len(decided) > 0 {
		middle := median(decided)
		out.MedianSeconds = &middle
	}
	out.Rate, err = Share(Count{out.Accepted, out.Accepted + out.Declined}, Prior{}, level)
	if err != nil {
		return Approval{}, err
	}
	curve, err := Survival(watched, level, LogLog)
	out.WaitingMedian = curve.Median
	return out, err
}

func (a *Approval) count(d Decision) *int64 {
	switch d {
	case Accepted:
		return &a.Accepted
	case Declined:
		return &a.Declined
	case Lapsed:
		return &a.Lapsed
	default:
		return &a.Open
	}
}

func checkAsked(all []Asked, until time.Time) error {
	for i, a := range all {
		ended := a.Decision != Open
		switch {
		case !slices.Contains(Decisions(), a.Decision):
			return invalid("decision_unknown", row("offers", i, "decision"), "Choose a decision: "+words(Decisions())+".")
		case ended != (a.DecidedAt != nil):
			return invalid("decided_missing", row("offers", i, "decided_at"), "Say when it was decided or lapsed; leave it out while it is open.")
		case a.AskedAt.After(until) || ended && (a.DecidedAt.Before(a.AskedAt) || a.DecidedAt.After(until)):
			return invalid("time_backwards", row("offers", i, "asked_at"), "It is decided before it is asked, or after the time up to which to count. Check the times.")
		case a.AskedAt.Before(until.AddDate(-mostYears, 0, 0)):
			return invalid("time_outside", row("offers", i, "asked_at"), "This is more than ten years before the time up to which to count. Leave it out.")
		}
	}
	return bounded("/offers", len(all))
}

// Released is a job that was handed over.
type Released struct {
	Layout   string    `json:"layout,omitempty"` // machine map
	Cause    string    `json:"cause,omitempty"`  // its first cause; "" for none named
	ClosedAt time.Time `json:"closed_at"`
	// BackAt is when a job came back from it; nil for not yet.
	BackAt *time.Time `json:"back_at,omitempty"`
}

// Comebacks is how many jobs come back, how soon, and what was behind jobs.
type Comebacks struct {
	Rate Proportion `json:"rate"`
	// Curve is the share not come back, over days; a job counts as far as it
	// was watched.
	Curve  Curve         `json:"curve"`
	Causes []LayoutCause `json:"causes"`
}

// LayoutCause is first causes of one machine map, the commonest first.
type LayoutCause struct {
	Layout string       `json:"layout"`
	Jobs   int64        `json:"jobs"`
	Named  int64        `json:"named"` // with a first cause
	Causes []CauseCount `json:"causes"`
}

// CauseCount is how often a first cause was found, of those named.
type CauseCount struct {
	Cause string     `json:"cause"`
	Share Proportion `json:"share"`
}

// ComeBack reckons comebacks up to a time. Faults: figures.time_backwards,
// figures.time_outside, figures.rows_too_many, figures.level_outside.
func ComeBack(all []Released, until time.Time, level Level) (Comebacks, error) {
	err := checkReleased(all, until)
	if err != nil {
		return Comebacks{}, err
	}
	const day = 86_400e6
	var back int64
	var watched []Observation
	for _, r := range all {
		took := spanOf(r.ClosedAt.Truncate(time.Microsecond), orUntil(r.BackAt, until))
		watched = append(watched, Observation{float64(took) / day, r.BackAt != nil})
		if r.BackAt != nil {
			back++
		}
	}
	var out Comebacks
	out.Rate, err = Share(Count{back, int64(len(all))}, Prior{}, level)
	if err != nil {
		return Comebacks{}, err
	}
	out.Curve, err = Survival(watched, level, LogLog)
	if err != nil {
		return Comebacks{}, err
	}
	out.Causes, err = firstCauses(all, level)
	return out, err
}

func checkReleased(all []Released, until time.Time) error {
	for i, r := range all {
		switch {
		case r.ClosedAt.After(until) || r.BackAt != nil && (r.BackAt.Before(r.ClosedAt) || r.BackAt.After(until)):
			return invalid("time_backwards", row("jobs", i, "closed_at"), "It comes back before it is closed, or lies after the time up to which to count. Check the times.")
		case r.ClosedAt.Before(until.AddDate(-10*mostYears, 0, 0)):
			return invalid("time_outside", row("jobs", i, "closed_at"), "This is more than a hundred years before the time up to which to count. Check it.")
		}
	}
	return bounded("/jobs", len(all))
}

// firstCauses counts by machine map.
func firstCauses(all []Released, level Level) ([]LayoutCause, error) {
	counts := map[string]map[string]int64{}
	jobs := map[string]int64{}
	for _, r := range all {
		jobs[r.Layout]++
		if counts[r.Layout] == nil {
			counts[r.Layout] = map[string]int64{}
		}
		if r.Cause != "" {
			counts[r.Layout][r.Cause]++
		}
	}
	out := []LayoutCause{}
	for layout, causes := range counts {
		l := LayoutCause{Layout: layout, Jobs: jobs[layout], Causes: []CauseCount{}}
		for _, n := range causes {
			l.Named += n
		}
		for cause, n := range causes {
			share, err := Share(Count{n, l.Named}, Prior{}, level)
			if err != nil {
				return nil, err
			}
			l.Causes = append(l.Causes, CauseCount{cause, share})
		}
		slices.SortFunc(l.Causes, func(a, b CauseCount) int {
			return cmp.Or(cmp.Compare(b.Share.Hits, a.Share.Hits), cmp.Compare(a.Cause, b.Cause))
		})
		out = append(out, l)
	}
	slices.SortFunc(out, func(a, b LayoutCause) int { return cmp.Compare(a.Layout, b.Layout) })
	return out, nil
}
