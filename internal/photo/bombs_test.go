package photo_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color/palette"
	"image/gif"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/photo"
)

// frame writes the header of a JPEG's picture.
func frame(marker byte, w, h int, components int, sampling byte) []byte {
	b := []byte{8, byte(h >> 8), byte(h), byte(w >> 8), byte(w), byte(components)}
	for i := range components {
		b = append(b, byte(i+1), sampling, 0)
		sampling = 0x11
	}
	return segment(marker, string(b))
}

// scans writes so many scans of one component with a little data each.
func scans(n int) []byte {
	one := append(segment(0xda, "\x01\x01\x00\x00\x3f\x00"), 0x12, 0x34)
	return bytes.Repeat(one, n)
}

func jpegOf(parts ...[]byte) []byte {
	return append(append([]byte{0xff, 0xd8}, bytes.Join(parts, nil)...), 0xff, 0xd9)
}

func pngHeader(w, h uint32, depth, form byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, w)
	b = binary.BigEndian.AppendUint32(b, h)
	return chunk("IHDR", string(append(b, depth, form, 0, 0, 0)))
}

func pngOf(chunks ...[]byte) []byte {
	return append(append([]byte("\x89PNG\r\n\x1a\n"), bytes.Join(chunks, nil)...), chunk("IEND", "")...)
}

func vp8Header(w, h uint16) string {
	b := []byte{0x10, 0, 0, 0x9d, 0x01, 0x2a}
	b = binary.LittleEndian.AppendUint16(b, w)
	b = binary.LittleEndian.AppendUint16(b, h)
	return string(append(b, make([]byte, 20)...))
}

