package flow

// step is one cell of the table: where the move leads, and what must be met.
type step struct {
	to    Stage
	gates []gate
}

// table is the whole path. A cell that is not here is a move that does not
// exist in that stage. The gates of a cell are: the hold, for moves forward;
// what the stage being left asks for; what the stage being entered asks for;
// and what holds whenever a machine is run or leaves. A way back into a stage
// asks for the same as the way forward into it, so that no detour avoids a
// gate.
var table = map[Stage]map[Move]step{
	Intake: {
		StartDiagnosis: {Diagnosis, join(onHold, outOfIntake, intoDiagnosis)},
		OpenUp:         {Teardown, join(onHold, outOfIntake, intoTeardown)},
		AskCustomer:    {Authorization, join(onHold, outOfIntake, intoAuthorization)},
		Withdraw:       {Withdrawn, withdrawing},
	},
	Diagnosis: {
		OpenUp:      {Teardown, join(onHold, intoTeardown)},
		AskCustomer: {Authorization, join(onHold, intoAuthorization)},
		Withdraw:    {Withdrawn, withdrawing},
	},
	Teardown: {
		AskCustomer:     {Authorization, join(onHold, intoAuthorization)},
		BackToDiagnosis: {Diagnosis, intoDiagnosis},
		Withdraw:        {Withdrawn, withdrawing},
	},
	Authorization: {
		MoreToOpen:      {Teardown, join(onHold, intoTeardown)},
		StartRepair:     {Repair, join(onHold, intoRepair)},
		LeaveNotRun:     {Release, join(onHold, leftNotRun)},
		BackToDiagnosis: {Diagnosis, intoDiagnosis},
		Withdraw:        {Withdrawn, withdrawing},
	},
	Repair: {
		ToRoadTest:  {RoadTest, join(onHold, firstStart, intoRoadTest, invariants)},
		LeaveNotRun: {Release, join(onHold, leftNotRun)},
		Withdraw:    {Withdrawn, withdrawing},
	},
	RoadTest: {
		ToRelease:       {Release, join(onHold, intoRelease, holdPointsAgain, invariants)},
		LeaveNotRun:     {Release, join(onHold, leftNotRun)},
		BackToRepair:    {Repair, intoRepair},
		BackToDiagnosis: {Diagnosis, intoDiagnosis},
		BackToTeardown:  {Teardown, intoTeardown},
		Withdraw:        {Withdrawn, withdrawing},
	},
	Release: {
		BackToRepair:    {Repair, intoRepair},
		BackToDiagnosis: {Diagnosis, intoDiagnosis},
		BackToTeardown:  {Teardown, intoTeardown},
		BackToRoadTest:  {RoadTest, join(firstStart, intoRoadTest, invariants)},
		Close:           {Closed, join(onHold, intoClosed, invariants)},
	},
	Closed:    {},
	Withdrawn: {},
}

// holdPointsAgain repeats the hold points where the machine goes to hand-over: a
// fastening undone on the way opens them again.
var holdPointsAgain = []gate{holdPointsPassed}

// withdrawing is asked of every withdrawal. A hold does not stand in its way.
var withdrawing = join(intoWithdrawn, invariants)

// join puts gates in one list, in the order they are reported in.
func join(groups ...[]gate) []gate {
	var out []gate
	for _, g := range groups {
		out = append(out, g...)
	}
	return out
}
