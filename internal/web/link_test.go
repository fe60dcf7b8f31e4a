package web_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/net/html"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

const wayB = "01938f5e-0000-7000-8000-00000000000b"

// contains fails for every piece the page does not say.
func contains(t *testing.T, page string, pieces ...string) {
	t.Helper()
	for _, piece := range pieces {
		if !strings.Contains(page, piece) {
			t.Errorf("the page does not say %q", piece)
		}
	}
}

func TestOfferTellsEverything(t *testing.T) {
	t.Parallel()
	p, _ := newPages(t, rattle())
	page := text(open(t, p))
	contains(t, page,
		"Quay Street Motorcycles", "Call us: +1 555 0100 142", "Work order 1042", "Halvorsen Parallel 650, 2019",
		"What happened", "tin of nails", "We tried, and it did not show up.",
		"What broke first Cam chain tensioner", "How far it went Not all is known. We have not looked at: Oil pump", "What we found", "4 failed", "3 beyond limit", "2 near limit", "1 serviceable", "0 as new",
		"Seized.", "Warning", "not safe to ride with", "What we did not look at", "Oil pump",
		"Ways forward", "USD 694.10 to USD 798.56", "USD 895.44 to USD 1,159.57", "USD 100.67",
		"Ready on Friday 4 December 2026 at the earliest.", "The prices hold until the end of Friday 11 December 2026",
		"Cam sprocket, if a tooth is hooked", "only if found", "Deposit before we start: USD 200.00",
		"Before anything is taken apart", "Longest time to put it back 10 working days", "Might it never be as it was? Not said. Ask the shop.",
		"If you wait", "After that they may be higher.", "Questions you may ask us", "lock the rear wheel", "Strict default", "not checked by a person",
		"Your answer", "No, thank you.", "Saturday 28 November 2026, 13:00 (UTC+01:00)")
}

func TestNoWayIsFavoured(t *testing.T) {
	t.Parallel()
	d := rattle()
	for i := range d.Ways {
		d.Ways[i].Terms, d.Ways[i].RideNote, d.Ways[i].Lines = nil, "", nil
	}
	p, _ := newPages(t, d)
	doc := open(t, p)
	articles, picks := elements(doc, "article"), picks(doc)
	if len(articles) != 3 || len(picks) != 4 {
		t.Fatalf("%d ways, %d choices", len(articles), len(picks))
	}
	for _, a := range articles[1:] {
		if diff := cmp.Diff(outline(articles[0]), outline(a)); diff != "" {
			t.Errorf("a way is built otherwise than the first (-first +this):\n%s", diff)
		}
	}
	for _, pick := range picks[1:] {
		if diff := cmp.Diff(outline(picks[0].Parent), outline(pick.Parent)); diff != "" && value(pick, "id") != "pick-none" {
			t.Errorf("a choice is built otherwise (-first +this):\n%s", diff)
		}
	}
	for _, pick := range picks {
		if _, checked := attr(pick, "checked"); checked {
			t.Errorf("%s is chosen beforehand", value(pick, "id"))
		}
	}
}