func manyFrames(t testing.TB) []byte {
	t.Helper()
	g := &gif.GIF{}
	for range 200 {
		g.Image, g.Delay = append(g.Image, image.NewPaletted(image.Rect(0, 0, 64, 64), palette.Plan9)), append(g.Delay, 0)
	}
	var b bytes.Buffer
	if err := gif.EncodeAll(&b, g); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func box(brand string) []byte {
	return append([]byte("\x00\x00\x00\x18ftyp"+brand+"\x00\x00\x00\x00mif1"+brand), make([]byte, 100)...)
}

type refused struct {
	name string
	kind string
	b    []byte
	want string // code
}

// bombs are pictures that would cost too much, and what is no picture.
func bombs(t testing.TB) []refused {
	data := chunk("IDAT", deflated(t, strings.Repeat("\x00", 1<<20)))
	zero := strings.Repeat("\x00", 100)
	return []refused{
		{"PNG of 268 megapixels", "image/png", pngOf(pngHeader(16384, 16384, 8, 2), data), "photo.too_many_pixels"},
		{"PNG of 65 megapixels", "image/png", pngOf(pngHeader(8126, 8000, 8, 0), data), "photo.too_many_pixels"},
		{"PNG as wide as can be", "image/png", pngOf(pngHeader(1<<31-1, 1, 8, 2), data), "photo.too_many_pixels"},
		{"PNG as large as can be", "image/png", pngOf(pngHeader(1<<32-1, 1<<32-1, 16, 6), data), "photo.too_many_pixels"},
		{"PNG of sixteen bits", "image/png", pngOf(pngHeader(8000, 8000, 16, 6), data), "photo.too_much_work"},
		{"PNG without size", "image/png", pngOf(pngHeader(0, 100, 8, 2), data), "photo.broken"},
		{"PNG that moves", "image/png", pngOf(pngHeader(10, 10, 8, 2), chunk("acTL", "\x00\x00\x00\x02\x00\x00\x00\x00"), data), "photo.moving_refused"},
		{"PNG of chunks", "image/png", pngOf(pngHeader(10, 10, 8, 2), bytes.Repeat(chunk("tEXt", ""), 5000), data), "photo.broken"},
		{"PNG with a chunk longer than it is", "image/png", append(pngOf(pngHeader(10, 10, 8, 2))[:33], 0xff, 0xff, 0xff, 0xff, 'I', 'D', 'A', 'T', 0, 0, 0, 0), "photo.broken"},
		{"PNG without a picture", "image/png", pngOf(pngHeader(10, 10, 8, 2)), "photo.broken"},
		{"PNG with two headers", "image/png", pngOf(pngHeader(10, 10, 8, 2), pngHeader(16384, 16384, 8, 2), data), "photo.broken"},
		{"JPEG of 5,000 scans", "image/jpeg", jpegOf(frame(0xc2, 1000, 1000, 1, 0x11), scans(5000)), "photo.too_many_scans"},
		{"JPEG of 1,000 scans", "image/jpeg", jpegOf(frame(0xc2, 1000, 1000, 3, 0x22), scans(1000)), "photo.too_many_scans"},
		{"JPEG of 65 scans", "image/jpeg", jpegOf(frame(0xc0, 8, 8, 1, 0x11), scans(65)), "photo.too_many_scans"},
		{"JPEG of few scans of much", "image/jpeg", jpegOf(frame(0xc2, 7000, 7000, 1, 0x11), scans(20)), "photo.too_many_scans"},
		{"JPEG as large as can be", "image/jpeg", jpegOf(frame(0xc0, 65535, 65535, 3, 0x22), scans(1)), "photo.too_many_pixels"},
		{"JPEG that builds up in full colour", "image/jpeg", jpegOf(frame(0xc2, 7900, 8000, 3, 0x11), scans(3)), "photo.too_much_work"},
		{"JPEG with two frames", "image/jpeg", jpegOf(frame(0xc0, 8, 8, 1, 0x11), frame(0xc0, 65535, 65535, 1, 0x11), scans(1)), "photo.broken"},
		{"JPEG whose height comes later", "image/jpeg", jpegOf(frame(0xc0, 8, 0, 1, 0x11), scans(1)), "photo.broken"},
		{"JPEG of segments", "image/jpeg", jpegOf(bytes.Repeat(segment(0xfe, ""), 5000), frame(0xc0, 8, 8, 1, 0x11), scans(1)), "photo.broken"},
		{"JPEG of twelve bits", "image/jpeg", jpegOf(segment(0xc1, "\x0c\x00\x08\x00\x08\x01\x01\x11\x00"), scans(1)), "photo.jpeg_form_unknown"},
		{"JPEG of another coding", "image/jpeg", jpegOf(segment(0xc9, "\x08\x00\x08\x00\x08\x01\x01\x11\x00"), scans(1)), "photo.jpeg_form_unknown"},
		{"JPEG cut short", "image/jpeg", asJPEG(t, noise(64, 64))[:2000], "photo.broken"},
		{"JPEG with rubbish between", "image/jpeg", jpegOf(frame(0xc0, 8, 8, 1, 0x11), []byte("rubbish"), scans(1)), "photo.broken"},
		{"JPEG of three bytes and a script", "image/jpeg", []byte("\xff\xd8\xff<script>alert(1)</script>"), "photo.broken"},
		{"WebP that moves", "image/webp", webpOf(riffChunk("VP8X", "\x02"+zero[:9]), riffChunk("ANIM", zero[:6]), riffChunk("ANMF", zero)), "photo.moving_refused"},
		{"WebP of 268 megapixels", "image/webp", webpOf(riffChunk("VP8 ", vp8Header(16383, 16383))), "photo.too_many_pixels"},
		{"lossless WebP of 268 megapixels", "image/webp", webpOf(riffChunk("VP8L", "\x2f\xff\xff\xff\x0f"+zero)), "photo.too_many_pixels"},
		{"WebP with a chunk longer than it is", "image/webp", append(webpOf(), "VP8 \xff\xff\xff\xff"...), "photo.broken"},
		{"GIF of 200 frames", "image/gif", manyFrames(t), "photo.kind_refused"},
		{"GIF said to be PNG", "image/png", manyFrames(t), "photo.kind_mismatch"},
		{"HEIC", "image/heic", box("heic"), "photo.heic_refused"},
		{"HEIC said to be JPEG", "image/jpeg", box("heix"), "photo.heic_refused"},
		{"AVIF", "image/avif", box("avif"), "photo.kind_refused"},
		{"AVIF said to be JPEG", "image/jpeg", box("avif"), "photo.kind_mismatch"},
		{"a film", "image/jpeg", box("isom"), "photo.heic_refused"}, // its other brand here is that of HEIC
		{"TIFF", "image/tiff", []byte(tiff(binary.LittleEndian, 1)), "photo.kind_refused"},
		{"TIFF said to be JPEG", "image/jpeg", []byte(tiff(binary.BigEndian, 1)), "photo.kind_mismatch"},
		{"SVG", "image/svg+xml", []byte(`<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`), "photo.kind_refused"},
		{"SVG said to be PNG", "image/png", []byte(` <?xml version="1.0"?><svg/>`), "photo.kind_mismatch"},
		{"HTML said to be JPEG", "image/jpeg", []byte("<!doctype html><script>alert(1)</script>"), "photo.kind_mismatch"},
		{"JPEG said to be PNG", "image/png", asJPEG(t, corner(8, 8)), "photo.kind_mismatch"},
		{"a paper", "image/jpeg", []byte("%PDF-1.7\n"), "photo.kind_mismatch"},
		{"nothing", "image/jpeg", nil, "photo.kind_mismatch"},
		{"no kind", "", asJPEG(t, corner(8, 8)), "photo.kind_refused"},
		{"data that is no picture", "image/png", pngOf(pngHeader(100, 100, 8, 2), chunk("IDAT", "no")), "photo.broken"},
	}
}

// TestBombsAreRefusedSmall sends pictures that cost too much and what is no
// picture at all: each is refused with its code, and takes next to no memory.
// How long it took is told, not judged.
func TestBombsAreRefusedSmall(t *testing.T) {
	k := photo.NewBaker()
	all := bombs(t)
	if len(all) < 23 {
		t.Fatalf("%d bombs", len(all))
	}
	for _, tt := range all {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		_, err := k.Bake(t.Context(), tt.kind, tt.b)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		f, ok := err.(*fault.Error)
		if !ok || f.Code != tt.want {
			t.Errorf("%s: %v, want %s", tt.name, err, tt.want)
			continue
		}
		if f.Kind != fault.Meaning && f.Kind != fault.Media {
			t.Errorf("%s is refused as kind %d", tt.name, f.Kind)
		}
		if grown := after.TotalAlloc - before.TotalAlloc; grown > 64<<20 {
			t.Errorf("%s took %d MiB before it was refused", tt.name, grown>>20)
		}
		t.Logf("%-38s %8s, %6d kB", tt.name, took.Round(time.Microsecond), (after.TotalAlloc-before.TotalAlloc)>>10)
	}
}

// TestHEICWordsLeadOut looks for what somebody with a tablet has to change.
func TestHEICWordsLeadOut(t *testing.T) {
	t.Parallel()
	_, err := photo.NewBaker().Bake(t.Context(), "image/heic", box("heic"))
	f, ok := err.(*fault.Error)
	if !ok || f.Kind != fault.Media {
		t.Fatalf("%v", err)
	}
	for _, words := range []string{"iPhone", "Most Compatible", "Android", "JPEG"} {
		if !strings.Contains(f.Message, words) {
			t.Errorf("nothing of %q in %q", words, f.Message)
		}
	}
}

// buildsUp writes a grey JPEG that builds up, with the least data its passes
// can have: one of the means of blocks, the rest of empty runs.
func buildsUp(w, h, passes int) []byte {
	blocks := ((w + 7) / 8) * ((h + 7) / 8)
	quant := segment(0xdb, "\x00"+strings.Repeat("\x01", 64))
	// Tables of one code of one bit: for the means, no difference; for the
	// rest, a run of 2^14 empty blocks and more.
	dc := segment(0xc4, "\x00\x01"+strings.Repeat("\x00", 15)+"\x00")
	ac := segment(0xc4, "\x10\x01"+strings.Repeat("\x00", 15)+"\xe0")
	parts := [][]byte{quant, frame(0xc2, w, h, 1, 0x11), dc, ac,
		append(segment(0xda, "\x01\x01\x00\x00\x00\x00"), make([]byte, blocks/8+1)...)}
	var runs msb
	for left := blocks; left > 0; {
		n := min(left, 1<<15-1)
		n = max(n, 1<<14)
		runs.put(0, 1)
		runs.put(uint(n-1<<14), 14)
		left -= n
	}
	for range passes - 1 {
		parts = append(parts, append(segment(0xda, "\x01\x01\x00\x01\x3f\x00"), runs.out...))
	}
	return jpegOf(parts...)
}

// msb writes from the highest bit on, a zero byte behind every 0xff.
type msb struct {
	out  []byte
	free uint
}

func (b *msb) put(v uint, count uint) {
	for i := range count {
		if b.free == 0 {
			if n := len(b.out); n > 0 && b.out[n-1] == 0xff {
				b.out = append(b.out, 0)
			}
			b.out, b.free = append(b.out, 0), 8
		}
		b.free--
		b.out[len(b.out)-1] |= byte(v>>(count-1-i)&1) << b.free
	}
}

// TestWorstThatPasses bakes what comes close to the bounds and tells what it
// took: it has to be taken, since a camera might make it.
func TestWorstThatPasses(t *testing.T) {
	if os.Getenv("BENCHTAG_LONG") == "" {
		t.Skip("opens large pictures for some seconds; BENCHTAG_LONG=1 runs it")
	}
	for _, tt := range []struct {
		name, kind string
		b          []byte
	}{
		{"grey, 60 megapixels in 9 passes", "image/jpeg", buildsUp(7700, 7800, 9)},
		{"grey, 9 megapixels in 64 passes", "image/jpeg", buildsUp(3000, 3000, 64)},
		{"PNG of 64 megapixels", "image/png", pngOf(pngHeader(8000, 8000, 8, 0), chunk("IDAT", deflated(t, strings.Repeat("\x00", 8001*8000))))},
	} {
		k := photo.NewBaker()
		k.Hurry(time.Minute, time.Minute)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		_, err := k.Bake(t.Context(), tt.kind, tt.b)
		runtime.ReadMemStats(&after)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		t.Logf("%s (%d kB): %s, %d MiB", tt.name, len(tt.b)>>10, time.Since(start).Round(time.Millisecond), (after.TotalAlloc-before.TotalAlloc)>>20)
	}
}
