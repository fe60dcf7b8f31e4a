package document

import (
	"benchtag/internal/app"
	"benchtag/internal/fault"
)

// Paper is something labels are printed on: a sheet with a grid of them, or
// a roll with one a page. Papers are named by their measures alone.
type Paper struct {
	Name           string
	Width, Height  Length // of the page
	LabelW, LabelH Length
	Columns, Rows  int
	GapX, GapY     Length // between labels
	Roll           bool
}

// Sheet sizes: ISO 216 A4, and US Letter (ANSI/ASME Y14.1, from memory).
const (
	a4Width, a4Height         = 210 * Millimetre, 297 * Millimetre
	letterWidth, letterHeight = 17 * Inch / 2, 11 * Inch
)

// Papers lists what labels can be printed on. The grids are centred on the
// page; stock that is cut otherwise is met by margins and gaps.
func Papers() []Paper {
	a4 := func(name string, w, h Length, columns, rows int, gapX Length) Paper {
		return Paper{Name: name, Width: a4Width, Height: a4Height, LabelW: w, LabelH: h, Columns: columns, Rows: rows, GapX: gapX}
	}
	letter := func(name string, w, h Length, columns, rows int, gapX Length) Paper {
		return Paper{Name: name, Width: letterWidth, Height: letterHeight, LabelW: w, LabelH: h, Columns: columns, Rows: rows, GapX: gapX}
	}
	roll := func(name string, w, h Length) Paper {
		return Paper{Name: name, Width: w, Height: h, LabelW: w, LabelH: h, Columns: 1, Rows: 1, Roll: true}
	}
	return []Paper{
		a4("a4-70x37mm", 70*Millimetre, 37*Millimetre, 3, 8, 0),
		a4("a4-64x34mm", 64*Millimetre, 34*Millimetre, 3, 8, 2500),
		a4("a4-99x68mm", 99*Millimetre, 68*Millimetre, 2, 4, 2500),
		a4("a4-105x74mm", 105*Millimetre, 74*Millimetre, 2, 4, 0),
		letter("letter-2.625x1in", 21*Inch/8, Inch, 3, 10, Inch/8),
		letter("letter-4x2in", 4*Inch, 2*Inch, 2, 5, 3*Inch/16),
		letter("letter-4x3.33in", 4*Inch, 10*Inch/3, 2, 3, 3*Inch/16),
		roll("roll-50x25mm", 50*Millimetre, 25*Millimetre),
		roll("roll-57x32mm", 57*Millimetre, 32*Millimetre),
		roll("roll-62x29mm", 62*Millimetre, 29*Millimetre),
		roll("roll-100x50mm", 100*Millimetre, 50*Millimetre),
		roll("roll-100x62mm", 100*Millimetre, 62*Millimetre),
		{Name: "a6", Width: 148 * Millimetre, Height: 105 * Millimetre, LabelW: 148 * Millimetre, LabelH: 105 * Millimetre, Columns: 1, Rows: 1, Roll: true},
	}
}

// PaperNamed finds a paper. Fault: document.paper_unknown.
func PaperNamed(name string) (Paper, error) {
	for _, p := range Papers() {
		if p.Name == name {
			return p, nil
		}
	}
	return Paper{}, fault.Invalid("document.paper_unknown", "paper", "There is no such paper for labels; the contract lists them by their measures.")
}

// Place is where one label goes: on which page, from 0, and its upper left
// corner.
type Place struct {
	Page int
	X, Y Length
}

// Grid is a paper with margins and gaps as they will be printed.
type Grid struct {
	Paper
	Left, Top Length
	Start     int // first place used on the first page, from 0
}

// GridOf lays the grid of a sheet. Faults: document.paper_unknown,
// document.sheet_start, document.sheet_does_not_fit.
func GridOf(sheet app.LabelSheet) (Grid, error) {
	p, err := PaperNamed(sheet.Paper)
	if err != nil {
		return Grid{}, err
	}
	p.GapX, p.GapY = orElse(sheet.GapX, p.GapX), orElse(sheet.GapY, p.GapY)
	wide := Length(p.Columns)*p.LabelW + Length(p.Columns-1)*p.GapX
	high := Length(p.Rows)*p.LabelH + Length(p.Rows-1)*p.GapY
	g := Grid{Paper: p, Left: orElse(sheet.MarginLeft, (p.Width-wide)/2), Top: orElse(sheet.MarginTop, (p.Height-high)/2)}
	if g.Left < 0 || g.Top < 0 || p.GapX < 0 || p.GapY < 0 || g.Left+wide > p.Width || g.Top+high > p.Height {
		return Grid{}, fault.Invalid("document.sheet_does_not_fit", "margin_left", "With these margins and gaps the labels leave the page; make them smaller.")
	}
	g.Start = int(max(sheet.Start, 1)) - 1
	if g.Start >= p.Columns*p.Rows {
		return Grid{}, fault.Invalid("document.sheet_start", "start", "The sheet has fewer labels than that; count from 1, row by row.")
	}
	return g, nil
}

func orElse(given *int64, own Length) Length {
	if given != nil {
		return Length(*given)
	}
	return own
}

// At gives the place of the n-th label, from 0, row by row.
func (g Grid) At(n int) Place {
	each := g.Columns * g.Rows
	n += g.Start
	row, column := n%each/g.Columns, n%each%g.Columns
	return Place{Page: n / each, X: g.Left + Length(column)*(g.LabelW+g.GapX), Y: g.Top + Length(row)*(g.LabelH+g.GapY)}
}
