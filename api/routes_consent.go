package api

import (
	"encoding/json"
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

func (s *Server) consentRoutes() []route {
	return []route{
		get("/v1/jobs/{id}/consents", "listConsents", anyStaff, listConsents),
		effect("/v1/jobs/{id}/consents", "recordConsent", counter, recordConsent),
		get("/v1/consents/{id}", "getConsent", counter, getConsent),
		get("/v1/consents/{id}/record", "getConsentRecord", counter, getConsentRecord),
		get("/v1/consents/{id}/record.pdf", "printConsentRecord", counter, printConsentRecord),
		get("/v1/consents/{id}/receipt", "getReceipt", counter, getReceipt),
		effect("/v1/consents/{id}/revoke", "revokeConsent", counter, revokeConsent),
		effect("/v1/consents/{id}/correct", "correctConsent", counter, correctConsent),
	}
}

func listConsents(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Consents(c.ctx, c.who, shop.JobID(c.Param("id")), page)
	if err != nil {
		return err
	}
	c.saw("consents", keysOf(rows, shop.Consent.Key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Consent.Key, func(g shop.Consent) ConsentView { return consentView(c.currency(), g) }))
}

func recordConsent(c *call) error {
	in, err := read[ConsentIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	var given shop.Consent
	in.onto(conv, &given)
	given.IP, given.UserAgent = c.RealIP(), app.Cut(c.Request().UserAgent(), 2000)
	if err := conv.err(); err != nil {
		return err
	}
	given, err = c.app().RecordConsent(c.ctx, c.who, shop.JobID(c.Param("id")), given)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, given.Version, consentView(c.currency(), given))
}

// RevokeIn is what a client sends of a yes taken back.
type RevokeIn struct {
	Reason        string `json:"reason"`
	Method        string `json:"method"`
	TypedName     string `json:"typed_name"`
	Relation      string `json:"relation"`
	IdentifiedHow string `json:"identified_how"`
	ContactUsed   string `json:"contact_used"`
	SaidAt        string `json:"said_at"`
	SaidBack      string `json:"said_back"`
}

func (in RevokeIn) ending(c *conv) shop.ConsentEnding {
	out := shop.ConsentEnding{Reason: in.Reason, Method: shop.ConsentMethod(in.Method), TypedName: in.TypedName, Relation: in.Relation,
		IdentifiedHow: in.IdentifiedHow, ContactUsed: in.ContactUsed, SaidBack: in.SaidBack}
	if in.SaidAt != "" {
		out.SaidAt = c.instant("/said_at", in.SaidAt)
	}
	return out
}

func revokeConsent(c *call) error {
	in, err := read[RevokeIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	ending := in.ending(conv)
	if err := conv.err(); err != nil {
		return err
	}
	given, err := c.app().RevokeConsent(c.ctx, c.who, shop.ConsentID(c.Param("id")), ending)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, given.Version, consentView(c.currency(), given))
}

// CorrectionIn is what a client sends to put a record right.
type CorrectionIn struct {
	Reason string    `json:"reason"`
	Record ConsentIn `json:"record"`
}

func correctConsent(c *call) error {
	in, err := read[CorrectionIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	fix := app.Correction{Reason: in.Reason}
	in.Record.onto(conv, &fix.Record)
	fix.Record.IP, fix.Record.UserAgent = c.RealIP(), app.Cut(c.Request().UserAgent(), 2000)
	if err := conv.err(); err != nil {
		return err
	}
	given, err := c.app().CorrectConsent(c.ctx, c.who, shop.ConsentID(c.Param("id")), fix)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, given.Version, consentView(c.currency(), given))
}

// ConsentEndingView says why an answer no longer counts.
type ConsentEndingView struct {
	ID            string   `json:"id"`
	Kind          string   `json:"kind"`
	ReplacedBy    *string  `json:"replaced_by"`
	Method        string   `json:"method"`
	TypedName     string   `json:"typed_name"`
	Relation      string   `json:"relation"`
	IdentifiedHow string   `json:"identified_how"`
	ContactUsed   string   `json:"contact_used"`
	SaidAt        string   `json:"said_at"`
	SaidBack      string   `json:"said_back"`
	Reason        string   `json:"reason"`
	Wording       string   `json:"wording"`
	DoneLines     []string `json:"done_lines"`
	LeftLines     []string `json:"left_lines"`
	TakenBy       string   `json:"taken_by"`
	StaffName     string   `json:"staff_name"`
	CreatedAt     string   `json:"created_at"`
}

// ConsentRecordView is everything on record of one answer.
type ConsentRecordView struct {
	Consent        ConsentView        `json:"consent"`
	Evidence       json.RawMessage    `json:"evidence"`
	EvidenceSHA256 string             `json:"evidence_sha256"`
	Lacking        []string           `json:"lacking"`
	Ending         *ConsentEndingView `json:"ending"`
}

func endingView(n shop.ConsentEnding) *ConsentEndingView {
	return &ConsentEndingView{ID: string(n.ID), Kind: string(n.Kind), ReplacedBy: orNull(n.ReplacedBy), Method: string(n.Method), TypedName: n.TypedName,
		Relation: n.Relation, IdentifiedHow: n.IdentifiedHow, ContactUsed: n.ContactUsed, SaidAt: instantView(n.SaidAt), SaidBack: n.SaidBack,
		Reason: n.Reason, Wording: n.Wording, DoneLines: list(n.DoneLines), LeftLines: list(n.LeftLines), TakenBy: string(n.TakenBy),
		StaffName: n.StaffName, CreatedAt: instantView(n.CreatedAt)}
}

func getConsent(c *call) error {
	rec, err := c.app().ConsentRecord(c.ctx, c.who, shop.ConsentID(c.Param("id")))
	if err != nil {
		return err
	}
	view := ConsentRecordView{Consent: consentView(c.currency(), rec.Consent), Evidence: rec.Bytes, EvidenceSHA256: rec.SHA256, Lacking: list(rec.Lacking)}
	if rec.Ending != nil {
		view.Ending = endingView(*rec.Ending)
	}
	c.saw("consents", string(rec.Consent.ID))
	return c.json(http.StatusOK, rec.Consent.Version, view)
}

// getConsentRecord gives the canonical bytes, so that their hash can be
// checked by anybody; they never change, so the hash is their ETag.
func getConsentRecord(c *call) error {
	rec, err := c.app().ConsentRecord(c.ctx, c.who, shop.ConsentID(c.Param("id")))
	if err != nil {
		return err
	}
	c.saw("consents", string(rec.Consent.ID))
	c.answer = answer{status: http.StatusOK, etag: `"` + rec.SHA256 + `"`, body: rec.Bytes}
	return c.flush()
}
