package app

import (
	"bytes"
	"encoding/json"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// The shape of a line of the repair history as JSON Lines: one job with all
// its records. Names and meanings are those of HistoryColumns; what has no
// data is null.
type (
	historyJob struct {
		WorkOrder  int64              `json:"work_order"`
		OpenedAt   *string            `json:"opened_at"`
		ClosedAt   *string            `json:"closed_at"`
		Customer   string             `json:"customer"`
		Machine    historyMachine     `json:"machine"`
		OdometerIn *shop.Quantity     `json:"odometer_in"`
		JobID      shop.JobID         `json:"job_id"`
		Job        string             `json:"job"`
		Kind       shop.JobKind       `json:"job_kind"`
		Stage      shop.Stage         `json:"job_stage"`
		Total      historyMoney       `json:"job_total"`
		TaxMode    shop.TaxMode       `json:"tax_mode"`
		Complaints []historyComplaint `json:"complaints"`
		Findings   []historyFinding   `json:"findings"`
		Lines      []historyLine      `json:"lines"`
	}
	historyMachine struct {
		Make        string `json:"make"`
		Model       string `json:"model"`
		Year        *int64 `json:"year"`
		VIN         string `json:"vin"`
		FrameNumber string `json:"frame_number"`
		Plate       string `json:"plate"`
	}
	historyMoney struct {
		Amount   string         `json:"amount"`
		Currency money.Currency `json:"currency"`
	}
	historyComplaint struct {
		ID      shop.ComplaintID `json:"record_id"`
		Words   string           `json:"complaint_words"`
		Symptom shop.Symptom     `json:"complaint_symptom"`
		Answer  shop.Answer      `json:"complaint_answer"`
		Again   shop.Again       `json:"complaint_again"`
		Struck  string           `json:"struck_because"`
	}
	historyFinding struct {
		ID         shop.FindingID  `json:"record_id"`
		Component  string          `json:"finding_component"`
		Grade      *int64          `json:"finding_grade"`
		Damage     shop.DamageMode `json:"finding_damage"`
		FirstCause bool            `json:"finding_first_cause"`
		SafeToRide shop.YesNo      `json:"finding_safe_to_ride"`
		Advised    shop.Advised    `json:"finding_advised"`
		Note       string          `json:"finding_note"`
		Struck     string          `json:"struck_because"`
	}
	historyLine struct {
		ID          shop.LineID    `json:"record_id"`
		Kind        shop.LineKind  `json:"line_kind"`
		Description string         `json:"line_description"`
		PartNumber  string         `json:"line_part_number"`
		Quantity    *string        `json:"line_quantity"`
		Minutes     *int64         `json:"line_minutes"`
		UnitPrice   historyMoney   `json:"line_unit_price"`
		Amount      historyMoney   `json:"line_amount"`
		Certainty   shop.Certainty `json:"line_certainty"`
		State       shop.LineState `json:"line_state"`
		Struck      string         `json:"struck_because"`
	}
)

// jsonRecords writes a job and all its records as one line.
func jsonRecords(out *bytes.Buffer, books historyBooks, row *HistoryRow) error {
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	return e.Encode(jsonJob(books, row))
}

func jsonJob(books historyBooks, row *HistoryRow) historyJob {
	m := row.Machine
	out := historyJob{
		WorkOrder: row.WorkOrder.Number, OpenedAt: orNone(moment(&row.WorkOrder.OpenedAt)), ClosedAt: orNone(moment(row.WorkOrder.ClosedAt)),
		Customer: row.Customer,
		Machine:  historyMachine{Make: m.Make, Model: m.Model, Year: m.Year, VIN: m.VIN, FrameNumber: m.FrameNumber, Plate: m.Plate},
		JobID:    row.Job.ID, Job: row.Job.Title, Kind: row.Job.Kind, Stage: row.Job.Stage,
		Total: books.money(books.total(row.Job, row.Lines)), TaxMode: books.taxMode,
		Complaints: []historyComplaint{}, Findings: []historyFinding{}, Lines: []historyLine{},
	}
	if !row.Intake.Odometer.IsZero() {
		out.OdometerIn = &row.Intake.Odometer
	}
	for _, c := range row.Complaints {
		out.Complaints = append(out.Complaints, historyComplaint{ID: c.ID, Words: c.Words, Symptom: c.Symptom, Answer: c.Answer, Again: c.Again, Struck: c.StruckReason})
	}
	for _, f := range row.Findings {
		out.Findings = append(out.Findings, historyFinding{ID: f.ID, Component: f.Called(), Grade: f.EffectiveGrade, Damage: f.DamageMode,
			FirstCause: f.FirstCause, SafeToRide: f.SafeToRide, Advised: f.Advised, Note: f.Note, Struck: f.StruckReason})
	}
	for i := range row.Lines {
		out.Lines = append(out.Lines, jsonLine(books, &row.Lines[i]))
	}
	return out
}

func jsonLine(books historyBooks, l *shop.Line) historyLine {
	amount, _ := books.amount(l)
	out := historyLine{ID: l.ID, Kind: l.Kind, Description: l.Description, PartNumber: l.PartNumber, Quantity: orNone(lineQuantity(l)),
		UnitPrice: books.money(l.UnitPrice), Amount: books.money(amount), Certainty: l.Certainty, State: l.State, Struck: l.StruckReason}
	if l.Kind == shop.LineKindLabour {
		out.Minutes = &l.Minutes
	}
	return out
}

func (b historyBooks) money(a money.Amount) historyMoney {
	return historyMoney{Amount: a.Text(b.currency), Currency: b.currency}
}

func orNone(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
