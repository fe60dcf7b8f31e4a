package photo

import (
	"context"
	"image"
)

// size is width and height in pixels.
type size struct{ w, h int }

// within gives the size whose long edge is at most so many pixels, of the same
// shape.
func (s size) within(longEdge int) size {
	long := max(s.w, s.h)
	if long <= longEdge {
		return s
	}
	fit := func(edge int) int { return max(1, (edge*longEdge+long/2)/long) }
	return size{fit(s.w), fit(s.h)}
}

// shrink makes a smaller picture, each pixel the mean of the area it stands
// for; of the same size it is a copy. Rows come one at a time, so that it
// takes no more memory than what it makes.
func shrink(ctx context.Context, from rows, is, to size) (*image.RGBA, error) {
	out := image.NewRGBA(image.Rect(0, 0, to.w, to.h))
	row := make([]uint8, 3*is.w)
	if is == to {
		for y := range is.h {
			from(y, row)
			for x := range is.w {
				copy(out.Pix[out.PixOffset(x, y):], []uint8{row[3*x], row[3*x+1], row[3*x+2], 0xff})
			}
		}
		return out, nil
	}
	narrow, sum := make([]float32, 3*to.w), make([]float32, 3*to.w)
	tall := float32(is.h) / float32(to.h)
	y := 0 // of what is made
	left := tall
	for s := range is.h {
		if s%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		from(s, row)
		squeeze(row, is.w, narrow, to.w)
		part := min(1, left)
		add(sum, narrow, part)
		left -= part
		if left > 1e-4 && s < is.h-1 {
			continue
		}
		setRow(out, y, sum, tall)
		clear(sum)
		if y++; y == to.h {
			break
		}
		left = tall - (1 - part)
		add(sum, narrow, 1-part)
	}
	return out, nil
}

// squeeze makes a row narrower.
func squeeze(row []uint8, width int, out []float32, to int) {
	wide := float32(width) / float32(to)
	for x := range to {
		begin, end := float32(x)*wide, min(float32(x+1)*wide, float32(width))
		var r, g, b, whole float32
		for i := int(begin); i < width && float32(i) < end; i++ {
			part := min(float32(i+1), end) - max(float32(i), begin)
			r += part * float32(row[3*i])
			g += part * float32(row[3*i+1])
			b += part * float32(row[3*i+2])
			whole += part
		}
		out[3*x], out[3*x+1], out[3*x+2] = r/whole, g/whole, b/whole
	}
}

func add(sum, row []float32, part float32) {
	if part <= 0 {
		return
	}
	for i, v := range row {
		sum[i] += part * v
	}
}

func setRow(out *image.RGBA, y int, sum []float32, tall float32) {
	at := out.PixOffset(0, y)
	for x := range len(sum) / 3 {
		for i := range 3 {
			out.Pix[at+4*x+i] = uint8(min(sum[3*x+i]/tall+0.5, 255))
		}
		out.Pix[at+4*x+3] = 0xff
	}
}

// upright turns a picture as its orientation says (EXIF 2.32, tag 274).
func upright(in *image.RGBA, orientation int) *image.RGBA {
	if orientation < 2 || orientation > 8 {
		return in
	}
	w, h := in.Rect.Dx(), in.Rect.Dy()
	to := size{w, h}
	if orientation >= 5 {
		to = size{h, w}
	}
	out := image.NewRGBA(image.Rect(0, 0, to.w, to.h))
	for y := range to.h {
		for x := range to.w {
			sx, sy := source(orientation, x, y, size{w, h})
			copy(out.Pix[out.PixOffset(x, y):], in.Pix[in.PixOffset(sx, sy):][:4])
		}
	}
	return out
}

// source tells which pixel of the picture as stored stands at x, y of the
// upright one.
func source(orientation, x, y int, is size) (int, int) {
	switch orientation {
	case 2: // mirrored
		return is.w - 1 - x, y
	case 3: // upside down
		return is.w - 1 - x, is.h - 1 - y
	case 4:
		return x, is.h - 1 - y
	case 5:
		return y, x
	case 6: // to be turned clockwise
		return y, is.h - 1 - x
	case 7:
		return is.w - 1 - y, is.h - 1 - x
	case 8:
		return is.w - 1 - y, x
	}
	return x, y
}
