package checks

import (
	"math/big"
	"slices"
)

// order puts the checks that can find a suspect in order.
func (c Catalogue) order(a *Advice, suspects []suspect, q Question) error {
	a.Missed = 1
	p := c.problem(suspects, q)
	if len(p.Tasks) == 0 {
		return nil
	}
	s, method, err := useful(p)
	a.Method, a.Expected, a.Missed = method, s.Expected, s.Missed
	for _, turn := range s.Turns {
		check := c.Checks[slices.IndexFunc(c.Checks, func(k Check) bool { return k.Key == turn.Check })]
		a.Looks = append(a.Looks, check.look(turn, suspects))
	}
	return err
}

// look writes a check out, with the suspects it tells of.
func (k Check) look(turn Turn, suspects []suspect) Look {
	l := Look{Turn: turn, Words: k.Words, Do: k.Do, Caution: k.Caution, Finds: []string{}, Samples: map[string]int64{}, Hints: []string{}}
	for _, s := range suspects {
		switch percent := k.Samples[s.Key]; {
		case s.out:
		case slices.Contains(k.Finds, s.Key):
			l.Finds = append(l.Finds, s.Key)
		case percent > 0:
			l.Samples[s.Key] = percent
		case slices.Contains(k.Hints, s.Key):
			l.Hints = append(l.Hints, s.Key)
		}
	}
	return l
}

// event is a suspect together with which sampling checks would show it.
type event struct {
	key     string
	suspect string
	p       *big.Rat
	shownBy []string
}

// problem makes a problem of the checks not made yet. A check that only
// samples a cause finds it in a share of the cases, independently of other
// checks, so each suspect is divided into events by which of them show it.
func (c Catalogue) problem(suspects []suspect, q Question) Problem {
	events := c.events(suspects, q.Clean)
	p := Problem{Openings: c.covers(q.Opened)}
	for _, e := range events {
		p.Causes = append(p.Causes, Chance{Key: e.key, P: e.p})
	}
	for _, check := range c.Checks {
		var finds []string
		for _, e := range events {
			if slices.Contains(check.Finds, e.suspect) || slices.Contains(e.shownBy, check.Key) {
				finds = append(finds, e.key)
			}
		}
		if !slices.Contains(q.Clean, check.Key) && len(finds) > 0 {
			p.Tasks = append(p.Tasks, Task{Key: check.Key, Cost: big.NewRat(check.Minutes, 1), Finds: finds, Opens: check.Opens})
		}
	}
	return p
}

// events gives the exact probabilities of the events of the suspects left.
func (c Catalogue) events(suspects []suspect, clean []string) []event {
	var out []event
	sum := big.NewRat(OtherWeight, 1)
	for _, s := range suspects {
		if !s.out {
			sum.Add(sum, s.weight())
		}
	}
	for _, s := range suspects {
		if s.out {
			continue
		}
		all := []event{{key: s.Key, suspect: s.Key, p: new(big.Rat).Quo(s.weight(), sum)}}
		for _, check := range c.Checks {
			if percent := check.Samples[s.Key]; percent > 0 && !slices.Contains(clean, check.Key) {
				all = divide(all, check.Key, percent)
			}
		}
		out = append(out, all...)
	}
	return out
}

// divide divides each event into the part that a check shows and the rest.
func divide(events []event, check string, percent int64) []event {
	var out []event
	for _, e := range events {
		shown := event{key: e.key + "+" + check, suspect: e.suspect, p: new(big.Rat).Mul(e.p, big.NewRat(percent, 100)), shownBy: append(slices.Clone(e.shownBy), check)}
		e.p = new(big.Rat).Sub(e.p, shown.p)
		out = append(out, e, shown)
	}
	return out
}

// covers gives the openings; what is open already costs nothing.
func (c Catalogue) covers(opened []string) []Opening {
	var out []Opening
	for _, o := range c.Openings {
		cost := big.NewRat(o.Minutes, 1)
		if slices.Contains(opened, o.Key) {
			cost = new(big.Rat)
		}
		out = append(out, Opening{Key: o.Key, Cost: cost, Inside: o.Inside})
	}
	return out
}

// useful is Order without the checks that find nothing the ones before them
// do not find; the best order has them last anyway.
func useful(p Problem) (Sequence, Method, error) {
	s, method, err := Order(p)
	if err != nil {
		return s, method, err
	}
	var keys []string
	for _, turn := range s.Turns {
		if turn.P > 0 {
			keys = append(keys, turn.Check)
		}
	}
	p.Tasks = slices.DeleteFunc(slices.Clone(p.Tasks), func(t Task) bool { return !slices.Contains(keys, t.Key) })
	s, err = Evaluate(p, keys)
	return s, method, err
}
