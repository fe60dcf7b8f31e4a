package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// house is the whole program in this process: the real wiring with tokens,
// pages and log, over a real database, under a clock that stands still.
type house struct {
	*story
	*built
	t      *testing.T
	store  *store.Store
	clock  *testkit.Clock
	folder string
	dsn    string // of PostgreSQL; "" for SQLite
	raw    *sql.DB
	log    *lockedBuffer
}

const houseURL = "https://shop.example"

// onBoth runs a test on each database.
func onBoth(t *testing.T, test func(t *testing.T, dsn string)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); test(t, "") })
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		test(t, storetest.Address(t))
	})
}

// openHouse starts the program and sets up a shop with a crew.
func openHouse(t *testing.T, dsn string) *house {
	t.Helper()
	h := &house{t: t, dsn: dsn, folder: storetest.Folder(t), log: &lockedBuffer{}, clock: testkit.NewClock(time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC))}
	var err error
	h.store, err = store.Open(store.Options{Folder: h.folder, PostgresURL: dsn, Now: h.clock.Now})
	h.must(err)
	t.Cleanup(func() { _ = h.store.Close() })
	h.must(h.store.Migrate(t.Context()))
	h.built, err = build(h.store, listening{Listen: "127.0.0.1:0", PublicURL: houseURL, LogFormat: "json"}, filepath.Join(h.folder, "keys"), h.clock.Now, h.log)
	h.must(err)
	h.app.Hasher = quickHasher{}
	h.raw = h.openRaw()
	_, _, err = h.app.CreateShop(t.Context(), app.NewShop{Name: "Lindqvist Two-Wheel Works", Slug: "lane", Currency: "EUR",
		TimeZone: "Europe/Vienna", OwnerName: "Owner", Login: "owner", Password: ownerPassword})
	h.must(err)
	h.story = newStory(houseURL, &http.Client{Transport: inProcess{h.server}}, h.clock.Now)
	h.vars["SLUG"] = "lane"
	h.must(h.signIn([]string{"owner", "lane", "owner", ownerPassword}))
	w := &world{story: h.story}
	h.must(w.crew(nil))
	h.must(w.visit(nil))
	return h
}

func (h *house) openRaw() *sql.DB {
	h.t.Helper()
	driver, source := "pgx", h.dsn
	if h.dsn == "" {
		file := url.URL{Scheme: "file", Path: filepath.Join(h.folder, store.FileName), RawQuery: "_pragma=busy_timeout(5000)"}
		driver, source = "sqlite", file.String()
	}
	raw, err := sql.Open(driver, source)
	h.must(err)
	h.t.Cleanup(func() { _ = raw.Close() })
	return raw
}

func (h *house) must(err error) {
	h.t.Helper()
	if err != nil {
		h.t.Fatal(err)
	}
}

// play tells steps that have to work.
func (h *house) play(script string) {
	h.t.Helper()
	h.must(h.tell(script, map[string]func([]string) error{"picture": h.picture}))
}

// offerMade takes a job to an offer of one way: JOB, LINE, WAY, OFFER, SHOWN.
func (h *house) offerMade() {
	h.t.Helper()
	h.play(`
as bruno
post /v1/work-orders/${ORDER}/jobs '{"title":"Chain worn","kind":"request"}'
status 201
let JOB id
uuid LINE WAY WISH
put /v1/jobs/${JOB}/complaints/${WISH} '{"kind":"request","words":"The chain slaps.","answer":"request"}'
status 201
put /v1/jobs/${JOB}/lines/${LINE} '{"kind":"labour","description":"Fit a chain","minutes":60,"unit_price":{"amount":"90.00","currency":"EUR"},"tax_category":"standard"}'
status 201
put /v1/jobs/${JOB}/scopes/${WAY} '{"title":"New chain","kind":"repair","line_ids":["${LINE}"],"what_we_do":"A new chain.","earliest_on":"${today+3}","may_ride":"yes"}'
status 201
post /v1/jobs/${JOB}/offers '{"scope_ids":["${WAY}"],"price_until":"${today+14}"}'
status 201
let OFFER id
let SHOWN sha256
`)
}

// link makes a link for the offer and gives the path of its page.
func (h *house) link() string {
	h.t.Helper()
	h.play(`
as bruno
post /v1/offers/${OFFER}/links '{"decide_hours":48}'
status 201
let LINK link.id
let URL url
`)
	path, ours := strings.CutPrefix(h.vars["URL"], houseURL)
	if !ours {
		h.t.Fatalf("the link is %s", h.vars["URL"])
	}
	return path
}

