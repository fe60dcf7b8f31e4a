package web_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"benchtag/internal/journal"
	"benchtag/internal/web"
)

const (
	receiptShop    = "0190c7a2-0000-7000-8000-000000000001"
	receiptConsent = "0190c7a2-0000-7000-8000-0000000000c1"
)

func receiptKey(t testing.TB, n byte) journal.SigningKey {
	t.Helper()
	key, err := journal.NewSigningKey(journal.Origin(receiptShop), [32]byte{n})
	if err != nil {
		t.Fatal(err)
	}
	return key
}

// rattleReceipt is a sound receipt of a yes to the invented offer, entry 5 of
// 11, of an entry that names a shop.
func rattleReceipt(t testing.TB, ofShop string) journal.Receipt {
	t.Helper()
	document, err := json.Marshal(rattle())
	if err != nil {
		t.Fatal(err)
	}
	record := []byte(`{"decision":"agreed","typed_name":"Ola \u003cNord\u003e","gross":{"amount":"1128.42","currency":"USD"},"wording":"I say yes to: New tensioner, chain and guides."}`)
	recordSalt, bodySalt := journal.Salt{2}, journal.Salt{1}
	sum := sha256.Sum256(document)
	open, err := json.Marshal(journal.ConsentFacts{ConsentID: receiptConsent, Version: 1, Decision: "agreed",
		DocumentSHA256: hex.EncodeToString(sum[:]), RecordHMAC: journal.Commit(recordSalt, record).String()})
	if err != nil {
		t.Fatal(err)
	}
	body, err := journal.Envelope{Open: open, Sealed: bytes.Repeat([]byte("sealed"), 40)}.Encode()
	if err != nil {
		t.Fatal(err)
	}
	entry, _, err := journal.Append(journal.Start(journal.Stream{ShopID: ofShop, Kind: journal.WorkOrder, ID: "0190c7a2-0000-7000-8000-0000000000a1"}),
		journal.Draft{Time: time.Date(2026, 11, 25, 12, 30, 15, 0, time.UTC), Actor: journal.Actor{Kind: journal.CustomerLink, ID: "0190c7a2-0000-7000-8000-0000000000b1"},
			Event: "consent.given", Subject: journal.Subject{Noun: "consents", ID: receiptConsent, Version: 1}}, bodySalt, body)
	if err != nil {
		t.Fatal(err)
	}
	leaves := make([]journal.Hash, 11)
	leaves[5] = entry.Hash
	path, err := journal.InclusionPath(leaves, 5)
	if err != nil {
		t.Fatal(err)
	}
	key := receiptKey(t, 7)
	note, err := journal.SignCheckpoint(journal.Checkpoint{Origin: journal.Origin(receiptShop), Size: 11, Root: journal.TreeHash(leaves)}, key)
	if err != nil {
		t.Fatal(err)
	}
	return journal.Receipt{Key: key.Verifier().String(), Proof: journal.LogProof{Index: 5, Path: path, Checkpoint: []byte(note)}, Header: entry.Bytes,
		Body: journal.Body{Salt: bodySalt, Bytes: body}, Record: journal.Body{Salt: recordSalt, Bytes: record}, Document: document}
}

