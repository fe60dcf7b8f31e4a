package journal_test

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/journal"
)

func stream(id string) journal.Stream {
	return journal.Stream{ShopID: "shop-1", Kind: journal.WorkOrder, ID: id}
}

func salt(n int) journal.Salt { return sha256.Sum256([]byte("salt " + strconv.Itoa(n))) }

func draft(n int) journal.Draft {
	return journal.Draft{
		Time:    time.Date(2026, 1, 2, 3, 4, n, 0, time.UTC),
		Actor:   journal.Actor{Kind: journal.Staff, ID: "technician-1"},
		Event:   "finding.recorded",
		Subject: journal.Subject{Noun: "finding", ID: "f-" + strconv.Itoa(n), Version: 1},
	}
}

// build makes a chain of n entries; heads[i] is the head after i entries.
func build(t testing.TB, s journal.Stream, n int) (entries []journal.Stored, heads []journal.Head) {
	t.Helper()
	head := journal.Start(s)
	heads = append(heads, head)
	for i := range n {
		body := []byte(`{"n":` + strconv.Itoa(i) + `}`)
		e, next, err := journal.Append(head, draft(i), salt(i), body)
		if err != nil {
			t.Fatal(err)
		}
		entries = append(entries, journal.Stored{Bytes: e.Bytes, Hash: e.Hash, Body: &journal.Body{Salt: salt(i), Bytes: body}})
		head = next
		heads = append(heads, head)
	}
	return entries, heads
}

// copyOf is deep, so that a test can spoil what it likes.
func copyOf(entries []journal.Stored) []journal.Stored {
	out := slices.Clone(entries)
	for i := range out {
		out[i].Bytes = slices.Clone(out[i].Bytes)
		if out[i].Body != nil {
			body := *out[i].Body
			body.Bytes = slices.Clone(body.Bytes)
			out[i].Body = &body
		}
	}
	return out
}

func wantProblem(t *testing.T, got journal.Report, problem journal.Problem, index int) {
	t.Helper()
	if got.Problem != problem || got.BadIndex != index || got.OK() || got.Reason == "" {
		t.Errorf("got %q at %d (%s), want %q at %d", got.Problem, got.BadIndex, got.Reason, problem, index)
	}
}

// TestCommitMatchesRFC4231 uses test cases 1 and 2, from memory, with the key padded
// by zero bytes to 32, which RFC 2104 pads the same way.
func TestCommitMatchesRFC4231(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, key, data, want string }{
		{"case 1", "0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b", hex.EncodeToString([]byte("Hi There")), "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"},
		{"case 2", hex.EncodeToString([]byte("Jefe")), hex.EncodeToString([]byte("what do ya want for nothing?")), "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			key, err := hex.DecodeString(tt.key)
			if err != nil {
				t.Fatal(err)
			}
			data, err := hex.DecodeString(tt.data)
			if err != nil {
				t.Fatal(err)
			}
			var s journal.Salt
			copy(s[:], key)
			if got := journal.Commit(s, data).String(); got != tt.want {
				t.Errorf("got %s, want %s", got, tt.want)
			}
		})
	}
}

