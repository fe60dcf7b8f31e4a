package auth_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/auth"
)

func TestSessionEdges(t *testing.T) {
	t.Parallel()
	const day = 24 * time.Hour
	tests := []struct {
		name           string
		roles          []auth.Role
		lastUsed, edge time.Duration // since the sign-in
	}{
		{"technician idle", []auth.Role{auth.RoleTechnician}, 0, 12 * time.Hour},
		{"technician in use", []auth.Role{auth.RoleTechnician}, 3 * day, 3*day + 12*time.Hour},
		{"advisor absolute", []auth.Role{auth.RoleAdvisor}, 30*day - time.Hour, 30 * day},
		{"nobody's roles", nil, 0, 12 * time.Hour},
		{"owner idle", []auth.Role{auth.RoleOwner}, 0, time.Hour},
		{"owner who also wrenches", []auth.Role{auth.RoleTechnician, auth.RoleOwner}, 2 * time.Hour, 3 * time.Hour},
		{"owner absolute", []auth.Role{auth.RoleOwner}, day - time.Minute, day},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := auth.Session{Started: noon(), LastUsed: noon().Add(tt.lastUsed), Limits: auth.LimitsFor(tt.roles)}
			edge := noon().Add(tt.edge)
			if !s.Until().Equal(edge) {
				t.Errorf("until %v, want %v", s.Until(), edge)
			}
			if !s.Alive(edge.Add(-time.Second)) || s.Alive(edge) || s.Alive(edge.Add(time.Second)) {
				t.Errorf("alive one second before, at and after the edge: %v %v %v",
					s.Alive(edge.Add(-time.Second)), s.Alive(edge), s.Alive(edge.Add(time.Second)))
			}
			s.Ended = noon()
			if s.Alive(noon()) {
				t.Error("an ended session lives")
			}
		})
	}
}

func TestRotate(t *testing.T) {
	t.Parallel()
	live := auth.Session{Started: noon(), LastUsed: noon(), Limits: auth.LimitsFor(nil)}
	ended := live
	ended.Ended = noon()
	tests := []struct {
		name  string
		in    auth.RefreshState
		after time.Duration
		want  auth.Rotation
	}{
		{"first use", auth.RefreshState{Session: live}, time.Minute, auth.RotationRotate},
		{"again at once", auth.RefreshState{Session: live, ConsumedAt: noon()}, 0, auth.RotationRepeat},
		{"again after 10 s", auth.RefreshState{Session: live, ConsumedAt: noon()}, 10 * time.Second, auth.RotationRepeat},
		{"again a hair after 10 s", auth.RefreshState{Session: live, ConsumedAt: noon()}, 10*time.Second + time.Microsecond, auth.RotationReplay},
		{"again after 11 s", auth.RefreshState{Session: live, ConsumedAt: noon()}, 11 * time.Second, auth.RotationReplay},
		{"again, successor used", auth.RefreshState{Session: live, ConsumedAt: noon(), SuccessorUsed: true}, time.Second, auth.RotationReplay},
		{"consumed in the future by an hour", auth.RefreshState{Session: live, ConsumedAt: noon().Add(time.Hour)}, 0, auth.RotationReplay},
		{"session ended", auth.RefreshState{Session: ended}, time.Second, auth.RotationExpired},
		{"session ended, replay", auth.RefreshState{Session: ended, ConsumedAt: noon(), SuccessorUsed: true}, time.Second, auth.RotationExpired},
		{"idle too long", auth.RefreshState{Session: live}, 12 * time.Hour, auth.RotationExpired},
	}
	seen := map[auth.Rotation]bool{}
	for _, tt := range tests {
		seen[tt.want] = true
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if diff := cmp.Diff(tt.want, auth.Rotate(tt.in, noon().Add(tt.after))); diff != "" {
				t.Error(diff)
			}
		})
	}
	for _, r := range auth.Rotations() {
		if !seen[r] {
			t.Errorf("no case for %s", r)
		}
	}
}