func TestFiveQuestionsOfEveryWay(t *testing.T) {
	t.Parallel()
	p, _ := newPages(t, rattle())
	want := []string{"What we do", "What it costs", "When", "What stays unknown", "May I ride it"}
	for _, a := range elements(open(t, p), "article") {
		var got []string
		for _, dt := range elements(elements(a, "dl")[0], "dt") {
			got = append(got, text(dt))
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
	}
}

// picks lists the radio buttons.
// What was agreed to before stands beside the price, there and where the
// answer is checked; a way it does not touch says nothing of it.
func TestPriceBesideWhatWasAgreedBefore(t *testing.T) {
	t.Parallel()
	d := rattle()
	d.Before = map[shop.ScopeID]app.OfferSum{d.Ways[0].ScopeID: {Net: 10000, Tax: 1000, Gross: 11000}}
	p, f := newPages(t, d)
	const words = "You agreed to USD\u00a0110.00 for this job before. With this way it is USD\u00a0804.10 to USD\u00a0908.56 in all, with tax."
	for step, form := range map[string]url.Values{"": nil, "check": filled(f, string(d.Ways[0].ScopeID))} {
		method := http.MethodGet
		if form != nil {
			method = http.MethodPost
		}
		page := visit(p, method, goodToken, step, form).Body.String()
		parse(t, page)
		if strings.Count(page, words) != 1 || strings.Count(page, "for this job before") != 1 {
			t.Errorf("step %q does not say it once:\n%s", step, page)
		}
	}
}

func picks(doc *html.Node) []*html.Node {
	var found []*html.Node
	for _, n := range elements(doc, "input") {
		if value(n, "type") == "radio" {
			found = append(found, n)
		}
	}
	return found
}

// outline is a node's elements and classes, without text and ids.
func outline(n *html.Node) []string {
	var lines []string
	for _, e := range elements(n, "") {
		lines = append(lines, e.Data+"."+value(e, "class"))
	}
	return lines
}

func TestAskingChangesNothing(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	first := visit(p, http.MethodGet, goodToken, "", nil).Body.String()
	for range 50 {
		if w := visit(p, http.MethodGet, goodToken, "", nil); w.Body.String() != first {
			t.Fatal("the page changed by being read")
		}
		w := visit(p, http.MethodHead, goodToken, "", nil)
		if w.Code != http.StatusOK || w.Body.Len() != 0 || w.Header().Get("Content-Length") == "" {
			t.Fatalf("HEAD: %d, %d bytes", w.Code, w.Body.Len())
		}
	}
	if len(fake.decides) != 0 || fake.offers != 101 {
		t.Errorf("%d decisions, %d looks", len(fake.decides), fake.offers)
	}
}

func TestCheckStep(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	w := visit(p, http.MethodPost, goodToken, "check", filled(fake, wayB))
	if w.Code != http.StatusOK {
		t.Fatalf("status %d", w.Code)
	}
	doc := parse(t, w.Body.String())
	contains(t, text(doc), "Check your answer", "Way B:", "USD 1,159.57 at most", "Ida Example", "her daughter", "Keep the old chain.",
		"These are the words you sign", fake.view.Document.Wording(fake.view.Document.Way(wayB)), "simple electronic signature",
		"Might it never be as it was?")
	forms := elements(doc, "form")
	if len(forms) != 2 || value(forms[0], "action") != "/c/"+goodToken+"/decide" || value(forms[1], "action") != "/c/"+goodToken+"/check" {
		t.Fatalf("forms: %d", len(forms))
	}
	for i, form := range forms {
		want := url.Values{
			"offer": {fake.view.SHA256}, "choice": {wayB}, "typed_name": {"Ida Example"}, "relation": {"her daughter"},
			"note": {"Keep the old chain.\nThank you."},
		}
		if i == 1 {
			want.Set("back", "yes")
		}
		if diff := cmp.Diff(want, hidden(form)); diff != "" {
			t.Error(diff)
		}
	}
	if _, checked := attr(byID(t, doc, "agreed"), "checked"); checked {
		t.Error("the box is ticked beforehand")
	}
	if len(fake.decides) != 0 {
		t.Error("the check step decided")
	}
}

// hidden gives a form's hidden fields.
func hidden(form *html.Node) url.Values {
	values := url.Values{}
	for _, n := range elements(form, "input") {
		if value(n, "type") == "hidden" {
			values.Add(value(n, "name"), value(n, "value"))
		}
	}
	return values
}

func byID(t *testing.T, doc *html.Node, id string) *html.Node {
	t.Helper()
	for _, n := range elements(doc, "") {
		if value(n, "id") == id {
			return n
		}
	}
	t.Fatalf("no element %q", id)
	return nil
}

func TestBackKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	form := filled(fake, wayB)
	form.Set("back", "yes")
	w := visit(p, http.MethodPost, goodToken, "check", form)
	doc := parse(t, w.Body.String())
	if _, checked := attr(byID(t, doc, "pick-B"), "checked"); w.Code != http.StatusOK || !checked {
		t.Errorf("status %d, choice kept: %v", w.Code, checked)
	}
	if got := value(byID(t, doc, "typed_name"), "value"); got != "Ida Example" {
		t.Errorf("name %q", got)
	}
	if got := text(byID(t, doc, "note")); got != "Keep the old chain. Thank you." {
		t.Errorf("note %q", got)
	}
}

