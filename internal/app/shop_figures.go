package app

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/figures"
	"benchtag/internal/flow"
	"benchtag/internal/reckon"
	"benchtag/internal/shop"
)

// figuresOver is how far back the figures of a shop reach.
const figuresOver = 365 * 24 * time.Hour

// ShopFigures is a shop in figures.
type ShopFigures struct {
	Since     time.Time         `json:"since"`
	Until     time.Time         `json:"until"`
	Jobs      int64             `json:"jobs"` // that ended between
	Times     figures.Spent     `json:"times"`
	Hours     figures.Hours     `json:"hours"`
	Approvals figures.Approval  `json:"approvals"`
	Comebacks figures.Comebacks `json:"comebacks"`
}

// Figures counts over the jobs of a shop that ended in the last 365 days, at
// most the newest MaxRows of them: time by stage and by whose move it was,
// labour sold and worked, answers of customers, comebacks and first causes.
func (a *App) Figures(ctx context.Context, who auth.Principal) (answer reckon.Answer, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		f := &counting{tx: tx, a: a, out: ShopFigures{Until: tx.Now()}}
		f.out.Since = f.out.Until.Add(-figuresOver)
		if err := f.gather(); err != nil {
			return err
		}
		if err := f.reckon(); err != nil {
			return err
		}
		answer = reckon.Answer{Engine: "figures", Revision: reckon.FiguresRevision, Value: f.out, Working: f.working(), Warnings: f.warnings}
		return nil
	})
	return answer, err
}

// counting gathers the rows that figures are counted over.
type counting struct {
	tx       Tx
	a        *App
	out      ShopFigures
	jobs     []shop.Job
	ids      []shop.JobID
	offers   []shop.Offer
	decided  map[shop.OfferID]shop.Consent // the answer to each
	names    map[shop.StaffID]string
	warnings []string
}

func (f *counting) gather() error {
	var newest []shop.Job
	ends := []shop.Stage{shop.StageClosed, shop.StageWithdrawn}
	if err := f.tx.List(&newest, By{"stage": ends}, Page{Newest: true}); err != nil {
		return err
	}
	f.warnings = []string{}
	if len(newest) == MaxRows {
		f.warnings = append(f.warnings, "Only the newest "+strconv.Itoa(MaxRows)+" jobs that ended are counted.")
	}
	for _, j := range newest {
		if j.StageSince.After(f.out.Since) {
			f.jobs = append(f.jobs, j)
			f.ids = append(f.ids, j.ID)
		}
	}
	f.out.Jobs = int64(len(f.jobs))
	people, err := every[shop.Staff](f.tx, By{})
	if err != nil {
		return err
	}
	f.names = map[shop.StaffID]string{}
	for _, p := range people {
		f.names[p.ID] = p.Name
	}
	return f.gatherOffers()
}

func (f *counting) reckon() error {
	for _, part := range []func() error{f.times, f.hours, f.approvals, f.comebacks} {
		if err := part(); err != nil {
			return err
		}
	}
	return nil
}

func (f *counting) times() error {
	t := figures.Times{Until: f.out.Until}
	for _, j := range f.jobs {
		for _, s := range j.Stages {
			t.Entries = append(t.Entries, figures.Entry{Job: string(j.ID), Stage: stageOf(s.Stage), At: s.At})
		}
	}
	holds, err := every[shop.Hold](f.tx, By{"job_id": f.ids})
	if err != nil {
		return err
	}
	for _, h := range holds {
		t.Holds = append(t.Holds, figures.Hold{Job: string(h.JobID), Reason: holdKindOf(h.Reason), From: h.HeldAt, To: h.LiftedAt})
	}
	for _, o := range f.offers {
		wait := figures.Wait{Job: string(o.JobID), On: flow.WhoCustomer, From: o.AskedAt}
		if c, ok := f.decided[o.ID]; ok {
			wait.To = laterOf(o.AskedAt, c.SaidAt)
		} else if o.State != shop.OfferStateOpen {
			wait.To = laterOf(o.AskedAt, o.UpdatedAt)
		}
		t.Waits = append(t.Waits, wait)
	}
	f.out.Times, err = figures.TimeSpent(t)
	return err
}

// laterOf gives the end of a wait, never before its beginning: a yes may have
// been said before the offer was written down.
func laterOf(from, to time.Time) *time.Time {
	if to.Before(from) {
		to = from
	}
	return &to
}

// gatherOffers reads the offers of the jobs, and the answer to each.
func (f *counting) gatherOffers() error {
	consents, err := every[shop.Consent](f.tx, By{"job_id": f.ids})
	if err != nil {
		return err
	}
	f.decided = map[shop.OfferID]shop.Consent{}
	for _, c := range consents {
		if c.OfferID != "" {
			f.decided[c.OfferID] = c
		}
	}
	f.offers, err = every[shop.Offer](f.tx, By{"job_id": f.ids})
	// A clock that was set back must not keep the owner from the figures.
	f.offers = slices.DeleteFunc(f.offers, func(o shop.Offer) bool {
		return o.AskedAt.After(f.out.Until) || f.decided[o.ID].SaidAt.After(f.out.Until)
	})
	return err
}

