package api_test

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/openapi"
)

// heardPages notes what it is asked for.
type heardPages struct {
	heard []string
	body  error
}

func (p *heardPages) Home(http.ResponseWriter, *http.Request) { p.heard = append(p.heard, "home") }
func (p *heardPages) Reading(http.ResponseWriter, *http.Request) {
	p.heard = append(p.heard, "reading")
}
func (p *heardPages) Asset(_ http.ResponseWriter, _ *http.Request, name string) {
	p.heard = append(p.heard, "asset "+name)
}
func (p *heardPages) Verify(http.ResponseWriter, *http.Request) { p.heard = append(p.heard, "verify") }

func (p *heardPages) Staff(_ http.ResponseWriter, r *http.Request) {
	p.heard = append(p.heard, "staff "+r.URL.Path)
}

func (p *heardPages) StaffFile(_ http.ResponseWriter, _ *http.Request, hash, name string) {
	p.heard = append(p.heard, "file "+hash+" "+name)
}

func (p *heardPages) Link(_ http.ResponseWriter, r *http.Request, v app.LinkVisit) {
	p.heard = append(p.heard, "link "+v.Token+" "+v.Step)
	_, p.body = io.Copy(io.Discard, r.Body)
}

func (p *heardPages) Trouble(w http.ResponseWriter, _ *http.Request, err error) {
	if fault.Is(err, fault.TooMany) {
		p.heard = append(p.heard, "too many")
	}
	w.WriteHeader(http.StatusTooManyRequests)
}

// publicServer is a server of which only the pages work.
func publicServer(t *testing.T) (*api.Server, *heardPages) {
	t.Helper()
	pages := &heardPages{}
	s, err := api.New(api.Options{Pages: pages, Contract: openapi.Document(), Now: func() time.Time { return time.Unix(0, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	return s, pages
}

func ask(s http.Handler, method, path, body string) int {
	w := httptest.NewRecorder()
	s.ServeHTTP(w, httptest.NewRequest(method, path, strings.NewReader(body)))
	return w.Code
}

func TestPublicAddressesReachThePages(t *testing.T) {
	t.Parallel()
	s, pages := publicServer(t)
	for _, a := range []struct{ method, path string }{
		{"GET", "/"}, {"HEAD", "/"}, {"GET", "/api"}, {"HEAD", "/api"}, {"GET", "/web/x.css"}, {"HEAD", "/web/x.css"},
		{"GET", "/s"}, {"GET", "/s/jobs/1"}, {"GET", "/a/0f/kit/view.js"},
		{"GET", "/verify"}, {"HEAD", "/verify"},
		{"GET", "/c/secret"}, {"HEAD", "/c/secret"}, {"POST", "/c/secret/check"}, {"POST", "/c/secret/decide"}, {"GET", "/c/secret/receipt"},
	} {
		if code := ask(s, a.method, a.path, ""); code != http.StatusOK {
			t.Errorf("%s %s: status %d", a.method, a.path, code)
		}
	}
	want := []string{"home", "home", "reading", "reading", "asset x.css", "asset x.css",
		"staff /s", "staff /s/jobs/1", "file 0f kit/view.js", "verify", "verify", "link secret ", "link secret ", "link secret check", "link secret decide", "link secret receipt"}
	if diff := cmp.Diff(want, pages.heard); diff != "" {
		t.Error(diff)
	}
	for _, a := range []struct{ method, path string }{{"POST", "/c/secret"}, {"GET", "/c/secret/decide"}, {"DELETE", "/c/secret"}} {
		if code := ask(s, a.method, a.path, ""); code != http.StatusMethodNotAllowed {
			t.Errorf("%s %s: status %d", a.method, a.path, code)
		}
	}
}

// TestKeysPageWithoutAKey: the page of the journals' keys says so where
// nothing is signed.
func TestKeysPageWithoutAKey(t *testing.T) {
	t.Parallel()
	w := httptest.NewRecorder()
	openDoor(t).server.ServeHTTP(w, httptest.NewRequest("GET", "/journal", nil))
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "There is none") || w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("%d %v %s", w.Code, w.Header(), w.Body)
	}
}

func TestLinkIsLimitedAndItsBodyBounded(t *testing.T) {
	t.Parallel()
	s, pages := publicServer(t)
	ask(s, "POST", "/c/secret/check", strings.Repeat("x", 17<<10))
	if pages.body == nil {
		t.Error("17 KiB were read")
	}
	for range 30 {
		if code := ask(s, "GET", "/c/secret", ""); code != http.StatusOK {
			t.Fatalf("status %d", code)
		}
	}
	code := ask(s, "GET", "/c/secret", "")
	if last := pages.heard[len(pages.heard)-1]; code != http.StatusTooManyRequests || last != "too many" {
		t.Errorf("the 31st look in an hour: %d, %s", code, last)
	}
	for n := range 30 { // the look that was one too many takes nobody else's
		r := httptest.NewRequest("POST", "/c/secret/decide", nil)
		r.RemoteAddr = fmt.Sprintf("192.0.2.%d:1", 50+n)
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		if want := n == 29; (w.Code == http.StatusTooManyRequests) != want {
			t.Errorf("answer %d of all addresses together: %d", n+2, w.Code)
		}
	}
}
