package consent

import (
	"strconv"
	"strings"
)

// Footing is what an answer under a rule rests on.
type Footing struct {
	RuleID    string  `json:"rule"`
	Name      string  `json:"name"`
	Citation  string  `json:"citation"`
	Checked   string  `json:"checked"`   // the day a person checked the rule, or "not verified"
	Retrieved string  `json:"retrieved"` // the day the source was read
	Grounding Quality `json:"grounding"`
	Caution   string  `json:"caution"`
}

// FootingOf gives what answers under the rule rest on.
func FootingOf(r Rule) Footing {
	f := Footing{
		RuleID: r.ID, Name: r.Name, Citation: r.Citation, Checked: notVerified,
		Retrieved: r.Retrieved, Grounding: r.Grounding, Caution: caution,
	}
	if r.VerifiedOn != nil {
		f.Checked = *r.VerifiedOn
	}
	return f
}

// Reaching gives the rule that speaks for such a machine and customer: the
// rule itself, or the strict default, with a sentence why, where the rule
// leaves motorcycles or business customers out.
func Reaching(r Rule, motorcycle bool, c Customer) (Rule, string) {
	switch {
	case motorcycle && r.Scope.Motorcycles == CoverNo:
		return Strict(), "This rule leaves motorcycles out; the strict default applies."
	case c == Business && r.Scope.ConsumerOnly:
		return Strict(), "This rule covers consumers only; the strict default applies."
	}
	return r, ""
}

// Customer is what kind of customer it is.
type Customer string

// The kinds of customer.
const (
	Consumer Customer = "consumer"
	Business Customer = "business"
)

// Customers lists every kind of customer.
func Customers() []Customer { return []Customer{Consumer, Business} }

// Allowance says a rule's tolerance in one sentence.
func Allowance(r Rule) string {
	o, m := r.Overage, coinOf(r, "").amount
	abs := m(o.AbsMinor)
	over := "consent when the excess is " + words(o.Cmp) + " it"
	switch o.Kind {
	case KindZero:
		return "No allowance: any excess over what was agreed needs consent."
	case KindPct:
		return "Allowance " + percent(o.PctBP) + " of the estimate; " + over + "."
	case KindAbs:
		return "Allowance " + abs + "; " + over + "."
	case KindLesser:
		return "Allowance the lesser of " + percent(o.PctBP) + " of the estimate and " + abs + "; " + over + "."
	case KindGreater:
		return "Allowance the greater of " + percent(o.PctBP) + " of the estimate and " + abs + "; " + over + "."
	case KindGreaterCapped:
		return "Allowance the greater of " + percent(o.PctBP) + " of the estimate and " + abs + ", at most " + m(o.CapMinor) + "; " + over + "."
	case KindBandsPct, KindVehicleAgePct:
		return "Allowance " + bandWords(r) + "; " + over + "."
	case KindCustomerLimit:
		return "No allowance in figures: only the customer's own maximum counts."
	}
	if o.AdvisoryPctBP > 0 {
		return "A standard of judgment without a number; " + percent(o.AdvisoryPctBP) + " is a rule of thumb, not law."
	}
	return "A standard of judgment without a number."
}

// bandWords says percentages that change with the estimate or the age.
func bandWords(r Rule) string {
	var parts []string
	if r.Overage.Kind == KindVehicleAgePct {
		parts = append(parts, percent(r.Overage.PctBP)+" of the estimate")
	}
	for _, b := range r.Overage.Bands {
		switch {
		case b.MinModelYears > 0:
			parts = append(parts, percent(b.PctBP)+" from "+strconv.Itoa(b.MinModelYears)+" model years on")
		case b.BelowEstimateMinor > 0:
			parts = append(parts, percent(b.PctBP)+" of an estimate below "+coinOf(r, "").amount(b.BelowEstimateMinor))
		default:
			parts = append(parts, percent(b.PctBP)+" of any other")
		}
	}
	return strings.Join(parts, ", ")
}