func encoded(t testing.TB, r journal.Receipt) []byte {
	t.Helper()
	b, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// pageCase is one question to the page's script.
type pageCase struct {
	Do    string   `json:"do"`
	In    [][]byte `json:"in"`
	Index int      `json:"index"`
	Size  int      `json:"size"`
	want  string
	name  string
}

// runPage asks the page's own script, taken from the page as it is served.
func runPage(t *testing.T, cases []pageCase) {
	t.Helper()
	if len(cases) == 0 {
		t.Fatal("there are no cases")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("SKIPPED, NOT CHECKED: there is no node to run the page's script with")
	}
	page, err := web.VerifyPage()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o600); err != nil {
		t.Fatal(err)
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(node, "testdata/verify_run.js", file)
	cmd.Stdin = bytes.NewReader(in)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	if err := json.Unmarshal(out, &got); err != nil || len(got) != len(cases) {
		t.Fatalf("%d answers to %d cases: %v", len(got), len(cases), err)
	}
	for i, c := range cases {
		if got[i] != c.want {
			t.Errorf("%s %s: the page says %q, want %q", c.Do, c.name, got[i], c.want)
		}
	}
}

func fromHex(t testing.TB, text string) []byte {
	t.Helper()
	b, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestPageComputesPublishedVectors: FIPS 180-4 examples ("abc" and the two
// messages of NIST's example files), RFC 4231 section 4.2 to 4.4, 4.7 and 4.8,
// RFC 8032 section 7.1 tests 1 to 3 (all from memory, and each also computed
// here by Go's library), RFC 6962 leaves as in the certificate-transparency
// projects.
func TestPageComputesPublishedVectors(t *testing.T) {
	t.Parallel()
	long := "abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu"
	cases := []pageCase{
		{Do: "sha256", In: [][]byte{nil}, want: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		{Do: "sha256", In: [][]byte{[]byte("abc")}, want: "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{Do: "sha256", In: [][]byte{[]byte("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")}, want: "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
		{Do: "sha512", In: [][]byte{[]byte("abc")}, want: "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"},
		{Do: "sha512", In: [][]byte{[]byte(long)}, want: "8e959b75dae313da8cf4f72814fc143f8f7779c6eb9f7fa17299aeadb6889018501d289e4900f7e4331b99dec4b5433ac7d329eeb6dd26545e96e55b874be909"},
		{Do: "hmac", In: [][]byte{bytes.Repeat([]byte{0x0b}, 20), []byte("Hi There")}, want: "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"},
		{Do: "hmac", In: [][]byte{[]byte("Jefe"), []byte("what do ya want for nothing?")}, want: "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"},
		{Do: "hmac", In: [][]byte{bytes.Repeat([]byte{0xaa}, 20), bytes.Repeat([]byte{0xdd}, 50)}, want: "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"},
		{Do: "hmac", In: [][]byte{bytes.Repeat([]byte{0xaa}, 131), []byte("Test Using Larger Than Block-Size Key - Hash Key First")}, want: "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54"},
		{Do: "leaf", In: [][]byte{nil}, want: "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"},
		{Do: "leaf", In: [][]byte{fromHex(t, "00")}, want: "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7"},
	}
	for _, v := range [][3]string{
		{"d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "", "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"},
		{"3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72", "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"},
		{"fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82", "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"},
	} {
		cases = append(cases, pageCase{Do: "signed", In: [][]byte{fromHex(t, v[0]), fromHex(t, v[1]), fromHex(t, v[2])}, want: "true"})
	}
	for _, c := range cases {
		if got := library(c); got != c.want {
			t.Errorf("%s: Go's library says %s, the vector %s", c.Do, got, c.want)
		}
	}
	runPage(t, cases)
}

// library computes a case with Go's library.
func library(c pageCase) string {
	switch c.Do {
	case "sha256":
		sum := sha256.Sum256(c.In[0])
		return hex.EncodeToString(sum[:])
	case "sha512":
		sum := sha512.Sum512(c.In[0])
		return hex.EncodeToString(sum[:])
	case "hmac":
		mac := hmac.New(sha256.New, c.In[0])
		mac.Write(c.In[1])
		return hex.EncodeToString(mac.Sum(nil))
	case "leaf":
		return journal.Leaf(c.In[0]).String()
	case "signed":
		if ed25519.Verify(c.In[0], c.In[1], c.In[2]) {
			return "true"
		}
	}
	return "false"
}

// TestPageComputesAsTheLibraryDoes compares on messages of every length
// around the block sizes, on spoiled signatures, and on every place of small
// trees.
func TestPageComputesAsTheLibraryDoes(t *testing.T) {
	t.Parallel()
	random := rand.NewChaCha8([32]byte{4})
	draw := func(n int) []byte {
		b := make([]byte, n)
		_, _ = random.Read(b)
		return b
	}
	var cases []pageCase
	for n := range 270 {
		cases = append(cases, pageCase{Do: "sha256", In: [][]byte{draw(n)}}, pageCase{Do: "hmac", In: [][]byte{draw(n % 80), draw(n)}})
		if n%9 == 0 || n > 105 && n < 130 || n > 235 && n < 258 {
			cases = append(cases, pageCase{Do: "sha512", In: [][]byte{draw(n)}})
		}
	}
	order := fromHex(t, "edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010")
	for n := range 12 {
		key := ed25519.NewKeyFromSeed(draw(32))
		message := draw(n * 13)
		public, signature := []byte(key.Public().(ed25519.PublicKey)), ed25519.Sign(key, message)
		spoiled := bytes.Clone(signature)
		spoiled[n*5] ^= 1 << (n % 8)
		cases = append(cases, pageCase{Do: "signed", In: [][]byte{public, message, signature}}, pageCase{Do: "signed", In: [][]byte{public, message, spoiled}},
			pageCase{Do: "signed", In: [][]byte{public, message, plusOrder(signature, order), nil}}, pageCase{Do: "signed", In: [][]byte{draw(32), message, signature}})
	}
	for i := range cases {
		cases[i].want = library(cases[i])
	}
	runPage(t, append(cases, treeCases(draw)...))
}

// plusOrder adds the group's order to S: another spelling of the same
// signature, which must not pass.
func plusOrder(signature, order []byte) []byte {
	out, carry := bytes.Clone(signature), 0
	for i := range 32 {
		carry += int(out[32+i]) + int(order[i])
		out[32+i], carry = byte(carry), carry>>8
	}
	return out
}

func treeCases(draw func(int) []byte) (cases []pageCase) {
	for size := 1; size <= 9; size++ {
		leaves := make([]journal.Hash, size)
		for i := range leaves {
			leaves[i] = journal.Hash(draw(32))
		}
		root := journal.TreeHash(leaves).String()
		for index := range leaves {
			path, err := journal.InclusionPath(leaves, index)
			if err != nil {
				panic(err)
			}
			in := [][]byte{leaves[index][:]}
			for _, h := range path {
				in = append(in, h[:])
			}
			cases = append(cases, pageCase{Do: "root", In: in, Index: index, Size: size, want: root},
				pageCase{Do: "root", In: append(in, in[0]), Index: index, Size: size, want: "none"})
			if size > 1 {
				cases = append(cases, pageCase{Do: "root", In: in[:len(in)-1], Index: index, Size: size, want: "none"})
			}
		}
	}
	return cases
}

// verdictOf is what the program says of a receipt.
func verdictOf(b []byte, keys ...[]byte) string {
	r, err := journal.ParseReceipt(b)
	if err != nil {
		return "unreadable"
	}
	var known []journal.VerifierKey
	for _, k := range keys {
		key, err := journal.ParseVerifierKey(string(k))
		if err != nil {
			panic(err)
		}
		known = append(known, key)
	}
	v := journal.VerifyReceipt(r, known...)
	out := string(v.Problem)
	if v.Problem == journal.ReceiptSound {
		out = "sound"
		if v.Compared {
			out += ", compared"
		}
	}
	return out
}

// TestPageAndProgramAgree gives both the same receipts, sound and broken in
// every way that has a name, and files with flipped bits in every part.
func TestPageAndProgramAgree(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	var cases []pageCase
	add := func(name string, in ...[]byte) {
		want := verdictOf(in[0], in[1:]...)
		seen[want] = true
		cases = append(cases, pageCase{Do: "verify", In: in, want: want, name: name})
	}
	own, other := []byte(receiptKey(t, 7).Verifier().String()), []byte(receiptKey(t, 8).Verifier().String())
	good := encoded(t, rattleReceipt(t, receiptShop))
	add("sound", good)
	add("compared", good, own)
	add("compared with two", good, other, own)
	add("another's key", good, other)
	add("empty", nil)
	add("not a receipt", []byte("benchtag-receipt 1\n\n=== key 3\nabc\n"))
	add("another shop's entry", encoded(t, rattleReceipt(t, "0190c7a2-0000-7000-8000-000000000002")), own)
	for name, spoil := range breaks(t) {
		r := rattleReceipt(t, receiptShop)
		spoil(&r)
		add(name, encoded(t, r), own)
	}
	for at := 0; at < len(good); at += 1 + len(good)/220 {
		flipped := bytes.Clone(good)
		flipped[at] ^= 1 << (at % 8)
		add("flipped", flipped, own)
	}
	for _, p := range journal.ReceiptProblems() {
		if p != journal.ReceiptSound && !seen[string(p)] {
			t.Errorf("no case shows %q", p)
		}
	}
	runPage(t, cases)
}

func breaks(t *testing.T) map[string]func(*journal.Receipt) {
	two := func(r *journal.Receipt) {
		n, err := journal.ParseNote(string(r.Proof.Checkpoint))
		if err != nil {
			t.Fatal(err)
		}
		note, err := journal.SignNote(n.Text, receiptKey(t, 7), receiptKey(t, 9))
		if err != nil {
			t.Fatal(err)
		}
		r.Proof.Checkpoint = []byte(note)
	}
	return map[string]func(*journal.Receipt){
		"signed twice":  two,
		"claimed key":   func(r *journal.Receipt) { r.Key = receiptKey(t, 9).Verifier().String() },
		"other place":   func(r *journal.Receipt) { r.Proof.Index = 4 },
		"place outside": func(r *journal.Receipt) { r.Proof.Index = 11 },
		"path cut":      func(r *journal.Receipt) { r.Proof.Path = r.Proof.Path[1:] },
		"earlier":       func(r *journal.Receipt) { r.Header = bytes.Replace(r.Header, []byte("12:30"), []byte("11:30"), 1) },
		"body's salt":   func(r *journal.Receipt) { r.Body.Salt[5]++ },
		"body's seal": func(r *journal.Receipt) {
			r.Body.Bytes = bytes.Replace(r.Body.Bytes, []byte("c2Vh"), []byte("d2Vh"), 1)
		},
		"body's version": func(r *journal.Receipt) {
			r.Body.Bytes = bytes.Replace(r.Body.Bytes, []byte(`version":1`), []byte(`version":2`), 1)
		},
		"record":           func(r *journal.Receipt) { r.Record.Bytes = append(r.Record.Bytes, ' ') },
		"record's salt":    func(r *journal.Receipt) { r.Record.Salt[0]++ },
		"document":         func(r *journal.Receipt) { r.Document = bytes.Replace(r.Document, []byte("200"), []byte("900"), 1) },
		"document missing": func(r *journal.Receipt) { r.Document = nil },
		"subject":          subjectOfAnother(t),
	}
}

// subjectOfAnother makes an entry, with all that proves it, that is about
// another answer than its body.
func subjectOfAnother(t *testing.T) func(*journal.Receipt) {
	return func(r *journal.Receipt) {
		h, err := journal.Decode(r.Header)
		if err != nil {
			t.Fatal(err)
		}
		h.Subject.Version = 3
		if r.Header, err = journal.Encode(h); err != nil {
			t.Fatal(err)
		}
		leaf := journal.Leaf(r.Header)
		note, err := journal.SignCheckpoint(journal.Checkpoint{Origin: journal.Origin(receiptShop), Size: 1, Root: leaf}, receiptKey(t, 7))
		if err != nil {
			t.Fatal(err)
		}
		r.Proof = journal.LogProof{Checkpoint: []byte(note)}
	}
}

// TestPageReadsJSONAsItStands: nothing in a record is hidden by how a
// browser would read it.
func TestPageReadsJSONAsItStands(t *testing.T) {
	t.Parallel()
	runPage(t, []pageCase{
		{Do: "json", In: [][]byte{[]byte(`{"b":1,"2":"x","b":[true,null,-1.50e3],"a":{}}`)},
			want: `{"pairs":[["b",{"plain":"1"}],["2",{"words":"x"}],["b",{"items":[{"plain":"true"},{"plain":"null"},{"plain":"-1.50e3"}]}],["a",{"pairs":[]}]]}`},
		{Do: "json", In: [][]byte{[]byte(`12345678901234567890`)}, want: `{"plain":"12345678901234567890"}`},
		{Do: "json", In: [][]byte{[]byte(` "\u003cé\n" `)}, want: `{"words":"<é\n"}`},
		{Do: "json", In: [][]byte{[]byte(`{"a":1}{"b":2}`)}, want: "refused"},
		{Do: "json", In: [][]byte{[]byte(`[1,]`)}, want: "refused"},
		{Do: "json", In: [][]byte{[]byte(`{"a":1,}`)}, want: "refused"},
		{Do: "json", In: [][]byte{[]byte(`{"a" 1}`)}, want: "refused"},
		{Do: "json", In: [][]byte{[]byte(strings.Repeat("[", 100))}, want: "refused"},
		{Do: "json", In: [][]byte{[]byte("\"\xff\"")}, want: "refused"},
	})
}

// TestVerifyPageStandsAlone: one file that loads nothing, under a policy that
// lets its own script and style run and nothing else.
func TestVerifyPageStandsAlone(t *testing.T) {
	t.Parallel()
	pages, _ := newPages(t, rattle())
	w := httptest.NewRecorder()
	pages.Verify(w, httptest.NewRequest(http.MethodGet, "/verify", nil))
	page := w.Body.String()
	saved, err := web.VerifyPage()
	if err != nil || string(saved) != page || w.Code != http.StatusOK {
		t.Fatalf("status %d, served as saved: %v, %v", w.Code, string(saved) == page, err)
	}
	policy := w.Header().Get("Content-Security-Policy")
	for tag, directive := range map[string]string{"script": "script-src", "style": "style-src"} {
		found := regexp.MustCompile(`(?s)<`+tag+`>(.*?)</`+tag+`>`).FindAllStringSubmatch(page, -1)
		if len(found) != 1 {
			t.Fatalf("%d elements %s", len(found), tag)
		}
		sum := sha256.Sum256([]byte(found[0][1]))
		if want := directive + " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "';"; !strings.Contains(policy, want) {
			t.Errorf("the policy %q lacks %s", policy, want)
		}
	}
	inside := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)
	if len(inside) != 2 || inside[1]+"; frame-ancestors 'none'" != policy || !strings.HasPrefix(policy, "default-src 'none'; ") {
		t.Errorf("policy inside %q, served %q", inside, policy)
	}
	for _, foreign := range []string{" src=", "url(", "@import", "fetch(", "XMLHttpRequest", "WebSocket", "innerHTML", "eval(", "/*HEAD", "{{"} {
		if strings.Contains(page, foreign) {
			t.Errorf("the page holds %q", foreign)
		}
	}
	allowed := map[string]bool{"#main": true}
	for _, link := range regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if !allowed[link[1]] {
			t.Errorf("the page leads to %q", link[1])
		}
	}
}
