package api_test

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"benchtag/internal/shop"
)

// Every paper is a PDF that no cache keeps, shown under a plain name, in each
// size it is offered in; what cannot be printed is refused before it is tried.
func TestPapers(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ask := func(path string) *httptest.ResponseRecorder {
		req := httptest.NewRequest(http.MethodGet, path, nil)
		req.Header.Set("Authorization", "Bearer owner")
		w := httptest.NewRecorder()
		r.ServeHTTP(w, req)
		return w
	}
	job, order, block := r.mine.IDs["jobs"], r.mine.IDs["work_orders"], r.mine.IDs["tag_blocks"]
	for path, status := range map[string]int{
		"/v1/tag-blocks/" + block + "/labels.pdf":                                          200,
		"/v1/tag-blocks/" + block + "/labels.pdf?paper=roll-50x25mm":                       200,
		"/v1/jobs/" + job + "/labels.pdf?paper=a4-99x68mm&start=8&margin_left=1,5&gap_x=0": 200,
		"/v1/jobs/" + job + "/bench-sheet.pdf?paper=letter":                                200,
		"/v1/work-orders/" + order + "/machine-label.pdf?paper=a6":                         200,
		"/v1/jobs/" + job + "/findings.pdf?paper=letter":                                   200,
		"/v1/consents/" + r.mine.IDs["consents"] + "/record.pdf":                           200,
		"/v1/consents/" + r.mine.IDs["consents"] + "/record.pdf?paper=a3":                  400,
		"/v1/jobs/" + job + "/labels.pdf?paper=a3":                                         400,
		"/v1/jobs/" + job + "/labels.pdf?start=0":                                          400,
		"/v1/jobs/" + job + "/labels.pdf?start=25":                                         422,
		"/v1/jobs/" + job + "/labels.pdf?margin_left=wide":                                 400,
		"/v1/jobs/" + job + "/labels.pdf?margin_left=-1":                                   400,
		"/v1/jobs/" + job + "/labels.pdf?margin_top=50":                                    422,
	} {
		w := ask(path)
		if w.Code != status {
			t.Errorf("%s gets %d, want %d: %.300s", path, w.Code, status, w.Body)
			continue
		}
		if status != 200 {
			continue
		}
		h := w.Header()
		if !bytes.HasPrefix(w.Body.Bytes(), []byte("%PDF-")) || h.Get("Content-Type") != "application/pdf" || h.Get("Cache-Control") != "no-store" ||
			!strings.HasPrefix(h.Get("Content-Disposition"), "inline; filename=\"") || !strings.HasSuffix(h.Get("Content-Disposition"), ".pdf\"") {
			t.Errorf("%s: %v, %.20q", path, h, w.Body)
		}
	}
}

// A stranger's phone is told the same of a label that is on something, of one
// that is not, and of no label at all; and not as often as it likes.
func TestLabelTellsStrangersNothing(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	mark := string(shop.TagMarkOf(r.mine.Shop))
	said := map[string]bool{}
	n := 0
	for _, path := range []string{"/T/" + mark + "-" + codeOf(uint32(r.mine.Series)), "/t/" + mark + "-" + codeOf(9), "/t/nonsense", "/T/%00"} {
		w := httptest.NewRecorder()
		r.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		n++
		said[fmt.Sprintf("%d %s %v", w.Code, w.Body, w.Header().Get("Cache-Control"))] = true
	}
	if len(said) != 1 || !said["200 This label belongs to a workshop. Please hand it in there.\n no-store"] {
		t.Errorf("the answers differ: %v", said)
	}
	for ; n < 60; n++ {
		r.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, "/t/x", nil))
	}
	w := httptest.NewRecorder()
	r.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/t/x", nil))
	if w.Code != http.StatusTooManyRequests {
		t.Errorf("the 61st look in a minute gets %d", w.Code)
	}
}
