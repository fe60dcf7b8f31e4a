package store_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
	"benchtag/internal/store/storetest"
)

// visitCase is a work order of a test shop. Numbers stand for ids, so that
// two shops of the same cases have the same ids.
type visitCase struct {
	number                   int
	customer, phone          string
	vin, frame, plate, model string
	stages                   []shop.Stage
}

func idOf(kind, n int) string { return fmt.Sprintf("0196%04x-0000-7000-8000-%012x", kind, n) }

const (
	kindStaff = iota + 1
	kindCustomer
	kindMachine
	kindOrder
	kindJob
	kindRecord
)

// fillShop stores the cases in a shop.
func fillShop(t *testing.T, b *storetest.Backend, number int, cases []visitCase) shop.ShopID {
	t.Helper()
	scope := storetest.NewShop(t, b, number)
	at := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	rows := []app.Noun{&shop.Staff{ID: shop.StaffID(idOf(kindStaff, 1)), Login: "ann", Name: "Ann", Roles: shop.RoleValues()}}
	jobs := 0
	for _, c := range cases {
		n := c.number
		rows = append(rows,
			&shop.Customer{ID: shop.CustomerID(idOf(kindCustomer, n)), Name: c.customer, Kind: shop.CustomerKindPerson, PhoneE164: c.phone, ContactBy: shop.ContactByPhone},
			&shop.Machine{ID: shop.MachineID(idOf(kindMachine, n)), CustomerID: shop.CustomerID(idOf(kindCustomer, n)), VIN: c.vin, FrameNumber: c.frame,
				Plate: c.plate, Make: "Example", Model: c.model, VINVerdict: shop.VINVerdictUnknown},
			&shop.WorkOrder{ID: shop.WorkOrderID(idOf(kindOrder, n)), Number: int64(n), MachineID: shop.MachineID(idOf(kindMachine, n)),
				CustomerID: shop.CustomerID(idOf(kindCustomer, n)), Channel: shop.ChannelWalkIn, OpenedBy: shop.StaffID(idOf(kindStaff, 1)), OpenedAt: at})
		for _, s := range c.stages {
			jobs++
			rows = append(rows, &shop.Job{ID: shop.JobID(idOf(kindJob, jobs)), WorkOrderID: shop.WorkOrderID(idOf(kindOrder, n)),
				Title: c.customer, Kind: shop.JobKindRequest, Stage: s, StageSince: at})
		}
	}
	insertAll(t, b, scope, rows)
	return scope
}

