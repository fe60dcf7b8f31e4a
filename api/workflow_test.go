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

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/openapi"
)

const (
	workflowShop  = shop.ShopID("01980000-0000-7000-8000-000000000001")
	workflowOwner = shop.StaffID("01980000-0000-7000-8000-000000000002")
	workflowBench = shop.StaffID("01980000-0000-7000-8000-000000000003")
	workflowMach  = "01980000-0000-7000-8000-000000000005"
	workflowCust  = "01980000-0000-7000-8000-000000000004"
)

type workflowSource struct{ n atomic.Int64 }

func (s *workflowSource) ID() string {
	return fmt.Sprintf("01990000-0000-7000-8000-%012x", s.n.Add(1))
}

func (s *workflowSource) Bytes(b []byte) {
	for i := range b {
		b[i] = byte(s.n.Add(1))
	}
}

// workflowAccess takes a staff id for a token and a session id.
type workflowAccess struct{}

func (workflowAccess) ReadAccess(token string) (app.AccessClaims, error) {
	return app.AccessClaims{ShopID: workflowShop, StaffID: shop.StaffID(token), SessionID: shop.SessionID(token)}, nil
}

type workflow struct {
	t      *testing.T
	server *api.Server
	keys   atomic.Int64
	staff  shop.StaffID
}

