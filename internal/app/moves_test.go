package app_test

import (
	"encoding/json"
	"errors"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// must makes a move that is free.
func (s *flowShop) must(move flow.Move, want shop.Stage) shop.Job {
	s.t.Helper()
	j, err := s.move(move)
	if err != nil {
		s.t.Fatalf("%s: %v, %v", move, err, gatesOf(err))
	}
	if j.Stage != want || !j.StageSince.Equal(s.clock.Now()) {
		s.t.Fatalf("%s led to %s since %s, want %s", move, j.Stage, j.StageSince, want)
	}
	if diff := cmp.Diff(one[shop.Job](s, string(s.job)), j); diff != "" {
		s.t.Fatalf("%s: stored and answered differ:\n%s", move, diff)
	}
	return j
}

func gatesOf(err error) []string {
	var f *fault.Error
	if !errors.As(err, &f) {
		return nil
	}
	var codes []string
	for _, g := range f.Gates {
		codes = append(codes, g.Code)
	}
	return codes
}

// dropOff stores the customer's "yes, up to" given in writing at the counter.
func (s *flowShop) dropOff(upTo int64) shop.ConsentID {
	s.t.Helper()
	c := shop.Consent{ID: shop.ConsentID(s.src.ID()), OfJob: s.of(), Kind: shop.ConsentKindDropOff, Decision: shop.DecisionAgreed,
		Method: shop.ConsentMethodMessage, TypedName: "Invented Person", Relation: "owner", ContactUsed: "555-0100",
		TakenBy: s.who.StaffID, SaidAt: s.clock.Now(), LimitAmount: usd(upTo), Note: "slack chain; ready tomorrow"}
	s.insert(&c)
	return c.ID
}

// chain takes a slack chain in: a request, its line and a limit at drop-off.
func (s *flowShop) chain(upTo int64) (shop.LineID, shop.ConsentID) {
	s.t.Helper()
	s.visit()
	s.intake(func(i *shop.IntakeFacts) { i.Odometer, i.Keys, i.LeaveToRide = km("12000"), 1, shop.YesNoYes })
	s.complaint(func(c *shop.Complaint) { c.Kind, c.Words = shop.JobKindRequest, "tighten the chain" })
	return s.line(func(*shop.Line) {}), s.dropOff(upTo)
}

// signed reports whether a checkpoint counts every entry of the journal.
func (s *flowShop) signed() (all bool) {
	s.t.Helper()
	err := s.store.Read(s.ctx, flowShopID, func(tx app.Tx) error {
		state, err := tx.Tree()
		if err != nil {
			return err
		}
		waiting, err := tx.Pending(1)
		if err != nil {
			return err
		}
		last, err := tx.LastCheckpoint()
		all = len(waiting) == 0 && last != nil && last.Size == state.Size
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return all
}

// TestASlackChainFromIntakeToClosed takes a job through its whole life. What
// the machine was let go by is signed for with the release, and all that
// happened with the end of the job, before either is answered.
func TestASlackChainFromIntakeToClosed(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.app.Anchors = openAnchors(t, t.TempDir())
	line, given := s.chain(10000)
	s.must(flow.AskCustomer, shop.StageAuthorization)
	s.clock.Advance(time.Minute)
	s.must(flow.StartRepair, shop.StageRepair)
	got := one[shop.Line](s, string(line))
	if got.State != shop.LineStateAgreed || got.ConsentID != given {
		t.Fatalf("the line is %s under %q, want agreed under the limit given at drop-off", got.State, got.ConsentID)
	}
	if _, err := s.move(flow.ToRoadTest); fault.Of(err) != fault.Gates || !fault.Is(err, fault.Gates) || len(gatesOf(err)) < 3 {
		t.Fatalf("into the road test with nothing done: %v, want every unmet gate", err)
	}
	s.clock.Advance(20 * time.Minute)
	edit(s, string(line), func(l *shop.Line) { l.State, l.DoneBy, l.DoneAt = shop.LineStateDone, s.who.StaffID, s.at(0) })
	s.clock.Advance(time.Minute)
	s.road(func(*shop.RoadTest) {})
	s.must(flow.ToRoadTest, shop.StageRoadTest)
	s.clock.Advance(10 * time.Minute)
	editAll(s, func(r *shop.RoadTest) { r.Outcome, r.OdometerBack = shop.RideOutcomeOk, km("12044") })
	if s.signed() {
		t.Fatal("everything is signed for already, so that it cannot be seen to come with the release")
	}
	s.must(flow.ToRelease, shop.StageRelease)
	if !s.signed() {
		t.Error("the release is not signed for")
	}
	s.handOver(func(h *shop.HandOver) { h.HandedTo, h.AdviceGiven = "the owner", true })
	bill, err := s.app.IssueBill(s.ctx, s.who, app.NewBill{WorkOrderID: s.order, JobIDs: []string{string(s.job)}, OnTerms: true, TermsNote: "end of the month"})
	if err != nil {
		t.Fatal(err)
	}
	if bill.Gross != 4500 {
		t.Errorf("the bill comes to %d, want half an hour", bill.Gross)
	}
	if s.signed() {
		t.Error("a bill is signed for at once, so that it cannot be seen to come with the end of the job")
	}
	s.must(flow.Close, shop.StageClosed)
	if !s.signed() {
		t.Error("the end of the job is not signed for")
	}
	if o := one[shop.WorkOrder](s, string(s.order)); o.ClosedAt == nil || !o.ClosedAt.Equal(s.clock.Now()) {
		t.Errorf("the work order closed at %v, want with its last job", o.ClosedAt)
	}
	if _, err := s.move(flow.BackToRepair); fault.Of(err) != fault.Conflict {
		t.Errorf("a closed job moved: %v", err)
	}
}

func TestALimitThatDoesNotCoverAgreesToNothing(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	line, _ := s.chain(4499)
	s.must(flow.AskCustomer, shop.StageAuthorization)
	_, err := s.move(flow.StartRepair)
	if diff := cmp.Diff([]string{"repair.consent_missing"}, gatesOf(err)); diff != "" {
		t.Fatalf("over the limit by a cent:\n%s", diff)
	}
	if l := one[shop.Line](s, string(line)); l.State != shop.LineStateProposed || l.ConsentID != "" {
		t.Errorf("the line became %s", l.State)
	}
	if j := one[shop.Job](s, string(s.job)); j.Stage != shop.StageAuthorization {
		t.Errorf("the job is at %s", j.Stage)
	}
}

func TestOnlyCertainLinesAreAgreedUnderALimit(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.chain(100000)
	possible := s.line(func(l *shop.Line) { l.Certainty, l.Ceiling = shop.CertaintyPossible, usd(5000) })
	struck := s.line(func(l *shop.Line) { l.StruckAt, l.StruckReason = s.at(0), "not wanted" })
	s.must(flow.AskCustomer, shop.StageAuthorization)
	s.must(flow.StartRepair, shop.StageRepair)
	for _, id := range []shop.LineID{possible, struck} {
		if l := one[shop.Line](s, string(id)); l.State != shop.LineStateProposed {
			t.Errorf("line %s (%s) became %s", l.Description, l.Certainty, l.State)
		}
	}
}

func TestARefusedMoveListsWhatTheViewLists(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	out, err := s.app.GetMoves(s.ctx, s.who, s.job)
	if err != nil || out.Stage != flow.Intake || out.WaitingOn == "" || out.NextThing == "" || len(out.Options) == 0 {
		t.Fatalf("%+v, %v", out, err)
	}
	for _, o := range out.Options {
		_, err := s.move(o.Move)
		var f *fault.Error
		if !errors.As(err, &f) || f.Kind != fault.Gates || f.Code != "app.gates_unmet" {
			t.Fatalf("%s: %v", o.Move, err)
		}
		if diff := cmp.Diff(o.Unmet, f.Gates); diff != "" {
			t.Errorf("%s: view and refusal differ:\n%s", o.Move, diff)
		}
	}
	if _, err := s.move("no_such_move"); fault.Of(err) != fault.Conflict {
		t.Errorf("a move nobody knows: %v", err)
	}
}

func TestOfTwoWhoMoveOneWins(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.chain(10000)
	s.must(flow.AskCustomer, shop.StageAuthorization)
	var wg sync.WaitGroup
	errs := make([]error, 2)
	for i := range errs {
		wg.Add(1)
		go func() {
			defer wg.Done()
			_, errs[i] = s.move(flow.StartRepair)
		}()
	}
	wg.Wait()
	if (errs[0] == nil) == (errs[1] == nil) {
		t.Fatalf("both or neither won: %v; %v", errs[0], errs[1])
	}
	for _, err := range errs {
		if err != nil && fault.Of(err) != fault.Conflict {
			t.Errorf("the loser is told %v", err)
		}
	}
	if j := one[shop.Job](s, string(s.job)); j.Stage != shop.StageRepair {
		t.Errorf("the job is at %s", j.Stage)
	}
}

func TestJobsOfOneVisitAreIndependent(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.chain(10000)
	first := s.job
	second := s.addJob()
	s.must(flow.AskCustomer, shop.StageAuthorization)
	if j := one[shop.Job](s, string(second.ID)); j.Stage != shop.StageIntake || j.Version != 1 {
		t.Errorf("the other job moved along to %s", j.Stage)
	}
	visit, err := s.app.GetWorkOrder(s.ctx, s.who, s.order)
	if err != nil || visit.Stage != shop.StageIntake {
		t.Errorf("the visit is at %s (%v), want that of its least finished job", visit.Stage, err)
	}
	for i, id := range []shop.JobID{second.ID, first} {
		s.job = id
		s.insert(&shop.Withdrawal{ID: id, OfJob: s.of(), Origin: s.made(), Reason: "sold it", MachineState: shop.MachineStateComplete})
		s.must(flow.Withdraw, shop.StageWithdrawn)
		if o := one[shop.WorkOrder](s, string(s.order)); (o.ClosedAt != nil) != (i == 1) {
			t.Errorf("after %d jobs ended the work order closed at %v", i+1, o.ClosedAt)
		}
	}
	s.addJob()
	if o := one[shop.WorkOrder](s, string(s.order)); o.ClosedAt != nil {
		t.Error("a job was added and the work order stays closed")
	}
}

func TestAMoveIsOneEntryOfTheJournal(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.chain(10000)
	before := s.entries()
	s.must(flow.AskCustomer, shop.StageAuthorization)
	s.must(flow.StartRepair, shop.StageRepair) // agrees a line as well
	if got := s.entries() - before; got != 2 {
		t.Errorf("two moves made %d entries", got)
	}
	if _, err := s.move(flow.ToRoadTest); err == nil || s.entries()-before != 2 {
		t.Errorf("a refused move left an entry, or was none: %v", err)
	}
}

func (s *flowShop) entries() int {
	s.t.Helper()
	n := 0
	s.write(func(tx app.Tx) error {
		list, err := tx.Entries(string(s.order), 0, 100)
		n = len(list)
		return err
	})
	return n
}

func TestWhatMovesSetAndTakeBack(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name  string
		from  shop.Stage
		ready func(*flowShop)
		move  flow.Move
		to    shop.Stage
		check func(*flowShop, shop.Job) bool
	}{
		{"left not run is marked so", shop.StageRepair, func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.NotRunBecause, j.NotRunState = "no parts", shop.NotRunStateInBoxes })
		}, flow.LeaveNotRun, shop.StageRelease, func(_ *flowShop, j shop.Job) bool {
			return j.NotRun && j.NotRunState == shop.NotRunStateInBoxes && j.NotRunBecause != "" && !j.OpenedUp
		}},
		{"going back takes it back", shop.StageRelease, func(s *flowShop) {
			s.setJob(func(j *shop.Job) {
				j.NotRun, j.NotRunBecause, j.NotRunState, j.DiagnosisFree = true, "no parts", shop.NotRunStateInBoxes, true
			})
		}, flow.BackToDiagnosis, shop.StageDiagnosis, func(_ *flowShop, j shop.Job) bool {
			return !j.NotRun && j.NotRunBecause == "" && j.NotRunState == "" && !j.OpenedUp
		}},
		{"a hold does not stand in the way of going back, and stays", shop.StageRelease, func(s *flowShop) {
			s.setJob(func(j *shop.Job) { j.DiagnosisFree = true })
			if _, err := s.app.HoldJob(s.ctx, s.who, s.job, func(h *shop.Hold) { h.Reason = shop.HoldReasonOther }); err != nil {
				s.t.Fatal(err)
			}
		}, flow.BackToDiagnosis, shop.StageDiagnosis, func(s *flowShop, _ shop.Job) bool {
			return s.unmet(flow.AskCustomer)["hold.active"] != nil
		}},
		{"what is opened counts as the engine", shop.StageDiagnosis, func(s *flowShop) {
			s.teardownConsent()
			s.setJob(func(j *shop.Job) { j.AsFoundWaived = "came on a trailer" })
		}, flow.OpenUp, shop.StageTeardown, func(_ *flowShop, j shop.Job) bool { return j.OpenedUp && j.EngineOpened }},
		{"until the shop has said otherwise", shop.StageRoadTest, func(s *flowShop) {
			s.teardownConsent()
			s.setJob(func(j *shop.Job) { j.OpenedUp, j.EngineOpened, j.AsFoundWaived = true, false, "taken the first time" })
		}, flow.BackToTeardown, shop.StageTeardown, func(_ *flowShop, j shop.Job) bool { return j.OpenedUp && !j.EngineOpened }},
	}
	s := newFlowShop(t)
	for _, tt := range tests {
		s.visit()
		s.setJob(func(j *shop.Job) { j.Stage = tt.from })
		tt.ready(s)
		if j := s.must(tt.move, tt.to); !tt.check(s, j) {
			t.Errorf("%s: %+v", tt.name, j)
		}
	}
}

