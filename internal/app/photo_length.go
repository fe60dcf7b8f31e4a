package app

import (
	"math"

	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

// PhotoLength is what a mark of kind length comes to by the photo's scale. It
// is indicative, whatever it says.
type PhotoLength struct {
	Mark        int // which of the photo's marks, from 0
	Length      shop.Quantity
	Uncertainty shop.Quantity // expanded, k = 2
	Working     []string
}

// markWithin is how far off a finger with a glove sets a point that a screen
// then magnifies: common practice, no source.
const markWithin = 2.0

// PhotoLengths reckons every length marked on a photo; none without a scale.
func PhotoLengths(p shop.Photo) []PhotoLength {
	ask, ok := scaleOf(p.Marks)
	if !ok {
		return nil
	}
	var out []PhotoLength
	for i, m := range p.Marks {
		if m.Kind != shop.MarkLength || len(m.Points) != 2 {
			continue
		}
		ask.Pixels = span(m)
		got, err := ask.Reckon()
		if err != nil {
			continue
		}
		out = append(out, PhotoLength{Mark: i, Length: quantityView(got.Value), Uncertainty: quantityView(got.Expanded),
			Working: append(got.Working, measure.PhotoCaution)})
	}
	return out
}

// scaleOf finds the scale among marks.
func scaleOf(marks []shop.Mark) (measure.PhotoLength, bool) {
	for _, m := range marks {
		if m.Kind != shop.MarkScale || len(m.Points) != 2 {
			continue
		}
		known, err := millimetres(m.Known)
		if err != nil {
			return measure.PhotoLength{}, false
		}
		within := 0.0
		if !m.KnownWithin.IsZero() {
			if within, err = millimetres(m.KnownWithin); err != nil {
				return measure.PhotoLength{}, false
			}
		}
		return measure.PhotoLength{Known: known, KnownWithin: within, KnownPixels: span(m), EndWithin: markWithin}, true
	}
	return measure.PhotoLength{}, false
}

func millimetres(q shop.Quantity) (float64, error) {
	got, err := quantityOf(q)
	if err != nil {
		return 0, err
	}
	nm, err := got.Nanometres()
	return float64(nm) / 1e6, err
}

func span(m shop.Mark) float64 {
	return math.Hypot(float64(m.Points[1].X-m.Points[0].X), float64(m.Points[1].Y-m.Points[0].Y))
}