func newWorkflow(t *testing.T) *workflow {
	t.Helper()
	ctx := context.Background()
	s, err := store.Open(store.Options{Folder: storetest.Folder(t)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	if err := s.Migrate(ctx); err != nil {
		t.Fatal(err)
	}
	err = s.Write(ctx, workflowShop, func(_ context.Context, tx app.Tx) error {
		if err := tx.ClaimSlug("hillside"); err != nil {
			return err
		}
		end := tx.Now().Add(time.Hour)
		for _, row := range []app.Noun{
			&shop.Shop{ID: workflowShop, Name: "Hillside", Slug: "hillside", Currency: "USD", TaxMode: shop.TaxModeExclusive, Rounding: "half_up", TimeZone: "UTC"},
			&shop.Staff{ID: workflowOwner, Login: "ann", Name: "Ann", Roles: shop.RoleValues(), Rides: true},
			&shop.Staff{ID: workflowBench, Login: "bo", Name: "Bo", Roles: []shop.Role{shop.RoleTechnician}},
			&shop.Session{ID: shop.SessionID(workflowOwner), StaffID: workflowOwner, Kind: shop.SessionKindApi, StartedAt: tx.Now(), LastUsedAt: tx.Now(), IdleUntil: end, ExpiresAt: end},
			&shop.Session{ID: shop.SessionID(workflowBench), StaffID: workflowBench, Kind: shop.SessionKindApi, StartedAt: tx.Now(), LastUsedAt: tx.Now(), IdleUntil: end, ExpiresAt: end},
			&shop.Customer{ID: workflowCust, Name: "Invented Person", Kind: shop.CustomerKindPerson, ContactBy: shop.ContactByPhone},
			&shop.Machine{ID: workflowMach, CustomerID: workflowCust, VINVerdict: shop.VINVerdictUnknown, Make: "Example", Model: "One"},
		} {
			if err := tx.Insert(row); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	server, err := api.New(api.Options{App: app.New(app.Options{Store: s, Source: &workflowSource{}}), Access: workflowAccess{}, Contract: openapi.Document()})
	if err != nil {
		t.Fatal(err)
	}
	return &workflow{t: t, server: server, staff: workflowOwner}
}

// call makes a request and reads the answer's JSON, which must have the status.
func (w *workflow) call(status int, method, path, body string, headers ...string) (map[string]any, http.Header) {
	w.t.Helper()
	r := httptest.NewRequest(method, path, bytes.NewBufferString(body))
	r.Header.Set("Authorization", "Bearer "+string(w.staff))
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	if method == http.MethodPost {
		r.Header.Set("Idempotency-Key", fmt.Sprint("key-", w.keys.Add(1)))
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	rec := httptest.NewRecorder()
	w.server.ServeHTTP(rec, r)
	if rec.Code != status {
		w.t.Fatalf("%s %s: %d, want %d: %s", method, path, rec.Code, status, rec.Body)
	}
	var out map[string]any
	if rec.Body.Len() > 0 {
		if err := json.Unmarshal(rec.Body.Bytes(), &out); err != nil {
			w.t.Fatalf("%s %s: %v", method, path, err)
		}
	}
	return out, rec.Header()
}

func TestWorkOrdersAndJobsOverHTTP(t *testing.T) {
	t.Parallel()
	w := newWorkflow(t)
	open := `{"machine_id":"` + workflowMach + `","customer_id":"` + workflowCust + `"}`
	w.staff = workflowBench
	w.call(http.StatusForbidden, "POST", "/v1/work-orders", open)
	w.staff = workflowOwner
	order, head := w.call(http.StatusCreated, "POST", "/v1/work-orders", open)
	if order["number"] != 1.0 || order["stage"] != "" || order["channel"] != "walk_in" || head.Get("ETag") != `"1"` {
		t.Fatalf("%v, %v", order, head)
	}
	at := "/v1/work-orders/" + order["id"].(string)
	in := `{"odometer":{"value":"","unit":"","entered":"12000 km"},"keys":1,"leave_to_ride":"yes"}`
	w.call(http.StatusPreconditionRequired, "PUT", at+"/intake-facts", in)
	w.call(http.StatusCreated, "PUT", at+"/intake-facts", in, "If-None-Match", "*")
	facts, head := w.call(http.StatusOK, "PUT", at+"/intake-facts", in, "If-None-Match", "*")
	if head.Get("ETag") != `"1"` || facts["keys"] != 1.0 {
		t.Errorf("sent again: %v, %v", facts, head)
	}
	w.staff = workflowBench
	job, _ := w.call(http.StatusCreated, "POST", at+"/jobs", `{"title":"Chain slack","kind":"request"}`)
	if job["stage"] != "intake" || job["not_run"] != false {
		t.Errorf("%v", job)
	}
	w.moves("/v1/jobs/" + job["id"].(string))
	visit, _ := w.call(http.StatusOK, "GET", at, "", "If-None-Match", `"1"`)
	if visit["stage"] != "diagnosis" {
		t.Errorf("the visit is at %v; its version did not change, its stage did", visit["stage"])
	}
	for _, path := range []string{"/v1/work-orders", at + "/jobs"} {
		list, _ := w.call(http.StatusOK, "GET", path+"?limit=1", "")
		if len(list["items"].([]any)) != 1 || list["next_cursor"] == nil {
			t.Errorf("%s: %v", path, list)
		}
	}
	w.call(http.StatusForbidden, "PUT", at, open, "If-Match", `"1"`)
	w.staff = workflowOwner
	w.call(http.StatusOK, "PUT", at, strings.TrimSuffix(open, "}")+`,"note":"red"}`, "If-Match", `"1"`)
	w.call(http.StatusPreconditionFailed, "PUT", at, open, "If-Match", `"1"`)
}

// moves puts a job through its views, a refusal, a hold and a move.
func (w *workflow) moves(at string) {
	w.t.Helper()
	moves, _ := w.call(http.StatusOK, "GET", at+"/moves", "")
	first := moves["items"].([]any)[0].(map[string]any)
	if moves["stage"] != "intake" || moves["waiting_on"] != "counter" || moves["next_thing"] == "" || first["move"] != "start_diagnosis" {
		w.t.Errorf("%v", moves)
	}
	refused, _ := w.call(http.StatusConflict, "POST", at+"/moves", `{"move":"start_diagnosis"}`)
	if got, want := len(refused["gates"].([]any)), len(first["unmet"].([]any)); got != want || got < 2 || refused["code"] != "app.gates_unmet" {
		w.t.Errorf("refused with %d gates, shown with %d: %v", got, want, refused)
	}
	w.call(http.StatusPreconditionRequired, "PUT", at, `{"title":"Rattle","kind":"complaint"}`)
	w.call(http.StatusOK, "PUT", at, `{"title":"Rattle","kind":"complaint","diagnosis_free":true}`, "If-Match", `"1"`)
	hold, _ := w.call(http.StatusCreated, "POST", at+"/holds", `{"reason":"customer"}`)
	w.call(http.StatusConflict, "POST", at+"/holds", `{"reason":"customer"}`)
	w.call(http.StatusOK, "POST", "/v1/holds/"+hold["id"].(string)+"/lift", "")
	holds, _ := w.call(http.StatusOK, "GET", at+"/holds", "")
	if len(holds["items"].([]any)) != 1 {
		w.t.Errorf("%v", holds)
	}
	w.call(http.StatusCreated, "PUT", at+"/complaints/01990000-0000-7000-8000-00000000c0c0", `{"kind":"complaint","words":"it rattles"}`, "If-None-Match", "*")
	key := []string{"Idempotency-Key", "the-move"}
	for range 2 {
		job, head := w.call(http.StatusOK, "POST", at+"/moves", `{"move":"start_diagnosis","note":"started by Bo"}`, key...)
		if job["stage"] != "diagnosis" || head.Get("ETag") != `"3"` {
			w.t.Errorf("%v, %v", job, head)
		}
	}
	w.call(http.StatusConflict, "POST", at+"/moves", `{"move":"start_diagnosis"}`)
	moves, _ = w.call(http.StatusOK, "GET", at+"/moves", "")
	for _, m := range moves["items"].([]any) {
		if m.(map[string]any)["unmet"] == nil {
			w.t.Errorf("a free move has no list of what is missing: %v", m)
		}
	}
}