// houseReply is what one request was answered.
type houseReply struct {
	status int
	header http.Header
	body   string
}

// request sends one request, from an address of its own. It may be called by
// several at once.
func (h *house) request(n int, method, path, body string, header http.Header) houseReply {
	r := httptest.NewRequest(method, houseURL+path, strings.NewReader(body))
	for name, values := range header {
		r.Header[name] = values
	}
	r.RemoteAddr = fmt.Sprintf("192.0.%d.%d:1", 2+n/250, 1+n%250)
	if r.Header.Get("Host") != "" {
		r.Host = r.Header.Get("Host")
	}
	w := httptest.NewRecorder()
	h.server.ServeHTTP(w, r)
	out, err := io.ReadAll(w.Result().Body)
	if err != nil {
		h.t.Error(err)
	}
	return houseReply{w.Code, w.Header(), string(out)}
}

// json are the headers of a call of the API by somebody who has signed in.
func (h *house) json(name string, more ...string) http.Header {
	out := http.Header{"Authorization": {"Bearer " + h.people[name].token}, "Content-Type": {"application/json"}}
	for i := 0; i+1 < len(more); i += 2 {
		out.Set(more[i], more[i+1])
	}
	return out
}

var formType = http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}

// yes is the form of the page, filled in.
func (h *house) yes() string {
	return url.Values{"offer": {h.vars["SHOWN"]}, "choice": {h.vars["WAY"]}, "typed_name": {"Mara Ostrander"}, "agreed": {"yes"}, "electronic": {"yes"}}.Encode()
}

// dump gives every row there is, as text, by table. What a request may write
// in passing, without being an effect, is left out.
func (h *house) dump() map[string][]string {
	h.t.Helper()
	list := "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND sql NOT LIKE 'CREATE VIRTUAL%' ORDER BY name"
	if h.dsn != "" {
		list = "SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema() ORDER BY 1"
	}
	all := map[string][]string{}
	for _, table := range h.texts(list) {
		if table != "sessions" { // when it was last used
			all[table] = h.texts("SELECT * FROM " + table)
			slices.Sort(all[table])
		}
	}
	if len(all["customers"]) == 0 {
		h.t.Fatal("nothing is read")
	}
	return all
}

// texts gives the rows of a query, each as one text.
func (h *house) texts(query string) []string {
	h.t.Helper()
	rows, err := h.raw.QueryContext(h.t.Context(), query)
	h.must(err)
	defer func() { _ = rows.Close() }()
	names, err := rows.Columns()
	h.must(err)
	out := []string{}
	for rows.Next() {
		cells := make([]sql.NullString, len(names))
		into := make([]any, len(names))
		for i := range cells {
			into[i] = &cells[i]
		}
		h.must(rows.Scan(into...))
		var text []string
		for _, c := range cells {
			text = append(text, c.String)
		}
		out = append(out, strings.Join(text, "|"))
	}
	h.must(rows.Err())
	return out
}

// rowsOf reads the rows of a kind that belong to the job.
func rowsOf[T any](h *house) (rows []T) {
	h.t.Helper()
	shopID := shop.ShopID(h.texts("SELECT id FROM shops")[0])
	h.must(h.store.Read(h.t.Context(), shopID, func(tx app.Tx) error {
		return tx.List(&rows, app.By{"job_id": h.vars["JOB"]}, app.Page{})
	}))
	return rows
}

// atOnce does the same n times at once and gives what came of each.
func atOnce[T any](n int, do func(i int) T) []T {
	out := make([]T, n)
	ready := make(chan struct{})
	done := make(chan struct{}, n)
	for i := range n {
		go func() {
			<-ready
			out[i] = do(i)
			done <- struct{}{}
		}()
	}
	close(ready)
	for range n {
		<-done
	}
	return out
}

func codeIn(body string) string {
	var p struct{ Code string }
	_ = json.Unmarshal([]byte(body), &p)
	return p.Code
}

// quickHasher spares these tests, which sign in over and over, the slowness
// that hashing is meant to have.
type quickHasher struct{}

func (quickHasher) Hash(_ context.Context, pw string) (string, error) { return app.HashText(pw), nil }
func (quickHasher) Verify(_ context.Context, pw, phc string) (bool, bool, error) {
	return app.HashText(pw) == phc, false, nil
}
func (quickHasher) VerifyDummy(context.Context, string) error { return nil }
func (quickHasher) Common(string) bool                        { return false }
