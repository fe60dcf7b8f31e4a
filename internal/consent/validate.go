package consent

import "slices"

// maxList bounds every list inside a rule.
const maxList = 64

// ruleProblem says what is wrong with a rule, or "".
func ruleProblem(r Rule) string {
	for _, check := range []func(Rule) string{headProblem, enumProblem, listProblem, scopeProblem, overageProblem, bandProblem} {
		if why := check(r); why != "" {
			return why
		}
	}
	return ""
}

func headProblem(r Rule) string {
	switch {
	case r.ID == "" || r.Name == "" || r.Citation == "":
		return "A rule needs an id, a name and a citation."
	case r.Retrieved == "":
		return "A rule needs the day its source was read."
	case len(r.Sources) == 0 || len(r.Sources) > maxList:
		return "A rule needs between 1 and 64 sources."
	case r.RecordsYears < 0 || r.RecordsYears > 100:
		return "records_years must lie between 0 and 100."
	}
	return ""
}

// among reports whether v is in the list, or is empty where that is allowed.
func among[T ~string](v T, all []T) bool { return slices.Contains(all, v) }

func optional[T ~string](v T, all []T) bool { return v == "" || among(v, all) }

// subset reports whether every member is listed and none comes twice.
func subset[T ~string](vs, all []T) bool {
	for i, v := range vs {
		if !among(v, all) || slices.Contains(vs[:i], v) {
			return false
		}
	}
	return len(vs) <= maxList
}

func enumProblem(r Rule) string {
	o, e := r.Overage, r.Estimate
	ok := []struct {
		name string
		ok   bool
	}{
		{"grounding", among(r.Grounding, Qualities())},
		{"scope.motorcycles", among(r.Scope.Motorcycles, Covers())},
		{"scope.min_cmp", optional(r.Scope.MinCmp, []Cmp{Gt, Ge})},
		{"scope.max_cmp", optional(r.Scope.MaxCmp, []Cmp{Lt, Le})},
		{"estimate.trigger", among(e.Trigger, Triggers())},
		{"estimate.trigger_as_read", optional(e.TriggerAsRead, Triggers())},
		{"estimate.threshold_cmp", optional(e.ThresholdCmp, []Cmp{Gt, Ge})},
		{"estimate.form", among(e.Form, EstimateForms())},
		{"estimate.authorization", among(e.Authorization, Forms())},
		{"overage.kind", among(o.Kind, Kinds())},
		{"overage.cmp", optional(o.Cmp, []Cmp{Gt, Ge})},
		{"overage.base", among(o.Base, Bases())},
		{"overage.level", among(o.Level, Levels())},
		{"overage.revision_base", among(o.RevisionBase, RevisionBases())},
		{"overage.consent_form", among(o.ConsentForm, Forms())},
		{"overage.basis", among(o.Basis, BasesOfReading())},
		{"overage.duty", optional(o.Duty, Duties())},
		{"limit", among(r.Limit, LimitKinds())},
	}
	for _, c := range ok {
		if !c.ok {
			return c.name + " is not one of the values it may take."
		}
	}
	return ""
}

func listProblem(r Rule) string {
	ok := subset(r.Estimate.Exempt, Exemptions()) && subset(r.Also, Alsos()) && subset(r.ConsentRecord, RecordFieldsAll())
	for _, s := range r.Sources {
		ok = ok && among(s.Quality, Qualities())
	}
	if t := r.Teardown; t != nil {
		ok = ok && among(t.SeparateEstimate, Tris()) && subset(t.MustState, Terms())
	}
	if p := r.Parts; p != nil {
		ok = ok && among(p.Return, Returns()) && optional(p.RequestBy, RequestBys()) &&
			subset(p.Exceptions, Exceptions()) && p.ShowBusinessDays >= 0 && p.KeepBusinessDays >= 0
	}
	if w := r.Waiver; w != nil {
		ok = ok && among(w.Kind, WaiverKinds()) && subset(w.Options, WaiverOptions())
	}
	if !ok {
		return "A list in the rule holds a value it may not hold, or one twice."
	}
	return ""
}

