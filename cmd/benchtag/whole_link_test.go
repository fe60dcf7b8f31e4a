package main

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/shop"
)

// TestOneAnswerOfAHundred sends a hundred answers at once by the forms of four
// links of one offer: one is taken.
func TestOneAnswerOfAHundred(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		h := openHouse(t, dsn)
		h.offerMade()
		links := []string{h.link(), h.link(), h.link(), h.link()}
		form := h.yes()
		got := map[int]int{}
		for _, a := range atOnce(100, func(i int) houseReply {
			return h.request(i, http.MethodPost, links[i%4]+"/decide", form, formType)
		}) {
			got[a.status]++
			if a.status == http.StatusConflict && !strings.Contains(a.body, "already answered") && !strings.Contains(a.body, "changed this offer") {
				t.Errorf("a refusal says %s", a.body)
			}
		}
		if got[http.StatusSeeOther] != 1 || got[http.StatusConflict]+got[http.StatusGone] != 99 {
			t.Errorf("answers by status: %v, want one 303 and 99 times 409 or 410", got)
		}
		consents := rowsOf[shop.Consent](h)
		if len(consents) != 1 || consents[0].TypedName != "Mara Ostrander" || consents[0].IP == "" {
			t.Errorf("consents: %+v", consents)
		}
		used := 0
		for _, l := range rowsOf[shop.OfferLink](h) {
			if l.UsedAt != nil {
				used++
			}
		}
		if used != 1 {
			t.Errorf("%d links are used", used)
		}
	})
}

// TestLookingChangesNothing asks for the page as scanners of mail do.
func TestLookingChangesNothing(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		h := openHouse(t, dsn)
		h.offerMade()
		path := h.link()
		before := h.dump()
		for i := range 50 {
			for _, method := range []string{http.MethodGet, http.MethodHead} {
				if a := h.request(i%4, method, path, "", nil); a.status != http.StatusOK || a.header.Get("Cache-Control") != "no-store" {
					t.Fatalf("%s: %d, %v", method, a.status, a.header)
				}
			}
			for _, step := range []string{"/check", "/decide"} {
				if a := h.request(200+i, http.MethodGet, path+step, "", nil); a.status != http.StatusMethodNotAllowed && a.status != http.StatusNotFound {
					t.Fatalf("GET %s: %d", step, a.status)
				}
			}
		}
		if diff := cmp.Diff(before, h.dump()); diff != "" {
			t.Errorf("looking changed (-before +after):\n%s", diff)
		}
		if a := h.request(900, http.MethodPost, path+"/decide", h.yes(), formType); a.status != http.StatusSeeOther {
			t.Errorf("after that the answer gets %d: %s", a.status, a.body)
		}
	})
}

// TestEndsOfALink moves the clock to both sides of each end.
func TestEndsOfALink(t *testing.T) {
	t.Parallel()
	const decide, view = 48 * time.Hour, 7 * 24 * time.Hour
	for _, c := range []struct {
		name             string
		after            time.Duration
		look, answer     int
		revoke, withdraw bool
	}{
		{name: "just before the last moment for an answer", after: decide - time.Second, look: 200, answer: 303},
		{name: "at the last moment", after: decide, look: 200, answer: 409},
		{name: "just before it shows nothing", after: view - time.Second, look: 200, answer: 409},
		{name: "when it shows nothing any more", after: view, look: 410, answer: 410},
		{name: "closed by the shop", revoke: true, look: 410, answer: 410},
		{name: "the offer taken back", withdraw: true, look: 410, answer: 410},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := openHouse(t, "")
			h.offerMade()
			path := h.link()
			if c.revoke {
				h.play("post /v1/offer-links/${LINK}/revoke\nstatus 200")
			}
			if c.withdraw {
				h.play("post /v1/offers/${OFFER}/withdraw '{\"reason\":\"priced wrong\"}'\nstatus 200")
			}
			h.clock.Advance(c.after)
			if a := h.request(1, http.MethodGet, path, "", nil); a.status != c.look {
				t.Errorf("looking gets %d, want %d", a.status, c.look)
			}
			a := h.request(2, http.MethodPost, path+"/decide", h.yes(), formType)
			if a.status != c.answer {
				t.Errorf("answering gets %d, want %d", a.status, c.answer)
			}
			if n := len(rowsOf[shop.Consent](h)); (n == 1) != (c.answer == http.StatusSeeOther) {
				t.Errorf("%d consents", n)
			}
			if a.status == http.StatusGone && (strings.Contains(a.body, "chain") || strings.Contains(a.body, "Lindqvist")) {
				t.Error("a dead link tells something of the offer")
			}
		})
	}
}

