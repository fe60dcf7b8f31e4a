package document

import (
	"fmt"

	"benchtag/internal/app"
)

// MachineItems lays out the label that hangs on an open machine: how it
// stands in the largest letters that hold all of it, since what stands there
// is a warning and is never cut as long as it can be read at arm's length.
func MachineItems(l app.MachineLabel, w, h Length, m Measure) []Item {
	b := &labelling{m: m, w: w, h: h}
	pad := clamp(h/15, 1500, 6*Millimetre)
	room := w - 2*pad
	y := pad
	line := func(font Font, em Length, text string) {
		text = m.cut(font, em, room, clean(text))
		if text == "" {
			return
		}
		b.items = append(b.items, Item{Kind: KindText, X: pad, Y: y, W: room, H: parts(em, lineParts), Font: font, Em: em, Text: text})
		y += parts(em, lineParts)
	}
	line(Strong, clamp(h/7, 3*Millimetre, 12*Millimetre), fmt.Sprintf("Work order %d", l.Order))
	body := clamp(h/14, 2100, 6*Millimetre)
	line(Plain, body, l.Machine)
	line(Plain, body, keysAndBay(l))
	small := clamp(h/18, 1900, 4*Millimetre)
	foot := h - pad - parts(small, lineParts)
	b.state(l, Item{X: pad, Y: y + Millimetre/2, W: room, H: foot - y - Millimetre})
	y = foot
	line(Plain, small, "As of "+l.AsOf+". "+l.Shop)
	return b.items
}

func keysAndBay(l app.MachineLabel) string {
	text := "Keys handed in: none"
	if l.Keys > 0 {
		text = fmt.Sprintf("Keys handed in: %d", l.Keys)
	}
	if l.Bay != "" {
		text += ". Stands at: " + l.Bay
	}
	return text
}

// leastState is the smallest letter of a warning: 7 points, about the least
// that is read at arm's length (common practice, no source).
const leastState Length = 2500

func (b *labelling) state(l app.MachineLabel, box Item) {
	words := "No open work is recorded. Ask before you start it."
	if l.State != "" || l.NotToRun {
		words = stateWords(l.State, l.NotToRun)
	}
	inner := box.W - 2*Millimetre
	em := min(box.H/2, 16*Millimetre)
	lines := b.m.wrap(Strong, em, inner, words)
	for em > leastState && Length(len(lines))*parts(em, lineParts) > box.H-Millimetre {
		em -= 100
		lines = b.m.wrap(Strong, em, inner, words)
	}
	most := int(max(1, (box.H-Millimetre)/parts(em, lineParts)))
	lines, _ = b.m.fewLines(Strong, em, inner, most, words)
	b.items = append(b.items, Item{Kind: KindBar, X: box.X, Y: box.Y, W: box.W, H: box.H})
	top := box.Y + (box.H-Length(len(lines))*parts(em, lineParts))/2
	for i, line := range lines {
		b.items = append(b.items, Item{Kind: KindText, X: box.X + Millimetre, Y: top + Length(i)*parts(em, lineParts), W: inner, H: parts(em, lineParts),
			Font: Strong, Em: em, Text: line, White: true})
	}
}

// MachineLabel prints the label of an open machine, once.
func (Printer) MachineLabel(paper string, l app.MachineLabel) ([]byte, error) {
	p, err := PaperNamed(paper)
	if err != nil {
		return nil, err
	}
	pdf := page(p.LabelW, p.LabelH, fmt.Sprintf("Work order %d", l.Order))
	pdf.AddPage()
	for _, it := range MachineItems(l, p.LabelW, p.LabelH, width(pdf)) {
		drawItem(pdf, Place{}, it)
	}
	return bytesOf(pdf)
}
