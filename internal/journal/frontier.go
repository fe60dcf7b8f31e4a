package journal

import (
	"crypto/sha256"
	"math/bits"
)

// NodeID names the root of a complete subtree: that over the leaves from
// Index<<Level up to (Index+1)<<Level. Level 0 is a leaf.
type NodeID struct {
	Level int
	Index int64
}

// Position gives the node's number in order of the whole tree, from left to
// right, each root between its two halves: leaf i is at 2i, the node above
// leaves 0 and 1 at 1. It never changes as the tree grows, so it is a key to
// store a node under.
func (id NodeID) Position() int64 { return id.Index<<(id.Level+1) | (1<<id.Level - 1) }

// Node is a complete subtree's root. It is final once written.
type Node struct {
	ID   NodeID
	Hash Hash
}

// ReadNodes gives the hashes of stored nodes in the order asked. A node that
// is not there is an error.
type ReadNodes func(ids []NodeID) ([]Hash, error)

// Frontier is what a tree needs to grow and to give its root: its size and
// the roots of the complete subtrees that make it up, the largest first.
type Frontier struct {
	size  int64
	roots []Hash
}

// ReadFrontier reads the frontier of a tree of so many leaves. Requires size >= 0.
func ReadFrontier(size int64, read ReadNodes) (Frontier, error) {
	ids := cover(span{0, size})
	roots, err := read(ids)
	if err != nil {
		return Frontier{}, err
	}
	if len(roots) != len(ids) {
		return Frontier{}, malformed("some nodes of the tree were not read")
	}
	return Frontier{size: size, roots: roots}, nil
}

// Size counts the leaves.
func (f *Frontier) Size() int64 { return f.size }

// Root gives the Merkle tree hash of RFC 6962 section 2.1.
func (f *Frontier) Root() Hash {
	if f.size == 0 {
		return Hash(sha256.Sum256(nil))
	}
	return fold(f.roots)
}

// Append adds a leaf and gives the nodes that are complete by it, to be
// stored: the leaf itself first, then upwards.
func (f *Frontier) Append(leaf Hash) []Node {
	at := NodeID{Level: 0, Index: f.size}
	made := []Node{{ID: at, Hash: leaf}}
	hash := leaf
	for at.Index&1 == 1 {
		last := len(f.roots) - 1
		hash = node(f.roots[last], hash)
		f.roots = f.roots[:last]
		at = NodeID{Level: at.Level + 1, Index: at.Index >> 1}
		made = append(made, Node{ID: at, Hash: hash})
	}
	f.roots = append(f.roots, hash)
	f.size++
	return made
}

// span is the leaves from lo up to and without hi. All spans here come from
// splitting a tree as the RFC does, so lo is a multiple of every power of
// two up to the largest that hi-lo holds.
type span struct{ lo, hi int64 }

// cover gives the complete subtrees that make up a span, the largest first.
func cover(s span) []NodeID {
	var ids []NodeID
	for lo := s.lo; lo < s.hi; {
		level := bits.Len64(uint64(s.hi-lo)) - 1
		ids = append(ids, NodeID{Level: level, Index: lo >> level})
		lo += 1 << level
	}
	return ids
}

// fold joins the roots of a cover into the root of its span. Requires one or more.
func fold(roots []Hash) Hash {
	hash := roots[len(roots)-1]
	for i := len(roots) - 2; i >= 0; i-- {
		hash = node(roots[i], hash)
	}
	return hash
}

// ReadInclusion reads the audit path of RFC 6962 section 2.1.1 for a leaf from
// stored nodes, as InclusionPath reckons it from all leaves. It reads at most
// two nodes for each doubling of the tree.
func ReadInclusion(at Place, read ReadNodes) ([]Hash, error) {
	if !at.valid() {
		return nil, malformed("index is outside the tree")
	}
	var spans []span
	index, within := int64(at.Index), span{0, int64(at.Size)}
	for within.hi-within.lo > 1 {
		mid := within.lo + int64(split(int(within.hi-within.lo)))
		if index < mid {
			spans = append(spans, span{mid, within.hi})
			within.hi = mid
		} else {
			spans = append(spans, span{within.lo, mid})
			within.lo = mid
		}
	}
	return readPath(spans, read)
}

// ReadConsistency reads the proof of RFC 6962 section 2.1.2 that the tree of
// the first at.Index leaves is a beginning of that of at.Size leaves, as
// ConsistencyPath reckons it.
func ReadConsistency(at Place, read ReadNodes) ([]Hash, error) {
	if at.Index < 1 || at.Index > at.Size {
		return nil, malformed("older size is outside the tree")
	}
	var spans []span
	old, within, whole := int64(at.Index), span{0, int64(at.Size)}, true
	for within.hi != old {
		mid := within.lo + int64(split(int(within.hi-within.lo)))
		if old <= mid {
			spans = append(spans, span{mid, within.hi})
			within.hi = mid
		} else {
			spans = append(spans, span{within.lo, mid})
			within.lo, whole = mid, false
		}
	}
	if !whole {
		spans = append(spans, within)
	}
	return readPath(spans, read)
}

// readPath reads the roots of spans, which come from the root downwards, and
// gives them from the leaf upwards, all in one question.
func readPath(spans []span, read ReadNodes) ([]Hash, error) {
	var ids []NodeID
	counts := make([]int, len(spans))
	for i, s := range spans {
		parts := cover(s)
		counts[i] = len(parts)
		ids = append(ids, parts...)
	}
	if len(ids) == 0 {
		return nil, nil
	}
	hashes, err := read(ids)
	if err != nil {
		return nil, err
	}
	if len(hashes) != len(ids) {
		return nil, malformed("some nodes of the tree were not read")
	}
	path := make([]Hash, len(spans))
	for i, n := range counts {
		path[len(spans)-1-i] = fold(hashes[:n])
		hashes = hashes[n:]
	}
	return path, nil
}
