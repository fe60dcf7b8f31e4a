package checks

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"sync"

	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// Catalogue is what is known of symptoms, causes and quick checks for
// machines in general. Causes go by the kind of a component, so any map that
// has such components gets them. Weights and minutes are invented examples.
type Catalogue struct {
	Format        string         `json:"format"`
	Revision      int64          `json:"revision"`
	Notice        string         `json:"notice"`
	Symptoms      []Symptom      `json:"symptoms"`
	Circumstances []Circumstance `json:"circumstances"`
	Openings      []Cover        `json:"openings"`
	Causes        []Cause        `json:"causes"`
	Checks        []Check        `json:"checks"`
}

// Symptom is a finer word for a kind of complaint.
type Symptom struct {
	Key   string       `json:"key"`
	Of    shop.Symptom `json:"of"`
	Words string       `json:"words"`
	// StopRiding says why the machine should not be ridden meanwhile; "" for
	// no such rule, which does not say that it is safe.
	StopRiding string `json:"stop_riding"`
}

// Circumstance is when a symptom shows.
type Circumstance struct {
	Key   string `json:"key"`
	Words string `json:"words"`
}

// Cover is something several quick checks open.
type Cover struct {
	Key     string `json:"key"`
	Words   string `json:"words"`
	Minutes int64  `json:"minutes"` // to open and to close
	Inside  string `json:"inside"`  // the one that comes first; "" for none
}

// Cause is what may be behind a symptom.
type Cause struct {
	Key   string     `json:"key"`
	Kind  layout.Key `json:"kind"` // of the component it sits in
	Words string     `json:"words"`
	// Weights say by symptom how often it is this one: as many jobs out of
	// all the weights of that symptom.
	Weights map[string]int64 `json:"weights"`
	// When multiplies the weights in a circumstance, in percent.
	When       map[string]int64 `json:"when"`
	StopRiding string           `json:"stop_riding"`
}

// Check is a quick look.
type Check struct {
	Key     string `json:"key"`
	Words   string `json:"words"`
	Do      string `json:"do"`
	Minutes int64  `json:"minutes"` // openings apart
	// Opens are the covers it takes; none for a look from outside.
	Opens []string `json:"opens"`
	// Finds are the causes it shows if they are there and rules out if not.
	Finds []string `json:"finds"`
	// Samples are causes it shows with so many percent, 1 to 99, if they are
	// there: a clean drain plug does not clear a bearing, it lowers the doubt.
	Samples map[string]int64 `json:"samples"`
	// Hints are causes it speaks for or against without settling them; they
	// do not count in the order.
	Hints   []string `json:"hints"`
	Caution string   `json:"caution"` // to be read before it; "" for none
}

//go:embed catalogue.json
var embedded []byte

// CatalogueFormat is the only format read.
const CatalogueFormat = "benchtag-checks/1"

var shipped = sync.OnceValues(func() (Catalogue, error) {
	var c Catalogue
	err := json.Unmarshal(embedded, &c)
	return c, err
})

// Shipped gives the catalogue that comes with the program; it is to be read
// only. It fails only where the embedded file is broken.
func Shipped() (Catalogue, error) { return shipped() }

// Faults lists what is wrong with a catalogue, in sentences; none for a sound
// one.
func (c Catalogue) Faults() []string {
	var out []string
	say := func(ok bool, format string, args ...any) {
		if !ok {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	say(c.Format == CatalogueFormat && c.Revision > 0 && c.Notice != "", "the format, revision or notice is missing")
	for what, keys := range c.keys() {
		for i, k := range keys {
			say(k != "" && !slices.Contains(keys[:i], k), "%s %q is empty or stands twice", what, k)
		}
	}
	c.symptomFaults(say)
	c.causeFaults(say)
	c.checkFaults(say)
	slices.Sort(out)
	return out
}

type complain func(ok bool, format string, args ...any)

// keys gives the keys by what they are of.
func (c Catalogue) keys() map[string][]string {
	out := map[string][]string{}
	for _, s := range c.Symptoms {
		out["symptom"] = append(out["symptom"], s.Key)
	}
	for _, s := range c.Circumstances {
		out["circumstance"] = append(out["circumstance"], s.Key)
	}
	for _, s := range c.Openings {
		out["opening"] = append(out["opening"], s.Key)
	}
	for _, s := range c.Causes {
		out["cause"] = append(out["cause"], s.Key)
	}
	for _, s := range c.Checks {
		out["check"] = append(out["check"], s.Key)
	}
	return out
}

func (c Catalogue) symptomFaults(say complain) {
	for _, s := range c.Symptoms {
		say(s.Words != "" && slices.Contains(shop.SymptomValues(), s.Of), "symptom %s lacks words, or is of no known kind", s.Key)
		say(slices.ContainsFunc(c.Causes, func(cause Cause) bool { return cause.Weights[s.Key] > 0 }), "symptom %s has no cause", s.Key)
	}
	for _, s := range c.Circumstances {
		say(s.Words != "", "circumstance %s lacks words", s.Key)
	}
	for _, o := range c.Openings {
		say(o.Words != "" && o.Minutes >= 0 && (o.Inside == "" || slices.Contains(c.keys()["opening"], o.Inside)), "opening %s lacks words or minutes, or is inside an unknown one", o.Key)
	}
}

func (c Catalogue) causeFaults(say complain) {
	keys := c.keys()
	for _, cause := range c.Causes {
		say(cause.Words != "" && cause.Kind != "" && len(cause.Weights) > 0, "cause %s lacks words, kind or weights", cause.Key)
		for k, w := range cause.Weights {
			say(w > 0 && slices.Contains(keys["symptom"], k), "cause %s has the weight %d for symptom %q", cause.Key, w, k)
		}
		for k, percent := range cause.When {
			say(percent > 0 && slices.Contains(keys["circumstance"], k), "cause %s has %d percent in circumstance %q", cause.Key, percent, k)
		}
		say(slices.ContainsFunc(c.Checks, func(k Check) bool { return slices.Contains(k.Finds, cause.Key) || k.Samples[cause.Key] > 0 }), "no check tells cause %s", cause.Key)
	}
}

func (c Catalogue) checkFaults(say complain) {
	keys := c.keys()
	for _, check := range c.Checks {
		say(check.Words != "" && check.Do != "" && check.Minutes > 0 && len(check.Finds)+len(check.Samples) > 0, "check %s lacks words, what to do, minutes or what it finds", check.Key)
		for _, k := range slices.Concat(check.Finds, check.Hints) {
			say(slices.Contains(keys["cause"], k), "check %s tells of the unknown cause %q", check.Key, k)
		}
		for k, percent := range check.Samples {
			known := slices.Contains(keys["cause"], k) && !slices.Contains(check.Finds, k)
			say(known && percent > 0 && percent < 100, "check %s shows the cause %q at %d percent", check.Key, k, percent)
		}
		for _, k := range check.Opens {
			say(slices.Contains(keys["opening"], k), "check %s opens the unknown %q", check.Key, k)
		}
	}
}
