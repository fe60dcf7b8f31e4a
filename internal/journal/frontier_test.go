package journal_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"

	"benchtag/internal/journal"
)

// stored is a tree grown leaf by leaf, its nodes kept by position, as the
// store keeps them; reads counts the nodes asked for.
type stored struct {
	leaves []journal.Hash
	nodes  map[int64]journal.Hash
	tree   journal.Frontier
	reads  int
}

func storedTree(t testing.TB, n int) *stored {
	t.Helper()
	s := &stored{nodes: map[int64]journal.Hash{}}
	for i := range n {
		leaf := journal.Leaf(binary.BigEndian.AppendUint64(nil, uint64(i)))
		s.leaves = append(s.leaves, leaf)
		for _, made := range s.tree.Append(leaf) {
			if _, twice := s.nodes[made.ID.Position()]; twice {
				t.Fatalf("two nodes at %d", made.ID.Position())
			}
			s.nodes[made.ID.Position()] = made.Hash
		}
	}
	return s
}

var errNotStored = errors.New("no such node")

func (s *stored) read(ids []journal.NodeID) ([]journal.Hash, error) {
	out := make([]journal.Hash, len(ids))
	for i, id := range ids {
		hash, there := s.nodes[id.Position()]
		if !there {
			return nil, errNotStored
		}
		out[i] = hash
	}
	s.reads += len(ids)
	return out, nil
}

// cases is how many random cases a comparison runs.
func cases(few, many int) int {
	if os.Getenv("BENCHTAG_LONG") != "" {
		return many
	}
	return few
}

// TestStoredTreeAgrees holds roots and proofs read from stored nodes against
// the reckoning from all leaves and against two libraries of others, sumdb/tlog
// and transparency-dev/merkle, on random places.
func TestStoredTreeAgrees(t *testing.T) {
	t.Parallel()
	const size = 130
	s, others := storedTree(t, size), newOthers(t, size)
	roots := make([]journal.Hash, size+1)
	for n := range roots {
		roots[n] = journal.TreeHash(s.leaves[:n])
	}
	random := rand.New(rand.NewPCG(6962, 1))
	for range cases(20_000, 1_000_000) {
		n := 1 + random.IntN(size)
		at := journal.Place{Index: random.IntN(n), Size: n}
		others.compareInclusion(t, s, at, roots[n])
		from := journal.Place{Index: 1 + random.IntN(n), Size: n}
		others.compareConsistency(t, s, from, roots[from.Index], roots[n])
		if random.IntN(64) == 0 {
			naiveToo(t, s, at, from)
		}
	}
}

// naiveToo compares with the paths reckoned from all leaves, which is slow.
func naiveToo(t *testing.T, s *stored, at, from journal.Place) {
	t.Helper()
	want, err := journal.InclusionPath(s.leaves[:at.Size], at.Index)
	if err != nil {
		t.Fatal(err)
	}
	got, err := journal.ReadInclusion(at, s.read)
	if err != nil || !slices.Equal(got, want) {
		t.Fatalf("%+v: inclusion differs (%v)", at, err)
	}
	if want, err = journal.ConsistencyPath(s.leaves[:from.Size], from.Index); err != nil {
		t.Fatal(err)
	}
	got, err = journal.ReadConsistency(from, s.read)
	if err != nil || !slices.Equal(got, want) {
		t.Fatalf("%+v: consistency differs (%v)", from, err)
	}
	f, err := journal.ReadFrontier(int64(at.Size), s.read)
	if err != nil || f.Root() != journal.TreeHash(s.leaves[:at.Size]) || f.Size() != int64(at.Size) {
		t.Fatalf("root of %d differs (%v)", at.Size, err)
	}
}

// TestLargeStoredTreeAgrees does the same where reckoning from all leaves
// would take too long.
func TestLargeStoredTreeAgrees(t *testing.T) {
	t.Parallel()
	const size = 40_000
	s, others := storedTree(t, size), newOthers(t, size)
	random := rand.New(rand.NewPCG(6962, 2))
	for range cases(500, 50_000) {
		n := 1 + random.IntN(size)
		older := 1 + random.IntN(n)
		now, then := others.root(t, n), others.root(t, older)
		f, err := journal.ReadFrontier(int64(n), s.read)
		if err != nil || f.Root() != now {
			t.Fatalf("root of %d differs (%v)", n, err)
		}
		others.compareInclusion(t, s, journal.Place{Index: random.IntN(n), Size: n}, now)
		others.compareConsistency(t, s, journal.Place{Index: older, Size: n}, then, now)
	}
}

// others are the same tree kept by two libraries of others.
type others struct {
	tlog   *reference
	merkle map[compact.NodeID][]byte
}

