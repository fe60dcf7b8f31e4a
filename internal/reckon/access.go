package reckon

import (
	"fmt"
	"strings"

	"benchtag/internal/access"
	"benchtag/internal/fault"
)

// accessIn is a plan to make, or things to divide.
type accessIn struct {
	// Call is plan (also where it is left out) or shares.
	Call string `json:"call,omitempty"`
	machineIn
	access.Request
	Things []sharedIn `json:"things,omitempty"`
}

// sharedIn is something that takes minutes once, whoever needs it.
type sharedIn struct {
	Key      string   `json:"key"`
	Minutes  int64    `json:"minutes"`
	NeededBy []string `json:"needed_by"`
}

// sharesOut is the parties' shares, in the order in which they are first
// named.
type sharesOut struct {
	Shares []shareOut `json:"shares"`
	Total  int64      `json:"total"`
}

type shareOut struct {
	Party string             `json:"party"`
	Share access.Thousandths `json:"share"`
}

func accessEngine() Engine {
	return engine("access", "1", "What must come off to reach parts, in the fewest minutes, how it goes back, and whose the minutes are.", func(in accessIn) (Answer, error) {
		switch in.Call {
		case "", "plan":
			return accessPlan(in)
		case "shares":
			return accessShares(in)
		}
		return Answer{}, fault.Invalid("access.call_unknown", "/call", "Say plan, or shares.")
	})
}

func accessPlan(in accessIn) (Answer, error) {
	if len(in.Things) > 0 {
		return Answer{}, fault.Invalid("access.call_unclear", "/things", "Things to divide go with the call shares; leave them out of a plan.")
	}
	m, err := in.compile()
	if err != nil {
		return Answer{}, err
	}
	in.Request.Sheet, err = in.sheet(in.Request.Sheet, m)
	if err != nil {
		return Answer{}, err
	}
	r, err := access.Plan(m, in.Request)
	if err != nil {
		return Answer{}, err
	}
	verdict := "not_proven"
	if r.Proven {
		verdict = "least"
	}
	return Answer{Verdict: verdict, Value: r, Working: planWorking(r), Warnings: append(r.Warnings, accessCaution)}, nil
}

// accessCaution goes with every plan.
const accessCaution = "Order, torques and what is used once: the maker's service manual comes first. Read each caution before its step."

// planWorking writes a plan so that every figure can be added up again.
func planWorking(r access.Result) []string {
	out := []string{"Each step is counted once, opening and closing, whoever needs it; the set of steps chosen takes the fewest minutes (branch and bound over the map's alternatives)."}
	for i, o := range r.Opening {
		if o.Caution != "" {
			out = append(out, fmt.Sprintf("Before step %d: %s", i+1, o.Caution))
		}
		out = append(out, fmt.Sprintf("%d. %s (%s): open %d, close %d; needed by %s.", i+1, o.Name, o.Step, o.Minutes, o.Back, strings.Join(neededBy(r, o), ", ")))
	}
	out = append(out, fmt.Sprintf("Opening %d + closing %d + at the parts %d = %d min.", r.Minutes.Open, r.Minutes.Back, r.Minutes.Parts, r.Minutes.Total))
	out = append(out, "Going back together: the map's order (what comes after what, joints checked before they are covered); where it is silent, the last opened closes first: "+closingWords(r)+".")
	var alone int64
	for _, t := range r.Targets {
		alone += t.Alone
		out = append(out, shareWorking(r, t))
	}
	out = append(out, "Shares: each step's minutes divided equally between the targets that need it in this plan (Shapley value, Shapley 1953), to thousandths of a minute, what is left over to the largest remainders.")
	return append(out, fmt.Sprintf("Each alone would take %d min of opening and closing in all; together %d; %d saved.", alone, r.Minutes.Open+r.Minutes.Back, alone-r.Minutes.Open-r.Minutes.Back))
}

func neededBy(r access.Result, o access.Opening) []string {
	names := make([]string, len(o.NeededBy))
	for i, t := range o.NeededBy {
		names[i] = string(r.Targets[t].Component)
	}
	return names
}

func closingWords(r access.Result) string {
	if len(r.Closing) == 0 {
		return "nothing to close"
	}
	names := make([]string, len(r.Closing))
	for i, c := range r.Closing {
		names[i] = c.Name
	}
	return strings.Join(names, ", then ")
}