func TestMistakesStandBesideTheirField(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, field, value, step, id, says string
	}{
		{"no choice", "choice", "", "check", "choice-wrong", "Choose one of the ways"},
		{"foreign choice", "choice", "01938f5e-0000-7000-8000-0000000000ff", "check", "choice-wrong", "Choose one of the ways"},
		{"no name", "typed_name", " \t ", "check", "typed_name-wrong", "Type your full name."},
		{"one letter", "typed_name", "I", "check", "typed_name-wrong", "Type your full name."},
		{"long name", "typed_name", strings.Repeat("é", 201), "check", "typed_name-wrong", "at most 200"},
		{"long relation", "relation", strings.Repeat("é", 201), "check", "relation-wrong", "at most 200"},
		{"long note", "note", strings.Repeat("é", 2001), "check", "note-wrong", "at most 2,000"},
		{"no name on decide", "typed_name", "", "decide", "typed_name-wrong", "Type your full name."},
		{"not ticked", "agreed", "", "decide", "agreed-wrong", "Tick the box"},
		{"electronic form not ticked", "electronic", "", "decide", "electronic-wrong", "If you want paper instead"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, fake := newPages(t, rattle())
			form := filled(fake, wayB)
			form.Set(c.field, c.value)
			w := visit(p, http.MethodPost, goodToken, c.step, form)
			if w.Code != http.StatusUnprocessableEntity || len(fake.decides) != 0 {
				t.Fatalf("status %d, %d decisions", w.Code, len(fake.decides))
			}
			doc := parse(t, w.Body.String())
			contains(t, text(byID(t, doc, c.id)), c.says)
			contains(t, text(elements(doc, "title")[0]), "Please look again")
			if c.field != "note" {
				contains(t, w.Body.String(), "Keep the old chain.")
			}
		})
	}
}

func TestDecideHandsOverTheAnswer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, choice string
		want         app.LinkAnswer
		says         []string
	}{
		{"a way", wayB, app.LinkAnswer{ScopeID: wayB, Electronic: true}, []string{"We have your yes.", "The same, and open the oil pump", "USD 1,159.57"}},
		{"none", "no-thank-you", app.LinkAnswer{Decline: true, Electronic: true}, []string{"We have your no.", "You answered No, thank you."}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, fake := newPages(t, rattle())
			form := filled(fake, c.choice)
			form.Set("agreed", "yes")
			form.Set("electronic", "yes")
			w := visit(p, http.MethodPost, goodToken, "decide", form)
			if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/c/"+goodToken {
				t.Fatalf("status %d, to %q", w.Code, w.Header().Get("Location"))
			}
			want := c.want
			want.Token, want.SHA256, want.TypedName, want.Relation = goodToken, fake.view.SHA256, "Ida Example", "her daughter"
			want.Note, want.Agreed, want.IP, want.UserAgent = "Keep the old chain.\nThank you.", true, "192.0.2.7", "test"
			if diff := cmp.Diff([]app.LinkAnswer{want}, fake.decides); diff != "" {
				t.Error(diff)
			}
			page := text(open(t, p))
			contains(t, page, c.says...)
			contains(t, page, "Your copy", "Ida Example", "Wednesday 25 November 2026, 15:05 (UTC+01:00)", fake.view.SHA256[:8]+" "+fake.view.SHA256[8:16],
				"01938f5e-0000-7000-8000-00000000c0de", "Keep this page or print it", "What you were shown", "tin of nails")
		})
	}
}

func TestAnsweringTwiceShowsTheFirstAnswer(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	form := filled(fake, wayB)
	form.Set("agreed", "yes")
	form.Set("electronic", "yes")
	visit(p, http.MethodPost, goodToken, "decide", form)
	form.Set("choice", "no-thank-you")
	w := visit(p, http.MethodPost, goodToken, "decide", form)
	if w.Code != http.StatusConflict || len(fake.decides) != 1 {
		t.Errorf("status %d, %d decisions", w.Code, len(fake.decides))
	}
	contains(t, text(parse(t, w.Body.String())), "already answered", "We have your yes.")
}

func TestChangedOfferIsReadAgain(t *testing.T) {
	t.Parallel()
	for _, step := range []string{"check", "decide"} {
		p, fake := newPages(t, rattle())
		form := filled(fake, wayB)
		form.Set("agreed", "yes")
		form.Set("electronic", "yes")
		form.Set("offer", strings.Repeat("0", 64))
		w := visit(p, http.MethodPost, goodToken, step, form)
		doc := parse(t, w.Body.String())
		if w.Code != http.StatusConflict || len(fake.decides) != 0 {
			t.Errorf("%s: status %d, %d decisions", step, w.Code, len(fake.decides))
		}
		contains(t, text(doc), "changed this offer while you were reading")
		for _, pick := range picks(doc) {
			if _, checked := attr(pick, "checked"); checked {
				t.Error("a choice made on other words is kept")
			}
		}
		forms := elements(doc, "form") // the question's comes before the answer's
		if got := hidden(forms[len(forms)-1]).Get("offer"); got != fake.view.SHA256 {
			t.Errorf("%s: the form carries %q", step, got)
		}
	}
}

