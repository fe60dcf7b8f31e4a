package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// Trust R16: the set-up secret is good once, for an hour, for the first shop.
func TestSetUp(t *testing.T) {
	t.Parallel()
	first := app.NewShop{Name: "Quarry Road", Slug: "quarry-road", Currency: "EUR", TimeZone: "Europe/Vienna", OwnerName: "Ivo", Login: "ivo", Password: deskPassword, Demo: true}
	empty := func(t *testing.T) *desk {
		d := &desk{t: t, folder: t.TempDir(), clock: openDesk(t).clock, hasher: &signInHasher{cost: "v2"}, tokens: signInTokens{key: []byte("k")}}
		d.open()
		return d
	}
	t.Run("once", func(t *testing.T) {
		t.Parallel()
		d := empty(t)
		_, err := d.SetUp(t.Context(), "secret", first, app.Client{})
		wantFault(t, err, "app.setup_refused")
		d.OfferSetup(app.HashText("secret"), d.clock.Now().Add(time.Hour))
		_, err = d.SetUp(t.Context(), "wrong", first, app.Client{})
		wantFault(t, err, "app.setup_refused")
		weak := first
		weak.Password = "short"
		_, err = d.SetUp(t.Context(), "secret", weak, app.Client{})
		wantFault(t, err, "auth.password_short")
		in, err := d.SetUp(t.Context(), "secret", first, app.Client{})
		if err != nil {
			t.Fatal(err)
		}
		who, err := d.whoHas(in.Access)
		if err != nil || !who.Has(auth.RoleOwner) {
			t.Fatalf("the owner is not signed in: %+v, %v", who, err)
		}
		d.shop.ID = in.ShopID
		made := rowsOf[shop.Shop](d, nil)
		if len(made) != 1 || made[0].Demo || made[0].ShopID != made[0].ID {
			t.Errorf("made %+v", made)
		}
		if taxes := rowsOf[shop.TaxCategory](d, nil); len(taxes) != 1 || taxes[0].Code != "standard" || taxes[0].RatePPM != 0 {
			t.Errorf("taxes %+v", taxes)
		}
		second := first
		second.Slug = "another"
		_, err = d.SetUp(t.Context(), "secret", second, app.Client{})
		wantFault(t, err, "app.setup_refused")
		d.OfferSetup(app.HashText("secret"), d.clock.Now().Add(time.Hour))
		_, err = d.SetUp(t.Context(), "secret", second, app.Client{})
		wantFault(t, err, "app.setup_refused")
	})
	t.Run("an hour", func(t *testing.T) {
		t.Parallel()
		d := empty(t)
		d.OfferSetup(app.HashText("secret"), d.clock.Now().Add(time.Hour))
		d.clock.Advance(time.Hour)
		_, err := d.SetUp(t.Context(), "secret", first, app.Client{})
		wantFault(t, err, "app.setup_refused")
		if n, err := d.store.CountShops(t.Context()); err != nil || n != 0 {
			t.Errorf("%d shops, %v", n, err)
		}
	})
}

func TestCreateShopRefusesNonsense(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	good := app.NewShop{Name: "Quarry Road", Slug: "quarry-road", Currency: "EUR", TimeZone: "Europe/Vienna", OwnerName: "Ivo", Login: "ivo", Password: deskPassword}
	for code, spoil := range map[string]func(*app.NewShop){
		"app.slug_malformed":     func(n *app.NewShop) { n.Slug = "-x-" },
		"app.login_malformed":    func(n *app.NewShop) { n.Login = "Ivo" },
		"app.time_zone_unknown":  func(n *app.NewShop) { n.TimeZone = "Local" },
		"money.currency_unknown": func(n *app.NewShop) { n.Currency = "ABC" },
		"app.name_missing":       func(n *app.NewShop) { n.OwnerName = " " },
		"store.value_taken":      func(n *app.NewShop) { n.Slug = "kettle-lane" },
	} {
		n := good
		spoil(&n)
		_, _, err := d.CreateShop(t.Context(), n)
		wantFault(t, err, code)
	}
}