func TestAppendLinksEntries(t *testing.T) {
	t.Parallel()
	s := stream("wo-1")
	in := draft(1)
	in.Time = time.Date(2026, 1, 2, 3, 4, 5, 6789, time.FixedZone("east", 3600))
	first, head, err := journal.Append(journal.Start(s), in, salt(1), nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := (journal.Head{Stream: s, Sequence: 1, Hash: journal.Leaf(first.Bytes)}); head != want || first.Hash != want.Hash {
		t.Errorf("head %+v, want %+v", head, want)
	}
	if want := time.Date(2026, 1, 2, 2, 4, 5, 6000, time.UTC); first.Header.Time != want {
		t.Errorf("time %v, want %v", first.Header.Time, want)
	}
	second, head, err := journal.Append(head, draft(2), salt(2), []byte("x"))
	if err != nil {
		t.Fatal(err)
	}
	if second.Header.Previous != first.Hash || second.Header.Sequence != 2 || head.Sequence != 2 {
		t.Errorf("second entry %+v does not follow the first", second.Header)
	}
}

func TestAppendRefuses(t *testing.T) {
	t.Parallel()
	_, _, err := journal.Append(journal.Start(stream("wo-1")), draft(1), journal.Salt{}, nil)
	if err == nil {
		t.Error("a salt of zeros was accepted")
	}
	bad := draft(1)
	bad.Event = "nothing"
	_, _, err = journal.Append(journal.Start(stream("wo-1")), bad, salt(1), nil)
	if err == nil {
		t.Error("an event without a verb was accepted")
	}
	_, _, err = journal.Append(journal.Head{Stream: stream("wo-1"), Sequence: 4}, draft(1), salt(1), nil)
	if err == nil {
		t.Error("a head without its hash was accepted")
	}
}

func TestVerifyAcceptsAndCounts(t *testing.T) {
	t.Parallel()
	entries, heads := build(t, stream("wo-1"), 6)
	entries[1].Body, entries[4].Body = nil, nil
	got := journal.Verify(heads[0], entries, heads[6], heads[2], heads[0], journal.Head{Stream: stream("wo-2"), Sequence: 99})
	want := journal.Report{BadIndex: -1, Checked: 6, Erased: 2, Head: heads[6], Anchored: 6}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	got = journal.Verify(heads[2], entries[2:], heads[1], heads[3])
	want = journal.Report{BadIndex: -1, Checked: 4, Erased: 1, Head: heads[6], Anchored: 3}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	got = journal.Verify(heads[0], nil)
	if diff := cmp.Diff(journal.Report{BadIndex: -1, Head: heads[0]}, got); diff != "" {
		t.Error(diff)
	}
}

// TestAnyChangedByteIsFound flips each bit of each stored byte in turn.
func TestAnyChangedByteIsFound(t *testing.T) {
	t.Parallel()
	entries, heads := build(t, stream("wo-1"), 3)
	flips := 0
	for i := range entries {
		for bit := range 8 {
			mask := byte(1) << bit
			for j := range entries[i].Bytes {
				bad := copyOf(entries)
				bad[i].Bytes[j] ^= mask
				wantProblem(t, journal.Verify(heads[0], bad), journal.HashMismatch, i)
				flips++
			}
			for j := range entries[i].Hash {
				bad := copyOf(entries)
				bad[i].Hash[j] ^= mask
				wantProblem(t, journal.Verify(heads[0], bad), journal.HashMismatch, i)
			}
			for j := range entries[i].Body.Bytes {
				bad := copyOf(entries)
				bad[i].Body.Bytes[j] ^= mask
				wantProblem(t, journal.Verify(heads[0], bad), journal.BodyMismatch, i)
			}
			for j := range entries[i].Body.Salt {
				bad := copyOf(entries)
				bad[i].Body.Salt[j] ^= mask
				wantProblem(t, journal.Verify(heads[0], bad), journal.BodyMismatch, i)
			}
		}
	}
	if flips == 0 {
		t.Fatal("nothing was flipped")
	}
}

// TestChangedByteWithItsHashIsFound also rewrites the hash beside the
// changed header, as a forger with the whole row would.
func TestChangedByteWithItsHashIsFound(t *testing.T) {
	t.Parallel()
	entries, heads := build(t, stream("wo-1"), 4)
	for i := range entries {
		for j := range entries[i].Bytes {
			bad := copyOf(entries)
			bad[i].Bytes[j] ^= 1
			bad[i].Hash = journal.Leaf(bad[i].Bytes)
			got := journal.Verify(heads[0], bad, heads[4])
			if got.OK() || got.BadIndex < i || got.BadIndex > i+1 {
				t.Errorf("entry %d byte %d: %q at %d", i, j, got.Problem, got.BadIndex)
			}
		}
	}
}

func TestTamperingIsNamed(t *testing.T) {
	t.Parallel()
	entries, heads := build(t, stream("wo-1"), 5)
	foreign, _ := build(t, stream("wo-2"), 5)
	rewritten := forge(t, entries, 2)
	notHeader := journal.Stored{Bytes: []byte("hello"), Hash: journal.Leaf([]byte("hello"))}
	tests := []struct {
		name    string
		start   journal.Head
		entries []journal.Stored
		anchors []journal.Head
		want    journal.Problem
		index   int
	}{
		{"first removed", heads[0], entries[1:], nil, journal.SequenceGap, 0},
		{"middle removed", heads[0], slices.Delete(copyOf(entries), 2, 3), nil, journal.SequenceGap, 2},
		{"one doubled", heads[0], slices.Insert(copyOf(entries), 2, entries[1]), nil, journal.SequenceGap, 2},
		{"two swapped", heads[0], swapped(entries, 1, 2), nil, journal.SequenceGap, 1},
		{"of another work order", heads[0], slices.Replace(copyOf(entries), 3, 4, foreign[3]), nil, journal.StreamMismatch, 3},
		{"whole other chain", heads[0], foreign, nil, journal.StreamMismatch, 0},
		{"one entry rewritten", heads[0], slices.Replace(copyOf(entries), 2, 3, rewritten[2]), nil, journal.PreviousMismatch, 3},
		{"not a header", heads[0], slices.Replace(copyOf(entries), 2, 3, notHeader), nil, journal.HeaderMalformed, 2},
		{"body of another entry", heads[0], bodySwapped(entries), nil, journal.BodyMismatch, 0},
		{"end cut off", heads[0], entries[:4], heads[5:], journal.Truncated, 4},
		{"all gone", heads[0], nil, heads[3:4], journal.Truncated, 0},
		{"end rewritten as a whole", heads[0], rewritten, heads[4:5], journal.AnchorMismatch, 3},
		{"start is not the one known", heads[2], entries[2:], []journal.Head{{Stream: stream("wo-1"), Sequence: 2}}, journal.AnchorMismatch, 0},
		{"empty chain with a hash", heads[0], entries, []journal.Head{{Stream: stream("wo-1"), Hash: heads[1].Hash}}, journal.AnchorMismatch, 0},
	}
	seen := map[journal.Problem]bool{journal.Intact: true, journal.HashMismatch: true}
	for _, tt := range tests {
		seen[tt.want] = true
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got := journal.Verify(tt.start, tt.entries, tt.anchors...)
			wantProblem(t, got, tt.want, tt.index)
			if got.Checked != tt.index || got.Head.Sequence != tt.start.Sequence+int64(tt.index) {
				t.Errorf("held up to %+v after %d entries, want %d", got.Head, got.Checked, tt.index)
			}
		})
	}
	for _, p := range journal.Problems() {
		if !seen[p] {
			t.Errorf("no case shows %q", p)
		}
	}
}