// shareWorking writes one target's share as a sum of fractions.
func shareWorking(r access.Result, t access.Share) string {
	var terms []string
	for _, o := range r.Opening {
		for _, k := range t.Needs {
			if k == o.Step {
				terms = append(terms, fraction(o.Minutes+o.Back, len(o.NeededBy)))
			}
		}
	}
	return fmt.Sprintf("%s (%s): %d min at the part; opening and closing %s = %s; alone it would take %d%s.",
		t.Name, t.Do, t.Minutes, sum(terms), t.Opening, t.Alone, wayWords(t.Ways))
}

// wayWords compares the ways to a target, where there are several.
func wayWords(ways []access.Way) string {
	if len(ways) < 2 {
		return ""
	}
	words := make([]string, len(ways))
	for i, w := range ways {
		steps := make([]string, len(w.Steps))
		for j, k := range w.Steps {
			steps[j] = string(k)
		}
		words[i] = "by " + strings.Join(steps, " and ") + fmt.Sprintf(" %d", w.Alone)
		if !w.Possible {
			words[i] = "by " + strings.Join(steps, " and ") + " not possible"
		}
		if w.Taken {
			words[i] += " (taken)"
		}
	}
	return " (" + strings.Join(words, ", ") + ")"
}

func fraction(minutes int64, parties int) string {
	if parties == 1 {
		return fmt.Sprint(minutes)
	}
	return fmt.Sprintf("%d/%d", minutes, parties)
}

func sum(terms []string) string {
	if len(terms) == 0 {
		return "nothing"
	}
	return strings.Join(terms, " + ")
}

func accessShares(in accessIn) (Answer, error) {
	if len(in.Things) == 0 || in.Map != nil || in.Shipped != "" || len(in.Targets) > 0 {
		return Answer{}, fault.Invalid("access.call_unclear", "/things", "Give the things to divide, each with its minutes and who needs it, and no map or targets.")
	}
	things, parties, err := readThings(in.Things)
	if err != nil {
		return Answer{}, err
	}
	out := sharesOut{Shares: make([]shareOut, len(parties))}
	for i, share := range access.Divide(things, len(parties)) {
		out.Shares[i] = shareOut{parties[i], share}
	}
	for _, thing := range things {
		out.Total += thing.Minutes
	}
	return Answer{Value: out, Working: dividing(things, out)}, nil
}

// maxThingMinutes bounds a thing, so that sums stay whole numbers.
const maxThingMinutes = 1_000_000_000

// readThings numbers the parties.
func readThings(in []sharedIn) ([]access.Shared, []string, error) {
	var parties []string
	number := map[string]int{}
	things := make([]access.Shared, len(in))
	for i, thing := range in {
		if thing.Minutes < 0 || thing.Minutes > maxThingMinutes || len(thing.NeededBy) == 0 {
			return nil, nil, fault.Invalid("access.thing_unclear", fmt.Sprintf("/things/%d", i), fmt.Sprintf("Give minutes from 0 to %d and at least one who needs it.", maxThingMinutes))
		}
		things[i].Minutes = thing.Minutes
		seen := map[string]bool{}
		for _, who := range thing.NeededBy {
			if seen[who] {
				continue
			}
			seen[who] = true
			if _, known := number[who]; !known {
				number[who] = len(parties)
				parties = append(parties, who)
			}
			things[i].NeededBy = append(things[i].NeededBy, number[who])
		}
	}
	return things, parties, nil
}

func dividing(things []access.Shared, out sharesOut) []string {
	working := []string{"Each thing's minutes are divided equally between those who need it: the Shapley value for costs of this form (Shapley 1953; Littlechild and Owen 1973)."}
	for i, s := range out.Shares {
		var terms []string
		for _, thing := range things {
			for _, who := range thing.NeededBy {
				if who == i {
					terms = append(terms, fraction(thing.Minutes, len(thing.NeededBy)))
				}
			}
		}
		working = append(working, fmt.Sprintf("%s: %s = %s.", s.Party, sum(terms), s.Share))
	}
	return append(working, fmt.Sprintf("Together %d; fractions are rounded to thousandths so that the shares add up to it.", out.Total))
}
