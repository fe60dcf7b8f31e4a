// Package estimate turns the lines of a document into totals: what the work
// comes to at least, what it may come to at most, the tax in it, and the
// working that lets a person follow every figure.
//
// It decides amounts only. Whether a change needs the customer's yes is the
// consent package's; which work is shared between lines is the access
// package's. Discounts and deposits are not lines here: nothing is negative.
//
// A document is one set of lines taxed together. Tax is worked out once per
// tax category on the category's subtotal of the document, not line by line;
// each line's share of it then follows by the largest remainder, so that the
// parts of a document always sum to its totals.
package estimate

import "benchtag/internal/money"

// MaxLines and MaxTaxes bound one document. Common practice, no source: far
// above what a bench writes, and low enough to keep a total quick.
const (
	MaxLines = 2000
	MaxTaxes = 50
)

// LineKind says what is paid for.
type LineKind string

// The kinds of line, in the order in which totals list them.
const (
	Labour     LineKind = "labour"     // bench time, in minutes at a rate an hour
	Part       LineKind = "part"       // a part that stays on the machine
	Consumable LineKind = "consumable" // oil, sealant, cleaner and the like
	Sublet     LineKind = "sublet"     // work done by an outside shop
	Fee        LineKind = "fee"        // anything else charged: disposal, storage, carriage
)

// LineKinds lists every kind.
func LineKinds() []LineKind { return []LineKind{Labour, Part, Consumable, Sublet, Fee} }

// Certainty says whether a line will be charged.
type Certainty string

// The certainties.
const (
	Certain  Certainty = "certain"  // will be done and charged
	Possible Certainty = "possible" // only if found necessary; counts in the high total alone
)

// Certainties lists every certainty.
func Certainties() []Certainty { return []Certainty{Certain, Possible} }

// Mode says what a price means.
type Mode string

// The modes.
const (
	Exclusive Mode = "exclusive" // prices are before tax, which is added on top
	Inclusive Mode = "inclusive" // prices contain the tax, which is taken out of them
)

// Modes lists every mode.
func Modes() []Mode { return []Mode{Exclusive, Inclusive} }

// Line is one thing charged for. Prices and ceilings are in minor units of
// the document's currency, before or including tax as the mode says.
type Line struct {
	ID          string    `json:"id"`              // unique in the document, not empty
	Label       string    `json:"label,omitempty"` // for the working; the ID stands in for an empty one
	Kind        LineKind  `json:"kind"`
	Certainty   Certainty `json:"certainty"`
	TaxCategory string    `json:"tax_category"` // one of the rules' categories
	// Milli is the quantity in thousandths, 1500 for one and a half; zero or
	// more, and zero on labour.
	Milli int64 `json:"quantity_milli,omitempty"`
	// Minutes is bench time; zero or more, and zero on every other kind.
	Minutes int64 `json:"minutes,omitempty"`
	// UnitPrice is the price of one unit, or of one hour for labour; zero or more.
	UnitPrice money.Amount `json:"unit_price_minor"`
	// Ceiling is the most a possible line may come to, at least what its
	// quantity and price give; 0 for none stated. A certain line has none.
	Ceiling money.Amount `json:"ceiling_minor,omitempty"`
}

// Tax is the one rate of a tax category.
type Tax struct {
	Category string    `json:"category"` // not empty, unique in the rules
	Rate     money.PPM `json:"rate_ppm"` // 0 (untaxed) to 1,000,000 (100 %)
	Label    string    `json:"label"`    // as shown to the customer; the category stands in for an empty one
}

// Rules say how a shop reckons. They are fixed for a document.
type Rules struct {
	Currency money.Currency `json:"currency"`
	Mode     Mode           `json:"mode"`
	Taxes    []Tax          `json:"taxes"`
	// LineRounding and TaxRounding make whole minor units of a line's amount
	// and of a category's tax. Neither may be a cash rule.
	LineRounding money.Rounding `json:"line_rounding"`
	TaxRounding  money.Rounding `json:"tax_rounding"`
	// CashRounding is a cash rule for the document's gross, or "" for none.
	// What it changes stands in the totals as a line of its own.
	CashRounding money.Rounding `json:"cash_rounding,omitempty"`
}

// Share is an amount of money taken apart: Net + Tax = Gross.
type Share struct {
	Net   money.Amount `json:"net_minor"`
	Tax   money.Amount `json:"tax_minor"`
	Gross money.Amount `json:"gross_minor"`
}

// Range is what something comes to at least and at most.
type Range struct {
	Low  Share `json:"low"`
	High Share `json:"high"`
}

// TaxLine is the subtotal of one tax category.
type TaxLine struct {
	Category string    `json:"category"`
	Label    string    `json:"label"`
	Rate     money.PPM `json:"rate_ppm"`
	Share
}

// KindLine is the subtotal of one kind of line.
type KindLine struct {
	Kind LineKind `json:"kind"`
	Share
}

// Sum is one total of the document, for the low or the high end:
// Net + Tax + RoundingDifference = Gross. The categories' nets and taxes sum
// to Net and Tax, and so do the kinds'.
type Sum struct {
	Net                money.Amount `json:"net_minor"`
	Tax                money.Amount `json:"tax_minor"`
	RoundingDifference money.Amount `json:"rounding_difference_minor"` // by cash rounding; may be negative
	Gross              money.Amount `json:"gross_minor"`               // what is paid
	ByCategory         []TaxLine    `json:"by_category"`               // categories in use, in the rules' order
	ByKind             []KindLine   `json:"by_kind"`                   // kinds in use, in LineKinds order
}

// Totals is the range of the document.
type Totals struct {
	Low  Sum `json:"low"`  // certain lines only
	High Sum `json:"high"` // with every possible line at its most
}

// LineResult is what one line comes to.
type LineResult struct {
	ID   string   `json:"id"`
	Kind LineKind `json:"kind"`
	// Amount is quantity times price, rounded, in the prices' own terms.
	Amount money.Amount `json:"amount_minor"`
	// Low and High are what the line adds to the two totals, in the prices'
	// own terms: a certain line's Amount twice; for a possible line 0 and
	// the greater of Amount and ceiling.
	Low  money.Amount `json:"low_minor"`
	High money.Amount `json:"high_minor"`
	// Shares are the line's parts of the document's net, tax and gross before
	// cash rounding. All lines' shares sum to the totals. Because tax is
	// rounded once for the document, a certain line's two shares may differ
	// by a minor unit of tax.
	Shares Range `json:"shares"`
}

// Result is the whole answer.
type Result struct {
	Lines    []LineResult `json:"lines"` // in the order of the input
	Totals   Totals       `json:"totals"`
	Working  []string     `json:"working"`  // formula sentences, in the order of reckoning
	Warnings []string     `json:"warnings"` // what a person should look at before sending it
}
