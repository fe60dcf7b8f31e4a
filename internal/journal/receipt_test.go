package journal_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"

	"benchtag/internal/journal"
)

const (
	testShop    = "0190c7a2-0000-7000-8000-000000000001"
	testConsent = "0190c7a2-0000-7000-8000-0000000000c1"
	otherShop   = "0190c7a2-0000-7000-8000-000000000002"
)

// answered is an answer in the making, each part open to be spoiled.
type answered struct {
	shop, subject    string
	record, document []byte
	open             func(*journal.ConsentFacts) // spoils the open part
	index, size      int
	key, claimed     journal.SigningKey // signs; stands in the receipt
}

func signer(t testing.TB, shop string, n byte) journal.SigningKey {
	t.Helper()
	key, err := journal.NewSigningKey(journal.Origin(shop), [32]byte{n})
	if err != nil {
		t.Fatal(err)
	}
	return key
}

func sound(t testing.TB) answered {
	key := signer(t, testShop, 7)
	return answered{shop: testShop, subject: testConsent, index: 5, size: 11, key: key, claimed: key,
		record:   []byte(`{"decision":"agreed","typed_name":"Jo Brennan","gross":{"amount":"412.50","currency":"EUR"}}`),
		document: []byte(`{"version":1,"shop":{"name":"Halyard Motorcycles"},"number":14,"ways":[{"title":"Replace the big-end bearing – \u003cnew\u003e"}]}`)}
}

// receipt makes the receipt of an answer at a place in a tree of fillers.
func (a answered) receipt(t testing.TB) journal.Receipt {
	t.Helper()
	bodySalt, recordSalt := salt(1), salt(2)
	facts := journal.ConsentFacts{ConsentID: testConsent, Version: 1, Decision: "agreed", RecordHMAC: journal.Commit(recordSalt, a.record).String()}
	if len(a.document) > 0 {
		facts.DocumentSHA256 = journal.Hash(sha256.Sum256(a.document)).String()
	}
	if a.open != nil {
		a.open(&facts)
	}
	open, err := json.Marshal(facts)
	if err != nil {
		t.Fatal(err)
	}
	body, err := journal.Envelope{Open: open, Sealed: []byte("sealed")}.Encode()
	if err != nil {
		t.Fatal(err)
	}
	head := journal.Start(journal.Stream{ShopID: a.shop, Kind: journal.WorkOrder, ID: "0190c7a2-0000-7000-8000-0000000000a1"})
	entry, _, err := journal.Append(head, journal.Draft{Time: time.Date(2026, 11, 25, 9, 30, 15, 123456000, time.UTC),
		Actor: journal.Actor{Kind: journal.CustomerLink, ID: "0190c7a2-0000-7000-8000-0000000000b1"}, Event: "consent.given",
		Subject: journal.Subject{Noun: "consents", ID: a.subject, Version: 1}}, bodySalt, body)
	if err != nil {
		t.Fatal(err)
	}
	leaves := make([]journal.Hash, a.size)
	for i := range leaves {
		leaves[i] = journal.Leaf([]byte("filler " + strconv.Itoa(i)))
	}
	leaves[a.index] = entry.Hash
	path, err := journal.InclusionPath(leaves, a.index)
	if err != nil {
		t.Fatal(err)
	}
	checkpoint, err := journal.SignNote(journal.Checkpoint{Origin: a.key.Verifier().Name, Size: int64(a.size), Root: journal.TreeHash(leaves)}.Text(), a.key)
	if err != nil {
		t.Fatal(err)
	}
	return journal.Receipt{Key: a.claimed.Verifier().String(), Proof: journal.LogProof{Index: a.index, Path: path, Checkpoint: []byte(checkpoint)},
		Header: entry.Bytes, Body: journal.Body{Salt: bodySalt, Bytes: body}, Record: journal.Body{Salt: recordSalt, Bytes: a.record}, Document: a.document}
}

