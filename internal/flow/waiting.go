package flow

import "benchtag/internal/fault"

// Natural gives the move a job makes next when all goes well, and whether
// there is one. It follows the path, and takes the short ways where the facts
// show them: nothing but requests goes from intake straight to the customer;
// diagnosis leads to teardown when one is wanted.
func Natural(from Stage, f Facts) (Move, bool) {
	switch from {
	case Intake:
		if onlyRequests(f.Complaints) {
			return AskCustomer, true
		}
		return StartDiagnosis, true
	case Diagnosis:
		if f.Teardown.Wanted {
			return OpenUp, true
		}
		return AskCustomer, true
	case Teardown:
		return AskCustomer, true
	case Authorization:
		return orNotRun(f, StartRepair), true
	case Repair:
		return orNotRun(f, ToRoadTest), true
	case RoadTest:
		return orNotRun(f, ToRelease), true
	case Release:
		return Close, true
	default:
		return "", false
	}
}

func orNotRun(f Facts, move Move) Move {
	if f.NotRun.Stated {
		return LeaveNotRun
	}
	return move
}

func onlyRequests(list []Complaint) bool {
	return len(list) > 0 && !some(list, func(c Complaint) bool { return c.Answer != AnswerRequest })
}

// WaitingOn says whose move it is. It is derived from the facts alone, so
// that nobody has to type it and it cannot be wrong for longer than they are.
func WaitingOn(at Stage, f Facts) Who {
	move, ok := Natural(at, f)
	if !ok {
		return WhoNobody
	}
	if f.Asked {
		return WhoCounter
	}
	if f.Hold.Active {
		return f.Hold.waits()
	}
	if at == Repair && move == ToRoadTest {
		if who := f.repairWaits(); who != "" {
			return who
		}
	}
	g, ok := firstUnmet(table[at][move].gates, &f)
	if !ok {
		return free(move)
	}
	if g.where == atConsents && f.Offers.Open && !f.Offers.Flagged {
		return WhoCustomer
	}
	return g.who
}

// waits says whom a hold waits on. What has no better name is the counter's
// to chase.
func (h Hold) waits() Who {
	switch h.Kind {
	case HoldParts:
		return WhoParts
	case HoldCustomer:
		return WhoCustomer
	case HoldOutside:
		return WhoOutside
	default:
		return WhoCounter
	}
}

// repairWaits says whom the repair waits on: the bench as long as it can do
// anything, then parts, then other shops, then an open question to the
// customer. Empty when the lines of the scope are through and nothing is
// being asked.
func (f *Facts) repairWaits() Who {
	parts, outside := false, false
	for _, l := range f.Lines {
		if !l.due() || l.AfterRide {
			continue
		}
		if !l.NeedsPart && !l.Outside {
			return WhoBench
		}
		parts = parts || l.NeedsPart
		outside = outside || l.Outside
	}
	switch {
	case parts:
		return WhoParts
	case outside:
		return WhoOutside
	case f.Offers.Open && f.Offers.Flagged:
		return WhoCounter
	case f.Offers.Open:
		return WhoCustomer
	default:
		return ""
	}
}

// free says who makes a move that nothing stands in the way of.
func free(m Move) Who {
	if m == Close {
		return WhoCounter
	}
	return WhoBench
}

func firstUnmet(gates []gate, f *Facts) (gate, bool) {
	for _, g := range gates {
		if len(g.find(f)) > 0 {
			return g, true
		}
	}
	return gate{}, false
}

// NextThing is the one next thing missing, as a sentence: the first unmet
// gate of the natural move, or the move itself when nothing is in its way.
// Among lines of the repair it names one that can be worked. It is empty for
// a job that is over.
func NextThing(at Stage, f Facts) string {
	move, ok := Natural(at, f)
	if !ok {
		return ""
	}
	if f.Asked {
		return "Answer the customer's question."
	}
	unmet := table[at][move].unmet(&f)
	if at == Repair && move == ToRoadTest && !f.Hold.Active {
		if text := f.stuck(unmet); text != "" {
			return text
		}
	}
	if len(unmet) == 0 {
		return move.call()
	}
	return unmet[0].Message
}

// stuck picks the line to work on, and says what the repair waits for when
// there is none. Lines come before whatever else is missing: their work is
// what makes it possible.
func (f *Facts) stuck(unmet []fault.Gate) string {
	switch f.repairWaits() {
	case WhoParts:
		return "Wait for the parts; what can be done without them is done."
	case WhoOutside:
		return "Wait for the outside work to come back."
	case WhoCustomer:
		return "Wait for the customer's answer to what was found."
	case WhoCounter:
		return "Look at the open offer again: something was found since it went out."
	case WhoBench:
		return f.workableLine(unmet)
	default:
		return ""
	}
}

// workableLine gives the sentence for the first line nothing holds up.
func (f *Facts) workableLine(unmet []fault.Gate) string {
	held := map[string]bool{}
	for _, l := range f.Lines {
		held[l.ID] = l.NeedsPart || l.Outside
	}
	for _, g := range unmet {
		if g.Where == atLines && !held[g.Subject] {
			return g.Message
		}
	}
	return ""
}