// A family of tokens, refreshed by its holder and by a thief with a copy of
// one: once both have used their copies after the retry window, it is dead.
func TestRotateThief(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		now := noon()
		session := auth.Session{Started: now, LastUsed: now, Limits: auth.LimitsFor(nil)}
		consumed := make([]time.Time, 1, 50) // of each token of the family, in order
		present := func(i int) auth.Rotation {
			used := i+1 < len(consumed) && !consumed[i+1].IsZero()
			verdict := auth.Rotate(auth.RefreshState{Session: session, ConsumedAt: consumed[i], SuccessorUsed: used}, now)
			switch verdict {
			case auth.RotationRotate:
				consumed[i], session.LastUsed = now, now
				consumed = append(consumed, time.Time{})
			case auth.RotationReplay:
				session.Ended = now
			}
			return verdict
		}
		for range rapid.IntRange(1, 20).Draw(t, "refreshes") {
			now = now.Add(time.Duration(rapid.IntRange(1, 3600).Draw(t, "seconds")) * time.Second)
			if got := present(len(consumed) - 1); got != auth.RotationRotate {
				t.Fatalf("the holder got %s", got)
			}
		}
		stolen := rapid.IntRange(0, len(consumed)-2).Draw(t, "stolen")
		now = now.Add(11 * time.Second)
		if got := present(stolen); got != auth.RotationReplay {
			t.Fatalf("the thief got %s", got)
		}
		if got := present(len(consumed) - 1); got != auth.RotationExpired {
			t.Fatalf("the newest token still gives %s", got)
		}
	})
}

func TestFreshEnough(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		age  time.Duration
		want bool
	}{
		{"now", 0, true},
		{"just inside", 2 * time.Minute, true},
		{"just outside", 2*time.Minute + time.Microsecond, false},
		{"another server's clock is ahead", -30 * time.Second, true},
		{"from the future", -31 * time.Second, false},
	}
	for _, tt := range tests {
		if got := auth.FreshEnough(noon().Add(-tt.age), auth.SecondPersonLimit, noon()); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
	if auth.FreshEnough(time.Time{}, 1<<62, time.Time{}) {
		t.Error("no proof at all is fresh")
	}
}

func TestPrincipalCheck(t *testing.T) {
	t.Parallel()
	valid := map[auth.Kind]auth.Principal{
		auth.KindNobody: {},
		auth.KindStaff:  {Kind: auth.KindStaff, ShopID: "s", StaffID: "p", SessionID: "x", AuthTime: noon(), Roles: []auth.Role{auth.RoleOwner}},
		auth.KindSignOn: {Kind: auth.KindSignOn, ShopID: "s", StaffID: "p", TabletID: "t", SignOnID: "o", AuthTime: noon(), Roles: []auth.Role{auth.RoleTechnician}},
		auth.KindTablet: {Kind: auth.KindTablet, ShopID: "s", TabletID: "t"},
		auth.KindLink:   {Kind: auth.KindLink, ShopID: "s", LinkID: "l"},
	}
	for _, from := range auth.Kinds() {
		for _, to := range auth.Kinds() {
			p, ok := valid[from]
			if !ok {
				t.Fatalf("no example of kind %q", from)
			}
			p.Kind = to
			if err := p.Check(); (err == nil) != (from == to) {
				t.Errorf("a %q called %q: %v", from, to, err)
			}
		}
	}
	if err := (auth.Principal{Kind: "ghost"}).Check(); err == nil {
		t.Error("an unknown kind passes")
	}
	if p := valid[auth.KindSignOn]; !p.Has(auth.RoleTechnician) || p.Has(auth.RoleOwner) {
		t.Error("roles are mixed up")
	}
	if (auth.Principal{Kind: auth.KindTablet, Roles: auth.Roles()}).Has(auth.RoleOwner) {
		t.Error("a tablet alone holds a role")
	}
	if !slices.Contains(auth.Roles(), auth.RoleAdvisor) || len(auth.Roles()) != 3 {
		t.Errorf("roles %v", auth.Roles())
	}
}