// Trust R12: what ends a session ends it at once.
func TestWhatEndsSessions(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		end  func(d *desk, tess auth.Principal, owner auth.Principal) error
		own  bool // the session that asks stays
	}{
		{"sign-out", func(d *desk, tess, _ auth.Principal) error { return d.SignOut(d.t.Context(), tess) }, false},
		{"own end", func(d *desk, tess, _ auth.Principal) error { return d.EndSession(d.t.Context(), tess, tess.SessionID) }, false},
		{"owner ends", func(d *desk, tess, owner auth.Principal) error {
			return d.EndSession(d.t.Context(), owner, tess.SessionID)
		}, false},
		{"disabled", func(d *desk, tess, owner auth.Principal) error {
			_, err := d.ReplaceStaff(d.t.Context(), owner, app.ShopPut{ID: string(tess.StaffID), Match: 1}, func(n *shop.Staff) { n.Disabled = true })
			return err
		}, false},
		{"roles changed", func(d *desk, tess, owner auth.Principal) error {
			_, err := d.ReplaceStaff(d.t.Context(), owner, app.ShopPut{ID: string(tess.StaffID), Match: 1}, func(n *shop.Staff) { n.Roles = []shop.Role{shop.RoleAdvisor} })
			return err
		}, false},
		{"password reset", func(d *desk, tess, owner auth.Principal) error {
			return d.ResetPassword(d.t.Context(), owner, tess.StaffID, "v2$x")
		}, false},
		{"password changed", func(d *desk, tess, _ auth.Principal) error { return d.ChangePassword(d.t.Context(), tess, "v2$x") }, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			d := openDesk(t)
			d.hire("tess", shop.RoleTechnician)
			other, _ := d.mustSignIn("tess")
			asks, tess := d.mustSignIn("tess")
			_, owner := d.mustSignIn("orla")
			if err := tt.end(d, tess, owner); err != nil {
				t.Fatal(err)
			}
			_, err := d.whoHas(asks.Access)
			if tt.own {
				if err != nil {
					t.Errorf("the session that asked ended: %v", err)
				}
				_, err = d.whoHas(other.Access)
				asks = other
			}
			wantFault(t, err, "app.sign_in_again")
			_, err = d.Refresh(t.Context(), app.RefreshIn{Token: asks.Refresh}, app.Client{})
			wantFault(t, err, "app.sign_in_again")
			if _, err := d.whoHas(mustAccess(d, "orla")); err != nil {
				t.Errorf("somebody else's session ended: %v", err)
			}
		})
	}
}

func mustAccess(d *desk, login string) string {
	in, _ := d.mustSignIn(login)
	return in.Access
}

func TestNobodyEndsAColleaguesSession(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	d.hire("tess", shop.RoleTechnician)
	_, tess := d.mustSignIn("tess")
	_, owner := d.mustSignIn("orla")
	err := d.EndSession(t.Context(), tess, owner.SessionID)
	wantFault(t, err, "shop.not_found")
	own, err := d.Sessions(t.Context(), tess, app.Page{})
	if err != nil || len(own) != 1 || own[0].ID != tess.SessionID {
		t.Errorf("tess sees %+v, %v", own, err)
	}
}

func TestResetUnlocks(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	for range 5 {
		_, _ = d.signIn("tess", "a guess that is wrong")
	}
	_, err := d.signIn("tess", deskPassword)
	wantFault(t, err, "app.guess_too_soon")
	_, owner := d.mustSignIn("orla")
	hash, err := d.NextPassword(t.Context(), app.Caller{Who: owner, Shop: d.shop}, tess.ID, "copper lantern drifting west")
	if err != nil {
		t.Fatal(err)
	}
	if err := d.ResetPassword(t.Context(), owner, tess.ID, hash); err != nil {
		t.Fatal(err)
	}
	if _, err := d.signIn("tess", "copper lantern drifting west"); err != nil {
		t.Errorf("still locked: %v", err)
	}
}

func TestProvePasswordIsThrottledForGood(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	_, who := d.mustSignIn("orla")
	for range 5 {
		err := d.ProvePassword(t.Context(), who, "not the password", "/old_password")
		if f := wantFault(t, err, "app.password_wrong"); f.Fields[0].Pointer != "/old_password" {
			t.Errorf("points at %s", f.Fields[0].Pointer)
		}
	}
	err := d.ProvePassword(t.Context(), who, deskPassword, "/old_password")
	wantFault(t, err, "app.guess_too_soon")
	d.clock.Advance(time.Second)
	if err := d.ProvePassword(t.Context(), who, deskPassword, "/old_password"); err != nil {
		t.Error(err)
	}
}

// A browser's refresh token is no good in a body, nor a program's in a cookie.
func TestRefreshComesFromWhereItWent(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	for _, kind := range shop.SessionKindValues() {
		in, err := d.SignIn(t.Context(), app.SignIn{Shop: "kettle-lane", Login: "orla", Password: deskPassword, Keep: kind}, app.Client{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh, Cookie: kind != shop.SessionKindBrowser}, app.Client{})
		wantFault(t, err, "app.sign_in_again")
		out, err := d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh, Cookie: kind == shop.SessionKindBrowser}, app.Client{})
		if err != nil || out.Kind != kind {
			t.Errorf("%s: %+v, %v", kind, out, err)
		}
	}
}