func insertAll(t *testing.T, b *storetest.Backend, scope shop.ShopID, rows []app.Noun) {
	t.Helper()
	err := b.Store.Write(t.Context(), scope, func(_ context.Context, tx app.Tx) error {
		for _, row := range rows {
			if err := tx.Insert(row); err != nil {
				return fmt.Errorf("insert into %s: %w", row.TableName(), err)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func searchCases() []visitCase {
	return []visitCase{
		{number: 1, customer: "Möller & Ødegård", phone: "+442079460018", vin: "XX9AB12C3DE456789", plate: "AB-12 CD", model: "Dray 400", stages: []shop.Stage{"closed", "repair"}},
		{number: 2, customer: "50% Off_Road", phone: "2079460018", frame: "EX4-1234567", plate: "ТА 9876", model: "Dray! 650", stages: []shop.Stage{"intake"}},
		{number: 3, customer: "Élan ÉTOILE", phone: "+12125550123", plate: "zz99", model: "Moor\\Path", stages: []shop.Stage{"withdrawn", "closed"}},
		{number: 4, customer: "Nobody's", model: "Heath", stages: nil},
	}
}

func TestSearch(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		theirs := searchCases()
		for i := range theirs {
			theirs[i].customer += " canary"
		}
		fillShop(t, b, 2, theirs)
		mine := fillShop(t, b, 1, searchCases())
		for _, tt := range []struct {
			name  string
			query app.SearchQuery
			want  string // numbers found, in order
		}{
			{"a number", app.SearchQuery{Text: "2"}, "2"},
			{"a number with its sign", app.SearchQuery{Text: " #3 "}, "3"},
			{"part of a name", app.SearchQuery{Text: "ller"}, "1"},
			{"a name in any case", app.SearchQuery{Text: "MÖLLER"}, "1"},
			{"a name with letters beyond ASCII written small", app.SearchQuery{Text: "ødegård"}, "1"},
			{"such a letter in capitals where it was small", app.SearchQuery{Text: "ÉLAN"}, "3"},
			{"a name that is in capitals", app.SearchQuery{Text: "étoile"}, "3"},
			{"a quote", app.SearchQuery{Text: "y's"}, "4"},
			{"SQL", app.SearchQuery{Text: "' OR 1=1 --"}, ""},
			{"a per cent sign is itself", app.SearchQuery{Text: "50%"}, "2"},
			{"a per cent sign alone", app.SearchQuery{Text: "%"}, "2"},
			{"an underscore is itself", app.SearchQuery{Text: "f_r"}, "2"},
			{"an underscore alone", app.SearchQuery{Text: "_"}, "2"},
			{"an exclamation mark is itself", app.SearchQuery{Text: "dray!"}, "2"},
			{"a backslash is itself", app.SearchQuery{Text: "r\\p"}, "3"},
			{"part of a model, newest first", app.SearchQuery{Text: "ray"}, "2 1"},
			{"the tail of a VIN", app.SearchQuery{Text: "e456789"}, "1"},
			{"the middle of a VIN", app.SearchQuery{Text: "12c3"}, ""},
			{"the tail of a frame number", app.SearchQuery{Text: "234567"}, "2"},
			{"the tail of a plate", app.SearchQuery{Text: "2 cd"}, "1"},
			{"a plate without blanks and hyphens", app.SearchQuery{Text: "ab12cd"}, "1"},
			{"a plate in letters beyond ASCII", app.SearchQuery{Text: "та9876"}, "2"},
			{"the head of a plate", app.SearchQuery{Text: "ab"}, ""},
			{"a hyphen alone", app.SearchQuery{Text: "-"}, ""},
			{"a phone number", app.SearchQuery{Text: "x", Phone: "442079460018"}, "1"},
			{"the end of a phone number", app.SearchQuery{Text: "x", Phone: "2079460018"}, "2 1"},
			{"a phone number that is a pattern", app.SearchQuery{Text: "x", Phone: "%"}, ""},
			{"nothing", app.SearchQuery{Text: "  "}, ""},
			{"in the stage of the least finished job", app.SearchQuery{Text: "ray", Stage: "repair"}, "1"},
			{"not in the stage of another job", app.SearchQuery{Text: "ray", Stage: "closed"}, ""},
			{"withdrawn is more finished than closed", app.SearchQuery{Text: "elan", Stage: "withdrawn"}, ""},
			{"without a job there is no stage", app.SearchQuery{Text: "heath", Stage: "intake"}, ""},
			{"a stage that is none", app.SearchQuery{Text: "ray", Stage: "limbo"}, ""},
			{"at most so many", app.SearchQuery{Text: "ray", Limit: 1}, "2"},
		} {
			t.Run(tt.name, func(t *testing.T) {
				if tt.query.Limit == 0 {
					tt.query.Limit = 50
				}
				var got []string
				for _, r := range found(t, b, mine, tt.query) {
					got = append(got, fmt.Sprint(r.WorkOrder.Number))
					if r.WorkOrder.ShopID != mine || r.Machine.ShopID != mine || strings.Contains(r.Customer, "canary") {
						t.Errorf("another shop's row: %+v", r)
					}
				}
				if diff := cmp.Diff(tt.want, strings.Join(got, " ")); diff != "" {
					t.Errorf("found (-want +got):\n%s", diff)
				}
			})
		}
		rows := found(t, b, mine, app.SearchQuery{Text: "llo", Limit: 50})
		if len(rows) != 0 {
			t.Errorf("found %d", len(rows))
		}
		whole := found(t, b, mine, app.SearchQuery{Text: "ller", Limit: 50})
		if len(whole) != 1 || whole[0].Customer != "Möller & Ødegård" || whole[0].Machine.Model != "Dray 400" || whole[0].Stage != shop.StageRepair {
			t.Errorf("the row found: %+v", whole)
		}
	})
}

func found(t *testing.T, b *storetest.Backend, scope shop.ShopID, q app.SearchQuery) (rows []app.FoundRow) {
	t.Helper()
	err := b.Store.Read(t.Context(), scope, func(tx app.Tx) (err error) {
		rows, err = tx.Search(q)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// TestSearchKnowsEveryStage holds the ranks inside the statement against
// those of the path, by all pairs of stages.
func TestSearchKnowsEveryStage(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		var cases []visitCase
		want := map[shop.Stage]int{}
		for _, x := range shop.StageValues() {
			for _, y := range shop.StageValues() {
				cases = append(cases, visitCase{number: len(cases) + 1, customer: "pair", stages: []shop.Stage{x, y}})
				want[shop.Stage(flow.Least([]flow.Stage{flow.Stage(x), flow.Stage(y)}))]++
			}
		}
		mine := fillShop(t, b, 1, cases)
		got := map[shop.Stage]int{}
		for _, s := range shop.StageValues() {
			for _, r := range found(t, b, mine, app.SearchQuery{Text: "pair", Stage: s, Limit: 100}) {
				got[s]++
				if r.Stage != s {
					t.Errorf("asked for %s, found one in %s", s, r.Stage)
				}
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("orders by stage (-want +got):\n%s", diff)
		}
	})
}

func TestFloor(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		cases := []visitCase{{number: 1, customer: "one", stages: shop.StageValues()}, {number: 2, customer: "two", stages: []shop.Stage{"repair"}}}
		mine := fillShop(t, b, 1, cases)
		other := fillShop(t, b, 2, cases[:1])
		for _, limit := range []int{1, 2, 3, 100} {
			var got []shop.JobID
			after := ""
			for {
				var rows []app.FloorRow
				read(t, b, mine, func(tx app.Tx) (err error) {
					rows, err = tx.Floor(app.Page{After: after, Limit: limit})
					return err
				})
				for _, r := range rows {
					got = append(got, r.Job.ID)
					after = string(r.Job.ID)
					if r.Job.ShopID != mine || r.WorkOrder.ID != r.Job.WorkOrderID || r.Machine.ID != r.WorkOrder.MachineID || r.BayName != "" {
						t.Errorf("the row: %+v", r)
					}
				}
				if len(rows) < limit {
					break
				}
			}
			var want []shop.JobID // 1 to 7 are open, 8 and 9 have ended
			for _, n := range []int{1, 2, 3, 4, 5, 6, 7, 10} {
				want = append(want, shop.JobID(idOf(kindJob, n)))
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("pages of %d (-want +got):\n%s", limit, diff)
			}
		}
		err := b.Store.Read(t.Context(), other, func(tx app.Tx) error {
			_, err := tx.Floor(app.Page{After: "x", Limit: 1})
			return err
		})
		if !fault.Is(err, fault.Shape) {
			t.Errorf("a cursor that is none: %v", err)
		}
	})
}

func read(t *testing.T, b *storetest.Backend, scope shop.ShopID, fn func(app.Tx) error) {
	t.Helper()
	if err := b.Store.Read(t.Context(), scope, fn); err != nil {
		t.Fatal(err)
	}
}

func TestHistory(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		cases := []visitCase{{number: 1, customer: "one", stages: []shop.Stage{"closed", "repair"}}, {number: 2, customer: "two", stages: []shop.Stage{"withdrawn"}},
			{number: 3, customer: "three", stages: []shop.Stage{"intake"}}}
		fillShop(t, b, 2, cases)
		mine := fillShop(t, b, 1, cases)
		made := shop.Origin{RecordedBy: shop.StaffID(idOf(kindStaff, 1)), ReceivedAt: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)}
		of := func(order, job int) shop.OfJob {
			return shop.OfJob{WorkOrderID: shop.WorkOrderID(idOf(kindOrder, order)), JobID: shop.JobID(idOf(kindJob, job))}
		}
		insertAll(t, b, mine, []app.Noun{
			&shop.Complaint{ID: shop.ComplaintID(idOf(kindRecord, 1)), OfJob: of(1, 2), Kind: shop.JobKindComplaint, Words: "it clicks", Symptom: shop.SymptomNoise, Origin: made},
			&shop.Finding{ID: shop.FindingID(idOf(kindRecord, 2)), OfJob: of(1, 2), Component: "cush drive", Pieces: shop.PiecesNone, SafeToRide: shop.YesNoYes, Origin: made},
			&shop.Line{ID: shop.LineID(idOf(kindRecord, 3)), OfJob: of(2, 3), Kind: shop.LineKindFee, Description: "disposal", Work: shop.LineWorkRepair, QuantityMilli: 1000,
				Certainty: shop.CertaintyCertain, State: shop.LineStateDone, Origin: made},
			&shop.IntakeFacts{ID: shop.WorkOrderID(idOf(kindOrder, 1)), Odometer: shop.Quantity{Value: "12000", Unit: "km", Entered: "12000 km"},
				LeaveToRide: shop.YesNoYes, Intent: shop.IntentKeep, OldParts: shop.OldPartsDispose, Origin: made},
		})
		for _, tt := range []struct {
			name    string
			machine shop.MachineID
			want    string
		}{
			{"all", "", "1 one 12000 0/0/0, 2 one 12000 1/1/0, 3 two  0/0/1, 4 three  0/0/0"},
			{"one machine", shop.MachineID(idOf(kindMachine, 1)), "1 one 12000 0/0/0, 2 one 12000 1/1/0"},
			{"a machine that is not there", shop.MachineID(idOf(kindMachine, 99)), ""},
		} {
			for _, limit := range []int{1, 2, 100} {
				var got []string
				for _, r := range history(t, b, mine, tt.machine, limit) {
					got = append(got, fmt.Sprintf("%d %s %s %d/%d/%d", jobNumber(r.Job.ID), r.Customer, r.Intake.Odometer.Value, len(r.Complaints), len(r.Findings), len(r.Lines)))
					if r.Job.ShopID != mine || r.Machine.ShopID != mine || r.WorkOrder.ShopID != mine {
						t.Errorf("another shop's row: %+v", r)
					}
				}
				if diff := cmp.Diff(tt.want, strings.Join(got, ", ")); diff != "" {
					t.Errorf("%s, chunks of %d (-want +got):\n%s", tt.name, limit, diff)
				}
			}
		}
		for name, ask := range map[string]func(app.Tx) error{
			"a cursor":  func(tx app.Tx) error { _, err := tx.History("", app.HistoryCursor{JobID: "x"}, 1); return err },
			"a machine": func(tx app.Tx) error { _, err := tx.History("x", app.HistoryCursor{}, 1); return err },
		} {
			err := b.Store.Read(t.Context(), mine, ask)
			if !fault.Is(err, fault.Shape) && !fault.Is(err, fault.NotFound) {
				t.Errorf("%s that is none: %v", name, err)
			}
		}
	})
}

func jobNumber(id shop.JobID) int {
	var n int
	_, _ = fmt.Sscanf(string(id[24:]), "%x", &n)
	return n
}

func history(t *testing.T, b *storetest.Backend, scope shop.ShopID, machine shop.MachineID, limit int) (all []app.HistoryRow) {
	t.Helper()
	var after app.HistoryCursor
	for {
		var rows []app.HistoryRow
		read(t, b, scope, func(tx app.Tx) (err error) {
			rows, err = tx.History(machine, after, limit)
			return err
		})
		all = append(all, rows...)
		if len(rows) < limit {
			return all
		}
		after.JobID = rows[len(rows)-1].Job.ID
	}
}
