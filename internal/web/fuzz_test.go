package web_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/web"
)

// FuzzForm posts any body to both steps: the page never breaks, never comes
// alive, and decides only on the document shown, ticked, with a name.
func FuzzForm(f *testing.F) {
	f.Add("offer=x&choice=" + wayB + "&typed_name=Ida+Example&agreed=yes&electronic=yes")
	f.Add("offer=%00&typed_name=%ff%fe&note=" + strings.Repeat("%0d%0a", 40))
	f.Add("choice=no-thank-you&choice=" + wayB + "&back=yes;a=b")
	p, fake := newPages(f, rattle())
	fresh := fake.view
	sha := fresh.SHA256
	f.Fuzz(func(t *testing.T, body string) {
		fake.view, fake.decides = fresh, nil
		for _, prefix := range []string{"", "offer=" + sha + "&"} {
			for _, step := range []string{"check", "decide"} {
				r := httptest.NewRequest(http.MethodPost, "/", strings.NewReader(prefix+body))
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				w := httptest.NewRecorder()
				p.Link(w, r, app.LinkVisit{Token: goodToken, Step: step})
				if w.Code >= 500 {
					t.Fatalf("status %d", w.Code)
				}
				if w.Code != http.StatusSeeOther {
					parse(t, w.Body.String())
				}
			}
		}
		for _, a := range fake.decides {
			if a.SHA256 != sha || !a.Agreed || len(a.TypedName) < 2 || a.Decline == (a.ScopeID != "") {
				t.Errorf("decided on %+v", a)
			}
		}
	})
}

// FuzzContract reads any text as a contract: an error or a page, no panic.
func FuzzContract(f *testing.F) {
	f.Add(smallContract)
	f.Add("tags: [{name: A}]\npaths: {/a: {get: {tags: [A], parameters: [{$ref: '#/x'}], requestBody: {content: {a: {schema: {$ref: '#/y'}}}}}}}")
	f.Add("a: &a [*a]")
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := web.New(web.Options{Contract: []byte(text)}); err == nil && p == nil {
			t.Error("neither pages nor an error")
		}
	})
}
