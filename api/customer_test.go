package api_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/openapi"
)

type made struct {
	ID      string
	Version int64
}

// add posts a body and gives what was made.
func (d *door) add(path string, body map[string]any) made {
	d.t.Helper()
	var m made
	d.ask("POST", path, body, as(d.owner), keyed(path+time.Now().String())).want(201).into(&m)
	return m
}

// hire makes a member of staff and signs them in.
func (d *door) hire(login string, roles ...string) string {
	d.t.Helper()
	d.add("/v1/staff", map[string]any{"login": login, "name": login, "roles": roles, "password": doorPassword})
	var in struct {
		AccessToken string `json:"access_token"`
	}
	d.ask("POST", "/v1/sign-in", map[string]any{"shop": "kettle-lane", "login": login, "password": doorPassword}).want(200).into(&in)
	return in.AccessToken
}

func TestCustomersOverHTTP(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	bench, desk := d.hire("tess", "technician"), d.hire("ada", "advisor")
	c := d.add("/v1/customers", map[string]any{"name": "Invented Person", "phone": "+44 20 7946 0018", "email": "canary@mail.example", "address": "canary", "note": "canary"})
	path := "/v1/customers/" + c.ID
	for _, address := range []string{path, "/v1/customers"} {
		if body := d.ask("GET", address, nil, as(bench)).want(200).Body.String(); strings.Contains(body, "canary") || strings.Contains(body, "7946") || !strings.Contains(body, "Invented Person") {
			t.Errorf("%s as the bench: %s", address, body)
		}
		if body := d.ask("GET", address, nil, as(desk)).want(200).Body.String(); !strings.Contains(body, "canary@mail.example") || !strings.Contains(body, "7946") {
			t.Errorf("%s as the counter: %s", address, body)
		}
	}
	d.ask("PUT", path, map[string]any{"name": "x"}, as(bench), match(`"1"`)).code(403, "app.not_allowed")
	d.ask("POST", "/v1/customers", map[string]any{"name": "x"}, as(bench), keyed("k")).code(403, "app.not_allowed")
	d.ask("PUT", path, map[string]any{"name": "Invented Other"}, as(desk), match(`"1"`)).want(200)
	d.ask("PUT", path, map[string]any{"name": "x"}, as(desk), match(`"1"`)).code(412, "store.version_stale")
	d.ask("PUT", path, map[string]any{"name": "x"}, as(desk)).want(428)
	d.ask("POST", "/v1/customers", map[string]any{"name": "a\nb"}, as(desk), keyed("l")).code(400, "app.line_broken")
	d.ask("GET", "/v1/customers/01990000-0000-7000-8000-000000000099", nil, as(desk)).code(404, "shop.not_found")

	d.ask("POST", "/v1/machines", map[string]any{"customer_id": c.ID, "make": "Example", "model": "One", "vin": "1M8GDM9A0KP042788", "market": "north_america"}, as(desk), keyed("m")).code(422, "app.vin_mismatch")
	m := d.add("/v1/machines", map[string]any{"customer_id": c.ID, "make": "Example", "model": "One", "vin": "1M8GDM9A0KP042788", "plate": "AB 1"})
	if body := d.ask("GET", "/v1/machines/"+m.ID, nil, as(bench)).want(200).Body.String(); !strings.Contains(body, `"vin_verdict":"mismatch"`) || !strings.Contains(body, `"plate":"AB 1"`) {
		t.Errorf("the machine: %s", body)
	}
	d.ask("PUT", "/v1/machines/"+m.ID, map[string]any{"customer_id": c.ID, "make": "Example", "model": "Two"}, as(desk), match(`"1"`)).want(200)
	if body := d.ask("GET", "/v1/machines", nil, as(bench)).want(200).Body.String(); !strings.Contains(body, `"model":"Two"`) {
		t.Errorf("the machines: %s", body)
	}
	w := d.add("/v1/work-orders", map[string]any{"machine_id": m.ID, "customer_id": c.ID})
	if body := d.ask("GET", "/v1/machines/"+m.ID+"/work-orders", nil, as(bench)).want(200).Body.String(); !strings.Contains(body, w.ID) {
		t.Errorf("the visits: %s", body)
	}
	d.ask("GET", "/v1/machines/01990000-0000-7000-8000-000000000099/work-orders", nil, as(bench)).code(404, "shop.not_found")
}

