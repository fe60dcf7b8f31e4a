package checks_test

import (
	"slices"
	"strings"
	"testing"

	"benchtag/internal/checks"
	"benchtag/internal/shop"
)

func TestCatalogueIsSound(t *testing.T) {
	t.Parallel()
	c := must(checks.Shipped())
	for _, f := range c.Faults() {
		t.Error(f)
	}
	if len(c.Symptoms) < 12 || len(c.Causes) < 40 || len(c.Checks) < 30 {
		t.Errorf("%d symptoms, %d causes, %d checks", len(c.Symptoms), len(c.Causes), len(c.Checks))
	}
	if !strings.Contains(c.Notice, "xample weights") {
		t.Errorf("the notice does not say that the weights are examples: %q", c.Notice)
	}
}

// Every kind of complaint but "other" has finer words.
func TestEveryComplaintHasSymptoms(t *testing.T) {
	t.Parallel()
	c := must(checks.Shipped())
	for _, of := range shop.SymptomValues() {
		has := slices.ContainsFunc(c.Symptoms, func(s checks.Symptom) bool { return s.Of == of })
		if has == (of == shop.SymptomOther) {
			t.Errorf("%s: %v", of, has)
		}
	}
}

// What can hurt somebody in being looked at has a caution before it.
func TestDangerousChecksHaveCautions(t *testing.T) {
	t.Parallel()
	c := must(checks.Shipped())
	cautioned := 0
	for _, check := range c.Checks {
		if check.Caution != "" {
			cautioned++
		}
		do := strings.ToLower(check.Do)
		for _, danger := range []string{"crank", "air in", "ride", "on the road", "cranking", "fuel", "warm up", "drain"} {
			if strings.Contains(do, danger) && check.Caution == "" {
				t.Errorf("%s has no caution, and says %q", check.Key, danger)
			}
		}
	}
	if cautioned < 20 {
		t.Errorf("only %d cautions", cautioned)
	}
}

// Brakes, steering and tyres are never looked into without saying what not
// to ride.
func TestWhatHoldsTheRiderSaysStop(t *testing.T) {
	t.Parallel()
	c := must(checks.Shipped())
	for _, cause := range c.Causes {
		for _, kind := range []string{"brake", "caliper", "steering", "tyre", "wheel_bearing", "axle", "swingarm", "frame"} {
			if strings.Contains(string(cause.Kind), kind) && cause.StopRiding == "" && cause.Key != "disc_warped" {
				t.Errorf("%s says nothing of riding", cause.Key)
			}
		}
	}
}

func TestFaultsAreFound(t *testing.T) {
	t.Parallel()
	for name, breakIt := range map[string]func(*checks.Catalogue){
		"no notice":           func(c *checks.Catalogue) { c.Notice = "" },
		"a key twice":         func(c *checks.Catalogue) { c.Causes[1].Key = c.Causes[0].Key },
		"a strange complaint": func(c *checks.Catalogue) { c.Symptoms[0].Of = "moon" },
		"a symptom for nought": func(c *checks.Catalogue) {
			c.Symptoms = append(c.Symptoms, checks.Symptom{Key: "x", Of: "noise", Words: "X"})
		},
		"no words":           func(c *checks.Catalogue) { c.Circumstances[0].Words = "" },
		"inside nowhere":     func(c *checks.Catalogue) { c.Openings[0].Inside = "moon" },
		"no kind":            func(c *checks.Catalogue) { c.Causes[0].Kind = "" },
		"a strange symptom":  func(c *checks.Catalogue) { c.Causes[0].Weights = map[string]int64{"moon": 1} },
		"a weight of nought": func(c *checks.Catalogue) { c.Causes[0].Weights = map[string]int64{"top_end_noise": 0} },
		"a strange when":     func(c *checks.Catalogue) { c.Causes[0].When = map[string]int64{"moon": 100} },
		"nobody tells it": func(c *checks.Catalogue) {
			c.Causes = append(c.Causes, checks.Cause{Key: "x", Kind: "valve", Words: "X", Weights: map[string]int64{"top_end_noise": 1}})
		},
		"finds the unknown":    func(c *checks.Catalogue) { c.Checks[0].Finds = []string{"moon"} },
		"finds nothing":        func(c *checks.Catalogue) { c.Checks[0].Finds, c.Checks[0].Samples = nil, nil },
		"shows the unknown":    func(c *checks.Catalogue) { c.Checks[0].Samples = map[string]int64{"moon": 50} },
		"shows it for certain": func(c *checks.Catalogue) { c.Checks[0].Samples = map[string]int64{"big_end_worn": 100} },
		"opens the unknown":    func(c *checks.Catalogue) { c.Checks[0].Opens = []string{"moon"} },
		"takes no time":        func(c *checks.Catalogue) { c.Checks[0].Minutes = 0 },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := must(checks.Shipped())
			c.Symptoms, c.Circumstances, c.Openings = slices.Clone(c.Symptoms), slices.Clone(c.Circumstances), slices.Clone(c.Openings)
			c.Causes, c.Checks = slices.Clone(c.Causes), slices.Clone(c.Checks)
			breakIt(&c)
			if len(c.Faults()) == 0 {
				t.Error("passes")
			}
		})
	}
}
