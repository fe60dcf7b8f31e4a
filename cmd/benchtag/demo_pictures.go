package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"net/http"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Size of a drawn picture, in pixels, and of its rule: ten pixels a millimetre.
const (
	sheetWide, sheetHigh = 1200, 900
	pixelsPerMM          = 10
	ruleTop              = 800
)

var (
	clothTint = color.RGBA{0xb9, 0xbd, 0xc0, 0xff}
	paperTint = color.RGBA{0xf4, 0xf1, 0xe6, 0xff}
	steelTint = color.RGBA{0x8d, 0x94, 0x9c, 0xff}
	shineTint = color.RGBA{0xd9, 0xde, 0xe3, 0xff}
	inkTint   = color.RGBA{0x18, 0x1a, 0x1d, 0xff}
	oilTint   = color.RGBA{0x6b, 0x57, 0x3a, 0xff}
)

// sheet is a drawing that stands in for a photo: the demo shows nobody's real
// machine. What is drawn with one tint is gathered and laid down at once.
type sheet struct {
	on    *image.RGBA
	shape *vector.Rasterizer
}

// demoPictures draws the pictures that the demo's script may name.
func demoPictures() map[string]func(*sheet) {
	return map[string]func(*sheet){"broken_guide": brokenGuide, "long_chain": longChain, "screen": dirtyScreen}
}

// demoPicture gives a drawn picture as PNG.
func demoPicture(name string) ([]byte, error) {
	paint, ok := demoPictures()[name]
	if !ok {
		return nil, fmt.Errorf("no picture is called %q", name)
	}
	s := &sheet{on: image.NewRGBA(image.Rect(0, 0, sheetWide, sheetHigh)), shape: vector.NewRasterizer(sheetWide, sheetHigh)}
	draw.Draw(s.on, s.on.Bounds(), image.NewUniform(clothTint), image.Point{}, draw.Src)
	paint(s)
	if err := s.rule(); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err := png.Encode(&out, s.on)
	return out.Bytes(), err
}

// picture JOB PHOTO NAME: sends a drawn picture as the content of a photo.
func (s *story) picture(args []string) error {
	if len(args) != 3 {
		return fmt.Errorf("give job, photo and the picture's name")
	}
	drawn, err := demoPicture(args[2])
	if err != nil {
		return err
	}
	sum := sha256.Sum256(drawn)
	err = s.send(http.MethodPut, "/v1/jobs/"+args[0]+"/photos/"+args[1]+"/content", bytes.NewReader(drawn), http.Header{
		"Authorization":  {"Bearer " + s.people[s.who].token},
		"Content-Type":   {"image/png"},
		"Content-Digest": {"sha-256=:" + base64.StdEncoding.EncodeToString(sum[:]) + ":"},
	})
	if err != nil {
		return err
	}
	return s.wantStatus([]string{"201"})
}

func (s *sheet) lay(tint color.Color) {
	s.shape.Draw(s.on, s.on.Bounds(), image.NewUniform(tint), image.Point{})
	s.shape.Reset(sheetWide, sheetHigh)
}

// outline adds a closed figure; x and y alternate.
func (s *sheet) outline(at ...float64) {
	s.shape.MoveTo(float32(at[0]), float32(at[1]))
	for i := 2; i < len(at); i += 2 {
		s.shape.LineTo(float32(at[i]), float32(at[i+1]))
	}
	s.shape.ClosePath()
}

func (s *sheet) disc(x, y, r float64) {
	const corners = 48
	at := make([]float64, 0, 2*corners)
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		at = append(at, x+r*cos, y+r*sin)
	}
	s.outline(at...)
}

// stroke adds a straight line of a width.
func (s *sheet) stroke(x1, y1, x2, y2, wide float64) {
	long := math.Hypot(x2-x1, y2-y1)
	dx, dy := (y2-y1)/long*wide/2, (x1-x2)/long*wide/2
	s.outline(x1+dx, y1+dy, x1-dx, y1-dy, x2-dx, y2-dy, x2+dx, y2+dy)
}

