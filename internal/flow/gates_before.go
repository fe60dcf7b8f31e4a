package flow

// The gates before any agreed work: hold, intake, diagnosis, teardown,
// authorization, and the way into repair.

var onHold = []gate{{
	code: "hold.active", where: atHolds, who: WhoCounter,
	text: "The job is on hold. End the hold first.",
	find: job(func(f *Facts) bool { return f.Hold.Active }),
}}

var outOfIntake = []gate{
	{
		code: "intake.customer_missing", where: atIntakeFacts, who: WhoCounter,
		text: "Say whose machine it is.",
		find: job(func(f *Facts) bool { return !f.Intake.Customer }),
	},
	{
		code: "intake.machine_missing", where: atIntakeFacts, who: WhoCounter,
		text: "Say which machine it is.",
		find: job(func(f *Facts) bool { return !f.Intake.Machine }),
	},
	{
		code: "intake.odometer_missing", where: atIntakeFacts, who: WhoCounter,
		text: "Write down the odometer, or why it cannot be read.",
		find: job(func(f *Facts) bool { return !f.Intake.Odometer && f.Intake.OdometerNotReadable == "" }),
	},
	{
		code: "intake.complaint_missing", where: atComplaints, who: WhoCounter,
		text: "Write down at least one complaint or request.",
		find: job(func(f *Facts) bool { return len(f.Complaints) == 0 }),
	},
	{
		code: "intake.facts_missing", where: atIntakeFacts, who: WhoCounter,
		text: "Take down the intake facts: keys, luggage, fuel, damage already there, leave to ride.",
		find: job(func(f *Facts) bool { return !f.Intake.Given }),
	},
}

var intoDiagnosis = []gate{{
	code: "diagnosis.not_agreed", where: atConsents, who: WhoCounter,
	text: "Get the customer's yes to what the checks cost, or state that they are free.",
	find: job(func(f *Facts) bool { return !f.Diagnosis.Agreed && !f.Diagnosis.Free }),
}}

var intoTeardown = []gate{
	{
		code: "teardown.consent_missing", where: atConsents, who: WhoCounter,
		text: "Get the customer's consent to taking it apart.",
		find: job(func(f *Facts) bool { return !f.Teardown.Consent }),
	},
	{
		code: "teardown.term_missing", where: atConsents, who: WhoCounter, noun: "every term the rule asks for",
		text: "The consent to taking it apart must state {name}. Ask again with that written in.",
		find: missingTerms,
	},
	{
		code: "teardown.as_found_missing", where: atAsFound, who: WhoBench,
		text: "Take the readings that cannot be had later, or say why not, before the first bolt.",
		find: job(func(f *Facts) bool { return !f.Teardown.AsFound && f.Teardown.AsFoundWaive == "" }),
	},
}

func missingTerms(f *Facts) []Row {
	var out []Row
	for _, term := range f.Teardown.MissingTerms {
		out = append(out, Row{ID: term, Name: plain(term)})
	}
	return out
}

