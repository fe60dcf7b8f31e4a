package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func (h *recShop) ago(d time.Duration) *time.Time {
	t := h.clock.Now().Add(-d)
	return &t
}

func TestPartOrderDays(t *testing.T) {
	t.Parallel()
	h := openRecShop(t) // 2 March, in the morning
	order := func(ordered, promised, arrived shop.Date) func(*shop.PartOrder) {
		return func(p *shop.PartOrder) {
			p.Description, p.QuantityMilli, p.OrderedOn, p.PromisedOn, p.ArrivedOn = "tensioner", 1000, ordered, promised, arrived
		}
	}
	for _, c := range []struct {
		name, at string
		fill     func(*shop.PartOrder)
	}{
		{"not ordered yet", "", order("", "", "")},
		{"ordered", "", order("2026-03-02", "2026-03-09", "")},
		{"there the same day", "", order("2026-03-02", "2026-03-02", "2026-03-02")},
		{"from the shelf", "", order("", "", "2026-03-01")},
		{"there before it was ordered", "/arrived_on", order("2026-03-02", "", "2026-03-01")},
		{"promised before it was ordered", "/promised_on", order("2026-03-02", "2026-03-01", "")},
		{"there tomorrow", "/arrived_on", order("2026-03-01", "", "2026-03-03")},
	} {
		_, err := recNew(h, h.advisor, h.PutPartOrder, c.fill)
		if c.at == "" && err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.at != "" {
			t.Log(c.name)
			recRefused(t, err, fault.Meaning, "app.part_order_days_wrong", c.at)
		}
	}
	_, err := recNew(h, h.advisor, h.PutPartOrder, func(p *shop.PartOrder) { order("", "", "")(p); p.QuantityMilli = 0 })
	recRefused(t, err, fault.Meaning, "app.part_order_quantity_missing", "/quantity_milli")
	var other shop.Line
	h.inJob(h.sister, func() { other = recMust(h, h.advisor, h.PutLine, recLine) })
	_, err = recNew(h, h.advisor, h.PutPartOrder, func(p *shop.PartOrder) { order("", "", "")(p); p.LineID = other.ID })
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/line_id")
}

func TestBenchTimes(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	run := func(b *shop.BenchTime) { b.StartedAt = *h.ago(time.Hour) }
	row := recMust(h, h.tech, h.PutBenchTime, func(b *shop.BenchTime) { run(b); b.StaffID = h.second.StaffID })
	if row.StaffID != h.tech.StaffID {
		t.Errorf("recorded for %s, not for who recorded it", row.StaffID)
	}
	for _, who := range []auth.Principal{h.tech, h.alias} {
		h.inJob(h.foreignJob, func() {
			_, err := recNew(h, who, h.PutBenchTime, run)
			recRefused(t, err, fault.Conflict, "app.bench_time_running")
		})
	}
	recMust(h, h.second, h.PutBenchTime, run)

	_, err := recEdit(h, h.second, h.PutBenchTime, row, func(b *shop.BenchTime) { b.EndedAt = h.ago(0) })
	recRefused(t, err, fault.Forbidden, "app.bench_time_not_yours")
	_, err = h.StrikeBenchTime(t.Context(), h.second, recAt(row), "no")
	recRefused(t, err, fault.Forbidden, "app.bench_time_not_yours")
	row, err = recEdit(h, h.advisor, h.PutBenchTime, row, func(b *shop.BenchTime) { b.EndedAt = h.ago(0) })
	if err != nil || row.StaffID != h.tech.StaffID {
		t.Errorf("an advisor stops it: %+v, %v", row, err)
	}
	row, err = recEdit(h, h.tech, h.PutBenchTime, row, func(b *shop.BenchTime) { b.Work = "cover off" })
	if err != nil {
		t.Error(err)
	}
	next := recMust(h, h.tech, h.PutBenchTime, run)
	_, err = recEdit(h, h.tech, h.PutBenchTime, row, func(b *shop.BenchTime) { b.EndedAt = nil })
	recRefused(t, err, fault.Conflict, "app.bench_time_running")
	if _, err = h.StrikeBenchTime(t.Context(), h.owner, recAt(next), "forgotten"); err != nil {
		t.Error(err)
	}
	recMust(h, h.tech, h.PutBenchTime, run)
}

