package reckon

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"benchtag/internal/checks"
	"benchtag/internal/fault"
)

// intervalIn is a share to estimate: a prior Beta(a, b), and hits out of
// trials.
type intervalIn struct {
	A      string `json:"a,omitempty"`
	B      string `json:"b,omitempty"`
	Hits   int64  `json:"hits,omitempty"`
	Trials int64  `json:"trials,omitempty"`
	Level  string `json:"level,omitempty"` // "0.95" where left out
}

// beliefIn is one of several causes, with its weight and its count.
type beliefIn struct {
	Key   string `json:"key"`
	Prior string `json:"prior"`
	Count int64  `json:"count"`
}

// intervalOut is the estimate with the distribution it comes from.
type intervalOut struct {
	checks.Estimate
	A checks.Figure `json:"a"`
	B checks.Figure `json:"b"`
}

type beliefOut struct {
	Key string `json:"key"`
	checks.Estimate
}

// The words of the verdict of for. There is none that says it may be ridden.
const (
	stopRiding = "stop_riding"
	notKnown   = "not_known"
)

// stopShare is the probability from which a cause alone says not to ride. An
// assumption of this program; no source.
const stopShare = 0.05

func checksFor(in checksIn) (Answer, error) {
	m, err := in.compile()
	if err != nil {
		return Answer{}, err
	}
	a, err := checks.For(m, in.Question)
	if err != nil {
		return Answer{}, err
	}
	c, err := checks.Shipped()
	if err != nil {
		return Answer{}, err
	}
	verdict := notKnown
	for _, s := range a.Stops {
		if s.Certain || s.P >= stopShare {
			verdict = stopRiding
		}
	}
	return Answer{Verdict: verdict, Value: a, Working: forWorking(a), Warnings: forWarnings(a, c)}, nil
}

// forWorking writes the probabilities, then the order.
func forWorking(a checks.Advice) []string {
	sum := checks.Figure(checks.OtherWeight)
	for _, c := range a.Causes {
		if !c.RuledOut {
			sum += (c.Weight + c.Count) * c.Kept
		}
	}
	working := []string{fmt.Sprintf("Probability of a cause: (example weight, circumstances included, + jobs of the shop's own) x what clean samples leave of it, over the sum of all causes left and %d for something else = %s; interval: 95 %% of its Beta distribution.", checks.OtherWeight, sum)}
	for _, c := range a.Causes {
		if c.RuledOut {
			working = append(working, fmt.Sprintf("%s: ruled out by a check made.", c.Words))
			continue
		}
		kept := ""
		if c.Kept != 1 {
			kept = fmt.Sprintf(" x %s", c.Kept)
		}
		working = append(working, fmt.Sprintf("%s: (%s + %s)%s / %s = %s, between %s and %s.", c.Words, c.Weight, c.Count, kept, sum, c.Mean, c.Low, c.High))
	}
	working = append(working, fmt.Sprintf("Something else: %d / %s = %s.", checks.OtherWeight, sum, a.Other.Mean), methodWords(a.Method))
	s := checks.Sequence{Expected: a.Expected, Missed: a.Missed}
	for _, l := range a.Looks {
		s.Turns = append(s.Turns, l.Turn)
		working = append(working, lookWords(l))
	}
	return append(working, turnsWorking(s)...)
}

// lookWords says what a look can find, for whoever adds its p up.
func lookWords(l checks.Look) string {
	tells := slices.Clone(l.Finds)
	for _, cause := range slices.Sorted(maps.Keys(l.Samples)) {
		tells = append(tells, fmt.Sprintf("%s in %d %% of cases", cause, l.Samples[cause]))
	}
	return fmt.Sprintf("%s (%s) shows %s; each as far as no look before it has.", l.Check, l.Words, strings.Join(tells, ", "))
}

func forWarnings(a checks.Advice, c checks.Catalogue) []string {
	out := []string{c.Notice}
	for _, s := range a.Stops {
		if s.Certain {
			out = append(out, s.Words)
		} else if s.P >= stopShare {
			out = append(out, fmt.Sprintf("%s (probability %s): %s", causeWords(a, s.Because), s.P, s.Words))
		}
	}
	if len(a.Causes) == 0 {
		out = append(out, "The map has no part that the catalogue knows as a cause of this; nothing is put in its place.")
	}
	return append(out, orderWarnings(a.Method)...)
}

