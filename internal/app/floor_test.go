package app_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

func (s *flowShop) floor(page app.Page) []app.FloorLine {
	s.t.Helper()
	lines, _, err := s.app.Floor(s.ctx, s.who, page)
	if err != nil {
		s.t.Fatal(err)
	}
	return lines
}

func (s *flowShop) hold(reason shop.HoldReason) {
	s.t.Helper()
	s.insert(&shop.Hold{ID: shop.HoldID(s.src.ID()), OfJob: s.of(), Reason: reason, Note: "waiting", HeldBy: s.who.StaffID, HeldAt: s.clock.Now()})
}

// TestFloorOrder proves that the list is by whose move it is, then by who
// waits longest, that pages join, and that ended jobs are not on it.
func TestFloorOrder(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	for i, hold := range []shop.HoldReason{shop.HoldReasonOutside, "", shop.HoldReasonParts, shop.HoldReasonCustomer, shop.HoldReasonOther, shop.HoldReasonParts, ""} {
		s.visit()
		since := s.clock.Now().Add(-time.Duration(i) * time.Hour)
		s.setJob(func(j *shop.Job) { j.StageSince = since })
		if hold != "" {
			s.hold(hold)
		}
	}
	s.visit()
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageClosed })
	whole := s.floor(app.Page{})
	order := []flow.Who{flow.WhoBench, flow.WhoCounter, flow.WhoCustomer, flow.WhoParts, flow.WhoOutside, flow.WhoNobody}
	naive := slices.Clone(whole)
	slices.SortFunc(naive, func(a, b app.FloorLine) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.WaitingOn), slices.Index(order, b.WaitingOn)), a.StageSince.Compare(b.StageSince))
	})
	var got, want []string
	kinds := map[flow.Who]bool{}
	for i := range whole {
		kinds[whole[i].WaitingOn] = true
		got, want = append(got, whole[i].Key()), append(want, naive[i].Key())
		if whole[i].NextThing == "" || whole[i].Machine != "Example One" || whole[i].Number == 0 || whole[i].Title == "" {
			t.Errorf("the line %+v", whole[i])
		}
	}
	if len(whole) != 7 || !slices.Equal(got, want) || len(kinds) < 4 {
		t.Errorf("%d lines of %d kinds in the order\n%s\nwant\n%s", len(whole), len(kinds), strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	held := 0
	for _, l := range whole {
		if l.OnHold {
			held++
		}
	}
	if held != 5 {
		t.Errorf("%d on hold, want 5", held)
	}
	for limit := 1; limit <= 8; limit++ {
		var paged []string
		for page := (app.Page{Limit: limit}); ; {
			lines := s.floor(page)
			for _, l := range lines {
				paged = append(paged, l.Key())
				page.After = l.Key()
			}
			if len(lines) < limit {
				break
			}
		}
		if !slices.Equal(paged, want) {
			t.Errorf("pages of %d: %v", limit, paged)
		}
	}
	for _, cursor := range []string{"x", "1 2 3", "12 2026-03-02T09:00:00.000000 " + string(s.job), "0 2026-03-02T09:00:00.000000 x"} {
		if _, _, err := s.app.Floor(s.ctx, s.who, app.Page{After: cursor}); !fault.Is(err, fault.Shape) {
			t.Errorf("the cursor %q: %v", cursor, err)
		}
	}
}

// TestFloorIsWhole crosses the stretch in which facts are drawn.
func TestFloorIsWhole(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	s.write(func(tx app.Tx) error {
		for n := range 104 {
			job := &shop.Job{ID: shop.JobID(s.src.ID()), WorkOrderID: s.order, Title: fmt.Sprint(n), Kind: shop.JobKindRequest, Stage: shop.StageIntake, StageSince: tx.Now()}
			if err := tx.Insert(job); err != nil {
				return err
			}
		}
		return nil
	})
	seen := map[shop.JobID]bool{}
	for _, l := range s.floor(app.Page{}) {
		seen[l.JobID] = true
	}
	if len(seen) != 105 {
		t.Errorf("%d jobs, want 105", len(seen))
	}
}

func TestFloorOpenMachine(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		set  func(s *flowShop)
		want string
	}{
		{"closed up", func(*flowShop) {}, ""},
		{"opened, nothing said", func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.Stage = true, shop.StageTeardown })
		}, "opened up, and no note says how it stands"},
		{"the last note counts", func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.Stage = true, shop.StageRepair })
			s.note("cylinder off", false, 2*time.Hour)
			s.note("no oil, bolts finger-tight", true, time.Hour)
		}, "no oil, bolts finger-tight, do not start"},
		{"a struck note does not", func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.Stage = true, shop.StageRepair })
			s.note("cylinder off", false, 2*time.Hour)
			id := s.note("wrong machine", true, time.Hour)
			edit(s, string(id), func(n *shop.HandOverNote) {
				at := s.clock.Now()
				n.StruckAt, n.StruckBy, n.StruckReason = &at, s.who.StaffID, "wrong machine"
			})
		}, "cylinder off"},
		{"put together again, the old note is over", func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.Stage, j.StageSince = true, shop.StageRoadTest, s.clock.Now() })
			s.note("no oil", true, time.Hour)
		}, ""},
		{"a note written on the ride counts", func(s *flowShop) {
			s.setJob(func(j *shop.Job) {
				j.OpenedUp, j.Stage, j.StageSince = true, shop.StageRoadTest, s.clock.Now().Add(-time.Hour)
			})
			s.note("front brake open", true, 0)
		}, "front brake open, do not start"},
		{"not run", func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.NotRun, j.Stage = true, true, shop.StageRelease })
			s.note("in boxes", false, time.Hour)
		}, "in boxes, not run, do not start"},
		{"another job of the visit opened it", func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.Stage = true, shop.StageRepair })
			s.note("no oil", true, time.Hour)
			s.job = s.addJob().ID
		}, "no oil, do not start"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := newFlowShop(t)
			s.visit()
			tt.set(s)
			checked := false
			for _, l := range s.floor(app.Page{}) {
				if l.JobID == s.job {
					checked = true
					if l.OpenMachine != tt.want {
						t.Errorf("got %q, want %q", l.OpenMachine, tt.want)
					}
				}
			}
			if !checked {
				t.Error("the job is not on the floor")
			}
		})
	}
}

func (s *flowShop) note(state string, doNotStart bool, ago time.Duration) shop.HandOverNoteID {
	s.t.Helper()
	n := shop.HandOverNote{ID: shop.HandOverNoteID(s.src.ID()), OfJob: s.of(), Origin: s.made(), MachineState: state, DoNotStart: doNotStart, Words: "mind it"}
	n.ReceivedAt = s.clock.Now().Add(-ago)
	s.insert(&n)
	return n.ID
}
