package shop

// FindingDebris is what a finding tells about loose debris: what came off the
// part, what lay at it, and how it stood as a barrier. The words are those of
// the engine spread.
type FindingDebris struct {
	// Sheds: What came off this part.
	Sheds []ShedDebris `json:"sheds"`
	// Seen: What lay at it: clean, fines or coarse; empty: not looked for.
	Seen string `json:"seen"`
	// SeenMaterials: What that was made of.
	SeenMaterials []string `json:"seen_materials"`
	// SeenWidth: Narrow side of the narrowest of those pieces; zero: not known.
	SeenWidth Quantity `json:"seen_width"`
	// Bypass: For a filter, whether its bypass stayed shut: sound, opened or
	// not_known; empty: not looked at.
	Bypass string `json:"bypass"`
	// MetalOnCleanSide: A sign that the bypass opened.
	MetalOnCleanSide bool `json:"metal_on_clean_side"`
	// CrushedPleats: Another.
	CrushedPleats bool `json:"crushed_pleats"`
	// InThroughout: Whether the element was in all the time: yes, no,
	// not_known; empty: not asked.
	InThroughout string `json:"in_throughout"`
	// NoLongerShuts: A seal or gasket that lets through what it should not.
	NoLongerShuts bool `json:"no_longer_shuts"`
}

// ShedDebris is one sort of debris that came off a part.
type ShedDebris struct {
	Material string   `json:"material"`
	Size     string   `json:"size"` // coarse or fines
	Width    Quantity `json:"width"`
}

// DebrisEntry is one sort of debris found on a plug, in a filter or in oil, in
// the words of the engine debris.
type DebrisEntry struct {
	Form     string   `json:"form"`
	Material string   `json:"material"`
	Size     Quantity `json:"size"` // the longer side
	Count    int64    `json:"count"`
}
