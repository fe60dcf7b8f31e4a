package reckon

import (
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/layout"
	"benchtag/internal/spread"
)

// spreadIn is a machine and what is known of loose debris in it.
type spreadIn struct {
	machineIn
	spread.Input
}

// spreadRevision is raised when an answer can change.
const spreadRevision = "1"

func spreadEngine() Engine {
	return engine("spread", spreadRevision, "Where debris has got to, by which path, and which look tells most for its minutes.", func(in spreadIn) (Answer, error) {
		m, err := in.compile()
		if err != nil {
			return Answer{}, err
		}
		r, err := spread.Trace(m, in.Input)
		if err != nil {
			return Answer{}, err
		}
		return SpreadAnswer(m, r), nil
	})
}

// The words of the verdict of spread: the worst state there is beside the
// parts where debris is known to be.
const (
	spreadNone    = "nothing_loose"
	spreadAtHome  = "confined"
	spreadFines   = "exposed_fines"
	spreadCoarse  = "exposed_coarse"
	spreadCaution = "An exposed part is not a damaged one, and a part out of reach is so by this machine map alone. Being sure means looking; the maker's manual says how."
)

// SpreadAnswer gives a trace as an answer.
func SpreadAnswer(m *layout.Compiled, r spread.Result) Answer {
	counts := map[spread.State]int64{}
	for _, t := range r.Totals {
		counts[t.State] = t.Count
	}
	verdict := spreadNone
	switch {
	case counts[spread.ExposedCoarse] > 0:
		verdict = spreadCoarse
	case counts[spread.ExposedFines] > 0:
		verdict = spreadFines
	case counts[spread.Confirmed] > 0:
		verdict = spreadAtHome
	}
	warnings := append([]string{}, r.Warnings...)
	if doc := m.Map(); doc.Example {
		warnings = append(warnings, doc.Notice)
	}
	return Answer{Engine: "spread", Revision: spreadRevision, Verdict: verdict, Value: r, Working: spreadWorking(m, r), Warnings: append(warnings, spreadCaution)}
}

// spreadWorking writes how each part stands that is not out of reach, then what
// to look at next, with the sum of each.
func spreadWorking(m *layout.Compiled, r spread.Result) []string {
	out := []string{"Coarse pieces go where their width fits through, fines go everywhere, only looking at a part clears it (common practice, no source)."}
	doubts := map[layout.Key]spread.Component{}
	for _, state := range spread.States() {
		for _, c := range r.Components {
			if c.State == state && state != spread.OutOfReach {
				doubts[c.Component] = c
				out = append(out, strings.TrimSpace(fmt.Sprintf("%s: %s. %s %s", c.Name, strings.ReplaceAll(string(state), "_", " "), c.Sentence, strings.Join(c.Reasons, " "))))
			}
		}
	}
	for i, n := range r.Next {
		out = append(out, fmt.Sprintf("Next look %d: %s, %d minutes with opening and closing. Doubt it takes if it finds nothing, coarse twice: %s = %s; times 60 / %d minutes = %s an hour.",
			i+1, n.Name, n.Minutes, takes(m, n, doubts), n.Weight, max(n.Minutes, 1), n.PerHour))
	}
	return out
}

// takes writes the sum of the doubt that a look takes: what it sees wholly,
// what it speaks of in part.
func takes(m *layout.Compiled, n spread.Next, doubts map[layout.Key]spread.Component) string {
	var terms []string
	add := func(key layout.Key, doubt string) {
		part, _ := m.Component(key)
		switch {
		case part.Barrier != nil && part.Barrier.Kind == layout.Magnet && slices.Contains(n.Sees, key):
			doubt = "0 × " + doubt // a sampler
		case doubts[key].State == spread.ExposedCoarse:
			doubt = "2 × " + doubt
		}
		terms = append(terms, doubt+" % ("+part.Name+")")
	}
	for _, key := range n.Sees {
		add(key, doubts[key].Doubt)
	}
	for _, l := range n.Lowers {
		add(l.Component, "("+l.From+" − "+l.To+")")
	}
	return strings.Join(terms, " + ")
}
