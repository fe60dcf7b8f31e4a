package reckon

import (
	"fmt"
	"slices"
	"strings"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
)

// consentIn is a question to a consent rule; Call says which.
type consentIn struct {
	// Call is decide (also where it is left out), decide_all,
	// estimate_needed, limit_at_drop_off, teardown, record, old_parts, rule
	// or rules.
	Call string `json:"call,omitempty"`
	// Rule is the id of a rule; "" is the strict default.
	Rule string `json:"rule,omitempty"`
	// Own makes a rule of the shop's own, instead of Rule.
	Own *consent.Params `json:"own,omitempty"`
	// Change is what was agreed and what it has come to, of the order. With
	// jobs it may be left out: it is then their sum.
	Change  *consent.Change      `json:"change,omitempty"`
	Jobs    []consent.Change     `json:"jobs,omitempty"`
	Ask     *consent.EstimateAsk `json:"ask,omitempty"`
	DropOff *consent.DropOff     `json:"drop_off,omitempty"`
	// Stated is what a teardown offer states, Held what a record holds.
	Stated []consent.Term        `json:"stated,omitempty"`
	Held   []consent.RecordField `json:"held,omitempty"`
	Parts  []consent.PartAsk     `json:"parts,omitempty"`
	// Motorcycle and Customer are of limit_at_drop_off, teardown, record and
	// old_parts.
	Motorcycle bool             `json:"motorcycle,omitempty"`
	Customer   consent.Customer `json:"customer,omitempty"`
}

// decidedOut is whether further consent is needed.
type decidedOut struct {
	DecidedBy string          `json:"decided_by"` // order, or the job: job 1
	Own       consent.Verdict `json:"own"`
	Effective consent.Verdict `json:"effective"`
	Strict    bool            `json:"strict"`
	Reasons   []string        `json:"reasons"`
	Ceiling   consent.Ceiling `json:"ceiling"`
	Guide     consent.Guide   `json:"guide,omitempty"`
	Form      consent.Form    `json:"form"`
	consent.Footing
}

// neededOut is whether a written estimate is due.
type neededOut struct {
	Needed bool `json:"needed"`
	// Form and Authorization are the rule's, Waiver how it lets an estimate
	// be waived; nil where none was read.
	Form          consent.EstimateForm `json:"form"`
	Authorization consent.Form         `json:"authorization"`
	Waiver        *consent.WaiverRule  `json:"waiver,omitempty"`
	saidOut
}

// countsOut is whether a maximum named at drop-off counts.
type countsOut struct {
	Counts bool `json:"counts"`
	saidOut
}

// saidOut is a reason with its footing.
type saidOut struct {
	Reasons []string `json:"reasons"`
	consent.Footing
}

// listOut is what a list asks for and what is missing.
type listOut[T ~string] struct {
	Required []T `json:"required"`
	Missing  []T `json:"missing"`
	// Found is what the rule's own sources ask for; empty: none was read.
	Found  []T  `json:"found"`
	Strict bool `json:"strict"` // whether the whole list applies
	saidOut
}

// teardownOut is what a teardown offer must state.
type teardownOut struct {
	listOut[consent.Term]
	SeparateEstimate consent.Tri `json:"separate_estimate"`
	Note             string      `json:"note"`
	IfDeclined       string      `json:"if_declined"`
}

// recordOut is what a record of consent must hold.
type recordOut struct {
	listOut[consent.RecordField]
	Note         string `json:"note"`
	RecordsYears int    `json:"records_years"`
}

// partsOut is what becomes of old parts.
type partsOut struct {
	consent.PartsRule
	Parts []fateOut `json:"parts"`
	saidOut
}

type fateOut struct {
	Name string       `json:"name"`
	Fate consent.Fate `json:"fate"`
	Why  string       `json:"why"`
}

// ruleOut is everything a rule holds, as data and in words.
type ruleOut struct {
	Rule  consent.Rule `json:"data"`
	Words []string     `json:"words"`
}

// rulesOut is the list to choose from.
type rulesOut struct {
	Rules []ruleLine `json:"rules"`
}

type ruleLine struct {
	ID          string          `json:"id"`
	Name        string          `json:"name"`
	Citation    string          `json:"citation"`
	Allowance   string          `json:"allowance"`
	Motorcycles consent.Cover   `json:"motorcycles"`
	Grounding   consent.Quality `json:"grounding"`
}

func consentEngine() Engine {
	return engine("consent", "1", "Whether a change needs the customer's consent under a rule the shop chose, and what offer, record and old parts then ask for.", consentRun)
}

// consentCalls lists what can be asked.
func consentCalls() map[string]func(consentIn, consent.Rule) (Answer, error) {
	return map[string]func(consentIn, consent.Rule) (Answer, error){
		"": consentDecide, "decide": consentDecide, "decide_all": consentDecide,
		"estimate_needed": consentEstimate, "limit_at_drop_off": consentDropOff,
		"teardown": consentTeardown, "record": consentRecord, "old_parts": consentParts,
		"rule": consentRule, "rules": consentRules,
	}
}

