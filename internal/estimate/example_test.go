package estimate_test

import (
	"fmt"

	"benchtag/internal/estimate"
)

// A chain comes on Thursday; what does not need it is done before.
func ExampleFinish() {
	ready, err := estimate.Finish(estimate.Plan{
		Start: "2026-11-30", // a Monday
		Week:  estimate.Week{Monday: 240, Tuesday: 240, Wednesday: 240, Thursday: 240, Friday: 240},
		Tasks: []estimate.Task{{ID: "chain", Minutes: 120, Arrives: "2026-12-03"}, {ID: "valves", Minutes: 600}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(ready.Finish, ready.WaitsFor, ready.Task)
	// Output: 2026-12-03 part chain
}

// A chain of 170.00 in time, or the whole engine.
func ExampleWaiting() {
	cost, err := estimate.Waiting(estimate.Ends{Low: 17000, High: 17000}, estimate.Ends{Low: 77000, High: 111000}, "USD")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(cost.FactorLow, "to", cost.FactorHigh, "times as much")
	// Output: 4.53 to 6.53 times as much
}
