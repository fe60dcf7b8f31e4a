package spread

import (
	"slices"

	"benchtag/internal/layout"
)

// spot is a node as reached by one size of debris: twice the node's place in
// the map, and one more for fines.
type spot int

func (s spot) node() int   { return int(s) / 2 }
func (s spot) fines() bool { return s%2 == 1 }

func spotOf(node int, size Size) spot {
	if size == Fines {
		return spot(2*node + 1)
	}
	return spot(2 * node)
}

// step is how a spot was reached: from which, by which way, after how many
// others. ground says that coarse pieces were ground to fines on the spot.
type step struct {
	reached bool
	from    spot
	way     *way
	ground  bool
	depth   int
}

// way is a way of the map with the place of the node it leads to.
type way struct {
	layout.Way
	to int
}

// trail is how far one item got.
type trail struct {
	item  item
	steps []step // by spot
	order []spot // as reached
	// beyond says of nodes that only barriers and narrow openings kept coarse
	// pieces from, what did; by node, "" for others.
	beyond []string
}

type walker struct {
	*known
	nodes  []layout.Key
	place  map[layout.Key]int
	ways   [][]way
	parts  []*layout.Component // by node; nil for a compartment
	grinds []bool
	trails []trail
	names  []string // by node
	// Kept from one sentence to the next, to be filled anew.
	text []byte
	said []clause
	path []spot
}

func newWalker(k *known) *walker {
	nodes := k.m.Nodes()
	w := &walker{known: k, nodes: nodes, place: make(map[layout.Key]int, len(nodes)), ways: make([][]way, len(nodes)),
		parts: make([]*layout.Component, len(nodes)), grinds: make([]bool, len(nodes)), names: make([]string, len(nodes))}
	for i, node := range nodes {
		w.place[node], w.names[i] = i, k.m.Name(node)
	}
	doc := k.m.Map()
	for _, r := range doc.Compartments {
		w.grinds[w.place[r.Key]] = r.Grinds
	}
	for i := range doc.Components {
		w.parts[w.place[doc.Components[i].Key]] = &doc.Components[i]
	}
	for i, node := range nodes {
		out := k.m.Out(node)
		w.ways[i] = make([]way, len(out))
		for j := range out {
			w.ways[i][j] = way{out[j], w.place[out[j].To]}
		}
	}
	return w
}

func (w *walker) run() {
	for _, it := range w.items {
		t := w.follow(it, w.open)
		if it.size == Coarse {
			w.lookBeyond(&t)
		}
		w.trails = append(w.trails, t)
	}
}

// follow goes as far as an item can, breadth first, so that the first path
// found is a shortest one.
func (w *walker) follow(it item, open func(item, spot, *way) bool) trail {
	t := trail{item: it, steps: make([]step, 2*len(w.nodes)), order: make([]spot, 0, 2*len(w.nodes))}
	t.reach(spotOf(w.place[it.from], it.size), step{from: -1})
	for i := 0; i < len(t.order); i++ {
		at := t.order[i]
		depth := t.steps[at].depth + 1
		if !at.fines() && w.grinds[at.node()] {
			t.reach(at+1, step{from: at, ground: true, depth: depth})
		}
		for j := range w.ways[at.node()] {
			way := &w.ways[at.node()][j]
			to := spot(2*way.to) + at%2
			if !t.steps[to].reached && open(it, at, way) {
				t.reach(to, step{from: at, way: way, depth: depth})
			}
		}
	}
	return t
}

func (t *trail) reach(at spot, by step) {
	if t.steps[at].reached {
		return
	}
	by.reached = true
	t.steps[at] = by
	t.order = append(t.order, at)
}

// open reports whether debris of a size goes along a way.
func (w *walker) open(it item, at spot, way *way) bool {
	switch {
	case w.shutOff(way), way.Bypasses != "" && w.holds(way.Bypasses):
		return false
	case at.fines():
		return true
	}
	return !tooWide(it, way) && !w.kept(it, at.node(), way)
}

// free is open without barriers and narrow openings.
func (w *walker) free(_ item, _ spot, way *way) bool { return !w.shutOff(way) }

func (w *walker) shutOff(way *way) bool { return way.ShutBy != "" && !w.leaking[way.ShutBy] }

func tooWide(it item, way *way) bool {
	return way.OpeningUM > 0 && it.width > 0 && it.width >= way.OpeningUM
}

// kept reports that a barrier keeps a coarse piece from going on.
func (w *walker) kept(it item, node int, way *way) bool {
	c := w.parts[node]
	if c == nil || c.Barrier == nil || way.Implied() {
		return false
	}
	wide := it.width > 0 && it.width >= c.Barrier.RatingUM
	switch c.Barrier.Kind {
	case layout.Screen:
		return wide
	case layout.Filter:
		return (wide || it.width == 0) && w.holds(c.Key)
	}
	return false
}

// why says in words what keeps an item from a way; "" where nothing does.
func (w *walker) why(it item, at spot, way *way) string {
	switch {
	case way.Bypasses != "" && w.holds(way.Bypasses):
		return "the bypass of the " + w.m.Name(way.Bypasses) + " stayed shut"
	case !at.fines() && tooWide(it, way):
		return "it is too wide for the way to the " + w.m.Name(way.To)
	case !at.fines() && w.kept(it, at.node(), way):
		if c := w.parts[at.node()]; c.Barrier.Kind == layout.Filter {
			return "the " + c.Name + " held it"
		}
		return "the " + w.m.Name(w.nodes[at.node()]) + " keeps pieces of that width back"
	}
	return ""
}

// holds reports that a filter is known to have held what is coarse: it takes
// all the flow, was in throughout, and its bypass stayed shut without a sign to
// the contrary.
func (w *walker) holds(filter layout.Key) bool {
	c := w.parts[w.place[filter]]
	if c == nil || c.Barrier == nil {
		return false
	}
	b := w.barriers[filter]
	sound := b.Bypass == BypassSound || (!c.Barrier.Bypass && b.Bypass == "")
	return c.Barrier.FullFlow && b.InThroughout == Yes && sound && !b.MetalOnCleanSide && !b.CrushedPleats
}

// lookBeyond finds where a coarse item would have got to without barriers and
// narrow openings, and what kept it from there.
func (w *walker) lookBeyond(t *trail) {
	free := w.follow(t.item, w.free)
	t.beyond = make([]string, len(w.nodes))
	for _, at := range free.order {
		if !at.fines() && !t.steps[at].reached {
			t.beyond[at.node()] = w.keptOn(t, free, at)
		}
	}
}

// keptOn finds what stopped an item on a path: the way along it on which it
// first fell behind. What stopped it there is the same for all beyond.
func (w *walker) keptOn(t *trail, free trail, at spot) string {
	before := free.steps[at].from
	if before >= 0 && !t.steps[before].reached {
		return t.beyond[before.node()]
	}
	for j := range w.ways[before.node()] {
		way := &w.ways[before.node()][j]
		if way.to != at.node() {
			continue
		}
		if why := w.why(t.item, before, way); why != "" {
			return why
		}
	}
	return "a barrier keeps it back"
}

// back gives the spots of the path to a spot, from where the item started. The
// list is filled anew the next time.
func (w *walker) back(t *trail, to spot) []spot {
	path := w.path[:0]
	for at := to; at >= 0; at = t.steps[at].from {
		path = append(path, at)
	}
	slices.Reverse(path)
	w.path = path
	return path
}
