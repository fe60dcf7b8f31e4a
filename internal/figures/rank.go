package figures

import (
	"cmp"
	"slices"
	"strconv"
)

// Mode is a way something fails, rated from 1 to 10 each: how bad, how often, and
// how hard to notice before it does harm.
type Mode struct {
	Name       string `json:"name"`
	Severity   int64  `json:"s"`
	Occurrence int64  `json:"o"`
	Detection  int64  `json:"d"`
}

// Ranked is a mode in its place.
type Ranked struct {
	Mode
	Number int64 `json:"rpn"` // S × O × D
	// Word names the severity.
	Word string `json:"severity"`
	// First says that it comes first for its severity, whatever its number.
	First bool `json:"safety_first"`
}

// SafetySeverity is the severity from which a mode comes first regardless: 9 is
// hazardous with warning, 10 without.
const SafetySeverity = 9

// Rank orders ways to fail: those of severity 9 and 10 first, worst severity
// first, then by risk priority number S × O × D (IEC 60812 and SAE J1739, names of
// severity from published tables), then by severity; equals stay as given. The
// number alone would set 10 × 2 × 3 below 7 × 6 × 4. Faults: figures.rating_outside,
// figures.rows_too_many.
func Rank(all []Mode) ([]Ranked, error) {
	out := make([]Ranked, 0, len(all))
	for i, m := range all {
		for _, rating := range []struct {
			name string
			n    int64
		}{{"s", m.Severity}, {"o", m.Occurrence}, {"d", m.Detection}} {
			if rating.n < 1 || rating.n > 10 {
				return nil, invalid("rating_outside", row("modes", i, rating.name), "Give a rating from 1 to 10, not "+strconv.FormatInt(rating.n, 10)+".")
			}
		}
		out = append(out, Ranked{m, m.Severity * m.Occurrence * m.Detection, SeverityWord(m.Severity), m.Severity >= SafetySeverity})
	}
	slices.SortStableFunc(out, compareRanked)
	return out, bounded("/modes", len(all))
}

func compareRanked(a, b Ranked) int {
	if a.First != b.First {
		return -compareBools(a.First, b.First)
	}
	if a.First {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(b.Number, a.Number))
	}
	return cmp.Or(cmp.Compare(b.Number, a.Number), cmp.Compare(b.Severity, a.Severity))
}

// SeverityWord names a severity of 1 to 10 as SAE J1739 does; "" for any other.
func SeverityWord(s int64) string {
	names := []string{"none", "very minor", "minor", "very low", "low", "moderate", "high", "very high", "hazardous with warning", "hazardous without warning"}
	if s < 1 || s > int64(len(names)) {
		return ""
	}
	return names[s-1]
}
