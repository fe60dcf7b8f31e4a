package app_test

import (
	"sync"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/store/storetest"
)

// Trust R5: whatever is wrong, the answer and the number of hashes are the same.
func TestSignInGivesNoOracle(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	gone := d.hire("gone", shop.RoleTechnician)
	_, owner := d.mustSignIn("orla")
	if _, err := d.ReplaceStaff(t.Context(), owner, app.ShopPut{ID: string(gone.ID), Match: 1}, func(n *shop.Staff) { n.Disabled = true }); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ name, shop, login, password string }{
		{"unknown shop", "nowhere", "orla", deskPassword},
		{"unknown login", "kettle-lane", "nobody", deskPassword},
		{"wrong password", "kettle-lane", "orla", "something else entirely"},
		{"disabled", "kettle-lane", "gone", deskPassword},
	} {
		before := d.hasher.looked.Load()
		_, err := d.SignIn(t.Context(), app.SignIn{Shop: tt.shop, Login: tt.login, Password: tt.password, Keep: shop.SessionKindApi}, app.Client{})
		f := wantFault(t, err, "app.sign_in_wrong")
		if f.Kind != fault.Unauthenticated || len(f.Fields) != 0 {
			t.Errorf("%s: %+v tells more than the others", tt.name, f)
		}
		if n := d.hasher.looked.Load() - before; n != 1 {
			t.Errorf("%s: %d hashes were reckoned, want 1", tt.name, n)
		}
	}
	if _, err := d.signIn(" Orla ", deskPassword); err != nil {
		t.Errorf("case and blanks around a login matter: %v", err)
	}
}

// Trust R4: ten thousand guesses over a week look at no more than a hundred
// hashes, also across restarts; and a right password no longer helps.
func TestGuessingStops(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	before := d.hasher.looked.Load()
	const guesses = 1500
	for i := range guesses {
		if i == 40 {
			d.open() // the program starts anew
		}
		_, err := d.signIn("orla", "a guess that is wrong")
		if err == nil {
			t.Fatal("a wrong password signed in")
		}
		if fault.Is(err, fault.TooMany) && wantAny(t, err).RetryAfter < 1 {
			t.Fatal("a refusal does not say when to come back")
		}
		d.clock.Advance(7 * 24 * time.Hour / guesses)
	}
	looked := d.hasher.looked.Load() - before
	if looked != 100 {
		t.Errorf("%d hashes were reckoned, want exactly 100", looked)
	}
	d.clock.Advance(24 * time.Hour)
	_, err := d.signIn("orla", deskPassword)
	wantFault(t, err, "app.guess_stopped")
	if d.hasher.looked.Load()-before != looked {
		t.Error("a stopped account still costs a hash")
	}
}

func wantAny(t *testing.T, err error) *fault.Error {
	t.Helper()
	f, ok := err.(*fault.Error)
	if !ok {
		t.Fatalf("%v is no fault", err)
	}
	return f
}

func TestThrottleWaitsAndSurvivesRestart(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	for range 5 {
		_, err := d.signIn("orla", "a guess that is wrong")
		wantFault(t, err, "app.sign_in_wrong")
	}
	d.open()
	before := d.hasher.looked.Load()
	_, err := d.signIn("orla", deskPassword)
	if f := wantFault(t, err, "app.guess_too_soon"); f.RetryAfter != 1 {
		t.Errorf("come back in %d s, want 1", f.RetryAfter)
	}
	if d.hasher.looked.Load() != before {
		t.Error("a guess that came too soon was looked at")
	}
	d.clock.Advance(time.Second)
	d.mustSignIn("orla")
	if left := rowsOf[shop.SignInCounter](d, nil); len(left) != 0 {
		t.Errorf("%d counters are left after a right password", len(left))
	}
}

func TestKnownDeviceIsNotLockedOut(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	had, _ := d.mustSignIn("orla")
	for range 5 {
		_, _ = d.signIn("orla", "a stranger's guess")
	}
	_, err := d.signIn("orla", deskPassword)
	wantFault(t, err, "app.guess_too_soon")
	known := app.SignIn{Shop: "kettle-lane", Login: "orla", Password: deskPassword, Keep: shop.SessionKindApi, Shown: had.Refresh}
	if _, err := d.SignIn(t.Context(), known, app.Client{}); err != nil {
		t.Errorf("the person's own device was locked out: %v", err)
	}
	known.Shown = "refresh." + string(d.shop.ID) + ".made-up"
	_, err = d.SignIn(t.Context(), known, app.Client{})
	wantFault(t, err, "app.guess_too_soon")
}

