package api

import (
	"fmt"

	"benchtag/internal/shop"
)

// FindingDebrisIn is what a finding tells about loose debris, as clients send
// it.
type FindingDebrisIn struct {
	Sheds            []ShedDebrisIn `json:"sheds"`
	Seen             string         `json:"seen"`
	SeenMaterials    []string       `json:"seen_materials"`
	SeenWidth        *QuantityIn    `json:"seen_width"`
	Bypass           string         `json:"bypass"`
	MetalOnCleanSide bool           `json:"metal_on_clean_side"`
	CrushedPleats    bool           `json:"crushed_pleats"`
	InThroughout     string         `json:"in_throughout"`
	NoLongerShuts    bool           `json:"no_longer_shuts"`
}

// ShedDebrisIn is one sort of debris that came off a part.
type ShedDebrisIn struct {
	Material string      `json:"material"`
	Size     string      `json:"size"`
	Width    *QuantityIn `json:"width"`
}

// FindingDebris is what a finding tells about loose debris.
type FindingDebris struct {
	Sheds            []ShedDebris `json:"sheds"`
	Seen             string       `json:"seen"`
	SeenMaterials    []string     `json:"seen_materials"`
	SeenWidth        *Quantity    `json:"seen_width"`
	Bypass           string       `json:"bypass"`
	MetalOnCleanSide bool         `json:"metal_on_clean_side"`
	CrushedPleats    bool         `json:"crushed_pleats"`
	InThroughout     string       `json:"in_throughout"`
	NoLongerShuts    bool         `json:"no_longer_shuts"`
}

// ShedDebris is one sort of debris that came off a part.
type ShedDebris struct {
	Material string    `json:"material"`
	Size     string    `json:"size"`
	Width    *Quantity `json:"width"`
}

func (c *conv) debris(pointer string, in *FindingDebrisIn) *shop.FindingDebris {
	if in == nil {
		return nil
	}
	out := &shop.FindingDebris{Sheds: make([]shop.ShedDebris, len(in.Sheds)), Seen: in.Seen, SeenMaterials: list(in.SeenMaterials),
		SeenWidth: c.quantityOpt(pointer+"/seen_width", in.SeenWidth), Bypass: in.Bypass,
		MetalOnCleanSide: in.MetalOnCleanSide, CrushedPleats: in.CrushedPleats, InThroughout: in.InThroughout, NoLongerShuts: in.NoLongerShuts}
	for i, s := range in.Sheds {
		out.Sheds[i] = shop.ShedDebris{Material: s.Material, Size: s.Size, Width: c.quantityOpt(fmt.Sprintf("%s/sheds/%d/width", pointer, i), s.Width)}
	}
	return out
}

func debrisView(d *shop.FindingDebris) *FindingDebris {
	if d == nil {
		return nil
	}
	out := &FindingDebris{Sheds: make([]ShedDebris, len(d.Sheds)), Seen: d.Seen, SeenMaterials: list(d.SeenMaterials), SeenWidth: quantityView(d.SeenWidth), Bypass: d.Bypass,
		MetalOnCleanSide: d.MetalOnCleanSide, CrushedPleats: d.CrushedPleats, InThroughout: d.InThroughout, NoLongerShuts: d.NoLongerShuts}
	for i, s := range d.Sheds {
		out.Sheds[i] = ShedDebris{Material: s.Material, Size: s.Size, Width: quantityView(s.Width)}
	}
	return out
}

// DebrisEntryIn is one sort of debris found, as clients send it.
type DebrisEntryIn struct {
	Form     string      `json:"form"`
	Material string      `json:"material"`
	Size     *QuantityIn `json:"size"`
	Count    int64       `json:"count"`
}

// DebrisEntry is one sort of debris found.
type DebrisEntry struct {
	Form     string    `json:"form"`
	Material string    `json:"material"`
	Size     *Quantity `json:"size"`
	Count    int64     `json:"count"`
}

func (c *conv) entries(pointer string, in []DebrisEntryIn) []shop.DebrisEntry {
	out := make([]shop.DebrisEntry, len(in))
	for i, e := range in {
		out[i] = shop.DebrisEntry{Form: e.Form, Material: e.Material, Size: c.quantityOpt(fmt.Sprintf("%s/%d/size", pointer, i), e.Size), Count: e.Count}
	}
	return out
}

func entriesView(in []shop.DebrisEntry) []DebrisEntry {
	out := make([]DebrisEntry, len(in))
	for i, e := range in {
		out[i] = DebrisEntry{Form: e.Form, Material: e.Material, Size: quantityView(e.Size), Count: e.Count}
	}
	return out
}
