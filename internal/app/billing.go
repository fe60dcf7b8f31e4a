package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"

	"benchtag/internal/auth"
	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// BillDocument is a bill as issued; its JSON bytes are stored once and hashed.
type BillDocument struct {
	Version   int              `json:"version"` // of this format; 1
	Shop      OfferShop        `json:"shop"`
	Number    int64            `json:"number"`     // of the bill, in the shop's own series
	WorkOrder int64            `json:"work_order"` // its number
	Customer  string           `json:"customer"`   // name
	Address   string           `json:"address"`    // of the customer
	Machine   string           `json:"machine"`    // make, model, year
	IssuedAt  string           `json:"issued_at"`  // RFC 3339, UTC
	IssuedOn  shop.Date        `json:"issued_on"`  // day in the shop's zone
	Currency  money.Currency   `json:"currency"`   // ISO 4217
	TaxMode   shop.TaxMode     `json:"tax_mode"`   // whether line amounts contain tax
	Jobs      []BillJob        `json:"jobs"`
	Sum       OfferSum         `json:"sum"`
	Taxes     []BillTax        `json:"taxes"`
	OnTerms   bool             `json:"on_terms"`
	TermsNote string           `json:"terms_note"`
	Deposits  money.Amount     `json:"deposits_minor"` // taken on this work order so far, less refunds
	Consents  []shop.ConsentID `json:"consents"`       // the answers that cover its lines
	Caution   string           `json:"caution"`
}

// BillJob is the part of one job.
type BillJob struct {
	JobID shop.JobID `json:"job_id"`
	Title string     `json:"title"`
	Lines []BillLine `json:"lines"`
}

// BillLine is one line done.
type BillLine struct {
	LineID        shop.LineID        `json:"line_id"`
	Kind          shop.LineKind      `json:"kind"`
	Description   string             `json:"description"`
	QuantityMilli int64              `json:"quantity_milli"`
	Minutes       int64              `json:"minutes"`
	UnitPrice     money.Amount       `json:"unit_price_minor"`
	PartNumber    string             `json:"part_number"`
	PartCondition shop.PartCondition `json:"part_condition"`
	TaxCategory   string             `json:"tax_category"`
	Amount        money.Amount       `json:"amount_minor"`
}

// BillTax is the tax of one category.
type BillTax struct {
	Category string       `json:"category"`
	Label    string       `json:"label"`
	RatePPM  int64        `json:"rate_ppm"`
	Net      money.Amount `json:"net_minor"`
	Tax      money.Amount `json:"tax_minor"`
}

// NewBill says what to bill.
type NewBill struct {
	WorkOrderID shop.WorkOrderID
	JobIDs      []string
	OnTerms     bool
	TermsNote   string
}

// IssueBill bills the done lines of jobs as one document, under the next
// number of the shop's series. What was billed is not billed again unless
// that bill is voided.
func (a *App) IssueBill(ctx context.Context, who auth.Principal, in NewBill) (bill shop.Bill, err error) {
	if in.OnTerms && blank(in.TermsNote) {
		return bill, fault.Invalid("app.terms_missing", "/terms_note", "Say in words what was agreed: by when, and how.")
	}
	err = a.onOrder(ctx, who, in.WorkOrderID, "bill.issued", func(c *Change, order *shop.WorkOrder) error {
		jobs, err := c.jobsToBill(*order, in.JobIDs)
		if err != nil {
			return err
		}
		number, err := c.Number("bill")
		if err != nil {
			return err
		}
		doc, err := c.writeBill(*order, jobs, in, number)
		if err != nil {
			return err
		}
		body, err := json.Marshal(doc)
		if err != nil {
			return fmt.Errorf("app: write a bill: %w", err)
		}
		sum := sha256.Sum256(body)
		bill = shop.Bill{ID: shop.BillID(a.Source.ID()), WorkOrderID: order.ID, Number: number, JobIDs: in.JobIDs,
			Document: body, SHA256: hex.EncodeToString(sum[:]), Net: doc.Sum.Net, Tax: doc.Sum.Tax, Gross: doc.Sum.Gross,
			OnTerms: in.OnTerms, TermsNote: in.TermsNote, IssuedBy: who.StaffID, IssuedAt: c.Now()}
		return c.insertFirst(&bill)
	})
	return bill, err
}

// jobsToBill loads the jobs of a bill: of this order, each once, none billed.
func (c *Change) jobsToBill(order shop.WorkOrder, ids []string) ([]shop.Job, error) {
	bills, err := every[shop.Bill](c.Tx, By{"work_order_id": order.ID, "voided_at": nil})
	if err != nil {
		return nil, err
	}
	var jobs []shop.Job
	for i, id := range ids {
		where := fmt.Sprintf("/job_ids/%d", i)
		job, err := load[shop.Job](c.Tx, id)
		switch {
		case fault.Is(err, fault.NotFound), err == nil && job.WorkOrderID != order.ID:
			return nil, fault.Invalid("app.job_unknown", where, "Name a job of this work order.")
		case err != nil:
			return nil, err
		case slices.Contains(ids[:i], id):
			return nil, fault.Invalid("app.job_twice", where, "Name each job once.")
		}
		for _, b := range bills {
			if slices.Contains(b.JobIDs, id) {
				return nil, fault.New(fault.Conflict, "app.job_billed", fmt.Sprintf("%q is on bill %d already; void that one first.", job.Title, b.Number))
			}
		}
		jobs = append(jobs, job)
	}
	if len(jobs) == 0 {
		return nil, fault.Invalid("app.job_missing", "/job_ids", "Name at least one job.")
	}
	return jobs, nil
}

