package app_test

import (
	"maps"
	"slices"

	"pgregory.net/rapid"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// walkActs are the steps a walk is made of. One that finds nothing to work on
// does nothing.
var walkActs = map[string]func(*walk){
	"help": (*walk).help, "move": (*walk).anyMove, "job": (*walk).addAJob,
	"complaint": (*walk).complain, "finding": (*walk).find, "danger": (*walk).settle,
	"line": (*walk).addLine, "reprice": (*walk).reprice, "agree line": (*walk).agreeOne, "finish line": (*walk).finishOne,
	"offer": (*walk).offerWays, "link": (*walk).makeLink, "answer": (*walk).answer, "spoken": (*walk).spoken, "drop-off": (*walk).limit,
	"revoke": (*walk).revokeOne, "withdraw offer": (*walk).withdrawOffer,
	"joint": (*walk).addJoint, "pull": (*walk).pull, "check": (*walk).checkJoint, "redo": (*walk).redo,
	"tag": (*walk).addTag, "account": (*walk).account, "strike": (*walk).strike,
	"hold": (*walk).hold, "bench time": (*walk).benchTime, "road test": (*walk).roadTest,
	"bill": (*walk).bill, "void": (*walk).void, "pay": (*walk).pay, "hand over": (*walk).handOver, "withdrawal": (*walk).withdrawal,
}

// walkNames are the steps to draw from; what a machine may not leave with
// comes up more often.
func walkNames() []string {
	return append(slices.Sorted(maps.Keys(walkActs)), "joint", "joint", "joint", "tag", "finding", "complaint")
}

func (w *walk) coin(name string) bool { return rapid.Bool().Draw(w.rt, name) }

// walkNew makes a record.
func walkNew[T any](w *walk, name string, put recPutter[T], fill func(*T)) {
	w.act(name, func() error {
		_, err := recNew(w.recShop, w.fresh(w.tech), put, fill)
		return err
	})
}

// walkEdit changes a record.
func walkEdit[T any, P app.Record[T]](w *walk, name string, put recPutter[T], row T, change func(*T)) {
	w.act(name, func() error {
		_, err := recEdit[T, P](w.recShop, w.fresh(w.tech), put, row, change)
		return err
	})
}

func (w *walk) anyMove() {
	move := rapid.SampledFrom(flow.Moves()).Draw(w.rt, "move")
	w.move(move)
}

func (w *walk) move(move flow.Move) {
	w.act("move "+string(move), func() error {
		_, err := w.MoveJob(w.rt.Context(), w.advisor, w.job, app.MoveRequest{Move: move})
		return err
	})
}

func (w *walk) addAJob() {
	if len(w.jobs) > 2 {
		return
	}
	w.act("add a job", func() error {
		job, err := w.AddJob(w.rt.Context(), w.advisor, w.order, func(j *shop.Job) { j.Title, j.Kind = "Another thing", shop.JobKindRequest })
		if err == nil {
			w.jobs = append(w.jobs, job.ID)
		}
		return err
	})
}

func (w *walk) complain() { walkNew(w, "complaint", w.PutComplaint, recComplaint) }

func (w *walk) find() {
	safe := rapid.SampledFrom(shop.YesNoValues()).Draw(w.rt, "safe to ride")
	walkNew(w, "finding", w.PutFinding, func(f *shop.Finding) { recFinding(f); f.SafeToRide = safe })
}

func (w *walk) settle() {
	f := pick(w, func(f shop.Finding) bool { return f.SafeToRide == shop.YesNoNo && !f.IsStruck() })
	if f == nil {
		return
	}
	outcome := rapid.SampledFrom(shop.DangerOutcomeValues()).Draw(w.rt, "outcome")
	walkEdit(w, "danger "+string(outcome), w.PutFinding, *f, func(f *shop.Finding) {
		f.DangerOutcome, f.DangerWarning, f.DangerWitness = outcome, "it can seize", "Sue"
	})
}

func (w *walk) addLine() {
	l := shop.Line{}
	recLine(&l)
	if w.coin("part") {
		l.Kind, l.Minutes, l.QuantityMilli = shop.LineKindPart, 0, rapid.Int64Range(1, 9_999).Draw(w.rt, "quantity")
	} else {
		l.Minutes = rapid.Int64Range(1, 200).Draw(w.rt, "minutes")
	}
	l.UnitPrice = money.Amount(rapid.Int64Range(0, 30_000).Draw(w.rt, "price"))
	l.TaxCategory = rapid.SampledFrom([]string{"full", "low"}).Draw(w.rt, "tax")
	if w.coin("possible") {
		l.Certainty = shop.CertaintyPossible
		most := walkAmount(l) + money.Amount(rapid.Int64Range(1, 500).Draw(w.rt, "ceiling"))
		l.Ceiling = &most
	}
	walkNew(w, "line", w.PutLine, func(n *shop.Line) { *n = l })
}

func (w *walk) reprice() {
	if l := pick[shop.Line](w, nil); l != nil {
		walkEdit(w, "reprice "+string(l.State), w.PutLine, *l, func(l *shop.Line) { l.UnitPrice += 101; l.Ceiling, l.Certainty = nil, shop.CertaintyCertain })
	}
}

func (w *walk) agreeOne() {
	l, c := pick[shop.Line](w, nil), pick[shop.Consent](w, nil)
	if l == nil || c == nil {
		return
	}
	w.act("agree a line", func() error {
		_, err := w.AgreeLine(w.rt.Context(), w.advisor, recAt(*l), c.ID)
		return err
	})
}

func (w *walk) finishOne() {
	if l := pick[shop.Line](w, nil); l != nil {
		w.finish(*l)
	}
}

func (w *walk) finish(l shop.Line) {
	w.act("finish a line that is "+string(l.State), func() error {
		_, err := w.FinishLine(w.rt.Context(), w.tech, recAt(l))
		return err
	})
}

// offerWays offers the lines that are proposed as one way forward, after
// making it, or a way that is there.
func (w *walk) offerWays() {
	if way := pick(w, func(s shop.Scope) bool { return !s.IsStruck() }); way != nil && w.coin("same way") {
		w.act("offer", func() error {
			_, err := w.MakeOffer(w.rt.Context(), w.advisor, app.NewOffer{JobID: w.job, ScopeIDs: []string{string(way.ID)}, PriceUntil: "2026-12-01"})
			return err
		})
		return
	}
	var ids []string
	for _, l := range walkRows[shop.Line](w, w.job) {
		if !l.IsStruck() && l.State != shop.LineStateDone {
			ids = append(ids, string(l.ID))
		}
	}
	walkNew(w, "way", w.PutScope, func(s *shop.Scope) {
		s.Title, s.Kind, s.WhatWeDo, s.MayRide, s.LineIDs = "Put it right", shop.ScopeKindRepair, "fit it", shop.RideAnswerNotKnown, ids
	})
}

func (w *walk) openOffer() *shop.Offer {
	return pick(w, func(o shop.Offer) bool { return o.State == shop.OfferStateOpen })
}

func (w *walk) makeLink() {
	o := pick[shop.Offer](w, nil)
	if o == nil {
		return
	}
	w.act("link", func() error {
		_, address, err := w.MakeOfferLink(w.rt.Context(), w.advisor, o.ID, 72, "")
		if err == nil {
			w.token[o.ID] = address[len("https://bench.example/c/"):]
		}
		return err
	})
}

func (w *walk) answer() {
	o := pick(w, func(o shop.Offer) bool { return w.token[o.ID] != "" })
	if o == nil {
		return
	}
	in := app.LinkAnswer{Token: w.token[o.ID], SHA256: o.SHA256, ScopeID: shop.ScopeID(o.ScopeIDs[0]), TypedName: "Invented Person", Agreed: true, Electronic: true, IP: "192.0.2.7"}
	if rapid.IntRange(0, 3).Draw(w.rt, "no") == 0 {
		in.ScopeID, in.Decline = "", true
	}
	w.act("answer by link", func() error {
		_, err := w.LinkDecide(w.rt.Context(), in)
		return err
	})
}

func (w *walk) spoken() {
	if o := pick[shop.Offer](w, nil); o != nil {
		w.say(*o)
	}
}

func (w *walk) say(o shop.Offer) {
	w.record(shop.Consent{OfferID: o.ID, ScopeID: shop.ScopeID(o.ScopeIDs[0]), Kind: shop.ConsentKind(o.Kind), ShownSHA256: o.SHA256, ReadOutSHA256: scriptHash(w.rt, o)})
}

func (w *walk) limit() {
	most := money.Amount(rapid.Int64Range(1, 200_000).Draw(w.rt, "limit"))
	w.record(shop.Consent{Kind: shop.ConsentKindDropOff, LimitAmount: &most})
}

func (w *walk) record(in shop.Consent) {
	in.Decision, in.Method, in.TypedName, in.Relation, in.ContactUsed = shop.DecisionAgreed, shop.ConsentMethodSpoken, "Invented Person", "owner", "555-0100"
	in.IdentifiedHow, in.Note, in.SaidAt = "called back", "fit a tensioner", w.clock.Now()
	in.SaidBack, in.ReadyOn = "yes, that way, with the total", "2027-01-08"
	w.act("consent "+string(in.Kind), func() error {
		_, err := w.RecordConsent(w.rt.Context(), w.advisor, w.job, in)
		return err
	})
}

func (w *walk) revokeOne() {
	if c := pick[shop.Consent](w, nil); c != nil && w.coin("revoke") {
		w.act("revoke", func() error {
			_, err := w.RevokeConsent(w.rt.Context(), w.advisor, c.ID, takenBack("changed his mind"))
			return err
		})
	}
}

func (w *walk) withdrawOffer() {
	if o := pick[shop.Offer](w, nil); o != nil {
		w.act("withdraw an offer", func() error {
			_, err := w.WithdrawOffer(w.rt.Context(), w.advisor, o.ID, "priced wrong")
			return err
		})
	}
}

func (w *walk) addJoint() {
	fill := rapid.SampledFrom([]func(*shop.Fastening){recFastening, recCritical, recCritical}).Draw(w.rt, "joint")
	walkNew(w, "joint", w.PutFastening, fill)
}

func (w *walk) pull() {
	if f := pick[shop.Fastening](w, nil); f != nil {
		wrench := rapid.SampledFrom([]shop.GaugeID{w.wrench, w.wrench, w.wrench, w.staleWrench, ""}).Draw(w.rt, "wrench")
		w.pullBy(w.anybody(), *f, wrench)
	}
}

func (w *walk) pullBy(who auth.Principal, f shop.Fastening, wrench shop.GaugeID) {
	w.act("pull", func() error {
		_, err := w.DoFastening(w.rt.Context(), who, recAt(f), app.Pull{Applied: f.Target, WrenchID: wrench})
		return err
	})
}

func (w *walk) checkJoint() {
	if f := pick[shop.Fastening](w, nil); f != nil {
		w.checkBy(w.anybody(), *f)
	}
}

func (w *walk) checkBy(who auth.Principal, f shop.Fastening) {
	w.act("check", func() error {
		_, err := w.CheckFastening(w.rt.Context(), who, recAt(f), app.Look{Target: f.Target, Setting: f.Applied, Watched: true, Marked: true})
		return err
	})
}

func (w *walk) redo() {
	if f := pick[shop.Fastening](w, nil); f != nil {
		w.act("redo", func() error {
			_, err := w.RedoFastening(w.rt.Context(), w.tech, recAt(*f), "nobody is sure")
			return err
		})
	}
}

func (w *walk) addTag() {
	walkNew(w, "tag", w.PutTag, func(t *shop.Tag) { t.Kind, t.Holds = shop.TagKindParts, "clutch plates" })
}

func (w *walk) account() {
	if t := pick[shop.Tag](w, nil); t != nil {
		outcome := rapid.SampledFrom(shop.TagOutcomeValues()).Draw(w.rt, "outcome")
		walkEdit(w, "tag "+string(outcome), w.PutTag, *t, func(t *shop.Tag) { t.Outcome = outcome })
	}
}
