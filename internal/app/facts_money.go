package app

import (
	"slices"

	"benchtag/internal/consent"
	"benchtag/internal/estimate"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// moneyFacts fills the facts that hang on money and consent, for jobs of one
// shop at once: consent, drop-off limit, teardown consent and its missing
// terms, diagnosis agreed, deposit, offers, bill. It asks the store a fixed
// number of questions, however many jobs there are.
func (a *App) moneyFacts(tx Tx, s shop.Shop, jobs []shop.Job, facts map[shop.JobID]*flow.Facts) error {
	if len(jobs) == 0 {
		return nil
	}
	m, err := readMoney(tx, s, jobs)
	if err != nil {
		return err
	}
	for _, j := range jobs {
		f := facts[j.ID]
		if f == nil {
			continue
		}
		if err := m.fill(j, f); err != nil {
			return err
		}
	}
	return nil
}

// moneyRead is everything about money of the work orders asked for: all their
// jobs, since a bill, a deposit and a limit may concern several.
type moneyRead struct {
	shop      shop.Shop
	rule      consent.Rule
	rules     estimate.Rules
	ledgers   map[shop.JobID]ledger
	jobs      map[shop.WorkOrderID][]shop.Job
	offers    map[shop.JobID][]shop.Offer // open ones
	asked     map[shop.JobID]bool         // a customer's question waits
	bills     map[shop.WorkOrderID][]shop.Bill
	payments  map[shop.WorkOrderID][]shop.Payment
	orders    map[shop.WorkOrderID]shop.WorkOrder
	customers map[shop.CustomerID]shop.Customer
	machines  map[shop.MachineID]shop.Machine
	side      func(shop.WorkOrderID) side
}

func readMoney(tx Tx, s shop.Shop, jobs []shop.Job) (*moneyRead, error) {
	m := &moneyRead{shop: s}
	var err error
	if m.rule, err = ruleOf(s); err != nil {
		return nil, err
	}
	if m.rules, err = rulesOf(tx, s); err != nil {
		return nil, err
	}
	orderIDs := idsOf(jobs, func(j shop.Job) string { return string(j.WorkOrderID) })
	all, err := every[shop.Job](tx, By{"work_order_id": orderIDs})
	if err != nil {
		return nil, err
	}
	m.jobs = groupBy(all, func(j shop.Job) shop.WorkOrderID { return j.WorkOrderID })
	if err := m.readSaid(tx, all); err != nil {
		return nil, err
	}
	bills, err := every[shop.Bill](tx, By{"work_order_id": orderIDs, "voided_at": nil})
	if err != nil {
		return nil, err
	}
	m.bills = groupBy(bills, func(b shop.Bill) shop.WorkOrderID { return b.WorkOrderID })
	payments, err := every[shop.Payment](tx, By{"work_order_id": orderIDs})
	if err != nil {
		return nil, err
	}
	m.payments = groupBy(payments, func(p shop.Payment) shop.WorkOrderID { return p.WorkOrderID })
	return m, m.readSides(tx, bills)
}

// readSaid reads what was offered and answered.
func (m *moneyRead) readSaid(tx Tx, jobs []shop.Job) error {
	ledgers, err := ledgersOf(tx, jobs)
	if err != nil {
		return err
	}
	m.ledgers = make(map[shop.JobID]ledger, len(ledgers))
	for _, l := range ledgers {
		m.ledgers[l.job.ID] = l
	}
	open, err := every[shop.Offer](tx, By{"job_id": idsOf(jobs, func(j shop.Job) string { return string(j.ID) }), "state": shop.OfferStateOpen})
	if err != nil {
		return err
	}
	asked, err := every[shop.CustomerQuestion](tx, By{"job_id": idsOf(jobs, func(j shop.Job) string { return string(j.ID) }), "answered_at": nil})
	if err != nil {
		return err
	}
	m.asked = make(map[shop.JobID]bool, len(asked))
	for _, q := range asked {
		m.asked[q.JobID] = true
	}
	now := tx.Now()
	open = slices.DeleteFunc(open, func(o shop.Offer) bool { return past(m.shop, o.PriceUntil, now) })
	m.offers = groupBy(open, func(o shop.Offer) shop.JobID { return o.JobID })
	return nil
}

// readSides reads whose machines were billed; the check of a bill asks.
func (m *moneyRead) readSides(tx Tx, bills []shop.Bill) error {
	m.orders, m.customers, m.machines = map[shop.WorkOrderID]shop.WorkOrder{}, map[shop.CustomerID]shop.Customer{}, map[shop.MachineID]shop.Machine{}
	if len(bills) == 0 {
		return nil
	}
	orders, err := every[shop.WorkOrder](tx, By{"id": idsOf(bills, func(b shop.Bill) string { return string(b.WorkOrderID) })})
	if err != nil {
		return err
	}
	customers, err := every[shop.Customer](tx, By{"id": idsOf(orders, func(w shop.WorkOrder) string { return string(w.CustomerID) })})
	if err != nil {
		return err
	}
	machines, err := every[shop.Machine](tx, By{"id": idsOf(orders, func(w shop.WorkOrder) string { return string(w.MachineID) })})
	if err != nil {
		return err
	}
	for _, w := range orders {
		m.orders[w.ID] = w
	}
	for _, c := range customers {
		m.customers[c.ID] = c
	}
	for _, x := range machines {
		m.machines[x.ID] = x
	}
	intake, err := every[shop.IntakeFacts](tx, By{"id": idsOf(orders, func(w shop.WorkOrder) string { return string(w.ID) })})
	if err != nil {
		return err
	}
	above := make(map[shop.WorkOrderID]*money.Amount, len(intake))
	for _, f := range intake {
		above[f.ID] = f.CallAbove
	}
	now := tx.Now()
	m.side = func(id shop.WorkOrderID) side {
		w := m.orders[id]
		out := sideOf(m.customers[w.CustomerID], m.machines[w.MachineID], now)
		out.callAbove = above[id]
		return out
	}
	return nil
}

// idsOf lists the distinct ids that rows name.
func idsOf[T any](rows []T, id func(T) string) []string {
	seen := make(map[string]bool, len(rows))
	var out []string
	for _, r := range rows {
		if v := id(r); !seen[v] {
			seen[v] = true
			out = append(out, v)
		}
	}
	return out
}

// fill fills the facts of one job.
func (m *moneyRead) fill(j shop.Job, f *flow.Facts) error {
	l := m.ledgers[j.ID]
	upTo, counts := l.upTo(m.rule)
	f.Diagnosis.Free = j.DiagnosisFree
	f.Diagnosis.Agreed = counts
	f.Offers, f.Asked = m.offerFacts(j.ID), m.asked[j.ID]
	for _, g := range l.consents {
		if !stands(g) {
			continue
		}
		switch {
		case g.Kind == shop.ConsentKindDiagnosis && (g.OfferID != "" || l.limitCounts(m.rule, g)):
			f.Diagnosis.Agreed = true
		case g.Kind == shop.ConsentKindTeardown:
			f.Teardown.Consent = true
			f.Teardown.MissingTerms = missingTerms(m.rule, termsOf(l.docs[g.OfferID].Way(g.ScopeID)))
		}
	}
	priced, err := priceBy(m.rules, standing(l.lines))
	if err != nil {
		return err
	}
	f.Consent = l.consentFacts(priced)
	f.DropOff.Counts = counts
	if counts {
		if f.DropOff.Covers, err = l.covers(m.rules, upTo); err != nil {
			return err
		}
	}
	f.Deposit = m.depositFacts(j)
	f.Bill, err = m.billFacts(j)
	return err
}

// termsOf gives what a way says of a teardown; what is not there says nothing.
func termsOf(way *OfferWay) *shop.TeardownTerms {
	if way == nil {
		return nil
	}
	return way.Terms
}

func (m *moneyRead) offerFacts(id shop.JobID) flow.OfferFacts {
	var out flow.OfferFacts
	for _, o := range m.offers[id] {
		out.Open = true
		out.Flagged = out.Flagged || o.NewFindings
	}
	return out
}

// chosenWay finds the consent that settles which way the job goes.
func (l ledger) chosenWay() (shop.Consent, bool) {
	for i := len(l.consents) - 1; i >= 0; i-- {
		if g := l.consents[i]; stands(g) && wholeWay(g.Kind) {
			return g, true
		}
	}
	return shop.Consent{}, false
}

// consentFacts says what the customer agreed to for the repair. It is bound
// while every line of the way that still stands is agreed or done and costs
// and says what was shown; a line struck with a reason unbinds nothing.
func (l ledger) consentFacts(priced estimate.Result) flow.ConsentFacts {
	given, there := l.chosenWay()
	if !there {
		return flow.ConsentFacts{}
	}
	out := flow.ConsentFacts{Given: true}
	way := l.docs[given.OfferID].Way(given.ScopeID)
	if way == nil {
		return out
	}
	out.Scope, out.Bound = true, l.hashes[given.OfferID] == given.ShownSHA256
	shown := make(map[shop.LineID]OfferLine, len(way.Lines))
	for _, x := range way.Lines {
		shown[x.LineID] = x
	}
	for i, x := range standing(l.lines) {
		was, chosen := shown[x.ID]
		if !chosen {
			continue
		}
		if x.State != shop.LineStateAgreed && x.State != shop.LineStateDone {
			out.Scope = false
		}
		if !asShown(x, priced.Lines[i], was) {
			out.Bound = false
		}
	}
	return out
}

// asShown reports whether a line is what the customer saw: the same thing,
// for at most the same money.
func asShown(l shop.Line, r estimate.LineResult, was OfferLine) bool {
	return l.Kind == was.Kind && l.Description == was.Description && r.High <= was.High
}

// covers reports whether a "yes, up to" reaches for all work of the job that
// no other consent covers.
func (l ledger) covers(rules estimate.Rules, upTo shop.Consent) (bool, error) {
	elsewhere := map[shop.ConsentID]bool{}
	for _, g := range l.consents {
		if stands(g) && g.OfferID != "" {
			elsewhere[g.ID] = true
		}
	}
	rest := slices.DeleteFunc(standing(l.lines), func(x shop.Line) bool { return elsewhere[x.ConsentID] })
	priced, err := priceBy(rules, rest)
	if err != nil {
		return false, err
	}
	return priced.Totals.High.Gross <= *upTo.LimitAmount, nil
}

// depositAsked is what a job asks up front: the amount set on it, or that of
// the way agreed to.
func (l ledger) depositAsked() money.Amount {
	if l.job.DepositAsked != nil {
		return *l.job.DepositAsked
	}
	given, there := l.chosenWay()
	if !there {
		return 0
	}
	way := l.docs[given.OfferID].Way(given.ScopeID)
	if way == nil || way.Deposit == nil {
		return 0
	}
	return *way.Deposit
}

// depositFacts holds what the whole work order asks up front against what was
// taken on it, so that one deposit does not count for two jobs.
func (m *moneyRead) depositFacts(j shop.Job) flow.Deposit {
	if m.ledgers[j.ID].depositAsked() == 0 {
		return flow.Deposit{}
	}
	var asked money.Amount
	for _, other := range m.jobs[j.WorkOrderID] {
		if other.Stage != shop.StageWithdrawn {
			asked += m.ledgers[other.ID].depositAsked()
		}
	}
	return flow.Deposit{Asked: true, Paid: kept(m.payments[j.WorkOrderID]) >= asked}
}

// billFacts says how the money of a job stands.
func (m *moneyRead) billFacts(j shop.Job) (flow.BillFacts, error) {
	out := flow.BillFacts{NoBill: j.NoBillBecause}
	bills := m.bills[j.WorkOrderID]
	at := slices.IndexFunc(bills, func(b shop.Bill) bool { return slices.Contains(b.JobIDs, string(j.ID)) })
	if at < 0 {
		if out.NoBill == "" && len(worked(standing(m.ledgers[j.ID].lines), false)) == 0 {
			out.NoBill = "nothing was done that is billed"
		}
		return out, nil
	}
	bill := bills[at]
	out.Present, out.OnTerms = true, bill.OnTerms
	out.Paid = openOn(bills, m.payments[j.WorkOrderID])[bill.ID] == 0
	var err error
	out.WithinConsent, err = m.withinConsent(bill)
	return out, err
}

// withinConsent puts the jobs of a bill to the rule.
func (m *moneyRead) withinConsent(bill shop.Bill) (bool, error) {
	jobs := make([]sums, 0, len(bill.JobIDs))
	for _, id := range bill.JobIDs {
		sum, err := m.ledgers[shop.JobID(id)].reckon(m.rules, m.rule, true)
		if err != nil {
			return false, err
		}
		jobs = append(jobs, sum)
	}
	answer, err := decide(m.rule, jobs, m.side(bill.WorkOrderID), m.shop.Currency)
	return answer.Effective == consent.NotRequired, err
}
