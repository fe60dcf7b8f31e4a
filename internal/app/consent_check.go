package app

import (
	"context"
	"slices"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/estimate"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// ConsentCheck is what was agreed against what it comes to, for one job, with
// the answer of the shop's rule on it.
type ConsentCheck struct {
	Authorized consent.Amount
	Actual     consent.Amount
	consent.Answer
}

// side is what the rule asks of the customer and the machine.
type side struct {
	business bool
	age      int // model years; 0 for not known
	// callAbove is what the customer said at drop-off: call me before the
	// price of the visit passes this, tax included; nil where nothing was said.
	callAbove *money.Amount
}

func sideOf(c shop.Customer, m shop.Machine, now time.Time) side {
	out := side{business: c.Kind == shop.CustomerKindBusiness}
	if m.Year != nil {
		out.age = max(0, now.Year()-int(*m.Year))
	}
	return out
}

// change is the sums of one job, or of a whole order, as the rule takes them.
// What passes a limit that stands beside other consents is work not agreed to:
// what those have left over is no licence for it.
func (s sums) change(who side, currency string) consent.Change {
	return consent.Change{Authorized: s.authorized, Original: s.original, Actual: s.actual, Limit: s.limit,
		AllowanceRemoved: s.strictSum && s.limit == nil, NewWork: s.newWork || s.overLimit && s.limit == nil, Motorcycle: true,
		Business: who.business, VehicleAge: who.age, Currency: currency}
}

// called makes "call me above" a maximum of the change: the price may not pass
// it by a cent before the customer was called. A higher sum agreed to since
// shows that they were, and takes its place. It licenses nothing.
func (s side) called(c consent.Change) consent.Change {
	if s.callAbove == nil {
		return c
	}
	most := max(int64(*s.callAbove), c.Authorized.ExclTax+c.Authorized.Tax)
	if c.Limit == nil || most < c.Limit.Minor {
		c.Limit = &consent.Limit{Minor: most, Base: consent.InclTax}
	}
	return c
}

// spoken puts the customer's word at drop-off before the working.
func (s side) spoken(a consent.Answer, currency string) consent.Answer {
	if s.callAbove != nil {
		a.Working = slices.Insert(slices.Clone(a.Working), 0, "At drop-off the customer asked to be called before the price passes "+
			AmountWords(*s.callAbove, money.Currency(currency))+", tax included; a higher sum agreed to since takes its place.")
	}
	return a
}

// add takes the sums of another job into those of the order. A limit on one
// job alone leaves none on the order: its job is tested by itself.
func (s sums) add(o sums) sums {
	out := sums{authorized: plus(s.authorized, o.authorized), actual: plus(s.actual, o.actual),
		strictSum: s.strictSum || o.strictSum || s.limit != nil || o.limit != nil, newWork: s.newWork || o.newWork}
	if s.original != nil || o.original != nil {
		both := plus(orAuthorized(s), orAuthorized(o))
		out.original = &both
	}
	return out
}

func orAuthorized(s sums) consent.Amount {
	if s.original != nil {
		return *s.original
	}
	return s.authorized
}

// decide puts the sums of an order's jobs to the rule: the order as a whole,
// and each job that has a limit of its own or where the rule speaks of jobs.
func decide(rule consent.Rule, jobs []sums, who side, currency string) (consent.Answer, error) {
	answer, err := decideJobs(rule, jobs, who, currency)
	return who.spoken(answer, currency), err
}

func decideJobs(rule consent.Rule, jobs []sums, who side, currency string) (consent.Answer, error) {
	if len(jobs) == 1 {
		return consent.Decide(rule, who.called(jobs[0].change(who, currency)))
	}
	var order sums
	changes := make([]consent.Change, 0, len(jobs))
	for _, j := range jobs {
		order = order.add(j)
		changes = append(changes, j.change(who, currency))
	}
	answer, err := consent.DecideAll(rule, who.called(order.change(who, currency)), changes)
	if err != nil || answer.Effective == consent.Required {
		return answer, err
	}
	for i, j := range jobs {
		if j.limit == nil && !j.strictSum {
			continue
		}
		one, err := consent.Decide(rule, changes[i])
		if err != nil || one.Effective == consent.Required {
			return one, err
		}
	}
	return answer, nil
}

// CheckConsent holds what a job has come to against what was agreed, by the
// shop's rule. The order's other jobs count where the rule speaks of the
// whole order; the two sums shown are the job's own.
func (a *App) CheckConsent(ctx context.Context, who auth.Principal, id shop.JobID) (out ConsentCheck, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		order, err := load[shop.WorkOrder](tx, string(job.WorkOrderID))
		if err != nil {
			return err
		}
		s, err := load[shop.Shop](tx, string(who.ShopID))
		if err != nil {
			return err
		}
		jobs, err := every[shop.Job](tx, By{"work_order_id": order.ID})
		if err != nil {
			return err
		}
		out, err = checkJobs(tx, s, order, jobs, id)
		return err
	})
	return out, err
}

