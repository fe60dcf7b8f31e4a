package journal

import (
	"crypto/sha256"
	"math/bits"
)

// TreeHash gives the Merkle tree hash of RFC 6962 section 2.1 over leaf
// hashes in order. The empty tree's is SHA-256 of nothing.
func TreeHash(leaves []Hash) Hash {
	switch len(leaves) {
	case 0:
		return Hash(sha256.Sum256(nil))
	case 1:
		return leaves[0]
	}
	k := split(len(leaves))
	return node(TreeHash(leaves[:k]), TreeHash(leaves[k:]))
}

// node gives SHA-256(0x01 || left || right).
func node(left, right Hash) Hash {
	var in [65]byte
	in[0] = 0x01
	copy(in[1:], left[:])
	copy(in[33:], right[:])
	return Hash(sha256.Sum256(in[:]))
}

// split gives the largest power of two below n; requires n >= 2.
func split(n int) int { return 1 << (bits.Len(uint(n-1)) - 1) }

// Place is a place in a tree: leaf Index of a tree of Size leaves.
type Place struct {
	Index, Size int
}

func (p Place) valid() bool { return p.Index >= 0 && p.Index < p.Size }

// InclusionPath gives the audit path of RFC 6962 section 2.1.1 for the leaf
// at index, lowest sibling first. An error means that index is not within
// the leaves.
func InclusionPath(leaves []Hash, index int) ([]Hash, error) {
	if !(Place{Index: index, Size: len(leaves)}).valid() {
		return nil, malformed("index is outside the tree")
	}
	return inclusion(leaves, index), nil
}

func inclusion(leaves []Hash, index int) []Hash {
	if len(leaves) == 1 {
		return nil
	}
	k := split(len(leaves))
	if index < k {
		return append(inclusion(leaves[:k], index), TreeHash(leaves[k:]))
	}
	return append(inclusion(leaves[k:], index-k), TreeHash(leaves[:k]))
}

// Claim is what a path proves: this leaf lies at this place under this root.
type Claim struct {
	Leaf  Hash
	Place Place
	Root  Hash
}

// VerifyInclusion reports whether the path proves the claim.
func VerifyInclusion(claim Claim, path []Hash) bool {
	if !claim.Place.valid() {
		return false
	}
	root, ok := climb(claim.Leaf, claim.Place, path)
	return ok && root == claim.Root
}

// climb recomputes the root from a leaf; not ok when the path's length
// does not fit the place.
func climb(leaf Hash, at Place, path []Hash) (Hash, bool) {
	if at.Size == 1 {
		return leaf, len(path) == 0
	}
	if len(path) == 0 {
		return Hash{}, false
	}
	k, last := split(at.Size), len(path)-1
	if at.Index < k {
		left, ok := climb(leaf, Place{Index: at.Index, Size: k}, path[:last])
		return node(left, path[last]), ok
	}
	right, ok := climb(leaf, Place{Index: at.Index - k, Size: at.Size - k}, path[:last])
	return node(path[last], right), ok
}

// ConsistencyPath gives the proof of RFC 6962 section 2.1.2 that the tree
// of the first old leaves is a beginning of the tree of all leaves. It is
// empty when the two are the same. An error means that old is not within
// 1 to len(leaves).
func ConsistencyPath(leaves []Hash, old int) ([]Hash, error) {
	if old < 1 || old > len(leaves) {
		return nil, malformed("older size is outside the tree")
	}
	return consistency(leaves, old, true), nil
}

// consistency is SUBPROOF(m, D[n], b) of the RFC; whole says that the
// verifier knows the hash of the first m leaves already.
func consistency(leaves []Hash, m int, whole bool) []Hash {
	if m == len(leaves) {
		if whole {
			return nil
		}
		return []Hash{TreeHash(leaves)}
	}
	k := split(len(leaves))
	if m <= k {
		return append(consistency(leaves[:k], m, whole), TreeHash(leaves[k:]))
	}
	return append(consistency(leaves[k:], m-k, false), TreeHash(leaves[:k]))
}

// Tree is a tree's size and root, as a checkpoint states them.
type Tree struct {
	Size int
	Root Hash
}

// Growth is what a consistency path proves: the old tree is a beginning of
// the new one.
type Growth struct {
	Old, New Tree
}

// VerifyConsistency reports whether the path proves the growth.
func VerifyConsistency(growth Growth, path []Hash) bool {
	before, after := growth.Old, growth.New
	if before.Size < 1 || before.Size > after.Size {
		return false
	}
	if before.Size == after.Size {
		return len(path) == 0 && before.Root == after.Root
	}
	r := regrow{known: before.Root}
	oldRoot, newRoot, ok := r.roots(Place{Index: before.Size, Size: after.Size}, path, true)
	return ok && oldRoot == before.Root && newRoot == after.Root
}

// regrow recomputes both roots from a consistency path.
type regrow struct{ known Hash }

// roots mirrors consistency: at.Index is m, at.Size is n.
func (r regrow) roots(at Place, path []Hash, whole bool) (before, after Hash, ok bool) {
	if at.Index == at.Size {
		if whole {
			return r.known, r.known, len(path) == 0
		}
		if len(path) != 1 {
			return Hash{}, Hash{}, false
		}
		return path[0], path[0], true
	}
	if len(path) == 0 {
		return Hash{}, Hash{}, false
	}
	k, last := split(at.Size), len(path)-1
	if at.Index <= k {
		before, after, ok = r.roots(Place{Index: at.Index, Size: k}, path[:last], whole)
		return before, node(after, path[last]), ok
	}
	before, after, ok = r.roots(Place{Index: at.Index - k, Size: at.Size - k}, path[:last], false)
	return node(path[last], before), node(path[last], after), ok
}
