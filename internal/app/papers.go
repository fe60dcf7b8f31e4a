package app

import (
	"time"

	"benchtag/internal/shop"
)

// Papers makes what is printed; see package document. The same values give
// the same bytes.
type Papers interface {
	// TagLabels prints labels of tags. Faults: document.paper_unknown,
	// document.sheet_start, document.sheet_does_not_fit.
	TagLabels(sheet LabelSheet, labels []TagLabel) ([]byte, error)
	// MachineLabel prints the label that hangs on an open machine.
	MachineLabel(paper string, label MachineLabel) ([]byte, error)
	// BenchSheet prints what the bench needs of one job.
	BenchSheet(paper string, sheet BenchSheet) ([]byte, error)
	// RecordSheet prints the record of an answer.
	RecordSheet(paper string, sheet RecordSheet) ([]byte, error)
	// FindingsSheet prints what was found on a job.
	FindingsSheet(paper string, sheet FindingsSheet) ([]byte, error)
}

// FindingsSheet is what was found on a job, for the customer's file.
type FindingsSheet struct {
	From, Machine, Job, AsOf string
	Order                    int64
	State                    string // how the open machine stands, or ""
	NotToRun                 bool
	Unsafe                   []string // what is not safe to ride with
	Concerns                 []BenchLine
	Findings                 []SheetFinding
	NotLooked                []BenchLine // what was not looked at, and why
}

// SheetFinding is one part that was looked at.
type SheetFinding struct {
	Called string
	Grade  *int64 // 0 to 4, or no data
	Rows   []WordRow
	Photos []SheetPhoto
}

// SheetPhoto is a photo with its marks drawn, or why there is none.
type SheetPhoto struct {
	Drawn   DrawnPhoto
	Caption string
	Notes   []string
	Missing string
}

// RecordSheet is the record of an answer on paper.
type RecordSheet struct {
	Title   string // what it is, of which work order
	Name    string // the number of the answer, on top of every page
	From    string // the shop, as a customer knows it
	Answer  string // in one line
	Notices []string
	Parts   []WordSection
	Notes   []string
}

// LabelSheet says on what labels are printed.
type LabelSheet struct {
	Paper string // one of the document package's label papers
	Start int64  // first place on the first sheet, from 1, so that a sheet begun can be used up
	// Margins and gaps in micrometres; nil takes the paper's own.
	MarginLeft, MarginTop, GapX, GapY *int64
}

// TagLabel is what stands on the label of one tag.
type TagLabel struct {
	Code shop.TagCode
	// Scan is the text of the QR code, ScanShort a shorter one for labels so
	// small that the modules of the first would be too fine.
	Scan, ScanShort string
	Shop            string // short name
	Unused          bool   // printed ahead: nothing but lines to write on

	Order, Number                    int64
	Machine, Holds, FromWhere, Lying string
	// State is how the open machine stands, or "".
	State string
}

// MachineLabel is what hangs on an open machine.
type MachineLabel struct {
	Shop     string
	Order    int64
	Machine  string
	Keys     int64  // how many were handed in
	Bay      string // or ""
	State    string // how it stands, or ""
	NotToRun bool   // it must not be started
	AsOf     string // when that was so, in the shop's time
}

// BenchSheet is one job on paper.
type BenchSheet struct {
	Shop, AsOf   string
	Order        int64
	Title, Stage string
	Machine      string
	State        string
	NotToRun     bool
	Complaints   []BenchLine
	Findings     []BenchFinding
	Tags         []BenchTag
	// Steps go back together in this order, each with what to beware of.
	Steps  []BenchStep
	Joints []BenchJoints
	Notes  []string
}

// BenchLine is a sentence with smaller words below it.
type BenchLine struct{ Words, Small string }

// BenchFinding is one component as it was found.
type BenchFinding struct {
	Called string
	Grade  *int64
	Words  string // how it failed and what to do with it
	Note   string
}

// BenchTag is one bag.
type BenchTag struct {
	Number  int64
	Code    shop.TagCode
	Holds   string
	Where   string // where it lies, or what became of it
	Open    bool   // nobody has said anything of it
	OnLabel string // what its label says where that is not its code
}

// BenchStep is one step of going back together.
type BenchStep struct{ Caution, Words string }

// BenchJoints are the joints to be checked before one hold point; an empty
// Before holds those of none.
type BenchJoints struct {
	Before string
	Passed bool
	Joints []BenchJoint
}

// BenchJoint is one joint to be tightened.
type BenchJoint struct {
	Words    string // component and joint
	Target   string // torque, stages, angle, dry or oiled; "" where nobody has looked it up
	Source   string
	Critical bool
	Done     bool
	Checked  bool
}

// printedTime is how a time stands on paper.
const printedTime = "2006-01-02 15:04"

func onPaper(t time.Time, zone *time.Location) string { return t.In(zone).Format(printedTime) }