// writeBill puts the document together from what is done.
func (c *Change) writeBill(order shop.WorkOrder, jobs []shop.Job, in NewBill, number int64) (BillDocument, error) {
	lines, err := every[shop.Line](c.Tx, By{"job_id": in.JobIDs, "state": shop.LineStateDone})
	if err != nil {
		return BillDocument{}, err
	}
	lines = asDone(standing(lines))
	if len(lines) == 0 {
		return BillDocument{}, fault.New(fault.Conflict, "app.nothing_to_bill", "No line of these jobs is done. Mark what was done, or say on the job why nothing is billed.")
	}
	s, err := load[shop.Shop](c.Tx, string(c.Who.ShopID))
	if err != nil {
		return BillDocument{}, err
	}
	priced, err := priceLines(c.Tx, s, lines)
	if err != nil {
		return BillDocument{}, err
	}
	doc := BillDocument{Version: documentVersion, Number: number, WorkOrder: order.Number,
		Shop:     OfferShop{Name: s.Name, Phone: s.Phone, Address: s.Address, Registration: s.Registration},
		IssuedAt: c.Now().Format("2006-01-02T15:04:05.000000Z"), IssuedOn: shop.DateOf(c.Now(), zoneOf(s)),
		Currency: currencyOf(s), TaxMode: s.TaxMode, Jobs: billJobs(jobs, lines, priced), Sum: offerSum(priced.Totals.High),
		OnTerms: in.OnTerms, TermsNote: in.TermsNote, Caution: s.Caution, Taxes: billTaxes(priced), Consents: consentsOn(lines)}
	return doc, c.addressBill(&doc, order)
}

// addressBill fills in who pays, for which machine, and what is paid already.
func (c *Change) addressBill(doc *BillDocument, order shop.WorkOrder) error {
	customer, err := load[shop.Customer](c.Tx, string(order.CustomerID))
	if err != nil {
		return err
	}
	machine, err := load[shop.Machine](c.Tx, string(order.MachineID))
	if err != nil {
		return err
	}
	payments, err := every[shop.Payment](c.Tx, By{"work_order_id": order.ID})
	if err != nil {
		return err
	}
	doc.Customer, doc.Address, doc.Machine = customer.Name, customer.Address, machineWords(machine)
	doc.Deposits = max(0, kept(unbilled(payments)))
	return nil
}

func billJobs(jobs []shop.Job, lines []shop.Line, priced estimate.Result) []BillJob {
	amount := make(map[shop.LineID]money.Amount, len(lines))
	for i, l := range lines {
		amount[l.ID] = priced.Lines[i].Amount
	}
	of := groupBy(lines, func(l shop.Line) shop.JobID { return l.JobID })
	out := make([]BillJob, len(jobs))
	for i, j := range jobs {
		out[i] = BillJob{JobID: j.ID, Title: j.Title, Lines: []BillLine{}}
		for _, l := range of[j.ID] {
			out[i].Lines = append(out[i].Lines, BillLine{LineID: l.ID, Kind: l.Kind, Description: l.Description,
				QuantityMilli: l.QuantityMilli, Minutes: l.Minutes, UnitPrice: l.UnitPrice, PartNumber: l.PartNumber,
				PartCondition: l.PartCondition, TaxCategory: l.TaxCategory, Amount: amount[l.ID]})
		}
	}
	return out
}

func billTaxes(priced estimate.Result) []BillTax {
	out := []BillTax{}
	for _, t := range priced.Totals.High.ByCategory {
		out = append(out, BillTax{Category: t.Category, Label: t.Label, RatePPM: int64(t.Rate), Net: t.Net, Tax: t.Tax})
	}
	return out
}

func consentsOn(lines []shop.Line) []shop.ConsentID {
	out := []shop.ConsentID{}
	for _, l := range lines {
		if l.ConsentID != "" && !slices.Contains(out, l.ConsentID) {
			out = append(out, l.ConsentID)
		}
	}
	return out
}

// VoidBill takes a bill out of the world, with the reason; its number and its
// bytes stay. The jobs may then be billed again.
func (a *App) VoidBill(ctx context.Context, who auth.Principal, id shop.BillID, reason string) (bill shop.Bill, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.Bill](tx, string(id))
		if err != nil {
			return err
		}
		return a.onOrder(ctx, who, found.WorkOrderID, "bill.voided", func(c *Change, _ *shop.WorkOrder) error {
			if bill, err = load[shop.Bill](c.Tx, string(id)); err != nil {
				return err
			}
			if bill.VoidedAt != nil {
				return fault.New(fault.Conflict, "app.bill_voided", "This bill is void already.")
			}
			now := c.Now()
			bill.VoidedAt, bill.VoidReason = &now, reason
			return c.advanceFirst(&bill)
		})
	})
	return bill, err
}

// Bills reads a page of the bills of a work order.
func (a *App) Bills(ctx context.Context, who auth.Principal, order shop.WorkOrderID, page Page) ([]shop.Bill, error) {
	return underOrder[shop.Bill](ctx, a, who, order, page)
}

// underOrder reads a page of what hangs on a work order.
func underOrder[T any](ctx context.Context, a *App, who auth.Principal, order shop.WorkOrderID, page Page) (rows []T, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.WorkOrder](tx, string(order)); err != nil {
			return err
		}
		return tx.List(&rows, By{"work_order_id": order}, page)
	})
	return rows, err
}
