package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (s *Server) retentionRoutes() []route {
	return []route{
		get("/v1/work-orders/{id}/retention", "getRetention", counter, getRetention),
		get("/v1/work-orders/{id}/legal-holds", "listLegalHolds", counter, listLegalHolds),
		effect("/v1/work-orders/{id}/legal-holds", "holdPapers", ownerOnly, holdPapers),
		effect("/v1/legal-holds/{id}/lift", "releasePapers", ownerOnly, releasePapers),
	}
}

// LegalHoldView is a legal hold as clients see it.
type LegalHoldView struct {
	ID           string  `json:"id"`
	Version      int64   `json:"version"`
	WorkOrderID  string  `json:"work_order_id"`
	Reason       string  `json:"reason"`
	HeldBy       string  `json:"held_by"`
	HeldAt       string  `json:"held_at"`
	LiftedBy     *string `json:"lifted_by"`
	LiftedAt     *string `json:"lifted_at"`
	LiftedReason string  `json:"lifted_reason"`
	CreatedAt    string  `json:"created_at"`
	UpdatedAt    string  `json:"updated_at"`
}

func legalHoldView(_ money.Currency, n shop.LegalHold) LegalHoldView {
	return LegalHoldView{ID: string(n.ID), Version: n.Version, WorkOrderID: string(n.WorkOrderID), Reason: n.Reason,
		HeldBy: string(n.HeldBy), HeldAt: instantView(n.HeldAt), LiftedBy: orNull(n.LiftedBy), LiftedAt: instantOptView(n.LiftedAt),
		LiftedReason: n.LiftedReason, CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt)}
}

// RetentionView says until when the papers of a work order are kept.
type RetentionView struct {
	Rule      string         `json:"rule"`
	Years     int64          `json:"years"`
	KeptUntil *string        `json:"kept_until"`
	LegalHold *LegalHoldView `json:"legal_hold"`
	Working   []string       `json:"working"`
}

func retentionView(cur money.Currency, r app.Retention) RetentionView {
	view := RetentionView{Rule: r.RuleID, Years: int64(r.Years), KeptUntil: instantOptView(r.Until), Working: list(r.Working)}
	if r.Held != nil {
		held := legalHoldView(cur, *r.Held)
		view.LegalHold = &held
	}
	return view
}

func getRetention(c *call) error {
	kept, err := c.app().Retention(c.ctx, c.who, shop.WorkOrderID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, retentionView(c.currency(), kept))
}

func listLegalHolds(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().LegalHolds(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), page)
	if err != nil {
		return err
	}
	c.saw("legal_holds", keysOf(rows, shop.LegalHold.Key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.LegalHold.Key, func(h shop.LegalHold) LegalHoldView { return legalHoldView(c.currency(), h) }))
}

func holdPapers(c *call) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	hold, err := c.app().HoldPapers(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), in.Reason)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, hold.Version, legalHoldView(c.currency(), hold))
}

func releasePapers(c *call) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	hold, err := c.app().ReleasePapers(c.ctx, c.who, shop.LegalHoldID(c.Param("id")), in.Reason)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, hold.Version, legalHoldView(c.currency(), hold))
}
