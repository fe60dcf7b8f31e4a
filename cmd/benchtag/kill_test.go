package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// killRounds is how often the server is killed on each database.
const killRounds = 5

// TestAcknowledgedWorkSurvivesKill kills the server with SIGKILL in the middle
// of parallel writes and starts it again: what was acknowledged is there, once;
// what was not can be sent again and is there once as well; and the journal
// has no gap. A power cut that also takes the page cache is beyond a test like
// this: for that the store waits for the disk (synchronous=FULL, fsync).
func TestAcknowledgedWorkSurvivesKill(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("kills a server over and over")
	}
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); killOften(t, "") })
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		killOften(t, storetest.Address(t))
	})
}

func killOften(t *testing.T, postgres string) {
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	k := &killing{world: &world{binary: path, folder: t.TempDir(), postgres: postgres}, t: t, findings: map[string]*sent{}, customers: map[string]*sent{}}
	k.must(k.start())
	defer func() { k.stop() }()
	k.must(k.setup([]string{"lane", "EUR"}))
	k.must(k.visit(nil))
	for range 2 {
		k.must(k.tell("post /v1/work-orders/${ORDER}/jobs '{\"title\":\"Looks at everything\",\"kind\":\"request\"}'\nstatus 201\nlet JOB id", nil))
		k.jobs = append(k.jobs, k.vars["JOB"])
	}
	for range killRounds {
		k.round()
	}
	k.stop()
	k.verify()
}

// killing is one server that is killed often, and the log of what it
// acknowledged, which the test keeps outside of it.
type killing struct {
	*world
	t    *testing.T
	jobs []string

	mu                  sync.Mutex
	findings, customers map[string]*sent // by id; by Idempotency-Key
	acknowledged        atomic.Int64
}

// sent is one write as it was sent.
type sent struct {
	path, body   string
	acknowledged bool
	id           string // of the customer, as acknowledged
}

func (k *killing) must(err error) {
	k.t.Helper()
	if err != nil {
		k.t.Fatalf("%v (last answer %d: %.500s)\nserver said:\n%s", err, k.status, k.body, tail(k.log.String()))
	}
}

// round writes in parallel until the server is killed, then starts it again
// and holds it to what it said.
func (k *killing) round() {
	k.t.Helper()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 16}, Timeout: 20 * time.Second}
	defer client.CloseIdleConnections()
	ctx, cancel := context.WithCancel(k.t.Context())
	var writers sync.WaitGroup
	for i := range 8 {
		writers.Go(func() { k.write(ctx, client, i) })
	}
	before := k.acknowledged.Load()
	for deadline := time.Now().Add(10 * time.Second); k.acknowledged.Load() < before+20 && time.Now().Before(deadline); {
		time.Sleep(time.Millisecond)
	}
	time.Sleep(time.Duration(rand.IntN(200)) * time.Millisecond)
	k.stop() // while they write
	cancel()
	writers.Wait()
	if k.acknowledged.Load() < before+20 {
		k.t.Fatalf("only %d writes were acknowledged before the kill: this tests nothing", k.acknowledged.Load()-before)
	}
	k.must(k.start())
	k.resend(client)
	k.checkFindings()
	k.checkCustomers()
}

// write sends one write after the other: findings, and from every fourth
// writer effects, which make customers.
func (k *killing) write(ctx context.Context, client *http.Client, number int) {
	for n := 0; n < 100 && ctx.Err() == nil; n++ {
		one, log, key := k.next(number)
		k.mu.Lock()
		log[key] = one
		k.mu.Unlock()
		status, body, err := k.exchange(ctx, client, one, key)
		if err != nil {
			return // killed
		}
		if status != http.StatusCreated {
			k.t.Errorf("%s: %d %s", one.path, status, body)
			return
		}
		k.acknowledge(one, body)
	}
}

func (k *killing) next(number int) (one *sent, log map[string]*sent, key string) {
	id := uuid.Must(uuid.NewV7()).String()
	if number%4 == 3 {
		return &sent{path: "/v1/customers", body: fmt.Sprintf(`{"name":"Invented %s"}`, id)}, k.customers, id
	}
	path := "/v1/jobs/" + k.jobs[number%len(k.jobs)] + "/findings/" + id
	return &sent{path: path, body: fmt.Sprintf(`{"component":"part %s","safe_to_ride":"yes"}`, id)}, k.findings, id
}