func TestBusyHasherCountsNoFailure(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	d.hasher.busy.Store(true)
	for range 20 {
		_, err := d.signIn("orla", deskPassword)
		if !fault.Is(err, fault.Unavailable) {
			t.Fatalf("got %v, want unavailable", err)
		}
	}
	d.hasher.busy.Store(false)
	d.mustSignIn("orla")
}

// Trust R1: a hash of an older cost is made anew at the next sign-in.
func TestRehash(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	d.hasher.cost = "v3"
	d.mustSignIn("orla")
	n := rowsOf[shop.Staff](d, nil)[0]
	if want, _ := d.hasher.Hash(t.Context(), deskPassword); n.PasswordHash != want {
		t.Errorf("stored %q, want %q", n.PasswordHash, want)
	}
	d.mustSignIn("orla")
}

// Trust R3, as far as the app gives the rules their words.
func TestPasswordRules(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	_, who := d.mustSignIn("orla")
	caller := app.Caller{Who: who, Shop: d.shop}
	for _, tt := range []struct{ password, code string }{
		{"short", "auth.password_short"},
		{"correcthorsebatterystaple", "auth.password_common"},
		{"kettle-lane is my place", "auth.password_context"},
		{"my benchtag password", "auth.password_context"},
		{"tangerine the wrenchperson", ""},
	} {
		_, err := d.FirstPassword(t.Context(), caller, "tangy", "Nectarine", tt.password)
		if tt.code == "" {
			if err != nil {
				t.Errorf("%q: %v", tt.password, err)
			}
			continue
		}
		if f := wantFault(t, err, tt.code); f.Fields[0].Pointer != "/password" {
			t.Errorf("%q points at %s", tt.password, f.Fields[0].Pointer)
		}
	}
}

// onBoth runs a test of races on both databases.
func onBoth(t *testing.T, test func(t *testing.T, d *desk)) {
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); test(t, openDesk(t)) })
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		test(t, openDeskOn(t, storetest.Address(t)))
	})
}

// Trust R10: fifty at once get one successor, and it works.
func TestParallelRefreshesGiveOneSuccessor(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, d *desk) {
		in, _ := d.mustSignIn("orla")
		got := make([]string, 50)
		var wg sync.WaitGroup
		for i := range got {
			wg.Go(func() {
				out, err := d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh}, app.Client{})
				if err != nil {
					t.Error(err)
				}
				got[i] = out.Refresh
			})
		}
		wg.Wait()
		for _, text := range got {
			if text == "" || text != got[0] || text == in.Refresh {
				t.Fatal("the successors differ")
			}
		}
		if n := len(rowsOf[shop.RefreshToken](d, nil)); n != 2 {
			t.Errorf("%d refresh tokens are stored, want 2", n)
		}
		if _, err := d.Refresh(t.Context(), app.RefreshIn{Token: got[0]}, app.Client{}); err != nil {
			t.Errorf("the successor does not work: %v", err)
		}
	})
}

// Trust R4: guesses made at the same moment do not share one state.
func TestParallelGuessesAreAllCounted(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, d *desk) {
		before := d.hasher.looked.Load()
		var wg sync.WaitGroup
		for range 40 {
			wg.Go(func() {
				if _, err := d.signIn("orla", "a guess that is wrong"); err == nil {
					t.Error("a wrong password signed in")
				}
			})
		}
		wg.Wait()
		if n := d.hasher.looked.Load() - before; n < 1 || n > 5 {
			t.Errorf("%d of 40 guesses at one moment were looked at, want at most 5", n)
		}
	})
}

