package flow

import "benchtag/internal/fault"

// LineState is where one line stands.
type LineState string

// The states of a line. Done work is not undone here: a new line does that.
const (
	LineProposed LineState = "proposed"
	LineAgreed   LineState = "agreed"
	LineDone     LineState = "done"
	LineStruck   LineState = "struck"
)

// LineStates lists every state of a line.
func LineStates() []LineState { return []LineState{LineProposed, LineAgreed, LineDone, LineStruck} }

// LineMove is a step of one line.
type LineMove string

// The moves of a line.
const (
	LineAgree  LineMove = "agree"  // the customer's yes covers it
	LineFinish LineMove = "finish" // the work is done
	LineStrike LineMove = "strike" // it will not be done, because
)

// LineMoves lists every move of a line.
func LineMoves() []LineMove { return []LineMove{LineAgree, LineFinish, LineStrike} }

// LineFacts is what the moves of one line look at.
type LineFacts struct {
	Row
	Stage     Stage  // of the job the line is on
	AfterRide bool   // to be done after the ride
	ForLook   bool   // part of the checks or the teardown itself
	PutBack   bool   // putting together what was taken apart
	Covered   bool   // a consent covers it, bound to what was shown
	Reason    string // why it is struck
}

var lineTable = map[LineState]map[LineMove]lineStep{
	LineProposed: {
		LineAgree:  {LineAgreed, []lineGate{lineCovered}},
		LineStrike: {LineStruck, []lineGate{lineReason}},
	},
	LineAgreed: {
		LineFinish: {LineDone, []lineGate{lineStage}},
		LineStrike: {LineStruck, []lineGate{lineReason}},
	},
	LineDone:   {},
	LineStruck: {},
}

type lineStep struct {
	to    LineState
	gates []lineGate
}

type lineGate struct {
	gate
	missing func(LineFacts) bool
}

var (
	lineCovered = lineGate{gate{
		code: "lines.not_covered", where: atConsents, noun: "this line",
		text: "No consent covers {name}. Offer it and get the customer's yes first.",
	}, func(l LineFacts) bool { return !l.Covered }}
	lineReason = lineGate{gate{
		code: "lines.reason_missing", where: atLines, noun: "the line",
		text: "Say why {name} is struck.",
	}, func(l LineFacts) bool { return l.Reason == "" }}
	lineStage = lineGate{gate{
		code: "lines.not_now", where: atLines, noun: "This line",
		text: "{name} cannot be worked in this stage. Work lines in repair, lines after the ride once it is in the road test, lines for looking in diagnosis or teardown, and lines for putting back from teardown to repair.",
	}, func(l LineFacts) bool { return !l.workable() }}
	lineAgreedFirst = lineGate{gate{
		code: "lines.not_agreed", where: atConsents, noun: "this line",
		text: "Nobody has agreed to {name}. Get the customer's yes before working on it.",
	}, nil}
)

// LineRules lists the codes of all gates a line can raise.
func LineRules() []string {
	return []string{lineCovered.code, lineReason.code, lineStage.code, lineAgreedFirst.code}
}

// workable reports whether an agreed line may be worked in its job's stage. A
// customer who declines every way forward gets the machine put back under the
// teardown consent, so that needs no repair.
func (l LineFacts) workable() bool {
	switch l.Stage {
	case Diagnosis:
		return l.ForLook
	case Teardown:
		return l.ForLook || l.PutBack
	case Authorization:
		return l.PutBack
	case Repair:
		return !l.AfterRide
	case RoadTest, Release:
		return l.AfterRide
	default:
		return false
	}
}

// NextLine says where a move takes a line. With unmet gates it stays where it
// is. A move its state does not know is an error of kind Conflict with the
// code flow.line_move_unknown.
func NextLine(from LineState, move LineMove, l LineFacts) (LineState, []fault.Gate, error) {
	cell, ok := lineTable[from][move]
	if !ok {
		return from, nil, fault.New(fault.Conflict, "flow.line_move_unknown", unknownLineMove(from))
	}
	var unmet []fault.Gate
	for _, g := range cell.gates {
		if g.missing(l) {
			unmet = append(unmet, g.on(l.Row))
		}
	}
	if len(unmet) > 0 {
		return from, unmet, nil
	}
	return cell.to, nil, nil
}

func unknownLineMove(from LineState) string {
	switch from {
	case LineProposed:
		return "The line is only proposed. It can be agreed to or struck."
	case LineAgreed:
		return "The line is agreed. It can be finished or struck."
	case LineDone:
		return "The line is done. Undo the work with a new line."
	case LineStruck:
		return "The line is struck. Write a new one."
	default:
		return "There is no such state of a line."
	}
}

// MayWork gives what stands in the way of working on a line now: it must be
// agreed to, and the job must be in the stage its work belongs to.
func MayWork(state LineState, l LineFacts) []fault.Gate {
	if state != LineAgreed {
		return []fault.Gate{lineAgreedFirst.on(l.Row)}
	}
	if lineStage.missing(l) {
		return []fault.Gate{lineStage.on(l.Row)}
	}
	return nil
}
