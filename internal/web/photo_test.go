package web_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

const shownPhoto = "01938f5e-0000-7000-8000-0000000000f1"

// marked is a photo with a mark of every kind.
func marked() app.OfferPhoto {
	at := func(xy ...int64) (out []shop.MarkPoint) {
		for i := 0; i < len(xy); i += 2 {
			out = append(out, shop.MarkPoint{X: xy[i], Y: xy[i+1]})
		}
		return out
	}
	return app.OfferPhoto{PhotoID: shownPhoto, Width: 4000, Height: 3000, Shows: `worn "flat" <b>`, Notes: []string{"1: twelve links: 93.6 mm ± 0.5 mm"},
		Marks: []app.OfferMark{
			{Kind: shop.MarkCircle, Points: at(1000, 1000, 1200, 1000), Label: "broken <here>"}, {Kind: shop.MarkArrow, Points: at(3900, 2900, 3000, 2000), Label: "at the edge"},
			{Kind: shop.MarkLine, Points: at(0, 0, 100, 100)}, {Kind: shop.MarkScale, Points: at(100, 2800, 2000, 2800), Label: "100 mm"},
			{Kind: shop.MarkLength, Points: at(100, 1500, 100, 2500), Label: "(1) 93.6 mm"}, {Kind: shop.MarkText, Points: at(50, 60), Label: "left side"}, {Kind: shop.MarkArrow, Points: at(1, 1)}}}
}

// TestPhotosOfFindings shows the photos that the offer lists, with words for
// those who cannot see them, their size, and a way to the whole picture; what
// was drawn on them is drawn over them, inside the picture, and said.
func TestPhotosOfFindings(t *testing.T) {
	t.Parallel()
	d := rattle()
	d.Findings[0].Photos = []app.OfferPhoto{marked()}
	p, _ := newPages(t, d)
	w := httptest.NewRecorder()
	p.Link(w, httptest.NewRequest("GET", "/c/"+goodToken, nil), app.LinkVisit{Token: goodToken})
	body := w.Body.String()
	if len(body) > 60_000 {
		t.Errorf("the page has %d bytes before its photos", len(body))
	}
	wellFormed(t, body)
	doc, err := html.Parse(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`<img src="/c/` + goodToken + `/photo/` + shownPhoto + `/small" alt="Photo: Cam chain tensioner, worn &#34;flat&#34; &lt;b&gt;" width="480" height="360"`,
		`<a class="drawn" href="/c/` + goodToken + `/photo/` + shownPhoto + `">`, `<figcaption><span dir="auto">worn &#34;flat&#34; &lt;b&gt;</span>`,
		`<svg viewBox="0 0 4000 3000" aria-hidden="true"`, `M800 1000a200 200 0 1 0 400 0a200 200 0 1 0 -400 0`, `M3900 2900L3000 2000`, `M0 0L100 100`, `M100 2800L2000 2800`,
		`>broken &lt;here&gt;</text>`, `text-anchor="end">at the edge</text>`, `broken &lt;here&gt;</span>; <span dir="auto">at the edge`, "1: twelve links: 93.6 mm ± 0.5 mm",
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if n := len(elements(doc, "text")); n != 5 {
		t.Errorf("%d labels on the picture", n)
	}
	for _, e := range elements(doc, "") {
		if _, styled := attr(e, "style"); styled {
			t.Errorf("<%s> has a style of its own, which the page's policy forbids", e.Data)
		}
	}
	if !strings.Contains(w.Header().Get("Content-Security-Policy"), "img-src 'self'") {
		t.Error("the page forbids its own pictures")
	}
}

// A picture that was erased is told in its place; asked for by its address it
// is gone, and the link that showed it is not called closed.
func TestErasedPicture(t *testing.T) {
	t.Parallel()
	d := rattle()
	d.Findings[0].Photos = []app.OfferPhoto{marked()}
	p, f := newPages(t, d)
	f.view.Erased = []shop.PhotoID{shownPhoto}
	body := visit(p, "GET", goodToken, "", nil).Body.String()
	if strings.Contains(body, "/photo/") || !strings.Contains(body, "A picture stood here. It was erased. It showed: ") {
		t.Error("the page still shows the picture, or does not say that it is gone")
	}
	w := httptest.NewRecorder()
	p.Trouble(w, httptest.NewRequest("GET", "/", nil), fault.New(fault.Gone, app.PhotoErased, "This picture was erased."))
	if said := w.Body.String(); w.Code != http.StatusGone || !strings.Contains(said, "This picture is not here any more") || strings.Contains(said, "link is closed") {
		t.Errorf("%d %s", w.Code, said)
	}
}