func TestBenchTimeHours(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	for _, c := range []struct {
		name, code, at string
		start          time.Duration // ago
		end            *time.Time
	}{
		{"an hour", "", "", time.Hour, h.ago(0)},
		{"no time at all", "", "", time.Hour, h.ago(time.Hour)},
		{"a clock a little fast", "", "", -4 * time.Minute, h.ago(-5 * time.Minute)},
		{"backwards", "app.bench_time_backwards", "/ended_at", time.Hour, h.ago(2 * time.Hour)},
		{"starts ahead", "app.bench_time_ahead", "/started_at", -6 * time.Minute, nil},
		{"ends ahead", "app.bench_time_ahead", "/ended_at", 0, h.ago(-6 * time.Minute)},
	} {
		_, err := recNew(h, h.tech, h.PutBenchTime, func(b *shop.BenchTime) { b.StartedAt, b.EndedAt = *h.ago(c.start), c.end })
		if c.code == "" && err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.code != "" {
			t.Log(c.name)
			recRefused(t, err, fault.Meaning, c.code, c.at)
		}
	}
}

// A clock that was started before the job closed and arrives after is
// stored, and can be stopped.
func TestLateClockIsNoTrap(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	recMust(h, h.tech, h.PutBenchTime, func(b *shop.BenchTime) { b.StartedAt = h.clock.Now() })
	captured := h.ago(time.Hour)
	h.stage(shop.StageClosed)
	row, err := recNew(h, h.tech, h.PutBenchTime, func(b *shop.BenchTime) { b.StartedAt, b.CapturedAt = *captured, captured })
	if err != nil || !row.Late {
		t.Fatalf("late %v, %v", row.Late, err)
	}
	row, err = recEdit(h, h.tech, h.PutBenchTime, row, func(b *shop.BenchTime) { b.EndedAt = h.ago(30 * time.Minute) })
	if err != nil {
		t.Fatalf("it cannot be stopped: %v", err)
	}
	_, err = recEdit(h, h.tech, h.PutBenchTime, row, func(b *shop.BenchTime) { b.Work = "more" })
	recRefused(t, err, fault.Conflict, "app.job_closed")
}

func TestHandOverNotes(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	note := recMust(h, h.tech, h.PutHandOverNote, func(n *shop.HandOverNote) {
		n.MachineState, n.DoNotStart, n.Words = "no oil", true, "rag in the intake"
	})
	note, err := h.ReadHandOverNote(t.Context(), h.second, recAt(note))
	read := h.clock.Now()
	if err != nil || note.ReadBy != h.second.StaffID || !note.ReadAt.Equal(read) {
		t.Fatalf("%+v, %v", note, err)
	}
	h.clock.Advance(time.Minute)
	note, err = h.ReadHandOverNote(t.Context(), h.second, recAt(note))
	if err != nil || !note.ReadAt.Equal(read) {
		t.Errorf("read again at %v, %v", note.ReadAt, err)
	}
	note, err = h.ReadHandOverNote(t.Context(), h.owner, recAt(note))
	if err != nil || note.ReadBy != h.owner.StaffID {
		t.Errorf("the next one to read it: %s, %v", note.ReadBy, err)
	}
	note, err = recEdit(h, h.tech, h.PutHandOverNote, note, func(n *shop.HandOverNote) { n.Words = "two rags in the intake" })
	if err != nil || note.ReadAt != nil || note.ReadBy != "" {
		t.Errorf("new words count as read: %+v, %v", note, err)
	}
	if _, err = h.StrikeHandOverNote(t.Context(), h.tech, recAt(note), "done"); err != nil {
		t.Fatal(err)
	}
	_, err = h.ReadHandOverNote(t.Context(), h.second, recAt(note))
	recRefused(t, err, fault.Conflict, "app.record_struck")
}

