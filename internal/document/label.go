package document

import (
	"fmt"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"benchtag/internal/app"
)

// Kind says what an item of a label is.
type Kind string

// The kinds of item.
const (
	KindText Kind = "text"
	KindRule Kind = "rule" // a line to write on
	KindBar  Kind = "bar"  // black, for white text upon it
	KindCode Kind = "code" // the QR code with its quiet zone
)

// Item is one thing on a label, measured from the label's upper left corner.
type Item struct {
	Kind       Kind
	X, Y, W, H Length
	Font       Font
	Em         Length
	Text       string
	White      bool // white on a bar
}

// How lines of text stand: their height and where their baseline is, in
// parts of the em. Capital letters of a code have nothing below the baseline.
const (
	lineParts, baseParts         = 118, 92
	codeLineParts, codeBaseParts = 92, 76
	codeWidthParts               = 310 // five characters of 60 and a little air
)

func parts(em Length, hundredths Length) Length { return em * hundredths / 100 }

// labelling lays one label out.
type labelling struct {
	m     Measure
	w, h  Length
	items []Item
}

func clamp(l, least, most Length) Length { return max(least, min(l, most)) }

// TagItems lays out the label of a tag: its code as large as it can be, the
// QR code beside it, and what is known of it in the order of what is missed
// most. An open machine's state runs along the foot, since every label of
// such a machine says so.
func TagItems(l app.TagLabel, w, h Length, m Measure) []Item {
	b := &labelling{m: m, w: w, h: h}
	pad := clamp(h/15, 1500, 3*Millimetre)
	foot := h - pad
	if l.State != "" {
		foot = b.stateBar(stateWords(l.State, false), pad)
	}
	side := min(foot-pad, 32*Millimetre, (w-2*pad)*45/100)
	b.items = append(b.items, Item{Kind: KindCode, X: pad, Y: pad, W: side, H: side})
	column := Item{X: pad + side + Millimetre, Y: pad, W: w - 2*pad - side - Millimetre, H: foot - pad}
	em := min(column.W*100/codeWidthParts, column.H*38/100, 16*Millimetre)
	code := Item{Kind: KindText, X: column.X, Y: column.Y, W: column.W, H: parts(em, codeLineParts), Font: Code, Em: em, Text: string(l.Code)}
	b.items = append(b.items, code)
	column.Y, column.H = column.Y+code.H, column.H-code.H
	if l.Unused {
		b.lines(l, column)
		return b.items
	}
	b.words(l, column)
	return b.items
}

// stateBar puts the state of an open machine at the foot and gives the
// height at which the rest has to end. What must not be done comes first, so
// that no cut can lose it.
func (b *labelling) stateBar(words string, pad Length) (foot Length) {
	most := 2
	if b.h > 45*Millimetre {
		most = 3
	}
	em := clamp(b.h/13, 2100, 4*Millimetre)
	room := b.w - 2*pad
	lines, whole := b.m.fewLines(Strong, em, room, most, words)
	for !whole && em > 1900 {
		em -= 100
		lines, whole = b.m.fewLines(Strong, em, room, most, words)
	}
	high := Length(len(lines))*parts(em, lineParts) + Millimetre
	top := b.h - pad - high
	b.items = append(b.items, Item{Kind: KindBar, X: pad / 2, Y: top, W: b.w - pad, H: high + pad/2})
	for i, line := range lines {
		b.items = append(b.items, Item{Kind: KindText, X: pad, Y: top + Millimetre/2 + Length(i)*parts(em, lineParts), W: room, H: parts(em, lineParts),
			Font: Strong, Em: em, Text: line, White: true})
	}
	return top - Millimetre/2
}

const doNotStart = "do not start"

// indexFold finds words of plain letters in a text whatever their case, by
// places in the text as it is: lower-casing it whole could move them.
func indexFold(text, words string) int {
	for i := range text {
		if i+len(words) <= len(text) && strings.EqualFold(text[i:i+len(words)], words) {
			return i
		}
	}
	return -1
}

// stateWords says how an open machine stands, a ban first.
func stateWords(state string, notToRun bool) string {
	state = clean(state)
	at := indexFold(state, doNotStart)
	if at < 0 && !notToRun {
		return "OPEN: " + state
	}
	rest := state
	if at >= 0 {
		rest = strings.Trim(state[:at], " ,;.")
		if after := strings.Trim(state[at+len(doNotStart):], " ,;."); after != "" {
			rest = strings.Trim(rest+"; "+after, " ;")
		}
	}
	if rest == "" {
		return "DO NOT START"
	}
	return "DO NOT START: " + rest
}

// text is one line of a label's words, with how many lines it may take.
type text struct {
	font  Font
	words string
	lines int
}

