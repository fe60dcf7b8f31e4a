package app_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// writes keeps every Write apart.
type writes struct {
	parts [][]byte
	fail  int // refuse from this write on; 0 is never
}

func (w *writes) Write(p []byte) (int, error) {
	if w.fail > 0 && len(w.parts)+1 >= w.fail {
		return 0, errors.New("the client is gone")
	}
	w.parts = append(w.parts, bytes.Clone(p))
	return len(p), nil
}

func (w *writes) text() string { return string(bytes.Join(w.parts, nil)) }

func (s *flowShop) export(want app.HistoryWanted) *writes {
	s.t.Helper()
	w := &writes{}
	if err := s.app.ExportHistory(s.ctx, s.who, want, w); err != nil {
		s.t.Fatal(err)
	}
	return w
}

// csvRows reads CSV back with another implementation, each row by column name.
func csvRows(t *testing.T, text string) []map[string]string {
	t.Helper()
	table, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("not CSV: %v\n%s", err, text)
	}
	var names []string
	for _, c := range app.HistoryColumns() {
		names = append(names, c.Name)
	}
	if len(table) == 0 || !cmp.Equal(table[0], names) {
		t.Fatalf("the header is %v", table)
	}
	rows := make([]map[string]string, len(table)-1)
	for i, cells := range table[1:] {
		rows[i] = map[string]string{}
		for k, text := range cells {
			if text != "" {
				rows[i][names[k]] = text
			}
		}
	}
	return rows
}

// story is a visit with one record of each kind and struck ones.
func (s *flowShop) story() {
	s.t.Helper()
	s.visit()
	s.insert(&shop.IntakeFacts{ID: s.order, Odometer: shop.Quantity{Value: "12345", Unit: "[mi_i]", Entered: "12345 mi"},
		LeaveToRide: shop.YesNoYes, Intent: shop.IntentKeep, OldParts: shop.OldPartsDispose, Origin: s.made()})
	s.complaint(func(c *shop.Complaint) { c.Words = "it says \"clack\",\nthen stops" })
	s.finding(func(f *shop.Finding) {
		f.Component, f.EffectiveGrade, f.DamageMode, f.FirstCause = "cush drive", grade(3), shop.DamageModePerished, true
		f.SafeToRide, f.Advised, f.Note = shop.YesNoNo, shop.AdvisedReplace, " play"
	})
	s.line(func(l *shop.Line) { l.Minutes, l.UnitPrice, l.State = 50, 9001, shop.LineStateAgreed }) // 75.008333
	s.line(func(l *shop.Line) {
		l.Kind, l.Minutes, l.QuantityMilli, l.UnitPrice, l.Description, l.PartNumber = shop.LineKindPart, 0, 2500, 199, "=HYPERLINK(\"x\")", "-77"
		l.State = shop.LineStateDone // 4.975, half up 4.98
	})
	s.line(func(l *shop.Line) {
		at := s.clock.Now()
		l.State, l.StruckAt, l.StruckBy, l.StruckReason = shop.LineStateStruck, &at, s.who.StaffID, "typed twice"
	})
}

