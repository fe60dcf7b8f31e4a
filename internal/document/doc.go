// Package document prints papers: labels of tags, the label of an open
// machine, the sheet for the bench. It gets everything as values and decides
// what stands where; what is true is decided before it.
//
// The same values give the same bytes: no clock, no chance, fixed dates in
// the file. Everything is black on white, since it must survive a copier and
// a workshop printer; what differs, differs by shape, size and words.
package document

import (
	"bytes"
	"fmt"
	"strings"
	"time"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationmonobold"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"benchtag/internal/app"
)

// Length is a length on paper in micrometres: whole numbers hold both whole
// millimetres and fractions of an inch to a thousandth (25.4 µm).
type Length int64

// Units of Length.
const (
	Millimetre Length = 1000
	Inch       Length = 25400
)

// mm gives the length in the unit that the PDF is drawn in.
func (l Length) mm() float64 { return float64(l) / float64(Millimetre) }

// Font is one of the three faces on our papers.
type Font string

// The faces: running text, what matters, and codes, whose characters stand
// apart and cannot be taken for one another.
const (
	Plain  Font = "plain"
	Strong Font = "strong"
	Code   Font = "code"
)

// Printer makes papers; it implements app.Papers.
type Printer struct{}

var _ app.Papers = Printer{}

// page starts a file of pages of one size.
func page(width, height Length, title string) *fpdf.Fpdf {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: width.mm(), Ht: height.mm()}})
	pdf.SetCatalogSort(true)
	epoch := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	pdf.SetCreationDate(epoch)
	pdf.SetModificationDate(epoch)
	pdf.SetProducer("Benchtag", true)
	pdf.SetTitle(clean(title), true)
	pdf.SetLang("en")
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes(string(Plain), "", liberationsansregular.TTF)
	pdf.AddUTF8FontFromBytes(string(Strong), "", liberationsansbold.TTF)
	pdf.AddUTF8FontFromBytes(string(Code), "", liberationmonobold.TTF)
	return pdf
}

// bytesOf ends a file.
func bytesOf(pdf *fpdf.Fpdf) ([]byte, error) {
	var out bytes.Buffer
	if err := pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("document: %w", err)
	}
	return out.Bytes(), nil
}

// lastDrawn is the last rune that the fonts' tables reach: one beyond it
// would fail the whole file.
const lastDrawn = '\uffff'

// clean makes text fit to print on one line: control characters and line
// breaks become blanks, what cannot be drawn a question mark.
func clean(text string) string {
	mapped := strings.Map(func(r rune) rune {
		switch {
		case r > lastDrawn, r == unicode.ReplacementChar:
			return '?'
		case unicode.IsControl(r), r == '\u2028', r == '\u2029', unicode.Is(unicode.Bidi_Control, r):
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
	return strings.Join(strings.Fields(mapped), " ")
}

// width measures a line; it is Measure bound to a file.
func width(pdf *fpdf.Fpdf) Measure {
	return func(font Font, em Length, text string) Length {
		pdf.SetFont(string(font), "", points(em))
		return Length(pdf.GetStringWidth(text)*float64(Millimetre)) + 1
	}
}

// points gives a size in points, 1/72 inch.
func points(em Length) float64 { return float64(em) * 72 / float64(Inch) }

// Measure tells how wide a text is in a face whose em is that high.
type Measure func(font Font, em Length, text string) Length

const ellipsis = "…"

// cut shortens text with an ellipsis until it is no wider than room; where
// not even that fits, nothing is left.
func (m Measure) cut(font Font, em, room Length, text string) string {
	if m(font, em, text) <= room {
		return text
	}
	runes := []rune(text)
	low, high := 0, len(runes)
	for low < high {
		mid := (low + high + 1) / 2
		if m(font, em, shortened(runes[:mid])) <= room {
			low = mid
		} else {
			high = mid - 1
		}
	}
	if low == 0 {
		return ""
	}
	return shortened(runes[:low])
}

func shortened(runes []rune) string {
	return strings.TrimRight(string(runes), " ,;:.") + ellipsis
}

// wrap breaks text into lines no wider than room, at blanks where there are
// any; a word wider than that is broken.
func (m Measure) wrap(font Font, em, room Length, text string) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		longer := strings.TrimSpace(line + " " + word)
		if m(font, em, longer) <= room {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		var broken []string
		broken, line = m.breakWord(font, em, room, word)
		lines = append(lines, broken...)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// breakWord breaks a word that is wider than a line; rest begins the next.
func (m Measure) breakWord(font Font, em, room Length, word string) (lines []string, rest string) {
	runes := []rune(word)
	for len(runes) > 1 && m(font, em, string(runes)) > room {
		n := 1
		for n < len(runes)-1 && m(font, em, string(runes[:n+1])) <= room {
			n++
		}
		lines, runes = append(lines, string(runes[:n])), runes[n:]
	}
	return lines, string(runes)
}

// fewLines is wrap with at most so many lines; the last says with an ellipsis
// that there is more. whole reports that there is not.
func (m Measure) fewLines(font Font, em, room Length, most int, text string) (lines []string, whole bool) {
	lines = m.wrap(font, em, room, text)
	if len(lines) <= most {
		return lines, true
	}
	if most == 0 {
		return nil, false
	}
	rest := strings.Join(lines[most-1:], " ")
	lines = append(lines[:most-1:most-1], m.cut(font, em, room, rest))
	return lines, false
}
