package web_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"benchtag/internal/app"
	"benchtag/internal/web"
)

// visit asks for a step of a link, with a form where one is given.
func visit(p *web.Pages, method, token, step string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "https://shop.example/c/"+token, strings.NewReader(form.Encode()))
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		r.Header.Set("Origin", "null")
	}
	w := httptest.NewRecorder()
	p.Link(w, r, app.LinkVisit{Token: token, Step: step, IP: "192.0.2.7", UserAgent: "test"})
	return w
}

// filled is a complete form for the fake's offer.
func filled(f *fakeOffers, choice string) url.Values {
	return url.Values{
		"offer": {f.view.SHA256}, "choice": {choice}, "typed_name": {"  Ida   Example "},
		"relation": {"her daughter"}, "note": {"Keep the old chain.\nThank you."},
	}
}

// parse reads a page and fails on what a well-formed, usable page lacks.
func parse(t *testing.T, page string) *html.Node {
	t.Helper()
	wellFormed(t, page)
	doc, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	checkIDs(t, doc)
	checkLabels(t, doc)
	checkHeadings(t, doc)
	checkNothingForeign(t, doc)
	return doc
}

// wellFormed checks that every tag is closed in its turn.
func wellFormed(t *testing.T, page string) {
	t.Helper()
	void := []string{"meta", "link", "input", "br", "img", "rect", "path", "circle"}
	var open []string
	z := html.NewTokenizer(strings.NewReader(page))
	for {
		kind := z.Next()
		if kind == html.ErrorToken {
			break
		}
		name, _ := z.TagName()
		switch {
		case kind == html.StartTagToken && !slices.Contains(void, string(name)):
			open = append(open, string(name))
		case kind == html.EndTagToken:
			if len(open) == 0 || open[len(open)-1] != string(name) {
				t.Fatalf("</%s> closes %v", name, open)
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		t.Fatalf("never closed: %v", open)
	}
}

// elements lists all elements of a name; "" lists every one.
func elements(n *html.Node, name string) []*html.Node {
	var found []*html.Node
	for d := range n.Descendants() {
		if d.Type == html.ElementNode && (name == "" || d.Data == name) {
			found = append(found, d)
		}
	}
	return found
}

// attr gives an attribute and whether it is there.
func attr(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

// value is an attribute or "".
func value(n *html.Node, key string) string {
	v, _ := attr(n, key)
	return v
}

// text is what a reader sees of a node, white space squeezed.
func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func checkIDs(t *testing.T, doc *html.Node) {
	t.Helper()
	seen := map[string]bool{}
	for _, n := range elements(doc, "") {
		if id, ok := attr(n, "id"); ok {
			if seen[id] || id == "" {
				t.Errorf("id %q is not unique", id)
			}
			seen[id] = true
		}
	}
	for _, n := range elements(doc, "") {
		for _, key := range []string{"aria-labelledby", "aria-describedby", "for"} {
			for id := range strings.FieldsSeq(value(n, key)) {
				if !seen[id] {
					t.Errorf("%s=%q points nowhere", key, id)
				}
			}
		}
		if id, ok := strings.CutPrefix(value(n, "href"), "#"); ok && !seen[id] {
			t.Errorf("link to #%s leads nowhere", id)
		}
	}
}

func checkLabels(t *testing.T, doc *html.Node) {
	t.Helper()
	labelled := map[string]bool{}
	for _, l := range elements(doc, "label") {
		labelled[value(l, "for")] = text(l) != ""
	}
	for _, name := range []string{"input", "textarea", "select"} {
		for _, n := range elements(doc, name) {
			if value(n, "type") != "hidden" && !labelled[value(n, "id")] {
				t.Errorf("<%s id=%q> has no label", name, value(n, "id"))
			}
		}
	}
}

// checkHeadings wants one h1 and no level left out.
func checkHeadings(t *testing.T, doc *html.Node) {
	t.Helper()
	last, ones := 0, 0
	for _, n := range elements(doc, "") {
		if len(n.Data) != 2 || n.Data[0] != 'h' || n.Data[1] < '1' || n.Data[1] > '6' {
			continue
		}
		level := int(n.Data[1] - '0')
		if level == 1 {
			ones++
		}
		if last > 0 && level > last+1 {
			t.Errorf("heading %q jumps from h%d to h%d", text(n), last, level)
		}
		last = level
	}
	if ones != 1 {
		t.Errorf("the page has %d h1", ones)
	}
	if value(elements(doc, "html")[0], "lang") != "en" {
		t.Error("the page names no language")
	}
}

// checkNothingForeign finds scripts, styles in place, event handlers and
// whatever would be fetched from elsewhere.
func checkNothingForeign(t *testing.T, doc *html.Node) {
	t.Helper()
	for _, n := range elements(doc, "") {
		if slices.Contains([]string{"script", "style", "iframe", "object", "embed", "img", "base", "audio", "video", "template", "noscript"}, n.Data) {
			t.Errorf("<%s> on the page", n.Data)
		}
		for _, a := range n.Attr {
			switch {
			case strings.HasPrefix(a.Key, "on") || a.Key == "style" || a.Key == "http-equiv":
				t.Errorf("<%s %s=%q>", n.Data, a.Key, a.Val)
			case (a.Key == "href" || a.Key == "src" || a.Key == "action") && !local(a.Val):
				t.Errorf("<%s %s=%q> leads elsewhere", n.Data, a.Key, a.Val)
			}
		}
	}
}

// local reports whether an address stays here or dials the shop.
func local(address string) bool {
	if number, ok := strings.CutPrefix(address, "tel:"); ok {
		return strings.Trim(number, "+0123456789") == ""
	}
	return strings.HasPrefix(address, "#") || strings.HasPrefix(address, "/") && !strings.HasPrefix(address, "//")
}

// open asks for a page by GET and parses it.
func open(t *testing.T, p *web.Pages) *html.Node {
	t.Helper()
	w := visit(p, http.MethodGet, goodToken, "", nil)
	if w.Code != http.StatusOK {
		t.Fatalf("status %d", w.Code)
	}
	return parse(t, w.Body.String())
}
