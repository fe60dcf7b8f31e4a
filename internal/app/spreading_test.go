package app_test

import (
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/internal/spread"
)

// reachedGates gives what still keeps the question to the customer back:
// what debris can have reached and nobody spoke of.
func reachedGates(s *flowShop) []string {
	s.t.Helper()
	moves, err := s.app.GetMoves(s.ctx, s.who, s.job)
	if err != nil {
		s.t.Fatal(err)
	}
	var out []string
	for _, m := range moves.Options {
		for _, g := range m.Unmet {
			if g.Code == "authorization.reached_not_looked_at" {
				out = append(out, g.Message)
			}
		}
	}
	return out
}

func TestFindingsSayWhereDebrisHasGotTo(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, false)
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageTeardown })
	if got := reachedGates(s); len(got) != 0 {
		t.Errorf("before anything was found: %v", got)
	}
	put := func(id string, fill func(*shop.Finding)) {
		t.Helper()
		whole := func(f *shop.Finding) { f.Pieces = shop.PiecesNone; fill(f) }
		if _, _, err := s.app.PutFinding(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, whole); err != nil {
			t.Fatal(err)
		}
	}
	grade := int64(4)
	put(s.src.ID(), func(f *shop.Finding) {
		f.Component, f.LookedAtGrade, f.SafeToRide, f.InPieces, f.Pieces = "timing_chain", &grade, shop.YesNoNo, true, shop.PiecesMissing
	})
	got := reachedGates(s)
	all := strings.Join(got, "\n")
	for _, part := range []string{"oil pump", "pick-up screen", "main bearings"} {
		if !strings.Contains(all, part) {
			t.Errorf("nothing asks for the %s: %v", part, got)
		}
	}
	answer, err := s.app.Spread(s.ctx, s.who, s.job)
	if err != nil || answer.Verdict != "exposed_coarse" || len(answer.Working) < 5 {
		t.Errorf("the spread: %+v, %v", answer, err)
	}

	// One entry answers for many; a look answers for one.
	put(s.src.ID(), func(f *shop.Finding) {
		f.Component, f.Members, f.SafeToRide, f.NotLookedBecause = "oil side", []string{"main_bearings", "drain_plug"}, shop.YesNoNotKnown, "The cases would have to be split."
	})
	put(s.src.ID(), func(f *shop.Finding) {
		f.Component, f.SafeToRide, f.Debris = "oil_pump", shop.YesNoNotKnown, &shop.FindingDebris{Seen: string(spread.FoundClean)}
	})
	put(s.src.ID(), func(f *shop.Finding) {
		f.Component, f.SafeToRide, f.LookedAtGrade = "oil_filter", shop.YesNoNotKnown, new(int64)
	})
	got = reachedGates(s)
	if len(got) != 1 || !strings.Contains(got[0], "pick-up screen") {
		t.Errorf("left to look at: %v", got)
	}
}

// A wide piece that lay on the screen did not get through it, and its width
// says so; without one it counts as having gone on.
func TestWidePiecesStayWhereTheyWereSeen(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct {
		width  shop.Quantity
		coarse bool // whether the pump is exposed to coarse pieces
	}{
		"wider than the mesh": {shop.Quantity{Value: "9", Unit: "mm"}, false},
		"narrower":            {shop.Quantity{Value: "0.2", Unit: "mm"}, true},
		"not known":           {shop.Quantity{}, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := mappedShop(t, false)
			id := s.src.ID()
			_, _, err := s.app.PutFinding(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(f *shop.Finding) {
				f.Component, f.SafeToRide, f.Pieces = "pickup_screen", shop.YesNoNotKnown, shop.PiecesNone
				f.Debris = &shop.FindingDebris{Seen: string(spread.FoundCoarse), SeenMaterials: []string{"plastic"}, SeenWidth: tt.width}
			})
			if err != nil {
				t.Fatal(err)
			}
			answer, err := s.app.Spread(s.ctx, s.who, s.job)
			if err != nil {
				t.Fatal(err)
			}
			coarse := strings.Contains(strings.Join(answer.Working, "\n"), "oil pump: exposed coarse")
			if coarse != tt.coarse {
				t.Errorf("the pump is exposed to coarse pieces: %v, want %v; %v", coarse, tt.coarse, answer.Working)
			}
		})
	}
}
