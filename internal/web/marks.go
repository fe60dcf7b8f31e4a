package web

import (
	"fmt"
	"math"
	"strings"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// drawing is what is drawn over a photo, in its own pixels; lines are SVG
// paths. Size is the height of letters, so that they can be read on a phone.
type drawing struct {
	Width, Height int64
	Path          string
	Size          int64
	Labels        []label
	Said          []string // the labels again, for who does not see the picture
}

// label is text on a photo.
type label struct {
	X, Y int64
	End  bool // it ends at X, since there is no room to the right
	Text string
}

// letterShare is how often a letter's height goes into the long edge: 20 px on
// a picture of 480, and still 13 on one of 320.
const letterShare = 24

// drawingOf draws the marks of a photo, or nothing where it has none.
func drawingOf(p app.OfferPhoto) *drawing {
	if len(p.Marks) == 0 || p.Width < 1 || p.Height < 1 {
		return nil
	}
	d := &drawing{Width: p.Width, Height: p.Height, Size: max(1, max(p.Width, p.Height)/letterShare)}
	var path strings.Builder
	for _, m := range p.Marks {
		if len(m.Points) == 0 || len(m.Points) != m.Kind.Points() {
			continue
		}
		path.WriteString(d.pathOf(m))
		if m.Label != "" {
			d.Labels = append(d.Labels, d.labelOf(m))
			d.Said = append(d.Said, m.Label)
		}
	}
	d.Path = path.String()
	return d
}

// pathOf writes a mark as an SVG path.
func (d *drawing) pathOf(m app.OfferMark) string {
	a, b := m.Points[0], m.Points[len(m.Points)-1]
	long := math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))
	switch m.Kind {
	case shop.MarkCircle:
		r := math.Round(long)
		return fmt.Sprintf("M%d %da%.0f %.0f 0 1 0 %.0f 0a%.0f %.0f 0 1 0 %.0f 0", a.X-int64(r), a.Y, r, r, 2*r, r, r, -2*r)
	case shop.MarkArrow:
		return stroke(a, b) + d.wing(b, a, 0.5) + d.wing(b, a, -0.5)
	case shop.MarkLine:
		return stroke(a, b)
	case shop.MarkScale, shop.MarkLength:
		return stroke(a, b) + d.wing(a, b, math.Pi/2) + d.wing(a, b, -math.Pi/2) + d.wing(b, a, math.Pi/2) + d.wing(b, a, -math.Pi/2)
	}
	return ""
}

// stroke goes straight from one place to another.
func stroke(a, b shop.MarkPoint) string { return fmt.Sprintf("M%d %dL%d %d", a.X, a.Y, b.X, b.Y) }

// wing is a short stroke at an end, turned so far from the line.
func (d *drawing) wing(end, other shop.MarkPoint, turn float64) string {
	towards := math.Atan2(float64(other.Y-end.Y), float64(other.X-end.X)) + turn
	length := float64(d.Size) * 0.8
	sin, cos := math.Sincos(towards)
	return stroke(end, shop.MarkPoint{X: end.X + int64(math.Round(length*cos)), Y: end.Y + int64(math.Round(length*sin))})
}

// labelOf places the words of a mark beside it and inside the picture.
func (d *drawing) labelOf(m app.OfferMark) label {
	at, gap, left := m.Points[0], d.Size/2, m.Points[0].X
	switch m.Kind {
	case shop.MarkCircle:
		r := int64(math.Hypot(float64(m.Points[1].X-at.X), float64(m.Points[1].Y-at.Y)))
		at.X, at.Y, left = at.X+r*3/4, at.Y-r*3/4, at.X-r*3/4
	case shop.MarkLine, shop.MarkScale, shop.MarkLength:
		at.X, at.Y = (at.X+m.Points[1].X)/2, (at.Y+m.Points[1].Y)/2
		left = at.X
	}
	out := label{X: at.X + gap, Y: at.Y - gap, Text: m.Label}
	if out.X > d.Width*3/5 {
		out.X, out.End = left-gap, true
	}
	out.X = min(max(out.X, d.Size/4), max(d.Width-d.Size/4, 0))
	out.Y = min(max(out.Y, d.Size), max(d.Height-d.Size/3, 0))
	return out
}
