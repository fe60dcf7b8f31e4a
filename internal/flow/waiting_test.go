package flow_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/flow"
)

func TestWaitingOn(t *testing.T) {
	t.Parallel()
	open := flow.OfferFacts{Open: true}
	flagged := flow.OfferFacts{Open: true, Flagged: true}
	due := func(id string) flow.Line { return flow.Line{Row: row(id), State: flow.LineAgreed, Consented: true} }
	part, away := due("l2"), due("l3")
	part.NeedsPart, away.Outside = true, true
	later := due("l4")
	later.AfterRide = true
	with := func(change func(*flow.Facts)) flow.Facts {
		f := good()
		change(&f)
		return f
	}
	lines := func(o flow.OfferFacts, l ...flow.Line) flow.Facts {
		return with(func(f *flow.Facts) { f.Lines, f.Offers = l, o })
	}
	hold := func(k flow.HoldKind) flow.Facts {
		return with(func(f *flow.Facts) { f.Hold = flow.Hold{Active: true, Kind: k} })
	}
	tests := []struct {
		name string
		at   flow.Stage
		f    flow.Facts
		want flow.Who
		next string // part of the sentence
	}{
		{"nothing known", flow.Intake, flow.Facts{}, flow.WhoCounter, "whose machine"},
		{"ready for the bench", flow.Intake, good(), flow.WhoBench, "Start the checks"},
		{"request at intake", flow.Intake, simple(), flow.WhoBench, "to the customer"},
		{"price of checks asked for", flow.Intake, with(func(f *flow.Facts) { f.Diagnosis.Agreed, f.Offers = false, open }), flow.WhoCustomer, "checks cost"},
		{"checks going on", flow.Diagnosis, with(func(f *flow.Facts) { f.Complaints[0].Answer = "" }), flow.WhoBench, "Answer the complaint"},
		{"wants opening", flow.Diagnosis, with(func(f *flow.Facts) { f.Teardown.Wanted, f.Teardown.Consent = true, false }), flow.WhoCounter, "consent to taking it apart"},
		{"asked to open", flow.Diagnosis, with(func(f *flow.Facts) { f.Teardown.Wanted, f.Teardown.Consent, f.Offers = true, false, open }), flow.WhoCustomer, "consent to taking it apart"},
		{"teardown", flow.Teardown, with(func(f *flow.Facts) { f.Reached[0].LookedAt = false }), flow.WhoBench, "Debris can have reached the r1"},
		{"no offer yet", flow.Authorization, with(func(f *flow.Facts) { f.Consent.Given = false }), flow.WhoCounter, "Get the customer's consent"},
		{"offer out", flow.Authorization, with(func(f *flow.Facts) { f.Consent.Given, f.Offers = false, open }), flow.WhoCustomer, "Get the customer's consent"},
		{"offer flagged", flow.Authorization, with(func(f *flow.Facts) { f.Consent.Given, f.Offers = false, flagged }), flow.WhoCounter, "Get the customer's consent"},
		{"deposit", flow.Authorization, with(func(f *flow.Facts) { f.Deposit.Paid = false }), flow.WhoCustomer, "deposit"},
		{"agreed", flow.Authorization, good(), flow.WhoBench, "Start the agreed work"},
		{"not to be done", flow.Authorization, boxed(), flow.WhoBench, "do not start"},
		{"repair going on", flow.Repair, lines(open, part, due("l1")), flow.WhoBench, "the l1"},
		{"waiting for a part", flow.Repair, lines(open, part, later), flow.WhoParts, "parts"},
		{"part and sublet", flow.Repair, lines(open, away, part), flow.WhoParts, "parts"},
		{"sublet", flow.Repair, lines(open, away), flow.WhoOutside, "outside work"},
		{"more found", flow.Repair, lines(open, later), flow.WhoCustomer, "customer's answer"},
		{"more found since", flow.Repair, lines(flagged), flow.WhoCounter, "offer again"},
		{"fastening open", flow.Repair, with(func(f *flow.Facts) { f.Fastenings[0].Done = false }), flow.WhoBench, "Tighten the j1"},
		{"through", flow.Repair, good(), flow.WhoBench, "road test"},
		{"leave to ride", flow.RoadTest, with(func(f *flow.Facts) { f.RoadTest.Outcome = "" }), flow.WhoBench, "how the run came out"},
		{"ridden", flow.RoadTest, good(), flow.WhoBench, "hand-over"},
		{"bill", flow.Release, with(func(f *flow.Facts) { f.Bill.Present = false }), flow.WhoCounter, "Make the bill"},
		{"pay", flow.Release, with(func(f *flow.Facts) { f.Bill.Paid = false }), flow.WhoCustomer, "payment"},
		{"keys", flow.Release, good(), flow.WhoCounter, "Hand it over"},
		{"hold parts", flow.Repair, hold(flow.HoldParts), flow.WhoParts, "on hold"},
		{"hold customer", flow.Diagnosis, hold(flow.HoldCustomer), flow.WhoCustomer, "on hold"},
		{"hold outside", flow.Teardown, hold(flow.HoldOutside), flow.WhoOutside, "on hold"},
		{"hold other", flow.Release, hold(flow.HoldOther), flow.WhoCounter, "on hold"},
		{"closed", flow.Closed, good(), flow.WhoNobody, ""},
		{"withdrawn", flow.Withdrawn, hold(flow.HoldParts), flow.WhoNobody, ""},
		{"no stage", "limbo", good(), flow.WhoNobody, ""},
	}
	got := map[flow.Who]bool{}
	for _, tt := range tests {
		who := flow.WaitingOn(tt.at, tt.f)
		got[who] = true
		if who != tt.want {
			t.Errorf("%s: waits on %s, want %s", tt.name, who, tt.want)
		}
		text := flow.NextThing(tt.at, tt.f)
		if !strings.Contains(text, tt.next) || (tt.next == "") != (text == "") {
			t.Errorf("%s: next thing %q, want …%s…", tt.name, text, tt.next)
		}
	}
	for _, w := range flow.Whos() {
		if !got[w] {
			t.Errorf("no case waits on %s", w)
		}
	}
}

