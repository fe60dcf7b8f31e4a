package api_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"
)

func signInBody(keep string) map[string]any {
	return map[string]any{"shop": "kettle-lane", "login": "orla", "password": doorPassword, "keep": keep}
}

func TestBrowserSession(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	var in struct {
		RefreshToken *string `json:"refresh_token"`
		AccessToken  string  `json:"access_token"`
	}
	first := d.ask("POST", "/v1/sign-in", signInBody("cookie")).want(200).into(&in)
	c := first.cookie("__Host-benchtag_refresh")
	if in.RefreshToken != nil || c == nil {
		t.Fatalf("the refresh token is not in the cookie alone: %s", first.Body)
	}
	if !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.Domain != "" || c.MaxAge != 24*3600 {
		t.Errorf("the cookie is %+v", c)
	}
	shown := cookies(c.Name + "=" + c.Value)
	d.ask("POST", "/v1/refresh", map[string]any{}, shown, header{"Sec-Fetch-Site", "cross-site"}).code(403, "api.cross_origin")
	next := d.ask("POST", "/v1/refresh", map[string]any{}, shown, header{"Sec-Fetch-Site", "same-origin"}).want(200)
	if got := next.cookie(c.Name); got == nil || got.Value == c.Value {
		t.Error("the cookie was not rotated")
	}
	d.ask("POST", "/v1/refresh", map[string]any{"refresh_token": next.cookie(c.Name).Value}).code(401, "app.sign_in_again")
	out := d.ask("POST", "/v1/sign-out", nil, as(in.AccessToken), shown).want(204)
	if got := out.cookie(c.Name); got == nil || got.MaxAge >= 0 {
		t.Error("the cookie stays after sign-out")
	}
	d.ask("GET", "/v1/me", nil, as(in.AccessToken)).code(401, "app.sign_in_again")
	d.ask("POST", "/v1/sign-in", signInBody("cookie"), header{"Sec-Fetch-Site", "cross-site"}).code(403, "api.cross_origin")
}

func TestProgramSession(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	var in struct {
		RefreshToken string `json:"refresh_token"`
		AccessToken  string `json:"access_token"`
		ExpiresIn    int64  `json:"expires_in"`
	}
	d.ask("POST", "/v1/sign-in", signInBody("json")).want(200).into(&in)
	if in.ExpiresIn != 600 {
		t.Errorf("the access token lives %d s", in.ExpiresIn)
	}
	d.ask("POST", "/v1/refresh", map[string]any{"refresh_token": in.RefreshToken}).want(200)
	var me struct {
		Name  string   `json:"name"`
		Roles []string `json:"roles"`
	}
	d.ask("GET", "/v1/me", nil, as(in.AccessToken)).want(200).into(&me)
	if me.Name != "Orla" || len(me.Roles) != 1 {
		t.Errorf("me is %+v", me)
	}
	var sessions struct{ Items []struct{ ID string } }
	d.ask("GET", "/v1/sessions?limit=1", nil, as(in.AccessToken)).want(200).into(&sessions)
	d.ask("POST", "/v1/sessions/"+sessions.Items[0].ID+"/end", nil, as(d.owner), keyed("k")).want(204)
	d.ask("GET", "/v1/me", nil, as(in.AccessToken)).want(401)
}

// Trust R4: an address may try thirty times a minute.
func TestSignInPerAddress(t *testing.T) {
	t.Parallel()
	d := openDoor(t) // set-up was the first of them
	for i := range 29 {
		d.ask("POST", "/v1/sign-in", map[string]any{"shop": "nowhere", "login": "x", "password": "y"}).code(401, "app.sign_in_wrong")
		_ = i
	}
	if r := d.ask("POST", "/v1/sign-in", signInBody("json")).code(429, "api.too_often"); r.Header().Get("Retry-After") == "" {
		t.Error("a refusal does not say when to come back")
	}
	d.clock.Advance(time.Minute)
	d.ask("POST", "/v1/sign-in", signInBody("json")).want(200)
}

// A wrong old password stays counted though the effect is refused, and a
// replay of a change that was made gets the first answer.
func TestChangePassword(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	change := func(old, key string) reply {
		return d.ask("POST", "/v1/me/password", map[string]any{"old_password": old, "new_password": "copper lantern drifting west"}, as(d.owner), keyed(key))
	}
	for range 5 {
		change("not the password", "wrong").code(422, "app.password_wrong")
	}
	change(doorPassword, "right").code(429, "app.guess_too_soon")
	d.clock.Advance(time.Second)
	d.ask("POST", "/v1/me/password", map[string]any{"old_password": doorPassword, "new_password": "short"}, as(d.owner), keyed("weak")).code(422, "auth.password_short")
	d.ask("POST", "/v1/me/password", map[string]any{"old_password": doorPassword, "new_password": "copper lantern drifting west"}, as(d.owner)).want(400)
	change(doorPassword, "right").want(204)
	change(doorPassword, "right").want(204)
	change(doorPassword, "other").code(422, "app.password_wrong")
	d.ask("POST", "/v1/sign-in", signInBody("json")).code(401, "app.sign_in_wrong")
}