// visit makes a customer, a machine, a work order and jobs on it.
func (d *door) visit(jobs ...string) (machine, order made) {
	d.t.Helper()
	c := d.add("/v1/customers", map[string]any{"name": "Invented Person", "phone": "+44 20 7946 0018"})
	machine = d.add("/v1/machines", map[string]any{"customer_id": c.ID, "make": "Example", "model": "One", "plate": "AB 1"})
	order = d.add("/v1/work-orders", map[string]any{"machine_id": machine.ID, "customer_id": c.ID})
	for _, title := range jobs {
		d.add("/v1/work-orders/"+order.ID+"/jobs", map[string]any{"title": title, "kind": "request"})
	}
	return machine, order
}

func TestFloorSearchAndJournalOverHTTP(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	_, order := d.visit("first", "second", "third")
	bench := d.hire("tess", "technician")
	type page struct {
		Items []struct {
			JobID     string `json:"job_id"`
			Machine   string
			WaitingOn string `json:"waiting_on"`
		}
		NextCursor *string `json:"next_cursor"`
	}
	seen := map[string]bool{}
	for cursor, pages := "", 0; ; pages++ {
		var p page
		d.ask("GET", "/v1/floor?limit=2"+cursor, nil, as(bench)).want(200).into(&p)
		for _, item := range p.Items {
			seen[item.JobID] = true
			if item.Machine != "Example One AB 1" || item.WaitingOn == "" {
				t.Errorf("the row %+v", item)
			}
		}
		if p.NextCursor == nil || pages > 3 {
			break
		}
		cursor = "&cursor=" + *p.NextCursor
	}
	if len(seen) != 3 {
		t.Errorf("%d jobs on the floor, want 3", len(seen))
	}
	d.ask("GET", "/v1/floor?cursor=MS54", nil, as(bench)).code(400, "app.cursor_unknown")

	for query, found := range map[string]bool{"q=1": true, "q=ab1": true, "q=invented": true, "q=ab1&stage=intake": true, "q=ab1&stage=closed": false, "q=nobody": false, "q=7946": false} {
		if body := d.ask("GET", "/v1/search?"+query, nil, as(bench)).want(200).Body.String(); strings.Contains(body, order.ID) != found {
			t.Errorf("search %s: %s", query, body)
		}
	}
	if body := d.ask("GET", "/v1/search?q=7946", nil, as(d.owner)).want(200).Body.String(); !strings.Contains(body, order.ID) {
		t.Errorf("by phone number at the counter: %s", body)
	}
	d.ask("GET", "/v1/search?q=x&stage=limbo", nil, as(bench)).want(400)
	d.ask("GET", "/v1/search", nil, as(bench)).want(400)

	journal := "/v1/work-orders/" + order.ID + "/journal"
	var lines struct {
		Items []struct {
			Sequence     int64
			Kind         string
			Hash         string
			PreviousHash string `json:"previous_hash"`
		}
		NextCursor *string `json:"next_cursor"`
	}
	d.ask("GET", journal+"?limit=3", nil, as(bench)).want(200).into(&lines)
	if len(lines.Items) != 3 || lines.Items[0].Kind != "work_order.opened" || lines.Items[2].PreviousHash != lines.Items[1].Hash || lines.NextCursor == nil {
		t.Fatalf("the journal: %+v", lines)
	}
	last := *lines.NextCursor
	lines.NextCursor = nil
	d.ask("GET", journal+"?limit=3&cursor="+last, nil, as(bench)).want(200).into(&lines)
	if len(lines.Items) != 1 || lines.Items[0].Sequence != 4 || lines.NextCursor != nil {
		t.Errorf("its second page: %+v", lines)
	}
	d.ask("GET", "/v1/work-orders/01990000-0000-7000-8000-000000000099/journal", nil, as(bench)).code(404, "shop.not_found")
}

// fetch asks over a real connection, so that a stream is one.
func (d *door) fetch(base, path, token string) (*http.Response, string, error) {
	d.t.Helper()
	r, err := http.NewRequestWithContext(d.t.Context(), "GET", base+path, nil)
	if err != nil {
		d.t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+token)
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		d.t.Fatal(err)
	}
	defer func() { _ = res.Body.Close() }()
	body, err := io.ReadAll(res.Body)
	return res, string(body), err
}

