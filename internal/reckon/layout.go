package reckon

import (
	"fmt"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// layoutIn is a document to check: a map, a sheet, both, or the code of a
// shipped map. A sheet alone is held against the shipped map it is for.
type layoutIn struct {
	Map     *layout.Map   `json:"map,omitempty"`
	Sheet   *layout.Sheet `json:"sheet,omitempty"`
	Shipped layout.Key    `json:"shipped,omitempty"`
}

// layoutValue is what was found in it.
type layoutValue struct {
	Map    layout.Key     `json:"map"`
	Sheet  layout.Key     `json:"sheet"`
	Counts layout.Counts  `json:"counts"`
	Faults []layout.Fault `json:"faults"`
}

// Verdicts of the engine layout.
const (
	layoutSound  = "sound"
	layoutFaulty = "faulty"
)

func layoutEngine() Engine {
	return engine("layout", "1", "Checks a machine map and its limit sheet, and names every fault with its place.", checkLayout)
}

func checkLayout(in layoutIn) (Answer, error) {
	m, s, err := in.documents()
	if err != nil {
		return Answer{}, err
	}
	value := layoutValue{Map: m.Code, Counts: layout.Count(m, s), Faults: []layout.Fault{}}
	value.found("/map", layout.MapFormat, m.Format, layout.Check(m))
	working := mapWorking(m)
	if s.Format != "" || in.Sheet != nil {
		value.Sheet = s.Code
		value.found("/sheet", layout.SheetFormat, s.Format, layout.CheckSheet(s, m))
		working = append(working, fmt.Sprintf("Sheet %s revision %d: %d limits and %d torques, each held against a point or joint of the map, its unit and its source.",
			s.Code, s.Revision, len(s.Limits), len(s.Torques)))
	}
	verdict := layoutSound
	if len(value.Faults) > 0 {
		verdict = layoutFaulty
	}
	working = append(working, fmt.Sprintf("Faults found: %d.", len(value.Faults)))
	return Answer{Verdict: verdict, Value: value, Working: working, Warnings: layoutWarnings(m, s)}, nil
}

// documents gives what is to be checked.
func (in layoutIn) documents() (m layout.Map, s layout.Sheet, err error) {
	if in.Sheet != nil {
		s = *in.Sheet
	}
	switch {
	case in.Map != nil && in.Shipped != "":
		return m, s, fault.Invalid("layout.map_ambiguous", "/shipped", "Give a map, or the code of a shipped one, and not both.")
	case in.Map != nil:
		return *in.Map, s, nil
	case in.Shipped != "":
		m, err = shippedMap("/shipped", in.Shipped)
		if err == nil && in.Sheet == nil {
			s, _, err = layout.ShippedSheet(m.Code)
		}
		return m, s, err
	case in.Sheet != nil:
		m, err = shippedMap("/sheet/map", s.Map)
		return m, s, err
	}
	return m, s, fault.Invalid("layout.map_missing", "/map", "Give a map to check, or the code of a shipped one in shipped.")
}

// shippedMap finds a shipped map; pointer says where its code stands.
func shippedMap(pointer string, code layout.Key) (layout.Map, error) {
	m, known, err := layout.ShippedMap(code)
	if err == nil && !known {
		err = fault.Invalid("layout.map_unknown", pointer,
			fmt.Sprintf("There is no shipped map %.70q; there are %s.", string(code), strings.Join(shippedCodes(), ", ")))
	}
	return m, err
}

// found adds the faults of one document, with pointers into the input.
func (v *layoutValue) found(at, format, got string, faults []layout.Fault) {
	if got != format {
		v.Faults = append(v.Faults, layout.Fault{Code: layout.FormatUnknown, Pointer: at + "/format",
			Message: "The format is " + format + "; check that the document is of this kind and of this version."})
	}
	for _, f := range faults {
		f.Pointer = at + f.Pointer
		v.Faults = append(v.Faults, f)
	}
}

// mapWorking says how the checks that a person cannot do at a glance came out.
func mapWorking(m layout.Map) []string {
	n := layout.Count(m, layout.Sheet{})
	lines := []string{fmt.Sprintf("Map %s revision %d: %d components, %d compartments, %d circuits with %d passages, %d steps, %d fastenings, %d points, %d looks, %d groups.",
		m.Code, m.Revision, n.Components, n.Compartments, n.Circuits, n.Passages, n.Steps, n.Fastenings, n.Points, n.Looks, n.Groups)}
	lines = append(lines, "Every key that one part of the map names was looked up among those the map gives; one that is not there is a fault at the place that names it.")
	rounds, rest := layout.Rounds(m.Steps)
	for i, round := range rounds {
		lines = append(lines, fmt.Sprintf("Steps that can be done in round %d, with an alternative of each need done in a round before: %s.", i+1, join(round)))
	}
	if len(rest) > 0 {
		lines = append(lines, "Steps left over, which wait for each other: "+join(rest)+".")
	}
	return lines
}

func join(keys []layout.Key) string {
	words := make([]string, len(keys))
	for i, k := range keys {
		words[i] = string(k)
	}
	return strings.Join(words, ", ")
}

func layoutWarnings(m layout.Map, s layout.Sheet) []string {
	var out []string
	if m.Example {
		out = append(out, "Map "+string(m.Code)+" is an example: "+m.Notice)
	}
	if s.Example {
		out = append(out, "Sheet "+string(s.Code)+" is an example: "+s.Notice)
	}
	return append(out, "A document without faults is well made, not true: hold it against the maker's service manual before relying on it.")
}