func encode(t testing.TB, r journal.Receipt) []byte {
	t.Helper()
	b, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// check reads and verifies as a customer does.
func check(b []byte, known ...journal.VerifierKey) (journal.ReceiptVerdict, error) {
	r, err := journal.ParseReceipt(b)
	if err != nil {
		return journal.ReceiptVerdict{}, err
	}
	return journal.VerifyReceipt(r, known...), nil
}

func TestReceiptHolds(t *testing.T) {
	t.Parallel()
	a := sound(t)
	for name, document := range map[string][]byte{"with a document": a.document, "spoken, without": nil} {
		a.document = document
		b := encode(t, a.receipt(t))
		v, err := check(b, a.key.Verifier())
		if err != nil || !v.OK() {
			t.Fatalf("%s: %v %+v", name, err, v)
		}
		if v.Index != 5 || v.Tree.Size != 11 || v.Evidence.ConsentID != testConsent || v.Evidence.Decision != "agreed" ||
			!bytes.Equal(v.Record, a.record) || !bytes.Equal(v.Document, a.document) || v.Entry.Event != "consent.given" {
			t.Errorf("%s: the verdict says %+v", name, v)
		}
	}
}

// TestReceiptNeedsItsKeyCompared holds that a receipt alone is never enough:
// anybody can make one under a key of their own.
func TestReceiptNeedsItsKeyCompared(t *testing.T) {
	t.Parallel()
	a := sound(t)
	b := encode(t, a.receipt(t))
	v, err := check(b)
	if err != nil || v.Problem != journal.ReceiptSound || v.Compared || v.OK() || !strings.Contains(v.Reason, "compared") {
		t.Errorf("without a key: %v %+v", err, v)
	}
	v, err = check(b, signer(t, testShop, 8).Verifier(), signer(t, otherShop, 7).Verifier())
	if err != nil || v.Problem != journal.ReceiptOtherKey || v.OK() {
		t.Errorf("with other keys: %v %+v", err, v)
	}
	v, err = check(b, signer(t, testShop, 8).Verifier(), a.key.Verifier())
	if err != nil || !v.OK() {
		t.Errorf("with the key among others: %v %+v", err, v)
	}
}

// TestAnyFlippedBitOfAReceiptIsFound flips each bit of the file, the words at
// its head included.
func TestAnyFlippedBitOfAReceiptIsFound(t *testing.T) {
	t.Parallel()
	a := sound(t)
	b := encode(t, a.receipt(t))
	flips := 0
	for i := range b {
		for bit := range 8 {
			b[i] ^= 1 << bit
			v, err := check(b, a.key.Verifier())
			if err == nil && v.OK() {
				t.Errorf("byte %d bit %d (now %q): not found", i, bit, b[i])
			}
			b[i] ^= 1 << bit
			flips++
		}
	}
	if flips < 8*3000 {
		t.Fatalf("only %d flips: the receipt is not a whole one", flips)
	}
}

// TestReceiptNamesWhatIsWrong makes each break with everything else in order.
func TestReceiptNamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	tests := []struct {
		want   journal.ReceiptProblem
		before func(*answered)
		after  func(*journal.Receipt)
	}{
		{want: journal.ReceiptSound},
		{want: journal.ReceiptUnread, after: func(r *journal.Receipt) { r.Header = r.Header[1:] }},
		{want: journal.ReceiptManyNames, after: func(r *journal.Receipt) { r.Proof.Checkpoint = signedTwice(t, r.Proof.Checkpoint) }},
		{want: journal.ReceiptUnsigned, before: func(a *answered) { a.claimed = signer(t, testShop, 9) }},
		{want: journal.ReceiptUnsigned, before: func(a *answered) { a.claimed = signer(t, otherShop, 7) }},
		{want: journal.ReceiptOffTree, after: func(r *journal.Receipt) { r.Proof.Index-- }},
		{want: journal.ReceiptOffTree, after: func(r *journal.Receipt) { r.Proof.Path = r.Proof.Path[1:] }},
		{want: journal.ReceiptOffTree, after: func(r *journal.Receipt) { r.Header = replaced(r.Header, "09:30", "08:30") }},
		{want: journal.ReceiptForeign, before: func(a *answered) { a.shop = otherShop }},
		{want: journal.ReceiptBody, after: func(r *journal.Receipt) { r.Body.Salt[0]++ }},
		{want: journal.ReceiptBody, after: func(r *journal.Receipt) { r.Body.Bytes = replaced(r.Body.Bytes, "agreed", "declined") }},
		{want: journal.ReceiptSubject, before: func(a *answered) { a.subject = otherShop }},
		{want: journal.ReceiptRecord, after: func(r *journal.Receipt) { r.Record.Bytes = replaced(r.Record.Bytes, "412.50", "912.50") }},
		{want: journal.ReceiptRecord, after: func(r *journal.Receipt) { r.Record.Salt[31]++ }},
		{want: journal.ReceiptDocument, after: func(r *journal.Receipt) { r.Document = append(r.Document, ' ') }},
		{want: journal.ReceiptDocument, after: func(r *journal.Receipt) { r.Document = nil }},
		{want: journal.ReceiptDocument, before: func(a *answered) { a.open = func(f *journal.ConsentFacts) { f.DocumentSHA256 = "" } }},
		{want: journal.ReceiptUnread, before: func(a *answered) { a.open = func(f *journal.ConsentFacts) { f.Decision = "Yes!" } }},
		{want: journal.ReceiptSubject, before: func(a *answered) { a.open = func(f *journal.ConsentFacts) { f.Version = 2 } }},
	}
	seen := map[journal.ReceiptProblem]bool{journal.ReceiptOtherKey: true} // above
	for i, tt := range tests {
		a := sound(t)
		if tt.before != nil {
			tt.before(&a)
		}
		r := a.receipt(t)
		if tt.after != nil {
			tt.after(&r)
		}
		v := journal.VerifyReceipt(r, keyOf(t, r))
		if v.Problem != tt.want || v.Reason == "" || v.OK() != (tt.want == journal.ReceiptSound) {
			t.Errorf("case %d: %q (%s), want %q", i, v.Problem, v.Reason, tt.want)
		}
		seen[tt.want] = true
	}
	for _, p := range journal.ReceiptProblems() {
		if !seen[p] {
			t.Errorf("no case shows %q", p)
		}
	}
}

