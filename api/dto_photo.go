package api

import (
	"fmt"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// MarkPoint is a place on the stored copy, in pixels from the left and the top.
type MarkPoint struct {
	X int64 `json:"x"`
	Y int64 `json:"y"`
}

// MarkIn is something drawn on a photo, as clients send it.
type MarkIn struct {
	Kind        string      `json:"kind"`
	Points      []MarkPoint `json:"points"`
	Text        string      `json:"text"`
	Known       *QuantityIn `json:"known"`
	KnownWithin *QuantityIn `json:"known_within"`
}

// Mark is something drawn on a photo.
type Mark struct {
	Kind        string      `json:"kind"`
	Points      []MarkPoint `json:"points"`
	Text        string      `json:"text"`
	Known       *Quantity   `json:"known"`
	KnownWithin *Quantity   `json:"known_within"`
}

// PhotoLength is what a marked length comes to by the photo's scale.
type PhotoLength struct {
	Mark        int64     `json:"mark"`
	Length      Quantity  `json:"length"`
	Uncertainty *Quantity `json:"uncertainty"`
	Indicative  bool      `json:"indicative"`
	Working     []string  `json:"working"`
}

// PhotoIn is what a client sends of a photo.
type PhotoIn struct {
	FindingID   *string  `json:"finding_id"`
	Shows       string   `json:"shows"`
	ForCustomer bool     `json:"for_customer"`
	FileName    string   `json:"file_name"`
	Marks       []MarkIn `json:"marks"`
	CapturedAt  *string  `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in PhotoIn) onto(c *conv, n *shop.Photo) {
	n.FindingID = shop.FindingID(text(in.FindingID))
	n.Shows, n.ForCustomer, n.FileName = in.Shows, in.ForCustomer, in.FileName
	n.Marks = make([]shop.Mark, len(in.Marks))
	for i, m := range in.Marks {
		at := fmt.Sprintf("/marks/%d", i)
		one := shop.Mark{Kind: shop.MarkKind(m.Kind), Text: m.Text,
			Known: c.quantityOpt(at+"/known", m.Known), KnownWithin: c.quantityOpt(at+"/known_within", m.KnownWithin)}
		for _, p := range m.Points {
			one.Points = append(one.Points, shop.MarkPoint(p))
		}
		n.Marks[i] = one
	}
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// PhotoView is a photo as clients see it.
type PhotoView struct {
	ID             string        `json:"id"`
	Version        int64         `json:"version"`
	WorkOrderID    string        `json:"work_order_id"`
	JobID          string        `json:"job_id"`
	FindingID      *string       `json:"finding_id"`
	Shows          string        `json:"shows"`
	ForCustomer    bool          `json:"for_customer"`
	FileName       string        `json:"file_name"`
	MediaType      string        `json:"media_type"`
	SizeBytes      int64         `json:"size_bytes"`
	OriginalBytes  int64         `json:"original_bytes"`
	OriginalSHA256 string        `json:"original_sha256"`
	StoredSHA256   string        `json:"stored_sha256"`
	Width          int64         `json:"width"`
	Height         int64         `json:"height"`
	Marks          []Mark        `json:"marks"`
	Lengths        []PhotoLength `json:"lengths"`
	StoredAt       *string       `json:"stored_at"`
	DamagedAt      *string       `json:"damaged_at"`
	ErasedAt       *string       `json:"erased_at"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func photoView(_ money.Currency, n shop.Photo) PhotoView {
	v := PhotoView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID), JobID: string(n.JobID), FindingID: orNull(n.FindingID),
		Shows: n.Shows, ForCustomer: n.ForCustomer, FileName: n.FileName,
		MediaType: n.MediaType, SizeBytes: n.SizeBytes, OriginalBytes: n.OriginalBytes,
		OriginalSHA256: n.OriginalSHA256, StoredSHA256: n.StoredSHA256, Width: n.Width, Height: n.Height,
		Marks: make([]Mark, len(n.Marks)), Lengths: []PhotoLength{},
		StoredAt: instantOptView(n.StoredAt), DamagedAt: instantOptView(n.DamagedAt), ErasedAt: instantOptView(n.ErasedAt),
		StruckView: struckView(n.Struck), OriginView: originView(n.Origin),
		CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
	for i, m := range n.Marks {
		v.Marks[i] = Mark{Kind: string(m.Kind), Points: make([]MarkPoint, len(m.Points)), Text: m.Text,
			Known: quantityView(m.Known), KnownWithin: quantityView(m.KnownWithin)}
		for j, p := range m.Points {
			v.Marks[i].Points[j] = MarkPoint(p)
		}
	}
	for _, l := range app.PhotoLengths(n) {
		v.Lengths = append(v.Lengths, PhotoLength{Mark: int64(l.Mark), Length: Quantity(l.Length), Uncertainty: quantityView(l.Uncertainty), Indicative: true, Working: l.Working})
	}
	return v
}
