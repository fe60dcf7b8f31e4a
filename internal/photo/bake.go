package photo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"time"

	"golang.org/x/image/webp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
)

// The long edges of the copies, in pixels. A sheet of A4 at 300 dots an inch
// is 3,508 high, so the full copy prints as sharp as paper shows; more would
// only fill disks and memory.
const (
	fullEdge  = 4096
	largeEdge = 1600
	smallEdge = 480
)

// Qualities of the JPEG copies (0 to 100). At 88 no block shows when a crack
// is looked at closely: common practice, no source.
const (
	fullQuality  = 88
	smallQuality = 80
)

// A PNG with few colours, such as the screen of a tester, stays one, since a
// JPEG blurs letters; beyond this it is a photo, or too large to be kept so.
const (
	maxPNGColours = 4096
	maxPNGPixels  = 4_000_000
)

// Baker makes copies and drawings, a few at a time.
type Baker struct {
	slots    chan struct{}
	patience time.Duration
	stamina  time.Duration
}

// Bounds of work: how many pictures are open at once, how long a caller waits
// for a turn, and how long one picture may take by the clock.
const (
	atOnce          = 2
	defaultPatience = 30 * time.Second
	defaultStamina  = 20 * time.Second
)

// NewBaker makes one that opens two pictures at once.
func NewBaker() *Baker {
	return &Baker{slots: make(chan struct{}, atOnce), patience: defaultPatience, stamina: defaultStamina}
}

var _ app.Pictures = (*Baker)(nil)

// Bake looks at a picture, decodes it and makes the copies anew from its
// pixels: upright, at most 4096 pixels long, without metadata. Colours of a
// wide-gamut profile are brought to sRGB, and the profile left out.
func (k *Baker) Bake(ctx context.Context, declared string, original []byte) (app.BakedPhoto, error) {
	s, err := look(declared, original)
	if err != nil {
		return app.BakedPhoto{}, err
	}
	return turn(ctx, k, func(ctx context.Context) (app.BakedPhoto, error) { return bake(ctx, s) })
}

// turn does work when one of the slots is free. A decoder cannot be stopped,
// so work that takes too long is left to end by itself, and keeps its slot
// until it does.
func turn[T any](ctx context.Context, k *Baker, work func(context.Context) (T, error)) (T, error) {
	var none T
	waiting, stop := context.WithTimeout(ctx, k.patience)
	defer stop()
	select {
	case k.slots <- struct{}{}:
	case <-waiting.Done():
		return none, busy("The server is opening other pictures just now; send this one again in a moment.")
	}
	type outcome struct {
		got T
		err error
	}
	done := make(chan outcome, 1)
	working, stop := context.WithTimeout(ctx, k.stamina)
	defer stop()
	go func() {
		defer func() { <-k.slots }()
		got, err := guarded(working, work)
		done <- outcome{got, err}
	}()
	select {
	case o := <-done:
		return o.got, o.err
	case <-working.Done():
		return none, busy("Opening this picture takes too long just now; try again, or send it smaller.")
	}
}

func busy(words string) error {
	f := fault.New(fault.Unavailable, "photo.busy", words)
	f.RetryAfter = 5
	return f
}

// guarded turns a decoder's panic into an error: it must not end the program.
func guarded[T any](ctx context.Context, work func(context.Context) (T, error)) (got T, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = broken(fmt.Sprint("a decoder gave up: ", r))
		}
	}()
	return work(ctx)
}

func bake(ctx context.Context, s seen) (app.BakedPhoto, error) {
	img, err := s.decode()
	if err != nil {
		return app.BakedPhoto{}, err
	}
	full, err := s.develop(ctx, img)
	if err != nil {
		return app.BakedPhoto{}, err
	}
	b := full.Bounds()
	out := app.BakedPhoto{MediaType: string(kindJPEG), Width: int64(b.Dx()), Height: int64(b.Dy())}
	if s.kind == kindPNG && fewColours(full) {
		out.MediaType = string(kindPNG)
		out.Full, err = encodePNG(full)
	} else {
		out.Full, err = encodeJPEG(full, fullQuality)
	}
	if err != nil {
		return app.BakedPhoto{}, err
	}
	if out.Large, err = smaller(ctx, full, largeEdge); err != nil {
		return app.BakedPhoto{}, err
	}
	out.Small, err = smaller(ctx, full, smallEdge)
	return out, err
}

// decode opens what was looked at. The size it comes to is the one that was
// bounded, or it is refused.
func (s seen) decode() (image.Image, error) {
	var img image.Image
	var err error
	from := bytes.NewReader(s.parts)
	switch s.kind {
	case kindJPEG:
		img, err = jpeg.Decode(from)
	case kindPNG:
		img, err = png.Decode(from)
	default:
		img, err = webp.Decode(from)
	}
	if err != nil {
		return nil, broken(err.Error())
	}
	if b := img.Bounds(); b.Dx() != s.width || b.Dy() != s.height {
		return nil, broken("the size is not the one in the header")
	}
	return img, nil
}

// develop gives the full copy: small enough, upright, in sRGB. What is so
// already is not touched.
func (s seen) develop(ctx context.Context, img image.Image) (image.Image, error) {
	is := size{s.width, s.height}
	to := is.within(fullEdge)
	from := rowsOf(img)
	toSRGB, foreign := conversionOf(s.icc)
	if foreign {
		from = toSRGB.rows(from, is.w)
	}
	if plain, ok := img.(*image.YCbCr); ok && to == is && s.orientation == 1 && !foreign {
		return plain, nil
	}
	made, err := shrink(ctx, from, is, to)
	if err != nil {
		return nil, err
	}
	return upright(made, s.orientation), nil
}

func smaller(ctx context.Context, full image.Image, longEdge int) ([]byte, error) {
	b := full.Bounds()
	is := size{b.Dx(), b.Dy()}
	small, err := shrink(ctx, rowsOf(full), is, is.within(longEdge))
	if err != nil {
		return nil, err
	}
	return encodeJPEG(small, smallQuality)
}

func encodeJPEG(img image.Image, quality int) ([]byte, error) {
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, errors.Join(errors.New("photo: write a JPEG"), err)
	}
	return out.Bytes(), nil
}

func encodePNG(img image.Image) ([]byte, error) {
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		return nil, errors.Join(errors.New("photo: write a PNG"), err)
	}
	return out.Bytes(), nil
}

// fewColours reports whether a picture is a drawing or a screen rather than a
// photo.
func fewColours(img image.Image) bool {
	m, ok := img.(*image.RGBA)
	if !ok || m.Rect.Dx()*m.Rect.Dy() > maxPNGPixels {
		return false
	}
	found := map[[3]uint8]bool{}
	for i := 0; i+4 <= len(m.Pix); i += 4 {
		found[[3]uint8(m.Pix[i:i+3])] = true
		if len(found) > maxPNGColours {
			return false
		}
	}
	return true
}
