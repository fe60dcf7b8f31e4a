package debris

import (
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/fault"
)

// Bounds of an input. Common practice, no source: far more than a bench writes.
const (
	maxEntries     = 50
	maxEarlier     = 20
	maxCount       = 1_000_000
	maxLength      = Nanometres(1_000_000_000) // 1 m
	maxDistance    = 9_000_000_000             // metres
	maxMicrolitres = 10_000_000                // 10 L
)

func (in Input) check() error {
	if err := word("debris.compartment_unknown", "/compartment", in.Compartment, Compartments(), false); err != nil {
		return err
	}
	if err := in.Now.check(""); err != nil {
		return err
	}
	if len(in.Earlier) > maxEarlier {
		return fault.Invalid("debris.too_much", "/earlier", fmt.Sprintf("Name at most %d earlier samples; the latest tell most.", maxEarlier))
	}
	for i, s := range in.Earlier {
		if err := s.check(fmt.Sprintf("/earlier/%d", i)); err != nil {
			return err
		}
	}
	if in.At != "" && (in.Map == nil || !in.Map.IsNode(in.At)) {
		return fault.Invalid("debris.node_unknown", "/at", fmt.Sprintf("The machine map has no component or compartment %.64q; give the map with it.", in.At))
	}
	return in.Criteria.check()
}

func (c Criteria) check() error {
	switch {
	case c.Large < 0 || c.Large > maxLength:
		return sizeWrong("/criteria/large_from")
	case c.Few < 0 || c.Few > maxCount:
		return countWrong("/criteria/few")
	case c.Repeats < 0 || c.Repeats > maxCount:
		return countWrong("/criteria/repeats")
	case c.RunIn < 0 || c.RunIn > maxDistance:
		return distanceWrong("/criteria/run_in")
	case c.ShortRun < 0 || c.ShortRun > maxDistance:
		return distanceWrong("/criteria/short_run")
	}
	return nil
}

func (s Sample) check(at string) error {
	for _, err := range []error{
		word("debris.place_unknown", at+"/place", s.Place, Places(), false),
		word("debris.moment_unknown", at+"/moment", s.Moment, Moments(), true),
		word("debris.word_unknown", at+"/lab", s.Lab, Labs(), true),
		distance(at+"/since_change", s.SinceChange), distance(at+"/since_overhaul", s.SinceOverhaul),
	} {
		if err != nil {
			return err
		}
	}
	for i, o := range s.Oil {
		if err := word("debris.oil_unknown", fmt.Sprintf("%s/oil/%d", at, i), o, Oils(), false); err != nil {
			return err
		}
	}
	for i, symbol := range s.Elevated {
		if _, ok := elementSays(symbol); !ok {
			return fault.Invalid("debris.element_unknown", fmt.Sprintf("%s/elevated/%d", at, i), "Name an element by its symbol, one of "+strings.Join(Elements(), ", ")+".")
		}
	}
	if len(s.Entries) > maxEntries {
		return fault.Invalid("debris.too_much", at+"/entries", fmt.Sprintf("Name at most %d sorts of debris; put alike ones together.", maxEntries))
	}
	for i, e := range s.Entries {
		if err := e.check(fmt.Sprintf("%s/entries/%d", at, i)); err != nil {
			return err
		}
	}
	return nil
}

func (e Entry) check(at string) error {
	for _, err := range []error{
		word("debris.form_unknown", at+"/form", e.Form, Forms(), false),
		word("debris.material_unknown", at+"/material", e.Material, Materials(), true),
		word("debris.word_unknown", at+"/share", e.Share, Shares(), true),
		word("debris.word_unknown", at+"/attracted", e.Attracted, Attractions(), true),
		word("debris.word_unknown", at+"/shine", e.Shine, Shines(), true),
	} {
		if err != nil {
			return err
		}
	}
	for i, n := range []Nanometres{e.Length, e.Width, e.Thickness} {
		if n < 0 || n > maxLength {
			return sizeWrong(at + []string{"/size", "/width", "/thickness"}[i])
		}
	}
	switch {
	case e.Count < 0 || e.Count > maxCount:
		return countWrong(at + "/count")
	case e.Microlitres < 0 || e.Microlitres > maxMicrolitres:
		return fault.Invalid("debris.volume_wrong", at+"/volume", "Give the volume of it all together, from 0 (not measured) to 10 litres.")
	}
	return nil
}

func distance(pointer string, d Distance) error {
	if d.Metres < 0 || d.Metres > maxDistance {
		return distanceWrong(pointer)
	}
	return nil
}

func distanceWrong(pointer string) error {
	return fault.Invalid("debris.distance_wrong", pointer, "Give a distance from 0 to 9,000,000 km.")
}

func sizeWrong(pointer string) error {
	return fault.Invalid("debris.size_wrong", pointer, "Give a size from 0 (not measured) to 1 metre.")
}

func countWrong(pointer string) error {
	return fault.Invalid("debris.count_wrong", pointer, "Give a number from 0 to 1,000,000.")
}

func word[T ~string](code, pointer string, got T, words []T, empty bool) error {
	if slices.Contains(words, got) || empty && got == "" {
		return nil
	}
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = string(w)
	}
	return fault.Invalid(code, pointer, fmt.Sprintf("%.40q is not one of %s.", string(got), strings.Join(list, ", ")))
}
