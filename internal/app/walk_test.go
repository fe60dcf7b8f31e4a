package app_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"os"
	"testing"
	"time"

	"pgregory.net/rapid"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/journal"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// walk is one visit that people work on in any order. After each step it looks
// at what is stored, by rules that are written here and nowhere else.
type walk struct {
	*recShop
	rt    *rapid.T
	goal  flow.Move // how the visit is meant to end, when somebody helps it on
	jobs  []shop.JobID
	token map[shop.OfferID]string

	head  journal.Head
	lines map[shop.LineID]shop.Line // as they were after the step before
	final map[shop.JobID]string     // jobs that have ended, as they were then
	done  *walkTally
}

// walkTally counts what all walks together came to: walks that never end a
// job would prove nothing.
type walkTally struct {
	walks, steps, taken, refused int
	closed, withdrawn, finished  int
	checked, bills               int
	passed                       int
	failed                       bool // a walk broke a rule: rapid looks for a shorter one
}

// A walk has so many steps; so many walks make a short run.
const (
	walkSteps = 40
	walkShort = 40
)

// TestAnyOrder lets people do anything in any order. Whatever they do, no line
// is done that was not agreed to, no machine leaves with a critical joint
// open, a tag unaccounted for or a danger unanswered, sums are those of their
// lines, what has ended stays as it is, and the journal grows by one entry for
// each change and by none for a refusal.
func TestAnyOrder(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	h.App.Tokens, h.App.PublicURL = moneyTokens{}, "https://bench.example"
	h.insert(&shop.TaxCategory{ID: shop.TaxCategoryID(h.src.ID()), Code: "low", Label: "Reduced", RatePPM: 33_333})
	runs, most := 1, walkShort
	if os.Getenv("BENCHTAG_LONG") != "" {
		runs, most = 20, 1_000_000
	}
	tally := &walkTally{}
	for range runs {
		rapid.Check(t, func(rt *rapid.T) {
			if tally.passed < most || tally.failed {
				newWalk(h, rt, tally).run()
			}
		})
	}
	t.Logf("%+v", *tally)
	if tally.closed == 0 || tally.withdrawn == 0 || tally.finished == 0 || tally.checked == 0 || tally.refused == 0 {
		t.Errorf("the walks do not reach what they are to try: %+v", *tally)
	}
}

func newWalk(h *recShop, rt *rapid.T, tally *walkTally) *walk {
	tally.walks++
	h.clock.Set(time.Date(2026, 3, 2, 15, 0, 0, 0, time.UTC))
	w := &walk{recShop: h, rt: rt, done: tally, token: map[shop.OfferID]string{}, lines: map[shop.LineID]shop.Line{}, final: map[shop.JobID]string{}}
	w.goal = rapid.SampledFrom([]flow.Move{flow.Close, flow.Close, flow.Withdraw}).Draw(rt, "goal")
	h.order, h.job = h.visit(int64(100 + tally.walks))
	w.jobs = []shop.JobID{h.job}
	w.head = journal.Start(journal.Stream{ShopID: string(recShopID), Kind: journal.WorkOrder, ID: string(h.order)})
	return w
}

func (w *walk) run() {
	good := false
	defer func() { w.done.failed = w.done.failed || !good }()
	names := walkNames()
	if w.coin("a critical joint from the start") {
		walkNew(w, "joint", w.PutFastening, recCritical)
	}
	for range walkSteps {
		w.clock.Advance(time.Duration(rapid.IntRange(1, 10).Draw(w.rt, "minutes")) * time.Minute)
		w.job = rapid.SampledFrom(w.jobs).Draw(w.rt, "job")
		name := rapid.SampledFrom(names).Draw(w.rt, "step")
		if rapid.IntRange(0, 9).Draw(w.rt, "chance") < 6 {
			name = "help"
		}
		walkActs[name](w)
		w.done.steps++
	}
	good = true
	w.done.passed++
}

// act does one operation and looks at everything after it.
func (w *walk) act(name string, do func() error) {
	err := do()
	w.rt.Logf("%s: %v", name, err)
	var f *fault.Error
	if err != nil && (!errors.As(err, &f) || f.Kind == fault.Internal) {
		w.rt.Fatalf("%s fails: %v", name, err)
	}
	grown := w.follow()
	switch {
	case err == nil && grown != 1:
		w.rt.Fatalf("%s was taken and left %d entries", name, grown)
	case err != nil && grown != 0:
		w.rt.Fatalf("%s was refused (%v) and left %d entries", name, err, grown)
	case err == nil:
		w.done.taken++
	default:
		w.done.refused++
	}
	for _, job := range w.jobs {
		w.look(job)
	}
}