// Describe says everything a rule holds, a sentence a matter.
func Describe(r Rule) []string {
	out := []string{estimateWords(r), Allowance(r), overageWords(r.Overage, coinOf(r, ""))}
	out = append(out, dutyWords(r.Overage)...)
	out = append(out, scopeWords(r)...)
	out = append(out,
		"Consent whatever it costs: "+list(r.Also)+".",
		"A maximum named at drop-off: "+limitWords(r.Limit),
		teardownWords(r), recordWords(r), PartsWords(r), waiverWords(r))
	out = append(out, noteWords(r)...)
	out = append(out, groundWords(r))
	return append(out, sourceWords(r)...)
}

func estimateWords(r Rule) string {
	e := r.Estimate
	out := "Estimate: " + map[Trigger]string{
		TriggerAlways: "always", TriggerUnlessWaived: "unless the customer waives it", TriggerOfferChoice: "offered as a choice",
		TriggerOnRequest: "when the customer asks", TriggerDeclinedWithMax: "unless the customer declines and names a maximum", TriggerNone: "not asked for",
	}[e.Trigger]
	if e.TriggerUnverified {
		out += " (taken strictly; read as " + list([]Trigger{e.TriggerAsRead}) + ", not confirmed)"
	}
	if e.ThresholdMinor > 0 {
		out += ", where the total is " + words(e.ThresholdCmp) + " " + coinOf(r, "").amount(e.ThresholdMinor)
	}
	out += "; form " + list([]EstimateForm{e.Form}) + "; authorization " + list([]Form{e.Authorization})
	if len(e.Exempt) > 0 {
		out += "; not for a job taken in without meeting the customer"
	}
	return out + "."
}

func overageWords(o Overage, in coin) string {
	out := "Compared " + map[Base]string{ExclTax: "without tax", InclTax: "with tax", BaseUnspecified: "both without and with tax, the stricter wins"}[o.Base]
	if o.Level == LevelJob {
		out += ", each job and the order"
	} else {
		out += ", on the order"
	}
	out += ", from the latest authorised sum"
	if o.RevisionBase == OriginalEstimate {
		out = strings.Replace(out, "latest authorised sum", "original estimate", 1)
	}
	if o.AboveEstimateMinor > 0 {
		out += ", only for an estimate above " + in.amount(o.AboveEstimateMinor)
	}
	out += "; form of consent " + list([]Form{o.ConsentForm})
	if o.CustomerCanRemoveAllowance {
		out += "; the customer can remove the allowance"
	}
	if o.Confidence != "" {
		out += "; confidence " + o.Confidence
	}
	return out + "."
}

// dutyWords says what a standard without a number asks for, if anything.
func dutyWords(o Overage) []string {
	if o.Duty == "" {
		return nil
	}
	out := "Duty: " + list([]Duty{o.Duty})
	if o.CustomerRight != "" {
		out += "; the customer may " + o.CustomerRight
	}
	if len(o.AdvisoryRangeBP) == 2 {
		out += "; courts have spanned " + percent(o.AdvisoryRangeBP[0]) + " to " + percent(o.AdvisoryRangeBP[1])
	}
	return []string{out + "."}
}

func scopeWords(r Rule) []string {
	s, m := r.Scope, coinOf(r, "").amount
	out := []string{"Motorcycles covered: " + string(s.Motorcycles) + "."}
	if s.MinTotalMinor > 0 {
		out = append(out, "Only where the larger of estimate and price is "+words(s.MinCmp)+" "+m(s.MinTotalMinor)+".")
	}
	if s.MaxTotalMinor > 0 {
		out = append(out, "Only where the smaller of estimate and price is "+words(s.MaxCmp)+" "+m(s.MaxTotalMinor)+".")
	}
	if s.ConsumerOnly {
		out = append(out, "Consumers only.")
	}
	return out
}

