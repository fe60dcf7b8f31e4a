package spread_test

import (
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/layout"
	"benchtag/internal/spread"
)

// source is debris of one sort and where it starts, as the reference sees it.
type source struct {
	from   layout.Key
	coarse bool
	width  int64
}

// reference tells the rules again as a fixed point over node and size, found by
// scanning all passages until nothing changes. It knows nothing of the walker.
type reference struct {
	m       *layout.Compiled
	in      spread.Input
	sources []source
}

func newReference(m *layout.Compiled, in spread.Input) *reference {
	r := &reference{m: m, in: in}
	for _, s := range in.Shed {
		r.sources = append(r.sources, source{s.From, s.Size == spread.Coarse, s.WidthUM})
	}
	for _, s := range in.Seen {
		if s.Found != spread.FoundClean {
			r.sources = append(r.sources, source{s.At, s.Found == spread.FoundCoarse, s.WidthUM})
		}
	}
	for _, l := range r.done() {
		if l.found != spread.FoundClean {
			r.sources = append(r.sources, source{l.look.At[0], l.found == spread.FoundCoarse, 0})
		}
	}
	return r
}

type taken struct {
	look  layout.Look
	found spread.Found
}

func (r *reference) done() []taken {
	var out []taken
	for _, d := range r.in.LooksDone {
		l, _ := r.m.Look(d.Look)
		out = append(out, taken{l, d.Found})
	}
	return out
}

func (r *reference) isSource(key layout.Key) bool {
	return slices.ContainsFunc(r.sources, func(s source) bool { return s.from == key })
}

// held: a filter that is known to have held what is coarse.
func (r *reference) held(key layout.Key) bool {
	c, _ := r.m.Component(key)
	if c.Barrier == nil || !c.Barrier.FullFlow {
		return false
	}
	for _, b := range r.in.Barriers {
		if b.At == key {
			sound := b.Bypass == spread.BypassSound || b.Bypass == "" && !c.Barrier.Bypass
			return sound && b.InThroughout == spread.Yes && !b.CrushedPleats && !b.MetalOnCleanSide
		}
	}
	return false
}

func (r *reference) leaks(key layout.Key) bool {
	return key == "" || slices.Contains(r.in.Leaking, key)
}

// stopped: a coarse piece does not go along a passage.
func (r *reference) stopped(s source, p layout.Passage) bool {
	if p.OpeningUM > 0 && s.width > 0 && s.width >= p.OpeningUM {
		return true
	}
	from, _ := r.m.Component(p.From)
	if from.Barrier == nil {
		return false
	}
	wide := s.width >= from.Barrier.RatingUM
	switch from.Barrier.Kind {
	case layout.Screen:
		return s.width > 0 && wide
	case layout.Filter:
		return r.held(p.From) && (s.width == 0 || wide)
	}
	return false
}

// spots are the nodes that debris of one source comes to, coarse and fine, with
// the steps it took. nothingStops leaves barriers and widths aside.
func (r *reference) spots(s source, nothingStops bool) (coarse, fines map[layout.Key]int) {
	coarse, fines = map[layout.Key]int{}, map[layout.Key]int{}
	if s.coarse {
		coarse[s.from] = 0
	} else {
		fines[s.from] = 0
	}
	for changed := true; changed; {
		changed = false
		put := func(set map[layout.Key]int, key layout.Key, steps int) {
			if was, there := set[key]; !there || steps < was {
				set[key], changed = steps, true
			}
		}
		for _, room := range r.m.Map().Compartments {
			if n, there := coarse[room.Key]; there && room.Grinds {
				put(fines, room.Key, n+1)
			}
		}
		for _, set := range []map[layout.Key]int{coarse, fines} {
			for _, c := range r.m.Map().Components {
				if n, there := set[c.Key]; there && c.In != "" {
					put(set, c.In, n+1)
				}
				if n, there := set[c.In]; there && c.In != "" && !c.Sealed {
					put(set, c.Key, n+1)
				}
			}
			for _, p := range r.m.Map().Circuits[0].Passages {
				n, there := set[p.From]
				if !there || !r.leaks(p.ShutBy) {
					continue
				}
				isCoarse := s.coarse && sameMap(set, coarse)
				if nothingStops || !(p.Bypasses != "" && r.held(p.Bypasses)) && !(isCoarse && r.stopped(s, p)) {
					put(set, p.To, n+1)
				}
			}
		}
	}
	return coarse, fines
}

func sameMap(a, b map[layout.Key]int) bool {
	b["this one"] = 0
	_, there := a["this one"]
	delete(b, "this one")
	return there
}

// distance is the fewest steps by which anything coarse comes to a component.
func (r *reference) distance(key layout.Key) int {
	best := -1
	for _, s := range r.sources {
		coarse, _ := r.spots(s, false)
		if n, there := coarse[key]; there && (best < 0 || n < best) {
			best = n
		}
	}
	return best
}