func replaced(b []byte, from, to string) []byte {
	return bytes.Replace(b, []byte(from), []byte(to), 1)
}

func signedTwice(t testing.TB, checkpoint []byte) []byte {
	t.Helper()
	n, err := journal.ParseNote(string(checkpoint))
	if err != nil {
		t.Fatal(err)
	}
	two, err := journal.SignNote(n.Text, signer(t, testShop, 7), signer(t, testShop, 9))
	if err != nil {
		t.Fatal(err)
	}
	return []byte(two)
}

func keyOf(t testing.TB, r journal.Receipt) journal.VerifierKey {
	t.Helper()
	k, err := journal.ParseVerifierKey(r.Key)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// TestProofStaysSmall holds the proof of an entry among a million under 4 KiB.
func TestProofStaysSmall(t *testing.T) {
	t.Parallel()
	a := sound(t)
	a.index, a.size = 617_283, 1_000_000
	r := a.receipt(t)
	if n := len(r.Proof.Text()); n > 4096 {
		t.Errorf("the proof takes %d bytes", n)
	}
	v, err := check(encode(t, r), a.key.Verifier())
	if err != nil || !v.OK() || len(r.Proof.Path) != 20 {
		t.Errorf("%v %+v", err, v)
	}
}

// TestProofIsReadByOthers has an independent library check signature and path.
func TestProofIsReadByOthers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		a := sound(t)
		a.size = rapid.IntRange(1, 70).Draw(rt, "size")
		a.index = rapid.IntRange(0, a.size-1).Draw(rt, "index")
		r := a.receipt(t)
		verifier, err := note.NewVerifier(r.Key)
		if err != nil {
			rt.Fatal(err)
		}
		n, err := note.Open(r.Proof.Checkpoint, note.VerifierList(verifier))
		if err != nil {
			rt.Fatal(err)
		}
		c, err := journal.ParseCheckpoint(n.Text)
		if err != nil {
			rt.Fatal(err)
		}
		path := make(tlog.RecordProof, len(r.Proof.Path))
		for i, h := range r.Proof.Path {
			path[i] = tlog.Hash(h)
		}
		err = tlog.CheckRecord(path, c.Size, tlog.Hash(c.Root), int64(r.Proof.Index), tlog.RecordHash(r.Header))
		if err != nil {
			rt.Fatal(err)
		}
	})
}

// TestReceiptHasOneSpelling writes receipts of any content and reads them
// back; whatever else is done to the bytes is refused.
func TestReceiptHasOneSpelling(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		a := sound(t)
		a.record = []byte(rapid.String().Draw(rt, "record"))
		a.document = []byte(rapid.SampledFrom([]string{"", "{}", "\n=== end 0\n\n", "=== record 3\n\u2028"}).Draw(rt, "document"))
		want := a.receipt(t)
		b := encode(t, want)
		got, err := journal.ParseReceipt(b)
		if err != nil {
			rt.Fatal(err)
		}
		if len(got.Document) == 0 {
			got.Document = want.Document
		}
		if diff := cmp.Diff(encode(t, want), encode(t, got)); diff != "" {
			rt.Fatal(diff)
		}
		from := rapid.IntRange(0, len(b)).Draw(rt, "from")
		to := rapid.IntRange(from, min(len(b), from+40)).Draw(rt, "to")
		into := rapid.SampledFrom([]string{"", "\n", " ", "\r\n", "0", "=== end 0\n\n"}).Draw(rt, "into")
		spoiled := append(append(bytes.Clone(b[:from]), into...), b[to:]...)
		if bytes.Equal(spoiled, b) {
			return
		}
		v, err := check(spoiled, a.key.Verifier())
		if err == nil && v.OK() {
			rt.Fatalf("%d to %d replaced by %q: not found", from, to, into)
		}
	})
}

var update = flag.Bool("update", false, "write the golden files")

// TestOldReceiptsHold keeps the format: a receipt once handed out must hold
// for ever, so the file is never written anew for a change of the code.
func TestOldReceiptsHold(t *testing.T) {
	t.Parallel()
	const file = "testdata/receipt-1.txt"
	a := sound(t)
	if *update {
		err := os.WriteFile(file, encode(t, a.receipt(t)), 0o600)
		if err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	v, err := check(b, a.key.Verifier())
	if err != nil || !v.OK() {
		t.Errorf("%v %+v", err, v)
	}
}

func FuzzParseReceipt(f *testing.F) {
	b := encode(f, sound(f).receipt(f))
	f.Add(b)
	f.Add(b[:len(b)/2])
	f.Add(bytes.Replace(b, []byte("=== salts"), []byte("=== salt"), 1))
	f.Add([]byte("benchtag-receipt 1\n\n=== key 0\n\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		r, err := journal.ParseReceipt(in)
		if err != nil {
			return
		}
		out, err := r.Encode()
		if err != nil || !bytes.Equal(out, in) {
			t.Errorf("read, but written otherwise: %v", err)
		}
		journal.VerifyReceipt(r)
	})
}
