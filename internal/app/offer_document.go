package app

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/consent"
	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// documentVersion is the version of OfferDocument's format.
const documentVersion = 1

// readDocument reads the stored bytes of an offer.
func readDocument(o shop.Offer) (OfferDocument, error) {
	var d OfferDocument
	if err := json.Unmarshal(o.Document, &d); err != nil {
		return d, fmt.Errorf("app: read the document of an offer: %w", err)
	}
	return d, nil
}

// offerParts is what an offer is written from.
type offerParts struct {
	shop   shop.Shop
	rule   consent.Rule
	order  shop.WorkOrder
	job    shop.Job
	scopes []shop.Scope
}

// kind says what the offer asks.
func (p offerParts) kind() shop.ScopeKind { return askedOf(p.scopes) }

// askedOf says what ways forward ask together: repair where any of them is one.
func askedOf(scopes []shop.Scope) shop.ScopeKind {
	for _, sc := range scopes {
		if sc.Kind == shop.ScopeKindRepair {
			return sc.Kind
		}
	}
	return scopes[0].Kind
}

// write puts the document together from what is on record now.
func (p offerParts) write(tx Tx, number int64, until shop.Date) (OfferDocument, error) {
	machine, err := load[shop.Machine](tx, string(p.order.MachineID))
	if err != nil {
		return OfferDocument{}, err
	}
	complaints, err := every[shop.Complaint](tx, By{"job_id": p.job.ID})
	if err != nil {
		return OfferDocument{}, err
	}
	findings, err := every[shop.Finding](tx, By{"job_id": p.job.ID})
	if err != nil {
		return OfferDocument{}, err
	}
	photos, err := photosFor(tx, p.job)
	if err != nil {
		return OfferDocument{}, err
	}
	ways, err := waysOf(tx, p.shop, p.scopes)
	if err != nil {
		return OfferDocument{}, err
	}
	before, err := p.agreedBefore(tx)
	if err != nil {
		return OfferDocument{}, err
	}
	rule, err := json.Marshal(p.rule)
	if err != nil {
		return OfferDocument{}, fmt.Errorf("app: write the rule of an offer: %w", err)
	}
	s := p.shop
	return OfferDocument{
		Version: documentVersion,
		Shop:    OfferShop{Name: s.Name, Phone: s.Phone, Address: s.Address, Registration: s.Registration, TimeZone: s.TimeZone},
		Number:  p.order.Number, Offer: number, Machine: machineWords(machine), Job: p.job.Title, Kind: p.kind(),
		AskedAt: tx.Now().Format("2006-01-02T15:04:05.000000Z"), PriceTill: until,
		Currency: money.Currency(s.Currency), TaxMode: s.TaxMode,
		Concerns: concernsOf(complaints), Findings: findingsOf(findings, photos), Ways: ways, Before: before,
		Rule: rule, Cautions: cautionsOf(s, findings), Statement: ElectronicStatement(ElectronicVersion), StatementVersion: ElectronicVersion,
	}, nil
}

// agreedBefore prices, beside each way, the work of the job that stays agreed
// to whether or not the way is chosen: a price without it would hide what the
// customer pays in all.
func (p offerParts) agreedBefore(tx Tx) (map[shop.ScopeID]OfferSum, error) {
	lines, err := every[shop.Line](tx, By{"job_id": p.job.ID})
	if err != nil {
		return nil, err
	}
	consents, err := every[shop.Consent](tx, By{"job_id": p.job.ID})
	if err != nil {
		return nil, err
	}
	rules, err := rulesOf(tx, p.shop)
	if err != nil {
		return nil, err
	}
	gives := map[shop.ConsentID]bool{} // way to this offer's yes what is not done yet
	for _, g := range consents {
		gives[g.ID] = wholeWay(g.Kind) && wholeWay(shop.ConsentKind(p.kind()))
	}
	out := map[shop.ScopeID]OfferSum{}
	for _, sc := range p.scopes {
		stays := slices.DeleteFunc(worked(standing(lines), false), func(l shop.Line) bool {
			return slices.Contains(sc.LineIDs, string(l.ID)) || l.State == shop.LineStateAgreed && gives[l.ConsentID]
		})
		if len(stays) == 0 {
			continue
		}
		priced, err := priceBy(rules, stays)
		if err != nil {
			return nil, err
		}
		out[sc.ID] = offerSum(priced.Totals.High)
	}
	return out, nil
}

// machineWords names a machine by make, model and year.
func machineWords(m shop.Machine) string {
	parts := []string{m.Make, m.Model}
	if m.Year != nil {
		parts = append(parts, strconv.FormatInt(*m.Year, 10))
	}
	return strings.Join(strings.Fields(strings.Join(parts, " ")), " ")
}

