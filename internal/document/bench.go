package document

import (
	"fmt"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"benchtag/internal/app"
	"benchtag/internal/fault"
)

// SheetPapers lists what sheets of text can be printed on.
func SheetPapers() []string { return []string{"a4", "letter"} }

// Measures of a sheet of text.
const (
	sheetMargin       = 15 * Millimetre
	sheetEm           = 3500 // 10 points
	sheetSmall        = 2900
	sheetHead         = 4600
	sheetIndent       = 6 * Millimetre
	boxSide           = 3200 // to tick
	sheetKeepTogether = 14 * Millimetre
)

// flow puts lines one below the other, and begins pages as it goes.
type flow struct {
	pdf           *fpdf.Fpdf
	m             Measure
	width, height Length
	y             Length
	head          string // on top of every page
	pages, of     int    // of is how many there will be, 0 if that is not said
	shown         int    // pictures so far
}

func newFlow(paper, head string) (*flow, error) { return newFlowOf(paper, head, 0) }

// newFlowOf is newFlow that says on every page how many there are.
func newFlowOf(paper, head string, of int) (*flow, error) {
	f := &flow{head: head, of: of}
	switch paper {
	case "a4":
		f.width, f.height = a4Width, a4Height
	case "letter":
		f.width, f.height = letterWidth, letterHeight
	default:
		return nil, fault.Invalid("document.paper_unknown", "paper", "Sheets are printed on a4 or letter.")
	}
	f.pdf = page(f.width, f.height, head)
	f.m = width(f.pdf)
	f.next()
	return f, nil
}

// next begins a page.
func (f *flow) next() {
	f.pages++
	f.pdf.AddPage()
	f.y = sheetMargin
	head := f.m.cut(Plain, sheetSmall, f.room()-12*Millimetre, f.head)
	drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin, Y: f.y - 7*Millimetre, Font: Plain, Em: sheetSmall, Text: head})
	number := fmt.Sprint(f.pages)
	if f.of > 0 {
		number += fmt.Sprintf(" of %d", f.of)
	}
	drawItem(f.pdf, Place{}, Item{Kind: KindText, X: f.width - sheetMargin - f.m(Plain, sheetSmall, number), Y: f.y - 7*Millimetre, Font: Plain, Em: sheetSmall, Text: number})
}

// counted lays a paper out twice: once to count its pages, once to say it.
func counted(lay func(of int) (*flow, error)) ([]byte, error) {
	f, err := lay(1)
	if err != nil {
		return nil, err
	}
	if f, err = lay(f.pages); err != nil {
		return nil, err
	}
	return bytesOf(f.pdf)
}

func (f *flow) room() Length { return f.width - 2*sheetMargin }

// need begins a page unless so much fits on this one.
func (f *flow) need(high Length) {
	if f.y+high > f.height-sheetMargin {
		f.next()
	}
}

func (f *flow) gap(high Length) { f.y += high }

// put writes text, all of it, indented by so much.
func (f *flow) put(font Font, em, indent Length, text string) {
	for _, line := range f.m.wrap(font, em, f.room()-indent, clean(text)) {
		f.need(parts(em, lineParts))
		drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin + indent, Y: f.y, Font: font, Em: em, Text: line})
		f.y += parts(em, lineParts)
	}
}

// section begins a section; its heading never stands alone at a page's foot.
func (f *flow) section(title string) {
	f.gap(3 * Millimetre)
	f.need(sheetKeepTogether)
	f.put(Strong, sheetHead, 0, title)
	f.pdf.SetLineWidth(0.3)
	f.pdf.Line(sheetMargin.mm(), f.y.mm(), (f.width - sheetMargin).mm(), f.y.mm())
	f.gap(Millimetre)
}

// warn puts words into a black box, whole.
func (f *flow) warn(words string) {
	lines := f.m.wrap(Strong, sheetEm, f.room()-4*Millimetre, clean(words))
	high := Length(len(lines))*parts(sheetEm, lineParts) + 2*Millimetre
	f.need(high)
	drawItem(f.pdf, Place{}, Item{Kind: KindBar, X: sheetMargin, Y: f.y, W: f.room(), H: high})
	for i, line := range lines {
		drawItem(f.pdf, Place{}, Item{Kind: KindText, X: sheetMargin + 2*Millimetre, Y: f.y + Millimetre + Length(i)*parts(sheetEm, lineParts),
			Font: Strong, Em: sheetEm, Text: line, White: true})
	}
	f.y += high + Millimetre
}

// boxes draws squares, so many of them filled, and gives the width they take.
func (f *flow) boxes(at Length, of, filled int) Length {
	f.pdf.SetLineWidth(0.25)
	f.pdf.SetFillColor(0, 0, 0)
	for i := range of {
		style := "D"
		if i < filled {
			style = "FD"
		}
		x := sheetMargin + at + Length(i)*(boxSide+600)
		f.pdf.Rect(x.mm(), (f.y + 400).mm(), Length(boxSide).mm(), Length(boxSide).mm(), style)
	}
	return Length(of) * (boxSide + 600)
}

// gradeWords are the condition grades as people say them.
func gradeWords() []string {
	return []string{"as new", "serviceable", "near limit", "beyond limit", "failed"}
}