func TestHistoryCSV(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	edit(s, string(s.mach), func(m *shop.Machine) {
		year := int64(1998)
		m.VIN, m.Plate, m.Year, m.FrameNumber = "11111111111111111", "+AB 1", &year, "EX4"
	})
	s.story()
	text := s.export(app.HistoryWanted{Format: app.HistoryCSV}).text()
	if strings.Count(text, "\n") != strings.Count(text, "\r\n")+1 { // one bare line break stands in the complaint
		t.Error("a row does not end in CRLF")
	}
	rows := csvRows(t, text)
	shared := map[string]string{"work_order": "1", "opened_at": "2026-03-02T09:00:00Z", "customer": "Invented Person", "make": "Example", "model": "One",
		"year": "1998", "vin": "11111111111111111", "frame_number": "EX4", "plate": "'+AB 1", "odometer_in": "12345", "odometer_unit": "[mi_i]",
		"job_id": string(s.job), "job": "Chain slack", "job_kind": "request", "job_stage": "intake", "currency": "USD", "tax_mode": "exclusive"}
	own := []map[string]string{
		{"record": "job", "job_total": "79.99"},
		{"record": "complaint", "complaint_words": "it says \"clack\",\nthen stops", "complaint_symptom": "noise"},
		{"record": "finding", "finding_component": "cush drive", "finding_grade": "3", "finding_damage": "perished", "finding_first_cause": "yes",
			"finding_safe_to_ride": "no", "finding_advised": "replace", "finding_note": " play"},
		{"record": "line", "line_kind": "labour", "line_description": "adjust the chain", "line_minutes": "50", "line_unit_price": "90.01",
			"line_amount": "75.01", "line_certainty": "certain", "line_state": "agreed"},
		{"record": "line", "line_kind": "part", "line_description": "'=HYPERLINK(\"x\")", "line_part_number": "'-77", "line_quantity": "2.5", "line_unit_price": "1.99",
			"line_amount": "4.98", "line_certainty": "certain", "line_state": "done"},
		{"record": "line", "line_kind": "labour", "line_description": "adjust the chain", "line_minutes": "30", "line_unit_price": "90.00",
			"line_amount": "45.00", "line_certainty": "certain", "line_state": "struck", "struck_because": "typed twice"},
	}
	for _, row := range own {
		for k, v := range shared {
			row[k] = v
		}
	}
	for _, row := range rows {
		if row["record_id"] == "" {
			t.Errorf("no id: %v", row)
		}
		delete(row, "record_id")
	}
	if diff := cmp.Diff(own, rows); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
}

// TestHistoryTotalOfATakenBackJob counts what was done, not what was agreed
// and never done.
func TestHistoryTotalOfATakenBackJob(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.story()
	edit(s, string(s.job), func(j *shop.Job) { j.Stage = shop.StageWithdrawn })
	rows := csvRows(t, s.export(app.HistoryWanted{Format: app.HistoryCSV}).text())
	if got := rows[0]["job_total"]; got != "4.98" {
		t.Errorf("total %s, want 4.98: the labour was agreed and never done", got)
	}
}

// TestHistoryFormulas sends what a spreadsheet could take for a formula
// through every text a person can type.
func TestHistoryFormulas(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	payloads := []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠1", "=cmd|' /C calc'!A0", "\x00=1"}
	s.visit()
	for _, p := range payloads {
		s.finding(func(f *shop.Finding) { f.Note = strings.ReplaceAll(p, "\x00", "") })
	}
	plain := "a=1"
	s.finding(func(f *shop.Finding) { f.Note = plain })
	seen := 0
	for _, row := range csvRows(t, s.export(app.HistoryWanted{Format: app.HistoryCSV}).text()) {
		if note := row["finding_note"]; note != "" && note != plain {
			seen++
			if note[0] != '\'' {
				t.Errorf("%q can be a formula", note)
			}
		} else if note == plain {
			seen++
		}
	}
	if seen != len(payloads)+1 {
		t.Errorf("%d notes seen, want %d", seen, len(payloads)+1)
	}
}

func TestHistoryJSONLines(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.story()
	s.visit()
	text := s.export(app.HistoryWanted{Format: app.HistoryJSONL}).text()
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if len(lines) != 2 {
		t.Fatalf("%d lines, want 2", len(lines))
	}
	var first struct {
		WorkOrder  int64                             `json:"work_order"`
		ClosedAt   *string                           `json:"closed_at"`
		Machine    map[string]any                    `json:"machine"`
		OdometerIn *shop.Quantity                    `json:"odometer_in"`
		Total      struct{ Amount, Currency string } `json:"job_total"`
		Complaints []map[string]any                  `json:"complaints"`
		Findings   []map[string]any                  `json:"findings"`
		Lines      []struct {
			Description string                            `json:"line_description"`
			Quantity    *string                           `json:"line_quantity"`
			Minutes     *int64                            `json:"line_minutes"`
			Amount      struct{ Amount, Currency string } `json:"line_amount"`
			Struck      string                            `json:"struck_because"`
		} `json:"lines"`
	}
	if err := json.Unmarshal([]byte(lines[0]), &first); err != nil {
		t.Fatal(err)
	}
	if first.WorkOrder != 1 || first.ClosedAt != nil || first.Machine["make"] != "Example" || first.OdometerIn == nil || first.OdometerIn.Entered != "12345 mi" ||
		first.Total.Amount != "79.99" || first.Total.Currency != "USD" || len(first.Complaints) != 1 || len(first.Findings) != 1 || len(first.Lines) != 3 {
		t.Fatalf("the job: %s", lines[0])
	}
	if got := first.Lines[1]; got.Description != `=HYPERLINK("x")` || got.Quantity == nil || *got.Quantity != "2.5" || got.Minutes != nil || got.Amount.Amount != "4.98" {
		t.Errorf("the part: %+v", got)
	}
	if got := first.Lines[0]; got.Quantity != nil || got.Minutes == nil || *got.Minutes != 50 || first.Lines[2].Struck != "typed twice" {
		t.Errorf("the labour: %+v", got)
	}
	if !strings.Contains(lines[1], `"complaints":[],"findings":[],"lines":[]`) {
		t.Errorf("a job without records: %s", lines[1])
	}
}