// TestGuessersRaiseAnAlarm asks for links that there are not: from fifty
// within a minute on, the log says so, once a minute; and it keeps no address.
func TestGuessersRaiseAnAlarm(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.offerMade()
	path := h.link()
	alarms := func() int { return strings.Count(h.log.String(), "somebody may be guessing") }
	guess := func(from, to int) {
		for n := from; n < to; n++ {
			if a := h.request(n, http.MethodGet, fmt.Sprintf("%s%05d", path[:len(path)-5], n), "", nil); a.status != http.StatusNotFound {
				t.Fatalf("an unknown link gets %d", a.status)
			}
		}
	}
	guess(0, 49)
	if alarms() != 0 {
		t.Error("alarm after 49")
	}
	guess(49, 130)
	if alarms() != 1 {
		t.Errorf("%d alarms after 130 in a minute, want 1", alarms())
	}
	h.clock.Advance(time.Minute + time.Second)
	guess(130, 170)
	if alarms() != 1 {
		t.Error("alarm for 40 in a minute")
	}
	guess(170, 200)
	if alarms() != 2 {
		t.Errorf("%d alarms in two minutes, want 2", alarms())
	}
	if strings.Contains(h.log.String(), path[3:15]) {
		t.Error("the log holds the address of a link")
	}
	if a := h.request(300, http.MethodGet, path, "", nil); a.status != http.StatusOK {
		t.Errorf("the customer's own link gets %d", a.status)
	}
}

// TestLinkRates asks more often than anybody needs to: thirty looks an hour by
// one link, sixty a minute from one address over all links.
func TestLinkRates(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.offerMade()
	path := h.link()
	for n := range 31 {
		if a := h.request(1, http.MethodGet, path, "", nil); (a.status == http.StatusTooManyRequests) != (n >= 30) {
			t.Fatalf("look %d gets %d", n+1, a.status)
		}
	}
	for n := range 61 {
		a := h.request(2, http.MethodGet, fmt.Sprintf("/c/nothing%d", n), "", nil)
		if (a.status == http.StatusTooManyRequests) != (n >= 60) || a.status == http.StatusTooManyRequests && a.header.Get("Retry-After") == "" {
			t.Fatalf("address look %d gets %d", n+1, a.status)
		}
	}
	h.clock.Advance(time.Hour + time.Second)
	if a := h.request(1, http.MethodGet, path, "", nil); a.status != http.StatusOK {
		t.Errorf("an hour later: %d", a.status)
	}
}

// TestNoLinkOutlivesItsJob withdraws a job with a question still open: its
// link is dead, and says so in words; an answered one still shows the copy.
func TestNoLinkOutlivesItsJob(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		h := openHouse(t, dsn)
		h.offerMade()
		path := h.link()
		h.play(`
uuid OTHER
put /v1/jobs/${JOB}/withdrawal '{"reason":"sold as it is","machine_state":"complete","asked_by":"Mara Ostrander","warnings_told":"none"}'
status 201
post /v1/jobs/${JOB}/moves '{"move":"withdraw"}'
status 200
`)
		for n, step := range []string{"", "/check", "/decide"} {
			method := http.MethodPost
			if step == "" {
				method = http.MethodGet
			}
			a := h.request(n, method, path+step, h.yes(), formType)
			if a.status != http.StatusGone || !strings.Contains(a.body, "the job is closed") || strings.Contains(a.body, "chain") {
				t.Errorf("%q gets %d: %s", step, a.status, a.body)
			}
		}
		if o := rowsOf[shop.Offer](h)[0]; o.State != shop.OfferStateWithdrawn {
			t.Errorf("the offer is %s", o.State)
		}
		if len(rowsOf[shop.Consent](h)) != 0 {
			t.Error("an answer was taken")
		}
	})
}

// TestAQuestionIsNoAnswer asks from the page: the move is the counter's, the
// offer stays open, and what staff answer is on the page.
func TestAQuestionIsNoAnswer(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "")
	h.offerMade()
	path := h.link()
	if a := h.request(1, http.MethodPost, path+"/ask", "words=Is+the+sprocket+worn%3F&call=yes&call_when=after+five", formType); a.status != http.StatusSeeOther {
		t.Fatalf("asking gets %d: %s", a.status, a.body)
	}
	h.play("get /v1/jobs/${JOB}/moves\nlet WHO waiting_on\nget /v1/jobs/${JOB}/customer-questions\nlet ASKED items.0.id\nlet KIND items.0.kind")
	if h.vars["WHO"] != "counter" || h.vars["KIND"] != "call_me" || len(rowsOf[shop.Consent](h)) != 0 {
		t.Errorf("it waits on %s, %s", h.vars["WHO"], h.vars["KIND"])
	}
	h.play("post /v1/customer-questions/${ASKED}/answer '{\"answer\":\"No, it is good for another chain.\"}'\nstatus 200")
	if a := h.request(2, http.MethodGet, path, "", nil); !strings.Contains(a.body, "good for another chain") || !strings.Contains(a.body, "after five") {
		t.Errorf("the page: %d %s", a.status, a.body)
	}
	if a := h.request(3, http.MethodPost, path+"/decide", h.yes(), formType); a.status != http.StatusSeeOther {
		t.Errorf("the answer gets %d", a.status)
	}
}
