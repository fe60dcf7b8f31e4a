package photo_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"testing"
)

// corner is a picture that looks another way round in each of the eight
// orientations: red top left, green top right, blue bottom left.
func corner(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{240, 240, 240, 255}
			switch {
			case x < w/2 && y < h/2:
				c = color.RGBA{220, 20, 20, 255}
			case x >= w/2 && y < h/2:
				c = color.RGBA{20, 200, 20, 255}
			case x < w/2:
				c = color.RGBA{20, 20, 220, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	return m
}

// noise is a picture with more colours than a drawing has.
func noise(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	r := rand.New(rand.NewPCG(1, 2))
	for i := range m.Pix {
		m.Pix[i] = uint8(r.UintN(256))
	}
	for i := 3; i < len(m.Pix); i += 4 {
		m.Pix[i] = 255
	}
	return m
}

func asJPEG(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// segment writes a segment of a JPEG.
func segment(marker byte, content string) []byte {
	out := []byte{0xff, marker, 0, 0}
	binary.BigEndian.PutUint16(out[2:], uint16(len(content)+2))
	return append(out, content...)
}

// withSegments puts segments behind the start of a JPEG.
func withSegments(b []byte, segments ...[]byte) []byte {
	out := append([]byte{}, b[:2]...)
	return append(append(out, bytes.Join(segments, nil)...), b[2:]...)
}

// chunk writes a chunk of a PNG.
func chunk(name, content string) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(content)))
	out = append(append(out, name...), content...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// withChunks puts chunks behind the header of a PNG.
func withChunks(b []byte, chunks ...[]byte) []byte {
	const header = 8 + 12 + 13
	out := append([]byte{}, b[:header]...)
	return append(append(out, bytes.Join(chunks, nil)...), b[header:]...)
}

// webpOf wraps chunks up as a WebP.
func webpOf(chunks ...[]byte) []byte {
	body := bytes.Join(chunks, nil)
	out := []byte("RIFF\x00\x00\x00\x00WEBP")
	binary.LittleEndian.PutUint32(out[4:], uint32(len(body)+4))
	return append(out, body...)
}

func riffChunk(name, content string) []byte {
	out := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(content)))
	out = append(out, content...)
	if len(content)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

// webpLossless writes a WebP of the simplest lossless form (RFC 9649, 3): no
// transform, no cache, and a code of each of the 256 values at eight bits for
// every colour, written here for the test.
func webpLossless(m *image.RGBA, more ...[]byte) []byte {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	var b bits
	b.put(0x2f, 8)
	b.put(uint64(w-1), 14)
	b.put(uint64(h-1), 14)
	b.put(0, 1+3) // no alpha, version 0
	b.put(0, 1)   // no transform
	b.put(0, 1)   // no colour cache
	b.put(0, 1)   // one group of codes
	for i := range 5 {
		b.codeLengths([]int{280, 256, 256, 256, 40}[i], i < 3)
	}
	for y := range h {
		for x := range w {
			c := m.RGBAAt(x, y)
			for _, v := range []uint8{c.G, c.R, c.B} {
				b.put(uint64(reversed(v)), 8)
			}
		}
	}
	chunks := append(more, riffChunk("VP8L", string(b.out)))
	return webpOf(chunks...)
}

// bits writes from the lowest bit on.
type bits struct {
	out []byte
	n   uint
}

func (b *bits) put(v uint64, count uint) {
	for i := range count {
		if b.n%8 == 0 {
			b.out = append(b.out, 0)
		}
		b.out[len(b.out)-1] |= byte(v>>i&1) << (b.n % 8)
		b.n++
	}
}

// codeLengths writes a code: of 256 symbols eight bits long, the rest unused,
// or of symbol 0 alone (and so 255 for opacity, which then takes no bits).
func (b *bits) codeLengths(symbols int, full bool) {
	if !full {
		b.put(1, 1) // a simple code
		b.put(0, 1) // of one symbol
		b.put(1, 1) // of eight bits
		v := uint64(0)
		if symbols == 256 {
			v = 255
		}
		b.put(v, 8)
		return
	}
	b.put(0, 1) // a normal code
	// Lengths of the code of lengths, in the order 17 18 0 1 2 3 4 5 16 6 7 8:
	// 8 and 0 take one bit each.
	b.put(12-4, 4)
	for _, l := range []uint64{0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1} {
		b.put(l, 3)
	}
	b.put(0, 1) // all symbols have a length
	for i := range symbols {
		v := uint64(0) // length 0
		if i < 256 {
			v = 1 // length 8
		}
		b.put(v, 1)
	}
}

func reversed(v uint8) (out uint8) {
	for i := range 8 {
		out |= v >> i & 1 << (7 - i)
	}
	return out
}

// tiff writes EXIF data with an orientation and, as cameras do, a place: 48°
// 12.5' N, 16° 22.25' E.
func tiff(order binary.ByteOrder, orientation uint16) string {
	var b []byte
	u16 := func(v uint16) { b = appendU16(order, b, v) }
	u32 := func(v uint32) { b = appendU32(order, b, v) }
	entry := func(tag, kind uint16, count, value uint32) { u16(tag); u16(kind); u32(count); u32(value) }
	if order == binary.LittleEndian {
		b = append(b, "II*\x00"...)
	} else {
		b = append(b, "MM\x00*"...)
	}
	u32(8)
	u16(2)
	short := uint32(orientation)
	if order == binary.BigEndian {
		short <<= 16
	}
	entry(0x0112, 3, 1, short)
	entry(0x8825, 4, 1, 38)
	u32(0)
	// The place, at 38.
	u16(4)
	ref := func(c byte) uint32 {
		if order == binary.BigEndian {
			return uint32(c) << 24
		}
		return uint32(c)
	}
	entry(1, 2, 2, ref('N'))
	entry(2, 5, 3, 92)
	entry(3, 2, 2, ref('E'))
	entry(4, 5, 3, 116)
	u32(0)
	for _, v := range []uint32{48, 1, 125, 10, 0, 1, 16, 1, 2225, 100, 0, 1} {
		u32(v)
	}
	return string(b)
}

func appendU16(order binary.ByteOrder, b []byte, v uint16) []byte {
	var two [2]byte
	order.PutUint16(two[:], v)
	return append(b, two[:]...)
}

func appendU32(order binary.ByteOrder, b []byte, v uint32) []byte {
	var four [4]byte
	order.PutUint32(four[:], v)
	return append(b, four[:]...)
}

func deflated(t testing.TB, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := zlib.NewWriter(&b)
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