// teardownConsent stores an offer to take the machine apart and the yes to it.
func (s *flowShop) teardownConsent() {
	s.t.Helper()
	said := "said"
	terms := shop.TeardownTerms{AreaOrComponent: said, TeardownCost: said, ReassemblyCost: said, PartsAndLaborDestroyed: said, MaxReassemblyTime: said, MayPreventRestoration: said}
	way := shop.Scope{ID: shop.ScopeID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Title: "open it", Kind: shop.ScopeKindTeardown, MayRide: shop.RideAnswerNo, TeardownTerms: &terms}
	s.insert(&way)
	doc, err := json.Marshal(app.OfferDocument{Version: 1, Kind: shop.ScopeKindTeardown, Ways: []app.OfferWay{{ScopeID: way.ID, Terms: &terms}}})
	if err != nil {
		s.t.Fatal(err)
	}
	offer := shop.Offer{ID: shop.OfferID(s.src.ID()), OfJob: s.of(), Number: 1, Kind: shop.ScopeKindTeardown, ScopeIDs: []string{string(way.ID)},
		Document: doc, SHA256: app.HashText(string(doc)), State: shop.OfferStateDecided, AskedBy: s.who.StaffID, AskedAt: s.clock.Now()}
	s.insert(&offer)
	s.insert(&shop.Consent{ID: shop.ConsentID(s.src.ID()), OfJob: s.of(), OfferID: offer.ID, ScopeID: way.ID, Kind: shop.ConsentKindTeardown,
		Decision: shop.DecisionAgreed, Method: shop.ConsentMethodInPerson, TakenBy: s.who.StaffID, SaidAt: s.clock.Now(), ShownSHA256: offer.SHA256})
}

func TestTakingApartAgainUndoesTheFirstStart(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	s.setJob(func(j *shop.Job) { j.Stage, j.EngineOpened = shop.StageRepair, true })
	s.insert(&shop.FirstStart{ID: s.job, OfJob: s.of(), Origin: s.made(), TurnedByHand: true, OilInAndPrimed: true, NoLeaks: true, ToolsOut: true})
	if s.unmet(flow.ToRoadTest)["first_start.not_turned_by_hand"] != nil {
		t.Fatal("the list of the first start is not read")
	}
	s.setJob(func(j *shop.Job) { j.Stage, j.AsFoundWaived = shop.StageRoadTest, "known from before" })
	s.teardownConsent()
	j := s.must(flow.BackToTeardown, shop.StageTeardown)
	if !j.OpenedUp {
		t.Error("it came apart and is not marked as opened")
	}
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageRepair })
	if s.unmet(flow.ToRoadTest)["first_start.not_turned_by_hand"] == nil {
		t.Error("it came apart again and the engine counts as turned by hand")
	}
}
