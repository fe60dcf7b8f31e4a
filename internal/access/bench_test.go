package access_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// large is a map of n components behind half as many steps, in assemblies of
// twelve steps, where a third of the needs and of the components have an
// alternative.
func large(t fataler, n int, draw *rand.Rand) *layout.Compiled {
	steps := make([]layout.Step, n/2)
	for i := range steps {
		steps[i] = step(stepKey(i), 5+draw.Int64N(40), 5+draw.Int64N(50))
		if first := i / 12 * 12; i > first {
			steps[i].Needs = [][]layout.Key{pick(draw, first, i)}
			if draw.IntN(3) == 0 {
				steps[i].Needs = append(steps[i].Needs, pick(draw, 0, i))
			}
		}
	}
	parts := make([]layout.Component, n)
	for i := range parts {
		parts[i] = part(layout.Key(fmt.Sprintf("p%d", i)), pick(draw, 0, len(steps)))
		if draw.IntN(3) == 0 {
			parts[i].Renew = append(parts[i].Renew, pick(draw, 0, len(steps)))
		}
	}
	return machine(t, steps, parts)
}

// pick draws one step out of a range, or now and then two.
func pick(draw *rand.Rand, from, to int) []layout.Key {
	out := keys(stepKey(from + draw.IntN(to-from)))
	other := stepKey(from + draw.IntN(to-from))
	if draw.IntN(3) == 0 && other != out[0] {
		out = append(out, other)
	}
	return out
}

func BenchmarkPlan(b *testing.B) {
	for _, size := range []int{40, 300} {
		b.Run(fmt.Sprintf("40 targets of %d", size), func(b *testing.B) {
			m := large(b, size, rand.New(rand.NewPCG(1, 2)))
			var req access.Request
			for i := range 40 {
				req.Targets = append(req.Targets, renew(m.Map().Components[i*size/40].Key)...)
			}
			for b.Loop() {
				plan(b, m, req)
			}
		})
	}
}

// A map as large as any, with alternatives everywhere, is planned and proven.
func TestLargeMapsAreProven(t *testing.T) {
	t.Parallel()
	for seed := range uint64(4) {
		m := large(t, 300, rand.New(rand.NewPCG(seed, 7)))
		var req access.Request
		for i := range 40 {
			req.Targets = append(req.Targets, renew(m.Map().Components[i*7].Key)...)
		}
		if r := plan(t, m, req); !r.Proven {
			t.Errorf("seed %d: not proven", seed)
		}
	}
}

// FuzzPlan plans whatever request a sound map is asked for.
func FuzzPlan(f *testing.F) {
	for _, seed := range []string{
		`{"targets":[{"component":"chain","do":"renew"}],"done":["oil_out"],"not_possible":["rack_off"]}`,
		`{"targets":[{"component":"valves","do":"look"},{"component":"chain","do":"renew"}]}`,
		`{"targets":[{"component":"chain_outside","do":"look"}],"done":["head_off"]}`,
	} {
		f.Add([]byte(seed))
	}
	m := twin(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		var req access.Request
		if json.Unmarshal(text, &req) != nil {
			return
		}
		r, err := access.Plan(m, req)
		if err != nil {
			return
		}
		if want := bruteForce(m, req); minutes(r) != want {
			t.Fatalf("%s: %d min, the best set takes %d", text, minutes(r), want)
		}
	})
}

// puzzle is a map that no machine is like: each part can be seen behind any
// of three of many steps.
func puzzle(t fataler, draw *rand.Rand) (*layout.Compiled, access.Request) {
	steps := make([]layout.Step, 90)
	for i := range steps {
		steps[i] = step(stepKey(i), 20+draw.Int64N(9), 20+draw.Int64N(9))
	}
	parts := make([]layout.Component, 160)
	var req access.Request
	for i := range parts {
		key := layout.Key(fmt.Sprintf("p%d", i))
		parts[i] = part(key, pick(draw, 0, 90), pick(draw, 0, 90), pick(draw, 0, 90))
		req.Targets = append(req.Targets, renew(key)...)
	}
	return machine(t, steps, parts), req
}

// Where a search is cut short the plan is sound all the same, and says so.
func TestCutShort(t *testing.T) {
	t.Parallel()
	m, req := puzzle(t, rand.New(rand.NewPCG(3, 4)))
	r := plan(t, m, req)
	if r.Proven || len(warningsOfPlan(r)) == 0 {
		t.Fatalf("proven %v, warnings %q", r.Proven, r.Warnings)
	}
	have := map[layout.Key]bool{}
	for _, k := range opened(r) {
		have[k] = true
	}
	if !suffices(m, req, have) {
		t.Error("the plan does not reach its targets")
	}
}