// follow checks what the journal grew by.
func (w *walk) follow() int {
	var fresh []journal.Stored
	w.read(func(tx app.Tx) error {
		entries, err := tx.Entries(string(w.order), w.head.Sequence, 100)
		for _, e := range entries {
			s := journal.Stored{Bytes: e.Header, Hash: journal.Hash(e.Hash)}
			s.Body = &journal.Body{Salt: journal.Salt(e.Salt), Bytes: e.Body}
			fresh = append(fresh, s)
		}
		return err
	})
	report := journal.Verify(w.head, fresh)
	if !report.OK() {
		w.rt.Fatalf("the journal does not hold: %+v", report)
	}
	w.head = report.Head
	return len(fresh)
}

func (w *walk) read(fn func(app.Tx) error) {
	if err := w.store.Read(w.rt.Context(), recShopID, fn); err != nil {
		w.rt.Fatal(err)
	}
}

// walkRows reads the rows of a kind that a job has.
func walkRows[T any](w *walk, job shop.JobID) (rows []T) {
	w.read(func(tx app.Tx) error { return tx.List(&rows, app.By{"job_id": job}, app.Page{}) })
	return rows
}

// look holds a job against what must always be so.
func (w *walk) look(id shop.JobID) {
	var job shop.Job
	w.read(func(tx app.Tx) error { return tx.Load(&job, string(id)) })
	lines := walkRows[shop.Line](w, id)
	w.agreedFirst(lines)
	over := job.Stage == shop.StageClosed || job.Stage == shop.StageWithdrawn
	was, known := w.final[id]
	if known && !over {
		w.rt.Fatalf("a job that had ended is at %s", job.Stage)
	}
	if !over {
		if id == w.job {
			w.sums(id, lines)
		}
		return
	}
	now := w.picture(job, lines)
	if known && was != now {
		w.rt.Fatalf("a job that has ended changed:\n%s\n%s", was, now)
	}
	if known {
		return
	}
	w.final[id] = now
	if job.Stage == shop.StageClosed {
		w.done.closed++
	} else {
		w.done.withdrawn++
	}
	w.safe(job)
}

// agreedFirst: a line that is done was agreed at the step before, under a yes
// of this job.
func (w *walk) agreedFirst(lines []shop.Line) {
	for _, l := range lines {
		was, now := w.lines[l.ID], l
		w.lines[l.ID] = now
		if now.State != shop.LineStateDone && now.State != shop.LineStateAgreed {
			continue
		}
		if now.State == shop.LineStateDone && was.State != shop.LineStateDone {
			w.done.finished++
			if was.State != shop.LineStateAgreed || was.ConsentID == "" {
				w.rt.Fatalf("line %s is done and was %s under %q", l.Description, was.State, was.ConsentID)
			}
		}
		if was.ConsentID == now.ConsentID {
			continue
		}
		given := recRow[shop.Consent](w.recShop, now.ConsentID)
		if given.Decision != shop.DecisionAgreed || given.JobID != l.JobID || given.RevokedAt != nil {
			w.rt.Fatalf("line %s is agreed under %+v", l.Description, given)
		}
	}
}

// safe: what leaves has no critical joint open, no tag unaccounted for and no
// danger without an answer.
func (w *walk) safe(job shop.Job) {
	for _, f := range walkRows[shop.Fastening](w, job.ID) {
		if f.IsStruck() || f.SafetyClass != shop.SafetyClassCritical {
			continue
		}
		if f.DoneBy == "" || f.CheckedBy == "" || f.RedoBecause != "" || w.person(f.DoneBy) == w.person(f.CheckedBy) {
			w.rt.Fatalf("%s with a critical joint open: %+v", job.Stage, f)
		}
		w.done.checked++
	}
	for _, t := range walkRows[shop.Tag](w, job.ID) {
		if !t.IsStruck() && t.Outcome == shop.TagOutcomeUnset {
			w.rt.Fatalf("%s with a tag unaccounted for: %+v", job.Stage, t)
		}
	}
	for _, f := range walkRows[shop.Finding](w, job.ID) {
		if !f.IsStruck() && f.SafeToRide == shop.YesNoNo && f.DangerOutcome == shop.DangerOutcomeUnset {
			w.rt.Fatalf("%s with a danger unanswered: %+v", job.Stage, f)
		}
	}
}

