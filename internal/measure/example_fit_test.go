package measure_test

import (
	"fmt"

	"benchtag/internal/measure"
)

func ExampleFit_Play() {
	f, err := measure.ParseFit("50 H7/g6")
	if err != nil {
		panic(err)
	}
	play, err := f.Play()
	if err != nil {
		panic(err)
	}
	fmt.Println(play.Kind, play.Min/1000, "to", play.Max/1000, "µm")
	// Output: clearance 9 to 50 µm
}

func ExampleGear_Span() {
	g := measure.Gear{Teeth: 24, Module: 3, Pressure: 20, Shift: 0.4}
	span, err := g.Span(4)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.4f mm over 4 teeth\n", span)
	// Output: 32.8266 mm over 4 teeth
}
