package journal_test

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"benchtag/internal/journal"
)

// rfcLeaves and rfcRoots are the widely used RFC 6962 test vectors of the
// certificate-transparency projects (transparency-dev/merkle, testonly).
func rfcLeaves(t testing.TB) []journal.Hash {
	t.Helper()
	var out []journal.Hash
	for _, text := range []string{"", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"} {
		b, err := hex.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, journal.Leaf(b))
	}
	return out
}

func rfcRoots() []string {
	return []string{
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
}

func TestTreeHashMatchesPublishedRoots(t *testing.T) {
	t.Parallel()
	leaves := rfcLeaves(t)
	for n, want := range rfcRoots() {
		if got := journal.TreeHash(leaves[:n]).String(); got != want {
			t.Errorf("%d leaves: got %s, want %s", n, got, want)
		}
	}
	if got, want := journal.Leaf([]byte("L123456")).String(), "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"; got != want {
		t.Errorf("leaf: got %s, want %s", got, want)
	}
}

// reference is a tree kept by golang.org/x/mod/sumdb/tlog.
type reference struct{ hashes []tlog.Hash }

func (r *reference) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, at := range indexes {
		out[i] = r.hashes[at]
	}
	return out, nil
}

func grow(t testing.TB, n int) ([]journal.Hash, *reference) {
	t.Helper()
	ref := &reference{}
	var leaves []journal.Hash
	for i := range n {
		data := sha256.Sum256([]byte{byte(i), byte(i >> 8)})
		leaf := journal.Leaf(data[:])
		if tlog.RecordHash(data[:]) != tlog.Hash(leaf) {
			t.Fatal("leaf hashes differ")
		}
		more, err := tlog.StoredHashesForRecordHash(int64(i), tlog.Hash(leaf), ref)
		if err != nil {
			t.Fatal(err)
		}
		leaves, ref.hashes = append(leaves, leaf), append(ref.hashes, more...)
	}
	return leaves, ref
}

const grown = 35 // past two powers of two, odd

func TestTreeHashMatchesTlog(t *testing.T) {
	t.Parallel()
	leaves, ref := grow(t, 300)
	for n := 1; n <= len(leaves); n++ {
		want, err := tlog.TreeHash(int64(n), ref)
		if err != nil {
			t.Fatal(err)
		}
		if got := journal.TreeHash(leaves[:n]); tlog.Hash(got) != want {
			t.Fatalf("%d leaves: got %s, want %s", n, got, want)
		}
	}
}

func TestInclusionMatchesTlog(t *testing.T) {
	t.Parallel()
	leaves, ref := grow(t, grown)
	for n := 1; n <= grown; n++ {
		for i := range n {
			want, err := tlog.ProveRecord(int64(n), int64(i), ref)
			if err != nil {
				t.Fatal(err)
			}
			got, err := journal.InclusionPath(leaves[:n], i)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.EqualFunc(got, want, func(a journal.Hash, b tlog.Hash) bool { return tlog.Hash(a) == b }) {
				t.Fatalf("leaf %d of %d: path differs", i, n)
			}
			claim := journal.Claim{Leaf: leaves[i], Place: journal.Place{Index: i, Size: n}, Root: journal.TreeHash(leaves[:n])}
			if !journal.VerifyInclusion(claim, got) {
				t.Fatalf("leaf %d of %d: true path refused", i, n)
			}
			refuseSpoilt(t, got, func(path []journal.Hash) bool { return journal.VerifyInclusion(claim, path) })
		}
	}
}

func TestConsistencyMatchesTlog(t *testing.T) {
	t.Parallel()
	leaves, ref := grow(t, grown)
	for n := 1; n <= grown; n++ {
		for old := 1; old <= n; old++ {
			want, err := tlog.ProveTree(int64(n), int64(old), ref)
			if err != nil {
				t.Fatal(err)
			}
			got, err := journal.ConsistencyPath(leaves[:n], old)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.EqualFunc(got, want, func(a journal.Hash, b tlog.Hash) bool { return tlog.Hash(a) == b }) {
				t.Fatalf("%d to %d: path differs", old, n)
			}
			growth := journal.Growth{
				Old: journal.Tree{Size: old, Root: journal.TreeHash(leaves[:old])},
				New: journal.Tree{Size: n, Root: journal.TreeHash(leaves[:n])},
			}
			if !journal.VerifyConsistency(growth, got) {
				t.Fatalf("%d to %d: true path refused", old, n)
			}
			refuseSpoilt(t, got, func(path []journal.Hash) bool { return journal.VerifyConsistency(growth, path) })
			growth.Old.Root[0] ^= 1
			if journal.VerifyConsistency(growth, got) {
				t.Fatalf("%d to %d: wrong older root accepted", old, n)
			}
		}
	}
}

// refuseSpoilt changes, drops and adds one hash at a time.
func refuseSpoilt(t *testing.T, path []journal.Hash, verify func([]journal.Hash) bool) {
	t.Helper()
	for i := range path {
		changed := slices.Clone(path)
		changed[i][31] ^= 0x80
		if verify(changed) {
			t.Fatalf("changed hash %d accepted", i)
		}
		if verify(slices.Delete(slices.Clone(path), i, i+1)) {
			t.Fatalf("missing hash %d accepted", i)
		}
	}
	if verify(append(slices.Clone(path), journal.Hash{})) {
		t.Fatal("one hash too many accepted")
	}
}

func TestProofsRefuseImpossiblePlaces(t *testing.T) {
	t.Parallel()
	leaves := rfcLeaves(t)
	for _, index := range []int{-1, 8} {
		_, err := journal.InclusionPath(leaves, index)
		if err == nil {
			t.Errorf("index %d: no error", index)
		}
		if journal.VerifyInclusion(journal.Claim{Place: journal.Place{Index: index, Size: 8}}, nil) {
			t.Errorf("index %d: accepted", index)
		}
	}
	for _, old := range []int{0, 9} {
		_, err := journal.ConsistencyPath(leaves, old)
		if err == nil {
			t.Errorf("older size %d: no error", old)
		}
		if journal.VerifyConsistency(journal.Growth{Old: journal.Tree{Size: old}, New: journal.Tree{Size: 8}}, nil) {
			t.Errorf("older size %d: accepted", old)
		}
	}
}

// TestNothingGrowsFromAnEmptyTree: a proof from a tree of no entries, or of
// less than none, proves nothing and is refused, whatever stands in it.
func TestNothingGrowsFromAnEmptyTree(t *testing.T) {
	t.Parallel()
	for _, size := range []int{0, -1} {
		for length := range 4 {
			growth := journal.Growth{Old: journal.Tree{Size: size, Root: journal.TreeHash(nil)}, New: journal.Tree{Size: 3, Root: journal.Hash{1}}}
			if journal.VerifyConsistency(growth, make([]journal.Hash, length)) {
				t.Errorf("from %d entries by %d hashes: it holds", size, length)
			}
		}
	}
}