func TestPlainRecords(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	promise := recMust(h, h.advisor, h.PutPromise, func(p *shop.Promise) { p.What, p.PromisedOn = "a call", "2026-03-03" })
	advice := recMust(h, h.tech, h.PutAdvice, func(a *shop.Advice) { a.Kind, a.Words = shop.AdviceKindRecheck, "look at the chain" })
	complaint := recMust(h, h.tech, h.PutComplaint, recComplaint)
	asFound := recMust(h, h.tech, h.PutAsFound, func(a *shop.AsFound) { a.What, a.Mark = "marks", "in line" })
	part := recMust(h, h.advisor, h.PutPartOrder, func(p *shop.PartOrder) { p.Description, p.QuantityMilli = "gasket", 1000 })
	joint := recMust(h, h.tech, h.PutFastening, recFastening)
	point := recMust(h, h.tech, h.PutHoldPoint, func(p *shop.HoldPoint) { p.Before = "the cover goes on" })
	ctx := t.Context()
	for name, strike := range map[string]func() (bool, error){
		"promise": func() (bool, error) {
			r, err := h.StrikePromise(ctx, h.tech, recAt(promise), "no")
			return r.IsStruck(), err
		},
		"advice": func() (bool, error) {
			r, err := h.StrikeAdvice(ctx, h.tech, recAt(advice), "no")
			return r.IsStruck(), err
		},
		"complaint": func() (bool, error) {
			r, err := h.StrikeComplaint(ctx, h.tech, recAt(complaint), "no")
			return r.IsStruck(), err
		},
		"as found": func() (bool, error) {
			r, err := h.StrikeAsFound(ctx, h.tech, recAt(asFound), "no")
			return r.IsStruck(), err
		},
		"part order": func() (bool, error) {
			r, err := h.StrikePartOrder(ctx, h.tech, recAt(part), "no")
			return r.IsStruck(), err
		},
		"fastening": func() (bool, error) {
			r, err := h.StrikeFastening(ctx, h.tech, recAt(joint), "no")
			return r.IsStruck(), err
		},
		"hold point": func() (bool, error) {
			r, err := h.StrikeHoldPoint(ctx, h.tech, recAt(point), "no")
			return r.IsStruck(), err
		},
	} {
		if struck, err := strike(); err != nil || !struck {
			t.Errorf("%s: struck %v, %v", name, struck, err)
		}
	}
}

func TestRecordsOfWhichAJobHasOne(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	put := app.Put{JobID: h.job, ID: string(h.job), Create: true, Digest: h.body()}
	over, made, err := h.PutHandOver(t.Context(), h.advisor, put, func(o *shop.HandOver) {
		o.HandedTo, o.Transport, o.OldParts = "Invented Person", shop.TransportTrailer, shop.OldPartsDoneNoneReplaced
	})
	if err != nil || !made || over.ID != h.job {
		t.Fatalf("%+v, %v", over, err)
	}
	gone, made, err := h.PutWithdrawal(t.Context(), h.advisor, put, func(w *shop.Withdrawal) {
		w.Reason, w.MachineState = "sold as it is", shop.MachineStateInBoxes
	})
	if err != nil || !made || gone.JobID != h.job {
		t.Fatalf("%+v, %v", gone, err)
	}
	over, err = recEdit(h, h.advisor, h.PutHandOver, over, func(o *shop.HandOver) { o.CautionsTold = true })
	if err != nil || over.Version != 2 {
		t.Errorf("%+v, %v", over, err)
	}
}

func TestFirstStart(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	recSet(h, h.job, func(j *shop.Job) { j.EngineOpened, j.PressureInQuestion = true, true })
	start := func(fill func(*shop.FirstStart)) (shop.FirstStart, error) {
		put := app.Put{JobID: h.job, ID: string(h.job), Create: true, Digest: h.body()}
		row, _, err := h.PutFirstStart(t.Context(), h.tech, put, fill)
		return row, err
	}
	_, err := start(func(f *shop.FirstStart) { f.StartedAt = h.ago(0) })
	recGates(t, err, "first_start.not_turned_by_hand", "first_start.marks_not_reread", "first_start.no_oil",
		"first_start.leaks_not_checked", "first_start.tools_not_out")
	row, err := start(func(f *shop.FirstStart) { f.TurnedByHand = true })
	if err != nil {
		t.Fatalf("half a list, not started: %v", err)
	}
	all := func(f *shop.FirstStart) {
		f.TurnedByHand, f.NoMarksBecause, f.OilInAndPrimed, f.NoLeaks, f.ToolsOut = true, "piston-ported", true, true, true
	}
	_, err = recEdit(h, h.tech, h.PutFirstStart, row, func(f *shop.FirstStart) { all(f); f.StartedAt = h.ago(-time.Hour) })
	recRefused(t, err, fault.Meaning, "app.first_start_ahead", "/started_at")
	row, err = recEdit(h, h.tech, h.PutFirstStart, row, func(f *shop.FirstStart) { all(f); f.StartedAt = h.ago(0) })
	if err != nil {
		t.Fatal(err)
	}
	_, err = recEdit(h, h.tech, h.PutFirstStart, row, func(f *shop.FirstStart) { f.ToolsOut = false })
	recGates(t, err, "first_start.tools_not_out")
}

func TestFirstStartOfAClosedEngine(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	put := app.Put{JobID: h.job, ID: string(h.job), Create: true, Digest: h.body()}
	_, _, err := h.PutFirstStart(t.Context(), h.tech, put, func(f *shop.FirstStart) { f.StartedAt = h.ago(0) })
	if err != nil {
		t.Errorf("nothing was opened, yet %v", err)
	}
}
