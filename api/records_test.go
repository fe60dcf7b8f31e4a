package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/openapi"
)

// recordSource counts up in the form of UUIDv7.
type recordSource struct{ n atomic.Int64 }

func (s *recordSource) ID() string { return fmt.Sprintf("01997000-0000-7000-8000-%012x", s.n.Add(1)) }

func (s *recordSource) Bytes(b []byte) {
	for i := range b {
		b[i] = byte(s.n.Add(1))
	}
}

// recordAccess takes the id of a person for a token, and for a session.
type recordAccess struct{}

func (recordAccess) ReadAccess(token string) (app.AccessClaims, error) {
	return app.AccessClaims{ShopID: recordShopID, StaffID: shop.StaffID(token), SessionID: shop.SessionID(token), AuthTime: time.Now()}, nil
}

const (
	recordShopID  = shop.ShopID("01996000-0000-7000-8000-000000000001")
	recordAdvisor = "01996000-0000-7000-8000-000000000002"
	recordTech    = "01996000-0000-7000-8000-000000000003"
	recordSecond  = "01996000-0000-7000-8000-000000000004"
	recordJob     = "01996000-0000-7000-8000-000000000005"
	recordOther   = "01996000-0000-7000-8000-000000000006"
	recordOrder   = "01996000-0000-7000-8000-000000000007"
	recordPerson  = "01996000-0000-7000-8000-000000000008"
	recordMachine = "01996000-0000-7000-8000-000000000009"
	recordGauge   = "01996000-0000-7000-8000-00000000000a"
	recordYes     = "01996000-0000-7000-8000-00000000000b"
	// recordOdd is a job whose id, made by no client, is no UUIDv7.
	recordOdd = "01996000-0000-4000-8000-00000000000c"
)

// recordDesk is the API over a real database, with what a job needs.
type recordDesk struct {
	t      *testing.T
	server *api.Server
	doc    *openapi3.T
	src    *recordSource
	store  *store.Store
}

