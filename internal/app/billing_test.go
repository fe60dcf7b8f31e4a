package app_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (b *moneyBench) bill(jobs ...shop.Job) shop.Bill {
	b.t.Helper()
	in := app.NewBill{WorkOrderID: b.order.ID}
	for _, j := range jobs {
		in.JobIDs = append(in.JobIDs, string(j.ID))
	}
	bill, err := b.app.IssueBill(b.ctx, b.who, in)
	if err != nil {
		b.t.Fatal(err)
	}
	return bill
}

func (b *moneyBench) pay(in shop.Payment) error {
	in.Method = shop.PaymentMethodCash
	_, err := b.app.TakePayment(b.ctx, b.who, b.order.ID, in)
	return err
}

func TestBillIsFixedNumberedAndOnce(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	_, err := b.app.IssueBill(b.ctx, b.who, app.NewBill{WorkOrderID: b.order.ID, JobIDs: []string{string(b.job.ID)}})
	wantMoneyFault(t, err, fault.Conflict, "app.nothing_to_bill")
	done, left := b.part(b.job, 10_000), b.part(b.job, 5_000)
	b.agree(shop.ScopeKindRepair, done, left)
	b.done(0, done)
	bill := b.bill(b.job)
	if bill.Number != 1 || bill.Gross != 10_825 || bill.SHA256 != hashOf(string(bill.Document)) {
		t.Errorf("bill = %+v", bill)
	}
	var doc app.BillDocument
	if err := json.Unmarshal(bill.Document, &doc); err != nil || len(doc.Jobs) != 1 || len(doc.Jobs[0].Lines) != 1 || doc.Customer != "Wren Ashdown" {
		t.Errorf("document = %+v, %v", doc, err)
	}
	_, err = b.app.IssueBill(b.ctx, b.who, app.NewBill{WorkOrderID: b.order.ID, JobIDs: []string{string(b.job.ID)}})
	wantMoneyFault(t, err, fault.Conflict, "app.job_billed")
	voided, err := b.app.VoidBill(b.ctx, b.who, bill.ID, "wrong job")
	if err != nil || voided.VoidedAt == nil || voided.SHA256 != bill.SHA256 {
		t.Fatalf("voided = %+v, %v", voided, err)
	}
	_, err = b.app.VoidBill(b.ctx, b.who, bill.ID, "again")
	wantMoneyFault(t, err, fault.Conflict, "app.bill_voided")
	if again := b.bill(b.job); again.Number != 2 {
		t.Errorf("again = %+v", again)
	}
	rows, err := b.app.Bills(b.ctx, b.who, b.order.ID, app.Page{})
	if err != nil || len(rows) != 2 {
		t.Errorf("bills = %v, %v", rows, err)
	}
}

func TestBillRefusals(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	id := string(b.job.ID)
	for name, tt := range map[string]struct {
		in   app.NewBill
		code string
	}{
		"no job":        {app.NewBill{}, "app.job_missing"},
		"twice":         {app.NewBill{JobIDs: []string{id, id}}, "app.job_twice"},
		"unknown":       {app.NewBill{JobIDs: []string{moneySource{}.ID()}}, "app.job_unknown"},
		"unnamed terms": {app.NewBill{JobIDs: []string{id}, OnTerms: true}, "app.terms_missing"},
	} {
		tt.in.WorkOrderID = b.order.ID
		_, err := b.app.IssueBill(b.ctx, b.who, tt.in)
		t.Run(name, func(t *testing.T) { wantMoneyFault(t, err, fault.Meaning, tt.code) })
	}
}

func TestCashRounding(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, func(s *shop.Shop) { s.Rounding = string(money.To5) })
	l := b.part(b.job, 10_002) // tax 8.25, 108.27: pays 108.25
	b.agree(shop.ScopeKindRepair, l)
	b.done(0, l)
	if bill := b.bill(b.job); bill.Gross != 10_825 || bill.Net+bill.Tax != 10_827 {
		t.Errorf("bill = %+v", bill)
	}
	if f := b.facts(); !f.Bill.WithinConsent {
		t.Error("cash rounding is no overrun")
	}
}

func TestPaymentsAndFacts(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	if diff := cmp.Diff(flow.BillFacts{NoBill: "nothing was done that is billed"}, b.facts().Bill); diff != "" {
		t.Error(diff)
	}
	deposit := money.Amount(4_000)
	b.job.DepositAsked = &deposit
	b.write(func(tx app.Tx) error { return tx.Advance(&b.job) })
	l := b.part(b.job, 10_000)
	b.agree(shop.ScopeKindRepair, l)
	if diff := cmp.Diff(flow.Deposit{Asked: true}, b.facts().Deposit); diff != "" {
		t.Error(diff)
	}
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindDeposit}), fault.Meaning, "app.amount_not_positive")
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindPayment, Amount: 1}), fault.Meaning, "app.bill_missing")
	if err := b.pay(shop.Payment{Kind: shop.PaymentKindDeposit, Amount: 4_000}); err != nil {
		t.Fatal(err)
	}
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindRefund, Amount: 4_001}), fault.Meaning, "app.refund_too_large")
	if !b.facts().Deposit.Paid {
		t.Error("deposit not seen")
	}
	b.done(0, l)
	if diff := cmp.Diff(flow.BillFacts{}, b.facts().Bill); diff != "" {
		t.Error(diff)
	}
	bill := b.bill(b.job)
	if diff := cmp.Diff(flow.BillFacts{Present: true, WithinConsent: true}, b.facts().Bill); diff != "" {
		t.Error(diff)
	}
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindDeposit, BillID: bill.ID, Amount: 1}), fault.Meaning, "app.deposit_on_bill")
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindPayment, BillID: bill.ID, Amount: 6_826}), fault.Meaning, "app.overpaid")
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindPayment, BillID: shop.BillID(moneySource{}.ID()), Amount: 1}), fault.Meaning, "app.bill_unknown")
	if err := b.pay(shop.Payment{Kind: shop.PaymentKindPayment, BillID: bill.ID, Amount: 6_825}); err != nil {
		t.Fatal(err)
	}
	if !b.facts().Bill.Paid {
		t.Error("paid in full, and not seen")
	}
	if err := b.pay(shop.Payment{Kind: shop.PaymentKindRefund, Amount: 1}); err != nil {
		t.Fatal(err)
	}
	if b.facts().Bill.Paid {
		t.Error("given back a cent, and still paid")
	}
	if _, err := b.app.VoidBill(b.ctx, b.who, bill.ID, "reissue"); err != nil {
		t.Fatal(err)
	}
	wantMoneyFault(t, b.pay(shop.Payment{Kind: shop.PaymentKindPayment, BillID: bill.ID, Amount: 1}), fault.Conflict, "app.bill_voided")
	again := b.bill(b.job)
	if err := b.pay(shop.Payment{Kind: shop.PaymentKindPayment, BillID: again.ID, Amount: 1}); err != nil {
		t.Fatal(err)
	}
	if !b.facts().Bill.Paid {
		t.Error("the money of the void bill is lost")
	}
}

func TestOverrunShowsOnTheBill(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	l := b.part(b.job, 10_000)
	b.agree(shop.ScopeKindRepair, l)
	got := b.line(l)
	got.UnitPrice++
	b.write(func(tx app.Tx) error { return tx.Advance(&got) })
	if b.facts().Consent.Bound {
		t.Error("a dearer line is not what was agreed to")
	}
	b.done(0, l)
	b.bill(b.job)
	if b.facts().Bill.WithinConsent {
		t.Error("one cent above is not within consent")
	}
}
