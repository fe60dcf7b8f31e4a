package main

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"benchtag/internal/journal"
)

// signedTree is a checkpoint, its signature checked by the library that the
// checksum database of Go is checked with.
type signedTree struct {
	size int64
	root []byte
	note string
}

// read asks a route of the API as somebody.
func (h *house) read(who, path string, into any) houseReply {
	h.t.Helper()
	got := h.request(1, http.MethodGet, path, "", h.json(who))
	if into != nil {
		if got.status != http.StatusOK {
			h.t.Fatalf("GET %s: %d %s", path, got.status, got.body)
		}
		h.must(json.Unmarshal([]byte(got.body), into))
	}
	return got
}

func (h *house) openTree(text string, key note.Verifier) signedTree {
	h.t.Helper()
	n, err := note.Open([]byte(text), note.VerifierList(key))
	if err != nil || len(n.Sigs) != 1 {
		h.t.Fatalf("%v in\n%s", err, text)
	}
	lines := strings.Split(n.Text, "\n")
	if len(lines) != 4 || lines[0] != key.Name() {
		h.t.Fatalf("a checkpoint in the name of %s says\n%s", key.Name(), n.Text)
	}
	out := signedTree{note: text}
	_, err = fmt.Sscan(lines[1], &out.size)
	h.must(err)
	out.root, err = base64.StdEncoding.DecodeString(lines[2])
	h.must(err)
	return out
}

// hashes reads hashes of an answer for both libraries.
func (h *house) hashes(texts []string) (plain [][]byte, typed []tlog.Hash) {
	h.t.Helper()
	for _, text := range texts {
		one, err := base64.StdEncoding.DecodeString(text)
		h.must(err)
		plain, typed = append(plain, one), append(typed, tlog.Hash(one))
	}
	return plain, typed
}

// TestJournalProvesItselfToOthers: with the key that the server names, two
// libraries that know nothing of this program find every entry in the tree
// that was signed, and the older tree in the later one. The same key stands
// on the public page, and in the receipt of the answer.
func TestJournalProvesItselfToOthers(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.offerMade()
	path := h.link()
	if got := h.request(1, http.MethodPost, path+"/decide", h.yes(), formType); got.status != http.StatusSeeOther {
		t.Fatalf("the answer: %d %s", got.status, got.body)
	}
	var keys struct {
		Items []struct{ Key, Fingerprint string }
	}
	h.read("bruno", "/v1/journal/key", &keys)
	if len(keys.Items) != 1 {
		t.Fatalf("%d keys sign", len(keys.Items))
	}
	key, err := note.NewVerifier(keys.Items[0].Key)
	h.must(err)
	page := h.request(1, http.MethodGet, "/journal", "", nil)
	if page.status != http.StatusOK || !strings.Contains(page.body, keys.Items[0].Fingerprint) || strings.Contains(page.body, "lane") || strings.Contains(page.body, "Lindqvist") {
		t.Errorf("the page of the keys: %d %s", page.status, page.body)
	}
	receipt, err := journal.ParseReceipt([]byte(h.request(1, http.MethodGet, path+"/receipt", "", nil).body))
	h.must(err)
	if receipt.Key != keys.Items[0].Key {
		t.Errorf("the receipt names the key %s", receipt.Key)
	}
	older := h.openTree(h.read("cleo", "/v1/journal/checkpoint", nil).body, key)
	h.play(`
as bruno
post /v1/work-orders/${ORDER}/jobs '{"title":"Bearing noisy","kind":"request"}'
status 201
`)
	lane, err := h.store.ShopBySlug(t.Context(), "lane")
	h.must(err)
	h.clock.Advance(25 * time.Hour)
	h.must(h.app.TendJournal(t.Context(), lane))
	h.must(h.signIn([]string{"bruno", "lane", "bruno", "a kettle on the hill at dawn"}))
	newer := h.openTree(h.read("bruno", "/v1/journal/checkpoint", nil).body, key)
	if newer.size <= older.size {
		t.Fatalf("the tree did not grow: %d and %d", older.size, newer.size)
	}
	h.provesGrowth(older, newer)
	h.provesEntries(newer)
	for _, path := range []string{"/v1/journal/consistency?from=" + fmt.Sprint(newer.size+1), "/v1/journal/consistency?from=0",
		"/v1/journal/proof?sequence=9999&stream_id=" + h.vars["ORDER"], "/v1/journal/proof?sequence=1&stream_id=" + h.vars["JOB"]} {
		if got := h.read("bruno", path, nil); got.status < 400 || got.status >= 500 || codeIn(got.body) == "" {
			t.Errorf("GET %s: %d %s", path, got.status, got.body)
		}
	}
}

// provesGrowth checks the proof that one tree is the beginning of another.
func (h *house) provesGrowth(older, newer signedTree) {
	h.t.Helper()
	var got struct {
		FromSize int64  `json:"from_size"`
		ToSize   int64  `json:"to_size"`
		FromRoot string `json:"from_root"`
		ToRoot   string `json:"to_root"`
		Path     []string
	}
	h.read("bruno", fmt.Sprintf("/v1/journal/consistency?from=%d&to=%d", older.size, newer.size), &got)
	plain, typed := h.hashes(got.Path)
	if err := proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(older.size), uint64(newer.size), plain, older.root, newer.root); err != nil {
		h.t.Errorf("transparency-dev/merkle: %v", err)
	}
	if err := tlog.CheckTree(typed, newer.size, tlog.Hash(newer.root), older.size, tlog.Hash(older.root)); err != nil {
		h.t.Errorf("sumdb/tlog: %v", err)
	}
	if got.FromSize != older.size || got.ToSize != newer.size || got.FromRoot != base64.StdEncoding.EncodeToString(older.root) || got.ToRoot != base64.StdEncoding.EncodeToString(newer.root) {
		h.t.Errorf("the proof is of %+v", got)
	}
}

// provesEntries checks the proof of every entry of the visit.
func (h *house) provesEntries(in signedTree) {
	h.t.Helper()
	n := 0
	for sequence := 1; ; sequence++ {
		path := fmt.Sprintf("/v1/journal/proof?stream_id=%s&sequence=%d", h.vars["ORDER"], sequence)
		if h.read("bruno", path, nil).status == http.StatusNotFound {
			break
		}
		var got struct {
			Header     string
			LeafIndex  int64 `json:"leaf_index"`
			Path       []string
			Checkpoint struct{ Note string }
		}
		h.read("bruno", path, &got)
		if got.Checkpoint.Note != in.note {
			h.t.Fatalf("entry %d is proved by another checkpoint", sequence)
		}
		plain, typed := h.hashes(got.Path)
		leaf := rfc6962.DefaultHasher.HashLeaf([]byte(got.Header))
		if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(got.LeafIndex), uint64(in.size), leaf, plain, in.root); err != nil {
			h.t.Errorf("entry %d, transparency-dev/merkle: %v", sequence, err)
		}
		if err := tlog.CheckRecord(typed, in.size, tlog.Hash(in.root), got.LeafIndex, tlog.RecordHash([]byte(got.Header))); err != nil {
			h.t.Errorf("entry %d, sumdb/tlog: %v", sequence, err)
		}
		n++
	}
	if n < 5 {
		h.t.Errorf("%d entries were proved", n)
	}
}
