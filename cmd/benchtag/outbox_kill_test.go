package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"benchtag/internal/store/storetest"
)

// How often the sender is killed: a hundred times in the long run.
const (
	outboxKills     = 12
	outboxKillsLong = 100
)

// TestOutboxKilledOftenSendsOnce kills a server over and over while it sends
// copies of answers to a mail server and calls a webhook, at any moment. In
// the end each letter was taken once and no more; those of which nobody could
// know were listed, not sent again, and settled by a person who asked. A call
// of a webhook may come again after a kill, always under its own id.
func TestOutboxKilledOftenSendsOnce(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("kills a server over and over")
	}
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); killSender(t, "") })
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		killSender(t, storetest.Address(t))
	})
}

// sending is one server that is killed often while it sends.
type sending struct {
	*killing
	office *postOffice
	mu     sync.Mutex
	called map[string]int // by webhook-id
	given  map[string]bool
	spared int // letters found uncertain
}

func killSender(t *testing.T, postgres string) {
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	office, s := openPostOffice(t), &sending{called: map[string]int{}, given: map[string]bool{}}
	hook := httptest.NewServer(http.HandlerFunc(s.take))
	defer hook.Close()
	w := &world{binary: path, folder: t.TempDir(), postgres: postgres, env: []string{"BENCHTAG_SMTP_HOST=127.0.0.1", "BENCHTAG_SMTP_TLS=none",
		"BENCHTAG_SMTP_PORT=" + office.port, "BENCHTAG_SMTP_FROM=desk@bench.example", "BENCHTAG_MESSAGE_LEASE=4s",
		"BENCHTAG_WEBHOOK_PRIVATE_HOST=" + strings.TrimPrefix(hook.URL, "http://")}}
	s.killing, s.office = &killing{world: w, t: t}, office
	s.must(s.start())
	defer func() { s.stop() }()
	s.must(s.setup([]string{"lane", "EUR"}))
	s.must(s.visit(nil))
	s.must(s.tell("post /v1/work-orders/${ORDER}/jobs '{\"title\":\"Looks at everything\",\"kind\":\"request\"}'\nstatus 201\nlet JOB id\n"+
		"post /v1/webhooks '{\"name\":\"Counter\",\"url\":\""+hook.URL+"/\",\"use\":\"events\",\"events\":[\"consent.recorded\"]}'\nstatus 201", nil))
	rounds := outboxKills
	if os.Getenv("BENCHTAG_LONG") == "1" {
		rounds = outboxKillsLong
	}
	for range rounds {
		s.round()
	}
	s.settle()
	s.check()
	t.Logf("%d kills, %d answers, %d letters of which nobody could know", rounds, len(s.given), s.spared)
}

// take is the other program: it has what it is called with.
func (s *sending) take(w http.ResponseWriter, r *http.Request) {
	_, _ = io.Copy(io.Discard, r.Body)
	s.mu.Lock()
	s.called[r.Header.Get("webhook-id")]++
	s.mu.Unlock()
	w.WriteHeader(http.StatusNoContent)
}

// round records answers until the server is killed, and starts it again. What
// was answered with 201 is kept here; what was not may be there or not.
func (s *sending) round() {
	s.t.Helper()
	client := &http.Client{Timeout: 20 * time.Second}
	var writers sync.WaitGroup
	for range 3 {
		writers.Go(func() { s.answer(client) })
	}
	before := s.known()
	for deadline := time.Now().Add(10 * time.Second); s.known() == before && time.Now().Before(deadline); {
		time.Sleep(time.Millisecond)
	}
	time.Sleep(time.Duration(rand.IntN(60)) * time.Millisecond)
	s.stop()
	writers.Wait()
	client.CloseIdleConnections()
	s.must(s.start())
}

// known counts the answers that were acknowledged.
func (s *sending) known() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.given)
}

func (s *sending) answer(client *http.Client) {
	for range 2 {
		one := &sent{path: "/v1/jobs/" + s.vars["JOB"] + "/consents", body: `{"kind":"drop_off","decision":"declined","method":"in_person","typed_name":"Mara Ostrander","relation":"owner","identified_how":"known to the shop"}`}
		status, body, err := s.post(client, one)
		if err != nil {
			return // killed
		}
		var made struct{ ID string }
		if err := json.Unmarshal(body, &made); err != nil || status != http.StatusCreated {
			s.t.Errorf("%d %s", status, body)
			return
		}
		s.mu.Lock()
		s.given[made.ID] = true
		s.mu.Unlock()
	}
}

