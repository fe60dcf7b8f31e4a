package consent_test

import (
	"fmt"

	"benchtag/internal/consent"
)

// A repair agreed at 99.99 comes to 114.99 in Hawaii: 15 % of 99.99 is
// 14.9985, so 15.00 more is too much.
func ExampleDecide() {
	rule, err := consent.Find("US-HI")
	if err != nil {
		fmt.Println(err)
		return
	}
	answer, err := consent.Decide(rule, consent.Change{
		Authorized: consent.Amount{ExclTax: 9999}, Actual: consent.Amount{ExclTax: 11499},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(answer.Effective, "up to", *answer.Ceiling.ExclTax)
	fmt.Println(answer.Working[0])
	// Output:
	// required up to 11498
	// Allowance without tax: 15 % of 99.99 = 14.9985
}

// Nothing chosen means the strict default, and its whole list.
func ExampleMissingTerms() {
	fmt.Println(consent.MissingTerms(consent.Strict(), []consent.Term{
		consent.TermTeardownCost, consent.TermArea, consent.TermReassembly, consent.TermDestroyed,
	}))
	// Output: [max_reassembly_time may_prevent_restoration]
}