// person is who stands behind an account.
func (w *walk) person(id shop.StaffID) shop.StaffID {
	if id == w.alias.StaffID {
		return w.tech.StaffID
	}
	return id
}

// picture is a job and what was agreed, done and found on it, as text.
func (w *walk) picture(job shop.Job, lines []shop.Line) string {
	out, err := json.Marshal([]any{job, lines, walkRows[shop.Fastening](w, job.ID), walkRows[shop.Tag](w, job.ID), walkRows[shop.Finding](w, job.ID),
		walkRows[shop.Complaint](w, job.ID), walkRows[shop.Consent](w, job.ID), walkRows[shop.Scope](w, job.ID), walkRows[shop.RoadTest](w, job.ID),
		walkRows[shop.HandOver](w, job.ID), walkRows[shop.Withdrawal](w, job.ID)})
	if err != nil {
		w.rt.Fatal(err)
	}
	return string(out)
}

// sums holds the estimate of a job against a naive sum of its lines.
func (w *walk) sums(id shop.JobID, lines []shop.Line) {
	got, err := w.Estimate(w.rt.Context(), w.advisor, id)
	if err != nil {
		w.rt.Fatal(err)
	}
	var standing []shop.Line
	for _, l := range lines {
		if !l.IsStruck() {
			standing = append(standing, l)
		}
	}
	low := walkSum(standing, func(l shop.Line) money.Amount {
		if l.Certainty == shop.CertaintyPossible {
			return 0
		}
		return walkAmount(l)
	})
	high := walkSum(standing, func(l shop.Line) money.Amount {
		if l.Ceiling != nil {
			return max(*l.Ceiling, walkAmount(l))
		}
		return walkAmount(l)
	})
	for _, pair := range []struct{ want, got estimate.Share }{{low, shareOf(got.Totals.Low)}, {high, shareOf(got.Totals.High)}} {
		if pair.want != pair.got {
			w.rt.Fatalf("the estimate says %+v, the lines %+v", pair.got, pair.want)
		}
	}
}

func shareOf(s estimate.Sum) estimate.Share {
	return estimate.Share{Net: s.Net, Tax: s.Tax, Gross: s.Gross}
}

// walkAmount is what a line comes to: price an hour, or price each.
func walkAmount(l shop.Line) money.Amount {
	if l.Kind == shop.LineKindLabour {
		return halfUp(big.NewRat(int64(l.UnitPrice)*l.Minutes, 60))
	}
	return halfUp(big.NewRat(int64(l.UnitPrice)*l.QuantityMilli, 1000))
}

// walkSum adds lines up, with the tax of each category rounded once.
func walkSum(lines []shop.Line, amount func(shop.Line) money.Amount) (s estimate.Share) {
	for code, rate := range map[string]int64{"full": 100_000, "low": 33_333} {
		var net money.Amount
		for _, l := range lines {
			if l.TaxCategory == code {
				net += amount(l)
			}
		}
		s.Net += net
		s.Tax += halfUp(big.NewRat(int64(net)*rate, 1_000_000))
	}
	s.Gross = s.Net + s.Tax
	return s
}

// halfUp rounds what is not negative.
func halfUp(r *big.Rat) money.Amount {
	n := new(big.Int).Mul(r.Num(), big.NewInt(2))
	n.Add(n, r.Denom())
	return money.Amount(n.Div(n, new(big.Int).Mul(r.Denom(), big.NewInt(2))).Int64())
}

// anybody draws one of the people, who has just signed on or did so long ago.
func (w *walk) anybody() auth.Principal {
	who := rapid.SampledFrom([]auth.Principal{w.tech, w.second, w.alias, w.owner, w.advisor}).Draw(w.rt, "who")
	if rapid.IntRange(0, 4).Draw(w.rt, "stale") > 0 {
		return w.fresh(who)
	}
	return who
}

// pick draws one of the rows of a kind, or gives nil.
func pick[T any](w *walk, fits func(T) bool) *T {
	var rows []T
	for _, r := range walkRows[T](w, w.job) {
		if fits == nil || fits(r) {
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	return &rows[rapid.IntRange(0, len(rows)-1).Draw(w.rt, fmt.Sprintf("%T", rows[0]))]
}
