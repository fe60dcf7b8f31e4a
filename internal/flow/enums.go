package flow

// Answer is what a complaint was answered by.
type Answer string

// The answers. The empty one is no answer yet.
const (
	AnswerFinding       Answer = "finding"        // a finding explains it
	AnswerRequest       Answer = "request"        // it was a wish, not a complaint
	AnswerNormal        Answer = "normal"         // normal for this machine
	AnswerNotReproduced Answer = "not_reproduced" // could not be made to show
	AnswerNotWished     Answer = "not_wished"     // not looked into at the customer's wish
	AnswerUnexplained   Answer = "unexplained"    // not explained, and the customer knows
)

// Answers lists every answer.
func Answers() []Answer {
	return []Answer{AnswerFinding, AnswerRequest, AnswerNormal, AnswerNotReproduced, AnswerNotWished, AnswerUnexplained}
}

// Again is how a complaint stood when it was tried again after the work.
type Again string

// The results. The empty one is not tried yet.
const (
	AgainGone     Again = "gone"
	AgainBetter   Again = "better"
	AgainSame     Again = "same"
	AgainWorse    Again = "worse"
	AgainNotTried Again = "not_tried" // with the reason
)

// Agains lists every result.
func Agains() []Again {
	return []Again{AgainGone, AgainBetter, AgainSame, AgainWorse, AgainNotTried}
}

// Settlement is how a finding that is dangerous to ride was answered.
type Settlement string

// The settlements. The empty one is unanswered.
const (
	SettledRepaired     Settlement = "repaired"
	SettledTrailer      Settlement = "trailer"       // it leaves on a trailer
	SettledOwnerInsists Settlement = "owner_insists" // rides against the recorded warning
)

// Settlements lists every settlement.
func Settlements() []Settlement {
	return []Settlement{SettledRepaired, SettledTrailer, SettledOwnerInsists}
}

// HoldKind is what a resting job waits for.
type HoldKind string

// The kinds of hold.
const (
	HoldParts    HoldKind = "parts"
	HoldCustomer HoldKind = "customer"
	HoldOutside  HoldKind = "outside"
	HoldOther    HoldKind = "other"
)

// HoldKinds lists every kind of hold.
func HoldKinds() []HoldKind { return []HoldKind{HoldParts, HoldCustomer, HoldOutside, HoldOther} }

// PreRideCheck is one thing checked before anybody rides.
type PreRideCheck string

// The pre-ride checks.
const (
	CheckBrakes   PreRideCheck = "brakes"
	CheckWheels   PreRideCheck = "wheels" // tyres, axles and pinch bolts with them
	CheckSteering PreRideCheck = "steering"
	CheckThrottle PreRideCheck = "throttle" // returns by itself, at both locks
	CheckChain    PreRideCheck = "chain"    // or belt, or shaft
	CheckLeaks    PreRideCheck = "leaks"
	CheckLights   PreRideCheck = "lights"
)

// PreRideChecks lists every pre-ride check.
func PreRideChecks() []PreRideCheck {
	return []PreRideCheck{CheckBrakes, CheckWheels, CheckSteering, CheckThrottle, CheckChain, CheckLeaks, CheckLights}
}

// RunKind is how the machine is run after the work.
type RunKind string

// The kinds of run. Everything but a ride needs a reason.
const (
	RunRide        RunKind = "ride"
	RunStand       RunKind = "stand_run"
	RunRollingRoad RunKind = "rolling_road"
)

// RunKinds lists every kind of run.
func RunKinds() []RunKind { return []RunKind{RunRide, RunStand, RunRollingRoad} }

// Outcome is how the run came out.
type Outcome string

// The outcomes. The empty one is not run yet.
const (
	OutcomeOK    Outcome = "ok"
	OutcomeFault Outcome = "fault"
)

// Outcomes lists every outcome.
func Outcomes() []Outcome { return []Outcome{OutcomeOK, OutcomeFault} }

// MachineState is in what state an unfinished machine leaves.
type MachineState string

// The states of an unfinished machine.
const (
	StateComplete    MachineState = "complete"
	StateInBoxes     MachineState = "in_boxes"
	StateMovableOnly MachineState = "movable_only" // rolls, and no more
)

// MachineStates lists every state of an unfinished machine.
func MachineStates() []MachineState {
	return []MachineState{StateComplete, StateInBoxes, StateMovableOnly}
}

// Transport is how the machine leaves.
type Transport string

// The ways of leaving.
const (
	TransportRides   Transport = "rides"
	TransportTrailer Transport = "trailer" // or a van: it is carried
)

// Transports lists every way of leaving.
func Transports() []Transport { return []Transport{TransportRides, TransportTrailer} }

// Who is whose move it is.
type Who string

// Those who can be waited on.
const (
	WhoBench    Who = "bench"
	WhoCounter  Who = "counter"
	WhoCustomer Who = "customer"
	WhoParts    Who = "parts"
	WhoOutside  Who = "outside"
	WhoNobody   Who = "nobody" // the job is over
)

// Whos lists everyone who can be waited on.
func Whos() []Who {
	return []Who{WhoBench, WhoCounter, WhoCustomer, WhoParts, WhoOutside, WhoNobody}
}

// known reports whether a word is in the list of its kind.
func known[T comparable](word T, list []T) bool {
	for _, one := range list {
		if one == word {
			return true
		}
	}
	return false
}
