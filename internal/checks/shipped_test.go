package checks_test

import (
	"testing"

	"benchtag/internal/checks"
	"benchtag/internal/layout"
)

// On the shipped maps the catalogue reaches what it should: each map has
// causes for at least twelve symptoms, and together they have at least forty
// causes, each told by a look.
func TestShippedMapsReachTheCatalogue(t *testing.T) {
	t.Parallel()
	maps, _, err := layout.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	if len(maps) == 0 {
		t.Fatal("no shipped maps")
	}
	c := must(checks.Shipped())
	causes, symptoms := map[string]bool{}, map[string]bool{}
	for _, doc := range maps {
		m, err := layout.Compile(doc)
		if err != nil {
			t.Fatal(err)
		}
		here := reach(t, m, c, causes)
		for s := range here {
			symptoms[s] = true
		}
		if len(here) < 12 {
			t.Errorf("%s: causes for %d symptoms only", doc.Code, len(here))
		}
	}
	if len(symptoms) < 12 || len(causes) < 40 {
		t.Errorf("together %d symptoms and %d causes", len(symptoms), len(causes))
	}
}

// reach asks for every symptom, adds the causes found and gives the symptoms
// that have some.
func reach(t *testing.T, m *layout.Compiled, c checks.Catalogue, causes map[string]bool) map[string]bool {
	t.Helper()
	symptoms := map[string]bool{}
	for _, s := range c.Symptoms {
		a := must(checks.For(m, checks.Question{Symptoms: []string{s.Key}}))
		if len(a.Causes) > 0 && len(a.Looks) == 0 {
			t.Errorf("%s: %d causes and no look", s.Key, len(a.Causes))
		}
		for _, l := range a.Causes {
			symptoms[s.Key], causes[l.Cause] = true, true
			if len(l.Components) == 0 {
				t.Errorf("%s: nowhere on the map", l.Cause)
			}
		}
	}
	return symptoms
}
