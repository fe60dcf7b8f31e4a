package web_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"reflect"
	"strings"
	"testing"

	"benchtag/internal/app"
)

// payloads are texts that would do harm on a page that trusts them. Own
// collection, after the contexts of OWASP's prevention cheat sheet.
func payloads() []string {
	return []string{
		`<script>alert(1)</script>`,
		`</title><script>alert(1)</script>`,
		`</textarea><script>alert(1)</script>`,
		`"><script>alert(1)</script>`,
		`'><img src=x onerror=alert(1)>`,
		`<img src=x onerror=alert(1)>`,
		`<svg/onload=alert(1)>`,
		`<svg><script>alert(1)</script></svg>`,
		`<iframe src=javascript:alert(1)>`,
		`<a href="javascript:alert(1)">x</a>`,
		`javascript:alert(1)`,
		`" onmouseover="alert(1)`,
		`' autofocus onfocus='alert(1)`,
		`" style="background:url(https://evil.example)`,
		`<style>@import 'https://evil.example'</style>`,
		`<link rel=stylesheet href=https://evil.example>`,
		`<meta http-equiv=refresh content="0;url=https://evil.example">`,
		`<base href=https://evil.example>`,
		`<form action=https://evil.example><input name=q>`,
		`</form><form action=https://evil.example>`,
		`<object data=https://evil.example></object>`,
		`<!--`,
		`{{.Token}}<%= 7*7 %>${7*7}`,
		"<scr\x00ipt>alert(1)</scr\x00ipt>",
		"\u202egnp.exe<details open ontoggle=alert(1)>",
	}
}

// poison puts the payload into every text of v.
func poison(v reflect.Value, payload string) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			poison(v.Field(i), payload)
		}
	case reflect.Slice:
		if v.Type() == reflect.TypeFor[json.RawMessage]() {
			return
		}
		for i := range v.Len() {
			poison(v.Index(i), payload)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			poison(v.Elem(), payload)
		}
	case reflect.String:
		v.SetString(payload)
	}
}

func TestNoTextIsTrusted(t *testing.T) {
	t.Parallel()
	if len(payloads()) < 25 {
		t.Fatal("too few payloads")
	}
	for _, payload := range payloads() {
		d := rattle()
		poison(reflect.ValueOf(&d).Elem(), payload)
		d.Rule, _ = json.Marshal(map[string]string{"name": payload, "citation": payload, "retrieved": payload, "verified_on": payload})
		p, fake := newPages(t, d)
		fake.view.DecideTill, fake.view.SHA256 = payload, payload
		fresh := fake.view
		form := url.Values{"offer": {payload}, "choice": {payload}, "typed_name": {payload + "xx"}, "relation": {payload}, "note": {payload}}
		check(t, p.Link, payload, http.MethodGet, "", nil, goodToken)
		check(t, p.Link, payload, http.MethodPost, "check", form, goodToken)
		check(t, p.Link, payload, http.MethodPost, "decide", form, goodToken)
		form.Set("choice", "")
		check(t, p.Link, payload, http.MethodPost, "check", form, goodToken)
		fake.view = decided(fresh, app.LinkAnswer{ScopeID: d.Ways[0].ScopeID, TypedName: payload})
		check(t, p.Link, payload, http.MethodGet, "", nil, goodToken)
	}
}

// check asks for one page and lets parse look for anything that came alive.
func check(t *testing.T, link func(http.ResponseWriter, *http.Request, app.LinkVisit), payload, method, step string, form url.Values, token string) {
	t.Helper()
	r, w := request(method, form)
	link(w, r, app.LinkVisit{Token: token, Step: step})
	page := w.Body.String()
	for _, alive := range []string{"<script", "<img", "<iframe", "<style", "<base", "<object", "<svg/", "<link rel=stylesheet", "evil.example>"} {
		if strings.Contains(page, alive) {
			t.Errorf("%q: the page holds %q", payload, alive)
		}
	}
	doc := parse(t, page)
	if n := len(elements(doc, "form")); n > 2 {
		t.Errorf("%q: %d forms", payload, n)
	}
}