// Trust R10: a replay ends the family and tells the owner, once.
func TestReplayKillsTheFamily(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		wait time.Duration
		use  bool // the successor was used in between
		dies bool
	}{
		{"a lost answer", 10 * time.Second, false, false},
		{"too late", 10*time.Second + time.Microsecond, false, true},
		{"successor used", time.Second, true, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			d := openDesk(t)
			in, _ := d.mustSignIn("orla")
			next, err := d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh}, app.Client{})
			if err != nil {
				t.Fatal(err)
			}
			if tt.use {
				if next, err = d.Refresh(t.Context(), app.RefreshIn{Token: next.Refresh}, app.Client{}); err != nil {
					t.Fatal(err)
				}
			}
			d.clock.Advance(tt.wait)
			_, err = d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh}, app.Client{IP: "198.51.100.7"})
			if !tt.dies {
				if err != nil {
					t.Fatal(err)
				}
				return
			}
			wantFault(t, err, "app.sign_in_again")
			_, err = d.Refresh(t.Context(), app.RefreshIn{Token: next.Refresh}, app.Client{})
			wantFault(t, err, "app.sign_in_again")
			_, err = d.whoHas(next.Access)
			wantFault(t, err, "app.sign_in_again")
			events := rowsOf[shop.SecurityEvent](d, nil)
			if len(events) != 1 || events[0].Kind != "refresh.replayed" || events[0].IP != "198.51.100.7" || events[0].StaffID != d.owner.ID {
				t.Errorf("the owner was told %+v", events)
			}
		})
	}
}

// Trust R8: a token of one kind is worth nothing as another.
func TestTokenKindsExcludeEachOther(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	in, who := d.mustSignIn("orla")
	made, err := d.AddTablet(t.Context(), who, "Bench 1")
	if err != nil {
		t.Fatal(err)
	}
	_, device, err := d.EnrolTablet(t.Context(), made.Code)
	if err != nil {
		t.Fatal(err)
	}
	uses := map[string]func(string) error{
		"access": func(text string) error { _, err := d.whoHas(text); return err },
		"refresh": func(text string) error {
			_, err := d.Refresh(t.Context(), app.RefreshIn{Token: text}, app.Client{})
			return err
		},
		"device": func(text string) error { _, err := d.AuthenticateTablet(t.Context(), text); return err },
		"enrol":  func(text string) error { _, _, err := d.EnrolTablet(t.Context(), text); return err },
		"setup":  func(text string) error { _, err := d.SetUp(t.Context(), text, app.NewShop{}, app.Client{}); return err },
	}
	for kind, text := range map[string]string{"access": in.Access, "refresh": in.Refresh, "device": device, "enrol": made.Code} {
		for use, try := range uses {
			if use == kind {
				continue
			}
			if err := try(text); !fault.Is(err, fault.Unauthenticated) && !fault.Is(err, fault.Forbidden) {
				t.Errorf("%s as %s: %v", kind, use, err)
			}
		}
	}
}

// Trust R11, at the edges.
func TestSessionsRunOut(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	d.hire("tess", shop.RoleTechnician)
	for _, tt := range []struct {
		login          string
		idle, absolute time.Duration
	}{{"orla", time.Hour, 24 * time.Hour}, {"tess", 12 * time.Hour, 30 * 24 * time.Hour}} {
		in, _ := d.mustSignIn(tt.login)
		d.clock.Advance(tt.idle - time.Second)
		if _, err := d.whoHas(in.Access); err != nil {
			t.Errorf("%s: out before the idle limit: %v", tt.login, err)
		}
		d.clock.Advance(time.Second)
		if _, err := d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh}, app.Client{}); err == nil {
			t.Errorf("%s: refreshed at the idle limit", tt.login)
		}
		in, _ = d.mustSignIn(tt.login)
		start := d.clock.Now()
		for d.clock.Now().Sub(start) < tt.absolute-tt.idle/2 {
			d.clock.Advance(tt.idle / 2)
			next, err := d.Refresh(t.Context(), app.RefreshIn{Token: in.Refresh}, app.Client{})
			if err != nil {
				t.Fatalf("%s: after %v: %v", tt.login, d.clock.Now().Sub(start), err)
			}
			in = next
		}
		d.clock.Set(start.Add(tt.absolute))
		if _, err := d.whoHas(in.Access); err == nil {
			t.Errorf("%s: lives past the absolute limit", tt.login)
		}
	}
}
