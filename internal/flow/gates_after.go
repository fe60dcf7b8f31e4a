package flow

// The gates on the way out: release, not run, closed, withdrawn.

var intoRelease = []gate{
	{
		code: "release.outcome_missing", where: atRoadTest, who: WhoBench,
		text: "Say how the run came out.",
		find: job(func(f *Facts) bool { return !known(f.RoadTest.Outcome, Outcomes()) }),
	},
	{
		code: "release.fault_open", where: atRoadTest, who: WhoBench,
		text: "The run showed a fault. Take the job back, or make it a finding and tell the customer.",
		find: job(func(f *Facts) bool { return f.RoadTest.Outcome == OutcomeFault && !f.RoadTest.FaultDisclosed }),
	},
	{
		code: "release.complaint_not_retried", where: atComplaints, who: WhoBench, noun: "this complaint",
		text: "Try the complaint again ({name}) and say how it is now, or why it was not tried.",
		find: rows(complaints, func(_ *Facts, c Complaint) bool { return c.toRetry() && !c.retried() }),
	},
	{
		code: "release.debris_not_clear", where: atDebrisChecks, who: WhoBench,
		text: "The debris checks do not show it clearing. Check again, or book the next check.",
		find: job(func(f *Facts) bool { return f.Debris.Asked && !f.Debris.Falling && !f.Debris.NextBooked }),
	},
	dangerOpen,
}

// toRetry reports whether the complaint has anything to try again. A request,
// a thing that is normal and a thing nobody was to look into have not.
func (c Complaint) toRetry() bool {
	return c.AnswerStruck || c.Answer != AnswerRequest && c.Answer != AnswerNormal && c.Answer != AnswerNotWished
}

func (c Complaint) retried() bool {
	return known(c.Again, Agains()) && (c.Again != AgainNotTried || c.NotTried != "")
}

var leftNotRun = []gate{
	{
		code: "release.not_run_reason_missing", where: atJob, who: WhoBench,
		text: "Say why it leaves without having been run.",
		find: job(func(f *Facts) bool { return !f.NotRun.Stated || f.NotRun.Reason == "" }),
	},
	{
		code: "release.not_run_state_missing", where: atJob, who: WhoBench, safety: true,
		text: "State how the machine is left: complete, in boxes, or movable only.",
		find: job(func(f *Facts) bool { return !known(f.NotRun.State, MachineStates()) }),
	},
}

var intoClosed = []gate{
	{
		code: "closed.hold_point_open", where: atHoldPoints, who: WhoBench, safety: true, noun: "this hold point",
		text: "The hold point ({name}) is open again. Take the job back and pass it.",
		find: func(f *Facts) []Row {
			if f.NotRun.Stated {
				return nil
			}
			return holdPointsPassed.find(f)
		},
	},
	dangerOpen,
	{
		code: "closed.line_open", where: atLines, who: WhoBench, noun: "this line",
		text: "Do the agreed work ({name}), or strike it with a reason.",
		find: rows(lines, func(_ *Facts, l Line) bool { return l.due() }),
	},
	{
		code: "closed.bench_time_running", where: atBenchTimes, who: WhoBench, noun: "somebody",
		text: "Stop the bench time of {name} first.",
		find: rows(benchTimes, func(*Facts, Row) bool { return true }),
	},
	{
		code: "closed.bill_missing", where: atBills, who: WhoCounter,
		text: "Make the bill, or say why there is none.",
		find: job(func(f *Facts) bool { return !f.Bill.Present && f.Bill.NoBill == "" }),
	},
	{
		code: "closed.bill_over_consent", where: atBills, who: WhoCounter,
		text: "The bill goes beyond what the customer agreed to. Get the consent, or make a new bill inside it.",
		find: job(func(f *Facts) bool { return f.Bill.Present && !f.Bill.WithinConsent }),
	},
	{
		code: "closed.payment_missing", where: atPayments, who: WhoCustomer,
		text: "Take the payment, or put the bill on terms.",
		find: job(func(f *Facts) bool {
			return (f.Bill.Present || f.Bill.NoBill == "") && !f.Bill.Paid && !f.Bill.OnTerms
		}),
	},
	{
		code: "closed.old_parts_open", where: atHandOver, who: WhoCounter,
		text: "Return, keep or exchange the replaced parts as agreed, and say so.",
		find: job(func(f *Facts) bool { return f.OldParts.Replaced && !f.OldParts.Settled }),
	},
	{
		code: "closed.evidence_not_kept", where: atHandOver, who: WhoCounter,
		text: "A claim may come: keep the failed parts, the oil and the filter, and set until when.",
		find: job(func(f *Facts) bool { return f.OldParts.ClaimPossible && !f.OldParts.KeptUntil }),
	},
	{
		code: "closed.advice_missing", where: atAdvice, who: WhoCounter,
		text: "Write the advice for the customer, or state that there is none.",
		find: job(func(f *Facts) bool { return !f.HandOver.Advice }),
	},
	{
		code: "closed.recheck_undated", where: atAdvice, who: WhoCounter,
		text: "Set the day or the distance for the re-check.",
		find: job(func(f *Facts) bool { return f.HandOver.RecheckNeeded && !f.HandOver.RecheckDated }),
	},
	{
		code: "closed.still_open_unwritten", where: atAdvice, who: WhoCounter,
		text: "Write down what is still open on this machine.",
		find: job(func(f *Facts) bool { return stillOpen(f) && !f.HandOver.StillOpenWritten }),
	},
	{
		code: "closed.self_check_not_told", where: atHandOver, who: WhoCounter, safety: true,
		text: "Tell the customer that critical joints were re-inspected by the person who tightened them.",
		find: job(func(f *Facts) bool { return selfChecked(f) && !f.HandOver.SelfCheckTold }),
	},
	{
		code: "closed.not_run_warning_missing", where: atHandOver, who: WhoCounter, safety: true,
		text: "Tell the customer: not run, do not start.",
		find: job(func(f *Facts) bool { return notRun(f) && !f.HandOver.NotRunTold }),
	},
	{
		code: "closed.must_be_carried", where: atHandOver, who: WhoCounter, safety: true,
		text: "This machine is not to be ridden. Let it leave on a trailer, and say so.",
		find: job(func(f *Facts) bool { return mustBeCarried(f) && f.HandOver.Transport != TransportTrailer }),
	},
	{
		code: "closed.handed_to_missing", where: atHandOver, who: WhoCounter,
		text: "Say who takes the machine.",
		find: job(func(f *Facts) bool { return f.HandOver.To == "" }),
	},
}