func (k *killing) acknowledge(one *sent, body []byte) {
	var made struct{ ID string }
	if err := json.Unmarshal(body, &made); err != nil || made.ID == "" {
		k.t.Errorf("%s: %s (%v)", one.path, body, err)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if one.acknowledged && one.id != made.ID {
		k.t.Errorf("%s was acknowledged as %s and then as %s", one.path, one.id, made.ID)
	}
	one.acknowledged, one.id = true, made.ID
	k.acknowledged.Add(1)
}

// exchange makes one request; an error means that no whole answer came back.
func (k *killing) exchange(ctx context.Context, client *http.Client, one *sent, key string) (int, []byte, error) {
	method := http.MethodPut
	if one.path == "/v1/customers" {
		method = http.MethodPost
	}
	req, err := http.NewRequestWithContext(ctx, method, k.base+one.path, strings.NewReader(one.body))
	if err != nil {
		return 0, nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+k.people["owner"].token)
	if method == http.MethodPost {
		req.Header.Set("Idempotency-Key", key)
	} else {
		req.Header.Set("If-None-Match", "*")
	}
	res, err := client.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer func() { _ = res.Body.Close() }()
	body, err := io.ReadAll(res.Body)
	return res.StatusCode, body, err
}

// resend sends everything again, as clients do that got no answer, and some
// that did: a record that is there answers 200, an effect its first answer.
func (k *killing) resend(client *http.Client) {
	k.t.Helper()
	for _, log := range []map[string]*sent{k.findings, k.customers} {
		for key, one := range log {
			was := one.acknowledged
			if was && rand.IntN(4) > 0 {
				continue
			}
			status, body, err := k.exchange(k.t.Context(), client, one, key)
			k.must(err)
			if status != http.StatusCreated && status != http.StatusOK || was && one.path != "/v1/customers" && status != http.StatusOK {
				k.t.Errorf("%s sent again (acknowledged: %v): %d %s", one.path, was, status, body)
				continue
			}
			k.acknowledge(one, body)
		}
	}
}

// checkFindings reads all findings and the journal: each that was sent is
// there, with one entry of the journal, and nothing else is.
func (k *killing) checkFindings() {
	k.t.Helper()
	there := map[string]int{}
	for _, job := range k.jobs {
		for _, one := range k.all("/v1/jobs/" + job + "/findings") {
			there[one.ID]++
		}
	}
	entries := map[string]int{}
	for i, e := range k.all("/v1/work-orders/" + k.vars["ORDER"] + "/journal") {
		if e.Sequence != int64(i)+1 {
			k.t.Fatalf("entry %d of the journal has the number %d", i+1, e.Sequence)
		}
		if e.Kind == "finding.recorded" {
			entries[e.SubjectID]++
		}
	}
	for id := range k.findings {
		if there[id] != 1 || entries[id] != 1 {
			k.t.Errorf("finding %s: there %d times, in the journal %d times", id, there[id], entries[id])
		}
	}
	if len(there) != len(k.findings) || len(entries) != len(k.findings) {
		k.t.Errorf("%d findings and %d entries, %d were sent", len(there), len(entries), len(k.findings))
	}
}

// checkCustomers holds every effect to having happened once.
func (k *killing) checkCustomers() {
	k.t.Helper()
	there := map[string][]string{}
	for _, c := range k.all("/v1/customers") {
		there[c.Name] = append(there[c.Name], c.ID)
	}
	for key, one := range k.customers {
		ids := there["Invented "+key]
		if len(ids) != 1 || ids[0] != one.id {
			k.t.Errorf("customer of the key %s: %v, acknowledged as %s", key, ids, one.id)
		}
	}
}

// listed is what the checks want to know of any item of a list.
type listed struct {
	ID, Name, Kind string
	SubjectID      string `json:"subject_id"`
	Sequence       int64
}

// all reads every page of a list.
func (k *killing) all(path string) []listed {
	k.t.Helper()
	var out []listed
	for cursor := ""; ; {
		k.must(k.get([]string{path + "?limit=100" + cursor}))
		k.must(k.wantStatus([]string{"200"}))
		var page struct {
			Items      []listed
			NextCursor *string `json:"next_cursor"`
		}
		k.must(json.Unmarshal(k.body, &page))
		out = append(out, page.Items...)
		if page.NextCursor == nil {
			return out
		}
		cursor = "&cursor=" + url.QueryEscape(*page.NextCursor)
	}
}

// verify recomputes the hash chain of both streams over the store itself.
func (k *killing) verify() {
	k.t.Helper()
	s, err := store.Open(store.Options{Folder: filepath.Join(k.folder, "data"), PostgresURL: k.postgres})
	k.must(err)
	defer func() { _ = s.Close() }()
	id, err := s.ShopBySlug(k.t.Context(), "lane")
	k.must(err)
	for _, stream := range []journal.Stream{
		{Kind: journal.WorkOrder, ShopID: string(id), ID: k.vars["ORDER"]},
		{Kind: journal.Shop, ShopID: string(id), ID: string(id)},
	} {
		if checked := k.verifyStream(s, id, stream); checked < 5 {
			k.t.Errorf("%s %s: only %d entries: this tests nothing", stream.Kind, stream.ID, checked)
		}
	}
}

func (k *killing) verifyStream(s *store.Store, id shop.ShopID, stream journal.Stream) int {
	k.t.Helper()
	var stored []journal.Stored
	var head journal.Head
	k.must(s.Write(k.t.Context(), id, func(_ context.Context, tx app.Tx) (err error) {
		if head, err = tx.Lock(stream); err != nil {
			return err
		}
		list, err := tx.Entries(stream.ID, 0, 1_000_000)
		for _, e := range list {
			one := journal.Stored{Bytes: e.Header, Hash: journal.Hash(e.Hash)}
			if e.HasBody {
				one.Body = &journal.Body{Salt: journal.Salt(e.Salt), Bytes: e.Body}
			}
			stored = append(stored, one)
		}
		return err
	}))
	report := journal.Verify(journal.Start(stream), stored, head)
	if !report.OK() {
		k.t.Errorf("the journal of %s %s is broken at %d: %s", stream.Kind, stream.ID, report.BadIndex, report.Reason)
	}
	return report.Checked
}