func TestRefusalsOfTheUseCase(t *testing.T) {
	t.Parallel()
	conflict := fault.New(fault.Conflict, "app.offer_changed", "The offer was changed.")
	for _, c := range []struct {
		name   string
		refuse error
		race   func(*app.LinkView)
		status int
		says   string
	}{
		{"answered elsewhere", conflict, func(v *app.LinkView) { *v = decided(*v, app.LinkAnswer{ScopeID: wayB, TypedName: "Other Person"}) }, 409, "already answered"},
		{"changed", conflict, func(v *app.LinkView) { v.SHA256 = strings.Repeat("1", 64) }, 409, "changed this offer"},
		{"another conflict", conflict, func(*app.LinkView) {}, 409, "The offer was changed."},
		{"a field", fault.Invalid("app.name_missing", "/typed_name", "Type the name on your papers."), nil, 422, "Type the name on your papers."},
		{"no field", fault.New(fault.Meaning, "app.rule", "This cannot be agreed to here."), nil, 422, "This cannot be agreed to here."},
		{"gone", fault.New(fault.Gone, "app.link_closed", "x"), nil, 410, "This link is closed"},
		{"broken", http.ErrAbortHandler, nil, 500, "Something went wrong on our side"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, fake := newPages(t, rattle())
			fake.refuse, fake.onRace = c.refuse, c.race
			form := filled(fake, wayB)
			form.Set("agreed", "yes")
			form.Set("electronic", "yes")
			w := visit(p, http.MethodPost, goodToken, "decide", form)
			if w.Code != c.status {
				t.Errorf("status %d", w.Code)
			}
			contains(t, text(parse(t, w.Body.String())), c.says)
		})
	}
}

func TestDeadLinksHoldNoData(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		token, says string
		status      int
	}{
		{closedToken, "This link is closed", http.StatusGone},
		{unknownToken, "There is nothing here", http.StatusNotFound},
		{brokenToken, "Something went wrong on our side", http.StatusInternalServerError},
		{busyToken, "We cannot answer just now", http.StatusServiceUnavailable},
	} {
		p, fake := newPages(t, rattle())
		for _, step := range []string{"", "check", "decide"} {
			method, form := http.MethodPost, filled(fake, wayB)
			if step == "" {
				method, form = http.MethodGet, nil
			}
			w := visit(p, method, c.token, step, form)
			if w.Code != c.status {
				t.Errorf("%s %s: status %d", c.token, step, w.Code)
			}
			page := w.Body.String()
			contains(t, text(parse(t, page)), c.says)
			for _, secret := range []string{"Quay", "Halvorsen", "1042", "555", "Cam chain", "USD", "canary", fake.view.SHA256, c.token} {
				if strings.Contains(page, secret) {
					t.Errorf("%s: the page says %q", c.token, secret)
				}
			}
		}
		if c.token == busyToken && visit(p, http.MethodGet, c.token, "", nil).Header().Get("Retry-After") != "7" {
			t.Error("no Retry-After")
		}
	}
}

func TestStatesOfAnOpenOffer(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	fake.view.NewFinding = true
	contains(t, text(open(t, p)), "We found something new after we sent this page.")
	fake.view.DecideTill = "2026-11-24T12:00:00Z"
	doc := open(t, p)
	contains(t, text(doc), "The time to answer here ended")
	if len(elements(doc, "form")) != 0 {
		t.Error("a form after the time to answer")
	}
	if w := visit(p, http.MethodPost, goodToken, "check", filled(fake, wayB)); w.Code != http.StatusConflict {
		t.Errorf("late check: status %d", w.Code)
	}
}

func TestBareDocument(t *testing.T) {
	t.Parallel()
	for _, kind := range shop.ScopeKindValues() {
		d := app.OfferDocument{Version: 1, Currency: "JPY", Kind: kind, Ways: []app.OfferWay{{ScopeID: "w", High: app.OfferSum{Gross: 1234567}}}, Findings: []app.OfferFinding{{Grade: new(int64(9))}}}
		p, _ := newPages(t, d)
		contains(t, text(open(t, p)), "JPY 0 to JPY 1,234,567", "no data on its condition", "Not known yet. Ask the shop.", "UTC")
	}
}

