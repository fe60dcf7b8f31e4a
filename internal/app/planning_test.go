package app_test

import (
	"strings"
	"testing"

	"benchtag/internal/access"
	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// mappedShop is a shop with a visit whose job works by the example map.
func mappedShop(t *testing.T, demo bool) *flowShop {
	t.Helper()
	s := newFlowShop(t)
	edit(s, string(flowShopID), func(n *shop.Shop) { n.Demo = demo })
	m, err := s.app.AddMachineMap(s.ctx, s.who, app.MapWanted{Document: exampleDocument(t, "example.map.json")})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.app.AddLimitSheet(s.ctx, s.who, app.MapWanted{Document: exampleDocument(t, "example.limits.json")}); err != nil {
		t.Fatal(err)
	}
	edit(s, string(s.mach), func(n *shop.Machine) { n.LayoutID = m.ID })
	s.visit()
	return s
}

func TestClosingFollowsTheMap(t *testing.T) {
	t.Parallel()
	targets := []access.Target{{Component: "oil_pump", Do: access.Renew}, {Component: "pickup_screen", Do: access.Look}}
	s := mappedShop(t, true)
	made, err := s.app.PlanClosing(s.ctx, s.who, s.job, targets)
	if err != nil {
		t.Fatal(err)
	}
	if len(made.HoldPoints) != 1 || len(made.Fastenings) != 2 || !strings.Contains(made.HoldPoints[0].Before, "timing cover") {
		t.Fatalf("hold points: %+v, joints: %+v", made.HoldPoints, made.Fastenings)
	}
	held := 0
	for _, f := range made.Fastenings {
		if f.Target.IsZero() || f.Source == "" || f.Stages == "" {
			t.Errorf("%s: %+v", f.Component, f)
		}
		if f.HoldPointID == made.HoldPoints[0].ID {
			held++
			if f.SafetyClass != shop.SafetyClassCritical {
				t.Errorf("%s is checked before a cover and called %s", f.Component, f.SafetyClass)
			}
		}
	}
	if held == 0 || len(made.Working) == 0 {
		t.Errorf("nothing is behind the hold point: %+v, %v", made.Fastenings, made.Working)
	}
	stored := one[shop.Fastening](s, string(made.Fastenings[0].ID))
	if stored.JobID != s.job || stored.RecordedBy != s.who.StaffID {
		t.Errorf("stored as %+v", stored)
	}

	real := mappedShop(t, false)
	made, err = real.app.PlanClosing(real.ctx, real.who, real.job, targets)
	if err != nil {
		t.Fatal(err)
	}
	if len(made.Fastenings) != 0 || !strings.Contains(strings.Join(made.Working, "\n"), "look it up in the maker's manual") {
		t.Errorf("example torques in a real shop: %+v, %v", made.Fastenings, made.Working)
	}
}
