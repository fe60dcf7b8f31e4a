package measure

import "math"

// ChainPitch gives the pitch of a roller chain in millimetres from its number:
// ISO 606 counts sixteenths of an inch (08A, 08B: 12.7), except 05B, which is
// 8 mm; a number of three digits counts eighths by its first (428, 520, 630;
// from memory). Code name_unknown for any other.
func ChainPitch(number string) (float64, error) {
	digits := 0
	for digits < len(number) && number[digits] >= '0' && number[digits] <= '9' {
		digits++
	}
	n, ends := small(number[:digits]), number[digits:]
	switch {
	case number == "05B":
		return 8, nil
	case digits == 2 && n >= 4 && n <= 48 && (ends == "A" || ends == "B" || ends == "C"):
		return float64(n) * 25.4 / 16, nil
	case digits == 3 && n >= 200 && n < 700 && isLetters(ends):
		return float64(n/100) * 25.4 / 8, nil
	}
	return 0, problem(NameUnknown, "No chain of this number is known; give one like 08B, 10A, 428 or 520.")
}

func isLetters(s string) bool {
	for i := range len(s) {
		if s[i] < 'A' || s[i] > 'Z' {
			return false
		}
	}
	return len(s) <= 4
}

// ChainDrive is a chain over two sprockets.
type ChainDrive struct {
	Small, Large int64 // teeth, 5 to 300
}

func (d ChainDrive) check() error {
	if d.Small < 5 || d.Large > 300 || d.Small > d.Large {
		return outOfRange("Give the teeth of both sprockets, 5 to 300, the smaller one first.")
	}
	return nil
}

func (d ChainDrive) mean() float64 { return float64(d.Small+d.Large) / 2 }

// spread is ((N − n)/2π)².
func (d ChainDrive) spread() float64 {
	s := float64(d.Large-d.Small) / (2 * math.Pi)
	return s * s
}

// radii gives the pitch radii in pitches: 1/(2 sin(π/N)).
func (d ChainDrive) radii() (small, large float64) {
	return 0.5 / math.Sin(math.Pi/float64(d.Small)), 0.5 / math.Sin(math.Pi/float64(d.Large))
}

// ChainLength is a chain's length in pitches.
type ChainLength struct {
	Approximate float64 // 2C + (N + n)/2 + ((N − n)/2π)²/C
	Exact       float64 // with straight runs tangent to the pitch circles
	Links       int64   // the exact one, rounded up to an even number
}

// Length gives the chain's length for a centre distance in pitches: the usual
// formula of chain makers, and the open drive with pitch radii 1/(2 sin(π/N)),
// in which the chain lies on each sprocket by its teeth: 2 C cos φ + N(π +
// 2φ)/2π + n(π − 2φ)/2π, sin φ = (R − r)/C.
func (d ChainDrive) Length(centres float64) (ChainLength, error) {
	if err := d.check(); err != nil {
		return ChainLength{}, err
	}
	small, large := d.radii()
	if !(centres > small+large && centres <= 1000) {
		return ChainLength{}, outOfRange("The sprockets overlap, or the centre distance is above 1000 pitches; give it in pitches.")
	}
	phi := math.Asin((large - small) / centres)
	wrap := float64(d.Large)*(math.Pi+2*phi) + float64(d.Small)*(math.Pi-2*phi)
	exact := 2*centres*math.Cos(phi) + wrap/(2*math.Pi)
	return ChainLength{
		Approximate: 2*centres + d.mean() + d.spread()/centres,
		Exact:       exact,
		Links:       2 * int64(math.Ceil(exact/2-1e-9)),
	}, nil
}

// ChainCentres is a centre distance in pitches.
type ChainCentres struct {
	Approximate float64 // ¼((X − s) + √((X − s)² − 8((N − n)/2π)²)), s = (N + n)/2
	Exact       float64 // such that the exact length is that of the chain
}

// Centres gives the centre distance for a chain of so many pitches.
func (d ChainDrive) Centres(pitches float64) (ChainCentres, error) {
	if err := d.check(); err != nil {
		return ChainCentres{}, err
	}
	rest := pitches - d.mean()
	root := rest*rest - 8*d.spread()
	small, large := d.radii()
	low, high := small+large+1e-9, pitches/2
	if !(rest > 0 && root >= 0 && pitches <= 2000 && high > low) {
		return ChainCentres{}, outOfRange("A chain of this length does not go round both sprockets; check the number of pitches.")
	}
	if shortest, err := d.Length(low); err != nil || shortest.Exact > pitches {
		return ChainCentres{}, outOfRange("A chain of this length does not go round both sprockets; check the number of pitches.")
	}
	for range 60 {
		middle := (low + high) / 2
		at, err := d.Length(middle)
		if err != nil {
			return ChainCentres{}, err
		}
		if at.Exact < pitches {
			low = middle
		} else {
			high = middle
		}
	}
	return ChainCentres{Approximate: (rest + math.Sqrt(root)) / 4, Exact: high}, nil
}