// TestHistoryStreams proves that a long history comes in stretches, whole and
// once, and that its first byte does not wait for the rest.
func TestHistoryStreams(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	const jobs = 250
	s.write(func(tx app.Tx) error {
		for n := range jobs - 1 {
			job := &shop.Job{ID: shop.JobID(s.src.ID()), WorkOrderID: s.order, Title: fmt.Sprint(n), Kind: shop.JobKindRequest, Stage: shop.StageClosed, StageSince: tx.Now()}
			if err := tx.Insert(job); err != nil {
				return err
			}
		}
		return nil
	})
	for _, format := range app.HistoryFormats() {
		w := s.export(app.HistoryWanted{Format: format, Machine: s.mach})
		seen := map[string]int{}
		for _, id := range regexp.MustCompile(`01990000-[0-9a-f-]{27}`).FindAllString(w.text(), -1) {
			seen[id]++
		}
		stretches := 3
		if format == app.HistoryCSV {
			stretches = 4 // the header comes by itself
		}
		if len(w.parts) != stretches || len(seen) != jobs {
			t.Errorf("%s: %d stretches with %d jobs, want %d with %d", format, len(w.parts), len(seen), stretches, jobs)
		}
		for _, p := range w.parts {
			if n := bytes.Count(p, []byte("\n")); n > 100 {
				t.Errorf("%s: a stretch of %d lines", format, n)
			}
		}
		gone := &writes{fail: 3}
		if err := s.app.ExportHistory(s.ctx, s.who, app.HistoryWanted{Format: format}, gone); err == nil || len(gone.parts) != 2 {
			t.Errorf("%s: a client that goes away: %d stretches, %v", format, len(gone.parts), err)
		}
	}
	ctx, cancel := context.WithCancel(s.ctx)
	cancel()
	if err := s.app.ExportHistory(ctx, s.who, app.HistoryWanted{Format: app.HistoryCSV}, &writes{}); err == nil {
		t.Error("an export whose time is up goes on")
	}
}

