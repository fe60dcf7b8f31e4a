package measure_test

import (
	"fmt"

	"benchtag/internal/measure"
)

func ExampleDerive() {
	read := func(text string) measure.Quantity {
		q, err := measure.Parse(text)
		if err != nil {
			panic(err)
		}
		return q
	}
	micrometer := &measure.Gauge{Name: "micrometer", Resolution: read("0.001 mm"), Uncertainty: read("0.002 mm")}
	got, err := measure.Derive(measure.Request{Formula: "clearance", Readings: []measure.Reading{
		{Of: "bore", Values: []measure.Quantity{read("77.001 mm"), read("77.003 mm"), read("77.002 mm")}, Gauge: micrometer},
		{Of: "piston", Values: []measure.Quantity{read("76.955 mm")}, Gauge: micrometer},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(got.Value, "±", got.Expanded)
	fmt.Println(got.Working[1])
	// Output:
	// 0.047 mm ± 0.0032 mm
	// The greatest clearance = hole − shaft = bore 77.002 mm − piston 76.955 mm.
}