var intoAuthorization = []gate{
	{
		code: "authorization.complaint_unanswered", where: atComplaints, who: WhoBench, noun: "this complaint",
		text: "Answer the complaint ({name}): by a finding, or by saying that it is a request, normal for this machine, not reproduced, not looked into at the customer's wish, or not explained.",
		find: rows(complaints, func(_ *Facts, c Complaint) bool { return c.AnswerStruck || !known(c.Answer, Answers()) }),
	},
	{
		code: "authorization.reached_not_looked_at", where: atFindings, who: WhoBench, noun: "this part",
		text: "Debris can have reached {name}. Look at it, or disclose that nobody looked and why.",
		find: rows(reached, func(_ *Facts, r Reached) bool { return !r.LookedAt && r.Disclosed == "" }),
	},
	{
		code: "authorization.parts_not_laid_out", where: atFindings, who: WhoBench, noun: "the broken part",
		text: "Lay out the pieces of {name} and see whether they make a whole.",
		find: rows(findings, func(_ *Facts, d Finding) bool { return !d.Struck && d.Broken && !d.LaidOut }),
	},
	{
		code: "authorization.piece_not_kept_open", where: atFindings, who: WhoBench, noun: "the broken part",
		text: "A piece of {name} is missing. Keep it as something still to look for.",
		find: rows(findings, func(_ *Facts, d Finding) bool { return !d.Struck && d.PieceMissing && !d.OpenLook }),
	},
	{
		code: "authorization.tag_missing", where: atTags, who: WhoBench,
		text: "Put what came off on a tag, or state that nothing came off.",
		find: job(untagged),
	},
	{
		code: "authorization.gauge_out_of_date", where: atFindings, who: WhoBench, noun: "this finding",
		text: "The grade of {name} hangs on a gauge that was out of calibration. Measure again with one that is not, or mark the reading as indicative.",
		find: rows(findings, func(_ *Facts, d Finding) bool { return measured(d) && !d.GaugeInDate }),
	},
	{
		code: "authorization.limit_without_source", where: atFindings, who: WhoBench, noun: "this finding",
		text: "The grade of {name} hangs on a limit without a source. Name the source, or mark the reading as indicative.",
		find: rows(findings, func(_ *Facts, d Finding) bool { return measured(d) && !d.LimitSourced }),
	},
	{
		code: "authorization.evidence_missing", where: atFindings, who: WhoBench, noun: "this finding",
		text: "Grade 3 or 4 needs a photo, a reading or a reason: add one to {name}.",
		find: rows(findings, func(_ *Facts, d Finding) bool { return d.bad() && !d.Photo && !d.Reading && d.Reason == "" }),
	},
	{
		code: "authorization.first_cause_missing", where: atFindings, who: WhoBench,
		text: "Mark the finding that started it, or write why nobody can tell.",
		find: job(causeOpen),
	},
}

// measured reports that a measurement which is not marked as indicative
// decides the grade of a finding that stands.
func measured(d Finding) bool { return !d.Struck && d.Measured && !d.Indicative }

// untagged reports that something was opened, and neither a tag nor the
// statement that nothing came off is there.
func untagged(f *Facts) bool {
	if !f.Teardown.Opened || f.Teardown.NothingCameOff {
		return false
	}
	for _, t := range f.Tags {
		if !t.Struck {
			return false
		}
	}
	return true
}

// causeOpen reports that there is damage and no word on what started it.
func causeOpen(f *Facts) bool {
	if f.FirstCause.Marked || f.FirstCause.Undetermined != "" {
		return false
	}
	for _, d := range f.Findings {
		if d.bad() {
			return true
		}
	}
	return false
}

var intoRepair = []gate{
	{
		code: "repair.consent_missing", where: atConsents, who: WhoCounter,
		text: "Get the customer's consent to one of the ways forward, or a limit given at drop-off that covers the total.",
		find: job(func(f *Facts) bool { return !dropOff(f) && !f.Consent.Given }),
	},
	{
		code: "repair.consent_without_scope", where: atConsents, who: WhoCounter,
		text: "The consent covers no whole way forward. Ask for one as it was offered.",
		find: job(func(f *Facts) bool { return !dropOff(f) && f.Consent.Given && !f.Consent.Scope }),
	},
	{
		code: "repair.consent_not_bound", where: atConsents, who: WhoCounter,
		text: "The offer is no longer what the customer agreed to. Show it as it is now and ask again.",
		find: job(func(f *Facts) bool { return !dropOff(f) && f.Consent.Given && !f.Consent.Bound }),
	},
	{
		code: "repair.deposit_missing", where: atPayments, who: WhoCustomer,
		text: "The deposit asked for is not paid. Take it, or stop asking for it.",
		find: job(func(f *Facts) bool { return f.Deposit.Asked && !f.Deposit.Paid }),
	},
}

// dropOff reports that the limit given at drop-off stands in for a consent.
func dropOff(f *Facts) bool { return f.DropOff.Counts && f.DropOff.Covers }