// stillOpen reports whether anything is left that the customer has to know of.
func stillOpen(f *Facts) bool {
	return f.NotRun.Stated || f.RoadTest.Outcome != OutcomeOK ||
		some(f.Complaints, Complaint.left) || some(f.Findings, Finding.left) ||
		some(f.Reached, Reached.left) || some(f.Lines, Line.left)
}

func (c Complaint) left() bool {
	if c.Answer == AnswerNotWished || !known(c.Answer, Answers()) {
		return true
	}
	return c.toRetry() && c.Again != AgainGone
}

func (d Finding) left() bool {
	return !d.Struck && (d.bad() || d.Dangerous || d.PieceMissing) && d.Settled != SettledRepaired
}

func (r Reached) left() bool { return !r.LookedAt }

func (l Line) left() bool { return l.State == LineProposed }

func some[T any](list []T, is func(T) bool) bool {
	for _, one := range list {
		if is(one) {
			return true
		}
	}
	return false
}

// selfChecked reports whether a critical joint was re-inspected by the one
// who tightened it.
func selfChecked(f *Facts) bool {
	return some(f.Fastenings, func(t Fastening) bool { return t.live() && t.CheckedBy == t.DoneBy && t.SelfReinspection })
}

// notRun reports whether the machine leaves without having been run: because
// somebody said so, or because no run is on record.
func notRun(f *Facts) bool { return f.NotRun.Stated || !known(f.RoadTest.Outcome, Outcomes()) }

// mustBeCarried reports whether the machine may not leave under its own
// power: it was not run, or something dangerous is neither repaired nor taken
// on by an owner who was warned.
func mustBeCarried(f *Facts) bool {
	return notRun(f) || some(f.Findings, func(d Finding) bool {
		insists := d.Settled == SettledOwnerInsists && d.settled()
		return !d.Struck && d.Dangerous && d.Settled != SettledRepaired && !insists
	})
}

var intoWithdrawn = []gate{
	dangerOpen,
	{
		code: "withdrawn.reason_missing", where: atWithdrawal, who: WhoCounter,
		text: "Say why the customer takes it back.",
		find: job(func(f *Facts) bool { return f.Withdrawal.Reason == "" }),
	},
	{
		code: "withdrawn.state_missing", where: atWithdrawal, who: WhoCounter, safety: true,
		text: "State how the machine is left: complete, in boxes, or movable only.",
		find: job(func(f *Facts) bool { return !known(f.Withdrawal.State, MachineStates()) }),
	},
	{
		code: "withdrawn.warning_missing", where: atHandOver, who: WhoCounter, safety: true,
		text: "It was opened and has not been run since. Tell the customer: not run, do not start.",
		find: job(func(f *Facts) bool { return f.Teardown.Opened && notRun(f) && !f.HandOver.NotRunTold }),
	},
	{
		code: "withdrawn.bench_time_running", where: atBenchTimes, who: WhoBench, noun: "somebody",
		text: "Stop the bench time of {name} first.",
		find: rows(benchTimes, func(*Facts, Row) bool { return true }),
	},
}
