package app

import (
	"strconv"
	"strings"
	"time"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// HistoryColumn is one column of the repair history as CSV.
type HistoryColumn struct {
	Name    string
	Meaning string
}

// HistoryColumns lists the columns of the repair history, in order. A row is
// one record: a job, or a complaint, a finding or a line of the job whose row
// went before. What is known of the visit and the job stands on every row, so
// that each can be read, sorted and filtered alone; what belongs to one kind
// of record is empty on the others. New columns come at the end.
func HistoryColumns() []HistoryColumn {
	cells := historyCells()
	out := make([]HistoryColumn, len(cells))
	for i, c := range cells {
		out[i] = c.HistoryColumn
	}
	return out
}

// historyRecord is what one row of the CSV is drawn from.
type historyRecord struct {
	row       *HistoryRow
	books     historyBooks
	complaint *shop.Complaint
	finding   *shop.Finding
	line      *shop.Line
}

type historyCell struct {
	HistoryColumn
	text func(historyRecord) string
}

func cell(name, meaning string, text func(historyRecord) string) historyCell {
	return historyCell{HistoryColumn{name, meaning}, text}
}

// historyCells is the one table of columns.
func historyCells() []historyCell {
	var all []historyCell
	all = append(all, visitCells()...)
	all = append(all, complaintCells()...)
	all = append(all, findingCells()...)
	all = append(all, lineCells()...)
	return append(all, cell("struck_because", "why the record no longer counts; empty where it counts", historyRecord.struckBecause))
}

func visitCells() []historyCell {
	return []historyCell{
		cell("record", "job, complaint, finding or line", historyRecord.kind),
		cell("record_id", "id of the record", historyRecord.id),
		cell("work_order", "number of the visit", func(r historyRecord) string { return strconv.FormatInt(r.row.WorkOrder.Number, 10) }),
		cell("opened_at", "when the visit was opened, UTC (RFC 3339)", func(r historyRecord) string { return moment(&r.row.WorkOrder.OpenedAt) }),
		cell("closed_at", "when its last job ended, UTC; empty while one is open", func(r historyRecord) string { return moment(r.row.WorkOrder.ClosedAt) }),
		cell("customer", "name of who paid and decided", func(r historyRecord) string { return r.row.Customer }),
		cell("make", "maker of the machine", func(r historyRecord) string { return r.row.Machine.Make }),
		cell("model", "model of the machine", func(r historyRecord) string { return r.row.Machine.Model }),
		cell("year", "model year", func(r historyRecord) string { return whole(r.row.Machine.Year) }),
		cell("vin", "vehicle identification number", func(r historyRecord) string { return r.row.Machine.VIN }),
		cell("frame_number", "frame number of a machine without a VIN", func(r historyRecord) string { return r.row.Machine.FrameNumber }),
		cell("plate", "registration plate", func(r historyRecord) string { return r.row.Machine.Plate }),
		cell("odometer_in", "odometer when it came in", func(r historyRecord) string { return r.row.Intake.Odometer.Value }),
		cell("odometer_unit", "its unit as a UCUM code: km, or [mi_i] for miles", func(r historyRecord) string { return r.row.Intake.Odometer.Unit }),
		cell("job_id", "id of the job", func(r historyRecord) string { return string(r.row.Job.ID) }),
		cell("job", "the job in a few words", func(r historyRecord) string { return r.row.Job.Title }),
		cell("job_kind", "complaint or request", func(r historyRecord) string { return string(r.row.Job.Kind) }),
		cell("job_stage", "stage of the job; closed and withdrawn have ended", func(r historyRecord) string { return string(r.row.Job.Stage) }),
		cell("job_total", "on the job's row: sum of its lines agreed or done; once it has ended, of those done", historyRecord.jobTotal),
		cell("currency", "currency of all amounts (ISO 4217)", func(r historyRecord) string { return string(r.books.currency) }),
		cell("tax_mode", "exclusive: amounts are without tax; inclusive: with", func(r historyRecord) string { return string(r.books.taxMode) }),
	}
}

// ofComplaint, ofFinding and ofLine give a cell only on rows of their kind.
func ofComplaint(text func(*shop.Complaint) string) func(historyRecord) string {
	return func(r historyRecord) string {
		if r.complaint == nil {
			return ""
		}
		return text(r.complaint)
	}
}

func ofFinding(text func(*shop.Finding) string) func(historyRecord) string {
	return func(r historyRecord) string {
		if r.finding == nil {
			return ""
		}
		return text(r.finding)
	}
}

func ofLine(text func(historyBooks, *shop.Line) string) func(historyRecord) string {
	return func(r historyRecord) string {
		if r.line == nil {
			return ""
		}
		return text(r.books, r.line)
	}
}

func complaintCells() []historyCell {
	return []historyCell{
		cell("complaint_words", "in the customer's words", ofComplaint(func(c *shop.Complaint) string { return c.Words })),
		cell("complaint_symptom", "what kind of symptom", ofComplaint(func(c *shop.Complaint) string { return string(c.Symptom) })),
		cell("complaint_answer", "how it was answered", ofComplaint(func(c *shop.Complaint) string { return string(c.Answer) })),
		cell("complaint_again", "how it stood after the work", ofComplaint(func(c *shop.Complaint) string { return string(c.Again) })),
	}
}

func findingCells() []historyCell {
	return []historyCell{
		cell("finding_component", "component or named group", ofFinding(func(f *shop.Finding) string { return f.Called() })),
		cell("finding_grade", "condition: 0 as new, 1 serviceable, 2 near limit, 3 beyond limit, 4 failed; empty: not graded", ofFinding(func(f *shop.Finding) string { return whole(f.EffectiveGrade) })),
		cell("finding_damage", "how it failed", ofFinding(func(f *shop.Finding) string { return string(f.DamageMode) })),
		cell("finding_first_cause", "yes: where the trouble began", ofFinding(func(f *shop.Finding) string { return yesNo(f.FirstCause) })),
		cell("finding_safe_to_ride", "yes, no or not_known", ofFinding(func(f *shop.Finding) string { return string(f.SafeToRide) })),
		cell("finding_advised", "what the technician advised", ofFinding(func(f *shop.Finding) string { return string(f.Advised) })),
		cell("finding_note", "remark", ofFinding(func(f *shop.Finding) string { return f.Note })),
	}
}

func lineCells() []historyCell {
	return []historyCell{
		cell("line_kind", "labour, part, consumable, sublet or fee", ofLine(func(_ historyBooks, l *shop.Line) string { return string(l.Kind) })),
		cell("line_description", "as printed", ofLine(func(_ historyBooks, l *shop.Line) string { return l.Description })),
		cell("line_part_number", "maker's part number", ofLine(func(_ historyBooks, l *shop.Line) string { return l.PartNumber })),
		cell("line_quantity", "how many; empty for labour", ofLine(func(_ historyBooks, l *shop.Line) string { return lineQuantity(l) })),
		cell("line_minutes", "minutes of labour; empty for all else", ofLine(func(_ historyBooks, l *shop.Line) string { return lineMinutes(l) })),
		cell("line_unit_price", "price of one, or of an hour", ofLine(func(b historyBooks, l *shop.Line) string { return l.UnitPrice.Text(b.currency) })),
		cell("line_amount", "what it comes to", ofLine(historyBooks.amountText)),
		cell("line_certainty", "certain, or possible (\"if found\")", ofLine(func(_ historyBooks, l *shop.Line) string { return string(l.Certainty) })),
		cell("line_state", "proposed, agreed, done or struck", ofLine(func(_ historyBooks, l *shop.Line) string { return string(l.State) })),
	}
}

func (r historyRecord) kind() string {
	switch {
	case r.complaint != nil:
		return "complaint"
	case r.finding != nil:
		return "finding"
	case r.line != nil:
		return "line"
	}
	return "job"
}

func (r historyRecord) id() string {
	switch {
	case r.complaint != nil:
		return string(r.complaint.ID)
	case r.finding != nil:
		return string(r.finding.ID)
	case r.line != nil:
		return string(r.line.ID)
	}
	return string(r.row.Job.ID)
}

func (r historyRecord) struckBecause() string {
	switch {
	case r.complaint != nil:
		return r.complaint.StruckReason
	case r.finding != nil:
		return r.finding.StruckReason
	case r.line != nil:
		return r.line.StruckReason
	}
	return ""
}

func (r historyRecord) jobTotal() string {
	if r.kind() != "job" {
		return ""
	}
	return r.books.total(r.row.Job, r.row.Lines).Text(r.books.currency)
}

func moment(t *time.Time) string {
	if t == nil || t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

func whole(n *int64) string {
	if n == nil {
		return ""
	}
	return strconv.FormatInt(*n, 10)
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func lineQuantity(l *shop.Line) string {
	if l.Kind == shop.LineKindLabour {
		return ""
	}
	return milliText(l.QuantityMilli)
}

func lineMinutes(l *shop.Line) string {
	if l.Kind != shop.LineKindLabour {
		return ""
	}
	return strconv.FormatInt(l.Minutes, 10)
}

// milliText writes thousandths as a decimal without needless noughts.
func milliText(milli int64) string {
	text := strconv.FormatInt(milli/1000, 10)
	if rest := milli % 1000; rest != 0 {
		text += "." + strings.TrimRight(strconv.FormatInt(1000+rest, 10)[1:], "0")
	}
	return text
}

// historyBooks is how the shop reckons, as the export needs it.
type historyBooks struct {
	currency money.Currency
	taxMode  shop.TaxMode
	rounding money.Rounding
}

func booksOf(s shop.Shop) historyBooks {
	b := historyBooks{currency: money.Currency(s.Currency), taxMode: s.TaxMode, rounding: money.Rounding(s.Rounding)}
	if b.rounding.Cash() { // a cash rule rounds what is paid, not lines
		b.rounding = money.HalfUp
	}
	return b
}

// amount is what a line comes to, rounded once. A line too large to reckon
// cannot be stored, so that the amount of one is no data.
func (b historyBooks) amount(l *shop.Line) (money.Amount, bool) {
	count, of := l.QuantityMilli, int64(1000)
	if l.Kind == shop.LineKindLabour {
		count, of = l.Minutes, 60
	}
	amount, err := money.MulRatio(l.UnitPrice, count, of, b.rounding)
	return amount, err == nil
}

func (b historyBooks) amountText(l *shop.Line) string {
	amount, ok := b.amount(l)
	if !ok {
		return ""
	}
	return amount.Text(b.currency)
}

// total sums the lines agreed or done. What was agreed and never done, since
// the machine was taken back, is no part of a job that has ended.
func (b historyBooks) total(job shop.Job, lines []shop.Line) money.Amount {
	var sum money.Amount
	for i := range lines {
		due := lines[i].State == shop.LineStateAgreed && !ended(&job)
		if !due && lines[i].State != shop.LineStateDone {
			continue
		}
		amount, _ := b.amount(&lines[i])
		sum += amount
	}
	return sum
}
