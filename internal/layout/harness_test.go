package layout_test

import (
	"os"
	"path/filepath"
	"testing"

	"benchtag/internal/layout"
)

// read gives a file of testdata.
func read(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// example is a small complete map without a fault; each call gives a new one.
func example(t testing.TB) layout.Map {
	t.Helper()
	m, err := layout.ParseMap(read(t, "example.map.json"))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// figures is the sheet of the example.
func figures(t testing.TB) layout.Sheet {
	t.Helper()
	s, err := layout.ParseSheet(read(t, "example.limits.json"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func compiled(t testing.TB) *layout.Compiled {
	t.Helper()
	c, err := layout.Compile(example(t))
	if err != nil {
		t.Fatal(err)
	}
	return c
}
