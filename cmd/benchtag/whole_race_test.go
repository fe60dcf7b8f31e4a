package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"benchtag/internal/shop"
)

// TestAHundredEqualKeys sends one effect a hundred times at once under one
// key: it happens once, and everybody gets the same answer.
func TestAHundredEqualKeys(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		h := openHouse(t, dsn)
		before := len(h.dump()["customers"])
		header := h.json("bruno", "Idempotency-Key", "the same")
		answers := map[string]int{}
		for _, a := range atOnce(100, func(i int) houseReply {
			return h.request(i, http.MethodPost, "/v1/customers", `{"name":"Ines Calloway"}`, header)
		}) {
			answers[fmt.Sprint(a.status, a.header.Get("ETag"), a.body)]++
		}
		if len(answers) != 1 {
			t.Errorf("there are %d different answers: %v", len(answers), answers)
		}
		for a := range answers {
			if !strings.HasPrefix(a, "201") {
				t.Error(a)
			}
		}
		if n := len(h.dump()["customers"]) - before; n != 1 {
			t.Errorf("it happened %d times", n)
		}
		other := h.request(0, http.MethodPost, "/v1/customers", `{"name":"Somebody Else"}`, header)
		if other.status != http.StatusUnprocessableEntity || codeIn(other.body) != "app.idempotency_key_reused" {
			t.Errorf("another body under the key: %d %s", other.status, other.body)
		}
	})
}

// TestNoEditIsLost lets ten people each add ten marks to one note, reading it
// again whenever somebody was faster.
func TestNoEditIsLost(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		h := openHouse(t, dsn)
		path := "/v1/customers/" + h.vars["CUSTOMER"]
		for _, err := range atOnce(10, func(who int) error {
			for n := range 10 {
				if err := h.addMark(path, fmt.Sprintf("[%d.%d]", who, n)); err != nil {
					return err
				}
			}
			return nil
		}) {
			if err != nil {
				t.Fatal(err)
			}
		}
		note := h.noteAt(path).Note
		for who := range 10 {
			for n := range 10 {
				if mark := fmt.Sprintf("[%d.%d]", who, n); strings.Count(note, mark) != 1 {
					t.Errorf("mark %s is there %d times", mark, strings.Count(note, mark))
				}
			}
		}
		if a := h.request(0, http.MethodPut, path, `{"name":"X"}`, h.json("bruno")); a.status != http.StatusPreconditionRequired {
			t.Errorf("without a version: %d", a.status)
		}
	})
}

type notedCustomer struct {
	Name    string `json:"name"`
	Note    string `json:"note"`
	Version int64  `json:"-"`
	etag    string
}

func (h *house) noteAt(path string) (c notedCustomer) {
	a := h.request(0, http.MethodGet, path, "", h.json("bruno"))
	if err := json.Unmarshal([]byte(a.body), &c); err != nil {
		h.t.Errorf("%v: %s", err, a.body)
	}
	c.etag = a.header.Get("ETag")
	return c
}

// addMark reads, adds and writes until nobody came between.
func (h *house) addMark(path, mark string) error {
	for range 1000 {
		c := h.noteAt(path)
		c.Note += mark
		body, err := json.Marshal(c)
		if err != nil {
			return err
		}
		switch a := h.request(0, http.MethodPut, path, string(body), h.json("bruno", "If-Match", c.etag)); a.status {
		case http.StatusOK:
			return nil
		case http.StatusPreconditionFailed:
		default:
			return fmt.Errorf("adding %s: %d %s", mark, a.status, a.body)
		}
	}
	return fmt.Errorf("%s never got through", mark)
}

// TestNobodyChecksTheirOwnJoint tries every way for the one who tightened a
// critical joint to count as the second person.
func TestNobodyChecksTheirOwnJoint(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, dsn string) {
		h := openHouse(t, dsn)
		h.offerMade()
		h.play(`
as owner
post /v1/staff '{"login":"cleo2","name":"Cleo","roles":["technician"],"password":"seven geese over the lake"}'
status 201
let CLEO2 id
change /v1/staff/${CLEO2} '{"login":"cleo2","name":"Cleo","roles":["technician"],"same_person_as_id":"${CLEO}"}'
status 200
signin cleo2 lane cleo2 'seven geese over the lake'
signin cleo lane cleo 'nine swans cross the canal'
uuid AXLE
put /v1/jobs/${JOB}/fastenings/${AXLE} '{"component":"rear axle","joint":"axle nut","safety_class":"critical","target":{"entered":"90 Nm"},"joint_condition":"dry","new_fastener":"no","source":"example figure, not for service"}'
status 201
post /v1/jobs/${JOB}/fastenings/${AXLE}/done '{"applied":{"entered":"90 Nm"},"wrench_id":"${WRENCH}"}'
status 200
`)
		path := "/v1/jobs/" + h.vars["JOB"] + "/fastenings/" + h.vars["AXLE"] + "/check"
		check := func(n int, who string) houseReply {
			const seen = `{"check_target":{"entered":"90 Nm"},"check_setting":{"entered":"90 Nm"},"watched":true,"marked":true}`
			return h.request(n, http.MethodPost, path, seen, h.json(who, "Idempotency-Key", fmt.Sprint(who, n)))
		}
		own := []string{"cleo", "cleo2"}
		for _, a := range atOnce(20, func(i int) houseReply { return check(i, own[i%2]) }) {
			if a.status != http.StatusConflict {
				t.Errorf("her own joint: %d %s", a.status, a.body)
			}
		}
		h.clock.Advance(2*time.Minute + time.Second) // everybody signed on longer ago than that
		if a := check(50, "dario"); a.status != http.StatusConflict {
			t.Errorf("with a sign-on that is not fresh: %d %s", a.status, a.body)
		}
		if f := rowsOf[shop.Fastening](h)[0]; f.CheckedBy != "" || f.CheckedAt != nil {
			t.Fatalf("the joint counts as checked: %+v", f)
		}
		h.play("signin dario lane dario 'tin roof and heavy rain'\nsignin cleo2 lane cleo2 'seven geese over the lake'\nsignin cleo lane cleo 'nine swans cross the canal'")
		crowd := []string{"cleo", "cleo2", "dario", "dario"}
		for i, a := range atOnce(20, func(i int) houseReply { return check(100+i, crowd[i%4]) }) {
			if passed := a.status == http.StatusOK; passed && crowd[i%4] != "dario" {
				t.Errorf("%s passed in the crowd: %s", crowd[i%4], a.body)
			}
		}
		if f := rowsOf[shop.Fastening](h)[0]; string(f.CheckedBy) != h.vars["DARIO"] || string(f.DoneBy) != h.vars["CLEO"] {
			t.Errorf("the joint in the end: %+v", f)
		}
	})
}