// causeWords gives the words of a cause, by its key.
func causeWords(a checks.Advice, key string) string {
	for _, c := range a.Causes {
		if c.Cause == key {
			return c.Words
		}
	}
	return key
}

func checksInterval(in intervalIn) (Answer, error) {
	a, err := exact("/a", in.A)
	if err != nil {
		return Answer{}, err
	}
	b, err := exact("/b", in.B)
	if err != nil {
		return Answer{}, err
	}
	level, err := levelOf(in.Level)
	if err != nil {
		return Answer{}, err
	}
	if a == nil || b == nil || in.Hits < 0 || in.Trials < in.Hits {
		return Answer{}, fault.Invalid("checks.interval_unclear", "/a", "Give a and b of the prior, such as 1 and 1, and hits from 0 to trials.")
	}
	a.Add(a, big.NewRat(in.Hits, 1))
	b.Add(b, big.NewRat(in.Trials-in.Hits, 1))
	e, err := checks.Interval(a, b, level)
	if err != nil {
		return Answer{}, err
	}
	fa, _ := a.Float64()
	fb, _ := b.Float64()
	out := intervalOut{Estimate: e, A: checks.Figure(fa), B: checks.Figure(fb)}
	return Answer{Value: out, Working: []string{
		fmt.Sprintf("Beta(%s, %s) and %d of %d give Beta(%s + %d, %s + %d) = Beta(%s, %s) (conjugacy of Beta and binomial).", in.A, in.B, in.Hits, in.Trials, in.A, in.Hits, in.B, in.Trials-in.Hits, out.A, out.B),
		fmt.Sprintf("Mean a / (a + b) = %s.", e.Mean),
		fmt.Sprintf("Of the distribution, (1 - %s)/2 lies below %s and as much above %s.", checks.Figure(level), e.Low, e.High),
	}}, nil
}

func levelOf(text string) (float64, error) {
	if text == "" {
		return checks.Level, nil
	}
	return number("/level", text)
}

func checksShares(in checksIn) (Answer, error) {
	level, err := levelOf(in.Level)
	if err != nil {
		return Answer{}, err
	}
	if len(in.Beliefs) == 0 {
		return Answer{}, fault.Invalid("checks.interval_unclear", "/beliefs", "Give the causes, each with a prior weight and a count.")
	}
	beliefs := make([]checks.Belief, len(in.Beliefs))
	for i, b := range in.Beliefs {
		prior, err := exact(fmt.Sprintf("/beliefs/%d/prior", i), b.Prior)
		if err != nil {
			return Answer{}, err
		}
		if prior == nil {
			prior = new(big.Rat)
		}
		beliefs[i] = checks.Belief{Prior: prior, Count: big.NewRat(b.Count, 1)}
	}
	shares, err := checks.Shares(beliefs, level)
	if err != nil {
		return Answer{}, err
	}
	out := struct {
		Shares []beliefOut `json:"shares"`
	}{}
	working := []string{"Share = (prior + count) / sum of all priors and counts: the mean of a Dirichlet distribution; each share by itself is Beta(its weight, the rest)."}
	for i, b := range in.Beliefs {
		out.Shares = append(out.Shares, beliefOut{b.Key, shares[i]})
		working = append(working, fmt.Sprintf("%s: prior %s + count %d, share %s, interval %s to %s.", b.Key, b.Prior, b.Count, shares[i].Mean, shares[i].Low, shares[i].High))
	}
	return Answer{Value: out, Working: working}, nil
}

func checksCatalogue() (Answer, error) {
	c, err := checks.Shipped()
	if err != nil {
		return Answer{}, err
	}
	return Answer{Value: c, Working: []string{fmt.Sprintf("%d symptoms, %d causes, %d quick checks.", len(c.Symptoms), len(c.Causes), len(c.Checks))}, Warnings: []string{c.Notice}}, nil
}
