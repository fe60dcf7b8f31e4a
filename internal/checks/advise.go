package checks

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// Question is a complaint and what is known about it.
type Question struct {
	// Symptoms are keys of the catalogue, or kinds of complaint, which stand
	// for all their symptoms. Of several, the weights are added up.
	Symptoms      []string `json:"symptoms"`
	Circumstances []string `json:"circumstances"`
	// Counts are the shop's own closed jobs with such a symptom on such a
	// kind of machine, by first cause.
	Counts []Count `json:"counts"`
	// Clean are the checks already made that found nothing; their causes
	// are out.
	Clean []string `json:"clean"`
	// Opened are the openings that are open already.
	Opened []string `json:"opened"`
}

// Count is how many jobs a cause, or a kind of component, was behind. Those of
// a kind are divided between its causes in proportion to their weights.
type Count struct {
	Cause string     `json:"cause,omitempty"`
	Kind  layout.Key `json:"kind,omitempty"`
	Count int64      `json:"count"`
}

// Advice is what to look at first.
type Advice struct {
	// Causes are all that the map has a component for, likeliest first.
	Causes   []Likely `json:"causes"`
	Other    Estimate `json:"other"` // that it is none of them
	Looks    []Look   `json:"looks"` // in order
	Expected Figure   `json:"expected"`
	Missed   Figure   `json:"missed"` // probability that no look finds it
	Method   Method   `json:"method"` // "" without looks
	Stops    []Stop   `json:"stop_riding"`
}

// Likely is a cause with its probability.
type Likely struct {
	Cause      string      `json:"cause"`
	Words      string      `json:"words"`
	Kind       layout.Key  `json:"kind"`
	Components []Component `json:"components"`
	Weight     Figure      `json:"weight"` // from the catalogue, circumstances included
	Count      Figure      `json:"count"`  // the shop's own
	// Kept is the share of its weight that clean samples leave; 1 without any.
	Kept     Figure `json:"kept"`
	RuledOut bool   `json:"ruled_out"`
	Estimate
}

// Component is where a cause may sit on this machine.
type Component struct {
	Key  layout.Key `json:"key"`
	Name string     `json:"name"`
}

// Look is a quick check in its place.
type Look struct {
	Turn
	Words   string   `json:"words"`
	Do      string   `json:"do"`
	Caution string   `json:"caution"`
	Finds   []string `json:"finds"` // of the causes that may be there
	// Samples are the percent with which it shows others.
	Samples map[string]int64 `json:"samples"`
	Hints   []string         `json:"hints"`
}

// Stop is a reason not to ride.
type Stop struct {
	Words   string `json:"words"`
	Because string `json:"because"` // key of the symptom or the cause
	Certain bool   `json:"certain"` // by the symptom, whatever the cause
	P       Figure `json:"p"`       // of the cause; 1 for a symptom
}

// suspect is a cause under consideration.
type suspect struct {
	Cause
	belief Belief
	kept   *big.Rat // share of the belief that clean samples leave
	out    bool
	likely Estimate
}

// For says what may be behind a complaint on a machine and which quick check
// comes first. Circumstances shift the catalogue's weights; the shop's own
// counts stand as they are. Faults: checks.symptom_unknown,
// checks.circumstance_unknown, checks.check_unknown, checks.opening_unknown,
// checks.count_unclear.
func For(m *layout.Compiled, q Question) (Advice, error) {
	c, err := Shipped()
	if err != nil {
		return Advice{}, err
	}
	return c.advise(m, q)
}

func (c Catalogue) advise(m *layout.Compiled, q Question) (Advice, error) {
	symptoms, err := c.check(q)
	if err != nil {
		return Advice{}, err
	}
	suspects := c.suspects(m, symptoms, q.Circumstances)
	err = c.count(suspects, q.Counts)
	if err != nil {
		return Advice{}, err
	}
	c.ruleOut(suspects, q.Clean)
	other, err := estimate(suspects)
	if err != nil {
		return Advice{}, err
	}
	a := Advice{Causes: []Likely{}, Other: other, Looks: []Look{}, Stops: stops(symptoms, suspects)}
	for _, s := range suspects {
		a.Causes = append(a.Causes, s.write(m))
	}
	return a, c.order(&a, suspects, q)
}

// check refuses unknown words and gives the symptoms meant.
func (c Catalogue) check(q Question) ([]Symptom, error) {
	keys := c.keys()
	for _, list := range []struct {
		words         []string
		name, pointer string
		code          string
	}{
		{q.Circumstances, "circumstance", "/circumstances", "checks.circumstance_unknown"},
		{q.Clean, "check", "/clean", "checks.check_unknown"},
		{q.Opened, "opening", "/opened", "checks.opening_unknown"},
	} {
		for i, w := range list.words {
			if !slices.Contains(keys[list.name], w) {
				return nil, fault.Invalid(list.code, fmt.Sprintf("%s/%d", list.pointer, i), fmt.Sprintf("The catalogue has no %s %.64q; choose one of its list.", list.name, w))
			}
		}
	}
	return c.symptoms(q.Symptoms)
}

