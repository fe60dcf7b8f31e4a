package debris

import "benchtag/internal/layout"

// Result is what a sample means, alone and with those before it.
type Result struct {
	Verdict Verdict `json:"verdict"`
	// SampleVerdict is that of the sample alone; the series can only add to it.
	SampleVerdict Verdict `json:"sample_verdict"`
	Amount        Amount  `json:"amount"` // the worst of the sample
	// CoarseNew: pieces one can feel, of a material or form that no earlier
	// sample had.
	CoarseNew bool `json:"coarse_new"`
	// Falling: less than the time before at the same place, or both no more
	// than ordinary wear; for a first sample, nothing at all.
	Falling bool `json:"falling"`
	// SeriesClear: the last look of the series is taken, nothing stands from
	// before and nothing asks for more.
	SeriesClear bool `json:"series_clear"`
	// NextMoment is the next look of the series to book; "" for none.
	NextMoment Moment    `json:"next_moment"`
	Entries    []Judged  `json:"entries"`
	Oil        []OilSays `json:"oil"`
	Lab        []string  `json:"lab"`    // what the elements found point at
	Series     []Past    `json:"series"` // the earlier samples, the oldest first
	Suspects   []Suspect `json:"suspects"`
	Reasons    []string  `json:"reasons"` // of the verdict, the entries' own aside
	Asks       []string  `json:"asks"`    // what to do next, in this order
	Warnings   []string  `json:"warnings"`
}

// Judged is one sort of debris with what it means.
type Judged struct {
	What    string   `json:"what"` // in words
	Verdict Verdict  `json:"verdict"`
	Reasons []string `json:"reasons"`
	// Class is the class of wear particle that its shape and size name; "" where
	// they name none.
	Class Class `json:"class"`
}

// OilSays is what the oil itself means.
type OilSays struct {
	Oil     Oil     `json:"oil"`
	Verdict Verdict `json:"verdict"`
	Reason  string  `json:"reason"`
}

// Past is an earlier sample with what it meant alone.
type Past struct {
	Moment    Moment  `json:"moment"`
	Place     Place   `json:"place"`
	Amount    Amount  `json:"amount"`
	Verdict   Verdict `json:"verdict"`
	DealtWith string  `json:"dealt_with"`
}

// Suspect is where a material can come from.
type Suspect struct {
	Material Material `json:"material"`
	From     string   `json:"from"` // in words, for any machine
	// Components of the map that shed it and from which a way leads to where
	// it was found; the nearest first.
	Components []Named `json:"components"`
}

// Named is a component with its name.
type Named struct {
	Component layout.Key `json:"component"`
	Name      string     `json:"name"`
}
