package web_test

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/web"
	"benchtag/openapi"
)

// request makes a request and a place for its answer.
func request(method string, form url.Values) (*http.Request, *httptest.ResponseRecorder) {
	r := httptest.NewRequest(method, "/", strings.NewReader(form.Encode()))
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	return r, httptest.NewRecorder()
}

func TestHome(t *testing.T) {
	t.Parallel()
	p, _ := newPagesOf(t, rattle(), openapi.Document())
	r, w := request(http.MethodGet, nil)
	p.Home(w, r)
	page := w.Body.String()
	contains(t, text(parse(t, page)), "Benchtag", "Take care", "service manual", "the law where you work", "qualified people")
	contains(t, page, `href="/api"`, `href="/openapi.yaml"`)
	if got := w.Header().Get("Content-Security-Policy"); !strings.HasPrefix(got, "default-src 'none'") {
		t.Errorf("policy %q", got)
	}
	r, w = request(http.MethodHead, nil)
	p.Home(w, r)
	if w.Code != http.StatusOK || w.Body.Len() != 0 {
		t.Errorf("HEAD: %d, %d bytes", w.Code, w.Body.Len())
	}
}

func TestReadingHoldsTheWholeContract(t *testing.T) {
	t.Parallel()
	p, _ := newPagesOf(t, rattle(), openapi.Document())
	r, w := request(http.MethodGet, nil)
	p.Reading(w, r)
	page := w.Body.String()
	if len(page) > 1_000_000 {
		t.Errorf("%d bytes", len(page))
	}
	parse(t, page)
	contract := string(openapi.Document())
	operations := regexp.MustCompile(`operationId: (\w+)`).FindAllStringSubmatch(contract, -1)
	_, shapes, _ := strings.Cut(contract, "\n  schemas:\n")
	schemas := regexp.MustCompile(`(?m)^    (\w+):$`).FindAllStringSubmatch(shapes, -1)
	paths := regexp.MustCompile(`(?m)^  (/\S*):$`).FindAllStringSubmatch(contract, -1)
	if len(operations) < 100 || len(schemas) < 100 || len(paths) < 50 {
		t.Fatalf("found %d operations, %d schemas, %d paths", len(operations), len(schemas), len(paths))
	}
	for _, m := range append(operations, schemas...) {
		contains(t, page, `<article id="`+m[1]+`"`, `href="#`+m[1]+`"`)
	}
	for _, m := range paths {
		contains(t, page, "<code>"+m[1]+"</code>")
	}
	contains(t, page, "Signing in.", "For the owner.", "For any staff.", "<b>required</b>", "Idempotency-Key", "<code>road_test</code>")
}

func TestContractsThatCannotBeRead(t *testing.T) {
	t.Parallel()
	for name, contract := range map[string]string{
		"nothing": "", "no mapping": "- a", "no YAML": "a: [", "no operation": "openapi: 3.0.3\ntags:\n  - name: A\npaths: {}",
	} {
		if _, err := web.New(web.Options{Contract: []byte(contract)}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestAsset(t *testing.T) {
	t.Parallel()
	p, _ := newPages(t, rattle())
	w := visit(p, http.MethodGet, goodToken, "", nil)
	m := regexp.MustCompile(`href="/web/([0-9a-f]{16})\.css"`).FindStringSubmatch(w.Body.String())
	if m == nil {
		t.Fatal("no stylesheet")
	}
	r, got := request(http.MethodGet, nil)
	p.Asset(got, r, m[1]+".css")
	sum := sha256.Sum256(got.Body.Bytes())
	if hex.EncodeToString(sum[:8]) != m[1] {
		t.Error("the name is not the hash")
	}
	contains(t, got.Header().Get("Cache-Control"), "immutable")
	contains(t, got.Header().Get("Content-Type"), "text/css")
	style := got.Body.String()
	contains(t, style, "#e6eff9", "#a6bed8", "#628db5", "#135e8c", "#003054", "light-dark(", "@media print", "prefers-reduced-motion", "forced-colors", ":focus-visible")
	if strings.Contains(style, "url(") || strings.Contains(style, "@import") {
		t.Error("the stylesheet loads something")
	}
	r, got = request(http.MethodGet, nil)
	p.Asset(got, r, "0000000000000000.css")
	if got.Code != http.StatusNotFound {
		t.Errorf("another name: status %d", got.Code)
	}
}

func TestAmountWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		minor    int64
		currency string
		want     string
	}{
		{0, "USD", "USD 0.00"}, {5, "USD", "USD 0.05"}, {99999, "USD", "USD 999.99"}, {100000, "EUR", "EUR 1,000.00"},
		{123456789, "JPY", "JPY 123,456,789"}, {-123456, "USD", "USD −1,234.56"}, {1234567, "KWD", "KWD 1,234.567"},
	} {
		if got := app.AmountWords(money.Amount(c.minor), money.Currency(c.currency)); got != c.want {
			t.Errorf("%d %s: %q, want %q", c.minor, c.currency, got, c.want)
		}
	}
}
