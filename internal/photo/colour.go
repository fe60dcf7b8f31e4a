package photo

import (
	"encoding/binary"
	"math"
)

// conversion brings the colours of a wide-gamut display to sRGB.
type conversion struct {
	matrix [9]float64 // linear, row by row
	linear [256]float64
}

// conversionOf reads a colour profile (ICC.1:2022) of three primaries, as
// telephones write for Display P3, and tells whether its colours differ from
// those of sRGB to the eye. A profile of another kind is left out, and its
// colours taken for sRGB: for what a photo proves here that is near enough.
func conversionOf(profile []byte) (conversion, bool) {
	if len(profile) < 132 || string(profile[36:40]) != "acsp" || string(profile[16:20]) != "RGB " || string(profile[20:24]) != "XYZ " {
		return conversion{}, false
	}
	var own [9]float64
	for i, name := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		xyz, ok := tagXYZ(profile, name)
		if !ok {
			return conversion{}, false
		}
		own[i], own[3+i], own[6+i] = xyz[0], xyz[1], xyz[2]
	}
	c := conversion{matrix: times(fromD50(), own)}
	apart := 0.0
	for i, v := range c.matrix {
		one := 0.0
		if i%4 == 0 {
			one = 1
		}
		apart = max(apart, math.Abs(v-one))
	}
	if apart < 0.02 || apart > 2 || math.IsNaN(apart) {
		return conversion{}, false
	}
	// Display P3 has the curve of sRGB (IEC 61966-2-1); others lie close to it.
	for i := range c.linear {
		v := float64(i) / 255
		c.linear[i] = v / 12.92
		if v > 0.04045 {
			c.linear[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return c, true
}

// fromD50 takes colours as profiles write them, seen under D50, to linear
// sRGB (the inverse of the sRGB primaries adapted by Bradford; from memory).
func fromD50() [9]float64 {
	return [9]float64{3.1338561, -1.6168667, -0.4906146, -0.9787684, 1.9161415, 0.0334540, 0.0719453, -0.2289914, 1.4052427}
}

func times(a, b [9]float64) (out [9]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += a[3*i+k] * b[3*k+j]
			}
		}
	}
	return out
}

// tagXYZ finds a colour of the profile, in fixed-point numbers.
func tagXYZ(profile []byte, name string) (xyz [3]float64, ok bool) {
	count := min(int64(binary.BigEndian.Uint32(profile[128:])), 100)
	for i := range count {
		entry := 132 + 12*i
		if entry+12 > int64(len(profile)) {
			return xyz, false
		}
		if string(profile[entry:entry+4]) != name {
			continue
		}
		at := int64(binary.BigEndian.Uint32(profile[entry+4:]))
		if at+20 > int64(len(profile)) || string(profile[at:at+4]) != "XYZ " {
			return xyz, false
		}
		for j := range xyz {
			xyz[j] = float64(int32(binary.BigEndian.Uint32(profile[at+8+4*int64(j):]))) / 65536
		}
		return xyz, true
	}
	return xyz, false
}

// rows converts each row.
func (c conversion) rows(from rows, width int) rows {
	curve := c.curve()
	return func(y int, rgb []uint8) {
		from(y, rgb)
		for x := range width {
			p := rgb[3*x : 3*x+3 : 3*x+3]
			r, g, b := c.linear[p[0]], c.linear[p[1]], c.linear[p[2]]
			for i := range p {
				v := c.matrix[3*i]*r + c.matrix[3*i+1]*g + c.matrix[3*i+2]*b
				p[i] = curve[int(min(max(v, 0), 1)*(curveSteps-1)+0.5)]
			}
		}
	}
}

// curveSteps is how finely the way back is laid out: twelve bits leave no step
// of eight bits out but in the deepest black.
const curveSteps = 4096

// curve leads from linear light back to eight bits (IEC 61966-2-1).
func (c conversion) curve() *[curveSteps]uint8 {
	var out [curveSteps]uint8
	for i := range out {
		v := float64(i) / (curveSteps - 1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		out[i] = uint8(v*255 + 0.5)
	}
	return &out
}
