package flow

import "time"

// FirstStartFacts says what was done before an opened engine ran again. All
// of it counts from the last time the engine or circuit was closed.
type FirstStartFacts struct {
	EngineOpened bool // makes turning by hand and the marks matter
	OilOut       bool // oil was drained or a filter changed: makes OilIn matter
	CircuitOpen  bool // fuel or coolant was opened: makes NoLeaks matter

	TurnedByHand bool   // two full turns by hand, nothing touched
	MarksReread  bool   // timing marks read once more
	NoMarks      string // or why there are none to read (piston-ported two-stroke)
	OilIn        bool   // oil in and primed
	NoLeaks      bool   // no fuel or coolant leak
	ToolsOut     bool   // tools and rags counted out

	PressureInQuestion  bool   // makes the next two matter
	Pressure            bool   // oil pressure read by gauge
	PressureNotPossible string // or why it could not be
}

// needed reports whether the first start matters at all.
func (f FirstStartFacts) needed() bool { return f.EngineOpened || f.OilOut || f.CircuitOpen }

// PreRide is one pre-ride check.
type PreRide struct {
	Check  PreRideCheck
	Passed bool
	Fresh  bool // passed now: see Fresh
	// NotFitted: the machine has no such thing. It counts for the lights and
	// the chain only; nothing rides without brakes.
	NotFitted bool
}

func (p PreRide) good() bool {
	if p.NotFitted && (p.Check == CheckLights || p.Check == CheckChain) {
		return true
	}
	return p.Passed && p.Fresh
}

// PreRideGood is how long a pre-ride check stays good when nobody works on
// the machine meanwhile. Common practice, no source: the walk round it is
// done before setting off, not the day before.
const PreRideGood = 4 * time.Hour

// CheckTimes are the three times that tell whether a check was made now.
type CheckTimes struct {
	Passed   time.Time // when the check was passed; zero when it was not
	LastWork time.Time // when somebody last worked on the machine; zero when nobody did
	Now      time.Time
}

// Fresh reports whether a pre-ride check was passed now: after the last work
// on the machine, not in the future, and at most PreRideGood ago.
func Fresh(t CheckTimes) bool {
	if t.Passed.IsZero() || t.Passed.After(t.Now) || t.Passed.Before(t.LastWork) {
		return false
	}
	return t.Now.Sub(t.Passed) <= PreRideGood
}

// RoadTestFacts says how the machine is run after the work.
type RoadTestFacts struct {
	Kind   RunKind
	Reason string // why a stand or rolling-road run replaces the ride

	RiderLicensed bool
	RiderInsured  bool
	LeaveToRide   bool // the customer lets the shop ride it
	DistanceOut   bool // the odometer on the way out is on record

	Outcome        Outcome
	FaultDisclosed bool // the fault it showed is a finding the customer was told of
}

// DebrisFacts says how the checks for loose metal after a repair came out.
type DebrisFacts struct {
	Asked      bool // makes the next two matter
	Falling    bool // falling over the series, nothing coarse new
	NextBooked bool // or the next one is booked
}

// NotRunFacts says that a machine leaves without having been run. A move
// back into the work clears it.
type NotRunFacts struct {
	Stated bool
	Reason string
	State  MachineState
}

// BillFacts says how the money stands.
type BillFacts struct {
	Present       bool
	NoBill        string // or why there is none (warranty, earlier job made good)
	WithinConsent bool   // by the rule that applies
	Paid          bool
	OnTerms       bool
}

// OldParts says what became of replaced parts.
type OldParts struct {
	Replaced bool // makes Settled matter
	Settled  bool // returned, kept or exchanged as agreed
	// ClaimPossible makes KeptUntil matter: a claim may come.
	ClaimPossible bool
	KeptUntil     bool // failed parts, oil and filter are kept until a set day
}

// HandOver says what the customer takes along beside the machine.
type HandOver struct {
	Advice           bool // advice is written, or "none" is stated
	RecheckNeeded    bool // makes RecheckDated matter
	RecheckDated     bool // the re-check date or distance is written
	StillOpenWritten bool // what is still open is written; matters when something is
	SelfCheckTold    bool // told that a critical joint was checked by the one who did it
	NotRunTold       bool // told "not run, do not start"
	To               string
	Transport        Transport
}

// Withdrawal says why and how a machine goes back unfinished.
type Withdrawal struct {
	Reason string
	State  MachineState
}
