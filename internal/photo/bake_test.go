package photo_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	_ "image/jpeg"
	_ "image/png"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/photo"
)

func mustBake(t testing.TB, kind string, b []byte) app.BakedPhoto {
	t.Helper()
	got, err := photo.NewBaker().Bake(t.Context(), kind, b)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func decoded(t testing.TB, b []byte) image.Image {
	t.Helper()
	m, _, err := image.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// near reports whether a pixel has about the colour of another.
func near(m image.Image, x, y int, want image.Image, wx, wy int) bool {
	r, g, b, _ := m.At(x, y).RGBA()
	r2, g2, b2, _ := want.At(wx, wy).RGBA()
	for _, d := range []int{int(r>>8) - int(r2>>8), int(g>>8) - int(g2>>8), int(b>>8) - int(b2>>8)} {
		if d < -40 || d > 40 {
			return false
		}
	}
	return true
}

// stored turns an upright picture into what a camera held so would store: the
// reference for the eight orientations, by their definition in words (EXIF
// 2.32, tag 274: which edge the 0th row and the 0th column are).
func stored(up *image.RGBA, orientation int) *image.RGBA {
	w, h := up.Rect.Dx(), up.Rect.Dy()
	// Where the first row and the first column of the stored picture lie.
	row := []string{"", "top", "top", "bottom", "bottom", "left", "right", "right", "left"}[orientation]
	col := []string{"", "left", "right", "right", "left", "top", "top", "bottom", "bottom"}[orientation]
	sw, sh := w, h
	if orientation >= 5 {
		sw, sh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, sw, sh))
	for sy := range sh {
		for sx := range sw {
			var x, y int
			for _, one := range []struct {
				edge string
				n    int
			}{{row, sy}, {col, sx}} {
				switch one.edge {
				case "top":
					y = one.n
				case "bottom":
					y = h - 1 - one.n
				case "left":
					x = one.n
				case "right":
					x = w - 1 - one.n
				}
			}
			out.SetRGBA(sx, sy, up.RGBAAt(x, y))
		}
	}
	return out
}

// TestOrientationIsBakedIn bakes a picture that is told apart in every
// orientation, in each container that can say one.
func TestOrientationIsBakedIn(t *testing.T) {
	t.Parallel()
	up := corner(64, 48)
	for o := 1; o <= 8; o++ {
		held := stored(up, o)
		for name, sample := range map[string]struct {
			kind  string
			bytes []byte
		}{
			"jpeg little": {"image/jpeg", withSegments(asJPEG(t, held), segment(0xe1, "Exif\x00\x00"+tiff(binary.LittleEndian, uint16(o))))},
			"jpeg big":    {"image/jpeg", withSegments(asJPEG(t, held), segment(0xe1, "Exif\x00\x00"+tiff(binary.BigEndian, uint16(o))))},
			"png":         {"image/png", withChunks(asPNG(t, held), chunk("eXIf", tiff(binary.BigEndian, uint16(o))))},
			"webp":        {"image/webp", webpLossless(held, riffChunk("EXIF", tiff(binary.LittleEndian, uint16(o))))},
		} {
			t.Run(fmt.Sprint(name, " ", o), func(t *testing.T) {
				t.Parallel()
				got := mustBake(t, sample.kind, sample.bytes)
				if got.Width != 64 || got.Height != 48 {
					t.Fatalf("baked to %d × %d, want 64 × 48", got.Width, got.Height)
				}
				for _, copied := range [][]byte{got.Full, got.Large, got.Small} {
					m := decoded(t, copied)
					for _, at := range [][2]int{{8, 8}, {56, 8}, {8, 40}, {56, 40}} {
						if !near(m, at[0], at[1], up, at[0], at[1]) {
							t.Errorf("at %v the picture is %v, want %v", at, m.At(at[0], at[1]), up.At(at[0], at[1]))
						}
					}
				}
			})
		}
	}
}

// TestUprightAgainstDefinition compares the turning with the definition in
// words, pixel by pixel.
func TestUprightAgainstDefinition(t *testing.T) {
	t.Parallel()
	up := noise(5, 3)
	for o := 1; o <= 8; o++ {
		if got := photo.Upright(stored(up, o), o); !bytes.Equal(got.Pix, up.Pix) || got.Rect != up.Rect {
			t.Errorf("orientation %d is not turned upright", o)
		}
	}
}

// TestCopies looks at size, kind and edges of what is kept.
func TestCopies(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name          string
		kind          string
		bytes         []byte
		wantKind      string
		w, h          int64
		largeW, smalH int
	}{
		{"a small photo", "image/jpeg", asJPEG(t, noise(640, 480)), "image/jpeg", 640, 480, 640, 360},
		{"longer than is kept", "image/jpeg", asJPEG(t, corner(5000, 1000)), "image/jpeg", 4096, 819, 1600, 96},
		{"a drawing stays sharp", "image/png", asPNG(t, corner(200, 100)), "image/png", 200, 100, 200, 100},
		{"a photo in a PNG", "image/png", asPNG(t, noise(200, 100)), "image/jpeg", 200, 100, 200, 100},
		{"one pixel", "image/png", asPNG(t, corner(1, 1)), "image/png", 1, 1, 1, 1},
		{"a line", "image/png", asPNG(t, corner(6000, 1)), "image/png", 4096, 1, 1600, 1},
		{"webp", "image/webp", webpLossless(noise(100, 50)), "image/jpeg", 100, 50, 100, 50},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got := mustBake(t, tt.kind, tt.bytes)
			if got.MediaType != tt.wantKind || got.Width != tt.w || got.Height != tt.h {
				t.Errorf("%s, %d × %d; want %s, %d × %d", got.MediaType, got.Width, got.Height, tt.wantKind, tt.w, tt.h)
			}
			if b := decoded(t, got.Full).Bounds(); int64(b.Dx()) != tt.w || int64(b.Dy()) != tt.h {
				t.Errorf("the bytes are %v", b)
			}
			if b := decoded(t, got.Large).Bounds(); b.Dx() != tt.largeW {
				t.Errorf("the large copy is %v", b)
			}
			if b := decoded(t, got.Small).Bounds(); b.Dy() != tt.smalH {
				t.Errorf("the small copy is %v", b)
			}
		})
	}
}

