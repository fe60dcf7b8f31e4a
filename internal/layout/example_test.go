package layout_test

import (
	"fmt"
	"os"

	"benchtag/internal/layout"
)

// Every fault comes with its place and what to do about it.
func ExampleCheck() {
	m := layout.Map{
		Code: "bench_grinder", Revision: 1, Title: "A shaft in two bearings",
		Assemblies:   []layout.Assembly{{Key: "grinder", Name: "grinder"}},
		Compartments: []layout.Compartment{{Key: "housing", Name: "housing", Medium: layout.Oil}},
		Components: []layout.Component{
			{Key: "shaft", Name: "shaft", Assembly: "grinder", Kind: "shaft", Safety: layout.Major, In: "housing"},
			{Key: "bearing", Name: "bearing", Assembly: "grinder", Kind: "bearing", In: "case", Look: [][]layout.Key{{"lid"}}},
		},
	}
	for _, f := range layout.Check(m) {
		fmt.Println(f.Pointer, f.Message)
	}
	// Output:
	// /components/1/safety Say what a failure can do: critical, major or ordinary. There is no default.
	// /components/1/in There is no compartment "case" in this document; correct the key or add it.
	// /components/1/look/0/0 There is no step "lid" in this document; correct the key or add it.
}

// The ways out of a node are the map's passages, and what follows from where
// components are.
func ExampleCompiled_Out() {
	text, err := os.ReadFile("testdata/example.map.json")
	if err != nil {
		panic(err)
	}
	m, err := layout.ParseMap(text)
	if err != nil {
		panic(err)
	}
	c, err := layout.Compile(m)
	if err != nil {
		panic(err)
	}
	for _, w := range c.Out("sump") {
		fmt.Println(w.How, "to the", c.Name(w.To))
	}
	// Output:
	// suction to the pick-up screen
	// splash to the main bearings
	// splash to the drain plug
}
