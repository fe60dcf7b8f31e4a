package photo_test

import (
	"bytes"
	"errors"
	"image/jpeg"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/photo"
)

// FuzzLook looks at anything: it never fails otherwise than by a fault, what
// it passes is bounded, and what it puts together says nothing more than what
// was looked at: a second look gives the same.
func FuzzLook(f *testing.F) {
	for _, s := range tagged(f) {
		f.Add(s.kind, s.b)
	}
	for _, b := range bombs(f) {
		if len(b.b) < 4000 {
			f.Add(b.kind, b.b)
		}
	}
	f.Fuzz(func(t *testing.T, kind string, b []byte) {
		got, err := photo.Look(kind, b)
		if err != nil {
			var is *fault.Error
			if !errors.As(err, &is) || (is.Kind != fault.Meaning && is.Kind != fault.Media) {
				t.Fatalf("%v", err)
			}
			return
		}
		if got.Width < 1 || got.Height < 1 || got.Width*got.Height > 64_000_000 || got.Work > 320<<20 || got.Orientation < 1 || got.Orientation > 8 {
			t.Fatalf("%+v passes", got)
		}
		if len(got.Parts) > len(b)+16 {
			t.Fatalf("%d bytes became %d", len(b), len(got.Parts))
		}
		again, err := photo.Look(kind, got.Parts)
		if err != nil || !bytes.Equal(again.Parts, got.Parts) || again.Width != got.Width || again.Height != got.Height || again.Orientation != 1 {
			t.Fatalf("a second look: %v", err)
		}
	})
}

// FuzzOrientation reads anything as EXIF data.
func FuzzOrientation(f *testing.F) {
	f.Add([]byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if o := photo.OrientationOf(b); o < 1 || o > 8 {
			t.Fatalf("%d", o)
		}
	})
}

// TestScansAreCounted puts any number of passes into a JPEG, with any segments
// between: it passes up to the bound and not beyond, as counted by the one who
// wrote them. An appended picture's passes do not count, and neither do those
// of a small picture inside the metadata.
func TestScansAreCounted(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 80).Draw(t, "passes")
		var parts [][]byte
		parts = append(parts, segment(0xe1, "Exif\x00\x00"+string(jpegOf(frame(0xc0, 8, 8, 1, 0x11), scans(70)))), frame(0xc0, 8, 8, 1, 0x11))
		for range n {
			if rapid.Bool().Draw(t, "segment between") {
				parts = append(parts, segment(0xfe, strings.Repeat("\xff\xda", rapid.IntRange(0, 20).Draw(t, "false passes"))))
			}
			parts = append(parts, scans(1))
		}
		b := append(jpegOf(parts...), jpegOf(scans(200))...)
		_, err := photo.Look("image/jpeg", b)
		if (err == nil) != (n <= 64) {
			t.Fatalf("%d passes: %v", n, err)
		}
	})
}

// TestHeaderSizes compares the sizes that a look gives with those of the
// decoder, for pictures of any shape.
func TestHeaderSizes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		w, h := rapid.IntRange(1, 90).Draw(r, "width"), rapid.IntRange(1, 90).Draw(r, "height")
		m := corner(w, h)
		for kind, b := range map[string][]byte{"image/jpeg": asJPEG(t, m), "image/png": asPNG(t, m), "image/webp": webpLossless(m)} {
			got, err := photo.Look(kind, b)
			if err != nil || got.Width != w || got.Height != h {
				r.Fatalf("%s of %d × %d: %+v, %v", kind, w, h, got, err)
			}
		}
		if _, err := jpeg.DecodeConfig(bytes.NewReader(asJPEG(t, m))); err != nil {
			r.Fatal(err)
		}
	})
}