// TestSmallerIsTheMean compares a copy with the mean of the area each of its
// pixels stands for, reckoned pixel by pixel.
func TestSmallerIsTheMean(t *testing.T) {
	t.Parallel()
	in := noise(960, 840)
	small := decoded(t, mustBake(t, "image/png", asPNG(t, in)).Small)
	if b := small.Bounds(); b.Dx() != 480 || b.Dy() != 420 {
		t.Fatalf("%v", b)
	}
	off := 0
	for y := range 420 {
		for x := range 480 {
			sum := 0
			for dy := range 2 {
				for dx := range 2 {
					c := in.RGBAAt(2*x+dx, 2*y+dy)
					sum += int(299*int(c.R)+587*int(c.G)+114*int(c.B)) / 1000
				}
			}
			r, g, b, _ := small.At(x, y).RGBA()
			got := (299*int(r>>8) + 587*int(g>>8) + 114*int(b>>8)) / 1000
			off += max(got-sum/4, sum/4-got)
		}
	}
	if mean := float64(off) / (480 * 420); mean > 8 {
		t.Errorf("brightness is off by %.1f on the mean; a JPEG of noise is off by some 5", mean)
	}
}

// TestTransparentIsWhite shows what lies behind a picture on paper.
func TestTransparentIsWhite(t *testing.T) {
	t.Parallel()
	m := image.NewNRGBA(image.Rect(0, 0, 16, 16))
	for i := 0; i < len(m.Pix); i += 4 {
		m.Pix[i], m.Pix[i+3] = 255, 128
	}
	got := decoded(t, mustBake(t, "image/png", asPNG(t, m)).Full)
	if r, g, b, a := got.At(8, 8).RGBA(); r>>8 < 250 || g>>8 < 120 || g>>8 > 135 || b>>8 < 120 || a != 0xffff {
		t.Errorf("half red on white is %v", got.At(8, 8))
	}
}

// TestBusy makes sure that no more pictures are opened than there are slots,
// and that waiting ends.
func TestBusy(t *testing.T) {
	t.Parallel()
	k := photo.NewBaker()
	k.Hurry(10*time.Millisecond, time.Minute)
	free := k.Occupy()
	_, err := k.Bake(t.Context(), "image/png", asPNG(t, corner(4, 4)))
	if fault.Of(err) != fault.Unavailable {
		t.Errorf("with every slot taken: %v", err)
	}
	free()
	if _, err := k.Bake(t.Context(), "image/png", asPNG(t, corner(4, 4))); err != nil {
		t.Errorf("with the slots free again: %v", err)
	}
	k.Hurry(time.Minute, time.Nanosecond)
	if _, err := k.Bake(t.Context(), "image/jpeg", asJPEG(t, noise(2000, 2000))); fault.Of(err) != fault.Unavailable {
		t.Errorf("when it takes too long: %v", err)
	}
}
