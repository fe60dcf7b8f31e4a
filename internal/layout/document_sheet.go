package layout

import "benchtag/internal/measure"

// Sheet is a limit sheet.
type Sheet struct {
	Format   string   `json:"format"` // SheetFormat
	Code     Key      `json:"code"`
	Revision int64    `json:"revision"`
	Title    string   `json:"title"`
	Example  bool     `json:"example"`
	Notice   string   `json:"notice"`
	Map      Key      `json:"map"` // code of the map it is for
	For      For      `json:"for"`
	Sources  []Source `json:"sources"`
	Limits   []Limit  `json:"limits"`
	Torques  []Torque `json:"torques"`
}

// For says which machines a sheet is for. An example sheet names none.
type For struct {
	Make     string `json:"make,omitempty"`
	Model    string `json:"model,omitempty"`
	YearFrom int64  `json:"year_from,omitempty"`
	YearTo   int64  `json:"year_to,omitempty"`
}

// Source is where figures come from.
type Source struct {
	Key   Key        `json:"key"`
	Kind  SourceKind `json:"kind"`
	Title string     `json:"title"`
	Page  string     `json:"page,omitempty"`
	Note  string     `json:"note,omitempty"`
}

// SourceKind says what sort of source it is. An example decides nothing except
// in a shop that is a demonstration.
type SourceKind string

// The kinds of source.
const (
	FromMaker    SourceKind = "maker"    // the maker's service manual
	FromStandard SourceKind = "standard" // a published standard
	FromShop     SourceKind = "shop"     // the shop's own, from parts it has measured
	FromExample  SourceKind = "example"  // invented
)

// Limit is what a measured point may be.
type Limit struct {
	Point   Key   `json:"point"`
	New     Range `json:"new"`
	Service Range `json:"service"`
	Source  Key   `json:"source"`
	// NearPercent is the share of the wear allowance left below which a part
	// is near its limit; 0 stands for 10.
	NearPercent int64 `json:"near_percent,omitempty"`
	// Rule is the decision rule, where it is not the shop's.
	Rule string `json:"rule,omitempty"`
}

// Range is a least and a most, each with its unit; nil where there is none.
type Range struct {
	Min *Amount `json:"min,omitempty"`
	Max *Amount `json:"max,omitempty"`
}

// Amount is a quantity in a document.
type Amount struct {
	Value string       `json:"value"` // decimal text
	Unit  measure.Unit `json:"unit"`
}

// Torque is how a joint is drawn.
type Torque struct {
	Fastening Key     `json:"fastening"`
	Stages    []Stage `json:"stages"`
	Source    Key     `json:"source"`
}

// Stage is one pull: to a torque, or by an angle, or loosened again.
type Stage struct {
	Torque   *Amount `json:"torque,omitempty"`
	AngleDeg int64   `json:"angle_deg,omitempty"`
	Loosen   bool    `json:"loosen,omitempty"`
}