// Trust R20 and R22 at these routes: one shop, one way to read a body.
func TestStrictRequests(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	d.ask("GET", "/v1/me", nil, as(d.owner), header{"X-Shop-ID", "x"}).code(400, "api.shop_from_outside")
	d.ask("GET", "/v1/bays?shop_id=x", nil, as(d.owner)).code(400, "api.parameter_unknown")
	for _, tt := range []struct {
		name, kind, body string
		status           int
	}{
		{"form", "application/x-www-form-urlencoded", "shop=kettle-lane", 415},
		{"xml", "application/xml", "<a/>", 415},
		{"unknown field", "application/json", `{"shop":"kettle-lane","login":"orla","password":"x","shop_id":"y"}`, 400},
		{"twice", "application/json", `{"shop":"kettle-lane","login":"orla","login":"x","password":"x"}`, 400},
		{"case", "application/json", `{"shop":"kettle-lane","Login":"orla","password":"x"}`, 400},
		{"rest", "application/json", `{"shop":"kettle-lane","login":"orla","password":"x"} {}`, 400},
		{"nul", "application/json", `{"shop":"kettle-lane","login":"or\u0000la","password":"x"}`, 400},
	} {
		r := httptest.NewRequest("POST", "https://bench.example/v1/sign-in", bytes.NewBufferString(tt.body))
		r.Header.Set("Content-Type", tt.kind)
		w := httptest.NewRecorder()
		d.server.ServeHTTP(w, r)
		if w.Code != tt.status {
			t.Errorf("%s: %d, want %d: %s", tt.name, w.Code, tt.status, w.Body)
		}
	}
}

func TestTabletRoutes(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	var made struct {
		EnrolCode string `json:"enrol_code"`
		Tablet    struct{ ID string }
	}
	d.ask("POST", "/v1/tablets", map[string]any{"name": "Bench 1"}, as(d.owner), keyed("t")).want(201).into(&made)
	again := made
	d.ask("POST", "/v1/tablets", map[string]any{"name": "Bench 1"}, as(d.owner), keyed("t")).want(201).into(&again)
	if again != made {
		t.Error("a replay made another tablet")
	}
	enrolled := d.ask("POST", "/v1/tablet/enrol", map[string]any{"enrol_code": made.EnrolCode}).want(200)
	c := enrolled.cookie("__Host-benchtag_tablet")
	if c == nil || !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode {
		t.Fatalf("the cookie is %+v", c)
	}
	device := cookies(c.Name + "=" + c.Value)
	d.ask("POST", "/v1/me/pin", map[string]any{"password": doorPassword, "pin": "4071"}, as(d.owner), keyed("p")).want(204)
	var people struct{ Items []struct{ ID string } }
	d.ask("GET", "/v1/tablet/staff", nil, device).want(200).into(&people)
	if len(people.Items) != 1 {
		t.Fatalf("%d people can sign on", len(people.Items))
	}
	d.ask("GET", "/v1/tablet/staff", nil, as(d.owner)).code(401, "app.enrol_first")
	body := map[string]any{"staff_id": people.Items[0].ID, "pin": "4071"}
	d.ask("POST", "/v1/tablet/sign-on", body, device, header{"Origin", "https://elsewhere.example"}).code(403, "api.cross_origin")
	var on struct {
		AccessToken string `json:"access_token"`
		SignOnID    string `json:"sign_on_id"`
	}
	d.ask("POST", "/v1/tablet/sign-on", body, device).want(200).into(&on)
	d.ask("GET", "/v1/me", nil, as(on.AccessToken)).want(200)
	d.ask("POST", "/v1/tablet/sign-on/renew", map[string]any{"sign_on_id": on.SignOnID}, device).want(200)
	d.ask("POST", "/v1/tablet/heartbeat", map[string]any{"unsent": 2}, device).want(200)
	d.ask("GET", "/v1/tablets", nil, as(d.owner)).want(200)
	d.ask("POST", "/v1/tablets/"+made.Tablet.ID+"/revoke", nil, as(d.owner), keyed("r")).want(200)
	d.ask("POST", "/v1/tablet/heartbeat", map[string]any{"unsent": 2}, device).code(401, "app.enrol_first")
	d.ask("GET", "/v1/me", nil, as(on.AccessToken)).want(401)
}