// checkJobs is the check over the jobs of an order, seen from one of them.
func checkJobs(tx Tx, s shop.Shop, order shop.WorkOrder, jobs []shop.Job, seen shop.JobID) (ConsentCheck, error) {
	rule, err := ruleOf(s)
	if err != nil {
		return ConsentCheck{}, err
	}
	rules, err := rulesOf(tx, s)
	if err != nil {
		return ConsentCheck{}, err
	}
	ledgers, err := ledgersOf(tx, jobs)
	if err != nil {
		return ConsentCheck{}, err
	}
	customer, err := load[shop.Customer](tx, string(order.CustomerID))
	if err != nil {
		return ConsentCheck{}, err
	}
	machine, err := load[shop.Machine](tx, string(order.MachineID))
	if err != nil {
		return ConsentCheck{}, err
	}
	var out ConsentCheck
	all, err := reckonAll(ledgers, rules, rule, func(l ledger, sum sums) {
		if l.job.ID == seen {
			out.Authorized, out.Actual = sum.authorized, sum.actual
		}
	})
	if err != nil {
		return out, err
	}
	by := sideOf(customer, machine, tx.Now())
	facts, err := list[shop.IntakeFacts](tx, By{"id": order.ID})
	if err != nil {
		return out, err
	}
	for _, f := range facts {
		by.callAbove = f.CallAbove
	}
	out.Answer, err = decide(rule, all, by, s.Currency)
	return out, err
}

func reckonAll(ledgers []ledger, rules estimate.Rules, rule consent.Rule, each func(ledger, sums)) ([]sums, error) {
	all := make([]sums, 0, len(ledgers))
	for _, l := range ledgers {
		sum, err := l.reckon(rules, rule, false)
		if err != nil {
			return nil, err
		}
		each(l, sum)
		all = append(all, sum)
	}
	return all, nil
}

// ledgersOf reads what was said and done about the money of jobs, in a few
// queries however many they are, in the jobs' order.
func ledgersOf(tx Tx, jobs []shop.Job) ([]ledger, error) {
	ids := make([]string, len(jobs))
	for i, j := range jobs {
		ids[i] = string(j.ID)
	}
	lines, err := every[shop.Line](tx, By{"job_id": ids})
	if err != nil {
		return nil, err
	}
	consents, err := every[shop.Consent](tx, By{"job_id": ids})
	if err != nil {
		return nil, err
	}
	docs, hashes, err := documentsOf(tx, consents)
	if err != nil {
		return nil, err
	}
	linesOf := groupBy(lines, func(l shop.Line) shop.JobID { return l.JobID })
	consentsOf := groupBy(consents, func(g shop.Consent) shop.JobID { return g.JobID })
	out := make([]ledger, len(jobs))
	for i, j := range jobs {
		out[i] = ledger{job: j, lines: linesOf[j.ID], consents: consentsOf[j.ID], docs: docs, hashes: hashes}
	}
	return out, nil
}

// documentsOf reads the documents of the offers that consents agreed to, and
// the hash of each as it lies in the store.
func documentsOf(tx Tx, consents []shop.Consent) (map[shop.OfferID]OfferDocument, map[shop.OfferID]string, error) {
	agreed := slices.DeleteFunc(slices.Clone(consents), func(g shop.Consent) bool {
		return g.OfferID == "" || g.Decision != shop.DecisionAgreed
	})
	docs, hashes := map[shop.OfferID]OfferDocument{}, map[shop.OfferID]string{}
	if len(agreed) == 0 {
		return docs, hashes, nil
	}
	offers, err := every[shop.Offer](tx, By{"id": idsOf(agreed, func(g shop.Consent) string { return string(g.OfferID) })})
	if err != nil {
		return nil, nil, err
	}
	for _, o := range offers {
		if docs[o.ID], err = readDocument(o); err != nil {
			return nil, nil, err
		}
		hashes[o.ID] = HashText(string(o.Document))
	}
	return docs, hashes, nil
}
