package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/estimate"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (s *Server) moneyRoutes() []route {
	return []route{
		get("/v1/jobs/{id}/estimate", "getEstimate", anyStaff, getEstimate),
		get("/v1/jobs/{id}/consent-check", "getConsentCheck", anyStaff, getConsentCheck),
		get("/v1/work-orders/{id}/bills", "listBills", counter, listBills),
		effect("/v1/work-orders/{id}/bills", "issueBill", counter, issueBill),
		effect("/v1/bills/{id}/void", "voidBill", counter, voidBill),
		get("/v1/work-orders/{id}/payments", "listPayments", counter, listPayments),
		effect("/v1/work-orders/{id}/payments", "takePayment", counter, takePayment),
	}
}

// EstimateView is the totals of a job's lines as clients see them.
type EstimateView struct {
	Low     EstimateSum    `json:"low"`
	High    EstimateSum    `json:"high"`
	Lines   []EstimateLine `json:"lines"`
	Working []string       `json:"working"`
}

// EstimateLine is the amount of one line.
type EstimateLine struct {
	LineID string `json:"line_id"`
	Low    Money  `json:"low"`
	High   Money  `json:"high"`
}

// EstimateSum is one sum.
type EstimateSum struct {
	Net      Money         `json:"net"`
	Tax      Money         `json:"tax"`
	Rounding Money         `json:"rounding"`
	Gross    Money         `json:"gross"`
	Taxes    []EstimateTax `json:"taxes"`
}

// EstimateTax is the tax of one category.
type EstimateTax struct {
	Category string `json:"category"`
	Label    string `json:"label"`
	RatePPM  int64  `json:"rate_ppm"`
	Net      Money  `json:"net"`
	Tax      Money  `json:"tax"`
}

func getEstimate(c *call) error {
	got, err := c.app().Estimate(c.ctx, c.who, shop.JobID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, estimateView(c.currency(), got))
}

func estimateView(cur money.Currency, r estimate.Result) EstimateView {
	view := EstimateView{Low: estimateSum(cur, r.Totals.Low), High: estimateSum(cur, r.Totals.High),
		Lines: make([]EstimateLine, len(r.Lines)), Working: list(r.Working)}
	for i, l := range r.Lines {
		view.Lines[i] = EstimateLine{LineID: l.ID, Low: moneyView(cur, l.Low), High: moneyView(cur, l.High)}
	}
	return view
}

func estimateSum(cur money.Currency, s estimate.Sum) EstimateSum {
	view := EstimateSum{Net: moneyView(cur, s.Net), Tax: moneyView(cur, s.Tax), Rounding: moneyView(cur, s.RoundingDifference),
		Gross: moneyView(cur, s.Gross), Taxes: make([]EstimateTax, len(s.ByCategory))}
	for i, t := range s.ByCategory {
		view.Taxes[i] = EstimateTax{Category: t.Category, Label: t.Label, RatePPM: int64(t.Rate), Net: moneyView(cur, t.Net), Tax: moneyView(cur, t.Tax)}
	}
	return view
}

// ConsentCheckView is what was agreed against what it comes to.
type ConsentCheckView struct {
	Authorized EstimateSum `json:"authorized"`
	Actual     EstimateSum `json:"actual"`
	Own        string      `json:"own"`
	Effective  string      `json:"effective"`
	Ceiling    *Money      `json:"ceiling"`
	Reasons    []string    `json:"reasons"`
	Working    []string    `json:"working"`
	RuleID     string      `json:"rule_id"`
	Citation   string      `json:"citation"`
	Retrieved  string      `json:"retrieved"`
	CheckedOn  *string     `json:"checked_on"`
	Caution    string      `json:"caution"`
}

func getConsentCheck(c *call) error {
	got, err := c.app().CheckConsent(c.ctx, c.who, shop.JobID(c.Param("id")))
	if err != nil {
		return err
	}
	cur := c.currency()
	return c.json(http.StatusOK, 0, ConsentCheckView{
		Authorized: consentSum(cur, got.Authorized), Actual: consentSum(cur, got.Actual),
		Own: string(got.Own), Effective: string(got.Effective), Ceiling: ceilingView(cur, got.Ceiling),
		Reasons: list(got.Reasons), Working: list(got.Working), RuleID: got.RuleID, Citation: got.Citation,
		Retrieved: got.Retrieved, CheckedOn: checkedView(got.Answer), Caution: got.Caution})
}

// consentSum shows a sum with its tax apart; no category stands behind it.
func consentSum(cur money.Currency, a consent.Amount) EstimateSum {
	return EstimateSum{Net: moneyView(cur, money.Amount(a.ExclTax)), Tax: moneyView(cur, money.Amount(a.Tax)), Rounding: moneyView(cur, 0),
		Gross: moneyView(cur, money.Amount(a.ExclTax+a.Tax)), Taxes: []EstimateTax{}}
}

// ceilingView shows the ceiling with tax, or else the one without; the
// working says which is which.
func ceilingView(cur money.Currency, c consent.Ceiling) *Money {
	if c.InclTax != nil {
		return moneyOptView(cur, (*money.Amount)(c.InclTax))
	}
	return moneyOptView(cur, (*money.Amount)(c.ExclTax))
}

// checkedView is the day a person checked the rule; nobody did is null.
func checkedView(a consent.Answer) *string {
	if _, ok := shop.ParseDate(a.Checked); !ok {
		return nil
	}
	return &a.Checked
}

func listBills(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Bills(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), page)
	if err != nil {
		return err
	}
	c.saw("bills", keysOf(rows, shop.Bill.Key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Bill.Key, func(b shop.Bill) BillView { return billView(c.currency(), b) }))
}

// BillIn is what a client sends to issue a bill.
type BillIn struct {
	JobIDs    []string `json:"job_ids"`
	OnTerms   bool     `json:"on_terms"`
	TermsNote string   `json:"terms_note"`
}

func issueBill(c *call) error {
	in, err := read[BillIn](c)
	if err != nil {
		return err
	}
	bill, err := c.app().IssueBill(c.ctx, c.who, app.NewBill{WorkOrderID: shop.WorkOrderID(c.Param("id")),
		JobIDs: in.JobIDs, OnTerms: in.OnTerms, TermsNote: in.TermsNote})
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, bill.Version, billView(c.currency(), bill))
}

func voidBill(c *call) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	bill, err := c.app().VoidBill(c.ctx, c.who, shop.BillID(c.Param("id")), in.Reason)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, bill.Version, billView(c.currency(), bill))
}

func listPayments(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Payments(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), page)
	if err != nil {
		return err
	}
	c.saw("payments", keysOf(rows, shop.Payment.Key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Payment.Key, func(p shop.Payment) PaymentView { return paymentView(c.currency(), p) }))
}

func takePayment(c *call) error {
	in, err := read[PaymentIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	var payment shop.Payment
	in.onto(conv, &payment)
	if err := conv.err(); err != nil {
		return err
	}
	paid, err := c.app().TakePayment(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), payment)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, paid.Version, paymentView(c.currency(), paid))
}