func (c Catalogue) symptoms(words []string) ([]Symptom, error) {
	if len(words) == 0 {
		return nil, fault.Invalid("checks.symptom_unknown", "/symptoms", "Name at least one symptom.")
	}
	for i, w := range words {
		if !slices.ContainsFunc(c.Symptoms, func(s Symptom) bool { return s.means(w) }) {
			return nil, fault.Invalid("checks.symptom_unknown", fmt.Sprintf("/symptoms/%d", i), fmt.Sprintf("The catalogue knows nothing of the symptom %.64q; choose one of its list.", w))
		}
	}
	var out []Symptom
	for _, s := range c.Symptoms {
		if slices.ContainsFunc(words, s.means) {
			out = append(out, s)
		}
	}
	return out, nil
}

// means reports whether a word stands for the symptom.
func (s Symptom) means(word string) bool { return s.Key == word || s.Of == shop.Symptom(word) }

// suspects gives the causes of the symptoms that the map has a component for.
func (c Catalogue) suspects(m *layout.Compiled, symptoms []Symptom, circumstances []string) []suspect {
	var out []suspect
	for _, cause := range c.Causes {
		var sum int64
		for _, s := range symptoms {
			sum += cause.Weights[s.Key]
		}
		if sum == 0 || len(m.OfKind(cause.Kind)) == 0 {
			continue
		}
		prior := big.NewRat(sum, 1)
		for _, w := range slices.Compact(slices.Sorted(slices.Values(circumstances))) {
			if percent := cause.When[w]; percent > 0 {
				prior.Mul(prior, big.NewRat(percent, 100))
			}
		}
		out = append(out, suspect{Cause: cause, belief: Belief{Prior: prior, Count: new(big.Rat)}, kept: one()})
	}
	return out
}

// count adds the shop's own jobs.
func (c Catalogue) count(suspects []suspect, counts []Count) error {
	for i, n := range counts {
		known := slices.ContainsFunc(c.Causes, func(cause Cause) bool { return n.is(cause) })
		if n.Count < 0 || n.Count > maxWeight || (n.Cause == "") == (n.Kind == "") || !known {
			return fault.Invalid("checks.count_unclear", fmt.Sprintf("/counts/%d", i), "Give a count of 0 or more with a cause of the catalogue, or with a kind of component that one of its causes has.")
		}
		of := new(big.Rat)
		for _, s := range suspects {
			if n.is(s.Cause) {
				of.Add(of, s.belief.Prior)
			}
		}
		for _, s := range suspects {
			if n.is(s.Cause) {
				share := new(big.Rat).Quo(s.belief.Prior, of)
				s.belief.Count.Add(s.belief.Count, share.Mul(share, big.NewRat(n.Count, 1)))
			}
		}
	}
	return nil
}

// is reports whether the count is one of the cause.
func (n Count) is(cause Cause) bool {
	return n.Cause == cause.Key || n.Cause == "" && n.Kind == cause.Kind
}

// ruleOut marks the causes that a clean check has ruled out, and lowers those
// that one has not shown.
func (c Catalogue) ruleOut(suspects []suspect, clean []string) {
	for _, check := range c.Checks {
		if !slices.Contains(clean, check.Key) {
			continue
		}
		for i := range suspects {
			suspects[i].out = suspects[i].out || slices.Contains(check.Finds, suspects[i].Key)
			suspects[i].kept.Mul(suspects[i].kept, big.NewRat(100-check.Samples[suspects[i].Key], 100))
		}
	}
}

// OtherWeight is the weight of a cause that the catalogue does not know, or
// that the map has no component for. An assumption; no source.
const OtherWeight = 1

// estimate sets the probabilities, and sorts the likeliest first. It gives
// that of something else.
func estimate(suspects []suspect) (Estimate, error) {
	left := []Belief{{Prior: big.NewRat(OtherWeight, 1), Count: new(big.Rat)}}
	for _, s := range suspects {
		if !s.out {
			left = append(left, Belief{Prior: s.weight(), Count: new(big.Rat)})
		}
	}
	shares, err := Shares(left, Level)
	if err != nil {
		return Estimate{}, err
	}
	other, shares := shares[0], shares[1:]
	for i := range suspects {
		if !suspects[i].out {
			suspects[i].likely, shares = shares[0], shares[1:]
		}
	}
	slices.SortStableFunc(suspects, func(a, b suspect) int { return cmp.Compare(b.likely.Mean, a.likely.Mean) })
	return other, nil
}

// weight is what speaks for the suspect, prior and count, after clean samples.
func (s suspect) weight() *big.Rat {
	w := s.belief.weight()
	return w.Mul(w, s.kept)
}

func (s suspect) write(m *layout.Compiled) Likely {
	l := Likely{Cause: s.Key, Words: s.Words, Kind: s.Kind, Components: []Component{}, Weight: figure(s.belief.Prior), Count: figure(s.belief.Count), Kept: figure(s.kept), RuledOut: s.out, Estimate: s.likely}
	for _, k := range m.OfKind(s.Kind) {
		l.Components = append(l.Components, Component{k, m.Name(k)})
	}
	return l
}

// stops lists the reasons not to ride: by the symptoms, then by the causes.
func stops(symptoms []Symptom, suspects []suspect) []Stop {
	out := []Stop{}
	for _, s := range symptoms {
		if s.StopRiding != "" {
			out = append(out, Stop{Words: s.StopRiding, Because: s.Key, Certain: true, P: 1})
		}
	}
	for _, s := range suspects {
		if s.StopRiding != "" && !s.out {
			out = append(out, Stop{Words: s.StopRiding, Because: s.Key, P: s.likely.Mean})
		}
	}
	return out
}
