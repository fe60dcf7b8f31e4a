// Package checks says which quick look comes first when a complaint may have
// many causes: the probability of each, from example weights and a shop's own
// closed jobs, and the order of looks with the least expected cost.
//
// It decides an order. It does not say what is wrong with a machine: a cause
// stays a guess until somebody has seen it, and the catalogue's weights and
// minutes are invented.
package checks

import (
	"math"
	"math/big"
	"strconv"
)

// Figure is a number of the result: as JSON, decimal text of at most ten
// significant digits.
type Figure float64

// String gives decimal text without an exponent.
func (f Figure) String() string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(float64(f), 'e', 9, 64), 64)
	if err != nil || rounded == 0 || math.IsNaN(rounded) || math.IsInf(rounded, 0) {
		return "0"
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// MarshalText is String.
func (f Figure) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// figure rounds an exact number.
func figure(r *big.Rat) Figure {
	f, _ := r.Float64()
	return Figure(f)
}

// Chance is a cause with its probability. One cause is there, or none of
// those named: the probabilities add up to 1 at most.
type Chance struct {
	Key    string
	P      *big.Rat // 0 to 1
	Repair *big.Rat // cost of putting it right, 0 and up; nil for 0
}

// Task is a check as the order sees it.
type Task struct {
	Key  string
	Cost *big.Rat // 0 and up, in minutes or money; opening up not included
	// Finds are the causes it shows if they are there, and rules out if not.
	Finds []string
	// Opens are the openings it takes.
	Opens []string
}

// Opening is something to open that several checks may share. It is paid
// once, at the first check that needs it.
type Opening struct {
	Key    string
	Cost   *big.Rat // to open and to close, 0 and up
	Inside string   // the opening that must come first; "" for none
}

// Problem is what to put in order. Keys of causes, checks and openings are
// each unique.
type Problem struct {
	Causes   []Chance
	Tasks    []Task
	Openings []Opening
}

// Method is how an order was found.
type Method string

// The methods.
const (
	// ByRatio sorts by probability over cost (Kadane and Simon 1977), with
	// openings from the bottom up (Ottosen, arXiv 1203.3502; the same rule as
	// Horn's of 1972 for jobs that wait for one other). It is exact where no
	// two checks find one cause and each opens one chain of openings.
	ByRatio Method = "by_ratio"
	// AllOrders compares all orders (over sets, as Held and Karp 1962), exact.
	AllOrders Method = "all_orders"
	// ByTrial takes the best ratio at each turn and improves by moving
	// single checks. It is not proven least.
	ByTrial Method = "by_trial"
)

// Methods lists them all.
func Methods() []Method { return []Method{ByRatio, AllOrders, ByTrial} }

// Sequence is an order of checks with what it is expected to cost.
type Sequence struct {
	Turns []Turn `json:"turns"`
	// Expected is the expected cost: each turn's cost times the probability
	// that no check before it has found the cause.
	Expected Figure `json:"expected"`
	// Repair is the expected cost of putting it right, whatever the order:
	// the sum of p times r.
	Repair Figure `json:"repair"`
	Total  Figure `json:"total"` // expected and repair
	// Missed is the probability that none of the checks finds the cause.
	Missed Figure `json:"missed"`
}

// Turn is one check in its place.
type Turn struct {
	Check   string   `json:"check"`
	Opens   []string `json:"opens"`   // opened for it here, in order
	Open    Figure   `json:"open"`    // probability that the cause is still open
	Opening Figure   `json:"opening"` // cost of what is opened here
	Cost    Figure   `json:"cost"`    // of the check itself
	P       Figure   `json:"p"`       // that it finds the cause, of what is still open
	// Ratio is p over the check's own cost; "" where that is 0.
	Ratio string `json:"ratio"`
	Adds  Figure `json:"adds"` // open times (opening and cost)
}
