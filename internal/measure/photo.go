package measure

import (
	"math"
	"strconv"
)

// PhotoLength is a length taken off a photo by a scale that lies in it, in
// the same plane. Lengths are in millimetres.
type PhotoLength struct {
	// Known is the length of the scale, and KnownWithin its expanded
	// uncertainty (k = 2), 0 where it is taken for exact.
	Known, KnownWithin float64
	// KnownPixels and Pixels are the scale and the wanted length on the photo.
	KnownPixels, Pixels float64
	// EndWithin is how far off each of the four ends may be set, in pixels.
	EndWithin float64
}

// OnPhoto is what comes of a PhotoLength. It is indicative always: what lies
// nearer to the lens or slanted looks another size, which no pixel tells.
type OnPhoto struct {
	// Size and Standard are the length and its standard uncertainty, mm.
	Size, Standard float64
	// Value and Expanded (k = 2, rounded up to two significant digits) are for
	// people: Value has as many places as Expanded.
	Value, Expanded Quantity
	Working         []string
}

// Reckon gives the length: known length × pixels ÷ pixels of the known length.
//
// Each end is set somewhere within ±EndWithin pixels, rectangular (JCGM
// 100:2008, 4.3.7), and a distance has two ends; by the law of propagation (5.1.2)
//
//	u² = (L/p)² · 2 (w²/3) · (1 + (q/p)²) + (q/p)² (U/2)²
//
// with L ± U for the scale, p its pixels, q the wanted pixels and w EndWithin.
// Faults: value_out_of_range where the scale has no length.
func (p PhotoLength) Reckon() (OnPhoto, error) {
	bad := math.IsNaN(p.Known + p.KnownWithin + p.KnownPixels + p.Pixels + p.EndWithin)
	if bad || p.Known <= 0 || p.KnownPixels <= 0 || p.Pixels < 0 || p.KnownWithin < 0 || p.EndWithin < 0 {
		return OnPhoto{}, outOfRange("Give the known length and its pixels above nought.")
	}
	share := p.Pixels / p.KnownPixels
	out := OnPhoto{Size: p.Known * share}
	ends := p.Known / p.KnownPixels * math.Sqrt2 * p.EndWithin / math.Sqrt(3) * math.Sqrt(1+share*share)
	scale := share * p.KnownWithin / 2
	out.Standard = math.Hypot(ends, scale)
	if out.Size > 1e9 || out.Standard > 1e9 {
		return OnPhoto{}, outOfRange("The figures given lead to no length that anything has; check the scale.")
	}
	places := 6
	if out.Standard > 0 {
		u := roundedUp(2*out.Standard, places)
		out.Expanded, places = Quantity{Value: u, Unit: Millimetre}, int(u.scale)
	}
	d, err := ParseDecimal(strconv.FormatFloat(out.Size, 'f', places, 64))
	if err != nil {
		return OnPhoto{}, outOfRange("The figures given lead to no length that anything has; check the scale.")
	}
	out.Value = Quantity{Value: d, Unit: Millimetre}
	out.Working = p.working(out, ends, scale)
	return out, nil
}

func (p PhotoLength) working(out OnPhoto, ends, scale float64) []string {
	lines := []string{
		"Size = known length × pixels/pixels of the known length = " + figures(p.Known, 10) + " mm × " + figures(p.Pixels, 10) + "/" + figures(p.KnownPixels, 10) + " = " + figures(out.Size, 10) + " mm.",
		"Each end is set within " + figures(p.EndWithin, 6) + " pixel, rectangular: u = L/p √2 (w/√3) √(1 + (q/p)²) = " + figures(ends, 6) + " mm (JCGM 100:2008, 4.3.7 and 5.1.2).",
	}
	if p.KnownWithin > 0 {
		lines = append(lines, "The known length is known to U = "+figures(p.KnownWithin, 6)+" mm (k = 2): u = q/p · U/2 = "+figures(scale, 6)+" mm.")
	} else {
		lines = append(lines, "The known length is taken for exact; no uncertainty of it is given.")
	}
	if out.Standard > 0 {
		lines = append(lines, "U = 2 √(sum of the squares) = 2 × "+figures(out.Standard, 10)+" mm, rounded up to "+out.Expanded.String()+".")
	}
	return lines
}

// PhotoCaution is what goes with every length off a photo.
const PhotoCaution = "Taken from a photo, so indicative only: what lies nearer or slanted looks another size. Lay the scale beside it, in the same plane."