// BenchSheet prints what the bench needs of one job. Cautions stand before
// the step they are for, and nothing is cut.
func (Printer) BenchSheet(paper string, s app.BenchSheet) ([]byte, error) {
	f, err := newFlow(paper, clean(fmt.Sprintf("Work order %d, %s. As of %s. %s", s.Order, s.Machine, s.AsOf, s.Shop)))
	if err != nil {
		return nil, err
	}
	f.put(Strong, 6*Millimetre, 0, fmt.Sprintf("Work order %d: %s", s.Order, s.Title))
	f.put(Plain, sheetEm, 0, s.Machine+". Stage: "+s.Stage+".")
	f.gap(Millimetre)
	if s.State != "" || s.NotToRun {
		f.warn(stateWords(s.State, s.NotToRun))
	}
	f.complaints(s)
	f.findings(s)
	f.leftOver(s)
	f.tags(s)
	f.steps(s)
	f.joints(s)
	f.closing(s)
	return bytesOf(f.pdf)
}

func (f *flow) complaints(s app.BenchSheet) {
	f.section("What the customer says")
	for _, c := range s.Complaints {
		f.put(Plain, sheetEm, 0, c.Words)
		f.put(Plain, sheetSmall, sheetIndent, c.Small)
	}
	f.nothing(len(s.Complaints), "Nothing is written down.")
}

func (f *flow) nothing(rows int, words string) {
	if rows == 0 {
		f.put(Plain, sheetEm, 0, words)
	}
}

func (f *flow) findings(s app.BenchSheet) {
	f.section("What was found")
	for _, n := range s.Findings {
		f.need(2 * parts(sheetEm, lineParts))
		used := Length(0)
		grade := "not graded"
		if n.Grade != nil && *n.Grade >= 0 && int(*n.Grade) < len(gradeWords()) {
			used = f.boxes(0, 4, int(*n.Grade))
			grade = fmt.Sprintf("%d %s", *n.Grade, gradeWords()[*n.Grade])
		} else {
			used = 4 * (boxSide + 600)
		}
		f.put(Strong, sheetEm, used+Millimetre, grade+": "+n.Called)
		f.put(Plain, sheetEm, used+Millimetre, n.Words)
		f.put(Plain, sheetSmall, used+Millimetre, n.Note)
		f.gap(Millimetre)
	}
	f.nothing(len(s.Findings), "Nothing is recorded.")
}

// leftOver lists the tags that nobody has said anything of, to be ticked off
// before the machine is run on the road.
func (f *flow) leftOver(s app.BenchSheet) {
	f.section("Left-over parts: find each one before the road test")
	open := 0
	for _, t := range s.Tags {
		if t.Open {
			open++
			f.tag(t, true)
		}
	}
	f.nothing(open, "No tag is open.")
}

func (f *flow) tags(s app.BenchSheet) {
	rest := 0
	for _, t := range s.Tags {
		if !t.Open {
			rest++
		}
	}
	if rest == 0 {
		return
	}
	f.section("Other tags")
	for _, t := range s.Tags {
		if !t.Open {
			f.tag(t, false)
		}
	}
}

func (f *flow) tag(t app.BenchTag, tick bool) {
	f.need(parts(sheetEm, lineParts))
	if tick {
		f.boxes(0, 1, 0)
	}
	words := fmt.Sprintf("%d  %s  %s.", t.Number, t.Code, strings.TrimRight(t.Holds, ". "))
	if t.Where != "" {
		words += " " + strings.TrimRight(t.Where, ". ") + "."
	}
	if t.OnLabel != "" {
		words += " Its label says " + t.OnLabel + "."
	}
	f.put(Plain, sheetEm, sheetIndent, words)
}

func (f *flow) steps(s app.BenchSheet) {
	if len(s.Steps) == 0 {
		return
	}
	f.section("Going back together")
	for _, step := range s.Steps {
		f.need(2 * parts(sheetEm, lineParts))
		if step.Caution != "" {
			f.warn(step.Caution)
		}
		f.need(parts(sheetEm, lineParts))
		f.boxes(0, 1, 0)
		f.put(Plain, sheetEm, sheetIndent, step.Words)
	}
}

func (f *flow) joints(s app.BenchSheet) {
	if len(s.Joints) == 0 {
		return
	}
	f.section("Torques")
	f.put(Plain, sheetSmall, 0, "Look every figure up in the maker's manual before you pull. A joint marked with two boxes has a second person: the first box is pulled, the second watched.")
	f.gap(Millimetre)
	for _, group := range s.Joints {
		f.need(sheetKeepTogether)
		switch {
		case group.Before != "" && group.Passed:
			f.put(Strong, sheetEm, 0, "Passed already: before "+group.Before)
		case group.Before != "":
			f.put(Strong, sheetEm, 0, "STOP here before "+group.Before+": all of these are done and checked")
		default:
			f.put(Strong, sheetEm, 0, "At no hold point")
		}
		for _, j := range group.Joints {
			f.joint(j)
		}
		f.gap(Millimetre)
	}
}

func (f *flow) joint(j app.BenchJoint) {
	f.need(2 * parts(sheetEm, lineParts))
	of, filled := 1, 0
	if j.Critical {
		of = 2
	}
	if j.Done {
		filled++
	}
	if j.Critical && j.Checked {
		filled++
	}
	f.boxes(0, of, filled)
	indent := 2*(boxSide+600) + Millimetre
	target := j.Target
	if target == "" {
		target = "no figure: look it up, do not guess"
	}
	source := "Source: " + j.Source
	if j.Source == "" {
		source = "UNVERIFIED: no source, do not use"
	}
	f.put(Strong, sheetEm, indent, j.Words+": "+target)
	f.put(Plain, sheetSmall, indent, source)
}

func (f *flow) closing(s app.BenchSheet) {
	if len(s.Notes) == 0 {
		return
	}
	f.section("Notes")
	for _, n := range s.Notes {
		f.put(Plain, sheetSmall, 0, n)
	}
}