// inRange reports whether an amount is one this package takes.
func inRange(m Minor) bool { return m >= 0 && m <= MaxMinor }

func pctInRange(bp int64) bool { return bp >= 0 && bp <= MaxBasisPoints }

func scopeProblem(r Rule) string {
	s, e := r.Scope, r.Estimate
	switch {
	case !inRange(s.MinTotalMinor) || !inRange(s.MaxTotalMinor) || !inRange(e.ThresholdMinor):
		return "An amount in the rule is out of range."
	case (s.MinTotalMinor > 0) != (s.MinCmp != ""), (s.MaxTotalMinor > 0) != (s.MaxCmp != ""), (e.ThresholdMinor > 0) != (e.ThresholdCmp != ""):
		return "A bound of the rule needs both an amount and a comparison."
	case e.TriggerUnverified && e.Trigger != TriggerAlways:
		return "An unverified trigger must be taken strictly, as always."
	}
	return ""
}

// uses says which parameters a kind needs: percentage, amount, cap, bands.
func uses(k Kind) (pct, abs, limit, bands bool) {
	switch k {
	case KindPct:
		return true, false, false, false
	case KindAbs:
		return false, true, false, false
	case KindLesser, KindGreater:
		return true, true, false, false
	case KindGreaterCapped:
		return true, true, true, false
	case KindBandsPct:
		return false, false, false, true
	case KindVehicleAgePct:
		return true, false, false, true
	}
	return false, false, false, false
}

func overageProblem(r Rule) string {
	o := r.Overage
	pct, abs, limit, bands := uses(o.Kind)
	switch {
	case !pctInRange(o.PctBP) || !pctInRange(o.AdvisoryPctBP) || !inRange(o.AbsMinor) || !inRange(o.CapMinor) || !inRange(o.AboveEstimateMinor):
		return "A figure of the tolerance is out of range."
	case pct != (o.PctBP > 0), abs != (o.AbsMinor > 0), limit != (o.CapMinor > 0), bands != (len(o.Bands) > 0):
		return "The tolerance needs exactly the figures its kind uses, each above zero."
	case (o.Cmp == "") != (o.Kind == KindStandard):
		return "Say whether consent is needed above the allowance (gt) or from it on (ge)."
	case len(o.AdvisoryRangeBP) > 2 || slices.ContainsFunc(o.AdvisoryRangeBP, func(bp int64) bool { return !pctInRange(bp) }):
		return "The advisory range holds at most two percentages."
	}
	return ""
}

func bandProblem(r Rule) string {
	o := r.Overage
	if len(o.Bands) > maxList {
		return "Too many bands."
	}
	for i, b := range o.Bands {
		last := i == len(o.Bands)-1
		switch {
		case !pctInRange(b.PctBP) || !inRange(b.BelowEstimateMinor) || b.MinModelYears < 0:
			return "A band is out of range."
		case o.Kind == KindBandsPct && (b.MinModelYears != 0 || last != (b.BelowEstimateMinor == 0)):
			return "Bands by estimate need an upper bound each, but for the last."
		case o.Kind == KindBandsPct && i > 0 && !last && b.BelowEstimateMinor <= o.Bands[i-1].BelowEstimateMinor:
			return "Bands by estimate must rise."
		case o.Kind == KindVehicleAgePct && (b.BelowEstimateMinor != 0 || b.MinModelYears == 0 || b.PctBP < o.PctBP):
			return "Bands by age need an age each and no less than the percentage without an age."
		case o.Kind == KindVehicleAgePct && i > 0 && (b.MinModelYears <= o.Bands[i-1].MinModelYears || b.PctBP < o.Bands[i-1].PctBP):
			return "Bands by age must rise."
		}
	}
	return ""
}
