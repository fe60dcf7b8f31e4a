package access_test

import (
	"testing"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// On every shipped map each component can be seen and changed, alone and all
// together, in a plan that is proven and closes what it opens.
func TestShippedMapsCanBePlanned(t *testing.T) {
	t.Parallel()
	maps, sheets, err := layout.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	if len(maps) == 0 {
		t.Fatal("no shipped maps")
	}
	for _, doc := range maps {
		m, err := layout.Compile(doc)
		if err != nil {
			t.Fatal(err)
		}
		req := access.Request{}
		if sheet, found := layout.Match(sheets, layout.Machine{Map: doc.Code}); found {
			req.Sheet = &sheet
		}
		var all []access.Target
		for _, c := range doc.Components {
			for _, do := range access.Dos() {
				req.Targets = []access.Target{{Component: c.Key, Do: do}}
				all = append(all, req.Targets...)
				soundPlan(t, m, req)
			}
		}
		req.Targets = all
		soundPlan(t, m, req)
	}
}

func soundPlan(t *testing.T, m *layout.Compiled, req access.Request) {
	t.Helper()
	r := plan(t, m, req)
	if !r.Proven || len(r.Closing) != len(r.Opening) {
		t.Errorf("%s: proven %v, %d opened, %d closed", req.Targets[0].Component, r.Proven, len(r.Opening), len(r.Closing))
	}
	if got := warningsOfPlan(r); len(got) > 0 {
		t.Errorf("%s: %q", req.Targets[0].Component, got)
	}
}
