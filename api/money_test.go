package api_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/openapi"
)

type tillSource struct{}

func (tillSource) ID() string     { return uuid.Must(uuid.NewV7()).String() }
func (tillSource) Bytes(b []byte) { _, _ = rand.Read(b) }

type tillTokens struct{ app.Tokens }

func (tillTokens) NewOpaque(kind app.TokenKind, scope shop.ShopID) (string, string, error) {
	text := string(kind) + "_" + string(scope) + "." + rand.Text()
	return text, app.HashText(text), nil
}

func (tillTokens) ParseOpaque(kind app.TokenKind, text string) (shop.ShopID, string, error) {
	rest, ok := strings.CutPrefix(text, string(kind)+"_")
	scope, _, dot := strings.Cut(rest, ".")
	if !ok || !dot {
		return "", "", errors.New("no token")
	}
	return shop.ShopID(scope), app.HashText(text), nil
}

// tillReader takes the name of a session for its token.
type tillReader map[string]app.AccessClaims

func (r tillReader) ReadAccess(text string) (app.AccessClaims, error) {
	claims, ok := r[text]
	if !ok {
		return claims, errors.New("no such token")
	}
	return claims, nil
}

// till is a shop behind its API, with a job of one line and one way forward.
type till struct {
	t      *testing.T
	server *api.Server
	app    *app.App
	doc    *openapi3.T
	order  shop.WorkOrderID
	job    shop.JobID
	line   shop.LineID
	scope  shop.ScopeID
	owner  app.AccessClaims
}