func concernsOf(complaints []shop.Complaint) []OfferConcern {
	out := []OfferConcern{}
	for _, c := range complaints {
		if !c.IsStruck() {
			out = append(out, OfferConcern{Words: c.Words, Answer: c.Answer, Note: c.AnswerNote})
		}
	}
	return out
}

func findingsOf(findings []shop.Finding, photos map[shop.FindingID][]OfferPhoto) []OfferFinding {
	out := []OfferFinding{}
	called := map[shop.FindingID]string{}
	for _, f := range unstruck(findings) {
		called[f.ID] = f.Called()
	}
	for _, f := range unstruck(findings) {
		grade := f.EffectiveGrade
		if grade == nil {
			grade = f.LookedAtGrade
		}
		out = append(out, OfferFinding{Component: f.Called(), Grade: grade, DamageMode: f.DamageMode,
			SafeToRide: f.SafeToRide, Advised: f.Advised, FirstCause: f.FirstCause, CausedBy: called[f.CausedByID], NotLooked: f.NotLookedBecause, Photos: photos[f.ID]})
	}
	return out
}

// cautionsOf lists what must be said beside a price.
func cautionsOf(s shop.Shop, findings []shop.Finding) []string {
	var out []string
	for _, f := range findings {
		if !f.IsStruck() && f.SafeToRide == shop.YesNoNo && f.DangerOutcome != shop.DangerOutcomeRepaired {
			out = append(out, "Do not ride this machine with "+f.Called()+" as found: the shop judges it not safe to ride. Have it carried.")
		}
	}
	out = append(out,
		"The work follows the maker's service manual for this machine. Where this page and the manual differ, the manual counts.",
		"The rule named here compares prices and may be wrong or out of date. The law where the shop works comes first; this page is not legal advice.")
	if s.OnePerson {
		out = append(out, "One person works in this shop. Critical joints are re-inspected later by the one who tightened them, not by a second person; you will be told which.")
	}
	if s.Caution != "" {
		out = append(out, s.Caution)
	}
	return out
}

// waysOf writes ways forward with their sums, each priced as a paper of its
// own, since one is chosen whole.
func waysOf(tx Tx, s shop.Shop, scopes []shop.Scope) ([]OfferWay, error) {
	var ids []string
	for _, sc := range scopes {
		ids = append(ids, sc.LineIDs...)
	}
	lines, err := every[shop.Line](tx, By{"id": ids})
	if err != nil {
		return nil, err
	}
	byID := make(map[string]shop.Line, len(lines))
	for _, l := range lines {
		byID[string(l.ID)] = l
	}
	rules, err := rulesOf(tx, s)
	if err != nil {
		return nil, err
	}
	ways := make([]OfferWay, 0, len(scopes))
	for _, sc := range scopes {
		way, err := wayOf(rules, sc, byID)
		if err != nil {
			return nil, err
		}
		if sc.Kind != askedOf(scopes) {
			way.Kind = sc.Kind
		}
		ways = append(ways, way)
	}
	return ways, nil
}

func wayOf(rules estimate.Rules, sc shop.Scope, byID map[string]shop.Line) (OfferWay, error) {
	lines := make([]shop.Line, 0, len(sc.LineIDs))
	for _, id := range sc.LineIDs {
		l, there := byID[id]
		if !there || l.JobID != sc.JobID || l.IsStruck() || l.State == shop.LineStateStruck {
			return OfferWay{}, fault.New(fault.Conflict, "app.scope_line_struck",
				fmt.Sprintf("A line of %q was struck or is not of this job; change the way forward first.", sc.Title))
		}
		lines = append(lines, l)
	}
	priced, err := priceBy(rules, lines)
	if err != nil {
		return OfferWay{}, err
	}
	way := OfferWay{ScopeID: sc.ID, Title: sc.Title, WhatWeDo: sc.WhatWeDo, StaysUnknown: sc.StaysUnknown,
		EarliestOn: sc.EarliestOn, MayRide: sc.MayRide, RideNote: sc.RideNote, Warranty: sc.Warranty,
		Deposit: sc.Deposit, Terms: sc.TeardownTerms, Lines: []OfferLine{},
		Low: offerSum(priced.Totals.Low), High: offerSum(priced.Totals.High)}
	for i, l := range lines {
		way.Lines = append(way.Lines, OfferLine{LineID: l.ID, Kind: l.Kind, Description: l.Description,
			Certainty: l.Certainty, Low: priced.Lines[i].Low, High: priced.Lines[i].High})
	}
	return way, nil
}

func offerSum(s estimate.Sum) OfferSum {
	return OfferSum{Net: s.Net, Tax: s.Tax, Rounding: s.RoundingDifference, Gross: s.Gross}
}