// rule draws a rule of 100 mm below what is shown, and says what the picture is.
func (s *sheet) rule() error {
	s.outline(90, ruleTop, 1110, ruleTop, 1110, ruleTop+64, 90, ruleTop+64)
	s.lay(paperTint)
	for mm := 0; mm <= 100; mm++ {
		x, tall := 100+float64(mm*pixelsPerMM), 16.0
		if mm%10 == 0 {
			tall = 34
		}
		s.stroke(x, ruleTop, x, ruleTop+tall, 2)
	}
	s.lay(inkTint)
	typeface, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return err
	}
	face, err := opentype.NewFace(typeface, &opentype.FaceOptions{Size: 22, DPI: 72})
	if err != nil {
		return err
	}
	pen := font.Drawer{Dst: s.on, Src: image.NewUniform(inkTint), Face: face}
	for words, at := range map[string]fixed.Point26_6{
		"Drawn for the demo. Not a photo, not a real part.": fixed.P(90, 48),
		"0": fixed.P(94, ruleTop+58), "50": fixed.P(588, ruleTop+58), "100 mm": fixed.P(1036, ruleTop+58),
	} {
		pen.Dot = at
		pen.DrawString(words)
	}
	return nil
}

// brokenGuide draws a chain guide whose lower end came off in pieces.
func brokenGuide(s *sheet) {
	arc := func(from, to, shift, wide float64) {
		const steps = 40
		var at, back []float64
		for i := range steps + 1 {
			x := from + (to-from)*float64(i)/steps
			bow := 330 + shift - 90*math.Sin(math.Pi*(x-120)/960)
			jag := 0.0
			if i == steps {
				jag = 26
			}
			at, back = append(at, x+jag, bow), append([]float64{x - jag, bow + wide}, back...)
		}
		s.outline(append(at, back...)...)
	}
	arc(120, 760, 0, 96)
	s.lay(inkTint)
	arc(150, 720, 20, 14)
	s.lay(color.RGBA{0x44, 0x48, 0x4e, 0xff})
	s.outline(830, 470, 935, 430, 985, 500, 900, 560)
	s.outline(700, 600, 760, 580, 800, 640, 730, 664)
	s.lay(inkTint)
	s.disc(190, 345, 17)
	s.disc(640, 300, 17)
	s.lay(clothTint)
}

// longChain draws a stretch of chain over a rule.
func longChain(s *sheet) {
	const pitch, links = 78, 13
	link := func(i int, wide, thick float64) {
		x := 120 + float64(i*pitch)
		y := 430 + 26*math.Sin(float64(i)/3)
		next := 430 + 26*math.Sin(float64(i+1)/3)
		s.stroke(x, y, x+pitch, next, thick)
		s.disc(x, y, wide)
		s.disc(x+pitch, next, wide)
	}
	for i := 0; i < links-1; i += 2 {
		link(i, 46, 60)
	}
	s.lay(steelTint)
	for i := 1; i < links-1; i += 2 {
		link(i, 38, 48)
	}
	s.lay(shineTint)
	for i := range links {
		s.disc(120+float64(i*pitch), 430+26*math.Sin(float64(i)/3), 15)
	}
	s.lay(oilTint)
}

// dirtyScreen draws an oil pump's screen with two slivers lying in it.
func dirtyScreen(s *sheet) {
	s.disc(600, 420, 330)
	s.lay(steelTint)
	s.disc(600, 420, 290)
	s.lay(oilTint)
	for i := -11; i <= 11; i++ {
		at := float64(i) * 25
		half := math.Sqrt(288*288 - at*at)
		s.stroke(600+at, 420-half, 600+at, 420+half, 5)
		s.stroke(600-half, 420+at, 600+half, 420+at, 5)
	}
	s.lay(shineTint)
	s.outline(470, 330, 548, 300, 560, 322, 482, 356)
	s.outline(650, 470, 700, 540, 682, 552, 636, 484)
	s.lay(inkTint)
}
