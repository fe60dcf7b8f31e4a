package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

func (s *Server) jobRoutes() []route {
	return []route{
		get("/v1/jobs/{id}", "getJob", anyStaff, getJob),
		put("/v1/jobs/{id}", "putJob", anyStaff, putJob),
		get("/v1/jobs/{id}/moves", "listMoves", anyStaff, listMoves),
		effect("/v1/jobs/{id}/moves", "moveJob", anyStaff, moveJob),
		get("/v1/jobs/{id}/holds", "listHolds", anyStaff, listHolds),
		effect("/v1/jobs/{id}/holds", "holdJob", anyStaff, holdJob),
		effect("/v1/holds/{id}/lift", "liftHold", anyStaff, liftHold),
	}
}

// jobFill reads the body into what it does to a job.
func jobFill(c *call) (func(*shop.Job), error) {
	in, err := read[JobIn](c)
	if err != nil {
		return nil, err
	}
	conv := c.conv()
	in.onto(conv, &shop.Job{})
	return func(n *shop.Job) { in.onto(conv, n) }, conv.err()
}

func getJob(c *call) error {
	job, err := c.app().GetJob(c.ctx, c.who, shop.JobID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, job.Version, jobView(c.currency(), job))
}

func putJob(c *call) error {
	version, err := c.version()
	if err != nil {
		return err
	}
	fill, err := jobFill(c)
	if err != nil {
		return err
	}
	job, err := c.app().PutJob(c.ctx, c.who, app.JobVersion{ID: shop.JobID(c.Param("id")), Version: version}, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, job.Version, jobView(c.currency(), job))
}

// MoveView is one move a job may make, with what is still missing.
type MoveView struct {
	Move  string     `json:"move"`
	To    string     `json:"to"`
	Unmet []GateView `json:"unmet"`
}

// MoveList is where a job stands and what it can do next.
type MoveList struct {
	Stage     string     `json:"stage"`
	WaitingOn string     `json:"waiting_on"`
	NextThing string     `json:"next_thing"`
	Items     []MoveView `json:"items"`
}

func moveList(out app.Outlook) MoveList {
	view := MoveList{Stage: string(out.Stage), WaitingOn: string(out.WaitingOn), NextThing: out.NextThing, Items: []MoveView{}}
	for _, o := range out.Options {
		unmet := gateViews(o.Unmet)
		if unmet == nil {
			unmet = []GateView{}
		}
		view.Items = append(view.Items, MoveView{Move: string(o.Move), To: string(o.To), Unmet: unmet})
	}
	return view
}

func listMoves(c *call) error {
	out, err := c.app().GetMoves(c.ctx, c.who, shop.JobID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, moveList(out))
}

// MoveIn is the move to make.
type MoveIn struct {
	Move string `json:"move"`
	Note string `json:"note"`
}

func moveJob(c *call) error {
	in, err := read[MoveIn](c)
	if err != nil {
		return err
	}
	job, err := c.app().MoveJob(c.ctx, c.who, shop.JobID(c.Param("id")), app.MoveRequest{Move: flow.Move(in.Move), Note: in.Note})
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, job.Version, jobView(c.currency(), job))
}

func listHolds(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	holds, err := c.app().ListHolds(c.ctx, c.who, shop.JobID(c.Param("id")), page)
	if err != nil {
		return err
	}
	key := func(h shop.Hold) string { return string(h.ID) }
	c.saw("holds", keysOf(holds, key)...)
	return c.json(http.StatusOK, 0, listOf(holds, page, key, func(h shop.Hold) HoldView { return holdView(c.currency(), h) }))
}

func holdJob(c *call) error {
	in, err := read[HoldIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	in.onto(conv, &shop.Hold{})
	if err := conv.err(); err != nil {
		return err
	}
	hold, err := c.app().HoldJob(c.ctx, c.who, shop.JobID(c.Param("id")), func(n *shop.Hold) { in.onto(conv, n) })
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, hold.Version, holdView(c.currency(), hold))
}

func liftHold(c *call) error {
	hold, err := c.app().LiftHold(c.ctx, c.who, shop.HoldID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, hold.Version, holdView(c.currency(), hold))
}
