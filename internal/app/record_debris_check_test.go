package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

func TestDebrisEntriesAreJudged(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, true)
	put := func(fill func(*shop.DebrisCheck)) (shop.DebrisCheck, error) {
		id := s.src.ID()
		got, _, err := s.app.PutDebrisCheck(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(d *shop.DebrisCheck) {
			d.Moment, d.Sampled, d.Amount = shop.DebrisMomentStandRun, shop.DebrisSamplePlug, shop.DebrisAmountNone
			fill(d)
		})
		s.clock.Advance(1)
		return got, err
	}
	plain, err := put(func(d *shop.DebrisCheck) {})
	if err != nil || plain.Verdict != "" || len(plain.Asks) != 0 {
		t.Errorf("without entries: %+v, %v", plain, err)
	}
	chunks, err := put(func(d *shop.DebrisCheck) {
		d.Entries = []shop.DebrisEntry{{Form: "chunk", Material: "steel", Size: shop.Quantity{Value: "3", Unit: "mm"}, Count: 2}}
	})
	if err != nil || chunks.Verdict != "stop_and_open" || !chunks.CoarseNew || chunks.Amount != shop.DebrisAmountChunks || len(chunks.Asks) == 0 {
		t.Errorf("chunks: %+v, %v", chunks, err)
	}
	fuzz, err := put(func(d *shop.DebrisCheck) {
		d.Moment, d.Amount = shop.DebrisMomentRide, shop.DebrisAmountFuzz
		d.Entries = []shop.DebrisEntry{{Form: "fuzz", Material: "steel"}}
	})
	if err != nil || fuzz.Verdict == "normal_wear" || fuzz.CoarseNew && fuzz.Verdict != "stop_and_open" {
		t.Errorf("light fuzz after chunks nobody dealt with: %+v, %v", fuzz, err)
	}
	s.clock.Advance(time.Hour)
	s.setJob(func(j *shop.Job) { j.Enter(shop.StageRepair, s.clock.Now()) })
	s.clock.Advance(time.Hour)
	again, err := put(func(d *shop.DebrisCheck) {
		d.Moment, d.Amount = shop.DebrisMomentRide, shop.DebrisAmountFuzz
		d.Entries = []shop.DebrisEntry{{Form: "fuzz", Material: "steel"}}
	})
	if err != nil || again.Verdict == "stop_and_open" || again.CoarseNew {
		t.Errorf("light fuzz after it was opened and put right: %+v, %v", again, err)
	}
	if _, err := put(func(d *shop.DebrisCheck) { d.Entries = []shop.DebrisEntry{{Form: "confetti"}} }); codeOf(err) != "debris.form_unknown" {
		t.Errorf("an unknown form: %v", err)
	}
}
