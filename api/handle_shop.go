package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/shop"
)

// ConsentRuleView is a rule to choose, with where it comes from.
type ConsentRuleView struct {
	ID            string   `json:"id"`
	Name          string   `json:"name"`
	Citation      string   `json:"citation"`
	Retrieved     string   `json:"retrieved"`
	CheckedOn     *string  `json:"checked_on"`
	Kind          string   `json:"kind"`
	TeardownTerms []string `json:"teardown_terms"`
	RecordFields  []string `json:"record_fields"`
	Caution       string   `json:"caution"`
}

func getShop(c *call) error {
	return c.json(http.StatusOK, c.shop.Version, shopView(c.currency(), c.shop))
}

func putShop(c *call) error {
	version, err := c.version()
	if err != nil {
		return err
	}
	fill, err := filling(c, ShopIn.onto)
	if err != nil {
		return err
	}
	n, err := c.app().ReplaceShop(c.ctx, c.who, version, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, n.Version, shopView(c.currency(), n))
}

func listConsentRules(c *call) error {
	rules, err := consent.Rules()
	if err != nil {
		return err
	}
	caution, err := consent.Warning()
	if err != nil {
		return err
	}
	items := make([]ConsentRuleView, len(rules))
	for i, r := range rules {
		items[i] = ConsentRuleView{ID: r.ID, Name: r.Name, Citation: r.Citation, Retrieved: r.Retrieved, CheckedOn: r.VerifiedOn,
			Kind: string(r.Overage.Kind), TeardownTerms: texts(consent.TeardownTerms(r)), RecordFields: texts(consent.RecordFields(r)), Caution: caution}
	}
	return c.json(http.StatusOK, 0, struct {
		Items []ConsentRuleView `json:"items"`
	}{items})
}

func listSecurityEvents(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().SecurityEvents(c.ctx, c.who, page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.SecurityEvent.Key, func(e shop.SecurityEvent) SecurityEventView { return securityEventView(c.currency(), e) }))
}

// JournalEntryView is one entry of a journal.
type JournalEntryView struct {
	Sequence       int64  `json:"sequence"`
	HappenedAt     string `json:"happened_at"`
	ActorKind      string `json:"actor_kind"`
	ActorID        string `json:"actor_id"`
	Kind           string `json:"kind"`
	Subject        string `json:"subject"`
	SubjectID      string `json:"subject_id"`
	SubjectVersion int64  `json:"subject_version"`
	Hash           string `json:"hash"`
	PreviousHash   string `json:"previous_hash"`
}

func journalView(l app.JournalLine) JournalEntryView {
	return JournalEntryView{Sequence: l.Sequence, HappenedAt: instantView(l.HappenedAt), ActorKind: l.ActorKind, ActorID: l.ActorID,
		Kind: l.Event, Subject: l.Subject, SubjectID: l.SubjectID, SubjectVersion: l.SubjectVersion, Hash: l.Hash, PreviousHash: l.Previous}
}

// listJournal answers with a page of a journal stream; that its owner is
// there was asked before.
func listJournal(c *call, streamID string) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	lines, err := c.app().Journal(c.ctx, c.who, streamID, page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(lines, page, app.JournalLine.Key, journalView))
}