func TestNaturalMoveExists(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		s := rapid.SampledFrom(flow.Stages()).Draw(t, "stage")
		m, ok := flow.Natural(s, f)
		if ok == s.Final() {
			t.Fatalf("%s: natural move %q, %v", s, m, ok)
		}
		if ok && !slices.Contains(flow.MovesFrom(s), m) {
			t.Fatalf("%s: %s is no move of it", s, m)
		}
	})
}

// Each typed word has a complete list without doubles or blanks.
func TestLists(t *testing.T) {
	t.Parallel()
	lists := map[string][]string{
		"stages": strs(flow.Stages()), "moves": strs(flow.Moves()), "answers": strs(flow.Answers()), "again": strs(flow.Agains()),
		"settlements": strs(flow.Settlements()), "hold kinds": strs(flow.HoldKinds()), "pre-ride": strs(flow.PreRideChecks()),
		"run kinds": strs(flow.RunKinds()), "outcomes": strs(flow.Outcomes()), "machine states": strs(flow.MachineStates()),
		"transports": strs(flow.Transports()), "who": strs(flow.Whos()), "line states": strs(flow.LineStates()),
		"line moves": strs(flow.LineMoves()), "places": flow.Places(),
	}
	sizes := map[string]int{
		"stages": 9, "moves": 14, "answers": 6, "again": 5, "settlements": 3, "hold kinds": 4, "pre-ride": 7, "run kinds": 3,
		"outcomes": 2, "machine states": 3, "transports": 2, "who": 6, "line states": 4, "line moves": 3, "places": 20,
	}
	for name, list := range lists {
		sorted := slices.Sorted(slices.Values(list))
		if len(slices.Compact(sorted)) != sizes[name] || len(list) != sizes[name] || slices.Contains(list, "") {
			t.Errorf("%s: %v", name, list)
		}
	}
}

func TestEveryMoveIsInTheTable(t *testing.T) {
	t.Parallel()
	for _, m := range flow.Moves() {
		found := slices.ContainsFunc(flow.Stages(), func(s flow.Stage) bool { _, ok := flow.Leads(s, m); return ok })
		if !found {
			t.Errorf("%s leads from nowhere", m)
		}
	}
}
