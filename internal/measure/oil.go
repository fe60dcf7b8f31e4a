package measure

import "strconv"

// ScaleNumber gives the scale number of ISO 4406 for particles per millilitre:
// the least number whose band holds them, "more than … up to and including";
// 29 stands for above the table's end. The bands as printed: 28 up to
// 2 500 000, then halves, rounded as the standard does. Code
// figure_out_of_range below nought.
func ScaleNumber(perMillilitre Decimal) (int, error) {
	if perMillilitre.negative {
		return 0, outOfRange("Give particles per millilitre, nought or more.")
	}
	count := Quantity{Value: perMillilitre, Unit: Percent} // a plain number, for comparing alone
	for n, upper := range scaleBands() {
		d, err := ParseDecimal(upper)
		if err != nil {
			return 0, err
		}
		order, err := Compare(count, Quantity{Value: d, Unit: Percent})
		if err != nil || order <= 0 {
			return n, err
		}
	}
	return len(scaleBands()), nil
}

// scaleBands lists the upper ends of scale numbers 0 to 28 (ISO 4406:1999
// table 1, read in a stored copy).
func scaleBands() []string {
	return []string{
		"0.01", "0.02", "0.04", "0.08", "0.16", "0.32", "0.64", "1.3", "2.5", "5", "10", "20", "40", "80", "160", "320", "640",
		"1300", "2500", "5000", "10000", "20000", "40000", "80000", "160000", "320000", "640000", "1300000", "2500000",
	}
}

// Cleanliness is a code of ISO 4406.
type Cleanliness struct {
	Code    string // 18/16/13; ≥ before a number of fewer than 20 particles, > 28 above the table
	Numbers []int  // at 4, 6 and 14 µm(c)
}

// Counts is what a particle counter says of one size.
type Counts struct {
	PerMillilitre Decimal
	// Counted is how many particles were seen for it; below nought for not
	// known. Below 20 the number is prefixed by ≥.
	Counted int64
}

// CleanlinessCode gives the code of two or three sizes. The counts are of all
// particles of a size and above, so that they cannot rise; code
// figure_out_of_range when they do.
func CleanlinessCode(sizes []Counts) (Cleanliness, error) {
	var out Cleanliness
	for i, s := range sizes {
		n, err := ScaleNumber(s.PerMillilitre)
		if err != nil {
			return Cleanliness{}, err
		}
		if i > 0 && float(s.PerMillilitre) > float(sizes[i-1].PerMillilitre) {
			return Cleanliness{}, outOfRange("Counts are of all particles of a size and above, so a larger size cannot count more. Give them in the order 4, 6, 14 µm(c).")
		}
		out.Numbers = append(out.Numbers, n)
		if i > 0 {
			out.Code += "/"
		}
		out.Code += scaleWords(n, s.Counted)
	}
	return out, nil
}

func scaleWords(n int, counted int64) string {
	switch {
	case n >= len(scaleBands()):
		return ">28"
	case counted >= 0 && counted < 20:
		return "≥" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}
