package api

import (
	"slices"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

func (s *Server) shopRoutes() []route {
	return slices.Concat(
		[]route{
			get("/v1/shop", "getShop", anyStaff, getShop),
			put("/v1/shop", "putShop", ownerOnly, putShop),
			get("/v1/consent-rules", "listConsentRules", anyStaff, listConsentRules),
			get("/v1/security-events", "listSecurityEvents", ownerOnly, listSecurityEvents),
			get("/v1/journal", "listShopJournal", ownerOnly, func(c *call) error { return listJournal(c, string(c.shop.ID)) }),
			get("/v1/journal/key", "listJournalKeys", anyStaff, listJournalKeys),
			get("/v1/journal/checkpoint", "getCheckpoint", anyStaff, getCheckpoint),
			get("/v1/journal/checkpoints", "listCheckpoints", counter, listCheckpoints),
			get("/v1/journal/consistency", "proveConsistency", counter, proveConsistency),
			get("/v1/journal/proof", "proveEntry", counter, proveEntry),
		},
		routesOfShop(shopRecord[shop.Bay, BayIn, BayView]{path: "bays", one: "Bay", all: "Bays", write: ownerOnly,
			add: (*app.App).AddBay, replace: (*app.App).ReplaceBay, onto: BayIn.onto, view: bayView}),
		routesOfShop(shopRecord[shop.TaxCategory, TaxCategoryIn, TaxCategoryView]{path: "tax-categories", one: "TaxCategory", all: "TaxCategories", write: ownerOnly,
			add: (*app.App).AddTaxCategory, replace: (*app.App).ReplaceTaxCategory, onto: TaxCategoryIn.onto, view: taxCategoryView}),
		routesOfShop(shopRecord[shop.LabourRate, LabourRateIn, LabourRateView]{path: "labour-rates", one: "LabourRate", all: "LabourRates", write: ownerOnly,
			add: (*app.App).AddLabourRate, replace: (*app.App).ReplaceLabourRate, onto: LabourRateIn.onto, view: labourRateView}),
		routesOfShop(shopRecord[shop.Gauge, GaugeIn, GaugeView]{path: "gauges", one: "Gauge", all: "Gauges", write: ownerOnly,
			add: (*app.App).AddGauge, replace: (*app.App).ReplaceGauge, onto: GaugeIn.onto, view: gaugeView}),
	)
}