func TestForeignAndOddRequests(t *testing.T) {
	t.Parallel()
	const form = "application/x-www-form-urlencoded"
	for _, c := range []struct {
		name, site, origin, kind string
		status                   int
	}{
		{"own page", "same-origin", "null", form, 200},
		{"own page, charset", "same-origin", "https://shop.example", form + "; charset=utf-8", 200},
		{"by hand", "none", "", form, 200},
		{"no browser", "", "", form, 200},
		{"old browser, no referrer", "", "null", form, 200},
		{"old browser", "", "https://shop.example", form, 200},
		{"other site", "cross-site", "https://evil.example", form, 403},
		{"other site, no origin", "cross-site", "null", form, 403},
		{"neighbour", "same-site", "https://x.shop.example", form, 403},
		{"old browser elsewhere", "", "https://evil.example", form, 403},
		{"json", "same-origin", "null", "application/json", 415},
		{"multipart", "same-origin", "null", "multipart/form-data; boundary=x", 415},
		{"plain", "same-origin", "null", "text/plain", 415},
		{"nothing", "same-origin", "null", "", 415},
	} {
		for _, step := range []string{"check", "decide"} {
			p, fake := newPages(t, rattle())
			values := filled(fake, wayB)
			values.Set("agreed", "yes")
			values.Set("electronic", "yes")
			r := httptest.NewRequest(http.MethodPost, "https://shop.example/c/x/"+step, strings.NewReader(values.Encode()))
			for key, v := range map[string]string{"Sec-Fetch-Site": c.site, "Origin": c.origin, "Content-Type": c.kind} {
				if v != "" {
					r.Header.Set(key, v)
				}
			}
			w := httptest.NewRecorder()
			p.Link(w, r, app.LinkVisit{Token: goodToken, Step: step})
			want := c.status
			if want == 200 && step == "decide" {
				want = http.StatusSeeOther
			}
			if w.Code != want || (len(fake.decides) > 0) != (want == http.StatusSeeOther) {
				t.Errorf("%s, %s: status %d, %d decisions", c.name, step, w.Code, len(fake.decides))
			}
		}
	}
}

func TestBodies(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	post := func(body string, most int64) int {
		r := httptest.NewRequest(http.MethodPost, "/c/x/check?choice="+wayB+"&typed_name=Query", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		w := httptest.NewRecorder()
		r.Body = http.MaxBytesReader(w, r.Body, most)
		p.Link(w, r, app.LinkVisit{Token: goodToken, Step: "check"})
		return w.Code
	}
	full := filled(fake, wayB).Encode()
	for _, c := range []struct {
		name, body string
		most       int64
		want       int
	}{
		{"whole", full, 16 << 10, 200},
		{"too large", full, 50, 413},
		{"bad escape", "offer=%zz", 16 << 10, 400},
		{"the query does not count", "offer=" + fake.view.SHA256, 16 << 10, 422},
	} {
		if got := post(c.body, c.most); got != c.want {
			t.Errorf("%s: status %d, want %d", c.name, got, c.want)
		}
	}
}

func TestHeadersOfTheLink(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	form := filled(fake, wayB)
	form.Set("agreed", "yes")
	form.Set("electronic", "yes")
	foreign := httptest.NewRecorder()
	p.Trouble(foreign, httptest.NewRequest(http.MethodGet, "/", nil), fault.New(fault.TooMany, "api.too_often", "x"))
	for name, w := range map[string]*httptest.ResponseRecorder{
		"offer": visit(p, http.MethodGet, goodToken, "", nil), "check": visit(p, http.MethodPost, goodToken, "check", filled(fake, wayB)),
		"wrong": visit(p, http.MethodPost, goodToken, "check", url.Values{"offer": {fake.view.SHA256}}), "closed": visit(p, http.MethodGet, closedToken, "", nil),
		"decide": visit(p, http.MethodPost, goodToken, "decide", form), "receipt": visit(p, http.MethodGet, goodToken, "", nil), "too often": foreign,
	} {
		for key, want := range map[string]string{
			"Referrer-Policy": "no-referrer", "Cache-Control": "no-store", "X-Robots-Tag": "noindex, nofollow", "X-Content-Type-Options": "nosniff",
			"Content-Security-Policy":    "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
			"Cross-Origin-Opener-Policy": "same-origin", "Content-Type": "text/html; charset=utf-8",
		} {
			if got := w.Header().Get(key); got != want {
				t.Errorf("%s: %s is %q", name, key, got)
			}
		}
	}
	if foreign.Code != http.StatusTooManyRequests {
		t.Errorf("too often: status %d", foreign.Code)
	}
}

func TestPagesAreSmall(t *testing.T) {
	t.Parallel()
	p, fake := newPages(t, rattle())
	for _, w := range []*httptest.ResponseRecorder{
		visit(p, http.MethodGet, goodToken, "", nil), visit(p, http.MethodPost, goodToken, "check", filled(fake, wayB)),
	} {
		if n := w.Body.Len(); n > 60_000 || n < 3_000 {
			t.Errorf("%d bytes", n)
		}
	}
	if bytes.Contains(visit(p, http.MethodGet, goodToken, "", nil).Body.Bytes(), []byte("<no value>")) {
		t.Error("a value is missing")
	}
}
