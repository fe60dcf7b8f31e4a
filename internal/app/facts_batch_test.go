package app_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// counting counts the questions a loader asks.
type counting struct {
	app.Tx
	n int
}

func (c *counting) List(rows any, by app.By, page app.Page) error {
	c.n++
	return c.Tx.List(rows, by, page)
}

func (c *counting) Load(row app.Noun, id string) error {
	c.n++
	return c.Tx.Load(row, id)
}

// TestFactsOfManyJobs holds that facts drawn for many jobs at once are those
// drawn one by one, in a number of questions that does not grow with them.
func TestFactsOfManyJobs(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	var jobs []shop.Job
	for i := range 6 {
		s.visit()
		s.complaint(func(*shop.Complaint) {})
		s.finding(func(f *shop.Finding) { f.InPieces = i%2 == 0 })
		s.line(func(l *shop.Line) { l.AfterRide = i%3 == 0 })
		s.fastening(func(*shop.Fastening) {})
		s.tag(shop.TagOutcomeUnset)
		if i%2 == 0 {
			s.road(func(*shop.RoadTest) {})
		}
		jobs = append(jobs, one[shop.Job](s, string(s.job)))
	}
	sh := one[shop.Shop](s, string(flowShopID))
	draw := func(of []shop.Job) (map[shop.JobID]flow.Facts, int) {
		var out map[shop.JobID]flow.Facts
		var n int
		s.write(func(tx app.Tx) error {
			c := &counting{Tx: tx}
			var err error
			out, err = app.FactsOfManyJobs(s.app, c, sh, of)
			n = c.n
			return err
		})
		return out, n
	}
	all, asked := draw(jobs)
	if len(all) != len(jobs) {
		t.Fatalf("facts of %d jobs, want %d", len(all), len(jobs))
	}
	for _, j := range jobs {
		alone, n := draw([]shop.Job{j})
		if diff := cmp.Diff(alone[j.ID], all[j.ID]); diff != "" {
			t.Errorf("alone and together differ:\n%s", diff)
		}
		if n != asked {
			t.Errorf("%d questions for one job, %d for %d", n, asked, len(jobs))
		}
	}
	if none, n := draw(nil); len(none) != 0 || n != 0 {
		t.Errorf("facts of no job: %v, %d questions", none, n)
	}
	s.write(func(tx app.Tx) error {
		if _, err := app.FactsOfManyJobs(s.app, tx, sh, make([]shop.Job, app.MaxJobsOfFacts+1)); err == nil {
			t.Error("more jobs than are drawn at once are not refused")
		}
		return nil
	})
}

func TestOnePersonShop(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageRepair })
	s.fastening(func(f *shop.Fastening) {
		f.DoneBy, f.DoneAt, f.CheckedBy, f.CheckedAt, f.SelfReinspection = s.who.StaffID, s.at(0), s.who.StaffID, s.at(0), true
	})
	open := func() bool { return s.unmet(flow.ToRoadTest)["repair.fastening_not_checked"] != nil }
	if !open() {
		t.Error("re-inspection counts in a shop of several")
	}
	edit(s, string(flowShopID), func(sh *shop.Shop) { sh.OnePerson = true })
	if !open() {
		t.Error("the shop says it has one person, and a second technician is there")
	}
	edit(s, string(s.other), func(p *shop.Staff) { p.Disabled = true })
	if open() {
		t.Error("the lone technician, whose second account is no second person, cannot re-inspect")
	}
}
