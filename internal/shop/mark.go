package shop

// MarkKind says what a mark on a photo is.
type MarkKind string

// The kinds of mark.
const (
	MarkArrow  MarkKind = "arrow"  // from the first point to the second
	MarkCircle MarkKind = "circle" // round the first point, through the second
	MarkLine   MarkKind = "line"   // from point to point
	MarkText   MarkKind = "text"   // words at a point
	MarkScale  MarkKind = "scale"  // two points whose distance is known
	MarkLength MarkKind = "length" // two points whose distance is wanted
)

// MarkKindValues lists every value of MarkKind.
func MarkKindValues() []MarkKind {
	return []MarkKind{MarkArrow, MarkCircle, MarkLine, MarkText, MarkScale, MarkLength}
}

// Points says how many points a mark of the kind has; 0 for an unknown one.
func (k MarkKind) Points() int {
	switch k {
	case MarkArrow, MarkCircle, MarkLine, MarkScale, MarkLength:
		return 2
	case MarkText:
		return 1
	}
	return 0
}

// Mark is something drawn on a photo. It is kept as data, so that the photo
// itself stays as it was taken.
type Mark struct {
	Kind   MarkKind    `json:"kind"`
	Points []MarkPoint `json:"points"`
	// Text is what a text says, or a short label of another mark.
	Text string `json:"text"`
	// Known is the length that a scale shows; no data for other marks.
	Known Quantity `json:"known"`
	// KnownWithin is the expanded uncertainty of Known (k = 2); no data where
	// it was taken for exact.
	KnownWithin Quantity `json:"known_within"`
}

// MarkPoint is a place on the stored, upright copy: pixels from the left and
// from the top.
type MarkPoint struct {
	X int64 `json:"x"`
	Y int64 `json:"y"`
}
