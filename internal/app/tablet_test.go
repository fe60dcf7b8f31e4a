package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// bench enrols a tablet and gives its secret and who it is.
func (d *desk) bench(name string) (string, auth.Principal) {
	d.t.Helper()
	_, owner := d.mustSignIn("orla")
	made, err := d.AddTablet(d.t.Context(), owner, name)
	if err != nil {
		d.t.Fatal(err)
	}
	_, secret, err := d.EnrolTablet(d.t.Context(), made.Code)
	if err != nil {
		d.t.Fatal(err)
	}
	caller, err := d.AuthenticateTablet(d.t.Context(), secret)
	if err != nil {
		d.t.Fatal(err)
	}
	return secret, caller.Who
}

// givePIN sets a person's PIN.
func (d *desk) givePIN(login, pin string) auth.Principal {
	d.t.Helper()
	_, who := d.mustSignIn(login)
	hash, err := d.NextPIN(d.t.Context(), pin)
	if err != nil {
		d.t.Fatal(err)
	}
	if err := d.SetPIN(d.t.Context(), who, hash); err != nil {
		d.t.Fatal(err)
	}
	return who
}

func TestEnrolment(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	_, owner := d.mustSignIn("orla")
	made, err := d.AddTablet(t.Context(), owner, "Bench 1")
	if err != nil {
		t.Fatal(err)
	}
	tablet, secret, err := d.EnrolTablet(t.Context(), made.Code)
	if err != nil || tablet.EnrolledAt == nil || secret == "" {
		t.Fatalf("%+v, %v", tablet, err)
	}
	if tablet.SecretHash == secret || rowsOf[shop.Tablet](d, nil)[0].SecretHash != app.HashText(secret) {
		t.Error("the secret itself is stored")
	}
	_, _, err = d.EnrolTablet(t.Context(), made.Code)
	wantFault(t, err, "app.enrol_code_refused")
	late, err := d.AddTablet(t.Context(), owner, "Bench 2")
	if err != nil {
		t.Fatal(err)
	}
	d.clock.Advance(time.Hour)
	_, _, err = d.EnrolTablet(t.Context(), late.Code)
	wantFault(t, err, "app.enrol_code_refused")
}

func TestSignOn(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	d.hire("pinless", shop.RoleTechnician)
	d.givePIN("tess", "4071")
	_, tablet := d.bench("Bench 1")
	people, err := d.TabletStaff(t.Context(), tablet)
	if err != nil || len(people) != 1 || people[0].ID != tess.ID {
		t.Fatalf("can sign on: %+v, %v", people, err)
	}
	on, err := d.SignOn(t.Context(), tablet, tess.ID, "4071")
	if err != nil {
		t.Fatal(err)
	}
	who, err := d.whoHas(on.Access)
	if err != nil {
		t.Fatal(err)
	}
	want := auth.Principal{Kind: auth.KindSignOn, ShopID: d.shop.ID, StaffID: tess.ID, TabletID: tablet.TabletID, SignOnID: on.SignOnID, AuthTime: d.clock.Now()}
	if who.Kind != want.Kind || who.StaffID != want.StaffID || who.TabletID != want.TabletID || who.SignOnID != want.SignOnID || !who.AuthTime.Equal(want.AuthTime) {
		t.Errorf("signed on as %+v, want %+v", who, want)
	}
	if err := who.Check(); err != nil {
		t.Error(err)
	}
	if err := d.SignOut(t.Context(), who); err != nil {
		t.Fatal(err)
	}
	_, err = d.whoHas(on.Access)
	wantFault(t, err, "app.sign_in_again")
}

