package spread

import (
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/layout"
)

// ppm is a share in parts per million.
type ppm int64

const whole ppm = 1_000_000

// percent writes a share in percent, exactly.
func (p ppm) percent() string { return decimal(int64(p), 4) }

// decimal writes n, in units of the last of so many places, without noughts at
// the end.
func decimal(n int64, places int) string {
	text := strconv.FormatInt(n, 10)
	for len(text) <= places {
		text = "0" + text
	}
	text = text[:len(text)-places] + "." + text[len(text)-places:]
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

func (w *walker) result() Result {
	r := Result{Components: w.components(), Totals: []Total{}, Warnings: w.warnings()}
	counts := map[State]int64{}
	for _, c := range r.Components {
		counts[c.State]++
	}
	for _, s := range States() {
		r.Totals = append(r.Totals, Total{State: s, Count: counts[s]})
	}
	r.Next = w.next(r.Components)
	return r
}

func (w *walker) components() []Component {
	all := w.m.Map().Components
	out := make([]Component, len(all))
	for i, c := range all {
		out[i] = w.component(c)
	}
	return out
}

// component says how one component stands.
func (w *walker) component(c layout.Component) Component {
	out := Component{Component: c.Key, Name: c.Name, Materials: []layout.Material{}, Path: []layout.Key{}, Reasons: []string{}, Doubt: "0"}
	coarse, byCoarse := w.worst(c.Key, Coarse)
	fines, byFines := w.worst(c.Key, Fines)
	found := w.found[c.Key]
	switch {
	case w.shedders[c.Key], found == FoundCoarse, found == FoundFines:
		out.State = Confirmed
		out.Reasons = append(out.Reasons, w.whyConfirmed(c.Key)...)
	case found == FoundClean:
		out.State = Cleared
		out.Reasons = append(out.Reasons, w.whyCleared(c))
	case byCoarse:
		out.State = ExposedCoarse
	case byFines:
		out.State = ExposedFines
	default:
		out.State = OutOfReach
		if why := w.heldBack(c.Key); why != "" {
			out.State = HeldBack
			out.Reasons = append(out.Reasons, "Coarse debris did not get here: "+why+".")
		}
		return out
	}
	w.explain(&out, c, [2]*trail{coarse, fines})
	return out
}

// worst finds the trail by which debris of a size got to a node on the
// shortest path.
func (w *walker) worst(node layout.Key, size Size) (*trail, bool) {
	var best *trail
	at := spotOf(w.place[node], size)
	for i := range w.trails {
		t := &w.trails[i]
		if t.steps[at].reached && (best == nil || t.steps[at].depth < best.steps[at].depth) {
			best = t
		}
	}
	return best, best != nil
}

func (w *walker) whyConfirmed(key layout.Key) []string {
	var out []string
	if w.shedders[key] {
		out = append(out, "Debris came off it.")
	}
	switch w.found[key] {
	case FoundCoarse:
		out = append(out, "Coarse debris lay here"+w.seenHow(key)+".")
	case FoundFines:
		out = append(out, "Fine debris lay here"+w.seenHow(key)+".")
	case FoundClean:
		out = append(out, "It was called clean as well; what came off it or was seen here weighs more.")
	}
	return out
}

// seenHow gives the words on what was seen, in brackets.
func (w *walker) seenHow(key layout.Key) string {
	if len(w.how[key]) == 0 {
		return ""
	}
	return " (" + strings.Join(w.how[key], "; ") + ")"
}

// whyCleared says what a clean part tells. A magnet and a drain plug are
// samplers: what they did not catch went past them.
func (w *walker) whyCleared(c layout.Component) string {
	if isMagnet(c) || w.samplers[c.Key] {
		return "It was looked at and is clean. It samples what comes past and holds nothing back, so that says nothing of any other part."
	}
	return "It was looked at and is clean. That clears this part alone."
}

func isMagnet(c layout.Component) bool {
	return c.Barrier != nil && c.Barrier.Kind == layout.Magnet
}

// heldBack says what kept coarse debris from a node, each reason once.
func (w *walker) heldBack(node layout.Key) string {
	var why []string
	for _, t := range w.trails {
		if t.beyond == nil {
			continue
		}
		if reason := t.beyond[w.place[node]]; reason != "" && !slices.Contains(why, reason) {
			why = append(why, reason)
		}
	}
	return strings.Join(why, "; ")
}

// explain adds path, materials, reasons and doubt to a component that debris
// can have come to.
func (w *walker) explain(out *Component, c layout.Component, by [2]*trail) {
	out.Materials = w.materialsAt(c.Key)
	for i, t := range by {
		if t == nil {
			continue
		}
		at := spotOf(w.place[c.Key], Sizes()[i])
		path := w.back(t, at)
		out.Path = make([]layout.Key, 0, len(path))
		for _, s := range path {
			node := w.nodes[s.node()]
			if n := len(out.Path); n == 0 || out.Path[n-1] != node {
				out.Path = append(out.Path, node)
			}
		}
		out.Sentence = w.sentence(t, path)
		break
	}
	if by[0] == nil {
		if why := w.heldBack(c.Key); why != "" {
			out.Reasons = append(out.Reasons, "Coarse debris did not get here: "+why+".")
		}
	}
	for _, m := range c.Gathers {
		if slices.Contains(out.Materials, m) && !isMagnet(c) {
			out.Reasons = append(out.Reasons, "It gathers "+materialWords(m)+", which is hard to clean off and closes gaps; look at it whatever the size.")
		}
	}
	if out.State == Confirmed || out.State == Cleared {
		return
	}
	left, sum := w.doubt(c.Key)
	out.doubt, out.Doubt = left, "100"
	if left < whole {
		out.Doubt = left.percent()
	}
	out.ClearedBy = "Looking at the " + c.Name + " itself and finding it clean."
	if out.doubt < whole {
		out.Reasons = append(out.Reasons, "Looks that found nothing elsewhere leave of the doubt: "+sum+".")
	}
}

// materialsAt lists what can have come to a node, in the order of
// layout.Materials.
func (w *walker) materialsAt(node layout.Key) []layout.Material {
	out := []layout.Material{}
	at := 2 * w.place[node]
	for _, m := range layout.Materials() {
		for i := range w.trails {
			if t := &w.trails[i]; t.item.material == m && (t.steps[at].reached || t.steps[at+1].reached) {
				out = append(out, m)
				break
			}
		}
	}
	return out
}

// doubt is what looks that found nothing leave of the doubt about a component:
// each takes its percentage of what is left, rounded up, so that nothing but a
// look at the part itself takes all of it. The words are the sum, "" where no
// look tells.
func (w *walker) doubt(component layout.Key) (left ppm, sum string) {
	left = whole
	for _, l := range w.m.Map().Looks {
		percent := speaksOf(l, component)
		if percent > 0 && w.looks[l.Key] == FoundClean && w.canTell(l, component) {
			left = after(left, percent)
			sum += " × (100 − " + strconv.FormatInt(percent, 10) + ") % (" + l.Name + ")"
		}
	}
	if sum != "" {
		sum = "100 %" + sum + " = " + left.percent() + " %"
	}
	return left, sum
}

func after(doubt ppm, percent int64) ppm {
	return (doubt*ppm(100-percent) + 99) / 100
}

// canTell reports whether a look could have seen what can have come to a
// component: a magnet says nothing of what does not stick to it.
func (w *walker) canTell(l layout.Look, component layout.Key) bool {
	magnet := slices.ContainsFunc(l.At, func(at layout.Key) bool {
		c := w.parts[w.place[at]]
		return c != nil && isMagnet(*c)
	})
	return !magnet || !slices.ContainsFunc(w.materialsAt(component), func(m layout.Material) bool { return m != layout.Steel && m != layout.CastIron })
}

func speaksOf(l layout.Look, component layout.Key) int64 {
	for _, s := range l.Speaks {
		if s.Component == component {
			return s.Percent
		}
	}
	return 0
}

func (w *walker) warnings() []string {
	out := []string{}
	seen := map[layout.Material]bool{}
	for _, it := range w.items {
		seen[it.material] = true
	}
	if seen[layout.Plastic] || seen[layout.Rubber] || seen[layout.Fibre] {
		out = append(out, "Plastic, rubber and fibre do not stick to magnets, so a clean magnet says nothing of them; they choke pick-up screens: watch the oil pressure.")
	}
	if slices.ContainsFunc(w.items, func(it item) bool { return it.size == Coarse && it.width == 0 }) {
		out = append(out, "The width of some pieces is not known; they are taken to have passed every opening.")
	}
	for _, c := range w.m.Map().Components {
		if b, told := w.barriers[c.Key]; told && c.Barrier.Kind == layout.Filter && !w.holds(c.Key) {
			out = append(out, w.filterWords(c, b))
		}
	}
	return out
}

// filterWords says why a filter is not trusted to have held anything.
func (w *walker) filterWords(c layout.Component, b Barrier) string {
	var why []string
	for _, reason := range []struct {
		so    bool
		words string
	}{
		{!c.Barrier.FullFlow, "not all oil goes through it"}, {b.InThroughout != Yes, "it is not known to have been in all the time"},
		{b.Bypass == BypassOpened, "its bypass opened"}, {b.MetalOnCleanSide, "metal lay on its clean side"},
		{b.CrushedPleats, "its pleats are crushed"}, {c.Barrier.Bypass && b.Bypass != BypassSound && b.Bypass != BypassOpened, "its bypass is not known to have stayed shut"},
	} {
		if reason.so {
			why = append(why, reason.words)
		}
	}
	return "The " + c.Name + " is not counted on to have held anything: " + strings.Join(why, "; ") + "."
}