func TestHistoryRefused(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	stale := s.who
	stale.AuthTime = s.clock.Now().Add(-5*time.Minute - time.Second)
	program := auth.Principal{ShopID: flowShopID, Kind: auth.KindNobody}
	csvWanted := app.HistoryWanted{Format: app.HistoryCSV}
	for _, tt := range []struct {
		name string
		who  auth.Principal
		want app.HistoryWanted
		code string // "" is allowed
	}{
		{"a fresh sign-in", s.who, csvWanted, ""},
		{"the program itself", program, csvWanted, ""},
		{"an old sign-in", stale, csvWanted, "app.sign_in_afresh"},
		{"one machine by an old sign-in", stale, app.HistoryWanted{Format: app.HistoryJSONL, Machine: s.mach}, ""},
		{"a machine that is not there", s.who, app.HistoryWanted{Format: app.HistoryCSV, Machine: shop.MachineID(s.src.ID())}, "shop.not_found"},
		{"a format that is none", s.who, app.HistoryWanted{Format: "xlsx"}, "app.format_unknown"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			before, err := s.app.SecurityEvents(s.ctx, s.who, app.Page{})
			if err != nil {
				t.Fatal(err)
			}
			w := &writes{}
			err = s.app.ExportHistory(s.ctx, tt.who, tt.want, w)
			after, listErr := s.app.SecurityEvents(s.ctx, s.who, app.Page{})
			if listErr != nil {
				t.Fatal(listErr)
			}
			if tt.code == "" {
				if err != nil || len(w.parts) == 0 || len(after) != len(before)+1 || after[0].Kind != "history.exported" || after[0].StaffID != tt.who.StaffID {
					t.Errorf("%v; %d stretches; the owner reads %+v", err, len(w.parts), after)
				}
				return
			}
			var f *fault.Error
			if !errors.As(err, &f) || f.Code != tt.code || len(w.parts) != 0 || len(after) != len(before) {
				t.Errorf("got %v after %d stretches and %d notes, want %s", err, len(w.parts), len(after)-len(before), tt.code)
			}
		})
	}
}

// TestHistoryStaysInItsShop looks for another shop's canary in the exports.
func TestHistoryStaysInItsShop(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.story()
	const foreign = shop.ShopID("01980000-0000-7000-8000-000000000002")
	who := s.who
	who.ShopID = foreign
	err := s.store.Write(s.ctx, foreign, func(_ context.Context, tx app.Tx) error {
		if err := tx.ClaimSlug("valley"); err != nil {
			return err
		}
		for _, row := range []app.Noun{
			&shop.Shop{ID: foreign, Name: "Valley", Slug: "valley", Currency: "EUR", TaxMode: shop.TaxModeExclusive, Rounding: "half_up", TimeZone: "UTC"},
			&shop.Staff{ID: s.who.StaffID, Login: "ann", Name: "Ann", Roles: shop.RoleValues()},
			&shop.Customer{ID: s.cust, Name: "canary", Kind: shop.CustomerKindPerson, ContactBy: shop.ContactByPhone},
			&shop.Machine{ID: s.mach, CustomerID: s.cust, VINVerdict: shop.VINVerdictUnknown, Make: "canary", Model: "canary"},
			&shop.WorkOrder{ID: s.order, Number: 1, MachineID: s.mach, CustomerID: s.cust, Channel: shop.ChannelWalkIn, OpenedBy: s.who.StaffID, OpenedAt: tx.Now()},
			&shop.Job{ID: s.job, WorkOrderID: s.order, Title: "canary", Kind: shop.JobKindRequest, Stage: shop.StageIntake, StageSince: tx.Now()},
			&shop.Job{ID: shop.JobID(s.src.ID()), WorkOrderID: s.order, Title: "canary", Kind: shop.JobKindRequest, Stage: shop.StageIntake, StageSince: tx.Now()},
			&shop.Finding{ID: shop.FindingID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Component: "canary", Pieces: shop.PiecesNone, SafeToRide: shop.YesNoYes},
		} {
			if err := tx.Insert(row); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range app.HistoryFormats() {
		for _, machine := range []shop.MachineID{"", s.mach} {
			want := app.HistoryWanted{Format: format, Machine: machine}
			if text := s.export(want).text(); strings.Contains(text, "canary") || !strings.Contains(text, "cush drive") {
				t.Errorf("%s of %q: %s", format, machine, text)
			}
			w := &writes{}
			if err := s.app.ExportHistory(s.ctx, who, want, w); err != nil || !strings.Contains(w.text(), "canary") || strings.Contains(w.text(), "cush drive") {
				t.Errorf("the other shop's %s of %q: %v: %s", format, machine, err, w.text())
			}
		}
	}
}

func TestHistoryColumns(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	name := regexp.MustCompile(`^[a-z]+(_[a-z]+)*$`)
	for _, c := range app.HistoryColumns() {
		if seen[c.Name] || !name.MatchString(c.Name) || c.Meaning == "" {
			t.Errorf("the column %+v", c)
		}
		seen[c.Name] = true
	}
	if len(seen) < 30 {
		t.Errorf("%d columns", len(seen))
	}
}