func openTill(t *testing.T) *till {
	t.Helper()
	s, err := store.Open(store.Options{Folder: storetest.Folder(t)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	a := app.New(app.Options{Store: s, Source: tillSource{}, Tokens: tillTokens{}, PublicURL: "https://bench.example"})
	reader := tillReader{}
	b := &till{t: t, app: a}
	if b.server, err = api.New(api.Options{App: a, Access: reader, Contract: openapi.Document()}); err != nil {
		t.Fatal(err)
	}
	b.doc = document(t)
	b.fill(reader)
	return b
}

func (b *till) fill(reader tillReader) {
	b.t.Helper()
	id, now := tillSource{}.ID, time.Now().UTC()
	sh := shop.Shop{ID: shop.ShopID(id()), Name: "Quillmoor Cycle Works", Slug: "quillmoor", Currency: "USD", TaxMode: shop.TaxModeExclusive, Rounding: string(money.HalfUp), TimeZone: "UTC"}
	rows := []app.Noun{&sh, &shop.TaxCategory{ID: shop.TaxCategoryID(id()), Code: "full", Label: "Tax 8.25 %", RatePPM: 82_500}}
	var owner shop.StaffID
	for _, role := range []shop.Role{shop.RoleOwner, shop.RoleTechnician} {
		staff := shop.Staff{ID: shop.StaffID(id()), Login: string(role), Name: "Ivo", Roles: []shop.Role{role}}
		session := shop.Session{ID: shop.SessionID(id()), StaffID: staff.ID, Kind: shop.SessionKindApi, IdleUntil: now.Add(time.Hour), ExpiresAt: now.Add(time.Hour)}
		reader[string(role)] = app.AccessClaims{ShopID: sh.ID, StaffID: staff.ID, SessionID: session.ID, AuthTime: now}
		rows = append(rows, &staff, &session)
		if role == shop.RoleOwner {
			owner = staff.ID
		}
	}
	customer := shop.Customer{ID: shop.CustomerID(id()), Name: "Wren Ashdown", Kind: shop.CustomerKindPerson, Phone: "+1 555 0100", ContactBy: shop.ContactByPhone}
	machine := shop.Machine{ID: shop.MachineID(id()), CustomerID: customer.ID, Make: "Tarn", Model: "Heron 400", VINVerdict: shop.VINVerdictUnknown}
	order := shop.WorkOrder{ID: shop.WorkOrderID(id()), Number: 7, MachineID: machine.ID, CustomerID: customer.ID, Channel: shop.ChannelWalkIn, OpenedBy: owner, OpenedAt: now}
	job := shop.Job{ID: shop.JobID(id()), WorkOrderID: order.ID, Title: "Howls in third", Kind: shop.JobKindComplaint, Stage: shop.StageAuthorization, StageSince: now}
	of, from := shop.OfJob{WorkOrderID: order.ID, JobID: job.ID}, shop.Origin{RecordedBy: owner, ReceivedAt: now}
	line := shop.Line{ID: shop.LineID(id()), OfJob: of, Kind: shop.LineKindPart, Description: "Gear pair", Work: shop.LineWorkRepair, QuantityMilli: 1000, UnitPrice: 10_000,
		TaxCategory: "full", Certainty: shop.CertaintyCertain, State: shop.LineStateProposed, Origin: from}
	scope := shop.Scope{ID: shop.ScopeID(id()), OfJob: of, Title: "New gears", Kind: shop.ScopeKindRepair, LineIDs: []string{string(line.ID)}, EarliestOn: "2030-01-02", MayRide: shop.RideAnswerAfterWork, Origin: from}
	b.owner = reader[string(shop.RoleOwner)]
	b.order, b.job, b.line, b.scope = order.ID, job.ID, line.ID, scope.ID
	err := b.app.Store.Write(b.t.Context(), sh.ID, func(_ context.Context, tx app.Tx) error {
		if err := tx.ClaimSlug(sh.Slug); err != nil {
			return err
		}
		for _, r := range append(rows, &customer, &machine, &order, &job, &line, &scope) {
			if err := tx.Insert(r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.t.Fatal(err)
	}
}

// ask sends a request and holds the answer against the contract.
func (b *till) ask(who, method, path, pattern string, status int, body any) map[string]any {
	b.t.Helper()
	raw := b.send(who, method, path, body)
	if raw.Code != status {
		b.t.Fatalf("%s %s: %d %s", method, path, raw.Code, raw.Body)
	}
	var got any
	if err := json.Unmarshal(raw.Body.Bytes(), &got); err != nil {
		b.t.Fatalf("%s %s: %v", method, path, err)
	}
	if status < 300 {
		schema := b.doc.Paths.Find(pattern).GetOperation(method).Responses.Status(status).Value.Content["application/json"].Schema.Value
		if err := schema.VisitJSON(got); err != nil {
			b.t.Errorf("%s %s: the answer is not as the contract says: %v", method, path, err)
		}
	}
	out, _ := got.(map[string]any)
	return out
}

func (b *till) send(who, method, path string, body any) *httptest.ResponseRecorder {
	b.t.Helper()
	var sent bytes.Buffer
	if body != nil {
		if err := json.NewEncoder(&sent).Encode(body); err != nil {
			b.t.Fatal(err)
		}
	}
	r := httptest.NewRequest(method, path, &sent)
	r.Host = "evil.example"
	r.Header.Set("Authorization", "Bearer "+who)
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if method == http.MethodPost {
		r.Header.Set("Idempotency-Key", rand.Text())
	}
	w := httptest.NewRecorder()
	b.server.ServeHTTP(w, r)
	return w
}

const usd = "USD"

func amount(text string) map[string]any { return map[string]any{"amount": text, "currency": usd} }

func TestMoneyOverHTTP(t *testing.T) {
	t.Parallel()
	b := openTill(t)
	job, order := "/v1/jobs/"+string(b.job), "/v1/work-orders/"+string(b.order)

	got := b.ask("technician", "GET", job+"/estimate", "/v1/jobs/{id}/estimate", 200, nil)
	if gross := got["high"].(map[string]any)["gross"]; gross.(map[string]any)["amount"] != "108.25" {
		t.Errorf("gross = %v", gross)
	}
	make := map[string]any{"scope_ids": []string{string(b.scope)}, "price_until": "2030-01-01"}
	b.ask("technician", "POST", job+"/offers", "", 403, make)
	offer := b.ask("owner", "POST", job+"/offers", "/v1/jobs/{id}/offers", 201, make)
	at := "/v1/offers/" + offer["id"].(string)
	b.ask("technician", "GET", at, "/v1/offers/{id}", 200, nil)
	b.ask("technician", "GET", job+"/offers", "/v1/jobs/{id}/offers", 200, nil)

	raw := b.send("technician", "GET", at+"/document", nil)
	sum := sha256.Sum256(raw.Body.Bytes())
	if raw.Code != 200 || hex.EncodeToString(sum[:]) != offer["sha256"] {
		t.Errorf("document: %d, its hash is not the offer's", raw.Code)
	}
	link := b.ask("owner", "POST", at+"/links", "/v1/offers/{id}/links", 201, map[string]any{"decide_hours": 24})
	if url := link["url"].(string); !strings.HasPrefix(url, "https://bench.example/c/link_") {
		t.Errorf("url = %s", url)
	}
	b.ask("owner", "GET", at+"/links", "/v1/offers/{id}/links", 200, nil)
	linkID := link["link"].(map[string]any)["id"].(string)
	b.ask("owner", "POST", "/v1/offer-links/"+linkID+"/revoke", "/v1/offer-links/{id}/revoke", 200, nil)

	b.decide(offer)
	b.bill(job, order)
}

// decide records a spoken yes and looks at the check.
func (b *till) decide(offer map[string]any) {
	b.t.Helper()
	job := "/v1/jobs/" + string(b.job)
	said := map[string]any{"offer_id": offer["id"], "scope_id": string(b.scope), "kind": "repair", "decision": "agreed", "method": "spoken",
		"typed_name": "Wren Ashdown", "shown_sha256": offer["sha256"]}
	problem := b.ask("owner", "POST", job+"/consents", "", 422, said)
	if text, _ := json.Marshal(problem); !strings.Contains(string(text), "/identified_how") || !strings.Contains(string(text), "/contact_used") {
		b.t.Errorf("the problem names no field: %s", text)
	}
	said["identified_how"], said["contact_used"], said["relation"] = "called back", "+1 555 0100", "owner"
	script := b.ask("owner", "GET", "/v1/offers/"+offer["id"].(string)+"/script", "/v1/offers/{id}/script", 200, nil)
	said["read_out_sha256"], said["said_back"], said["said_at"] = script["sha256"], "yes, that one", time.Now().UTC().Format(time.RFC3339Nano)
	given := b.ask("owner", "POST", job+"/consents", "/v1/jobs/{id}/consents", 201, said)
	b.ask("technician", "GET", job+"/consents", "/v1/jobs/{id}/consents", 200, nil)
	check := b.ask("technician", "GET", job+"/consent-check", "/v1/jobs/{id}/consent-check", 200, nil)
	if check["effective"] != "not_required" || check["checked_on"] != nil {
		b.t.Errorf("check = %v", check)
	}
	b.ask("owner", "POST", "/v1/consents/"+given["id"].(string)+"/revoke", "/v1/consents/{id}/revoke", 200, map[string]any{"reason": "sells it",
		"method": "in_person", "typed_name": "Wren Ashdown", "relation": "owner", "identified_how": "showed the key"})
	record := b.ask("owner", "GET", "/v1/consents/"+given["id"].(string), "/v1/consents/{id}", 200, nil)
	if lacking := record["lacking"].([]any); len(lacking) != 0 || record["ending"] == nil {
		b.t.Errorf("the record lacks %v", lacking)
	}
	again := b.ask("owner", "POST", job+"/offers", "/v1/jobs/{id}/offers", 201, map[string]any{"scope_ids": []string{string(b.scope)}, "price_until": "2030-01-01"})
	b.ask("owner", "POST", "/v1/offers/"+again["id"].(string)+"/withdraw", "/v1/offers/{id}/withdraw", 200, map[string]any{"reason": "sold"})
}

// bill bills the line, voids that, bills again and takes the money.
func (b *till) bill(job, order string) {
	b.t.Helper()
	in := map[string]any{"job_ids": []string{string(b.job)}}
	b.ask("owner", "POST", order+"/bills", "", 409, in)
	b.markDone()
	first := b.ask("owner", "POST", order+"/bills", "/v1/work-orders/{id}/bills", 201, in)
	b.ask("owner", "POST", "/v1/bills/"+first["id"].(string)+"/void", "/v1/bills/{id}/void", 200, map[string]any{"reason": "wrong name"})
	second := b.ask("owner", "POST", order+"/bills", "/v1/work-orders/{id}/bills", 201, in)
	b.ask("technician", "GET", order+"/bills", "", 403, nil)
	bills := b.ask("owner", "GET", order+"/bills", "/v1/work-orders/{id}/bills", 200, nil)["items"].([]any)
	if len(bills) != 2 {
		b.t.Errorf("bills = %v", bills)
	}
	pay := map[string]any{"kind": "payment", "method": "cash", "amount": amount("108.26"), "bill_id": second["id"]}
	b.ask("owner", "POST", order+"/payments", "", 422, pay)
	pay["amount"] = amount("108.25")
	b.ask("owner", "POST", order+"/payments", "/v1/work-orders/{id}/payments", 201, pay)
	b.ask("owner", "GET", order+"/payments", "/v1/work-orders/{id}/payments", 200, nil)
	if check := b.ask("owner", "GET", job+"/consent-check", "/v1/jobs/{id}/consent-check", 200, nil); check["effective"] != "required" {
		b.t.Errorf("the consent was taken back before the work: %v", check)
	}
}

func (b *till) markDone() {
	b.t.Helper()
	scope := shop.ShopID("")
	for _, claims := range b.server.Access.(tillReader) {
		scope = claims.ShopID
	}
	err := b.app.Store.Write(b.t.Context(), scope, func(_ context.Context, tx app.Tx) error {
		var l shop.Line
		if err := tx.Load(&l, string(b.line)); err != nil {
			return err
		}
		l.State = shop.LineStateDone
		return tx.Advance(&l)
	})
	if err != nil {
		b.t.Fatal(err)
	}
}

// TestPagesOfOffers follows the cursor to the end.
func TestPagesOfOffers(t *testing.T) {
	t.Parallel()
	b := openTill(t)
	job := "/v1/jobs/" + string(b.job)
	var made, seen []string
	for range 5 {
		o := b.ask("owner", "POST", job+"/offers", "/v1/jobs/{id}/offers", 201, map[string]any{"scope_ids": []string{string(b.scope)}, "price_until": "2030-01-01"})
		made = append(made, o["id"].(string))
	}
	next := ""
	for {
		page := b.ask("owner", "GET", job+"/offers?limit=2"+next, "/v1/jobs/{id}/offers", 200, nil)
		for _, item := range page["items"].([]any) {
			seen = append(seen, item.(map[string]any)["id"].(string))
		}
		cursor, more := page["next_cursor"].(string)
		if !more {
			break
		}
		next = "&cursor=" + cursor
	}
	if !slices.Equal(made, seen) {
		t.Errorf("seen %v, made %v", seen, made)
	}
}
