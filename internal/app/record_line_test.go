package app_test

import (
	"testing"

	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func TestLineFigures(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	part := func(l *shop.Line) { recLine(l); l.Kind, l.Minutes, l.QuantityMilli = shop.LineKindPart, 0, 2000 }
	possible := func(ceiling *money.Amount) func(*shop.Line) {
		return func(l *shop.Line) { recLine(l); l.Certainty, l.Ceiling = shop.CertaintyPossible, ceiling }
	}
	for _, c := range []struct {
		name, code, at string
		fill           func(*shop.Line)
	}{
		{"an hour", "", "", recLine},
		{"two parts", "", "", part},
		{"possible without a ceiling", "", "", possible(nil)},
		{"possible with room", "", "", possible(recCents(15_000))},
		{"possible at its amount", "", "", possible(recCents(10_000))},
		{"a ceiling too low", "estimate.ceiling_too_low", "/ceiling", possible(recCents(9_999))},
		{"a ceiling of nothing", "app.line_ceiling_too_low", "/ceiling", possible(recCents(0))},
		{"a ceiling on a certain line", "app.line_ceiling_on_certain", "/ceiling", func(l *shop.Line) { recLine(l); l.Ceiling = recCents(20_000) }},
		{"labour without minutes", "app.line_minutes_missing", "/minutes", func(l *shop.Line) { recLine(l); l.Minutes = 0 }},
		{"labour with a quantity", "app.line_quantity_on_labour", "/quantity_milli", func(l *shop.Line) { recLine(l); l.QuantityMilli = 1000 }},
		{"a part without a quantity", "app.line_quantity_missing", "/quantity_milli", func(l *shop.Line) { part(l); l.QuantityMilli = 0 }},
		{"a part with minutes", "app.line_minutes_not_labour", "/minutes", func(l *shop.Line) { part(l); l.Minutes = 5 }},
		{"a tax nobody set up", "estimate.tax_category_unknown", "/tax_category", func(l *shop.Line) { recLine(l); l.TaxCategory = "none" }},
	} {
		row, err := recNew(h, h.advisor, h.PutLine, c.fill)
		if c.code != "" {
			t.Log(c.name)
			recRefused(t, err, fault.Meaning, c.code, c.at)
			continue
		}
		if err != nil || row.State != shop.LineStateProposed {
			t.Errorf("%s: state %q, %v", c.name, row.State, err)
		}
	}
}

func TestLineNames(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	finding, complaint := recMust(h, h.tech, h.PutFinding, recFinding), recMust(h, h.tech, h.PutComplaint, recComplaint)
	tied := func(l *shop.Line) { recLine(l); l.FindingID, l.ComplaintID = finding.ID, complaint.ID }
	recMust(h, h.advisor, h.PutLine, tied)
	h.job = h.sister
	_, err := recNew(h, h.advisor, h.PutLine, func(l *shop.Line) { tied(l); l.ComplaintID = "" })
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/finding_id")
	_, err = recNew(h, h.advisor, h.PutLine, func(l *shop.Line) { tied(l); l.FindingID = "" })
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/complaint_id")
}

func TestLineStates(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	for _, c := range []struct {
		state        shop.LineState
		edit, strike string
	}{
		{shop.LineStateProposed, "", ""},
		{shop.LineStateAgreed, "app.line_not_proposed", ""},
		{shop.LineStateDone, "app.line_not_proposed", "flow.line_move_unknown"},
	} {
		line := recMust(h, h.advisor, h.PutLine, recLine)
		recSet(h, line.ID, func(l *shop.Line) { l.State = c.state })
		line = recRow[shop.Line](h, line.ID)
		after, err := recEdit(h, h.advisor, h.PutLine, line, func(l *shop.Line) { l.UnitPrice = 12_000 })
		if c.edit != "" {
			recRefused(t, err, fault.Conflict, c.edit)
		} else if err != nil {
			t.Errorf("%s: edit: %v", c.state, err)
		} else {
			line = after
		}
		struck, err := h.StrikeLine(t.Context(), h.advisor, recAt(line), "not wanted")
		if c.strike != "" {
			recRefused(t, err, fault.Conflict, c.strike)
			continue
		}
		if err != nil || struck.State != shop.LineStateStruck || !struck.IsStruck() {
			t.Errorf("%s: strike: %s, %v", c.state, struck.State, err)
		}
	}
}

func TestTouchingAnOffer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		touch func(h *recShop, line shop.Line, scope shop.Scope) error
		want  shop.OfferState
	}{
		{"its line edited", func(h *recShop, l shop.Line, _ shop.Scope) error {
			_, err := recEdit(h, h.advisor, h.PutLine, l, func(l *shop.Line) { l.UnitPrice = 12_000 })
			return err
		}, shop.OfferStateChanged},
		{"its line struck", func(h *recShop, l shop.Line, _ shop.Scope) error {
			_, err := h.StrikeLine(h.t.Context(), h.advisor, recAt(l), "no")
			return err
		}, shop.OfferStateChanged},
		{"its way forward edited", func(h *recShop, _ shop.Line, s shop.Scope) error {
			_, err := recEdit(h, h.advisor, h.PutScope, s, func(s *shop.Scope) { s.Warranty = "a year" })
			return err
		}, shop.OfferStateChanged},
		{"its way forward struck", func(h *recShop, _ shop.Line, s shop.Scope) error {
			_, err := h.StrikeScope(h.t.Context(), h.advisor, recAt(s), "no")
			return err
		}, shop.OfferStateChanged},
		{"another line", func(h *recShop, _ shop.Line, _ shop.Scope) error {
			other := recMust(h, h.advisor, h.PutLine, recLine)
			_, err := h.StrikeLine(h.t.Context(), h.advisor, recAt(other), "no")
			return err
		}, shop.OfferStateOpen},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := openRecShop(t)
			line := recMust(h, h.advisor, h.PutLine, recLine)
			scope, offer := h.offer(line.ID)
			if err := c.touch(h, line, scope); err != nil {
				t.Fatal(err)
			}
			if got := recRow[shop.Offer](h, offer).State; got != c.want {
				t.Errorf("the offer is %s, want %s", got, c.want)
			}
		})
	}
}

