package checks_test

import (
	"fmt"
	"math/big"

	"benchtag/internal/checks"
)

func ExampleOrder() {
	percent := func(n int64) *big.Rat { return big.NewRat(n, 100) }
	minutes := func(n int64) *big.Rat { return big.NewRat(n, 1) }
	s, method, err := checks.Order(checks.Problem{
		Causes: []checks.Chance{{Key: "slack chain", P: percent(50)}, {Key: "loose nut", P: percent(30)}, {Key: "dry cable", P: percent(20)}},
		Tasks: []checks.Task{
			{Key: "feel the chain", Cost: minutes(40), Finds: []string{"slack chain"}},
			{Key: "rock the nut", Cost: minutes(10), Finds: []string{"loose nut"}},
			{Key: "pull the cable", Cost: minutes(5), Finds: []string{"dry cable"}},
		},
	})
	for _, turn := range s.Turns {
		fmt.Println(turn.Check, turn.Ratio)
	}
	fmt.Println(s.Expected, method, err)
	// Output:
	// pull the cable 0.04
	// rock the nut 0.03
	// feel the chain 0.0125
	// 33 by_ratio <nil>
}
