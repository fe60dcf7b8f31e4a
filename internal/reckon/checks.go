package reckon

import (
	"fmt"
	"math/big"

	"benchtag/internal/checks"
	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// checksIn is a question about the order of checks; Call says which.
type checksIn struct {
	// Call is order, for, interval, shares or catalogue.
	Call string `json:"call"`
	orderIn
	machineIn
	checks.Question
	intervalIn
	Beliefs []beliefIn `json:"beliefs,omitempty"`
}

// orderIn is checks to put in order, in plain numbers.
type orderIn struct {
	Checks   []taskIn    `json:"checks,omitempty"`
	Causes   []causeIn   `json:"causes,omitempty"`
	Openings []openingIn `json:"openings,omitempty"`
	// Weights says that p are weights, to be divided by their sum.
	Weights bool `json:"weights,omitempty"`
	// Orders are orders to reckon besides, each with all checks.
	Orders [][]string `json:"orders,omitempty"`
}

// taskIn is a check. With p it finds a cause of its own, with finds those
// named among the causes.
type taskIn struct {
	Key   string   `json:"key"`
	P     string   `json:"p,omitempty"`
	C     string   `json:"c"`
	R     string   `json:"r,omitempty"`
	In    string   `json:"in,omitempty"`
	Opens []string `json:"opens,omitempty"`
	Finds []string `json:"finds,omitempty"`
}

type causeIn struct {
	Key string `json:"key"`
	P   string `json:"p"`
	R   string `json:"r,omitempty"`
}

type openingIn struct {
	Key    string `json:"key"`
	C      string `json:"c"`
	Inside string `json:"inside,omitempty"`
}

// orderOut is the order found, and those to compare.
type orderOut struct {
	checks.Sequence
	Method checks.Method `json:"method"`
	Orders []comparedOut `json:"orders"`
}

type comparedOut struct {
	Order    []string      `json:"order"`
	Expected checks.Figure `json:"expected"`
	Total    checks.Figure `json:"total"`
}

func checksEngine() Engine {
	return engine("checks", "1", "Which quick check comes first: probability over cost, with shared openings, a catalogue of causes and a shop's own counts.", func(in checksIn) (Answer, error) {
		switch in.Call {
		case "order":
			return checksOrder(in.orderIn)
		case "for":
			return checksFor(in)
		case "interval":
			return checksInterval(in.intervalIn)
		case "shares":
			return checksShares(in)
		case "catalogue":
			return checksCatalogue()
		}
		return Answer{}, fault.Invalid("checks.call_unknown", "/call", "Say order, for, interval, shares or catalogue.")
	})
}

// exact reads decimal text without rounding; "" is nothing.
func exact(pointer, text string) (*big.Rat, error) {
	if text == "" {
		return nil, nil
	}
	d, err := measure.ParseDecimal(text)
	if err != nil {
		return nil, at(pointer, err)
	}
	r, _ := new(big.Rat).SetString(d.String())
	return r, nil
}

func checksOrder(in orderIn) (Answer, error) {
	p, err := in.problem()
	if err != nil {
		return Answer{}, err
	}
	s, method, err := checks.Order(p)
	if err != nil {
		return Answer{}, err
	}
	out := orderOut{Sequence: s, Method: method, Orders: []comparedOut{}}
	for _, order := range in.Orders {
		other, err := checks.Evaluate(p, order)
		if err != nil {
			return Answer{}, err
		}
		out.Orders = append(out.Orders, comparedOut{order, other.Expected, other.Total})
	}
	return Answer{Verdict: provenWord(method), Value: out, Working: orderWorking(p, out), Warnings: orderWarnings(method)}, nil
}

// problem reads the numbers.
func (in orderIn) problem() (checks.Problem, error) {
	p := checks.Problem{}
	for i, c := range in.Causes {
		chance, err := readChance(fmt.Sprintf("/causes/%d", i), c.Key, c.P, c.R)
		if err != nil {
			return p, err
		}
		p.Causes = append(p.Causes, chance)
	}
	for i, o := range in.Openings {
		cost, err := exact(fmt.Sprintf("/openings/%d/c", i), o.C)
		if err != nil {
			return p, err
		}
		p.Openings = append(p.Openings, checks.Opening{Key: o.Key, Cost: cost, Inside: o.Inside})
	}
	for i, t := range in.Checks {
		err := t.into(&p, fmt.Sprintf("/checks/%d", i))
		if err != nil {
			return p, err
		}
	}
	if in.Weights {
		p.Causes = weighed(p.Causes)
	}
	return p, nil
}

func readChance(pointer, key, p, r string) (checks.Chance, error) {
	chance := checks.Chance{Key: key}
	var err error
	chance.P, err = exact(pointer+"/p", p)
	if err != nil {
		return chance, err
	}
	chance.Repair, err = exact(pointer+"/r", r)
	return chance, err
}

// into adds a check, and its own cause where it has one.
func (t taskIn) into(p *checks.Problem, pointer string) error {
	cost, err := exact(pointer+"/c", t.C)
	if err != nil {
		return err
	}
	task := checks.Task{Key: t.Key, Cost: cost, Finds: t.Finds, Opens: t.Opens}
	if t.In != "" {
		task.Opens = append([]string{t.In}, t.Opens...)
	}
	if (t.P == "") == (len(t.Finds) == 0) || t.P == "" && t.R != "" {
		return fault.Invalid("checks.check_unclear", pointer, "Give a check either p (and r) for a cause of its own, or the causes it finds.")
	}
	if t.P != "" {
		own, err := readChance(pointer, t.Key, t.P, t.R)
		if err != nil {
			return err
		}
		p.Causes, task.Finds = append(p.Causes, own), []string{t.Key}
	}
	p.Tasks = append(p.Tasks, task)
	return nil
}

// weighed divides each weight by the sum of all; a sum of 0 stays as it is,
// and so does a weight that Order refuses.
func weighed(causes []checks.Chance) []checks.Chance {
	sum := new(big.Rat)
	for _, c := range causes {
		if c.P == nil || c.P.Sign() < 0 {
			return causes
		}
		sum.Add(sum, c.P)
	}
	for _, c := range causes {
		if sum.Sign() > 0 {
			c.P.Quo(c.P, sum)
		}
	}
	return causes
}

func provenWord(m checks.Method) string {
	if m == checks.ByTrial || m == "" {
		return "not_proven"
	}
	return "least"
}

func orderWarnings(m checks.Method) []string {
	if m == checks.ByTrial {
		return []string{"Not proven least: too many checks find the same causes or share openings, so the order was improved by trial."}
	}
	return nil
}
