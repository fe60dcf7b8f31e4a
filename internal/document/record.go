package document

import (
	"strings"

	"benchtag/internal/app"
)

// Measures of a record: a column for the names of facts, one for the facts,
// and amounts at the right edge.
const (
	recordEm    = 2950 // 8.4 points
	recordNames = 34 * Millimetre
	recordGap   = 600
)

// RecordSheet prints the record of an answer. Nothing of it is cut, and every
// page says which record it is of and how many pages there are.
func (Printer) RecordSheet(paper string, s app.RecordSheet) ([]byte, error) {
	return counted(func(of int) (*flow, error) {
		f, err := newFlowOf(paper, clean(s.Title+", number "+s.Name), of)
		if err != nil {
			return nil, err
		}
		f.record(s)
		return f, nil
	})
}

func (f *flow) record(s app.RecordSheet) {
	f.put(Plain, recordEm, 0, s.From)
	f.gap(Millimetre)
	f.put(Strong, 5*Millimetre, 0, s.Title)
	f.put(Strong, sheetHead, 0, s.Answer)
	f.gap(Millimetre)
	for _, n := range s.Notices {
		f.warn(n)
	}
	for _, p := range s.Parts {
		f.section(p.Title)
		for _, r := range p.Rows {
			f.fact(r)
		}
	}
	f.gap(3 * Millimetre)
	for _, n := range s.Notes {
		f.put(Plain, sheetSmall, 0, n)
	}
}

// fact prints one row: its name, its words beside it, an amount at the right.
func (f *flow) fact(r app.WordRow) {
	if r.Name == "" {
		for line := range strings.Lines(r.Words) {
			f.put(Plain, sheetSmall, 0, line)
		}
		return
	}
	names := f.m.wrap(Strong, recordEm, recordNames-Millimetre, clean(r.Name))
	room := f.room() - recordNames
	if r.Sum != "" {
		room -= f.m(Plain, recordEm, clean(r.Sum)) + 3*Millimetre
	}
	var words []string
	for line := range strings.Lines(r.Words) {
		words = append(words, f.m.wrap(Plain, recordEm, room, clean(line))...)
	}
	for i := range max(len(names), len(words), 1) {
		f.need(parts(recordEm, lineParts))
		if i < len(names) {
			f.text(Strong, 0, names[i])
		}
		if i < len(words) {
			f.text(Plain, recordNames, words[i])
		}
		if i == 0 && r.Sum != "" {
			f.text(Plain, f.room()-f.m(Plain, recordEm, clean(r.Sum)), clean(r.Sum))
		}
		f.y += parts(recordEm, lineParts)
	}
	f.gap(recordGap)
}

// text puts one line of a record where it is now.
func (f *flow) text(font Font, indent Length, words string) {
	drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin + indent, Y: f.y, Font: font, Em: recordEm, Text: words})
}
