package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/store"
)

// pigeon takes every letter and every call of a webhook and keeps it.
type pigeon struct {
	mu      sync.Mutex
	letters []app.Mail
	calls   []string
}

// Call takes the call.
func (p *pigeon) Call(_ context.Context, call app.HookCall) app.Delivery {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.calls = append(p.calls, string(call.Body))
	return app.Delivery{Result: app.Accepted}
}

// Send takes the letter.
func (p *pigeon) Send(ctx context.Context, letter app.Mail, ready func(context.Context) error) app.Delivery {
	if err := ready(ctx); err != nil {
		return app.Delivery{Result: app.Later, Words: "not ready"}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.letters = append(p.letters, letter)
	return app.Delivery{Result: app.Accepted}
}

// Check takes every address.
func (*pigeon) Check(string) error { return nil }

// mailed makes a link that goes by mail, and a webhook, and gives their
// secrets. The letter waits for deliver.
func (h *house) mailed() map[string]string {
	h.t.Helper()
	h.play(`
as owner
post /v1/webhooks '{"name":"Counter","url":"https://counter.example/","use":"events","events":["offer_link.made","consent.given"]}'
status 201
let HOOK secret
as bruno
post /v1/offers/${OFFER}/links '{"decide_hours":48,"send":{"by":"email"}}'
status 201
let URL url
`)
	return map[string]string{"link sent by mail": strings.TrimPrefix(h.vars["URL"], houseURL+"/c/"), "secret of a webhook": strings.TrimPrefix(h.vars["HOOK"], "whsec_")}
}

// kept is everything that is kept, in bytes: log and database.
func (h *house) kept() map[string][]byte {
	h.t.Helper()
	places := map[string][]byte{"log": []byte(h.log.String())}
	for _, suffix := range []string{"", "-wal"} {
		b, err := os.ReadFile(filepath.Join(h.folder, store.FileName+suffix))
		h.must(err)
		places["database"+suffix] = b
	}
	if !bytes.Contains(places["log"], []byte("/v1/")) {
		h.t.Fatal("nothing is logged")
	}
	return places
}

// foundIn looks for secrets, whole and in slices of twelve characters.
func foundIn(places map[string][]byte, secrets map[string]string) (found []string) {
	for name, secret := range secrets {
		for place, content := range places {
			for i := 0; i+12 <= len(secret); i++ {
				if bytes.Contains(content, []byte(secret[i:i+12])) {
					found = append(found, fmt.Sprintf("the %s holds %q of the %s", place, secret[i:i+12], name))
					break
				}
			}
		}
	}
	return found
}

// TestNoTokenIsKept has tokens of every kind made and used, then looks for
// them, whole and in slices, in the log and in the bytes of the database.
func TestNoTokenIsKept(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	secrets := map[string]string{}
	h.check = func(_ *http.Request, res *http.Response, body []byte) error {
		for _, c := range res.Cookies() {
			secrets["cookie "+c.Name] = c.Value
		}
		var in struct {
			Refresh string `json:"refresh_token"`
		}
		if json.Unmarshal(body, &in) == nil && in.Refresh != "" {
			secrets[fmt.Sprint("refresh token ", len(secrets))] = in.Refresh
		}
		return nil
	}
	h.play("signin dario lane dario 'tin roof and heavy rain'")
	h.play(`post /v1/refresh '{"refresh_token":"` + secrets["refresh token 0"] + `"}'` + "\nstatus 200")
	secrets["access token"], secrets["password"] = h.people["dario"].token, h.people["dario"].password
	h.offerMade()
	for _, name := range []string{"link that is answered", "link that is not"} {
		secrets[name] = strings.TrimPrefix(h.link(), "/c/")
	}
	h.play("as owner\npost /v1/tablets '{\"name\":\"Bench 1\"}'\nstatus 201\nlet CODE enrol_code")
	secrets["enrolment code"] = h.vars["CODE"]
	a := h.request(1, http.MethodPost, "/v1/tablet/enrol", `{"enrol_code":"`+h.vars["CODE"]+`"}`, http.Header{"Content-Type": {"application/json"}, "Sec-Fetch-Site": {"same-origin"}, "Origin": {houseURL}})
	if a.status/100 != 2 {
		t.Fatalf("enrol: %d %s", a.status, a.body)
	}
	for _, c := range (&http.Response{Header: a.header}).Cookies() {
		secrets["cookie "+c.Name] = c.Value
	}
	link := "/c/" + secrets["link that is answered"]
	for _, step := range []string{"", "/check", "/decide"} {
		method := http.MethodPost
		if step == "" {
			method = http.MethodGet
		}
		h.request(2, method, link+step, h.yes(), formType)
	}
	h.request(3, http.MethodGet, link+"x", "", nil)                                                                                                        // a link cut wrong
	h.request(3, http.MethodGet, "/v1/me?token="+secrets["access token"], "", h.json("dario"))                                                             // a client that puts it in the query
	h.request(3, http.MethodGet, "/v1/jobs/"+secrets["access token"], "", h.json("dario"))                                                                 // or in the path
	h.request(3, http.MethodPost, "/v1/tablet/enrol", `{"enrol_code":"`+secrets["enrolment code"]+`"}`, http.Header{"Content-Type": {"application/json"}}) // used up
	post := &pigeon{}
	h.app.Mailer, h.app.Hooks = post, post
	h.offerMade()
	maps.Copy(secrets, h.mailed())
	asked := h.request(2, http.MethodPost, "/c/"+secrets["link sent by mail"]+"/ask", url.Values{"words": {"Which chain is it?"}}.Encode(), formType)
	if asked.status != http.StatusSeeOther {
		t.Fatalf("the question: %d %s", asked.status, asked.body)
	}
	if len(secrets) < 10 {
		t.Fatalf("only these were issued: %d", len(secrets))
	}
	// What an access token says of its holder is no secret; its signature is.
	secrets["access token"] = secrets["access token"][strings.LastIndex(secrets["access token"], ".")+1:]
	if found := foundIn(h.kept(), secrets); len(found) > 0 {
		t.Errorf("while the letter waits: %s", strings.Join(found, "; "))
	}
	lane, err := h.store.ShopBySlug(t.Context(), "lane")
	h.must(err)
	h.must(h.app.DeliverMessages(t.Context(), lane))
	if found := foundIn(h.kept(), secrets); len(found) > 0 {
		t.Errorf("after the letter went: %s", strings.Join(found, "; "))
	}
	if found := foundIn(map[string][]byte{"call": []byte(strings.Join(post.calls, "\n"))}, secrets); len(found) > 0 || len(post.calls) == 0 {
		t.Errorf("%d calls of webhooks: %s", len(post.calls), strings.Join(found, "; "))
	}
	letters := 0
	for _, l := range post.letters {
		if found := foundIn(map[string][]byte{"letter": []byte(fmt.Sprint(l))}, secrets); len(found) > 0 {
			letters++
		}
	}
	if letters != 1 {
		t.Errorf("%d of %d letters hold a secret, want the one with the link alone", letters, len(post.letters))
	}
}

// TestPageTellsTheOfferAlone puts a canary in everything that is not for the
// customer's page and looks for them there.
func TestPageTellsTheOfferAlone(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.play(`
change /v1/customers/${CUSTOMER} '{"name":"Mara Ostrander","phone":"+43 660 canary1","email":"canary2@example.test","address":"canary3","note":"canary4"}'
status 200
change /v1/work-orders/${ORDER} '{"machine_id":"${MACHINE}","customer_id":"${CUSTOMER}","note":"canary5"}'
status 200
change /v1/work-orders/${ORDER}/intake-facts '{"odometer":{"entered":"18250 km"},"keys":1,"leave_to_ride":"yes","old_parts":"return","luggage":"canary6"}'
status 200
as owner
post /v1/staff '{"login":"canary7","name":"Canary7 Surname","roles":["advisor"],"password":"a lantern under the bridge"}'
status 201
signin teller lane canary7 'a lantern under the bridge'
post /v1/work-orders/${ORDER}/jobs '{"title":"canary8","kind":"request"}'
status 201
let OTHER id
uuid W1 W2 W3 W4
put /v1/jobs/${OTHER}/complaints/${W1} '{"kind":"request","words":"canary9"}'
status 201
put /v1/jobs/${OTHER}/lines/${W2} '{"kind":"labour","description":"canary10","minutes":60,"unit_price":{"amount":"90.00","currency":"EUR"},"tax_category":"standard"}'
status 201
`)
	h.offerMade()
	h.play(`
as teller
put /v1/jobs/${JOB}/hand-over-notes/${W3} '{"words":"canary11","machine_state":"canary12"}'
status 201
post /v1/jobs/${JOB}/holds '{"reason":"parts","note":"canary13"}'
status 201
put /v1/jobs/${JOB}/bench-times/${W4} '{"started_at":"${now}","work":"canary14"}'
status 201
post /v1/jobs/${JOB}/offers '{"scope_ids":["${WAY}"],"price_until":"${today+14}"}'
status 201
let OFFER id
let SHOWN sha256
`)
	path := h.link()
	for n, step := range []string{"", "/check", "/decide", ""} {
		method := http.MethodPost
		if step == "" {
			method = http.MethodGet
		}
		a := h.request(n, method, path+step, h.yes(), formType)
		if step != "/decide" && (a.status != http.StatusOK || !strings.Contains(a.body, "New chain")) {
			t.Errorf("%q gets %d: %s", step, a.status, a.body)
		}
		if i := strings.Index(strings.ToLower(a.body), "canary"); i >= 0 {
			t.Errorf("page %q tells %q", step, a.body[i:min(len(a.body), i+20)])
		}
	}
}

// TestLinksNeverFollowTheHost makes a link under names that a client chose.
func TestLinksNeverFollowTheHost(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.offerMade()
	for n, name := range []string{"Host", "X-Forwarded-Host", "Forwarded", "X-Original-Host", "X-Host"} {
		evil := "evil.example"
		if name == "Forwarded" {
			evil = "host=evil.example;proto=http"
		}
		a := h.request(n, http.MethodPost, "/v1/offers/"+h.vars["OFFER"]+"/links", `{"decide_hours":24}`, h.json("bruno", "Idempotency-Key", name, name, evil, "X-Forwarded-Proto", "http"))
		if a.status != http.StatusCreated || strings.Contains(a.body, "evil") || !strings.Contains(a.body, `"`+houseURL+`/c/`) {
			t.Errorf("%s: %d %s", name, a.status, a.body)
		}
		page := h.request(n, http.MethodGet, h.link(), "", http.Header{name: {evil}})
		if page.status != http.StatusOK || strings.Contains(page.body, "evil") || strings.Contains(page.header.Get("Location"), "evil") {
			t.Errorf("%s: the page gets %d", name, page.status)
		}
	}
}

// TestTokensAreGoodForOneThing shows each kind of token where another belongs,
// and an access token after its time.
func TestTokensAreGoodForOneThing(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.offerMade()
	link := strings.TrimPrefix(h.link(), "/c/")
	h.play("signin dario lane dario 'tin roof and heavy rain'\nlet REFRESH refresh_token")
	access, refresh := h.people["dario"].token, h.vars["REFRESH"]
	for name, token := range map[string]string{"link": link, "refresh": refresh} {
		if a := h.request(1, http.MethodGet, "/v1/me", "", http.Header{"Authorization": {"Bearer " + token}}); a.status != http.StatusUnauthorized {
			t.Errorf("a %s token as an access token: %d", name, a.status)
		}
		if a := h.request(1, http.MethodGet, "/v1/tablet/staff", "", http.Header{"Cookie": {"__Host-benchtag_tablet=" + token}}); a.status != http.StatusUnauthorized {
			t.Errorf("a %s token as a tablet's: %d", name, a.status)
		}
	}
	for name, token := range map[string]string{"access": access, "refresh": refresh} {
		if a := h.request(1, http.MethodGet, "/c/"+token, "", nil); a.status != http.StatusNotFound {
			t.Errorf("a %s token as a link: %d", name, a.status)
		}
	}
	for name, token := range map[string]string{"access": access, "link": link} {
		a := h.request(1, http.MethodPost, "/v1/refresh", `{"refresh_token":"`+token+`"}`, http.Header{"Content-Type": {"application/json"}})
		if a.status != http.StatusUnauthorized && a.status != http.StatusBadRequest { // too long for one
			t.Errorf("a %s token as a refresh token: %d", name, a.status)
		}
	}
	if a := h.request(1, http.MethodGet, "/v1/me", "", h.json("dario")); a.status != http.StatusOK {
		t.Fatalf("the token where it belongs: %d", a.status)
	}
	h.clock.Advance(accessLife + time.Minute)
	if a := h.request(1, http.MethodGet, "/v1/me", "", h.json("dario")); a.status != http.StatusUnauthorized {
		t.Errorf("an access token after its time: %d", a.status)
	}
}
