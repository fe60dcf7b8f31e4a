package photo

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// Draw gives a stored copy with its marks for paper: dark lines with a white
// edge, so that they can be read on dark and on bright ground, and in black
// and white. It is drawn on after it was made smaller, so that lines and
// letters keep their size on paper.
func (k *Baker) Draw(ctx context.Context, stored []byte, marks []app.DrawnMark, longEdge int) (app.DrawnPhoto, error) {
	s, err := look(string(sniff(stored)), stored)
	if err != nil {
		return app.DrawnPhoto{}, err
	}
	return turn(ctx, k, func(ctx context.Context) (app.DrawnPhoto, error) {
		img, err := s.decode()
		if err != nil {
			return app.DrawnPhoto{}, err
		}
		is := size{s.width, s.height}
		to := is.within(max(longEdge, 64))
		paper, err := shrink(ctx, rowsOf(img), is, to)
		if err != nil {
			return app.DrawnPhoto{}, err
		}
		if err := drawMarks(paper, marks, float64(to.w)/float64(is.w)); err != nil {
			return app.DrawnPhoto{}, err
		}
		out, err := encodeJPEG(paper, fullQuality)
		return app.DrawnPhoto{JPEG: out, Width: to.w, Height: to.h}, err
	})
}

// pen draws on one picture.
type pen struct {
	on    *image.RGBA
	shape *vector.Rasterizer
	thick float64 // of a line, in pixels; its white edge is as wide again
	face  font.Face
}

// point is a place on the picture that is drawn on.
type point struct{ x, y float64 }

func (p point) to(q point) float64 { return math.Hypot(q.x-p.x, q.y-p.y) }

// along gives the place that many pixels from p towards q.
func (p point) along(q point, by float64) point {
	d := p.to(q)
	if d == 0 {
		return p
	}
	return point{p.x + (q.x-p.x)*by/d, p.y + (q.y-p.y)*by/d}
}

func drawMarks(on *image.RGBA, marks []app.DrawnMark, scale float64) error {
	long := float64(max(on.Rect.Dx(), on.Rect.Dy()))
	typeface, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return err
	}
	face, err := opentype.NewFace(typeface, &opentype.FaceOptions{Size: max(12, long/45), DPI: 72})
	if err != nil {
		return err
	}
	p := &pen{on: on, shape: vector.NewRasterizer(on.Rect.Dx(), on.Rect.Dy()), thick: max(2, long/400), face: face}
	for _, m := range marks {
		at := make([]point, len(m.Points))
		for i, q := range m.Points {
			at[i] = point{(float64(q.X) + 0.5) * scale, (float64(q.Y) + 0.5) * scale}
		}
		if len(at) == m.Kind.Points() && len(at) > 0 {
			p.mark(m, at)
		}
	}
	return nil
}

// mark draws the white edge first and the dark line over it.
func (p *pen) mark(m app.DrawnMark, at []point) {
	lines := p.linesOf(m.Kind, at)
	for _, layer := range []struct {
		wide float64
		of   color.RGBA
	}{{3 * p.thick, color.RGBA{255, 255, 255, 255}}, {p.thick, color.RGBA{0, 0, 0, 255}}} {
		for _, l := range lines {
			p.line(l[0], l[1], layer.wide, layer.of)
		}
	}
	if m.Label != "" {
		p.words(m.Label, p.labelAt(m.Kind, at))
	}
}

// linesOf breaks a mark up into straight lines.
func (p *pen) linesOf(kind shop.MarkKind, at []point) [][2]point {
	switch kind {
	case shop.MarkArrow:
		tip, size := at[1], 7*p.thick
		back := tip.along(at[0], size)
		across := point{-(tip.y - back.y) * 0.6, (tip.x - back.x) * 0.6}
		return [][2]point{{at[0], tip}, {tip, {back.x + across.x, back.y + across.y}}, {tip, {back.x - across.x, back.y - across.y}}}
	case shop.MarkCircle:
		return circle(at[0], at[0].to(at[1]))
	case shop.MarkLine:
		return [][2]point{{at[0], at[1]}}
	case shop.MarkScale, shop.MarkLength:
		lines := [][2]point{{at[0], at[1]}}
		for i, end := range at {
			in := end.along(at[1-i], 4*p.thick)
			across := point{-(in.y - end.y), in.x - end.x}
			lines = append(lines, [2]point{{end.x + across.x, end.y + across.y}, {end.x - across.x, end.y - across.y}})
		}
		return lines
	}
	return nil
}

func circle(centre point, radius float64) [][2]point {
	const corners = 72
	on := func(i int) point {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		return point{centre.x + radius*cos, centre.y + radius*sin}
	}
	var lines [][2]point
	for i := range corners {
		lines = append(lines, [2]point{on(i), on(i + 1)})
	}
	return lines
}

// line fills a straight line with round ends.
func (p *pen) line(a, b point, wide float64, of color.RGBA) {
	half := wide / 2
	d := a.to(b)
	if d == 0 {
		return
	}
	nx, ny := -(b.y-a.y)/d*half, (b.x-a.x)/d*half
	p.shape.Reset(p.on.Rect.Dx(), p.on.Rect.Dy())
	p.move(point{a.x + nx, a.y + ny})
	p.draw(point{b.x + nx, b.y + ny})
	p.bow(b, point{nx, ny}, half)
	p.draw(point{a.x - nx, a.y - ny})
	p.bow(a, point{-nx, -ny}, half)
	p.shape.ClosePath()
	p.shape.DrawOp = draw.Over
	p.shape.Draw(p.on, p.on.Rect, image.NewUniform(of), image.Point{})
}

// bow goes half round an end.
func (p *pen) bow(round, from point, radius float64) {
	start := math.Atan2(from.y, from.x)
	for i := 1; i < 8; i++ {
		sin, cos := math.Sincos(start - math.Pi*float64(i)/8)
		p.draw(point{round.x + radius*cos, round.y + radius*sin})
	}
}

func (p *pen) move(q point) { p.shape.MoveTo(float32(q.x), float32(q.y)) }
func (p *pen) draw(q point) { p.shape.LineTo(float32(q.x), float32(q.y)) }

// labelAt tells where the words of a mark begin: beside it, not on it.
func (p *pen) labelAt(kind shop.MarkKind, at []point) point {
	gap := 3 * p.thick
	switch kind {
	case shop.MarkText:
		return at[0]
	case shop.MarkArrow:
		return point{at[0].x + gap, at[0].y - gap}
	case shop.MarkCircle:
		r := at[0].to(at[1])
		return point{at[0].x + r*0.75 + gap, at[0].y - r*0.75}
	}
	return point{(at[0].x+at[1].x)/2 + gap, (at[0].y+at[1].y)/2 - gap}
}

// words writes a label, black on white, kept inside the picture.
func (p *pen) words(text string, at point) {
	d := font.Drawer{Dst: p.on, Src: image.Black, Face: p.face}
	m := p.face.Metrics()
	wide, high, deep := d.MeasureString(text).Ceil(), m.Ascent.Ceil(), m.Descent.Ceil()
	pad := int(p.thick) + 1
	x := max(pad, min(int(at.x), p.on.Rect.Dx()-wide-pad))
	y := max(high+pad, min(int(at.y), p.on.Rect.Dy()-deep-pad))
	ground := image.Rect(x-pad, y-high-pad/2, x+wide+pad, y+deep+pad/2).Intersect(p.on.Rect)
	draw.Draw(p.on, ground, image.White, image.Point{}, draw.Src)
	d.Dot = fixed.P(x, y)
	d.DrawString(text)
}
