// Package shop holds the plain nouns of a motorcycle workshop and their typed
// ids. It decides nothing; the packages beside it do.
//
// A noun is stored as it stands: its fields are the columns of its table, in
// snake case. The gorm tags name the few columns that need help (quantities
// in three columns, lists as JSON, references that may be missing); they are
// text and bind this package to nothing.
package shop

import "time"

// Row is what every stored noun carries: whose it is and which version.
type Row struct {
	// ShopID is the tenant; every key starts with it.
	ShopID ShopID `gorm:"primaryKey" json:"shop_id"`
	// Version counts the changes of the row, from 1; it is the row's ETag.
	Version int64 `json:"version"`
	// CreatedAt and UpdatedAt are server times, UTC, microseconds.
	CreatedAt time.Time `json:"created_at"`
	UpdatedAt time.Time `json:"updated_at"`
}

// Head gives the row itself, for the code that counts versions.
func (r *Row) Head() *Row { return r }

// OfJob says which job of which visit a record belongs to.
type OfJob struct {
	WorkOrderID WorkOrderID `json:"work_order_id"`
	JobID       JobID       `json:"job_id"`
}

// Owner gives the job and the visit themselves, for the code that fills them.
func (o *OfJob) Owner() *OfJob { return o }

// Struck says that a record no longer counts, and why. Nothing on a work
// order is deleted.
type Struck struct {
	StruckAt     *time.Time `json:"struck_at"`
	StruckBy     StaffID    `gorm:"serializer:ref" json:"struck_by"`
	StruckReason string     `json:"struck_reason"`
}

// IsStruck reports whether the record no longer counts.
func (s Struck) IsStruck() bool { return s.StruckAt != nil }

// Strike gives the mark to strike with.
func (s *Struck) Strike() *Struck { return s }

// Origin says who recorded something, on which device, and when by the
// device's clock and by the server's.
type Origin struct {
	RecordedBy StaffID  `json:"recorded_by"`
	TabletID   TabletID `gorm:"serializer:ref" json:"tablet_id"`
	SignOnID   SignOnID `gorm:"serializer:ref" json:"sign_on_id"`
	// CapturedAt is the device's time; nil where no device said one.
	CapturedAt *time.Time `json:"captured_at"`
	// ReceivedAt is the server's time of the first arrival.
	ReceivedAt time.Time `json:"received_at"`
	// Late says that the job had moved on when it arrived.
	Late bool `json:"late"`
	// CreatedDigest and BodyDigest are SHA-256, hex, of the first and the
	// last body accepted, so that a resend is known for one.
	CreatedDigest string `json:"created_digest"`
	BodyDigest    string `json:"body_digest"`
}

// Made gives the origin itself, for the code that fills it.
func (o *Origin) Made() *Origin { return o }

// Date is a calendar day in the shop's time zone, "2026-03-01"; empty is no data.
type Date string

// ParseDate reads a day and reports whether it is one.
func ParseDate(text string) (Date, bool) {
	_, err := time.Parse(time.DateOnly, text)
	return Date(text), err == nil
}

// DateOf gives the day of an instant in a zone.
func DateOf(t time.Time, zone *time.Location) Date {
	return Date(t.In(zone).Format(time.DateOnly))
}

// Quantity is a measured value with its UCUM unit, and the text it was
// entered as; all empty is no data.
type Quantity struct {
	Value   string `json:"value"`
	Unit    string `json:"unit"`
	Entered string `json:"entered"`
}

// IsZero reports whether there is no data.
func (q Quantity) IsZero() bool { return q.Value == "" }

// OwnRule is a consent rule of the shop's own; amounts in minor units.
type OwnRule struct {
	Kind    string `json:"kind"`
	PctBP   int64  `json:"pct_bp"`
	Abs     *int64 `json:"abs_minor"`
	Cap     *int64 `json:"cap_minor"`
	AtEqual bool   `json:"at_equal"`
}

// TeardownTerms is what must be said before something is taken apart, in the
// shop's words; an empty one was not said.
type TeardownTerms struct {
	AreaOrComponent        string `json:"area_or_component"`
	TeardownCost           string `json:"teardown_cost"`
	ReassemblyCost         string `json:"reassembly_cost"`
	PartsAndLaborDestroyed string `json:"parts_and_labor_destroyed"`
	MaxReassemblyTime      string `json:"max_reassembly_time"`
	MayPreventRestoration  string `json:"may_prevent_restoration"`
}

// Given lists the names of the terms that were said.
func (t TeardownTerms) Given() []string {
	var given []string
	for _, term := range []struct{ name, said string }{
		{"area_or_component", t.AreaOrComponent},
		{"teardown_cost", t.TeardownCost},
		{"reassembly_cost", t.ReassemblyCost},
		{"parts_and_labor_destroyed", t.PartsAndLaborDestroyed},
		{"max_reassembly_time", t.MaxReassemblyTime},
		{"may_prevent_restoration", t.MayPreventRestoration},
	} {
		if term.said != "" {
			given = append(given, term.name)
		}
	}
	return given
}
