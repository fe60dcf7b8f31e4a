package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (s *Server) workOrderRoutes() []route {
	return []route{
		get("/v1/work-orders", "listWorkOrders", anyStaff, listWorkOrders),
		effect("/v1/work-orders", "openWorkOrder", counter, openWorkOrder),
		get("/v1/work-orders/{id}", "getWorkOrder", anyStaff, getWorkOrder),
		put("/v1/work-orders/{id}", "putWorkOrder", counter, putWorkOrder),
		get("/v1/work-orders/{id}/intake-facts", "getIntakeFacts", anyStaff, getIntakeFacts),
		put("/v1/work-orders/{id}/intake-facts", "putIntakeFacts", anyStaff, putIntakeFacts),
		get("/v1/work-orders/{id}/jobs", "listJobs", anyStaff, listJobs),
		effect("/v1/work-orders/{id}/jobs", "addJob", anyStaff, addJob),
	}
}

func visitView(cur money.Currency, v app.Visit) WorkOrderView {
	view := workOrderView(cur, v.WorkOrder)
	view.Stage = string(v.Stage)
	return view
}

func listWorkOrders(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	visits, err := c.app().ListWorkOrders(c.ctx, c.who, page)
	if err != nil {
		return err
	}
	key := func(v app.Visit) string { return string(v.ID) }
	c.saw("work_orders", keysOf(visits, key)...)
	return c.json(http.StatusOK, 0, listOf(visits, page, key, func(v app.Visit) WorkOrderView { return visitView(c.currency(), v) }))
}

func openWorkOrder(c *call) error {
	fill, err := workOrderFill(c)
	if err != nil {
		return err
	}
	visit, err := c.app().OpenWorkOrder(c.ctx, c.who, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, visit.Version, visitView(c.currency(), visit))
}

// workOrderFill reads the body into what it does to a work order.
func workOrderFill(c *call) (func(*shop.WorkOrder), error) {
	in, err := read[WorkOrderIn](c)
	if err != nil {
		return nil, err
	}
	conv := c.conv()
	in.onto(conv, &shop.WorkOrder{})
	return func(n *shop.WorkOrder) { in.onto(conv, n) }, conv.err()
}

// getWorkOrder always answers in full: the stage comes of the jobs and can
// change while the version of the work order stays.
func getWorkOrder(c *call) error {
	visit, err := c.app().GetWorkOrder(c.ctx, c.who, shop.WorkOrderID(c.Param("id")))
	if err != nil {
		return err
	}
	c.Request().Header.Del("If-None-Match")
	c.saw("work_orders", string(visit.ID))
	return c.json(http.StatusOK, visit.Version, visitView(c.currency(), visit))
}

func putWorkOrder(c *call) error {
	version, err := c.version()
	if err != nil {
		return err
	}
	fill, err := workOrderFill(c)
	if err != nil {
		return err
	}
	visit, err := c.app().PutWorkOrder(c.ctx, c.who, app.OrderVersion{ID: shop.WorkOrderID(c.Param("id")), Version: version}, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, visit.Version, visitView(c.currency(), visit))
}

func getIntakeFacts(c *call) error {
	facts, err := c.app().GetIntakeFacts(c.ctx, c.who, shop.WorkOrderID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, facts.Version, intakeFactsView(c.currency(), facts))
}

func putIntakeFacts(c *call) error {
	in, err := read[IntakeFactsIn](c)
	if err != nil {
		return err
	}
	put, err := c.put()
	if err != nil {
		return err
	}
	conv := c.conv()
	in.onto(conv, &shop.IntakeFacts{})
	if err := conv.err(); err != nil {
		return err
	}
	facts, made, err := c.app().PutIntakeFacts(c.ctx, c.who, put, func(n *shop.IntakeFacts) { in.onto(conv, n) })
	if err != nil {
		return err
	}
	return c.json(madeStatus(made), facts.Version, intakeFactsView(c.currency(), facts))
}

func listJobs(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	jobs, err := c.app().ListJobs(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), page)
	if err != nil {
		return err
	}
	key := func(j shop.Job) string { return string(j.ID) }
	return c.json(http.StatusOK, 0, listOf(jobs, page, key, func(j shop.Job) JobView { return jobView(c.currency(), j) }))
}

func addJob(c *call) error {
	fill, err := jobFill(c)
	if err != nil {
		return err
	}
	job, err := c.app().AddJob(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, job.Version, jobView(c.currency(), job))
}