func consentRun(in consentIn) (Answer, error) {
	call, known := consentCalls()[in.Call]
	if !known {
		return Answer{}, fault.Invalid("consent.call_unknown", "/call",
			"Say decide, decide_all, estimate_needed, limit_at_drop_off, teardown, record, old_parts, rule or rules.")
	}
	r, err := in.rule()
	if err != nil {
		return Answer{}, err
	}
	if in.Customer != "" && !slices.Contains(consent.Customers(), in.Customer) {
		return Answer{}, fault.Invalid("consent.customer_unknown", "/customer", "Say consumer or business.")
	}
	a, err := call(in, r)
	if err != nil {
		return Answer{}, err
	}
	a.Warnings = append(a.Warnings, consent.Warnings(r)...)
	return a, nil
}

// rule is the rule chosen, or the shop's own. A rule may also be called by
// its name, and in any letters.
func (in consentIn) rule() (consent.Rule, error) {
	if in.Own == nil {
		all, err := consent.Rules()
		if err != nil {
			return consent.Rule{}, err
		}
		for _, r := range all {
			if strings.EqualFold(in.Rule, r.ID) || strings.EqualFold(in.Rule, r.Name) {
				return r, nil
			}
		}
		return consent.Find(in.Rule)
	}
	if in.Rule != "" && in.Rule != consent.CustomID {
		return consent.Rule{}, fault.Invalid("consent.rule_unclear", "/own", "Give rule or own, not both.")
	}
	return consent.Custom(*in.Own)
}

// missingInput says which member a call lacks.
func missingInput(member, what string) error {
	return fault.Invalid("consent.input_missing", "/"+member, "Give "+member+": "+what+".")
}

func consentDecide(in consentIn, r consent.Rule) (Answer, error) {
	if in.Change == nil && len(in.Jobs) == 0 {
		return Answer{}, missingInput("change", "what was authorised and what it has come to")
	}
	order := consent.OrderOf(in.Jobs)
	if in.Change != nil {
		order = *in.Change
	}
	decide := consent.Decide
	if len(in.Jobs) > 0 || in.Call == "decide_all" {
		decide = func(r consent.Rule, c consent.Change) (consent.Answer, error) {
			return consent.DecideAll(r, c, in.Jobs)
		}
	}
	a, err := decide(r, order)
	if err != nil {
		return Answer{}, err
	}
	out := decidedOut{
		DecidedBy: "order", Own: a.Own, Effective: a.Effective, Strict: a.Strict, Reasons: a.Reasons,
		Ceiling: a.Ceiling, Guide: a.Guide, Form: a.Form, Footing: consent.FootingOf(r),
	}
	if a.Job > 0 {
		out.DecidedBy = fmt.Sprintf("job %d", a.Job)
	} else if order.Level == consent.LevelJob {
		out.DecidedBy = "job"
	}
	working := append([]string{consent.Allowance(r)}, a.Working...)
	working = append(working, "Decided by the "+out.DecidedBy+": "+strings.Join(a.Reasons, " "))
	return Answer{Verdict: string(a.Effective), Value: out, Working: append(working, source(r))}, nil
}

// source says where the rule comes from.
func source(r consent.Rule) string {
	f := consent.FootingOf(r)
	return "Rule " + f.RuleID + " (" + f.Name + "): " + f.Citation + "; source read " + f.Retrieved + "; checked by a person: " + f.Checked + "."
}

func said(r consent.Rule, why ...string) saidOut {
	return saidOut{Reasons: list(why), Footing: consent.FootingOf(r)}
}

func consentEstimate(in consentIn, r consent.Rule) (Answer, error) {
	if in.Ask == nil {
		return Answer{}, missingInput("ask", "the expected total and what the customer said of an estimate")
	}
	if in.Ask.Total > consent.MaxMinor {
		return Answer{}, fault.Invalid("consent.ask_invalid", "/ask/total", "Give the expected total in minor units, or -1 where it is not known.")
	}
	needed, why := consent.EstimateNeeded(r, *in.Ask)
	verdict := "not_needed"
	if needed {
		verdict = "needed"
	}
	return Answer{Verdict: verdict, Value: neededOut{needed, r.Estimate.Form, r.Estimate.Authorization, r.Waiver, said(r, why)}, Working: []string{consent.Describe(r)[0], why, source(r)}}, nil
}

func consentDropOff(in consentIn, r consent.Rule) (Answer, error) {
	if in.DropOff == nil {
		return Answer{}, missingInput("drop_off", "how the maximum was given and what its record holds")
	}
	reaching, gap := consent.Reaching(r, in.Motorcycle, in.Customer)
	counts, why := consent.LimitAtDropOff(reaching, *in.DropOff)
	verdict := "does_not_count"
	if counts {
		verdict = "counts"
	}
	return Answer{Verdict: verdict, Value: countsOut{counts, said(r, append(nonEmpty(gap), why)...)}, Working: append(nonEmpty(gap), why, source(r))}, nil
}

