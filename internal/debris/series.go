package debris

import (
	"fmt"
	"slices"
)

// series joins a sample to those before it: they can only add to its verdict.
func (j judge) series(r *Result, now judged) {
	total := now.level
	add := func(to level, why string) {
		if to > normal {
			r.Reasons = append(r.Reasons, why)
		}
		total = max(total, to)
	}
	asked, standing := int64(0), false
	r.Series = []Past{}
	for i, s := range j.in.Earlier {
		was := j.sample(s).level
		r.Series = append(r.Series, Past{Moment: s.Moment, Place: s.Place, Amount: j.worst(s).amount(), Verdict: was.verdict(), DealtWith: s.DealtWith})
		if was < further {
			continue
		}
		asked++
		if s.DealtWith == "" {
			standing = true
			add(was, fmt.Sprintf("Earlier sample %d said %s, and nothing says what was done about it; a later clean one does not undo it.", i+1, was.words()))
		} else {
			add(watch, fmt.Sprintf("Earlier sample %d said %s; that was dealt with (%s), and is watched over the series.", i+1, was.words(), s.DealtWith))
		}
	}
	if now.level >= further && asked >= j.c.Repeats {
		add(stop, fmt.Sprintf("It has asked for more %d times before; once more is enough.", asked))
	}
	j.compare(r, add)
	r.Verdict = total.verdict()
	j.schedule(r, now.level, standing)
}

// compare sets the sample against the last one from the same place.
func (j judge) compare(r *Result, add func(level, string)) {
	now := j.loadOf(j.in.Now)
	r.CoarseNew = j.coarseNew()
	before, ok := j.before()
	if !ok {
		r.Falling = now.shape == asNothing
	} else {
		order := now.compare(j.loadOf(before))
		r.Falling = order < 0 || order == 0 && now.shape <= asFuzz && !now.many
		if order > 0 {
			add(watch, "There is more than the time before at the same place; after work it must become less.")
		}
	}
	if r.CoarseNew && len(j.in.Earlier) > 0 {
		add(further, "Coarse debris is there that no earlier sample had.")
	}
}

// before is the last earlier sample from the place of this one.
func (j judge) before() (Sample, bool) {
	for _, s := range slices.Backward(j.in.Earlier) {
		if s.Place == j.in.Now.Place {
			return s, true
		}
	}
	return Sample{}, false
}

// load is how much there is in a sample, the worst first.
type load struct {
	shape shape
	many  bool
	count int64 // of pieces in that shape; 0 where not all are counted
}

func (j judge) loadOf(s Sample) load {
	l := load{shape: j.worst(s)}
	counted := true
	for _, e := range s.Entries {
		if e.shape(j.c) == l.shape {
			l.many = l.many || e.Share == Heavy
			l.count += e.Count
			counted = counted && e.Count > 0
		}
	}
	l.many = l.many || l.count > j.c.Few
	if !counted {
		l.count = 0
	}
	return l
}

// compare gives less, equal or more as -1, 0, 1.
func (l load) compare(to load) int {
	switch {
	case l.shape != to.shape:
		return sign(int64(l.shape - to.shape))
	case l.many != to.many && l.many:
		return 1
	case l.many != to.many:
		return -1
	case l.count > 0 && to.count > 0:
		return sign(l.count - to.count)
	}
	return 0
}

func sign(n int64) int { return int(min(1, max(-1, n))) }

// coarseNew reports coarse debris that no earlier sample had as bad of the same
// material.
func (j judge) coarseNew() bool {
	return slices.ContainsFunc(j.in.Now.Entries, func(e Entry) bool {
		return e.shape(j.c).coarse() && !slices.ContainsFunc(j.in.Earlier, func(s Sample) bool {
			return slices.ContainsFunc(s.Entries, func(was Entry) bool {
				return was.material() == e.material() && was.shape(j.c) >= e.shape(j.c)
			})
		})
	})
}

// schedule says whether the series is through, and which look comes next.
func (j judge) schedule(r *Result, now level, standing bool) {
	moment := j.in.Now.Moment
	if moment == "" {
		return
	}
	r.SeriesClear = moment == FirstDistance && now == normal && r.Falling && !r.CoarseNew && !standing
	switch i := slices.Index(Moments(), moment); {
	case r.SeriesClear:
	case i+1 < len(Moments()):
		r.NextMoment = Moments()[i+1]
	default:
		r.NextMoment = FirstDistance
	}
}