func limitWords(k LimitKind) string {
	switch k {
	case LimitNamed:
		return "the text knows it; spoken it counts with the record the rule asks for."
	case LimitNamedInWriting:
		return "the text knows it on a signed paper only."
	case LimitWorkDescribed:
		return "it counts only if it names the work it is for."
	}
	return "the text is silent; it counts in writing, or spoken with the whole record."
}

func teardownWords(r Rule) string {
	out := "A teardown offer states: " + list(TeardownTerms(r))
	if r.Teardown == nil || len(r.Teardown.MustState) == 0 {
		out += " (the whole list, since none was read)"
	}
	if r.Teardown == nil {
		return out + "."
	}
	out += "; an estimate of its own: " + string(r.Teardown.SeparateEstimate)
	if r.Teardown.Note != "" {
		out += "; " + r.Teardown.Note
	}
	if r.Teardown.IfDeclined != "" {
		out += "; if the customer then declines: " + r.Teardown.IfDeclined
	}
	return out + "."
}

func recordWords(r Rule) string {
	out := "A record of consent holds: " + list(RecordFields(r))
	if len(r.ConsentRecord) == 0 {
		out += " (the whole list, since none was read)"
	}
	if r.RecordNote != "" {
		out += "; " + r.RecordNote
	}
	return out + "."
}

// PartsWords says what happens to old parts under a rule.
func PartsWords(r Rule) string {
	p := OldParts(r)
	out := "Old parts: " + map[Return]string{
		ReturnDefault: "given back unless the customer declines", ReturnOnRequest: "given back on request",
		ReturnOffer: "offered to every customer", ReturnShowOnly: "shown",
	}[p.Return]
	if p.RequestBy != "" {
		out += ", asked for by: " + list([]RequestBy{p.RequestBy})
	}
	if len(p.Exceptions) > 0 {
		out += "; except " + list(p.Exceptions)
	}
	if p.ShowIfExcepted {
		out += "; such a part is shown" + daysWords(p.ShowBusinessDays)
	}
	if p.ShowNotIfFree {
		out += ", not if it was free of charge"
	}
	if p.KeepBusinessDays > 0 {
		out += "; not collected, parts are kept" + daysWords(p.KeepBusinessDays)
	}
	if p.Note != "" {
		out += "; " + p.Note
	}
	return out + "."
}

func waiverWords(r Rule) string {
	if r.Waiver == nil {
		return "Waiver: no form was read."
	}
	out := "Waiver: " + list([]WaiverKind{r.Waiver.Kind})
	if len(r.Waiver.Options) > 0 {
		out += " (" + list(r.Waiver.Options) + ")"
	}
	if r.Waiver.ShopMayNotRequire {
		out += "; the shop may not require one"
	}
	return out + "."
}

// noteWords gives what is kept for display alone.
func noteWords(r Rule) []string {
	out := []string{"Papers are kept " + strconv.Itoa(RecordsYears(r)) + " years; tax law may ask more."}
	if r.Electronic != "" {
		out = append(out, "Electronic form: "+r.Electronic+".")
	}
	if r.Storage != "" {
		out = append(out, "Storage: "+r.Storage+". Defer to local law.")
	}
	if w := r.Warranty; w != nil && w.Days > 0 {
		out = append(out, "Warranty by statute: "+strconv.Itoa(w.Days)+" days or "+strconv.Itoa(w.Km)+" km, "+w.Scope+". Defer to local law.")
	} else if w != nil {
		out = append(out, "Warranty: "+w.Scope+". Defer to local law.")
	}
	return out
}

func groundWords(r Rule) string {
	f := FootingOf(r)
	return "Source: " + r.Citation + "; read " + r.Retrieved + "; checked by a person: " + f.Checked +
		"; grounding " + list([]Quality{r.Grounding}) + ", the comparison by " + list([]Basis{r.Overage.Basis}) + "."
}

func sourceWords(r Rule) []string {
	out := make([]string, len(r.Sources))
	for i, s := range r.Sources {
		out[i] = "Read (" + list([]Quality{s.Quality}) + "): " + s.What + "."
	}
	return out
}
