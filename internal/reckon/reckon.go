// Package reckon gives every engine by its name: JSON in, and out comes an
// answer with its value, its verdict and its working. A shell and an HTTP
// server call the same function and get the same bytes.
//
// It decides how engines are spoken to. What they reckon is their own.
package reckon

import (
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/wire"
)

// Answer is what every engine gives.
type Answer struct {
	Engine   string `json:"engine"`
	Revision string `json:"revision"` // of the engine; a stored verdict names it
	// Verdict is one word of the engine's own list; "" where an engine
	// gives figures alone.
	Verdict string `json:"verdict"`
	// Value is the result, in the engine's own shape.
	Value any `json:"value"`
	// Working is how it was reckoned, step by step, so that a person with a
	// pocket calculator can do it again.
	Working []string `json:"working"`
	// Warnings are what a person should look at before relying on it.
	Warnings []string `json:"warnings"`
}

// Engine is one of them.
type Engine struct {
	Name     string
	Does     string // what it does, in one sentence
	Revision string
	// Input is a zero value of what it takes, for whoever documents it.
	Input any
	run   func(body []byte) (Answer, error)
}

// engine makes an Engine of a function on decoded input.
func engine[In any](name, revision, does string, run func(In) (Answer, error)) Engine {
	var zero In
	return Engine{Name: name, Does: does, Revision: revision, Input: zero, run: func(body []byte) (Answer, error) {
		in, err := wire.Decode[In](body)
		if err != nil {
			return Answer{}, err
		}
		answer, err := run(in)
		if err != nil {
			return Answer{}, err
		}
		answer.Engine, answer.Revision = name, revision
		answer.Working, answer.Warnings = list(answer.Working), list(answer.Warnings)
		return answer, nil
	}}
}

// list gives an empty list for none, which JSON shows as [] and not as null.
func list(lines []string) []string {
	if lines == nil {
		return []string{}
	}
	return lines
}

// Engines lists every engine by name.
func Engines() []Engine {
	return []Engine{
		accessEngine(),
		checksEngine(),
		consentEngine(),
		debrisEngine(),
		estimateEngine(),
		figuresEngine(),
		gradeEngine(),
		layoutEngine(),
		measureEngine(),
		spreadEngine(),
	}
}

// Run lets the named engine answer. Faults: reckon.engine_unknown (NotFound),
// json.* for a body that cannot be read, and the engine's own.
func Run(name string, body []byte) (Answer, error) {
	all := Engines()
	i := slices.IndexFunc(all, func(e Engine) bool { return e.Name == name })
	if i < 0 {
		return Answer{}, fault.New(fault.NotFound, "reckon.engine_unknown",
			fmt.Sprintf("There is no engine %.40q; there are %s.", name, strings.Join(names(all), ", ")))
	}
	return all[i].run(body)
}

func names(all []Engine) []string {
	out := make([]string, len(all))
	for i, e := range all {
		out[i] = e.Name
	}
	return out
}