func (f *counting) hours() error {
	var sold []figures.Sold
	var worked []figures.Worked
	lines, err := every[shop.Line](f.tx, By{"job_id": f.ids, "state": shop.LineStateDone, "kind": shop.LineKindLabour})
	if err != nil {
		return err
	}
	for _, l := range lines {
		sold = append(sold, figures.Sold{Job: string(l.JobID), Minutes: l.Minutes})
	}
	times, err := every[shop.BenchTime](f.tx, By{"job_id": f.ids})
	if err != nil {
		return err
	}
	for _, b := range times {
		if b.IsStruck() || b.EndedAt == nil {
			continue
		}
		name := cmp.Or(f.names[b.StaffID], string(b.StaffID))
		worked = append(worked, figures.Worked{Job: string(b.JobID), By: name, Minutes: int64(b.EndedAt.Sub(b.StartedAt).Round(time.Minute) / time.Minute)})
	}
	f.out.Hours, err = figures.Sell(sold, worked)
	return err
}

func (f *counting) approvals() error {
	var asked []figures.Asked
	for _, o := range f.offers {
		one := figures.Asked{AskedAt: o.AskedAt, Decision: figures.Lapsed, DecidedAt: laterOf(o.AskedAt, o.UpdatedAt)}
		c, answered := f.decided[o.ID]
		switch {
		case answered:
			one.DecidedAt, one.Decision = laterOf(o.AskedAt, c.SaidAt), figures.Declined
			if c.Decision == shop.DecisionAgreed {
				one.Decision = figures.Accepted
			}
		case o.State == shop.OfferStateOpen:
			one.Decision, one.DecidedAt = figures.Open, nil
		}
		asked = append(asked, one)
	}
	var err error
	f.out.Approvals, err = figures.Approve(asked, f.out.Until, figures.DefaultLevel)
	return err
}

// comebacks follows the jobs that were handed over: one comes back when a later
// job of the shop names it as its earlier one.
func (f *counting) comebacks() error {
	later, err := every[shop.Job](f.tx, By{"earlier_job_id": f.ids})
	if err != nil {
		return err
	}
	back := map[shop.JobID]time.Time{}
	for _, j := range later {
		if at, ok := back[j.EarlierJobID]; !ok || j.CreatedAt.Before(at) {
			back[j.EarlierJobID] = j.CreatedAt
		}
	}
	causes, err := every[shop.Finding](f.tx, By{"job_id": f.ids, "first_cause": true})
	if err != nil {
		return err
	}
	layouts, err := every[shop.Layout](f.tx, By{})
	if err != nil {
		return err
	}
	var released []figures.Released
	for _, j := range f.jobs {
		if j.Stage != shop.StageClosed {
			continue
		}
		one := figures.Released{ClosedAt: j.StageSince}
		if i := slices.IndexFunc(layouts, func(l shop.Layout) bool { return l.ID == j.LayoutID }); i >= 0 {
			one.Layout = layouts[i].Code
		}
		if i := slices.IndexFunc(causes, func(c shop.Finding) bool { return c.JobID == j.ID && !c.IsStruck() }); i >= 0 {
			one.Cause = causes[i].Called()
		}
		if at, ok := back[j.ID]; ok {
			one.BackAt = laterOf(j.StageSince, at)
		}
		released = append(released, one)
	}
	f.out.Comebacks, err = figures.ComeBack(released, f.out.Until, figures.DefaultLevel)
	return err
}

// working says what was counted, in sentences.
func (f *counting) working() []string {
	out := []string{"Counted over " + strconv.FormatInt(f.out.Jobs, 10) + " jobs that ended since " + f.out.Since.Format("2006-01-02") + "."}
	for _, s := range f.out.Times.Stages {
		out = append(out, "In "+string(s.Stage)+": "+s.Total.String()+" s over "+strconv.FormatInt(s.Jobs, 10)+" jobs.")
	}
	for _, w := range f.out.Times.Waits {
		out = append(out, "Waiting on "+string(w.On)+": "+w.Total.String()+" s.")
	}
	h := f.out.Hours.Total
	out = append(out, "Labour sold "+h.Sold.String()+" min, worked "+strconv.FormatInt(h.Worked, 10)+" min.")
	c := f.out.Comebacks.Rate
	return append(out, "Came back: "+strconv.FormatInt(c.Hits, 10)+" of "+strconv.FormatInt(c.Trials, 10)+" jobs handed over (Wilson interval beside it).")
}
