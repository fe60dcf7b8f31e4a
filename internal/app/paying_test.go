package app_test

import (
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// TestOpenOnLaws: no bill is open by less than nothing or by more than its
// sum; a void bill is not open at all; and what is covered on all bills is
// the money held, or everything where there is more.
func TestOpenOnLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var bills []shop.Bill
		var gross money.Amount
		for i := range rapid.IntRange(0, 4).Draw(t, "bills") {
			b := shop.Bill{ID: shop.BillID(strconv.Itoa(i)), Gross: money.Amount(rapid.IntRange(0, 50).Draw(t, "gross"))}
			if rapid.Bool().Draw(t, "void") {
				b.VoidedAt = new(time.Time)
			} else {
				gross += b.Gross
			}
			bills = append(bills, b)
		}
		payments, held := drawPayments(t, bills)
		open := app.OpenOn(bills, payments)
		var covered money.Amount
		for _, b := range bills {
			left, there := open[b.ID]
			if there != (b.VoidedAt == nil) || left < 0 || left > b.Gross {
				t.Fatalf("bill %+v is open by %d (%v)", b, left, there)
			}
			if there {
				covered += b.Gross - left
			}
		}
		if want := min(held, gross); covered != want {
			t.Fatalf("covered %d, want %d of %d held", covered, want, held)
		}
	})
}

// drawPayments draws what TakePayment would let happen: never below nothing.
func drawPayments(t *rapid.T, bills []shop.Bill) ([]shop.Payment, money.Amount) {
	var payments []shop.Payment
	var held money.Amount
	for range rapid.IntRange(0, 8).Draw(t, "payments") {
		p := shop.Payment{Kind: rapid.SampledFrom(shop.PaymentKindValues()).Draw(t, "kind"), Amount: money.Amount(rapid.IntRange(1, 60).Draw(t, "amount"))}
		if p.Kind == shop.PaymentKindRefund {
			if held == 0 {
				continue
			}
			p.Amount = min(p.Amount, held)
			held -= 2 * p.Amount
		}
		if p.Kind != shop.PaymentKindDeposit && len(bills) > 0 {
			p.BillID = rapid.SampledFrom(bills).Draw(t, "bill").ID
		}
		held += p.Amount
		payments = append(payments, p)
	}
	return payments, held
}
