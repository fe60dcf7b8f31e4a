package photo_test

import (
	"math"
	"testing"

	"benchtag/internal/photo"
)

// TestSqueezeCountsPartsOfPixels: a pixel that lies across two of the new row
// counts in each by the part of it that lies there (the mean over an area; the
// numbers are reckoned by hand).
func TestSqueezeCountsPartsOfPixels(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		row  []uint8
		want []float32
	}{
		{[]uint8{0, 255, 0}, []float32{85, 85}},
		{[]uint8{90, 0, 0, 0, 30}, []float32{36, 12}},
		{[]uint8{10, 20, 30, 40}, []float32{15, 35}},
		{[]uint8{7, 7, 7, 7, 7, 7, 7}, []float32{7, 7, 7}},
		{[]uint8{10, 20}, []float32{10, 20}},
	} {
		got := photo.Squeeze(c.row, len(c.want))
		for i := range c.want {
			if math.Abs(float64(got[i]-c.want[i])) > 0.01 {
				t.Errorf("%v becomes %v, want %v", c.row, got, c.want)
				break
			}
		}
	}
}
