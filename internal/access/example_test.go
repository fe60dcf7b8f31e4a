package access_test

import (
	"fmt"

	"benchtag/internal/access"
)

func ExampleDivide() {
	// Taking the cover off serves both, the head only the second.
	shares := access.Divide([]access.Shared{
		{Minutes: 45, NeededBy: []int{0, 1}},
		{Minutes: 20, NeededBy: []int{1}},
	}, 2)
	fmt.Println(shares)
	// Output: [22.500 42.500]
}
