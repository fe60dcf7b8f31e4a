package web_test

import (
	"net/http/httptest"
	"strings"
	"testing"

	"benchtag/internal/app"
)

// TestPhotosOfFindings shows the photos that the offer lists, with words for
// those who cannot see them, their size, and a way to the whole picture.
func TestPhotosOfFindings(t *testing.T) {
	t.Parallel()
	d := rattle()
	d.Findings[0].Photos = []app.OfferPhoto{{PhotoID: "01938f5e-0000-7000-8000-0000000000f1", Width: 4000, Height: 3000, Shows: `worn "flat" <b>`}}
	p, _ := newPages(t, d)
	w := httptest.NewRecorder()
	p.Link(w, httptest.NewRequest("GET", "/c/"+goodToken, nil), app.LinkVisit{Token: goodToken})
	body := w.Body.String()
	if len(body) > 60_000 {
		t.Errorf("the page has %d bytes before its photos", len(body))
	}
	for _, want := range []string{
		`<img src="/c/` + goodToken + `/photo/01938f5e-0000-7000-8000-0000000000f1/small" alt="Photo: Cam chain tensioner, worn &#34;flat&#34; &lt;b&gt;" width="480" height="360"`,
		`<a href="/c/` + goodToken + `/photo/01938f5e-0000-7000-8000-0000000000f1">`, `<figcaption dir="auto">worn &#34;flat&#34; &lt;b&gt;</figcaption>`,
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if !strings.Contains(w.Header().Get("Content-Security-Policy"), "img-src 'self'") {
		t.Error("the page forbids its own pictures")
	}
}