func TestScopeLines(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	good, gone := recMust(h, h.advisor, h.PutLine, recLine), recMust(h, h.advisor, h.PutLine, recLine)
	var other shop.Line
	h.inJob(h.sister, func() { other = recMust(h, h.advisor, h.PutLine, recLine) })
	if _, err := h.StrikeLine(t.Context(), h.advisor, recAt(gone), "no"); err != nil {
		t.Fatal(err)
	}
	with := func(ids ...shop.LineID) func(*shop.Scope) {
		return func(s *shop.Scope) {
			s.Title, s.Kind, s.WhatWeDo, s.MayRide = "All of it", shop.ScopeKindTeardown, "fit it", shop.RideAnswerNotKnown
			for _, id := range ids {
				s.LineIDs = append(s.LineIDs, string(id))
			}
		}
	}
	recMust(h, h.advisor, h.PutScope, with())
	row := recMust(h, h.advisor, h.PutScope, with(good.ID))
	_, err := recNew(h, h.advisor, h.PutScope, with(good.ID, other.ID, gone.ID, good.ID))
	recRefused(t, err, fault.Meaning, "app.scope_lines_wrong", "/line_ids/1", "/line_ids/2", "/line_ids/3")

	g := h.consent(shop.ConsentKindTeardown, nil, func(g *shop.Consent) { g.ScopeID = row.ID })
	_, err = recEdit(h, h.advisor, h.PutScope, row, func(s *shop.Scope) { s.Title = "Half of it" })
	recRefused(t, err, fault.Conflict, "app.scope_agreed")
	_, err = h.StrikeScope(t.Context(), h.advisor, recAt(row), "no")
	recRefused(t, err, fault.Conflict, "app.scope_agreed")
	now := h.clock.Now()
	recSet(h, g, func(g *shop.Consent) { g.RevokedAt = &now })
	if _, err := h.StrikeScope(t.Context(), h.advisor, recAt(row), "taken back"); err != nil {
		t.Errorf("with the consent taken back: %v", err)
	}
}

// An hour is 110.00 with its tax.
func TestAgreeLineUnderALimit(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	yes := h.consent(shop.ConsentKindDropOff, recCents(22_000), nil)
	first, second, third := recMust(h, h.advisor, h.PutLine, recLine), recMust(h, h.advisor, h.PutLine, recLine), recMust(h, h.advisor, h.PutLine, recLine)
	for _, l := range []shop.Line{first, second} {
		row, err := h.AgreeLine(t.Context(), h.advisor, recAt(l), yes)
		if err != nil || row.State != shop.LineStateAgreed || row.ConsentID != yes {
			t.Fatalf("%s under %s, %v", row.State, row.ConsentID, err)
		}
	}
	_, err := h.AgreeLine(t.Context(), h.advisor, recAt(third), yes)
	recGates(t, err, "lines.not_covered")
	_, err = h.AgreeLine(t.Context(), h.advisor, recAt(first), yes)
	recRefused(t, err, fault.Conflict, "flow.line_move_unknown")

	if _, err := h.StrikeLine(t.Context(), h.advisor, recAt(second), "not needed"); err != nil {
		t.Fatal(err)
	}
	if _, err := h.AgreeLine(t.Context(), h.advisor, recAt(third), yes); err != nil {
		t.Errorf("a struck line still takes up the limit: %v", err)
	}
}

