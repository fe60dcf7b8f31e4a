package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func TestStaffRules(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	_, owner := d.mustSignIn("orla")
	put := func(n shop.Staff, fill func(*shop.Staff)) error {
		_, err := d.ReplaceStaff(t.Context(), owner, app.ShopPut{ID: string(n.ID), Match: n.Version}, fill)
		return err
	}
	for _, tt := range []struct {
		name, code, pointer string
		of                  shop.Staff
		fill                func(*shop.Staff)
	}{
		{"no roles", "app.roles_missing", "/roles", tess, func(n *shop.Staff) { n.Roles = nil }},
		{"taken login", "app.login_taken", "/login", tess, func(n *shop.Staff) { n.Login = "orla" }},
		{"capital login", "app.login_malformed", "/login", tess, func(n *shop.Staff) { n.Login = "Tess" }},
		{"no name", "app.name_missing", "/name", tess, func(n *shop.Staff) { n.Name = " " }},
		{"same as oneself", "app.same_person_unknown", "/same_person_as_id", tess, func(n *shop.Staff) { n.SamePersonAsID = tess.ID }},
		{"same as nobody", "app.same_person_unknown", "/same_person_as_id", tess, func(n *shop.Staff) { n.SamePersonAsID = "018f0000-0000-7000-8000-000000000001" }},
		{"last owner disabled", "app.last_owner", "", d.owner, func(n *shop.Staff) { n.Disabled = true }},
		{"last owner demoted", "app.last_owner", "", d.owner, func(n *shop.Staff) { n.Roles = []shop.Role{shop.RoleAdvisor} }},
	} {
		f := wantFault(t, put(tt.of, tt.fill), tt.code)
		if tt.pointer != "" && (len(f.Fields) != 1 || f.Fields[0].Pointer != tt.pointer) {
			t.Errorf("%s: points at %+v", tt.name, f.Fields)
		}
	}
	wantFault(t, put(shop.Staff{ID: tess.ID, Row: shop.Row{Version: 7}}, func(*shop.Staff) {}), "store.version_stale")
	if err := put(tess, func(n *shop.Staff) { n.SamePersonAsID = d.owner.ID }); err != nil {
		t.Error(err)
	}
}

// A second owner may let the first one go, and only then.
func TestSecondOwner(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	d.hire("olaf", shop.RoleOwner, shop.RoleTechnician)
	_, olaf := d.mustSignIn("olaf")
	demote := func(n *shop.Staff) { n.Roles = []shop.Role{shop.RoleAdvisor} }
	if _, err := d.ReplaceStaff(t.Context(), olaf, app.ShopPut{ID: string(d.owner.ID), Match: 1}, demote); err != nil {
		t.Fatal(err)
	}
	_, err := d.ReplaceStaff(t.Context(), olaf, app.ShopPut{ID: string(olaf.StaffID), Match: 1}, demote)
	wantFault(t, err, "app.last_owner")
}

// Trust R9: a changed role bites at once, every time.
func TestDemotionBitesAtOnce(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	_, owner := d.mustSignIn("orla")
	in, _ := d.mustSignIn("tess")
	for range 20 {
		if _, err := d.whoHas(in.Access); err != nil {
			t.Fatal(err)
		}
		n, err := d.ReplaceStaff(t.Context(), owner, app.ShopPut{ID: string(tess.ID), Match: tess.Version}, func(n *shop.Staff) {
			n.Roles = []shop.Role{shop.RoleAdvisor, shop.RoleTechnician}[(tess.Version+1)%2:][:1]
		})
		if err != nil {
			t.Fatal(err)
		}
		tess = n
		_, err = d.whoHas(in.Access)
		wantFault(t, err, "app.sign_in_again")
		in, _ = d.mustSignIn("tess")
	}
}

// Trust R15: roles and passwords are given away only by a fresh password.
func TestRolesNeedAFreshSignIn(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	tess := d.hire("tess", shop.RoleTechnician)
	_, owner := d.mustSignIn("orla")
	d.clock.Advance(auth.ReauthLimit + time.Second)
	put := app.ShopPut{ID: string(tess.ID), Match: tess.Version}
	_, err := d.ReplaceStaff(t.Context(), owner, put, func(n *shop.Staff) { n.Roles = shop.RoleValues() })
	wantFault(t, err, "app.sign_in_afresh")
	_, err = d.AddStaff(t.Context(), owner, "v2$x", func(n *shop.Staff) {
		n.Login, n.Name, n.Roles = "new", "New", []shop.Role{shop.RoleTechnician}
	})
	wantFault(t, err, "app.sign_in_afresh")
	wantFault(t, d.ResetPassword(t.Context(), owner, tess.ID, "v2$x"), "app.sign_in_afresh")
	if _, err := d.ReplaceStaff(t.Context(), owner, put, func(n *shop.Staff) { n.Rides = true }); err != nil {
		t.Errorf("a change that gives nothing away asks for a password: %v", err)
	}
	pin := owner
	pin.Kind, pin.AuthTime = auth.KindSignOn, d.clock.Now()
	wantFault(t, d.ResetPassword(t.Context(), pin, tess.ID, "v2$x"), "app.sign_in_afresh")
	machine := auth.Principal{ShopID: d.shop.ID}
	if err := d.ResetPassword(t.Context(), machine, tess.ID, "v2$x"); err != nil {
		t.Errorf("whoever holds the machine cannot unlock: %v", err)
	}
}

// Every change of the shop's records is one entry of its journal, in order
// and linked.
func TestShopChangesAreJournaled(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	_, owner := d.mustSignIn("orla")
	tess := d.hire("tess", shop.RoleTechnician)
	bay, err := d.AddBay(t.Context(), owner, func(n *shop.Bay) { n.Name = "Lift 1" })
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.ReplaceBay(t.Context(), owner, app.ShopPut{ID: string(bay.ID), Match: 1}, func(n *shop.Bay) { n.Retired = true }); err != nil {
		t.Fatal(err)
	}
	if _, err := d.ReplaceBay(t.Context(), owner, app.ShopPut{ID: string(bay.ID), Match: 1}, func(*shop.Bay) {}); !fault.Is(err, fault.VersionStale) {
		t.Fatalf("a stale change: %v", err)
	}
	first, err := d.Journal(t.Context(), owner, string(d.shop.ID), app.Page{Limit: 2})
	if err != nil {
		t.Fatal(err)
	}
	rest, err := d.Journal(t.Context(), owner, string(d.shop.ID), app.Page{Limit: 100, After: first[len(first)-1].Key()})
	if err != nil {
		t.Fatal(err)
	}
	lines := append(first, rest...)
	want := []struct{ event, subject, id string }{
		{"shop.set_up", "shops", string(d.shop.ID)},
		{"staff.added", "staff", string(tess.ID)},
		{"bay.added", "bays", string(bay.ID)},
		{"bay.changed", "bays", string(bay.ID)},
	}
	if len(lines) != len(want) {
		t.Fatalf("the journal has %d lines, want %d: %+v", len(lines), len(want), lines)
	}
	for i, w := range want {
		l := lines[i]
		if l.Event != w.event || l.Subject != w.subject || l.SubjectID != w.id || l.Sequence != int64(i+1) || l.ActorID != string(d.owner.ID) {
			t.Errorf("line %d is %+v, want %+v", i, l, w)
		}
		if i > 0 && l.Previous != lines[i-1].Hash {
			t.Errorf("line %d does not follow the one before", i)
		}
	}
	_, err = d.Journal(t.Context(), owner, string(d.shop.ID), app.Page{After: "x"})
	wantFault(t, err, "app.cursor_unknown")
}
