package photo

import (
	"encoding/binary"
	"fmt"

	"benchtag/internal/fault"
)

// Markers of a JPEG (ITU-T T.81, table B.1).
const (
	markSOI  = 0xd8
	markEOI  = 0xd9
	markSOS  = 0xda
	markDQT  = 0xdb
	markDHT  = 0xc4
	markDRI  = 0xdd
	markAPP1 = 0xe1
	markAPP2 = 0xe2
	markAPPE = 0xee // says, for Adobe, what the colours mean
	markCOM  = 0xfe
)

// jpegWalk goes through the segments of a JPEG.
type jpegWalk struct {
	b           []byte
	at          int
	out         seen
	frames      int
	scans       int
	progressive bool
	components  int
	sampling    int64 // sum over the components of the share of pixels they have, in 16ths
	iccParts    map[byte][]byte
	iccTotal    byte
}

// lookJPEG walks the segments up to the end of the first picture and puts
// together those that make the picture. What follows, such as a second
// picture or a film that telephones append, is left out.
func lookJPEG(b []byte) (seen, error) {
	w := &jpegWalk{b: b, at: 2, out: seen{kind: kindJPEG, orientation: 1}, iccParts: map[byte][]byte{}}
	w.out.parts = append(make([]byte, 0, len(b)), 0xff, markSOI)
	for range maxParts {
		marker, err := w.marker()
		if err != nil {
			return seen{}, err
		}
		if marker == markEOI {
			return w.end()
		}
		if err := w.segment(marker); err != nil {
			return seen{}, err
		}
	}
	return seen{}, broken("more segments than a picture has")
}

// marker finds the next marker; fill bytes may stand before it (B.1.1.2).
func (w *jpegWalk) marker() (byte, error) {
	if w.at >= len(w.b) || w.b[w.at] != 0xff {
		return 0, broken("no marker where one must stand")
	}
	for w.at < len(w.b) && w.b[w.at] == 0xff {
		w.at++
	}
	if w.at >= len(w.b) {
		return 0, broken("cut short at a marker")
	}
	w.at++
	return w.b[w.at-1], nil
}

// segment reads one segment and keeps it if the picture needs it.
func (w *jpegWalk) segment(marker byte) error {
	if w.at+2 > len(w.b) {
		return broken("cut short at a segment")
	}
	size := int(binary.BigEndian.Uint16(w.b[w.at:]))
	if size < 2 || w.at+size > len(w.b) {
		return broken("a segment is longer than the file")
	}
	content := w.b[w.at+2 : w.at+size]
	whole := w.b[w.at : w.at+size]
	w.at += size
	switch {
	case marker == markAPP1:
		w.exif(content)
		return nil
	case marker == markAPP2:
		w.profile(content)
		return nil
	case marker == markAPPE, marker == markDQT, marker == markDHT, marker == markDRI:
	case marker == 0xc0, marker == 0xc1, marker == 0xc2:
		if err := w.frame(marker, content); err != nil {
			return err
		}
	case marker == markSOS:
		return w.scan(whole)
	case marker >= 0xe0 && marker <= 0xef, marker == markCOM:
		return nil
	default:
		return fault.New(fault.Meaning, "photo.jpeg_form_unknown", "This is a rare form of JPEG that cannot be read here; send an ordinary one.").Because(cause("an unknown marker"))
	}
	w.keep(marker, whole)
	return nil
}

func (w *jpegWalk) keep(marker byte, whole []byte) {
	w.out.parts = append(append(w.out.parts, 0xff, marker), whole...)
}

// frame reads the header of the picture (B.2.2).
func (w *jpegWalk) frame(marker byte, b []byte) error {
	w.frames++
	if w.frames > 1 {
		return broken("two frames")
	}
	if len(b) < 6 || len(b) != 6+3*int(b[5]) || (b[5] != 1 && b[5] != 3 && b[5] != 4) {
		return broken("a frame header that is none")
	}
	if b[0] != 8 {
		return fault.New(fault.Meaning, "photo.jpeg_form_unknown", "This is a rare form of JPEG that cannot be read here; send an ordinary one.").Because(cause("not eight bits"))
	}
	w.progressive, w.components = marker == 0xc2, int(b[5])
	w.out.height, w.out.width = int(binary.BigEndian.Uint16(b[1:])), int(binary.BigEndian.Uint16(b[3:]))
	largest, sum := int64(1), int64(0)
	for i := range w.components {
		share := b[7+3*i]
		h, v := int64(share>>4), int64(share&15)
		if h < 1 || h > 4 || v < 1 || v > 4 {
			return broken("a component without sampling")
		}
		largest, sum = max(largest, h*v), sum+h*v
	}
	w.sampling = 16 * sum / largest
	return nil
}

// scan keeps a scan's header and its entropy-coded data, in which every 0xff
// is followed by 0x00 or by a restart marker (B.1.1.5).
func (w *jpegWalk) scan(header []byte) error {
	w.scans++
	if w.frames == 0 {
		return broken("a scan before the frame")
	}
	if w.scans > maxScans {
		return fault.New(fault.Meaning, "photo.too_many_scans", fmt.Sprintf("This JPEG builds up in more than %d passes, which no camera does; send an ordinary one.", maxScans))
	}
	from := w.at
	for w.at+1 < len(w.b) {
		if w.b[w.at] == 0xff {
			next := w.b[w.at+1]
			if next != 0 && (next < 0xd0 || next > 0xd7) {
				break
			}
			w.at++
		}
		w.at++
	}
	if w.at+1 >= len(w.b) {
		return broken("cut short inside a scan")
	}
	w.keep(markSOS, header)
	w.out.parts = append(w.out.parts, w.b[from:w.at]...)
	return nil
}

// end closes what was put together and reckons what decoding it takes: a byte
// for each pixel of each component, and where it builds up a coefficient of
// four bytes besides.
func (w *jpegWalk) end() (seen, error) {
	if w.frames == 0 || w.scans == 0 {
		return seen{}, broken("no picture inside")
	}
	w.out.parts = append(w.out.parts, 0xff, markEOI)
	pixels := int64(w.out.width) * int64(w.out.height)
	if pixels <= maxPixels && pixels*int64(w.scans) > maxScanWork {
		return seen{}, fault.New(fault.Meaning, "photo.too_many_scans", "This JPEG builds up in more passes than its size allows; send an ordinary one.")
	}
	perPixel := int64(1)
	if w.progressive {
		perPixel = 5
	}
	w.out.work = pixels * perPixel * w.sampling / 16
	w.out.icc = w.joinProfile()
	return w.out, nil
}

// exif takes the orientation out of an EXIF segment.
func (w *jpegWalk) exif(b []byte) {
	if len(b) > 6 && string(b[:6]) == "Exif\x00\x00" {
		w.out.orientation = orientationOf(b[6:])
	}
}

// profile collects the parts of a colour profile (ICC.1:2022, annex B.4).
func (w *jpegWalk) profile(b []byte) {
	const name = "ICC_PROFILE\x00"
	if len(b) < len(name)+2 || string(b[:len(name)]) != name {
		return
	}
	w.iccTotal = b[len(name)+1]
	w.iccParts[b[len(name)]] = b[len(name)+2:]
}

func (w *jpegWalk) joinProfile() []byte {
	var whole []byte
	for i := byte(1); i <= w.iccTotal && i < 32; i++ {
		whole = append(whole, w.iccParts[i]...)
	}
	return whole
}