func newOthers(t testing.TB, n int) *others {
	t.Helper()
	o := &others{tlog: &reference{}, merkle: map[compact.NodeID][]byte{}}
	factory := compact.RangeFactory{Hash: rfc6962.DefaultHasher.HashChildren}
	r := factory.NewEmptyRange(0)
	visit := func(id compact.NodeID, hash []byte) { o.merkle[id] = hash }
	for i := range n {
		data := binary.BigEndian.AppendUint64(nil, uint64(i))
		more, err := tlog.StoredHashes(int64(i), data, o.tlog)
		if err != nil {
			t.Fatal(err)
		}
		o.tlog.hashes = append(o.tlog.hashes, more...)
		leaf := rfc6962.DefaultHasher.HashLeaf(data)
		visit(compact.NewNodeID(0, uint64(i)), leaf)
		if err := r.Append(leaf, visit); err != nil {
			t.Fatal(err)
		}
	}
	return o
}

func (o *others) root(t testing.TB, n int) journal.Hash {
	t.Helper()
	root, err := tlog.TreeHash(int64(n), o.tlog)
	if err != nil {
		t.Fatal(err)
	}
	return journal.Hash(root)
}

func (o *others) path(t testing.TB, nodes proof.Nodes) [][]byte {
	t.Helper()
	hashes := make([][]byte, len(nodes.IDs))
	for i, id := range nodes.IDs {
		hashes[i] = o.merkle[id]
	}
	path, err := nodes.Rehash(hashes, rfc6962.DefaultHasher.HashChildren)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

func (o *others) compareInclusion(t *testing.T, s *stored, at journal.Place, root journal.Hash) {
	t.Helper()
	got, err := journal.ReadInclusion(at, s.read)
	if err != nil {
		t.Fatal(err)
	}
	one, err := tlog.ProveRecord(int64(at.Size), int64(at.Index), o.tlog)
	if err != nil {
		t.Fatal(err)
	}
	nodes, err := proof.Inclusion(uint64(at.Index), uint64(at.Size))
	if err != nil {
		t.Fatal(err)
	}
	two := o.path(t, nodes)
	if !sameAsTlog(got, one) || !sameAsMerkle(got, two) {
		t.Fatalf("%+v: the inclusion paths differ", at)
	}
	leaf := s.leaves[at.Index]
	if !journal.VerifyInclusion(journal.Claim{Leaf: leaf, Place: at, Root: root}, got) ||
		tlog.CheckRecord(one, int64(at.Size), tlog.Hash(root), int64(at.Index), tlog.Hash(leaf)) != nil ||
		proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(at.Index), uint64(at.Size), leaf[:], two, root[:]) != nil {
		t.Fatalf("%+v: a true inclusion path is refused", at)
	}
}

func (o *others) compareConsistency(t *testing.T, s *stored, from journal.Place, then, now journal.Hash) {
	t.Helper()
	got, err := journal.ReadConsistency(from, s.read)
	if err != nil {
		t.Fatal(err)
	}
	one, err := tlog.ProveTree(int64(from.Size), int64(from.Index), o.tlog)
	if err != nil {
		t.Fatal(err)
	}
	nodes, err := proof.Consistency(uint64(from.Index), uint64(from.Size))
	if err != nil {
		t.Fatal(err)
	}
	two := o.path(t, nodes)
	if !sameAsTlog(got, one) || !sameAsMerkle(got, two) {
		t.Fatalf("%+v: the consistency paths differ", from)
	}
	growth := journal.Growth{Old: journal.Tree{Size: from.Index, Root: then}, New: journal.Tree{Size: from.Size, Root: now}}
	if !journal.VerifyConsistency(growth, got) ||
		tlog.CheckTree(one, int64(from.Size), tlog.Hash(now), int64(from.Index), tlog.Hash(then)) != nil ||
		proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(from.Index), uint64(from.Size), two, then[:], now[:]) != nil {
		t.Fatalf("%+v: a true consistency path is refused", from)
	}
}

func sameAsTlog(got []journal.Hash, want []tlog.Hash) bool {
	return slices.EqualFunc(got, want, func(a journal.Hash, b tlog.Hash) bool { return tlog.Hash(a) == b })
}

func sameAsMerkle(got []journal.Hash, want [][]byte) bool {
	return slices.EqualFunc(got, want, func(a journal.Hash, b []byte) bool { return bytes.Equal(a[:], b) })
}

// TestFrontierGrowsFromWhatIsStored: a tree grown in stretches, each from the
// stored frontier, is the tree grown at once.
func TestFrontierGrowsFromWhatIsStored(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		whole := storedTree(t, rapid.IntRange(0, 70).Draw(rt, "leaves"))
		part := &stored{nodes: map[int64]journal.Hash{}}
		for at := 0; at < len(whole.leaves); {
			f, err := journal.ReadFrontier(int64(at), part.read)
			if err != nil {
				rt.Fatal(err)
			}
			for n := rapid.IntRange(1, 9).Draw(rt, "stretch"); n > 0 && at < len(whole.leaves); n-- {
				for _, made := range f.Append(whole.leaves[at]) {
					part.nodes[made.ID.Position()] = made.Hash
				}
				at++
			}
		}
		if len(part.nodes) != len(whole.nodes) {
			rt.Fatalf("%d nodes, want %d", len(part.nodes), len(whole.nodes))
		}
		for at, hash := range whole.nodes {
			if part.nodes[at] != hash {
				rt.Fatalf("node %d differs", at)
			}
		}
	})
}