// A wrong PIN, a person without one, a stranger and a disabled person are
// answered alike, and counted for each tablet and person apart.
func TestPINIsThrottled(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	bare := d.hire("pinless", shop.RoleTechnician)
	d.givePIN("tess", "4071")
	_, one := d.bench("Bench 1")
	_, two := d.bench("Bench 2")
	for _, id := range []shop.StaffID{tess.ID, bare.ID, "018f0000-0000-7000-8000-000000000001"} {
		for range 5 {
			_, err := d.SignOn(t.Context(), one, id, "9999")
			wantFault(t, err, "app.pin_wrong")
		}
		before := d.hasher.looked.Load()
		_, err := d.SignOn(t.Context(), one, id, "4071")
		wantFault(t, err, "app.guess_too_soon")
		if d.hasher.looked.Load() != before {
			t.Error("a PIN that came too soon was looked at")
		}
	}
	if _, err := d.SignOn(t.Context(), two, tess.ID, "4071"); err != nil {
		t.Errorf("the other tablet is locked too: %v", err)
	}
	if _, err := d.signIn("tess", deskPassword); err != nil {
		t.Errorf("the password is locked too: %v", err)
	}
	// A PIN is of no use as a password.
	_, err := d.signIn("tess", "4071")
	wantFault(t, err, "app.sign_in_wrong")
	d.givePIN("tess", "5082")
	if _, err := d.SignOn(t.Context(), one, tess.ID, "5082"); err != nil {
		t.Errorf("a new PIN does not unlock: %v", err)
	}
}

func TestRevokedTabletIsDead(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	d.givePIN("tess", "4071")
	secret, tablet := d.bench("Bench 1")
	on, err := d.SignOn(t.Context(), tablet, tess.ID, "4071")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Heartbeat(t.Context(), tablet, 3); err != nil {
		t.Fatal(err)
	}
	_, owner := d.mustSignIn("orla")
	gone, err := d.RevokeTablet(t.Context(), owner, tablet.TabletID)
	if err != nil || gone.RevokedAt == nil || gone.Unsent != 3 {
		t.Fatalf("%+v, %v", gone, err)
	}
	_, err = d.AuthenticateTablet(t.Context(), secret)
	wantFault(t, err, "app.enrol_first")
	_, err = d.whoHas(on.Access)
	wantFault(t, err, "app.sign_in_again")
	if again, err := d.RevokeTablet(t.Context(), owner, tablet.TabletID); err != nil || again.Version != gone.Version {
		t.Errorf("a second revocation: %+v, %v", again, err)
	}
}

// A sign-on goes on without the PIN, as long as it lives; the time of the PIN
// stays.
func TestRenewSignOn(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	d.givePIN("tess", "4071")
	_, one := d.bench("Bench 1")
	_, two := d.bench("Bench 2")
	start := d.clock.Now()
	on, err := d.SignOn(t.Context(), one, tess.ID, "4071")
	if err != nil {
		t.Fatal(err)
	}
	d.clock.Advance(5 * time.Hour)
	next, err := d.RenewSignOn(t.Context(), one, on.SignOnID)
	if err != nil {
		t.Fatal(err)
	}
	who, err := d.whoHas(next.Access)
	if err != nil || !who.AuthTime.Equal(start) {
		t.Errorf("signed on at %v, want %v (%v)", who.AuthTime, start, err)
	}
	_, err = d.RenewSignOn(t.Context(), two, on.SignOnID)
	wantFault(t, err, "shop.not_found")
	d.clock.Set(start.Add(12 * time.Hour))
	_, err = d.RenewSignOn(t.Context(), one, on.SignOnID)
	wantFault(t, err, "app.sign_on_over")
}

func TestDisabledPersonIsSignedOffTheBench(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	d.givePIN("tess", "4071")
	_, tablet := d.bench("Bench 1")
	on, err := d.SignOn(t.Context(), tablet, tess.ID, "4071")
	if err != nil {
		t.Fatal(err)
	}
	_, owner := d.mustSignIn("orla")
	if _, err := d.ReplaceStaff(t.Context(), owner, app.ShopPut{ID: string(tess.ID), Match: 2}, func(n *shop.Staff) { n.Disabled = true }); err != nil {
		t.Fatal(err)
	}
	_, err = d.whoHas(on.Access)
	wantFault(t, err, "app.sign_in_again")
	_, err = d.RenewSignOn(t.Context(), tablet, on.SignOnID)
	wantFault(t, err, "app.sign_on_over")
	_, err = d.SignOn(t.Context(), tablet, tess.ID, "4071")
	wantFault(t, err, "app.pin_wrong")
	people, err := d.TabletStaff(t.Context(), tablet)
	if err != nil || len(people) != 0 {
		t.Errorf("can sign on: %+v, %v", people, err)
	}
}

func TestPINRules(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	for pin, code := range map[string]string{"12": "auth.pin_malformed", "1234": "auth.pin_simple", "0000": "auth.pin_simple"} {
		_, err := d.NextPIN(t.Context(), pin)
		wantFault(t, err, code)
	}
}
