package flow

import (
	"strings"

	"benchtag/internal/fault"
)

// The places where a gate is met: the noun's path below the job.
const (
	atIntakeFacts  = "intake-facts"
	atComplaints   = "complaints"
	atAsFound      = "as-found"
	atFindings     = "findings"
	atTags         = "tags"
	atLines        = "lines"
	atConsents     = "consents"
	atPayments     = "payments"
	atFastenings   = "fastenings"
	atHoldPoints   = "hold-points"
	atFirstStart   = "first-start"
	atRoadTest     = "road-tests"
	atDebrisChecks = "debris-checks"
	atBills        = "bills"
	atAdvice       = "advice"
	atHandOver     = "hand-over"
	atJob          = "job" // the job itself
	atWithdrawal   = "withdrawal"
	atHolds        = "holds"
	atBenchTimes   = "bench-times"
)

// Places lists every place a gate can send somebody to: the path of a noun
// below the job or its work order, or the job itself.
func Places() []string {
	return []string{
		atIntakeFacts, atComplaints, atAsFound, atFindings, atTags, atLines, atConsents, atPayments,
		atFastenings, atHoldPoints, atFirstStart, atRoadTest, atDebrisChecks, atBills, atAdvice, atHandOver,
		atJob, atWithdrawal, atHolds, atBenchTimes,
	}
}

// gate is one condition. Its find gives the rows at fault, in the order of
// the facts; one nameless row when the job as a whole is at fault.
type gate struct {
	code   string
	where  string
	who    Who
	safety bool
	noun   string // stands in for {name} when a row has none
	text   string
	find   func(*Facts) []Row
}

// unmet gives what is still missing for this gate.
func (g gate) unmet(f *Facts) []fault.Gate {
	var out []fault.Gate
	for _, r := range g.find(f) {
		out = append(out, g.on(r))
	}
	return out
}

// on is the gate as a client sees it, for one row.
func (g gate) on(r Row) fault.Gate {
	name := r.Name
	if name == "" {
		name = g.noun
	}
	return fault.Gate{Code: g.code, Message: strings.ReplaceAll(g.text, "{name}", name), Where: g.where, Subject: r.ID}
}

// job turns a yes-or-no condition into a finder for the job as a whole.
func job(missing func(*Facts) bool) func(*Facts) []Row {
	return func(f *Facts) []Row {
		if !missing(f) {
			return nil
		}
		return []Row{{}}
	}
}

// rows turns a condition on one row into a finder over all of them.
func rows[T interface{ row() Row }](of func(*Facts) []T, bad func(*Facts, T) bool) func(*Facts) []Row {
	return func(f *Facts) []Row {
		var out []Row
		for _, one := range of(f) {
			if bad(f, one) {
				out = append(out, one.row())
			}
		}
		return out
	}
}

// row gives the row itself; the types that embed Row have it from here.
func (r Row) row() Row { return r }

func complaints(f *Facts) []Complaint { return f.Complaints }
func findings(f *Facts) []Finding     { return f.Findings }
func reached(f *Facts) []Reached      { return f.Reached }
func tags(f *Facts) []Tag             { return f.Tags }
func lines(f *Facts) []Line           { return f.Lines }
func holdPoints(f *Facts) []HoldPoint { return f.HoldPoints }
func fastenings(f *Facts) []Fastening { return f.Fastenings }
func benchTimes(f *Facts) []Row       { return f.BenchTimes }

// Rule describes a gate without its facts.
type Rule struct {
	Code   string
	Where  string
	Safety bool // guards life or limb: there is no "not possible, because"
}

// Rules lists every gate a move can raise, once each, in the order they are
// reported in.
func Rules() []Rule {
	var out []Rule
	for _, g := range allGates() {
		out = append(out, Rule{Code: g.code, Where: g.where, Safety: g.safety})
	}
	return out
}

// Safety reports whether the gate of this code guards life or limb.
func Safety(code string) bool {
	for _, r := range append(Rules(), SecondLookRules()...) {
		if r.Code == code {
			return r.Safety
		}
	}
	return false
}

func allGates() []gate {
	seen := map[string]bool{}
	var out []gate
	for _, group := range [][]gate{
		onHold, outOfIntake, intoDiagnosis, intoTeardown, intoAuthorization, intoRepair, firstStart, intoRoadTest,
		invariants, intoRelease, leftNotRun, intoClosed, intoWithdrawn,
	} {
		for _, g := range group {
			if !seen[g.code] {
				seen[g.code] = true
				out = append(out, g)
			}
		}
	}
	return out
}