func TestHistoryOverHTTP(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	machine, _ := d.visit("first", "second")
	desk, bench := d.hire("ada", "advisor"), d.hire("tess", "technician")
	server := httptest.NewServer(d.server)
	t.Cleanup(server.Close)
	one := "/v1/machines/" + machine.ID + "/history"
	for _, tt := range []struct {
		name, path, token, kind, file string
		lines                         int
	}{
		{"the shop", "/v1/history", d.owner, "text/csv; charset=utf-8; header=present", "repair-history-kettle-lane-2026-03-02.csv", 3},
		{"the shop as JSON Lines", "/v1/history?format=jsonl", d.owner, "application/x-ndjson", "repair-history-kettle-lane-2026-03-02.jsonl", 2},
		{"a machine", one + "?format=csv", desk, "text/csv; charset=utf-8; header=present", "machine-history-kettle-lane-2026-03-02.csv", 3},
		{"a machine as JSON Lines", one + "?format=jsonl", desk, "application/x-ndjson", "machine-history-kettle-lane-2026-03-02.jsonl", 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			res, body, err := d.fetch(server.URL, tt.path, tt.token)
			if err != nil || res.StatusCode != 200 || res.Header.Get("Content-Type") != tt.kind ||
				res.Header.Get("Content-Disposition") != `attachment; filename="`+tt.file+`"` || res.Header.Get("Cache-Control") != "no-store" {
				t.Fatalf("%v: %s %v", err, res.Status, res.Header)
			}
			if n := strings.Count(body, "\n"); n != tt.lines {
				t.Errorf("%d lines, want %d:\n%s", n, tt.lines, body)
			}
			if strings.HasPrefix(tt.kind, "text/csv") {
				if _, err := csv.NewReader(strings.NewReader(body)).ReadAll(); err != nil {
					t.Error(err)
				}
			}
		})
	}
	d.ask("GET", "/v1/history", nil, as(desk)).code(403, "app.not_allowed")
	d.ask("GET", one, nil, as(bench)).code(403, "app.not_allowed")
	d.ask("GET", "/v1/history?format=xlsx", nil, as(d.owner)).want(400)
	d.ask("GET", "/v1/machines/01990000-0000-7000-8000-000000000099/history", nil, as(desk)).code(404, "shop.not_found")
	d.clock.Advance(6 * time.Minute)
	d.ask("GET", "/v1/history", nil, as(d.owner)).code(401, "app.sign_in_afresh")
}

// brokenStore loses the history on the way.
type brokenStore struct{ app.Store }

type brokenTx struct{ app.Tx }

func (brokenTx) History(shop.MachineID, app.HistoryCursor, int) ([]app.HistoryRow, error) {
	return nil, errors.New("the disk is gone")
}

func (s brokenStore) Read(ctx context.Context, scope shop.ShopID, fn func(app.Tx) error) error {
	return s.Store.Read(ctx, scope, func(tx app.Tx) error { return fn(brokenTx{tx}) })
}

// TestHistoryIsCutOff proves that nobody can take a part of a history for the
// whole: before the first byte a failure is a problem, after it the
// connection breaks.
func TestHistoryIsCutOff(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	d.visit("first")
	d.app.Store = brokenStore{d.app.Store}
	server := httptest.NewUnstartedServer(d.server)
	server.Config.ErrorLog = log.New(io.Discard, "", 0)
	server.Start()
	t.Cleanup(server.Close)
	res, body, err := d.fetch(server.URL, "/v1/history", d.owner)
	if err == nil || res.StatusCode != 200 || !strings.HasPrefix(body, "record,") {
		t.Errorf("after the first byte: %s, %q, %v", res.Status, body, err)
	}
	res, body, err = d.fetch(server.URL, "/v1/history?format=jsonl", d.owner)
	if err != nil || res.StatusCode != 500 || res.Header.Get("Content-Type") != "application/problem+json" || res.Header.Get("Content-Disposition") != "" {
		t.Errorf("before the first byte: %s, %q, %v", res.Status, body, err)
	}
}

// TestContractNamesEveryColumn holds the contract's list of columns to the
// columns there are.
func TestContractNamesEveryColumn(t *testing.T) {
	t.Parallel()
	for _, c := range app.HistoryColumns() {
		if !bytes.Contains(openapi.Document(), []byte(c.Name+" (")) {
			t.Errorf("the contract does not tell of the column %s", c.Name)
		}
	}
}
