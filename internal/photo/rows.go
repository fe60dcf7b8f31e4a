package photo

import (
	"image"
	"image/color"
)

// rows gives a picture row by row as red, green and blue, on white where it is
// transparent. y counts from the picture's own top.
type rows func(y int, rgb []uint8)

// rowsOf reads the kinds of image that the decoders make without a detour;
// any other pixel by pixel.
func rowsOf(img image.Image) rows {
	b := img.Bounds()
	switch m := img.(type) {
	case *image.YCbCr:
		return func(y int, rgb []uint8) { rowYCbCr(m, b, b.Min.Y+y, rgb) }
	case *image.Gray:
		return func(y int, rgb []uint8) {
			from := m.PixOffset(b.Min.X, b.Min.Y+y)
			for x := range b.Dx() {
				v := m.Pix[from+x]
				rgb[3*x], rgb[3*x+1], rgb[3*x+2] = v, v, v
			}
		}
	case *image.RGBA:
		return func(y int, rgb []uint8) { rowRGBA(m.Pix[m.PixOffset(b.Min.X, b.Min.Y+y):], b.Dx(), rgb) }
	case *image.NRGBA:
		return func(y int, rgb []uint8) { rowNRGBA(m.Pix[m.PixOffset(b.Min.X, b.Min.Y+y):], b.Dx(), rgb) }
	}
	return func(y int, rgb []uint8) {
		for x := range b.Dx() {
			r, g, bl, a := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			white := 0xffff - a
			rgb[3*x], rgb[3*x+1], rgb[3*x+2] = uint8((r+white)>>8), uint8((g+white)>>8), uint8((bl+white)>>8)
		}
	}
}

func rowYCbCr(m *image.YCbCr, b image.Rectangle, y int, rgb []uint8) {
	from := m.YOffset(b.Min.X, y)
	for x := range b.Dx() {
		c := m.COffset(b.Min.X+x, y)
		rgb[3*x], rgb[3*x+1], rgb[3*x+2] = color.YCbCrToRGB(m.Y[from+x], m.Cb[c], m.Cr[c])
	}
}

// rowRGBA reads colours that are multiplied by their opacity already.
func rowRGBA(pix []uint8, width int, rgb []uint8) {
	for x := range width {
		p := pix[4*x : 4*x+4 : 4*x+4]
		white := 0xff - p[3]
		rgb[3*x], rgb[3*x+1], rgb[3*x+2] = p[0]+white, p[1]+white, p[2]+white
	}
}

func rowNRGBA(pix []uint8, width int, rgb []uint8) {
	for x := range width {
		p := pix[4*x : 4*x+4 : 4*x+4]
		if p[3] == 0xff {
			rgb[3*x], rgb[3*x+1], rgb[3*x+2] = p[0], p[1], p[2]
			continue
		}
		for i := range 3 {
			rgb[3*x+i] = uint8((uint32(p[i])*uint32(p[3]) + 255*uint32(0xff-p[3]) + 127) / 255)
		}
	}
}
