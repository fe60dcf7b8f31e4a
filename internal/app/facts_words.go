package app

import (
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// The words of the nouns and the words of the gates are two sets: the first
// is the wire and the schema, the second belongs to flow. Each pair is
// written out here; a test holds that none is forgotten. A word that is not
// known comes out empty, which allows nothing.

func stageOf(s shop.Stage) flow.Stage { return flow.Stage(s) }

func answerOf(a shop.Answer) flow.Answer {
	switch a {
	case shop.AnswerFinding:
		return flow.AnswerFinding
	case shop.AnswerRequest:
		return flow.AnswerRequest
	case shop.AnswerNormalForMachine:
		return flow.AnswerNormal
	case shop.AnswerNotReproduced:
		return flow.AnswerNotReproduced
	case shop.AnswerNotLookedInto:
		return flow.AnswerNotWished
	case shop.AnswerNotExplained:
		return flow.AnswerUnexplained
	}
	return ""
}

// againOf takes "changed" strictly: what is not gone is not better either.
func againOf(a shop.Again) flow.Again {
	switch a {
	case shop.AgainGone:
		return flow.AgainGone
	case shop.AgainStillThere:
		return flow.AgainSame
	case shop.AgainChanged:
		return flow.AgainWorse
	case shop.AgainNotRidden:
		return flow.AgainNotTried
	}
	return ""
}

func settlementOf(o shop.DangerOutcome) flow.Settlement {
	switch o {
	case shop.DangerOutcomeRepaired:
		return flow.SettledRepaired
	case shop.DangerOutcomeLeavesOnTrailer:
		return flow.SettledTrailer
	case shop.DangerOutcomeOwnerInsists:
		return flow.SettledOwnerInsists
	}
	return ""
}

func holdKindOf(r shop.HoldReason) flow.HoldKind {
	switch r {
	case shop.HoldReasonParts:
		return flow.HoldParts
	case shop.HoldReasonCustomer:
		return flow.HoldCustomer
	case shop.HoldReasonOutside:
		return flow.HoldOutside
	case shop.HoldReasonOther:
		return flow.HoldOther
	}
	return ""
}

func runKindOf(k shop.RunKind) flow.RunKind {
	switch k {
	case shop.RunKindRide:
		return flow.RunRide
	case shop.RunKindStandRun:
		return flow.RunStand
	case shop.RunKindRollingRoad:
		return flow.RunRollingRoad
	}
	return ""
}

func outcomeOf(o shop.RideOutcome) flow.Outcome {
	switch o {
	case shop.RideOutcomeOk:
		return flow.OutcomeOK
	case shop.RideOutcomeFault:
		return flow.OutcomeFault
	}
	return ""
}

func machineStateOf(s shop.MachineState) flow.MachineState {
	switch s {
	case shop.MachineStateComplete:
		return flow.StateComplete
	case shop.MachineStateInBoxes:
		return flow.StateInBoxes
	case shop.MachineStateMovableOnly:
		return flow.StateMovableOnly
	}
	return ""
}

func notRunStateOf(s shop.NotRunState) flow.MachineState {
	return machineStateOf(shop.MachineState(s))
}

// transportOf knows two ways only: under its own power, or not.
func transportOf(t shop.Transport) flow.Transport {
	switch t {
	case shop.TransportRidden:
		return flow.TransportRides
	case shop.TransportTrailer, shop.TransportVan, shop.TransportCarried:
		return flow.TransportTrailer
	}
	return ""
}

func lineStateOf(s shop.LineState) flow.LineState {
	switch s {
	case shop.LineStateProposed:
		return flow.LineProposed
	case shop.LineStateAgreed:
		return flow.LineAgreed
	case shop.LineStateDone:
		return flow.LineDone
	case shop.LineStateStruck:
		return flow.LineStruck
	}
	return ""
}

// preRideResult reads one pre-ride check; whether it is fresh is not its affair.
func preRideResult(p shop.PreRide) (passed, notFitted bool) {
	return p == shop.PreRideOk, p == shop.PreRideNotFitted
}

// tagResult reports whether a tag is accounted for, or off on purpose.
func tagResult(o shop.TagOutcome) (accounted, offOnPurpose bool) {
	switch o {
	case shop.TagOutcomeOffOnPurpose:
		return false, true
	case shop.TagOutcomeRefitted, shop.TagOutcomeReplaced, shop.TagOutcomeReturned,
		shop.TagOutcomeKept, shop.TagOutcomeScrapped, shop.TagOutcomeWithMachine:
		return true, false
	}
	return false, false
}

// oldPartsAsAgreed reports whether what became of replaced parts is what the
// customer wanted; one who said nothing, and a job that replaced nothing,
// leave nothing to want.
func oldPartsAsAgreed(wish shop.OldParts, done shop.OldPartsDone) bool {
	switch {
	case done == "":
		return false
	case done == shop.OldPartsDoneNoneReplaced || wish == "" || wish == shop.OldPartsNotSaid:
		return true
	}
	agreed := map[shop.OldParts]shop.OldPartsDone{
		shop.OldPartsReturn:   shop.OldPartsDoneReturned,
		shop.OldPartsKeep:     shop.OldPartsDoneKept,
		shop.OldPartsExchange: shop.OldPartsDoneExchanged,
		shop.OldPartsDispose:  shop.OldPartsDoneDisposed,
	}
	return agreed[wish] == done
}
