package flow_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/flow"
)

// simple is all that a tyre, a service or a slack chain has to say for
// itself to get from intake to closed.
func simple() flow.Facts {
	return flow.Facts{
		Intake:     flow.IntakeFacts{Customer: true, Machine: true, Odometer: true, Given: true},
		Complaints: []flow.Complaint{{Row: row("c1"), Answer: flow.AnswerRequest}},
		DropOff:    flow.DropOffLimit{Counts: true, Covers: true},
		Lines:      []flow.Line{{Row: row("l1"), State: flow.LineDone, Consented: true}},
		PreRide:    preRide(),
		RoadTest:   flow.RoadTestFacts{Kind: flow.RunRide, RiderLicensed: true, RiderInsured: true, LeaveToRide: true, DistanceOut: true, Outcome: flow.OutcomeOK},
		Bill:       flow.BillFacts{Present: true, WithinConsent: true, Paid: true},
		HandOver:   flow.HandOver{Advice: true, To: "owner"},
	}
}

type leg struct {
	move flow.Move
	want flow.Stage
}

func travel(t *testing.T, f flow.Facts, legs []leg) {
	t.Helper()
	at := flow.Intake
	for _, l := range legs {
		to, unmet, err := flow.Next(at, l.move, f)
		if err != nil || to != l.want {
			t.Fatalf("%s x %s: %s, %v, %v; want %s", at, l.move, to, codes(unmet), err, l.want)
		}
		at = to
	}
}

func TestStories(t *testing.T) {
	t.Parallel()
	oilService := simple()
	oilService.FirstStart = flow.FirstStartFacts{OilOut: true, OilIn: true, ToolsOut: true}
	gone := flow.Facts{Withdrawal: flow.Withdrawal{Reason: "changed his mind", State: flow.StateComplete}}
	hold := gone
	hold.Hold = flow.Hold{Active: true, Kind: flow.HoldCustomer}
	tests := []struct {
		name string
		f    flow.Facts
		legs []leg
	}{
		{"a tyre", simple(), []leg{
			{flow.AskCustomer, flow.Authorization}, {flow.StartRepair, flow.Repair}, {flow.ToRoadTest, flow.RoadTest},
			{flow.ToRelease, flow.Release}, {flow.Close, flow.Closed},
		}},
		{"an oil change asks nothing of the timing marks", oilService, []leg{
			{flow.AskCustomer, flow.Authorization}, {flow.StartRepair, flow.Repair}, {flow.ToRoadTest, flow.RoadTest},
		}},
		{"a noise, all the way", good(), []leg{
			{flow.StartDiagnosis, flow.Diagnosis}, {flow.OpenUp, flow.Teardown}, {flow.AskCustomer, flow.Authorization},
			{flow.MoreToOpen, flow.Teardown}, {flow.AskCustomer, flow.Authorization}, {flow.StartRepair, flow.Repair},
			{flow.ToRoadTest, flow.RoadTest}, {flow.BackToTeardown, flow.Teardown}, {flow.BackToDiagnosis, flow.Diagnosis},
			{flow.AskCustomer, flow.Authorization}, {flow.StartRepair, flow.Repair}, {flow.ToRoadTest, flow.RoadTest},
			{flow.BackToRepair, flow.Repair}, {flow.ToRoadTest, flow.RoadTest}, {flow.ToRelease, flow.Release},
			{flow.BackToRoadTest, flow.RoadTest}, {flow.ToRelease, flow.Release}, {flow.Close, flow.Closed},
		}},
		{"left in boxes", boxed(), []leg{
			{flow.OpenUp, flow.Teardown}, {flow.AskCustomer, flow.Authorization}, {flow.LeaveNotRun, flow.Release}, {flow.Close, flow.Closed},
		}},
		{"gone before anything was opened", gone, []leg{{flow.Withdraw, flow.Withdrawn}}},
		{"a hold does not keep anybody's machine", hold, []leg{{flow.Withdraw, flow.Withdrawn}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			travel(t, tt.f, tt.legs)
		})
	}
}

