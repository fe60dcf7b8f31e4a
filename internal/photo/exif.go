package photo

import "encoding/binary"

// tagOrientation says how the camera was held (EXIF 2.32, 4.6.5.1, tag 274).
const tagOrientation = 0x0112

// orientationOf reads the orientation out of EXIF data, which is a TIFF file
// (TIFF 6.0, section 2); 1, upright, where it says none. Nothing else of it is
// read.
func orientationOf(b []byte) int {
	const upright = 1
	if len(b) < 8 {
		return upright
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch string(b[:4]) {
	case "II*\x00":
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return upright
	}
	at := int64(order.Uint32(b[4:]))
	if at < 8 || at+2 > int64(len(b)) {
		return upright
	}
	entries := int64(order.Uint16(b[at:]))
	for i := range entries {
		entry := at + 2 + 12*i
		if entry+12 > int64(len(b)) {
			return upright
		}
		if order.Uint16(b[entry:]) != tagOrientation {
			continue
		}
		if order.Uint16(b[entry+2:]) != 3 || order.Uint32(b[entry+4:]) != 1 { // one SHORT
			return upright
		}
		o := int(order.Uint16(b[entry+8:]))
		if o < 1 || o > 8 {
			return upright
		}
		return o
	}
	return upright
}
