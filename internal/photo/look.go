package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"benchtag/internal/fault"
)

// kind is what a picture is by its first bytes.
type kind string

const (
	kindJPEG kind = "image/jpeg"
	kindPNG  kind = "image/png"
	kindWebP kind = "image/webp"
	kindHEIC kind = "image/heic"
	kindAVIF kind = "image/avif"
	kindGIF  kind = "image/gif"
	kindTIFF kind = "image/tiff"
	kindBMP  kind = "image/bmp"
	kindText kind = "text" // HTML, SVG and what else begins with a <
	kindNone kind = ""
)

// The bounds of what is decoded.
const (
	maxPixels = 64_000_000 // of a picture, by its header
	maxScans  = 64         // of a JPEG; an ordinary one that builds up has ten
	// maxWork is the most memory that decoding may ask for by the header, in
	// bytes: a builder of 64 megapixels with a colour for each would take a
	// gigabyte.
	maxWork = 320 << 20
	// maxScanWork bounds pixels times scans of a JPEG: every scan goes over
	// the whole picture, however few bytes it has.
	maxScanWork = 600_000_000
	maxParts    = 4_096 // segments or chunks of a file
)

// seen is what a look at the header tells, with the picture's own parts put
// together anew: what is decoded holds nothing but what was looked at.
type seen struct {
	kind          kind
	width, height int
	orientation   int    // 1 to 8 (EXIF 2.32, tag 0x0112)
	parts         []byte // the picture, its metadata left out
	work          int64  // bytes that decoding will ask for
	icc           []byte // a colour profile; nil for none
}

// sniff tells what bytes are by how they begin.
func sniff(b []byte) kind {
	switch {
	case bytes.HasPrefix(b, []byte("\xff\xd8\xff")):
		return kindJPEG
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return kindPNG
	case len(b) >= 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "WEBP":
		return kindWebP
	case len(b) >= 12 && string(b[4:8]) == "ftyp":
		return sniffBox(b)
	case bytes.HasPrefix(b, []byte("GIF8")):
		return kindGIF
	case bytes.HasPrefix(b, []byte("II*\x00")), bytes.HasPrefix(b, []byte("MM\x00*")), bytes.HasPrefix(b, []byte("II+\x00")), bytes.HasPrefix(b, []byte("MM\x00+")):
		return kindTIFF
	case bytes.HasPrefix(b, []byte("BM")):
		return kindBMP
	case bytes.HasPrefix(bytes.TrimLeft(bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")), " \t\r\n"), []byte("<")):
		return kindText
	}
	return kindNone
}

// sniffBox tells the two pictures in the box format (ISO/IEC 14496-12) apart
// by their brands; a film is neither.
func sniffBox(b []byte) kind {
	size := min(int(binary.BigEndian.Uint32(b)), len(b), 256)
	for at := 8; at+4 <= size; at += 4 {
		switch string(b[at : at+4]) {
		case "avif", "avis":
			return kindAVIF
		case "heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "msf1":
			return kindHEIC
		}
	}
	return kindNone
}

// heicWords tell somebody with a telephone or a tablet in hand what to change.
const heicWords = "This picture is in HEIC form, which not every browser can show. " +
	"On an iPhone or iPad: Settings, Camera, Formats, choose \"Most Compatible\", then take the picture again. " +
	"On Android: in the camera's settings switch off HEIF or \"high efficiency pictures\", so that it takes JPEG. " +
	"A picture already taken can be sent as JPEG: take a screenshot of it, or send it to yourself by mail, which turns it into JPEG."

// look finds out what a picture is and bounds it, without decoding. What is
// declared has to be what the bytes are.
func look(declared string, b []byte) (seen, error) {
	is := sniff(b)
	if is == kindHEIC || declared == "image/heic" || declared == "image/heif" {
		return seen{}, fault.New(fault.Media, "photo.heic_refused", heicWords)
	}
	switch kind(declared) {
	case kindJPEG, kindPNG, kindWebP:
	default:
		return seen{}, fault.New(fault.Media, "photo.kind_refused", "Send a picture as image/jpeg, image/png or image/webp; GIF, TIFF, AVIF, SVG and films are not taken.")
	}
	if is != kind(declared) {
		return seen{}, mismatch(is, declared)
	}
	var s seen
	var err error
	switch is {
	case kindJPEG:
		s, err = lookJPEG(b)
	case kindPNG:
		s, err = lookPNG(b)
	default:
		s, err = lookWebP(b)
	}
	if err != nil {
		return seen{}, err
	}
	return s, s.bound()
}

func mismatch(is kind, declared string) error {
	words := "The bytes are no picture of the kind that Content-Type says; "
	switch is {
	case kindJPEG, kindPNG, kindWebP:
		words += "they are " + string(is) + ": say so."
	case kindNone, kindText:
		words += "send a JPEG, PNG or WebP picture."
	default:
		words += "they are " + string(is) + ", which is not taken: send a JPEG, PNG or WebP picture."
	}
	return fault.New(fault.Meaning, "photo.kind_mismatch", words)
}

// bound refuses what would be too much to decode.
func (s seen) bound() error {
	if s.width < 1 || s.height < 1 {
		return broken("the picture has no size")
	}
	if int64(s.width)*int64(s.height) > maxPixels {
		return fault.New(fault.Meaning, "photo.too_many_pixels", fmt.Sprintf("The picture has %d × %d pixels; send one of at most 64 megapixels.", s.width, s.height))
	}
	if s.work > maxWork {
		return fault.New(fault.Meaning, "photo.too_much_work", "The picture would take too much memory to open; send it smaller, or as an ordinary JPEG.")
	}
	return nil
}

// broken says that a picture cannot be read; what is for the log.
func broken(what string) error {
	return fault.New(fault.Meaning, "photo.broken", "The picture cannot be read: it is damaged or cut short. Take or send it again.").Because(cause(what))
}

// cause is a reason for the log.
type cause string

// Error gives the reason.
func (c cause) Error() string { return "photo: " + string(c) }