func TestAgreeLineCountsTheUpperEnd(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	line := recMust(h, h.advisor, h.PutLine, func(l *shop.Line) { recLine(l); l.Certainty, l.Ceiling = shop.CertaintyPossible, recCents(12_000) })
	_, err := h.AgreeLine(t.Context(), h.advisor, recAt(line), h.consent(shop.ConsentKindDropOff, recCents(13_199), nil))
	recGates(t, err, "lines.not_covered")
	if _, err = h.AgreeLine(t.Context(), h.advisor, recAt(line), h.consent(shop.ConsentKindDropOff, recCents(13_200), nil)); err != nil {
		t.Error(err)
	}
}

func TestAgreeLineConsents(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	now := h.clock.Now()
	work := func(w shop.LineWork) shop.Line {
		return recMust(h, h.advisor, h.PutLine, func(l *shop.Line) { recLine(l); l.Work = w })
	}
	other := func(g *shop.Consent) { g.JobID = h.sister }
	for _, c := range []struct {
		name, code string
		work       shop.LineWork
		under      shop.ConsentID
	}{
		{"none", "app.consent_unknown", shop.LineWorkRepair, shop.ConsentID(h.src.ID())},
		{"of another job", "app.consent_unknown", shop.LineWorkRepair, h.consent(shop.ConsentKindDropOff, recCents(90_000), other)},
		{"without a limit", "app.consent_without_limit", shop.LineWorkRepair, h.consent(shop.ConsentKindDropOff, nil, nil)},
		{"of a repair", "app.consent_without_limit", shop.LineWorkRepair, h.consent(shop.ConsentKindRepair, recCents(90_000), nil)},
		{"a no", "app.consent_without_limit", shop.LineWorkRepair, h.consent(shop.ConsentKindDropOff, recCents(90_000), func(g *shop.Consent) { g.Decision = shop.DecisionDeclined })},
		{"not on full record", "app.limit_not_counted", shop.LineWorkRepair, h.consent(shop.ConsentKindDropOff, recCents(90_000), func(g *shop.Consent) { g.Note, g.TypedName = "", "" })},
		{"taken back", "app.consent_revoked", shop.LineWorkRepair, h.consent(shop.ConsentKindDropOff, recCents(90_000), func(g *shop.Consent) { g.RevokedAt = &now })},
		{"diagnosis for repair", "app.line_outside_consent", shop.LineWorkRepair, h.consent(shop.ConsentKindDiagnosis, recCents(90_000), nil)},
		{"diagnosis for itself", "", shop.LineWorkDiagnosis, h.consent(shop.ConsentKindDiagnosis, recCents(90_000), nil)},
		{"teardown for repair", "app.line_outside_consent", shop.LineWorkRepair, h.consent(shop.ConsentKindTeardown, recCents(90_000), nil)},
		{"teardown for putting back", "", shop.LineWorkReassembly, h.consent(shop.ConsentKindTeardown, recCents(90_000), nil)},
		{"drop-off for repair", "", shop.LineWorkRepair, h.consent(shop.ConsentKindDropOff, recCents(90_000), nil)},
	} {
		_, err := h.AgreeLine(t.Context(), h.advisor, recAt(work(c.work)), c.under)
		if c.code == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		t.Log(c.name)
		recRefused(t, err, fault.Meaning, c.code)
	}
}

func TestFinishLine(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	line := recMust(h, h.advisor, h.PutLine, recLine)
	h.stage(shop.StageRepair)
	_, err := h.FinishLine(t.Context(), h.tech, recAt(line))
	recGates(t, err, "lines.not_agreed")
	recSet(h, line.ID, func(l *shop.Line) { l.State = shop.LineStateAgreed })
	h.stage(shop.StageAuthorization)
	_, err = h.FinishLine(t.Context(), h.tech, recAt(line))
	recGates(t, err, "lines.not_now")
	h.stage(shop.StageRepair)
	row, err := h.FinishLine(t.Context(), h.tech, recAt(line))
	if err != nil || row.State != shop.LineStateDone || row.DoneBy != h.tech.StaffID || !row.DoneAt.Equal(h.clock.Now()) {
		t.Fatalf("%+v, %v", row, err)
	}
	_, err = h.FinishLine(t.Context(), h.tech, recAt(line))
	recRefused(t, err, fault.Conflict, "flow.line_move_unknown")
	h.stage(shop.StageClosed)
	_, err = h.FinishLine(t.Context(), h.tech, recAt(line))
	recRefused(t, err, fault.Conflict, "app.job_closed")
}