// TestRewrittenEndNeedsAnAnchor shows the limit of a chain on its own.
func TestRewrittenEndNeedsAnAnchor(t *testing.T) {
	t.Parallel()
	entries, heads := build(t, stream("wo-1"), 5)
	for name, bad := range map[string][]journal.Stored{"cut": entries[:3], "rewritten": forge(t, entries, 2)} {
		got := journal.Verify(heads[0], bad)
		if !got.OK() || got.Anchored != 0 {
			t.Errorf("%s: %+v; without an anchor it cannot be told, and nothing is vouched for", name, got)
		}
		if journal.Verify(heads[0], bad, heads[5]).OK() {
			t.Errorf("%s: not found with an anchor", name)
		}
	}
}

// forge rewrites the chain from index on, with hashes that fit.
func forge(t testing.TB, entries []journal.Stored, index int) []journal.Stored {
	t.Helper()
	out := copyOf(entries)
	head := journal.Start(stream("wo-1"))
	if index > 0 {
		head = journal.Head{Stream: head.Stream, Sequence: int64(index), Hash: entries[index-1].Hash}
	}
	for i := index; i < len(out); i++ {
		e, next, err := journal.Append(head, draft(i+20), salt(i+20), []byte("forged"))
		if err != nil {
			t.Fatal(err)
		}
		out[i] = journal.Stored{Bytes: e.Bytes, Hash: e.Hash, Body: &journal.Body{Salt: salt(i + 20), Bytes: []byte("forged")}}
		head = next
	}
	return out
}

func swapped(entries []journal.Stored, i, j int) []journal.Stored {
	out := copyOf(entries)
	out[i], out[j] = out[j], out[i]
	return out
}

func bodySwapped(entries []journal.Stored) []journal.Stored {
	out := copyOf(entries)
	out[0].Body, out[1].Body = out[1].Body, out[0].Body
	return out
}

// TestAnyOtherListIsFound takes, leaves out, doubles and reorders entries
// at random: against a known head only the true list passes.
func TestAnyOtherListIsFound(t *testing.T) {
	t.Parallel()
	entries, heads := build(t, stream("wo-1"), 6)
	rapid.Check(t, func(t *rapid.T) {
		picks := rapid.SliceOfN(rapid.IntRange(0, 5), 0, 8).Draw(t, "picks")
		list := make([]journal.Stored, 0, len(picks))
		for _, p := range picks {
			list = append(list, entries[p])
		}
		got := journal.Verify(heads[0], list, heads[6])
		if got.OK() != slices.Equal(picks, []int{0, 1, 2, 3, 4, 5}) {
			t.Fatalf("%v: %+v", picks, got)
		}
	})
}
