package app

import (
	"context"
	"strconv"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// DrawnMark is a mark as it is drawn: with its number and its words.
type DrawnMark struct {
	Kind   shop.MarkKind
	Points []shop.MarkPoint
	Label  string // drawn beside it; empty for none
}

// DrawnPhoto is a photo for paper: a JPEG, upright, its marks drawn so that
// they can be read in black and white.
type DrawnPhoto struct {
	JPEG          []byte
	Width, Height int
}

// PaperPhoto is a photo with its marks drawn, and what is to be printed
// beside it.
type PaperPhoto struct {
	DrawnPhoto
	Photo shop.Photo
	// Notes explain the numbered marks and what was measured.
	Notes []string
}

// PhotoForPaper draws a photo with its marks, its long edge at most so many
// pixels. A photo without content, or with a damaged one, is a fault.
func (a *App) PhotoForPaper(ctx context.Context, scope shop.ShopID, id shop.PhotoID, longEdge int) (PaperPhoto, error) {
	var out PaperPhoto
	if a.Pictures == nil {
		return out, noPhotos()
	}
	err := a.Store.Read(ctx, scope, func(tx Tx) error { return tx.Load(&out.Photo, string(id)) })
	if err != nil {
		return out, err
	}
	sum := PhotoHashes(out.Photo)[PhotoFull]
	if sum == "" {
		return out, fault.New(fault.NotFound, "app.photo_without_content", "There is no picture of this photo here.")
	}
	stored, err := a.readPhoto(ctx, PhotoKey(scope, id, sum), sum)
	if err != nil {
		return out, err
	}
	marks, notes := DrawMarks(out.Photo)
	out.Notes = notes
	out.DrawnPhoto, err = a.Pictures.Draw(ctx, stored, marks, longEdge)
	return out, err
}

// shortLabel is how many letters of a label can stand on a picture.
const shortLabel = 24

// DrawMarks gives the marks of a photo as they are drawn, and the notes to
// print beside it: a short label stands on the picture, a long one becomes a
// number there and a note.
func DrawMarks(p shop.Photo) (marks []DrawnMark, notes []string) {
	lengths := map[int]PhotoLength{}
	for _, l := range PhotoLengths(p) {
		lengths[l.Mark] = l
	}
	note := func(words string) string {
		number := strconv.Itoa(len(notes) + 1)
		notes = append(notes, number+": "+words)
		return "(" + number + ")"
	}
	for i, m := range p.Marks {
		d := DrawnMark{Kind: m.Kind, Points: m.Points, Label: m.Text}
		l, measured := lengths[i]
		switch {
		case measured:
			d.Label = note(lengthWords(m.Text, l)) + " " + l.Length.Value + " " + l.Length.Unit
		case m.Kind == shop.MarkScale:
			d.Label = m.Known.Value + " " + m.Known.Unit
		case len([]rune(m.Text)) > shortLabel:
			d.Label = note(m.Text)
		}
		marks = append(marks, d)
	}
	return marks, notes
}

// lengthWords says what a length off a photo is worth.
func lengthWords(text string, l PhotoLength) string {
	words := l.Length.Value + " " + l.Length.Unit
	if !l.Uncertainty.IsZero() {
		words += " ± " + l.Uncertainty.Value + " " + l.Uncertainty.Unit + " (k = 2)"
	}
	words += ", taken off the photo: indicative only"
	if text != "" {
		return text + ": " + words
	}
	return words
}
