package app_test

import (
	"pgregory.net/rapid"

	"benchtag/internal/app"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// The steps around leaving, and the help: somebody who reads what is missing
// and does that, so that walks get to the end.

// strike strikes one record of some kind.
func (w *walk) strike() {
	const why = "not so"
	ctx, who := w.rt.Context(), w.fresh(w.tech)
	switch rapid.IntRange(0, 6).Draw(w.rt, "kind") {
	case 0:
		if l := pick[shop.Line](w, nil); l != nil {
			w.act("strike a line", func() error { _, err := w.StrikeLine(ctx, who, recAt(*l), why); return err })
		}
	case 1:
		if f := pick[shop.Fastening](w, nil); f != nil {
			w.act("strike a joint", func() error { _, err := w.StrikeFastening(ctx, who, recAt(*f), why); return err })
		}
	case 2:
		if t := pick[shop.Tag](w, nil); t != nil {
			w.act("strike a tag", func() error { _, err := w.StrikeTag(ctx, who, recAt(*t), why); return err })
		}
	case 3:
		if f := pick[shop.Finding](w, nil); f != nil {
			w.act("strike a finding", func() error { _, err := w.StrikeFinding(ctx, who, recAt(*f), why); return err })
		}
	case 4:
		if c := pick[shop.Complaint](w, nil); c != nil {
			w.act("strike a complaint", func() error { _, err := w.StrikeComplaint(ctx, who, recAt(*c), why); return err })
		}
	case 5:
		if s := pick[shop.Scope](w, nil); s != nil {
			w.act("strike a way", func() error { _, err := w.StrikeScope(ctx, who, recAt(*s), why); return err })
		}
	case 6:
		if r := pick[shop.RoadTest](w, nil); r != nil {
			w.act("strike a road test", func() error { _, err := w.StrikeRoadTest(ctx, who, recAt(*r), why); return err })
		}
	}
}

// hold puts the job on hold, or lifts a hold.
func (w *walk) hold() {
	if h := pick(w, func(h shop.Hold) bool { return h.LiftedAt == nil }); h != nil {
		w.act("lift", func() error { _, err := w.LiftHold(w.rt.Context(), w.advisor, h.ID); return err })
		return
	}
	w.act("hold", func() error {
		_, err := w.HoldJob(w.rt.Context(), w.advisor, w.job, func(h *shop.Hold) { h.Reason = shop.HoldReasonParts })
		return err
	})
}

// benchTime starts somebody's clock, or stops it.
func (w *walk) benchTime() {
	if b := pick(w, func(b shop.BenchTime) bool { return b.EndedAt == nil }); b != nil {
		now := w.clock.Now()
		walkEdit(w, "stop", w.PutBenchTime, *b, func(b *shop.BenchTime) { b.EndedAt = &now })
		return
	}
	walkNew(w, "start", w.PutBenchTime, func(b *shop.BenchTime) { b.StaffID, b.StartedAt, b.Work = w.tech.StaffID, w.clock.Now(), "looking" })
}

func (w *walk) roadTest() {
	now, ok := w.clock.Now(), shop.PreRideOk
	walkNew(w, "road test", w.PutRoadTest, func(r *shop.RoadTest) {
		*r = shop.RoadTest{Kind: shop.RunKindRide, Brakes: ok, Wheels: ok, Steering: ok, Throttle: ok, Chain: ok, Leaks: ok, Lights: ok,
			CheckedAt: &now, RiderID: w.tech.StaffID, OdometerOut: recQuantity("100", "km")}
	})
}

func (w *walk) outcome() {
	r := w.lastRun()
	if r == nil {
		w.roadTest()
		return
	}
	walkEdit(w, "outcome", w.PutRoadTest, *r, func(r *shop.RoadTest) { r.Outcome, r.OdometerBack = shop.RideOutcomeOk, recQuantity("103", "km") })
}

// lastRun is the newest run that stands.
func (w *walk) lastRun() (last *shop.RoadTest) {
	for _, r := range walkRows[shop.RoadTest](w, w.job) {
		if !r.IsStruck() && (last == nil || r.ReceivedAt.After(last.ReceivedAt)) {
			last = &r
		}
	}
	return last
}

func (w *walk) bill() {
	w.act("bill", func() error {
		b, err := w.IssueBill(w.rt.Context(), w.advisor, app.NewBill{WorkOrderID: w.order, JobIDs: []string{string(w.job)}})
		if err != nil {
			return err
		}
		w.done.bills++
		var done []shop.Line
		for _, l := range walkRows[shop.Line](w, w.job) {
			if l.State == shop.LineStateDone && !l.IsStruck() {
				done = append(done, l)
			}
		}
		if want := walkSum(done, walkAmount); want.Net != b.Net || want.Tax != b.Tax || want.Gross != b.Gross {
			w.rt.Fatalf("the bill says %d, %d, %d, its lines %+v", b.Net, b.Tax, b.Gross, want)
		}
		return nil
	})
}

// orderBills reads the bills of the visit that are not void.
func (w *walk) orderBills() (out []shop.Bill) {
	w.read(func(tx app.Tx) error {
		return tx.List(&out, app.By{"work_order_id": w.order, "voided_at": nil}, app.Page{})
	})
	return out
}

func (w *walk) void() {
	bills := w.orderBills()
	if len(bills) == 0 || !w.coin("void") {
		return
	}
	w.act("void", func() error {
		_, err := w.VoidBill(w.rt.Context(), w.advisor, bills[0].ID, "priced wrong")
		return err
	})
}

// pay takes what is open on a bill, more than that, or a deposit.
func (w *walk) pay() {
	in := shop.Payment{Kind: shop.PaymentKindDeposit, Method: shop.PaymentMethodCash, Amount: money.Amount(rapid.Int64Range(0, 3000).Draw(w.rt, "deposit"))}
	if bills := w.orderBills(); len(bills) > 0 {
		var payments []shop.Payment
		w.read(func(tx app.Tx) error { return tx.List(&payments, app.By{"work_order_id": w.order}, app.Page{}) })
		b := rapid.SampledFrom(bills).Draw(w.rt, "bill")
		in.BillID, in.Kind = b.ID, shop.PaymentKindPayment
		in.Amount = app.OpenOn(bills, payments)[b.ID] + money.Amount(rapid.SampledFrom([]int64{0, 0, 0, 1}).Draw(w.rt, "more"))
	}
	w.act("pay", func() error {
		_, err := w.TakePayment(w.rt.Context(), w.advisor, w.order, in)
		return err
	})
}

// walkSingle writes what a job has one of, made or changed.
func walkSingle[T any, P app.Record[T]](w *walk, name string, put recPutter[T], fill func(*T)) {
	rows := walkRows[T](w, w.job)
	if len(rows) > 0 {
		walkEdit[T, P](w, name, put, rows[0], fill)
		return
	}
	w.act(name, func() error {
		_, _, err := put(w.rt.Context(), w.advisor, app.Put{JobID: w.job, ID: string(w.job), Create: true, Digest: w.body()}, fill)
		return err
	})
}

func (w *walk) handOver() {
	walkSingle(w, "hand over", w.PutHandOver, func(h *shop.HandOver) {
		h.HandedTo, h.Transport, h.OldParts, h.OldPartsNote = "the owner", shop.TransportTrailer, shop.OldPartsDoneReturned, "in a box"
		h.DoNotStartTold, h.AdviceGiven, h.StillOpen, h.RecheckOn = true, true, "what was not wished", "2026-12-01"
		h.EvidenceUntil, h.CautionsTold, h.SelfReinspectionTold = "2026-12-01", true, true
	})
}

func (w *walk) withdrawal() {
	walkSingle(w, "withdrawal", w.PutWithdrawal, func(n *shop.Withdrawal) { n.Reason, n.MachineState = "sold it", shop.MachineStateComplete })
}

// towards is the move that brings a job nearer to its end.
var towards = map[shop.Stage]flow.Move{
	shop.StageIntake: flow.AskCustomer, shop.StageDiagnosis: flow.AskCustomer, shop.StageTeardown: flow.AskCustomer,
	shop.StageAuthorization: flow.StartRepair, shop.StageRepair: flow.ToRoadTest, shop.StageRoadTest: flow.ToRelease, shop.StageRelease: flow.Close,
}

// help looks what the next move misses and does the first of it, or moves.
func (w *walk) help() {
	out, err := w.GetMoves(w.rt.Context(), w.advisor, w.job)
	if err != nil {
		w.rt.Fatal(err)
	}
	want := towards[shop.Stage(out.Stage)]
	if w.goal == flow.Withdraw && out.Stage != flow.Release {
		want = flow.Withdraw
	}
	for _, o := range out.Options {
		if o.Move != want {
			continue
		}
		if len(o.Unmet) == 0 {
			w.move(want)
			return
		}
		mend, known := walkMends[o.Unmet[0].Code]
		if !known {
			w.rt.Fatalf("nobody knows how to mend %s", o.Unmet[0].Code)
		}
		mend(w)
	}
}

// walkMends are the ways to meet each gate that a walk can raise.
var walkMends = map[string]func(*walk){
	"hold.active": (*walk).hold, "intake.odometer_missing": (*walk).intake, "intake.facts_missing": (*walk).intake,
	"intake.complaint_missing": (*walk).complain, "authorization.complaint_unanswered": (*walk).explain,
	"repair.consent_missing": (*walk).askAll, "repair.consent_without_scope": (*walk).askAll, "repair.consent_not_bound": (*walk).askAll,
	"road_test.line_open": (*walk).work, "closed.line_open": (*walk).strikeOpen, "lines.worked_not_agreed": (*walk).askAll,
	"repair.fastening_not_done": (*walk).tighten, "repair.fastening_not_checked": (*walk).secondLook, "tags.not_accounted": (*walk).refit,
	"road_test.dangerous_finding_open": (*walk).repairDanger, "release.dangerous_finding_open": (*walk).repairDanger,
	"road_test.check_not_passed": (*walk).roadTest, "road_test.kind_missing": (*walk).roadTest, "road_test.rider_not_licensed": (*walk).roadTest,
	"road_test.distance_missing": (*walk).roadTest, "road_test.leave_missing": (*walk).intake,
	"release.outcome_missing": (*walk).outcome, "release.complaint_not_retried": (*walk).retry,
	"closed.bench_time_running": (*walk).benchTime, "withdrawn.bench_time_running": (*walk).benchTime,
	"closed.bill_missing": (*walk).billOrNone, "closed.bill_over_consent": (*walk).askAll, "closed.payment_missing": (*walk).pay,
	"closed.old_parts_open": (*walk).handOver, "closed.evidence_not_kept": (*walk).handOver, "closed.advice_missing": (*walk).handOver,
	"closed.recheck_undated": (*walk).handOver, "closed.still_open_unwritten": (*walk).handOver, "closed.self_check_not_told": (*walk).handOver,
	"closed.not_run_warning_missing": (*walk).handOver, "closed.must_be_carried": (*walk).handOver, "closed.handed_to_missing": (*walk).handOver,
	"withdrawn.reason_missing": (*walk).withdrawal, "withdrawn.state_missing": (*walk).withdrawal, "withdrawn.warning_missing": (*walk).handOver,
}

func (w *walk) intake() {
	put := app.Put{ID: string(w.order), Create: true, Digest: w.body()}
	if was, err := w.GetIntakeFacts(w.rt.Context(), w.advisor, w.order); err == nil {
		put.Create, put.Match = false, was.Version
	}
	w.act("intake", func() error {
		_, _, err := w.PutIntakeFacts(w.rt.Context(), w.advisor, put, func(i *shop.IntakeFacts) {
			i.Odometer, i.Keys, i.LeaveToRide, i.Intent, i.OldParts = recQuantity("100", "km"), 1, shop.YesNoYes, shop.IntentKeep, shop.OldPartsReturn
		})
		return err
	})
}

func (w *walk) explain() {
	c := pick(w, func(c shop.Complaint) bool { return !c.IsStruck() && c.Answer == shop.AnswerUnset })
	if c != nil {
		walkEdit(w, "explain", w.PutComplaint, *c, func(c *shop.Complaint) { c.Answer = shop.AnswerNotExplained })
	}
}

func (w *walk) retry() {
	c := pick(w, func(c shop.Complaint) bool { return !c.IsStruck() && c.Again == shop.AgainUnset })
	if c != nil {
		walkEdit(w, "retry", w.PutComplaint, *c, func(c *shop.Complaint) { c.Again = shop.AgainGone })
	}
}

// askAll takes one step towards a yes: a line, a way, an offer, the answer.
func (w *walk) askAll() {
	standing := pick(w, func(l shop.Line) bool { return !l.IsStruck() })
	if standing == nil {
		w.addLine()
		return
	}
	o := w.openOffer()
	switch {
	case o == nil:
		w.offerWays()
	case w.token[o.ID] != "" && w.coin("by link"):
		w.answer()
	case w.coin("link"):
		w.makeLink()
	default:
		w.say(*o)
	}
}

func (w *walk) work() {
	l := pick(w, func(l shop.Line) bool { return !l.IsStruck() && l.State == shop.LineStateAgreed })
	if l != nil {
		w.finish(*l)
	}
}

func (w *walk) strikeOpen() {
	l := pick(w, func(l shop.Line) bool { return !l.IsStruck() && l.State == shop.LineStateAgreed })
	if l != nil {
		w.act("strike a line", func() error {
			_, err := w.StrikeLine(w.rt.Context(), w.advisor, recAt(*l), "not wished any more")
			return err
		})
	}
}

func (w *walk) tighten() {
	if f := w.criticalOpen(); f != nil {
		w.pullBy(w.fresh(w.tech), *f, w.wrench)
	}
}

func (w *walk) secondLook() {
	if f := w.criticalOpen(); f != nil {
		if f.WrenchID != w.wrench || f.DoneBy == w.second.StaffID {
			w.pullBy(w.fresh(w.tech), *f, w.wrench)
			return
		}
		w.checkBy(w.fresh(w.second), *f)
	}
}

func (w *walk) criticalOpen() *shop.Fastening {
	return pick(w, func(f shop.Fastening) bool {
		return !f.IsStruck() && f.SafetyClass == shop.SafetyClassCritical && (f.DoneBy == "" || f.CheckedBy == "")
	})
}

func (w *walk) refit() {
	t := pick(w, func(t shop.Tag) bool { return !t.IsStruck() && t.Outcome == shop.TagOutcomeUnset })
	if t != nil {
		walkEdit(w, "refit", w.PutTag, *t, func(t *shop.Tag) { t.Outcome = shop.TagOutcomeRefitted })
	}
}

func (w *walk) repairDanger() {
	f := pick(w, func(f shop.Finding) bool {
		return !f.IsStruck() && f.SafeToRide == shop.YesNoNo && f.DangerOutcome != shop.DangerOutcomeRepaired
	})
	if f != nil {
		walkEdit(w, "repair the danger", w.PutFinding, *f, func(f *shop.Finding) { f.DangerOutcome = shop.DangerOutcomeRepaired })
	}
}

func (w *walk) billOrNone() {
	done := pick(w, func(l shop.Line) bool { return l.State == shop.LineStateDone && !l.IsStruck() })
	if done != nil {
		w.bill()
		return
	}
	job := recRow[shop.Job](w.recShop, w.job)
	w.act("no bill", func() error {
		_, err := w.PutJob(w.rt.Context(), w.advisor, app.JobVersion{ID: w.job, Version: job.Version}, func(j *shop.Job) { j.NoBillBecause = "nothing was done" })
		return err
	})
}
