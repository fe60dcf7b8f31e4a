package photo_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/png"
	"io"
	"regexp"
	"testing"
	"time"

	"github.com/bep/imagemeta"

	"benchtag/internal/photo"
)

// places are how a place may stand in a file, told apart by words that no
// pixel makes.
const (
	xmpPlace = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="48,12.5N" exif:GPSLongitude="16,22.25E"/></rdf:RDF></x:xmpmeta>`
	words    = "GPSLatitude 48.208333 GPSLongitude 16.370833"
)

// iptcPlace is a block of IPTC-IIM in the form that picture editors write,
// with a city (2:90) and a place within it (2:92).
func iptcPlace() string {
	data := "\x1c\x02\x00\x00\x02\x00\x04" + "\x1c\x02\x5a\x00\x09Lindental" + "\x1c\x02\x5c\x00\x10" + "48.2083N16.3708E"
	return "Photoshop 3.0\x008BIM\x04\x04\x00\x00" + string(binary.BigEndian.AppendUint32(nil, uint32(len(data)))) + data
}

// sample is a picture that says where it was taken.
type sample struct {
	name, kind string
	format     imagemeta.ImageFormat
	b          []byte
}

func tagged(t testing.TB) []sample {
	plainJPEG, plainPNG := asJPEG(t, noise(64, 48)), asPNG(t, corner(64, 48))
	exif := segment(0xe1, "Exif\x00\x00"+tiff(binary.LittleEndian, 6))
	exifBig := segment(0xe1, "Exif\x00\x00"+tiff(binary.BigEndian, 1))
	xmp := segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00"+xmpPlace)
	longXMP := segment(0xe1, "http://ns.adobe.com/xmp/extension/\x000123456789ABCDEF0123456789ABCDEF\x00\x00\x01\x00\x00\x00\x00\x00"+xmpPlace)
	iptc := segment(0xed, iptcPlace())
	second := withSegments(asJPEG(t, corner(16, 16)), exif)
	text := "Comment\x00" + words
	itext := func(packed byte, body string) []byte {
		return chunk("iTXt", "XML:com.adobe.xmp\x00"+string(packed)+"\x00\x00\x00"+body)
	}
	vp8x := riffChunk("VP8X", "\x0c\x00\x00\x00\x3f\x00\x00\x2f\x00\x00")
	of := func(segments ...[]byte) []byte { return withSegments(plainJPEG, segments...) }
	png := func(chunks ...[]byte) []byte { return withChunks(plainPNG, chunks...) }
	const j, p, w = imagemeta.JPEG, imagemeta.PNG, imagemeta.WebP
	return []sample{
		{"JPEG, EXIF", "image/jpeg", j, of(exif)},
		{"JPEG, EXIF the other way round", "image/jpeg", j, of(exifBig)},
		{"JPEG, EXIF twice", "image/jpeg", j, of(exif, exifBig)},
		{"JPEG, XMP", "image/jpeg", j, of(xmp)},
		{"JPEG, long XMP", "image/jpeg", j, of(xmp, longXMP)},
		{"JPEG, IPTC", "image/jpeg", j, of(iptc)},
		{"JPEG, comment", "image/jpeg", j, of(segment(0xfe, words))},
		{"JPEG, a segment of the maker's own", "image/jpeg", j, of(segment(0xe5, words))},
		{"JPEG, a second picture behind", "image/jpeg", j, append(of(segment(0xe2, "MPF\x00"+tiff(binary.BigEndian, 1))), second...)},
		{"JPEG, words behind", "image/jpeg", j, append(of(), words...)},
		{"JPEG, words in the profile", "image/jpeg", j, of(segment(0xe2, "ICC_PROFILE\x00\x01\x01"+words))},
		{"JPEG, everything", "image/jpeg", j, append(of(exif, xmp, longXMP, iptc, segment(0xfe, words)), second...)},
		{"PNG, eXIf", "image/png", p, png(chunk("eXIf", tiff(binary.BigEndian, 1)))},
		{"PNG, tEXt", "image/png", p, png(chunk("tEXt", text))},
		{"PNG, zTXt", "image/png", p, png(chunk("zTXt", "Comment\x00\x00"+deflated(t, words)))},
		{"PNG, iTXt with XMP", "image/png", p, png(itext(0, xmpPlace))},
		{"PNG, packed iTXt with XMP", "image/png", p, png(itext(1, deflated(t, xmpPlace)))},
		{"PNG, everything and words behind", "image/png", p, append(png(chunk("eXIf", tiff(binary.LittleEndian, 1)), chunk("tEXt", text), itext(0, xmpPlace)), words...)},
		{"WebP, EXIF", "image/webp", w, webpLossless(corner(64, 48), vp8x, riffChunk("EXIF", tiff(binary.LittleEndian, 1)))},
		{"WebP, XMP", "image/webp", w, webpLossless(corner(64, 48), vp8x, riffChunk("XMP ", xmpPlace))},
		{"WebP, EXIF and XMP and a chunk of the maker's own", "image/webp", w, webpLossless(corner(64, 48), vp8x, riffChunk("EXIF", tiff(binary.BigEndian, 1)), riffChunk("XMP ", xmpPlace), riffChunk("NOTE", words))},
	}
}

// metadata is what an independent reader finds in a picture: tags, and the
// raw text of XMP.
func metadata(t testing.TB, b []byte, format imagemeta.ImageFormat) (tags imagemeta.Tags, xmp []byte) {
	t.Helper()
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(b), ImageFormat: format, Timeout: 5 * time.Second,
		Sources:         imagemeta.EXIF | imagemeta.IPTC | imagemeta.XMP,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag:       func(i imagemeta.TagInfo) error { tags.Add(i); return nil },
		HandleXMP: func(r io.Reader) error {
			text, err := io.ReadAll(r)
			xmp = append(xmp, text...)
			return err
		},
	})
	if err != nil && !errors.Is(err, io.EOF) {
		t.Logf("the independent reader: %v", err)
	}
	return tags, xmp
}

var placeWords = regexp.MustCompile(`GPS|48[.,]2|16[.,]3|Lindental|48\.2083N|xmpmeta|Exif\x00|8BIM|eXIf|tEXt|zTXt|iTXt|EXIF|XMP |NOTE|ICC_PROFILE|MPF\x00`)

// hasPlace reports whether anything of a place, or of what carries one, is in
// the bytes: as they stand, and as degrees of EXIF in either order.
func hasPlace(b []byte) bool {
	degrees := "\x00\x00\x00\x30\x00\x00\x00\x01\x00\x00\x00\x7d\x00\x00\x00\x0a"
	turned := "\x30\x00\x00\x00\x01\x00\x00\x00\x7d\x00\x00\x00\x0a\x00\x00\x00"
	return placeWords.Match(b) || bytes.Contains(b, []byte(degrees)) || bytes.Contains(b, []byte(turned))
}

// TestNoPlaceIsLeft bakes pictures that say in many ways where they were taken,
// and looks for that in all copies: with a reader that is not ours, and byte
// by byte. The samples themselves are looked at first, so that a look that
// finds nothing means something.
func TestNoPlaceIsLeft(t *testing.T) {
	t.Parallel()
	samples := tagged(t)
	if len(samples) < 20 {
		t.Fatalf("%d samples", len(samples))
	}
	read := 0
	for _, s := range samples {
		if !hasPlace(s.b) {
			t.Errorf("%s: the sample itself says no place", s.name)
		}
		tags, xmp := metadata(t, s.b, s.format)
		if len(tags.All()) > 0 || len(xmp) > 0 {
			read++
		}
		got := mustBake(t, s.kind, s.b)
		for name, copied := range map[string][]byte{"full": got.Full, "large": got.Large, "small": got.Small} {
			format := imagemeta.JPEG
			if name == "full" && got.MediaType == "image/png" {
				format = imagemeta.PNG
			}
			tags, xmp := metadata(t, copied, format)
			if len(tags.All()) > 0 || len(xmp) > 0 {
				t.Errorf("%s, %s: %v %s", s.name, name, tags.All(), xmp)
			}
			if lat, long, err := tags.GetLatLong(); lat != 0 || long != 0 {
				t.Errorf("%s, %s: %v %v %v", s.name, name, lat, long, err)
			}
			if hasPlace(copied) {
				t.Errorf("%s, %s: something of the place is left", s.name, name)
			}
		}
	}
	if read < 10 {
		t.Errorf("the independent reader finds something in %d samples only", read)
	}
}

// TestNothingIsCarriedOver hides words in pictures that are two things at
// once: what is kept holds none of them.
func TestNothingIsCarriedOver(t *testing.T) {
	t.Parallel()
	const script = "<script>alert('canary')</script>"
	for name, s := range map[string]struct {
		kind string
		b    []byte
	}{
		"JPEG with a page in its comment":  {"image/jpeg", withSegments(asJPEG(t, noise(32, 32)), segment(0xfe, script))},
		"JPEG with a page behind":          {"image/jpeg", append(asJPEG(t, noise(32, 32)), script...)},
		"JPEG with an archive behind":      {"image/jpeg", append(asJPEG(t, noise(32, 32)), "PK\x03\x04canary"...)},
		"PNG with a page in a text":        {"image/png", withChunks(asPNG(t, corner(32, 32)), chunk("tEXt", "c\x00"+script))},
		"PNG with a page behind":           {"image/png", append(asPNG(t, corner(32, 32)), script...)},
		"WebP with a page in its own part": {"image/webp", webpLossless(corner(32, 32), riffChunk("CODE", script))},
	} {
		got := mustBake(t, s.kind, s.b)
		for _, copied := range [][]byte{got.Full, got.Large, got.Small} {
			if bytes.Contains(copied, []byte("canary")) || bytes.Contains(copied, []byte("PK\x03\x04")) {
				t.Errorf("%s: it is still there", name)
			}
		}
	}
}

// TestProfileIsFollowed bakes a picture in the colours of Display P3: what is
// kept is brought to sRGB.
func TestProfileIsFollowed(t *testing.T) {
	t.Parallel()
	m := image.NewRGBA(image.Rect(0, 0, 16, 16))
	for i := 0; i < len(m.Pix); i += 4 {
		copy(m.Pix[i:], []uint8{200, 100, 100, 255})
	}
	plain, err := png.Decode(bytes.NewReader(mustBake(t, "image/png", asPNG(t, m)).Full))
	if err != nil {
		t.Fatal(err)
	}
	wide, err := png.Decode(bytes.NewReader(mustBake(t, "image/png", withChunks(asPNG(t, m), chunk("iCCP", "p3\x00\x00"+deflated(t, displayP3())))).Full))
	if err != nil {
		t.Fatal(err)
	}
	if r, g, b, _ := plain.At(8, 8).RGBA(); r>>8 != 200 || g>>8 != 100 || b>>8 != 100 {
		t.Errorf("without a profile: %v", plain.At(8, 8))
	}
	// color-p3(200 100 100) in sRGB, reckoned by the published matrices of CSS
	// Color 4: 215 93 97.
	r, g, b, _ := wide.At(8, 8).RGBA()
	for i, d := range []int{int(r>>8) - 215, int(g>>8) - 93, int(b>>8) - 97} {
		if d < -3 || d > 3 {
			t.Errorf("with the profile: %v (channel %d is off by %d)", wide.At(8, 8), i, d)
		}
	}
}

// displayP3 writes a profile with the primaries of Display P3 under D50.
func displayP3() string {
	head := make([]byte, 128)
	copy(head[16:], "RGB XYZ ")
	copy(head[36:], "acsp")
	out := binary.BigEndian.AppendUint32(head, 3)
	for i, name := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		out = append(out, name...)
		out = binary.BigEndian.AppendUint32(out, uint32(128+4+36+20*i))
		out = binary.BigEndian.AppendUint32(out, 20)
	}
	for _, xyz := range [][3]float64{{0.51512, 0.24120, -0.00105}, {0.29198, 0.69225, 0.04189}, {0.15710, 0.06657, 0.78407}} {
		out = append(out, "XYZ \x00\x00\x00\x00"...)
		for _, v := range xyz {
			out = binary.BigEndian.AppendUint32(out, uint32(int32(v*65536)))
		}
	}
	return string(out)
}

// TestLookKeepsThePicture shows that leaving the metadata out changes no
// pixel.
func TestLookKeepsThePicture(t *testing.T) {
	t.Parallel()
	for _, s := range tagged(t) {
		got, err := photo.Look(s.kind, s.b)
		if err != nil {
			t.Errorf("%s: %v", s.name, err)
			continue
		}
		if hasPlace(got.Parts) {
			t.Errorf("%s: what is decoded still says a place", s.name)
		}
		if s.kind == "image/webp" {
			continue // its decoder is no part of package image here
		}
		want, have := decoded(t, s.b), decoded(t, got.Parts)
		if want.Bounds() != have.Bounds() || want.At(3, 5) != have.At(3, 5) || want.At(60, 40) != have.At(60, 40) {
			t.Errorf("%s: the picture changed", s.name)
		}
	}
}