func consentTeardown(in consentIn, asked consent.Rule) (Answer, error) {
	r, why := consent.Reaching(asked, in.Motorcycle, in.Customer)
	var own consent.TeardownRule
	if asked.Teardown != nil {
		own = *asked.Teardown
	}
	if err := allKnown("stated", in.Stated, consent.Terms()); err != nil {
		return Answer{}, err
	}
	l := listOf(consent.TeardownTerms(r), in.Stated, own.MustState)
	l.saidOut, l.Strict = said(asked, nonEmpty(why)...), l.Strict || why != ""
	out := teardownOut{l, own.SeparateEstimate, own.Note, own.IfDeclined}
	if out.SeparateEstimate == "" {
		out.SeparateEstimate = consent.Unknown
	}
	working := make([]string, 0, len(l.Required)+2)
	for _, term := range l.Required {
		working = append(working, listed(term, consent.TermWords(term), l.Missing))
	}
	return Answer{Verdict: l.verdict(), Value: out, Working: append(working, source(asked))}, nil
}

func consentRecord(in consentIn, asked consent.Rule) (Answer, error) {
	r, why := consent.Reaching(asked, in.Motorcycle, in.Customer)
	if err := allKnown("held", in.Held, consent.RecordFieldsAll()); err != nil {
		return Answer{}, err
	}
	l := listOf(consent.RecordFields(r), in.Held, asked.ConsentRecord)
	l.saidOut, l.Strict = said(asked, nonEmpty(why)...), l.Strict || why != ""
	working := make([]string, 0, len(l.Required)+2)
	for _, field := range l.Required {
		working = append(working, listed(field, consent.FieldWords(field), l.Missing))
	}
	out := recordOut{l, asked.RecordNote, max(consent.RecordsYears(r), consent.RecordsYears(asked))}
	return Answer{Verdict: l.verdict(), Value: out, Working: append(working, source(asked))}, nil
}

// listOf compares what is given with what is required; found is what the
// rule's sources name.
func listOf[T ~string](required, given, found []T) listOut[T] {
	l := listOut[T]{Required: required, Missing: []T{}, Found: append([]T{}, found...)}
	for _, v := range required {
		if !slices.Contains(given, v) {
			l.Missing = append(l.Missing, v)
		}
	}
	l.Strict = len(found) == 0
	return l
}

func (l listOut[T]) verdict() string {
	if len(l.Missing) > 0 {
		return "incomplete"
	}
	return "complete"
}

func listed[T ~string](v T, words string, missing []T) string {
	if slices.Contains(missing, v) {
		return string(v) + " (" + words + "): missing."
	}
	return string(v) + " (" + words + "): there."
}

func allKnown[T ~string](member string, given, all []T) error {
	for i, v := range given {
		if !slices.Contains(all, v) {
			return fault.Invalid("consent.word_unknown", fmt.Sprintf("/%s/%d", member, i), "Name one of the list.")
		}
	}
	return nil
}

func nonEmpty(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

func consentParts(in consentIn, asked consent.Rule) (Answer, error) {
	r, why := consent.Reaching(asked, in.Motorcycle, in.Customer)
	out := partsOut{PartsRule: consent.OldParts(r), Parts: []fateOut{}, saidOut: said(asked, nonEmpty(why)...)}
	working := []string{consent.PartsWords(r)}
	for i, p := range in.Parts {
		if p.Exception != "" && !slices.Contains(consent.Exceptions(), p.Exception) {
			return Answer{}, fault.Invalid("consent.word_unknown", fmt.Sprintf("/parts/%d/exception", i), "Name one of the list.")
		}
		fate, because := consent.PartFate(r, p)
		out.Parts = append(out.Parts, fateOut{p.Name, fate, because})
		working = append(working, fmt.Sprintf("Part %d %s: %s. %s", i+1, p.Name, fate, because))
	}
	return Answer{Value: out, Working: append(working, source(asked))}, nil
}

func consentRule(_ consentIn, r consent.Rule) (Answer, error) {
	return Answer{Value: ruleOut{r, consent.Describe(r)}, Working: []string{source(r)}}, nil
}

func consentRules(_ consentIn, _ consent.Rule) (Answer, error) {
	all, err := consent.Rules()
	if err != nil {
		return Answer{}, err
	}
	out := rulesOut{Rules: make([]ruleLine, len(all))}
	for i, r := range all {
		out.Rules[i] = ruleLine{r.ID, r.Name, r.Citation, consent.Allowance(r), r.Scope.Motorcycles, r.Grounding}
	}
	return Answer{Value: out}, nil
}
