package photo

import (
	"encoding/binary"

	"benchtag/internal/fault"
)

// lookWebP walks the chunks of a WebP (RFC 9649) and keeps the picture alone:
// a transparent ground, which no camera makes, is left out.
func lookWebP(b []byte) (seen, error) {
	out := seen{kind: kindWebP, orientation: 1}
	var image []byte
	size := int64(binary.LittleEndian.Uint32(b[4:])) + 8
	end := int(min(size, int64(len(b))))
	at := 12
	for range maxParts {
		if at+8 > end {
			break
		}
		length := int64(binary.LittleEndian.Uint32(b[at+4:]))
		if length > int64(end-at-8) {
			return seen{}, broken("a chunk is longer than the file")
		}
		name, content := string(b[at:at+4]), b[at+8:at+8+int(length)]
		switch name {
		case "ANIM", "ANMF":
			return seen{}, fault.New(fault.Meaning, "photo.moving_refused", "This picture moves; send a still one.")
		case "EXIF":
			out.orientation = orientationOf(trimExif(content))
		case "ICCP":
			out.icc = content
		case "VP8 ", "VP8L":
			if image != nil {
				return seen{}, broken("two pictures")
			}
			image = b[at : at+8+int(length)]
			if err := out.sizeWebP(name, content); err != nil {
				return seen{}, err
			}
		}
		at += 8 + int(length+length&1)
	}
	if image == nil {
		return seen{}, broken("no picture inside")
	}
	out.parts = riff(image)
	return out, nil
}

// trimExif takes off a heading that some writers put before the EXIF data.
func trimExif(b []byte) []byte {
	if len(b) > 6 && string(b[:6]) == "Exif\x00\x00" {
		return b[6:]
	}
	return b
}

// riff wraps one chunk up as a file.
func riff(chunk []byte) []byte {
	pad := len(chunk) & 1
	out := make([]byte, 12, 12+len(chunk)+pad)
	copy(out, "RIFF")
	binary.LittleEndian.PutUint32(out[4:], uint32(4+len(chunk)+pad))
	copy(out[8:], "WEBP")
	out = append(out, chunk...)
	return append(out, make([]byte, pad)...)
}

// sizeWebP reads width and height: RFC 6386, 9.1, and RFC 9649, 3.4.
func (s *seen) sizeWebP(name string, b []byte) error {
	if name == "VP8L" {
		if len(b) < 5 || b[0] != 0x2f {
			return broken("a header that is none")
		}
		bits := binary.LittleEndian.Uint32(b[1:])
		s.width, s.height = int(bits&0x3fff)+1, int(bits>>14&0x3fff)+1
		s.work = 8 * int64(s.width) * int64(s.height) // the picture and what turns it into one
		return nil
	}
	if len(b) < 10 || b[0]&1 != 0 || b[3] != 0x9d || b[4] != 0x01 || b[5] != 0x2a {
		return broken("a header that is none")
	}
	s.width, s.height = int(binary.LittleEndian.Uint16(b[6:])&0x3fff), int(binary.LittleEndian.Uint16(b[8:])&0x3fff)
	s.work = 2 * int64(s.width) * int64(s.height)
	return nil
}