// TestProofsReadFewNodes: at a million leaves a proof takes two nodes for each
// doubling at most, and a root one.
func TestProofsReadFewNodes(t *testing.T) {
	t.Parallel()
	const size, doublings = 1_000_003, 20
	count := 0
	read := func(ids []journal.NodeID) ([]journal.Hash, error) {
		count += len(ids)
		return make([]journal.Hash, len(ids)), nil
	}
	random := rand.New(rand.NewPCG(1, 1))
	for range 2_000 {
		n := 1 + random.IntN(size)
		for _, ask := range []func() error{
			func() error { _, err := journal.ReadFrontier(int64(n), read); return err },
			func() error {
				_, err := journal.ReadInclusion(journal.Place{Index: random.IntN(n), Size: n}, read)
				return err
			},
			func() error {
				_, err := journal.ReadConsistency(journal.Place{Index: 1 + random.IntN(n), Size: n}, read)
				return err
			},
		} {
			count = 0
			if err := ask(); err != nil || count > 2*doublings+2 {
				t.Fatalf("size %d: %d nodes read (%v)", n, count, err)
			}
		}
	}
}

func TestReadsRefuse(t *testing.T) {
	t.Parallel()
	s := storedTree(t, 5)
	for _, at := range []journal.Place{{Index: -1, Size: 5}, {Index: 5, Size: 5}, {Index: 0, Size: 0}, {Index: 0, Size: 9}} {
		if path, err := journal.ReadInclusion(at, s.read); err == nil {
			t.Errorf("inclusion %+v: %v", at, path)
		}
	}
	for _, at := range []journal.Place{{Index: 0, Size: 5}, {Index: 6, Size: 5}, {Index: 5, Size: 9}} {
		if path, err := journal.ReadConsistency(at, s.read); err == nil {
			t.Errorf("consistency %+v: %v", at, path)
		}
	}
	if _, err := journal.ReadFrontier(6, s.read); err == nil {
		t.Error("a frontier that is not stored was read")
	}
	short := func([]journal.NodeID) ([]journal.Hash, error) { return nil, nil }
	if _, err := journal.ReadInclusion(journal.Place{Index: 1, Size: 5}, short); err == nil {
		t.Error("a path of nodes not given was made")
	}
	if path, err := journal.ReadConsistency(journal.Place{Index: 5, Size: 5}, s.read); err != nil || len(path) != 0 {
		t.Errorf("from itself: %v, %v", path, err)
	}
	if path, err := journal.ReadInclusion(journal.Place{Index: 0, Size: 1}, s.read); err != nil || len(path) != 0 {
		t.Errorf("the only leaf: %v, %v", path, err)
	}
}

// BenchmarkAppend grows a tree; verifying a million leaves is a million of these.
func BenchmarkAppend(b *testing.B) {
	var f journal.Frontier
	leaf := journal.Leaf([]byte("x"))
	for b.Loop() {
		f.Append(leaf)
	}
}

// TestPositionsOfNodes: where a node is stored is part of every database, so
// it never changes: leaves at the even places, and between two nodes the one
// above them.
func TestPositionsOfNodes(t *testing.T) {
	t.Parallel()
	for position, id := range map[int64]journal.NodeID{
		0: {Level: 0, Index: 0}, 1: {Level: 1, Index: 0}, 2: {Level: 0, Index: 1}, 3: {Level: 2, Index: 0}, 4: {Level: 0, Index: 2},
		5: {Level: 1, Index: 1}, 6: {Level: 0, Index: 3}, 7: {Level: 3, Index: 0}, 11: {Level: 2, Index: 1}, 2_000_000: {Level: 0, Index: 1_000_000},
	} {
		if got := id.Position(); got != position {
			t.Errorf("%+v is stored at %d, want %d", id, got, position)
		}
	}
}

// BenchmarkVerifyMillion reckons the root of a million entries from their
// headers, and walks as many in chains, as a check of a whole shop does.
func BenchmarkVerifyMillion(b *testing.B) {
	const stretch, million = 1000, 1_000_000
	entries, _ := build(b, stream("0197a000-0000-7000-8000-00000000beef"), stretch)
	b.Run("tree", func(b *testing.B) {
		for b.Loop() {
			var f journal.Frontier
			for i := range million {
				f.Append(journal.Leaf(entries[i%stretch].Bytes))
			}
			if f.Root() == (journal.Hash{}) {
				b.Fatal("no root")
			}
		}
	})
	b.Run("chains", func(b *testing.B) {
		for b.Loop() {
			for range million / stretch {
				if r := journal.Verify(journal.Start(stream("0197a000-0000-7000-8000-00000000beef")), entries); !r.OK() {
					b.Fatal(r.Reason)
				}
			}
		}
	})
}