func openRecordDesk(t *testing.T) *recordDesk {
	t.Helper()
	s, err := store.Open(store.Options{Folder: storetest.Folder(t)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	d := &recordDesk{t: t, src: &recordSource{}, store: s}
	d.fill()
	d.server, err = api.New(api.Options{App: app.New(app.Options{Store: s, Source: d.src}), Access: recordAccess{}, Contract: openapi.Document()})
	if err != nil {
		t.Fatal(err)
	}
	d.doc = document(t)
	return d
}

func (d *recordDesk) fill() {
	d.t.Helper()
	err := d.store.Write(d.t.Context(), recordShopID, func(_ context.Context, tx app.Tx) error {
		if err := tx.ClaimSlug("mill-row"); err != nil {
			return err
		}
		for _, row := range recordRows(tx.Now()) {
			if err := tx.Insert(row); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		d.t.Fatal(err)
	}
}

func recordRows(now time.Time) []app.Noun {
	later := now.Add(time.Hour)
	limit := money.Amount(50_000)
	rows := []app.Noun{&shop.Shop{ID: recordShopID, Name: "Mill Row", Slug: "mill-row", Currency: "USD", TaxMode: shop.TaxModeExclusive, Rounding: "half_up", TimeZone: "UTC"}}
	for id, role := range map[string]shop.Role{recordAdvisor: shop.RoleAdvisor, recordTech: shop.RoleTechnician, recordSecond: shop.RoleTechnician} {
		rows = append(rows,
			&shop.Staff{ID: shop.StaffID(id), Login: "p" + id[30:], Name: "P", Roles: []shop.Role{role}, Rides: true},
			&shop.Session{ID: shop.SessionID(id), StaffID: shop.StaffID(id), Kind: shop.SessionKindApi, StartedAt: now, LastUsedAt: now, IdleUntil: later, ExpiresAt: later})
	}
	rows = append(rows,
		&shop.TaxCategory{ID: "01996000-0000-7000-8000-00000000000d", Code: "full", Label: "Tax", RatePPM: 100_000},
		&shop.Gauge{ID: recordGauge, Name: "click wrench", Kind: "torque wrench", CalibrationDueOn: "2199-01-01"},
		&shop.Customer{ID: recordPerson, Name: "Invented Person", Kind: shop.CustomerKindPerson, ContactBy: shop.ContactByPhone},
		&shop.Machine{ID: recordMachine, CustomerID: recordPerson, VINVerdict: shop.VINVerdictUnknown, Make: "Example", Model: "One"},
		&shop.WorkOrder{ID: recordOrder, Number: 1, MachineID: recordMachine, CustomerID: recordPerson, Channel: shop.ChannelWalkIn, OpenedBy: recordAdvisor, OpenedAt: now})
	for _, id := range []shop.JobID{recordJob, recordOther, recordOdd} {
		rows = append(rows, &shop.Job{ID: id, WorkOrderID: recordOrder, Title: "Knock", Kind: shop.JobKindComplaint, Stage: shop.StageRepair, StageSince: now})
	}
	return append(rows, &shop.Consent{ID: recordYes, OfJob: shop.OfJob{WorkOrderID: recordOrder, JobID: recordJob}, Kind: shop.ConsentKindDropOff,
		Decision: shop.DecisionAgreed, Method: shop.ConsentMethodInPerson, TypedName: "Invented Person", Relation: "owner", Note: "cure the knock",
		TakenBy: recordAdvisor, SaidAt: now, LimitAmount: &limit})
}

// recordReply is an answer of the API.
type recordReply struct {
	status int
	etag   string
	body   map[string]any
}

// ask sends one request and holds its answer against the contract. path is
// as in the contract, with its ids after it in order.
func (d *recordDesk) ask(who, method, path string, body any, headers map[string]string, ids ...string) recordReply {
	d.t.Helper()
	url := path
	for _, id := range ids {
		from, to := strings.Index(url, "{"), strings.Index(url, "}")
		url = url[:from] + id + url[to+1:]
	}
	var sent bytes.Buffer
	if body != nil {
		if err := json.NewEncoder(&sent).Encode(body); err != nil {
			d.t.Fatal(err)
		}
	}
	r := httptest.NewRequestWithContext(d.t.Context(), method, url, &sent)
	r.Header.Set("Authorization", "Bearer "+who)
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if method == http.MethodPost {
		r.Header.Set("Idempotency-Key", d.src.ID())
	}
	for name, value := range headers {
		r.Header.Set(name, value)
		if value == "" {
			r.Header.Del(name)
		}
	}
	w := httptest.NewRecorder()
	d.server.ServeHTTP(w, r)
	got := recordReply{status: w.Code, etag: w.Header().Get("ETag")}
	if err := json.Unmarshal(w.Body.Bytes(), &got.body); err != nil {
		d.t.Fatalf("%s %s: %d %q: %v", method, url, w.Code, w.Body, err)
	}
	d.fits(method, path, got)
	return got
}

// fits holds an answer against the contract.
func (d *recordDesk) fits(method, path string, got recordReply) {
	d.t.Helper()
	op := d.doc.Paths.Value(path).GetOperation(method)
	answer := op.Responses.Status(got.status)
	if got.status >= 400 {
		answer = op.Responses.Value("4XX")
	}
	if answer == nil {
		d.t.Fatalf("%s answers %d, which the contract does not know: %v", op.OperationID, got.status, got.body)
	}
	for _, media := range answer.Value.Content {
		if err := media.Schema.Value.VisitJSON(map[string]any(got.body), openapi3.MultiErrors()); err != nil {
			d.t.Errorf("%s, %d: %v", op.OperationID, got.status, err)
		}
	}
}

func (d *recordDesk) want(got recordReply, status int, code string) {
	d.t.Helper()
	if got.status != status || (code != "" && got.body["code"] != code) {
		d.t.Errorf("got %d %v, want %d %s", got.status, got.body, status, code)
	}
}

type recordObject = map[string]any

var (
	recordCreate = map[string]string{"If-None-Match": "*"}
	recordTorque = recordObject{"value": "100", "unit": "N.m"}
)

func recordCritical() recordObject {
	return recordObject{"component": "rear axle", "joint": "nut", "safety_class": "critical", "target": recordTorque, "joint_condition": "dry",
		"new_fastener": "yes", "source": "Example manual, 2nd edition, page 7"}
}

func recordLine() recordObject {
	return recordObject{"kind": "labour", "description": "fit a tensioner", "minutes": 60, "unit_price": recordObject{"amount": "100.00", "currency": "USD"}, "tax_category": "full"}
}

// Every kind of record is made, read, listed, changed and struck, and every
// answer fits the contract.
func TestEveryKindOfRecord(t *testing.T) {
	t.Parallel()
	d := openRecordDesk(t)
	for path, body := range map[string]recordObject{
		"complaints":      {"kind": "complaint", "words": "it knocks"},
		"checks":          {"what": "chain slack", "outcome": "ok"},
		"as-found":        {"what": "hot oil pressure", "reading": recordObject{"entered": "3,2 bar"}},
		"findings":        {"component": "cam chain", "safe_to_ride": "no"},
		"tags":            {"kind": "parts", "holds": "cover"},
		"lines":           recordLine(),
		"part-orders":     {"description": "tensioner", "quantity_milli": 1000},
		"bench-times":     {"started_at": "2026-03-01T09:00:00Z"},
		"promises":        {"what": "a call", "promised_on": "2026-03-03"},
		"scopes":          {"title": "All of it", "kind": "repair", "line_ids": []string{}, "what_we_do": "fit it"},
		"fastenings":      recordCritical(),
		"hold-points":     {"before": "the cover goes on"},
		"road-tests":      {"kind": "ride", "brakes": "ok"},
		"debris-checks":   {"moment": "ride", "sampled": "plug", "amount": "fuzz"},
		"advice":          {"kind": "advice", "words": "ride gently"},
		"hand-over-notes": {"machine_state": "no oil"},
	} {
		all, one := "/v1/jobs/{job_id}/"+path, "/v1/jobs/{job_id}/"+path+"/{id}"
		id := d.src.ID()
		made := d.ask(recordTech, "PUT", one, body, recordCreate, recordJob, id)
		d.want(made, 201, "")
		if made.etag != `"1"` || made.body["id"] != id || made.body["recorded_by"] != recordTech {
			t.Errorf("%s: made %v with ETag %s", path, made.body, made.etag)
		}
		d.want(d.ask(recordTech, "PUT", one, body, recordCreate, recordJob, id), 200, "")
		read := d.ask(recordSecond, "GET", one, nil, nil, recordJob, id)
		d.want(read, 200, "")
		listed := d.ask(recordSecond, "GET", all, nil, nil, recordJob)
		items, _ := listed.body["items"].([]any)
		if listed.status != 200 || len(items) != 1 || items[0].(recordObject)["id"] != id {
			t.Errorf("%s: list %d %v", path, listed.status, listed.body)
		}
		body["captured_at"] = "2026-03-01T09:00:00Z"
		d.want(d.ask(recordTech, "PUT", one, body, map[string]string{"If-Match": read.etag}, recordJob, id), 200, "")
		d.want(d.ask(recordTech, "GET", one, nil, nil, recordOther, id), 404, "shop.not_found")
		struck := d.ask(recordTech, "POST", one+"/strike", recordObject{"reason": "typed twice"}, nil, recordJob, id)
		d.want(struck, 200, "")
		if struck.body["struck_reason"] != "typed twice" || struck.etag != `"3"` {
			t.Errorf("%s: struck %v with ETag %s", path, struck.body, struck.etag)
		}
	}
}

func TestPutOverHTTP(t *testing.T) {
	t.Parallel()
	d := openRecordDesk(t)
	const one = "/v1/jobs/{job_id}/checks/{id}"
	id, body, other := d.src.ID(), recordObject{"what": "chain slack", "outcome": "ok"}, recordObject{"what": "chain slack", "outcome": "not_ok"}
	put := func(body recordObject, headers map[string]string, ids ...string) recordReply {
		return d.ask(recordTech, "PUT", one, body, headers, ids...)
	}
	d.want(put(body, recordCreate, recordJob, id), 201, "")
	d.want(put(other, recordCreate, recordJob, id), 412, "app.already_there")
	d.want(put(other, nil, recordJob, id), 428, "api.precondition_missing")
	d.want(put(other, map[string]string{"If-Match": `"1"`, "If-None-Match": "*"}, recordJob, id), 428, "api.precondition_missing")
	d.want(put(other, map[string]string{"If-Match": `"9"`}, recordJob, id), 412, "store.version_stale")
	d.want(put(other, map[string]string{"If-Match": `W/"1"`}, recordJob, id), 412, "api.if_match_unknown")
	d.want(put(other, map[string]string{"If-None-Match": `"1"`}, recordJob, d.src.ID()), 412, "api.if_none_match_unknown")
	d.want(put(body, recordCreate, recordJob, "01997000-0000-4000-8000-0000000000ff"), 400, "api.id_not_v7")
	d.want(put(body, recordCreate, recordJob, "no-uuid"), 400, "api.id_unreadable")
	d.want(put(body, recordCreate, recordOther, id), 404, "shop.not_found")
	d.want(put(recordObject{"what": "chain slack", "outcome": "perhaps"}, recordCreate, recordJob, d.src.ID()), 400, "api.body_invalid")
	d.want(put(other, map[string]string{"If-Match": `"1"`}, recordJob, id), 200, "")

	read := d.ask(recordTech, "GET", one, nil, nil, recordJob, id)
	if read.etag != `"2"` || read.body["outcome"] != "not_ok" {
		t.Errorf("%v with ETag %s", read.body, read.etag)
	}
}

func TestRecordsOfWhichAJobHasOneOverHTTP(t *testing.T) {
	t.Parallel()
	d := openRecordDesk(t)
	for path, body := range map[string]recordObject{
		"first-start": {"turned_by_hand": true},
		"hand-over":   {"handed_to": "Invented Person", "transport": "trailer", "old_parts": "none_replaced"},
		"withdrawal":  {"reason": "sold", "machine_state": "in_boxes"},
	} {
		one := "/v1/jobs/{id}/" + path
		d.want(d.ask(recordAdvisor, "GET", one, nil, nil, recordOdd), 404, "shop.not_found")
		made := d.ask(recordAdvisor, "PUT", one, body, recordCreate, recordOdd)
		d.want(made, 201, "")
		if made.body["id"] != recordOdd {
			t.Errorf("%s: %v", path, made.body)
		}
		d.want(d.ask(recordAdvisor, "GET", one, nil, nil, recordOdd), 200, "")
	}
	got := d.ask(recordTech, "PUT", "/v1/jobs/{id}/withdrawal", recordObject{"reason": "sold", "machine_state": "complete"}, recordCreate, recordJob)
	d.want(got, 403, "app.not_allowed")
}

func TestRepairOverHTTP(t *testing.T) {
	t.Parallel()
	d := openRecordDesk(t)
	const jobs = "/v1/jobs/{job_id}/"
	point, joint, line, note := d.src.ID(), d.src.ID(), d.src.ID(), d.src.ID()
	create := func(path string, body recordObject, id string) {
		t.Helper()
		d.want(d.ask(recordTech, "PUT", jobs+path+"/{id}", body, recordCreate, recordJob, id), 201, "")
	}
	act := func(who, path string, body any, id string) recordReply {
		t.Helper()
		return d.ask(who, "POST", jobs+path, body, nil, recordJob, id)
	}
	create("hold-points", recordObject{"before": "the wheel turns"}, point)
	critical := recordCritical()
	critical["hold_point_id"] = point
	create("fastenings", critical, joint)
	create("lines", recordLine(), line)
	create("hand-over-notes", recordObject{"machine_state": "axle loose"}, note)

	refused := act(recordTech, "hold-points/{id}/pass", nil, point)
	d.want(refused, 409, "app.hold_point_refused")
	if gates, _ := refused.body["gates"].([]any); len(gates) != 1 {
		t.Errorf("gates: %v", refused.body)
	}
	pull := recordObject{"applied": recordObject{"entered": "100 Nm"}, "wrench_id": recordGauge}
	seen := recordObject{"check_target": recordTorque, "check_setting": recordTorque, "watched": true, "marked": true}
	d.want(act(recordTech, "fastenings/{id}/done", pull, joint), 200, "")
	d.want(act(recordTech, "fastenings/{id}/check", seen, joint), 409, "app.fastening_check_refused")
	d.want(act(recordSecond, "fastenings/{id}/check", seen, joint), 200, "")
	d.want(act(recordTech, "hold-points/{id}/pass", nil, point), 200, "")
	d.want(act(recordTech, "fastenings/{id}/redo", recordObject{"reason": "bolt stretched"}, joint), 200, "")
	open := d.ask(recordTech, "GET", jobs+"hold-points/{id}", nil, nil, recordJob, point)
	if open.body["passed_at"] != nil {
		t.Errorf("passed with a joint undone: %v", open.body)
	}

	yes := recordObject{"consent_id": recordYes}
	d.want(act(recordTech, "lines/{id}/agree", yes, line), 403, "app.not_allowed")
	d.want(act(recordAdvisor, "lines/{id}/agree", yes, line), 200, "")
	done := act(recordTech, "lines/{id}/done", nil, line)
	d.want(done, 200, "")
	if done.body["state"] != "done" || done.body["consent_id"] != recordYes {
		t.Errorf("%v", done.body)
	}
	d.want(act(recordSecond, "hand-over-notes/{id}/read", nil, note), 200, "")

	noKey := d.ask(recordTech, "POST", jobs+"fastenings/{id}/redo", recordObject{"reason": "again"}, map[string]string{"Idempotency-Key": ""}, recordJob, joint)
	d.want(noKey, 400, "api.idempotency_key_missing")
}

// An effect sent twice under one key happens once.
func TestEffectsHappenOnce(t *testing.T) {
	t.Parallel()
	d := openRecordDesk(t)
	joint, key := d.src.ID(), map[string]string{"Idempotency-Key": "the pull"}
	d.want(d.ask(recordTech, "PUT", "/v1/jobs/{job_id}/fastenings/{id}", recordCritical(), recordCreate, recordJob, joint), 201, "")
	pull := recordObject{"applied": recordTorque, "wrench_id": recordGauge}
	const done = "/v1/jobs/{job_id}/fastenings/{id}/done"
	first := d.ask(recordTech, "POST", done, pull, key, recordJob, joint)
	again := d.ask(recordTech, "POST", done, pull, key, recordJob, joint)
	d.want(first, 200, "")
	d.want(again, 200, "")
	if first.etag != `"2"` || again.etag != first.etag {
		t.Errorf("ETags %s and %s", first.etag, again.etag)
	}
}