func (s *sending) post(client *http.Client, one *sent) (int, []byte, error) {
	req, err := http.NewRequestWithContext(s.t.Context(), http.MethodPost, s.base+one.path, strings.NewReader(one.body))
	if err != nil {
		return 0, nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+s.people["owner"].token)
	req.Header.Set("Idempotency-Key", uuid.NewString())
	res, err := client.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer func() { _ = res.Body.Close() }()
	body, err := io.ReadAll(res.Body)
	return res.StatusCode, body, err
}

// letter is what the list tells of a message.
type outboxItem struct {
	ID, Kind, State string
	SubjectID       string `json:"subject_id"`
	LastError       string `json:"last_error"`
}

func (s *sending) outbox(state string) []outboxItem {
	s.t.Helper()
	var out []outboxItem
	for cursor := ""; ; {
		path := "/v1/outbox?limit=100" + cursor
		if state != "" {
			path += "&state=" + state
		}
		s.must(s.get([]string{path}))
		s.must(s.wantStatus([]string{"200"}))
		var page struct {
			Items      []outboxItem
			NextCursor *string `json:"next_cursor"`
		}
		s.must(json.Unmarshal(s.body, &page))
		out = append(out, page.Items...)
		if page.NextCursor == nil {
			return out
		}
		cursor = "&cursor=" + *page.NextCursor
	}
}

// settle waits until nothing moves, then does what a person does: asks of
// each uncertain letter whether it has arrived, gives it up if so and sends
// it again if not.
func (s *sending) settle() {
	s.t.Helper()
	s.rest()
	for _, m := range s.outbox("uncertain") {
		s.spared++
		switch n := s.office.count(m.ID); n {
		case 0:
			s.must(s.tell(fmt.Sprintf("post /v1/outbox/%s/retry\nstatus 200", m.ID), nil))
		case 1:
			s.must(s.tell(fmt.Sprintf("post /v1/outbox/%s/give-up '{\"reason\":\"The customer has it.\"}'\nstatus 200", m.ID), nil))
		default:
			s.t.Errorf("the letter %s was taken %d times", m.ID, n)
		}
	}
	s.rest()
}

// rest waits until nothing waits or is on its way. A message that was put off
// for minutes would show: it fails the test.
func (s *sending) rest() {
	s.t.Helper()
	for deadline := time.Now().Add(90 * time.Second); ; time.Sleep(300 * time.Millisecond) {
		moving := append(s.outbox("waiting"), s.outbox("being_sent")...)
		if len(moving) == 0 {
			return
		}
		if time.Now().After(deadline) {
			s.t.Fatalf("%d messages are still on their way, as %+v\n%s", len(moving), moving[0], tail(s.log.String()))
		}
	}
}

func (s *sending) check() {
	s.t.Helper()
	letters, events := map[string]int{}, 0
	for _, m := range s.outbox("") {
		switch m.Kind {
		case "consent_copy":
			letters[m.SubjectID]++
			if n := s.office.count(m.ID); n != 1 || m.State != "sent" && m.State != "given_up" {
				s.t.Errorf("the letter %s (%s, %s) was taken %d times", m.ID, m.State, m.LastError, n)
			}
		case "event":
			events++
			s.mu.Lock()
			n := s.called["msg_"+m.ID]
			s.mu.Unlock()
			if n < 1 || m.State != "sent" {
				s.t.Errorf("the call %s (%s, %s) was made %d times", m.ID, m.State, m.LastError, n)
			}
		}
	}
	for id := range s.given {
		if letters[id] != 1 {
			s.t.Errorf("of the answer %s there are %d letters", id, letters[id])
		}
	}
	if len(s.given) < 10 || events != len(letters) || len(s.office.took) != len(letters) {
		s.t.Errorf("%d answers known, %d letters, %d taken, %d calls of %d: this tests too little, or there are strangers", len(s.given), len(letters), len(s.office.took), len(s.called), events)
	}
}
