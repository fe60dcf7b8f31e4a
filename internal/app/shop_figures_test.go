package app_test

import (
	"encoding/json"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// A shop of two closed jobs, one of which came back, in figures.
func TestFigures(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, true)
	began := s.clock.Now()
	day := func(n int) time.Time { return began.Add(time.Duration(n) * 24 * time.Hour) }
	ended := func(earlier shop.JobID) shop.JobID {
		t.Helper()
		s.visit()
		s.setJob(func(j *shop.Job) {
			j.EarlierJobID = earlier
			j.Stages = nil
			j.Enter(shop.StageIntake, day(0))
			j.Enter(shop.StageRepair, day(1))
			j.Enter(shop.StageClosed, day(3))
		})
		return s.job
	}
	first := ended("")
	s.line(func(l *shop.Line) {
		l.Kind, l.Minutes, l.QuantityMilli, l.State = shop.LineKindLabour, 90, 0, shop.LineStateDone
	})
	stop := day(1).Add(time.Hour)
	s.insert(&shop.BenchTime{ID: shop.BenchTimeID(s.src.ID()), OfJob: s.of(), Origin: s.made(), StaffID: s.who.StaffID, StartedAt: day(1), EndedAt: &stop})
	ended(first)
	s.clock.Advance(30 * 24 * time.Hour)
	answer, err := s.app.Figures(s.ctx, s.who)
	if err != nil {
		t.Fatal(err)
	}
	f := answer.Value.(app.ShopFigures)
	text, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	if f.Jobs != 2 || f.Comebacks.Rate.Hits != 1 || f.Comebacks.Rate.Trials != 2 {
		t.Errorf("jobs and comebacks: %s", text)
	}
	if f.Hours.Total.Worked != 60 || f.Hours.Total.Sold.String() != "90" {
		t.Errorf("hours: %+v", f.Hours.Total)
	}
	if got := f.Times.Total.String(); got != "518400" { // two jobs of three days
		t.Errorf("time in all stages: %s s", got)
	}
	if len(answer.Working) < 3 {
		t.Errorf("working: %v", answer.Working)
	}
}