func (r *reference) states() map[layout.Key]spread.State {
	coarse, fines, beyond := map[layout.Key]bool{}, map[layout.Key]bool{}, map[layout.Key]bool{}
	for _, s := range r.sources {
		c, f := r.spots(s, false)
		all, _ := r.spots(s, true)
		for to, from := range map[*map[layout.Key]bool]map[layout.Key]int{&coarse: c, &fines: f, &beyond: all} {
			for key := range from {
				(*to)[key] = true
			}
		}
	}
	out := map[layout.Key]spread.State{}
	for _, c := range r.m.Map().Components {
		switch {
		case r.isSource(c.Key):
			out[c.Key] = spread.Confirmed
		case r.lookedAt(c.Key):
			out[c.Key] = spread.Cleared
		case coarse[c.Key]:
			out[c.Key] = spread.ExposedCoarse
		case fines[c.Key]:
			out[c.Key] = spread.ExposedFines
		case beyond[c.Key]:
			out[c.Key] = spread.HeldBack
		default:
			out[c.Key] = spread.OutOfReach
		}
	}
	return out
}

// lookedAt: somebody looked there (what was not clean makes it a source).
func (r *reference) lookedAt(key layout.Key) bool {
	return slices.ContainsFunc(r.in.Seen, func(s spread.Seen) bool { return s.At == key }) ||
		slices.ContainsFunc(r.done(), func(l taken) bool { return l.look.At[0] == key })
}

func TestReference(t *testing.T) {
	t.Parallel()
	checked := map[spread.State]int{}
	// One round of draws in ten has no filter that held, so that it is drawn
	// again until every state was met.
	for range 20 {
		rapid.Check(t, func(t *rapid.T) {
			m := machine(t)
			in := drawInput(t, m)
			got, want := follow(t, m, in), newReference(m, in).states()
			for key := range want {
				checked[got[key]]++
				if got[key] != want[key] {
					t.Fatalf("%s is %s, want %s", key, got[key], want[key])
				}
			}
		})
		if t.Failed() || len(checked) == len(spread.States()) {
			break
		}
	}
	for _, s := range spread.States() {
		if checked[s] == 0 {
			t.Errorf("no drawn machine had a part that is %s", s)
		}
	}
}

// TestDoubtIsTheProduct reckons the doubt again with exact fractions: each look
// that found nothing takes its percentage of what is left.
func TestDoubtIsTheProduct(t *testing.T) {
	t.Parallel()
	lowered := 0
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		r, err := spread.Trace(m, in)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range r.Components {
			want := new(big.Rat)
			if c.State == spread.ExposedCoarse || c.State == spread.ExposedFines {
				want = leftOver(m, in, c)
			}
			got, ok := new(big.Rat).SetString(c.Doubt)
			if !ok || got.Cmp(want) < 0 {
				t.Fatalf("%s %% of the doubt about %s, which is less than %s", c.Doubt, c.Component, want.FloatString(8))
			}
			if off := new(big.Rat).Sub(got, want); off.Cmp(big.NewRat(4, 10_000)) > 0 {
				t.Fatalf("%s %% of the doubt about %s, want %s", c.Doubt, c.Component, want.FloatString(8))
			}
			if want.Sign() > 0 && want.Cmp(big.NewRat(100, 1)) < 0 {
				lowered++
			}
		}
	})
	if lowered == 0 {
		t.Error("no doubt was lowered")
	}
}

func leftOver(m *layout.Compiled, in spread.Input, c spread.Component) *big.Rat {
	left := big.NewRat(100, 1)
	for _, done := range newReference(m, in).done() {
		seen, _ := m.Component(done.look.At[0])
		magnet := seen.Barrier != nil && seen.Barrier.Kind == layout.Magnet
		blind := magnet && slices.ContainsFunc(c.Materials, func(m layout.Material) bool { return m != layout.Steel && m != layout.CastIron })
		for _, s := range done.look.Speaks {
			if s.Component == c.Component && done.found == spread.FoundClean && !blind {
				left.Mul(left, big.NewRat(100-s.Percent, 100))
			}
		}
	}
	return left
}

// However many looks speak of a part, only looking at it takes all the doubt.
func TestNoLooksElsewhereTakeAllTheDoubt(t *testing.T) {
	t.Parallel()
	m := layout.Map{Format: layout.MapFormat, Code: "many_looks", Revision: 1, Title: "Many looks", Assemblies: []layout.Assembly{{Key: "all", Name: "all"}},
		Compartments: []layout.Compartment{{Key: room(0), Name: "room", Medium: layout.Oil}}}
	for i := range 2 {
		m.Components = append(m.Components, layout.Component{Key: part(i), Name: "part", Assembly: "all", Kind: "part", Safety: layout.Major, In: room(0)})
	}
	in := spread.Input{Shed: []spread.Shed{{From: part(0), Material: layout.Steel, Size: spread.Fines}}}
	for i := range 9 {
		m.Looks = append(m.Looks, layout.Look{Key: look(i), Name: "look", Minutes: 1, At: []layout.Key{room(0)}, Speaks: []layout.Speaks{{Component: part(1), Percent: 99}}})
		in.LooksDone = append(in.LooksDone, spread.LookDone{Look: look(i), Found: spread.FoundClean})
	}
	c, err := layout.Compile(m)
	if err != nil {
		t.Fatal(err)
	}
	got := trace(t, c, in).Components[1]
	if got.Doubt != "0.0001" || got.State != spread.ExposedFines {
		t.Errorf("%s, %s %% of the doubt", got.State, got.Doubt)
	}
}