func TestNothingAskedOfASimpleWithdrawal(t *testing.T) {
	t.Parallel()
	for _, s := range []flow.Stage{flow.Intake, flow.Diagnosis, flow.Authorization, flow.Repair} {
		_, unmet, _ := flow.Next(s, flow.Withdraw, flow.Facts{})
		if diff := cmp.Diff([]string{"withdrawn.reason_missing", "withdrawn.state_missing"}, codes(unmet)); diff != "" {
			t.Errorf("from %s (-want +got):\n%s", s, diff)
		}
	}
}

func TestHoldStopsEveryWayForward(t *testing.T) {
	t.Parallel()
	back := map[flow.Move]bool{
		flow.BackToDiagnosis: true, flow.BackToRepair: true, flow.BackToTeardown: true, flow.BackToRoadTest: true, flow.Withdraw: true,
	}
	f := boxed()
	f.Hold.Active = true
	for _, s := range flow.Stages() {
		for _, o := range flow.Possible(s, f) {
			held := len(o.Unmet) > 0 && o.Unmet[0].Code == "hold.active"
			if held == back[o.Move] {
				t.Errorf("%s x %s: held = %v", s, o.Move, held)
			}
		}
	}
}

func TestNoDetourIntoRepairWithoutConsent(t *testing.T) {
	t.Parallel()
	f := boxed()
	f.Consent = flow.ConsentFacts{}
	for _, s := range flow.Stages() {
		for _, o := range flow.Possible(s, f) {
			if o.To == flow.Repair && len(o.Unmet) == 0 {
				t.Errorf("%s x %s leads into repair without a consent", s, o.Move)
			}
		}
	}
}

// machine is the random walk: facts change under the job, moves are tried,
// and what must never happen is looked for after each.
type machine struct {
	at      flow.Stage
	f       flow.Facts
	entered map[flow.Stage]int
}

func (m *machine) Change(t *rapid.T) { spoilOne(t, &m.f) }

func (m *machine) Restore(t *rapid.T) {
	m.f = rapid.SampledFrom([]func() flow.Facts{good, boxed, simple}).Draw(t, "facts")()
}

func (m *machine) Try(t *rapid.T) {
	move := rapid.SampledFrom(flow.Moves()).Draw(t, "move")
	from := m.at
	to, unmet, err := flow.Next(from, move, m.f)
	if err != nil || len(unmet) > 0 {
		if to != from {
			t.Fatalf("a refused move went from %s to %s", from, to)
		}
		return
	}
	m.at = to
	m.entered[to]++
	m.arrived(t, from)
}

// arrived checks the invariants at the moment of a move.
func (m *machine) arrived(t *rapid.T, from flow.Stage) {
	if from.Final() {
		t.Fatalf("moved out of %s", from)
	}
	switch m.at {
	case flow.Repair:
		if !refRepair(m.f) {
			t.Fatal("work without authorization")
		}
	case flow.RoadTest:
		if !refSound(m.f) || !refHoldPoints(m.f) {
			t.Fatal("run with something open")
		}
	case flow.Closed, flow.Withdrawn:
		if !refSound(m.f) || !refSafe(m.f) {
			t.Fatalf("%s with a critical fastening, a tag, a dangerous finding or unagreed work open", m.at)
		}
	default:
	}
}

func (m *machine) Check(t *rapid.T) {
	if who := flow.WaitingOn(m.at, m.f); (who == flow.WhoNobody) != m.at.Final() {
		t.Fatalf("%s waits on %s", m.at, who)
	}
	if text := flow.NextThing(m.at, m.f); (text == "") != m.at.Final() {
		t.Fatalf("%s: next thing is %q", m.at, text)
	}
	if m.entered[flow.Closed]+m.entered[flow.Withdrawn] > 1 {
		t.Fatal("ended twice")
	}
}

func TestRandomWalks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := &machine{
			at: rapid.SampledFrom(flow.Stages()).Draw(t, "start"), f: good(), entered: map[flow.Stage]int{},
		}
		t.Repeat(rapid.StateMachineActions(m))
	})
}
