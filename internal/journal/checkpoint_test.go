package journal_test

import (
	"crypto/sha256"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/mod/sumdb/note"
	"pgregory.net/rapid"

	"benchtag/internal/journal"
)

const shopID = "0197a000-0000-7000-8000-000000000001"

func signingKey(t testing.TB, n int) journal.SigningKey {
	t.Helper()
	k, err := journal.NewSigningKey(journal.Origin(shopID), sha256.Sum256([]byte("seed "+strconv.Itoa(n))))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func checkpoint(size int64) journal.Checkpoint {
	return journal.Checkpoint{Origin: journal.Origin(shopID), Size: size, Root: journal.Leaf([]byte(strconv.FormatInt(size, 10)))}
}

func signed(t testing.TB, c journal.Checkpoint, keys ...journal.SigningKey) string {
	t.Helper()
	text, err := journal.SignCheckpoint(c, keys...)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestPublishedKey is the example key of the package sumdb/note of
// golang.org/x/mod, which made the signed-note form known.
func TestPublishedKey(t *testing.T) {
	t.Parallel()
	const text = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW"
	const msg = "If you think cryptography is the answer to your problem,\nthen you don't know what your problem is.\n\n" +
		"— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n"
	key, err := journal.ParseVerifierKey(text)
	if err != nil {
		t.Fatal(err)
	}
	n, by, err := journal.VerifyNote(msg, key)
	if err != nil || len(by) != 1 || !strings.HasPrefix(n.Text, "If you think") {
		t.Errorf("%+v %v %v", n, by, err)
	}
	if key.String() != text {
		t.Errorf("got %s", key)
	}
}

// TestNotesAgreeWithSumdb holds notes and keys against golang.org/x/mod/sumdb/note.
func TestNotesAgreeWithSumdb(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		size := rapid.Int64Range(0, 1<<40).Draw(rt, "size")
		key := signingKey(t, rapid.IntRange(0, 50).Draw(rt, "key"))
		text := signed(t, checkpoint(size), key)
		v, err := note.NewVerifier(key.Verifier().String())
		if err != nil {
			rt.Fatal(err)
		}
		opened, err := note.Open([]byte(text), note.VerifierList(v))
		if err != nil || len(opened.Sigs) != 1 || opened.Text != checkpoint(size).Text() {
			rt.Fatalf("%+v: %v", opened, err)
		}
		if v.KeyHash() != key.Verifier().ID() {
			rt.Fatalf("key id %08x, want %08x", key.Verifier().ID(), v.KeyHash())
		}
	})
}

// TestAForgedSignatureSpoilsTheNote: where one known key signed and another's
// name stands over something else, the note is refused whole, as others do it.
func TestAForgedSignatureSpoilsTheNote(t *testing.T) {
	t.Parallel()
	c := checkpoint(12)
	mine, other := signingKey(t, 1), signingKey(t, 2)
	both := signed(t, c, mine, other)
	if _, by, err := journal.VerifyNote(both, mine.Verifier(), other.Verifier()); err != nil || len(by) != 2 {
		t.Fatalf("signed by both: %d, %v", len(by), err)
	}
	elsewhere := strings.Split(strings.TrimSpace(signed(t, checkpoint(13), other)), "\n")
	forged := signed(t, c, mine) + elsewhere[len(elsewhere)-1] + "\n"
	if _, by, err := journal.VerifyNote(forged, mine.Verifier()); err != nil || len(by) != 1 {
		t.Errorf("the other key is not known: %d, %v", len(by), err)
	}
	if _, _, err := journal.VerifyNote(forged, mine.Verifier(), other.Verifier()); err == nil {
		t.Error("a forged signature of a known key passes beside a good one")
	}
}

// TestNoteHasOneSpelling: what is not written as String writes it is no note.
func TestNoteHasOneSpelling(t *testing.T) {
	t.Parallel()
	good := signed(t, checkpoint(12), signingKey(t, 1))
	if n, err := journal.ParseNote(good); err != nil || n.String() != good {
		t.Fatalf("%v", err)
	}
	for name, other := range map[string]string{
		"no last line end": strings.TrimSuffix(good, "\n"),
		"an empty line":    good + "\n",
		"a blank behind":   strings.TrimSuffix(good, "\n") + " \n",
		"line ends":        strings.ReplaceAll(good, "\n", "\r\n"),
		"words behind":     good + "and more\n",
	} {
		if _, err := journal.ParseNote(other); err == nil {
			t.Errorf("%s: it passes", name)
		}
	}
}

