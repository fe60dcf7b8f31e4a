package debris

// Class is a class of wear particle by its shape and size, as analysts of oil
// name them.
type Class string

// The classes.
const (
	// RubbingWear: smooth platelets to 15 µm, and any free metal below 5 µm that
	// is no sphere (ASTM D7898-14).
	RubbingWear Class = "rubbing"
	// SevereSliding: above 15 µm and several times longer than wide (ASTM
	// D7898-14); several is taken as three.
	SevereSliding Class = "severe_sliding"
	// Cutting: wire-like loops and spirals (ASTM D7898-14).
	Cutting Class = "cutting"
	// FatigueChunk: above 5 µm and no more than three times longer than thick.
	// From memory.
	FatigueChunk Class = "fatigue_chunk"
	// Laminar: above 20 µm and more than thirty times longer than thick. From
	// memory.
	Laminar Class = "laminar"
	// FatigueSphere: spheres of 1 to 5 µm, from cracks in rolling bearings. From
	// memory.
	FatigueSphere Class = "fatigue_sphere"
)

// Classes lists them all.
func Classes() []Class {
	return []Class{RubbingWear, SevereSliding, Cutting, FatigueChunk, Laminar, FatigueSphere}
}

// ClassOf names the class of a metal particle; "" where shape and size do not
// tell, and for what is no metal. A class says how it came off, and not how bad
// that is.
func ClassOf(e Entry) Class {
	if !e.material().metal() {
		return ""
	}
	size := e.size()
	switch {
	case e.Form == Curl:
		return Cutting
	case e.Form == Sphere:
		if size >= micrometre && size <= 5*micrometre {
			return FatigueSphere
		}
		return ""
	case size == 0:
		return ""
	case size < 5*micrometre:
		return RubbingWear
	}
	return e.byProportion(size)
}

func (e Entry) byProportion(size Nanometres) Class {
	flat := e.Thickness > 0 && size > 30*e.Thickness
	thick := e.Thickness > 0 && size <= 3*e.Thickness || e.Thickness == 0 && e.Form == Chunk
	switch {
	case thick && size > 5*micrometre:
		return FatigueChunk
	case size <= Rubbing:
		return RubbingWear
	case e.Width > 0 && size >= 3*e.Width:
		return SevereSliding
	case flat && size > 20*micrometre:
		return Laminar
	}
	return ""
}