func TestStaffRoutes(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	add := map[string]any{"login": "tess", "name": "Tess", "roles": []string{"technician"}, "password": doorPassword}
	var tess struct{ ID string }
	d.ask("POST", "/v1/staff", add, as(d.owner), keyed("a")).want(201).into(&tess)
	d.ask("POST", "/v1/staff", add, as(d.owner), keyed("b")).code(409, "app.login_taken")
	var in struct {
		AccessToken string `json:"access_token"`
	}
	d.ask("POST", "/v1/sign-in", map[string]any{"shop": "kettle-lane", "login": "tess", "password": doorPassword}).want(200).into(&in)
	d.ask("GET", "/v1/staff", nil, as(in.AccessToken)).want(200)
	d.ask("POST", "/v1/staff", add, as(in.AccessToken), keyed("c")).code(403, "app.not_allowed")
	change := map[string]any{"login": "tess", "name": "Tess", "roles": []string{"advisor"}}
	d.ask("PUT", "/v1/staff/"+tess.ID, change, as(d.owner)).want(428)
	d.ask("PUT", "/v1/staff/"+tess.ID, change, as(d.owner), match(`"9"`)).code(412, "store.version_stale")
	etag := d.ask("GET", "/v1/staff/"+tess.ID, nil, as(d.owner)).want(200).Header().Get("ETag")
	d.ask("PUT", "/v1/staff/"+tess.ID, change, as(d.owner), match(etag)).want(200)
	d.ask("GET", "/v1/me", nil, as(in.AccessToken)).want(401)
	d.ask("POST", "/v1/staff/"+tess.ID+"/password", map[string]any{"new_password": "copper lantern drifting west"}, as(d.owner), keyed("d")).want(204)
	d.ask("POST", "/v1/sign-in", map[string]any{"shop": "kettle-lane", "login": "tess", "password": "copper lantern drifting west"}).want(200)
}

func TestShopRoutes(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	owner := as(d.owner)
	etag := d.ask("GET", "/v1/shop", nil, owner).want(200).Header().Get("ETag")
	put := map[string]any{"name": "Kettle Lane", "tax_mode": "inclusive", "rounding": "to_5", "time_zone": "America/Los_Angeles",
		"consent_rule": "own", "own_rule": map[string]any{"kind": "abs", "abs": map[string]any{"amount": "50.00", "currency": "USD"}}}
	d.ask("PUT", "/v1/shop", put, owner, match(etag)).want(200)
	d.ask("PUT", "/v1/shop", put, owner, match(etag)).code(412, "store.version_stale")
	var rules struct{ Items []struct{ ID string } }
	d.ask("GET", "/v1/consent-rules", nil, owner).want(200).into(&rules)
	if len(rules.Items) < 2 || rules.Items[0].ID != "STRICT" {
		t.Errorf("%d rules", len(rules.Items))
	}
	for path, body := range map[string]map[string]any{
		"bays":           {"name": "Lift 1"},
		"tax-categories": {"code": "parts", "label": "Parts tax", "rate_ppm": 85000},
		"labour-rates":   {"name": "Bench", "per_hour": map[string]any{"amount": "90.00", "currency": "USD"}, "tax_category": "standard"},
		"gauges":         {"name": "Micrometer 1", "kind": "outside micrometer", "resolution": map[string]any{"entered": "0.001 mm"}},
	} {
		var made struct{ ID string }
		d.ask("POST", "/v1/"+path, body, owner, keyed(path)).want(201).into(&made)
		one := d.ask("GET", "/v1/"+path+"/"+made.ID, nil, owner).want(200)
		d.ask("PUT", "/v1/"+path+"/"+made.ID, body, owner, match(one.Header().Get("ETag"))).want(200)
		d.ask("GET", "/v1/"+path, nil, owner).want(200)
		d.ask("GET", "/v1/"+path+"/018f0000-0000-7000-8000-000000000001", nil, owner).code(404, "shop.not_found")
	}
	var journal struct {
		Items      []struct{ Kind string }
		NextCursor *string `json:"next_cursor"`
	}
	d.ask("GET", "/v1/journal?limit=2", nil, owner).want(200).into(&journal)
	if len(journal.Items) != 2 || journal.Items[0].Kind != "shop.set_up" || journal.NextCursor == nil {
		t.Fatalf("the journal starts %+v", journal)
	}
	d.ask("GET", "/v1/journal?cursor="+*journal.NextCursor, nil, owner).want(200).into(&journal)
	if len(journal.Items) != 8 {
		t.Errorf("the journal goes on with %d entries, want 8", len(journal.Items))
	}
	d.ask("GET", "/v1/security-events", nil, owner).want(200)
}