func TestCheckpointHasTheDocumentedSpelling(t *testing.T) {
	t.Parallel()
	const want = "benchtag/shop/" + shopID + "\n3\niNpxQqZkhJF4Rux2+4UjMSkaVuwy7AUNqGwWh4TcOYI=\n"
	root, err := journal.ParseHash("88da7142a66484917846ec76fb852331291a56ec32ec050da86c168784dc3982")
	if err != nil {
		t.Fatal(err)
	}
	c := journal.Checkpoint{Origin: journal.Origin(shopID), Size: 3, Root: root}
	if diff := cmp.Diff(want, c.Text()); diff != "" {
		t.Error(diff)
	}
	got, err := journal.ParseCheckpoint(want)
	if err != nil || got != c {
		t.Errorf("got %+v, %v", got, err)
	}
	id, err := journal.ShopOf(c.Origin)
	if err != nil || id != shopID {
		t.Errorf("shop %q, %v", id, err)
	}
	for _, breaks := range []int64{0, 1, 12} {
		id, n, err := journal.ParseOrigin(journal.OriginAfter(shopID, breaks))
		if err != nil || id != shopID || n != breaks {
			t.Errorf("after %d breaks: %q, %d, %v", breaks, id, n, err)
		}
	}
	for _, bad := range []string{"", "benchtag/shop/", "other/shop/" + shopID, "benchtag/shop/a b", c.Origin + "/0", c.Origin + "/01", c.Origin + "/-1", c.Origin + "/x", c.Origin + "/"} {
		if _, err := journal.ShopOf(bad); err == nil {
			t.Errorf("%q passes as an origin", bad)
		}
	}
}

func TestParseCheckpointRefusesEverySecondSpelling(t *testing.T) {
	t.Parallel()
	good := checkpoint(12).Text()
	tests := []struct{ name, old, new string }{
		{"leading zero", "\n12\n", "\n012\n"},
		{"plus sign", "\n12\n", "\n+12\n"},
		{"negative", "\n12\n", "\n-12\n"},
		{"too large", "\n12\n", "\n9223372036854775808\n"},
		{"no origin", journal.Origin(shopID), ""},
		{"blank in the origin", "shop/", "shop /"},
		{"carriage return", "\n12\n", "\r\n12\n"},
		{"extension line", "=\n", "=\nmore\n"},
		{"no last line feed", "=\n", "="},
		{"root too short", "=\n", "\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			bad := strings.Replace(good, tt.old, tt.new, 1)
			if bad == good {
				t.Fatal("the case changes nothing")
			}
			if c, err := journal.ParseCheckpoint(bad); err == nil {
				t.Errorf("accepted: %+v", c)
			}
		})
	}
}

// TestEveryFlippedBitOfACheckpointIsRefused flips each bit of a signed one.
func TestEveryFlippedBitOfACheckpointIsRefused(t *testing.T) {
	t.Parallel()
	key := signingKey(t, 1)
	good := signed(t, checkpoint(7), key)
	if _, by, err := journal.OpenCheckpoint(good, key.Verifier()); err != nil || len(by) != 1 {
		t.Fatal(err)
	}
	for i := range good {
		for bit := range 8 {
			bad := []byte(good)
			bad[i] ^= 1 << bit
			if _, _, err := journal.OpenCheckpoint(string(bad), key.Verifier()); err == nil {
				t.Fatalf("byte %d bit %d flipped and accepted: %q", i, bit, bad)
			}
		}
	}
}

