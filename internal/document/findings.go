package document

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"

	"benchtag/internal/app"
)

// Measures of a photo on paper: at most so large, its words beside it.
const (
	photoWide = 100 * Millimetre
	photoHigh = 72 * Millimetre
)

// FindingsSheet prints what was found on a job. A warning stands before
// everything else, and nothing is cut.
func (Printer) FindingsSheet(paper string, s app.FindingsSheet) ([]byte, error) {
	return counted(func(of int) (*flow, error) {
		f, err := newFlowOf(paper, clean(fmt.Sprintf("What was found, work order %d, %s. As of %s", s.Order, s.Machine, s.AsOf)), of)
		if err != nil {
			return nil, err
		}
		f.found(s)
		return f, nil
	})
}

func (f *flow) found(s app.FindingsSheet) {
	f.put(Plain, recordEm, 0, s.From)
	f.gap(Millimetre)
	f.put(Strong, 6*Millimetre, 0, "What we found")
	f.put(Strong, sheetHead, 0, fmt.Sprintf("Work order %d: %s", s.Order, s.Job))
	f.put(Plain, sheetEm, 0, s.Machine)
	f.gap(Millimetre)
	if len(s.Unsafe) > 0 {
		f.warn("WARNING: not safe to ride with: " + strings.Join(s.Unsafe, "; ") +
			". Riding it could kill you or hurt you and others badly. Do not ride it before this is put right; ask us how to move it.")
	}
	if s.State != "" || s.NotToRun {
		f.warn("How the machine stood then: " + stateWords(s.State, s.NotToRun))
	}
	if len(s.Concerns) > 0 {
		f.section("What you told us, and our answer")
		f.pairs(s.Concerns)
	}
	f.section("What we found")
	for _, n := range s.Findings {
		f.finding(n)
	}
	f.nothing(len(s.Findings), "Nothing has been looked at yet.")
	if len(s.NotLooked) > 0 {
		f.section("What we did not look at, and why")
		f.pairs(s.NotLooked)
	}
	f.howToRead(s)
}

func (f *flow) pairs(lines []app.BenchLine) {
	for _, l := range lines {
		f.put(Strong, sheetEm, 0, l.Words)
		f.put(Plain, sheetEm, sheetIndent, l.Small)
		f.gap(Millimetre / 2)
	}
}

// finding prints one part: its name, its condition, what is known, photos.
func (f *flow) finding(n app.SheetFinding) {
	f.gap(Millimetre)
	f.need(sheetKeepTogether)
	f.put(Strong, 4*Millimetre, 0, capital(n.Called))
	f.condition(n.Grade)
	for _, r := range n.Rows {
		f.fact(r)
	}
	for _, p := range n.Photos {
		f.photo(p)
	}
	f.gap(Millimetre)
}

// capital makes a heading of a name.
func capital(name string) string {
	first, size := utf8.DecodeRuneInString(name)
	return string(unicode.ToUpper(first)) + name[size:]
}

// condition draws a grade: its numeral, five rising bars, its word, so that
// it can be read in black and white and from a copy.
func (f *flow) condition(grade *int64) {
	f.need(6 * Millimetre)
	words := gradeWords()
	if grade == nil || *grade < 0 || int(*grade) >= len(words) {
		f.put(Plain, sheetEm, 0, "No data on its condition")
		return
	}
	drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin, Y: f.y, Font: Strong, Em: 4600, Text: fmt.Sprint(*grade)})
	f.pdf.SetLineWidth(0.25)
	f.pdf.SetFillColor(0, 0, 0)
	for i := range words {
		high := 1200 + Length(i)*800
		style := "D"
		if i <= int(*grade) {
			style = "FD"
		}
		f.pdf.Rect((sheetMargin + 4500 + Length(i)*2200).mm(), (f.y + 4800 - high).mm(), Length(1600).mm(), high.mm(), style)
	}
	drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin + 17*Millimetre, Y: f.y + 600, Font: Strong, Em: sheetEm, Text: words[*grade]})
	f.y += 6 * Millimetre
}

// photo prints a picture with its words to the right of it.
func (f *flow) photo(p app.SheetPhoto) {
	if p.Missing != "" {
		f.fact(app.WordRow{Name: "Photo", Words: strings.TrimSpace(p.Missing + " " + p.Caption)})
		return
	}
	wide, high := fitted(p.Drawn.Width, p.Drawn.Height)
	words := f.m.wrap(Plain, recordEm, f.room()-wide-4*Millimetre, clean(p.Caption))
	for _, n := range p.Notes {
		words = append(words, f.m.wrap(Plain, recordEm, f.room()-wide-4*Millimetre, clean(n))...)
	}
	tall := max(high, Length(len(words))*parts(recordEm, lineParts))
	f.gap(Millimetre)
	f.need(min(tall, f.height-3*sheetMargin))
	f.shown++
	name := fmt.Sprintf("photo %d", f.shown)
	options := fpdf.ImageOptions{ImageType: "JPG"}
	f.pdf.RegisterImageOptionsReader(name, options, bytes.NewReader(p.Drawn.JPEG))
	f.pdf.ImageOptions(name, sheetMargin.mm(), f.y.mm(), wide.mm(), high.mm(), false, options, 0, "")
	top := f.y
	for i, line := range words {
		at := top + Length(i)*parts(recordEm, lineParts)
		drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin + wide + 4*Millimetre, Y: at, Font: Plain, Em: recordEm, Text: line})
	}
	f.y = top + tall + 2*Millimetre
}

// fitted is how large a picture of so many pixels stands on paper.
func fitted(width, height int) (wide, high Length) {
	w, h := Length(max(width, 1)), Length(max(height, 1))
	if w*photoHigh >= h*photoWide {
		return photoWide, max(photoWide*h/w, Millimetre)
	}
	return max(photoHigh*w/h, Millimetre), photoHigh
}

func (f *flow) howToRead(s app.FindingsSheet) {
	f.section("How to read this")
	for _, n := range []string{
		"Condition: 0 as new, 1 serviceable, 2 near limit, 3 beyond limit, 4 failed; more bars are worse.",
		"A measurement stands with its uncertainty (k = 2: in about 95 of 100 cases the true value lies inside). Lengths taken off a photo are estimates and decide nothing.",
		"Limits are those of the source named beside them; the maker's service manual comes first. What was not looked at is not known.",
		"As of " + s.AsOf + ". " + s.From,
	} {
		f.put(Plain, sheetSmall, 0, n)
	}
}
