// Package flow decides which moves a job may make, and what is still missing
// before each of them.
//
// It takes facts that somebody else has loaded and answers with the next
// stage or with every unmet gate at once: a stable code, a sentence that says
// what to do, the place to do it and the row at fault. The same table serves
// the refusal and the screen that shows what is missing before anyone presses
// anything. It also holds the smaller rules that hang on the path: lines,
// hold points, the second person at a critical fastening, the first start,
// and whose move it is.
//
// It stores nothing, reads no clock and knows no database, no person's name
// and no law: whether a consent covers a bill, whether a limit at drop-off
// counts, whether debris is falling, come in as facts from the packages that
// decide them. There is no override: a gate is met by its fact, or by the one
// acknowledgement the fact has a field for.
package flow

// Stage is where a job stands on its path.
type Stage string

// The stages, in the order of the path. Closed and Withdrawn are final.
const (
	Intake        Stage = "intake"        // taken in, complaints being written
	Diagnosis     Stage = "diagnosis"     // checks and running tests, nothing opened
	Teardown      Stage = "teardown"      // coming apart, being looked at
	Authorization Stage = "authorization" // the customer is being asked
	Repair        Stage = "repair"        // agreed work going on
	RoadTest      Stage = "road_test"     // ride, stand run or rolling road
	Release       Stage = "release"       // hand-over being prepared
	Closed        Stage = "closed"        // keys handed back
	Withdrawn     Stage = "withdrawn"     // taken back before the work was finished
)

// Stages lists every stage in the order of the path.
func Stages() []Stage {
	return []Stage{Intake, Diagnosis, Teardown, Authorization, Repair, RoadTest, Release, Closed, Withdrawn}
}

// Final reports whether no move leads out of the stage.
func (s Stage) Final() bool { return s == Closed || s == Withdrawn }

// rank is the stage's place on the path, or -1 for a word that is no stage.
func (s Stage) rank() int {
	for i, one := range Stages() {
		if one == s {
			return i
		}
	}
	return -1
}

// Least gives the stage of a work order: that of its least finished job. A
// withdrawn job counts as more finished than a closed one, so an order is
// withdrawn only when all its jobs are. Without jobs it is at intake. Words
// that are no stage are passed over.
func Least(jobs []Stage) Stage {
	least := Stage("")
	for _, s := range jobs {
		if s.rank() < 0 {
			continue
		}
		if least == "" || s.rank() < least.rank() {
			least = s
		}
	}
	if least == "" {
		return Intake
	}
	return least
}

// Move is a step a person asks for.
type Move string

// The moves.
const (
	StartDiagnosis  Move = "start_diagnosis"   // begin checks and running tests
	OpenUp          Move = "open_up"           // begin to take apart
	AskCustomer     Move = "ask_customer"      // go to the customer for a decision
	MoreToOpen      Move = "more_to_open"      // look further before asking again
	StartRepair     Move = "start_repair"      // begin the agreed work
	ToRoadTest      Move = "to_road_test"      // ready for ride, stand run or rolling road
	ToRelease       Move = "to_release"        // run and found good, or its fault disclosed
	LeaveNotRun     Move = "leave_not_run"     // put back or boxed, not run: do not start
	BackToDiagnosis Move = "back_to_diagnosis" // more checks are needed
	BackToTeardown  Move = "back_to_teardown"  // a fault: it comes apart again
	BackToRepair    Move = "back_to_repair"    // a fault: more work on it
	BackToRoadTest  Move = "back_to_road_test" // run it once more before it goes
	Close           Move = "close"             // hand back the keys
	Withdraw        Move = "withdraw"          // the customer takes it back as it is
)

// Moves lists every move in the order screens show them.
func Moves() []Move {
	return []Move{
		StartDiagnosis, OpenUp, AskCustomer, MoreToOpen, StartRepair, ToRoadTest, ToRelease, LeaveNotRun,
		BackToDiagnosis, BackToTeardown, BackToRepair, BackToRoadTest, Close, Withdraw,
	}
}

// call is the sentence for a move that has nothing left in its way.
func (m Move) call() string {
	switch m {
	case StartDiagnosis:
		return "Start the checks."
	case OpenUp:
		return "Start taking it apart."
	case AskCustomer:
		return "Put the findings to the customer."
	case StartRepair:
		return "Start the agreed work."
	case ToRoadTest:
		return "Send it to the road test."
	case ToRelease:
		return "Send it to hand-over."
	case LeaveNotRun:
		return "Send it to hand-over marked not run, do not start."
	case Close:
		return "Hand it over and close the job."
	default:
		return ""
	}
}