// words puts down what is known of a tag, as much as there is room for.
func (b *labelling) words(l app.TagLabel, column Item) {
	em := clamp(column.H/6, 2000, 4200)
	room := int(column.H / parts(em, lineParts))
	head := fmt.Sprintf("Work order %d, tag %d", l.Order, l.Number)
	if b.m(Strong, em, head) > column.W {
		head = fmt.Sprintf("WO %d, tag %d", l.Order, l.Number)
	}
	all := []text{{Strong, head, 1}, {Plain, l.Holds, 1}, {Plain, l.Machine, 1}, {Plain, before("At: ", l.Lying), 1}, {Plain, before("From: ", l.FromWhere), 1}, {Plain, l.Shop, 1}}
	kept := []text{}
	for _, t := range all {
		if t.words = clean(t.words); t.words != "" && len(kept) < room {
			kept = append(kept, t)
		}
	}
	spare := room - len(kept)
	y := column.Y
	for _, t := range kept {
		lines, _ := b.m.fewLines(t.font, em, column.W, 1+spare, t.words)
		spare -= max(len(lines)-1, 0)
		for _, line := range lines {
			b.items = append(b.items, Item{Kind: KindText, X: column.X, Y: y, W: column.W, H: parts(em, lineParts), Font: t.font, Em: em, Text: line})
			y += parts(em, lineParts)
		}
	}
}

func before(label, words string) string {
	if words == "" {
		return ""
	}
	return label + words
}

// lines puts down lines to write on, and whose label it is.
func (b *labelling) lines(l app.TagLabel, column Item) {
	em := clamp(column.H/10, 1800, 3*Millimetre)
	captions := []string{"Order", "What", "Place"}
	below := parts(em, lineParts-baseParts) // what a caption has below its line
	foot := parts(em, lineParts) + below
	each := (column.H - foot) / Length(len(captions))
	y := column.Y
	for _, c := range captions {
		y += each
		wide := b.m(Plain, em, c)
		b.items = append(b.items,
			Item{Kind: KindText, X: column.X, Y: y + below - parts(em, lineParts), W: wide, H: parts(em, lineParts), Font: Plain, Em: em, Text: c},
			Item{Kind: KindRule, X: column.X + wide + Millimetre, Y: y, W: column.W - wide - Millimetre, H: 0})
	}
	whose := b.m.cut(Plain, em, column.W, clean(l.Shop))
	if whose != "" {
		b.items = append(b.items, Item{Kind: KindText, X: column.X, Y: y + below, W: column.W, H: parts(em, lineParts), Font: Plain, Em: em, Text: whose})
	}
}

// TagLabels prints labels of tags on sheets or a roll.
func (Printer) TagLabels(sheet app.LabelSheet, labels []app.TagLabel) ([]byte, error) {
	g, err := GridOf(sheet)
	if err != nil {
		return nil, err
	}
	pdf := page(g.Width, g.Height, "Labels")
	m := width(pdf)
	at := -1
	for n, l := range labels {
		place := g.At(n)
		for ; at < place.Page; at++ {
			pdf.AddPage()
		}
		if err := drawLabel(pdf, place, l, TagItems(l, g.LabelW, g.LabelH, m)); err != nil {
			return nil, err
		}
	}
	if at < 0 {
		pdf.AddPage()
		drawItem(pdf, Place{}, Item{Kind: KindText, X: 5 * Millimetre, Y: 5 * Millimetre, Font: Plain, Em: 4 * Millimetre, Text: "No tags."})
	}
	return bytesOf(pdf)
}

func drawLabel(pdf *fpdf.Fpdf, place Place, l app.TagLabel, items []Item) error {
	for _, it := range items {
		if it.Kind != KindCode {
			drawItem(pdf, place, it)
			continue
		}
		matrix, err := Scannable(l.Scan, l.ScanShort, it.W)
		if err != nil {
			return err
		}
		drawMatrix(pdf, place, it, matrix)
	}
	return nil
}

func drawItem(pdf *fpdf.Fpdf, place Place, it Item) {
	x, y := (place.X + it.X).mm(), (place.Y + it.Y).mm()
	switch it.Kind {
	case KindRule:
		pdf.SetLineWidth(0.15)
		pdf.Line(x, y, x+it.W.mm(), y)
	case KindBar:
		pdf.SetFillColor(0, 0, 0)
		pdf.Rect(x, y, it.W.mm(), it.H.mm(), "F")
	case KindText:
		base := parts(it.Em, baseParts)
		if it.Font == Code {
			base = parts(it.Em, codeBaseParts)
		}
		shade := 0
		if it.White {
			shade = 255
		}
		pdf.SetTextColor(shade, shade, shade)
		pdf.SetFont(string(it.Font), "", points(it.Em))
		pdf.Text(x, y+base.mm(), it.Text)
	}
}

// drawMatrix draws a QR code into its square, the quiet zone left white; dark
// modules that touch in a row are one rectangle.
func drawMatrix(pdf *fpdf.Fpdf, place Place, it Item, m Matrix) {
	module := m.module(it.W)
	spare := (it.W - Length(m.Size())*module) / 2
	left, top := (place.X+it.X+spare)/dot*dot, (place.Y+it.Y+spare)/dot*dot
	pdf.SetFillColor(0, 0, 0)
	for y := range m.Size() {
		for x := 0; x < m.Size(); x++ {
			run := 0
			for x+run < m.Size() && m.Black(x+run, y) {
				run++
			}
			if run > 0 {
				pdf.Rect((left + Length(x)*module).mm(), (top + Length(y)*module).mm(), (Length(run) * module).mm(), module.mm(), "F")
				x += run
			}
		}
	}
}
