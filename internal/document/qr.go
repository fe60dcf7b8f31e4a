package document

import (
	"fmt"

	"rsc.io/qr"
)

// Rules for a QR code that a phone reads from a greasy bag.
const (
	// QuietModules is the white border on every side, in modules (ISO/IEC
	// 18004, quiet zone of a QR code: 4).
	QuietModules = 4
	// LeastModule is the smallest module we print: below about a third of a
	// millimetre a workshop printer of 203 dpi has fewer than three dots for
	// it (common practice, no source).
	LeastModule Length = 330
)

// Matrix is a QR code without its quiet zone.
type Matrix struct{ code *qr.Code }

// MatrixOf encodes text with error correction M, which survives a smear over
// about a seventh of the code (ISO/IEC 18004: 15 %).
func MatrixOf(text string) (Matrix, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return Matrix{}, fmt.Errorf("document: QR code: %w", err)
	}
	return Matrix{code}, nil
}

// Size is the number of modules of a side.
func (m Matrix) Size() int { return m.code.Size }

// Black reports whether the module in that column and row is dark.
func (m Matrix) Black(x, y int) bool { return m.code.Black(x, y) }

// dot is one dot of a printer of 203 dpi, the commonest for labels.
const dot = Inch / 203

// module is how large a module gets where code and quiet zone have to fit
// into a square: whole dots, so that a label printer draws all of them alike,
// as long as that is large enough.
func (m Matrix) module(side Length) Length {
	module := side / Length(m.Size()+2*QuietModules)
	if whole := module / dot * dot; whole >= LeastModule {
		return whole
	}
	return module
}

// Scannable picks the longer text where its modules are large enough in a
// square of that side, else the shorter.
func Scannable(long, short string, side Length) (Matrix, error) {
	m, err := MatrixOf(long)
	if err == nil && m.module(side) >= LeastModule {
		return m, nil
	}
	return MatrixOf(short)
}
