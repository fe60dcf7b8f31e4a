package measure

import "strconv"

// base gives ten to the scale times the quantity, counted in the base of
// its dimension: exact, whole.
func (q Quantity) base() signed {
	f := q.Unit.facts()
	count := signed{wide{q.Value.digits}.times(f.factor), q.Value.negative}
	return count.plus(offset(f.offset, int(q.Value.scale)))
}

func offset(of int64, scale int) signed {
	if of < 0 {
		return signed{wide{uint64(-of)}.times(pow10(scale)), true}
	}
	return signed{wide{uint64(of)}.times(pow10(scale)), false}
}

// Convert gives the quantity in another unit of its dimension. The result
// is computed exactly and rounded once, halves to even, to 18 significant
// digits or 12 behind the mark, whichever comes first; trailing zeros are
// dropped, for they would not be digits that were read. A quantity already
// in the unit is returned as it is; Entered stays what was typed. Faults:
// unit_unknown, unit_incompatible, value_out_of_range (18 digits before
// the mark are not enough).
//
// A temperature is a point on the scale, not a difference of two.
func Convert(q Quantity, to Unit) (Quantity, error) {
	if q.Unit == to && to.Known() {
		return q, nil
	}
	err := together(q.Unit, to)
	if err != nil {
		return Quantity{}, err
	}
	target := to.facts()
	scale := int(q.Value.scale)
	count := q.base().plus(offset(-target.offset, scale))
	for places := maxScale; places >= 0; places-- {
		size := quotient{count.size.times(pow10(places)), target.factor, pow10(scale)}.nearest()
		if size.cmp(wide{pow10(maxDigits)}) < 0 {
			value := Decimal{negative: count.negative && size[0] != 0, digits: size[0], scale: uint8(places)}
			return Quantity{Value: value.trimmed(), Unit: to, Entered: q.Entered}, nil
		}
	}
	return Quantity{}, problem(ValueOutOfRange, "This value is too large to write in "+to.Symbol()+".")
}

// together reports a fault unless both units are known and of one dimension.
func together(a, b Unit) error {
	for _, u := range []Unit{a, b} {
		if !u.Known() {
			return unknownUnit(string(u))
		}
	}
	if a.Dimension() != b.Dimension() {
		return problem(UnitIncompatible, "A "+string(a.Dimension())+" in "+a.Symbol()+" cannot be read as a "+
			string(b.Dimension())+" in "+b.Symbol()+". Check the unit.")
	}
	return nil
}

// Compare gives -1, 0 or +1 as a is less than, equal to or greater than b,
// exactly, whatever their units. Faults: unit_unknown, unit_incompatible.
func Compare(a, b Quantity) (int, error) {
	err := together(a.Unit, b.Unit)
	if err != nil {
		return 0, err
	}
	left, right := a.base(), b.base()
	left.size = left.size.times(pow10(int(b.Value.scale)))
	right.size = right.size.times(pow10(int(a.Value.scale)))
	return left.cmp(right), nil
}

// Nanometres gives a length in whole nanometres, to the nearest, halves to
// even (rule A of ISO 80000-1 annex B, from memory). Faults: unit_unknown,
// unit_incompatible for what is no length, value_out_of_range beyond
// 9 million kilometres.
func (q Quantity) Nanometres() (int64, error) {
	err := together(q.Unit, Millimetre)
	if err != nil {
		return 0, err
	}
	count := q.base()
	size := quotient{count.size, 1, pow10(int(q.Value.scale))}.nearest()
	if size.cmp(wide{1 << 63}) >= 0 {
		return 0, problem(ValueOutOfRange, "This length is too large. Check the unit.")
	}
	if count.negative {
		return -int64(size[0]), nil
	}
	return int64(size[0]), nil
}

// FromNanometres gives whole nanometres as a length in millimetres with six
// places, for figures that were computed rather than typed. Faults:
// value_out_of_range beyond 18 digits (a million kilometres).
func FromNanometres(nm int64) (Quantity, error) {
	size := strconv.FormatInt(nm, 10)
	d, err := ParseDecimal(size)
	if err != nil {
		return Quantity{}, problem(ValueOutOfRange, "This length is too large.")
	}
	d.scale = 6
	return Quantity{Value: d, Unit: Millimetre}, nil
}