func TestOpenCheckpoint(t *testing.T) {
	t.Parallel()
	one, two := signingKey(t, 1), signingKey(t, 2)
	foreign, err := journal.NewSigningKey(journal.Origin("other"), sha256.Sum256([]byte("f")))
	if err != nil {
		t.Fatal(err)
	}
	both := signed(t, checkpoint(5), one, two)
	for name, known := range map[string][]journal.VerifierKey{
		"one": {one.Verifier()}, "two": {two.Verifier()}, "both": {one.Verifier(), two.Verifier()}, "and a stranger": {foreign.Verifier(), two.Verifier()},
	} {
		if _, _, err := journal.OpenCheckpoint(both, known...); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, by, err := journal.OpenCheckpoint(both, one.Verifier(), two.Verifier()); err != nil || len(by) != 2 {
		t.Errorf("signed by %v, %v", by, err)
	}
	if _, _, err := journal.OpenCheckpoint(both, foreign.Verifier()); err == nil {
		t.Error("a note that no known key signed was accepted")
	}
	if _, _, err := journal.OpenCheckpoint(both); err == nil {
		t.Error("accepted without a known key")
	}
	// One broken signature of a known key spoils the note, another's does not.
	half := strings.Replace(both, both[len(both)-20:], "AAAAAAAAAAAAAAAAAAA=\n", 1)
	if _, _, err := journal.OpenCheckpoint(half, one.Verifier(), two.Verifier()); err == nil {
		t.Error("a broken signature of a known key was accepted")
	}
	if _, err := journal.SignCheckpoint(checkpoint(5), foreign); err == nil {
		t.Error("signed in the name of another origin")
	}
	if _, err := journal.SignCheckpoint(checkpoint(-1), one); err == nil {
		t.Error("signed a size below zero")
	}
	if _, err := journal.SignNote("text\n"); err == nil {
		t.Error("a note without a key was made")
	}
	plain, err := journal.SignNote(checkpoint(5).Text(), foreign)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := journal.OpenCheckpoint(plain, foreign.Verifier()); err == nil {
		t.Error("a checkpoint signed in another name than its origin was accepted")
	}
	other, err := journal.SignNote("only\ntwo\n", one)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := journal.OpenCheckpoint(other, one.Verifier()); err == nil {
		t.Error("a note that is no checkpoint was accepted")
	}
}

func TestKeysAreStrictAndSilent(t *testing.T) {
	t.Parallel()
	key := signingKey(t, 3)
	good := key.Verifier().String()
	got, err := journal.ParseVerifierKey(good)
	if err != nil || got != key.Verifier() {
		t.Fatalf("%+v, %v", got, err)
	}
	for i := range good {
		bad := []byte(good)
		bad[i] ^= 1
		if _, err := journal.ParseVerifierKey(string(bad)); err == nil {
			t.Errorf("byte %d changed and accepted: %s", i, bad)
		}
	}
	for _, name := range []string{"", "a b", "a+b", "a\tb", "\xff", strings.Repeat("x", 257)} {
		if _, err := journal.NewSigningKey(name, [32]byte{}); err == nil {
			t.Errorf("%q passes as a name", name)
		}
	}
	seed := sha256.Sum256([]byte("seed 3"))
	for _, format := range []string{"%v", "%+v", "%#v", "%s"} {
		if text := fmt.Sprintf(format, key); !strings.HasPrefix(text, "[signing key ") || strings.Contains(text, string(seed[:4])) {
			t.Errorf("%s shows %q", format, text)
		}
	}
	if n := len(strings.Fields(key.Verifier().Fingerprint())); n != 16 {
		t.Errorf("fingerprint %q", key.Verifier().Fingerprint())
	}
}

func FuzzOpenCheckpoint(f *testing.F) {
	key := signingKey(f, 1)
	f.Add(signed(f, checkpoint(7), key))
	f.Add(signed(f, checkpoint(0), key, signingKey(f, 2)))
	f.Fuzz(func(t *testing.T, text string) {
		n, err := journal.ParseNote(text)
		if err == nil && n.String() != text {
			t.Fatalf("%q is written %q", text, n.String())
		}
		c, _, err := journal.OpenCheckpoint(text, key.Verifier())
		if err == nil && !strings.HasPrefix(text, c.Text()+"\n") {
			t.Fatalf("%q opened as %+v", text, c)
		}
		k, err := journal.ParseVerifierKey(text)
		if err == nil && k.String() != text {
			t.Fatalf("key %q is written %q", text, k)
		}
	})
}
