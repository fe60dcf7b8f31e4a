package api

import (
	"net/http"
	"strconv"
	"strings"

	"benchtag/internal/app"
	"benchtag/internal/reckon"
	"benchtag/internal/shop"
)

// engineRoutes are the engines at work on a job: its machine map, its
// findings, its complaints.
func (s *Server) engineRoutes() []route {
	return []route{
		get("/v1/jobs/{id}/measured-points", "listMeasuredPoints", anyStaff, listMeasuredPoints),
		get("/v1/jobs/{id}/first-checks", "getFirstChecks", anyStaff, answerOf(firstChecks)),
		get("/v1/figures", "getFigures", ownerOnly, answerOf(func(c *call) (reckon.Answer, error) { return c.app().Figures(c.ctx, c.who) })),
		get("/v1/jobs/{id}/spread", "getSpread", anyStaff, answerOf(func(c *call) (reckon.Answer, error) { return c.app().Spread(c.ctx, c.who, c.job()) })),
		post("/v1/jobs/{id}/plan", "planAccess", anyStaff, answerOf(planAccess)),
		effect("/v1/jobs/{id}/ways", "suggestWays", counter, suggestWays),
		effect("/v1/jobs/{id}/closing", "planClosing", anyStaff, planClosing),
	}
}

func (c *call) job() shop.JobID { return shop.JobID(c.Param("id")) }

// answerOf renders what an engine says of a job.
func answerOf(ask func(c *call) (reckon.Answer, error)) handler {
	return func(c *call) error {
		answer, err := ask(c)
		if err != nil {
			return err
		}
		return c.json(http.StatusOK, 0, answer)
	}
}

func listMeasuredPoints(c *call) error {
	points, err := c.app().MeasuredPoints(c.ctx, c.who, c.job())
	if err != nil {
		return err
	}
	out := MeasuredPointList{Items: make([]MeasuredPointView, len(points))}
	for i, p := range points {
		out.Items[i] = measuredPointView(p)
	}
	return c.json(http.StatusOK, 0, out)
}

func measuredPointView(p app.MeasuredPoint) MeasuredPointView {
	with := p.With
	if with == nil {
		with = map[string]string{}
	}
	return MeasuredPointView{Key: string(p.Key), Component: string(p.Component), Name: p.Name, Derive: p.Derive, With: with,
		Unit: string(p.Unit), Gauge: p.Gauge, How: p.How, Indicative: p.Indicative, Limits: list(p.Limits), Source: p.Source}
}

func firstChecks(c *call) (reckon.Answer, error) {
	return c.app().FirstChecks(c.ctx, c.who, c.job(), app.ChecksAsked{Symptoms: words(c.QueryParam("symptoms")), Circumstances: words(c.QueryParam("circumstances"))})
}

// words takes apart a list with commas.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' })
}

func planAccess(c *call) (reckon.Answer, error) {
	in, err := read[PlanIn](c)
	if err != nil {
		return reckon.Answer{}, err
	}
	return c.app().PlanAccess(c.ctx, c.who, c.job(), targets(in.Targets))
}

func planClosing(c *call) error {
	in, err := read[ClosingIn](c)
	if err != nil {
		return err
	}
	made, err := c.app().PlanClosing(c.ctx, c.who, c.job(), targets(in.Targets))
	if err != nil {
		return err
	}
	out := ClosingMade{HoldPoints: []HoldPointView{}, Fastenings: []FasteningView{}, Working: list(made.Working)}
	for _, h := range made.HoldPoints {
		out.HoldPoints = append(out.HoldPoints, holdPointView(c.currency(), h))
	}
	for _, f := range made.Fastenings {
		out.Fastenings = append(out.Fastenings, fasteningView(c.currency(), f))
	}
	return c.json(http.StatusCreated, 0, out)
}

func suggestWays(c *call) error {
	in, err := read[WaysIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	asked := app.WaysAsked{LabourRateID: shop.LabourRateID(in.LabourRateID), LookFurther: in.LookFurther, HoursADay: in.HoursADay}
	for i, p := range in.Prices {
		asked.Prices = append(asked.Prices, p.price(conv, "/prices/"+strconv.Itoa(i)))
	}
	if err := conv.err(); err != nil {
		return err
	}
	made, err := c.app().SuggestWays(c.ctx, c.who, c.job(), asked)
	if err != nil {
		return err
	}
	out := WaysMade{Lines: []LineView{}, Scopes: []ScopeView{}, PricesMissing: list(made.PricesMissing), Working: list(made.Working), Warnings: list(made.Warnings)}
	for _, l := range made.Lines {
		out.Lines = append(out.Lines, lineView(c.currency(), l))
	}
	for _, s := range made.Scopes {
		out.Scopes = append(out.Scopes, scopeView(c.currency(), s))
	}
	return c.json(http.StatusCreated, 0, out)
}

func (p PartPriceIn) price(c *conv, pointer string) app.PartPrice {
	return app.PartPrice{Part: p.Part, UnitPrice: c.money(pointer+"/unit_price", p.UnitPrice), PartNumber: p.PartNumber,
		ArrivesOn: c.dateOpt(pointer+"/arrives_on", p.ArrivesOn), Possible: p.Possible, Ceiling: c.moneyOrZero(pointer+"/ceiling", p.Ceiling)}
}
