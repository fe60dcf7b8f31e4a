package debris_test

import (
	"fmt"

	"benchtag/internal/debris"
)

func ExampleJudge() {
	r, err := debris.Judge(debris.Input{
		Compartment: debris.GearCase,
		Now: debris.Sample{Place: debris.MagneticPlug, Entries: []debris.Entry{
			{Form: debris.Fuzz, Material: debris.Steel, Share: debris.Light},
			{Form: debris.Granular, Material: debris.Steel, Count: 3},
		}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Verdict)
	for _, e := range r.Entries {
		fmt.Printf("%s: %s\n", e.What, e.Verdict)
	}
	// Output:
	// look_further
	// Steel fuzz, light: normal_wear
	// Steel grain, 3 of them: look_further
}
