package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"

	"benchtag/internal/fault"
)

// pngWalk goes through the chunks of a PNG (ISO/IEC 15948).
type pngWalk struct {
	out         seen
	depth, form byte
	seenHeader  bool
	data        int
}

// lookPNG walks the chunks and puts together those that make the picture.
func lookPNG(b []byte) (seen, error) {
	w := &pngWalk{out: seen{kind: kindPNG, orientation: 1}}
	w.out.parts = append(make([]byte, 0, len(b)), b[:8]...)
	at := 8
	for range maxParts {
		if at+12 > len(b) {
			return seen{}, broken("cut short at a chunk")
		}
		size := int64(binary.BigEndian.Uint32(b[at:]))
		if size > int64(len(b)-at-12) {
			return seen{}, broken("a chunk is longer than the file")
		}
		end := at + 12 + int(size)
		name := string(b[at+4 : at+8])
		if err := w.chunk(name, b[at+8:end-4]); err != nil {
			return seen{}, err
		}
		switch name {
		case "IHDR", "PLTE", "tRNS", "IDAT", "IEND":
			w.out.parts = append(w.out.parts, b[at:end]...)
		}
		if name == "IEND" {
			return w.end()
		}
		at = end
	}
	return seen{}, broken("more chunks than a picture has")
}

func (w *pngWalk) chunk(name string, b []byte) error {
	if !w.seenHeader && name != "IHDR" {
		return broken("no header first")
	}
	switch name {
	case "IHDR":
		return w.header(b)
	case "acTL", "fcTL", "fdAT":
		return fault.New(fault.Meaning, "photo.moving_refused", "This picture moves; send a still one.")
	case "eXIf":
		w.out.orientation = orientationOf(b)
	case "IDAT":
		w.data += len(b)
	case "iCCP":
		w.out.icc = inflated(b)
	}
	return nil
}

func (w *pngWalk) header(b []byte) error {
	if w.seenHeader || len(b) != 13 {
		return broken("a header that is none")
	}
	w.seenHeader = true
	width, height := binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:])
	if width > 1<<20 || height > 1<<20 {
		return fault.New(fault.Meaning, "photo.too_many_pixels", "The picture is wider or higher than a million pixels; send a smaller one.")
	}
	w.out.width, w.out.height = int(width), int(height)
	w.depth, w.form = b[8], b[9]
	return nil
}

func (w *pngWalk) end() (seen, error) {
	if w.data == 0 {
		return seen{}, broken("no picture inside")
	}
	perPixel := int64(4)
	switch {
	case w.form == 0 && w.depth <= 8, w.form == 3:
		perPixel = 1
	case w.form == 0:
		perPixel = 2
	case w.depth == 16:
		perPixel = 8
	}
	w.out.work = int64(w.out.width) * int64(w.out.height) * perPixel
	return w.out, nil
}

// maxProfile bounds a colour profile once unpacked, in bytes; those of screens
// hold a few kilobytes.
const maxProfile = 64 << 10

// inflated unpacks a profile chunk, name first; nil where it is none.
func inflated(b []byte) []byte {
	_, packed, ok := bytes.Cut(b, []byte{0})
	if !ok || len(packed) < 2 || packed[0] != 0 {
		return nil
	}
	r, err := zlib.NewReader(bytes.NewReader(packed[1:]))
	if err != nil {
		return nil
	}
	whole, err := io.ReadAll(io.LimitReader(r, maxProfile))
	if err != nil {
		return nil
	}
	return whole
}
