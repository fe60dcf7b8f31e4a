package app

import (
	"fmt"
	"strings"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// Way gives the way forward with that id, or nil if the document has none.
func (d OfferDocument) Way(id shop.ScopeID) *OfferWay {
	for i := range d.Ways {
		if d.Ways[i].ScopeID == id {
			return &d.Ways[i]
		}
	}
	return nil
}

// Wording is the sentence a customer agrees to: of the way chosen, or of
// declining where way is nil. The page shows it and the consent records it,
// so both take it from here.
func (d OfferDocument) Wording(way *OfferWay) string {
	what := fmt.Sprintf("work order %d at %s, %s", d.Number, d.Shop.Name, d.Machine)
	if way == nil {
		return "I say no to every way forward offered on " + what + ". No new work may start on this offer."
	}
	return fmt.Sprintf("I say yes to “%s” on %s, for %s at most, tax included. More work or a higher price needs a new yes from me.",
		way.Title, what, AmountWords(way.High.Gross, d.Currency))
}

// AmountWords writes an amount for people: the currency's code, then the
// digits with a comma between thousands, as in "USD 1,234.50".
func AmountWords(a money.Amount, currency money.Currency) string {
	text := a.Text(currency)
	whole, part, pointed := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	var b strings.Builder
	b.WriteString(string(currency) + " ")
	if a < 0 {
		b.WriteString("−")
	}
	for i := range len(whole) {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteByte(whole[i])
	}
	if pointed {
		b.WriteString("." + part)
	}
	return b.String()
}
