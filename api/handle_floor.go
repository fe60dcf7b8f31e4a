package api

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// FloorRowView is an open job as clients see it on the floor list.
type FloorRowView struct {
	JobID       string  `json:"job_id"`
	WorkOrderID string  `json:"work_order_id"`
	Number      int64   `json:"number"`
	Title       string  `json:"title"`
	Stage       string  `json:"stage"`
	WaitingOn   string  `json:"waiting_on"`
	NextThing   string  `json:"next_thing"`
	Machine     string  `json:"machine"`
	Bay         *string `json:"bay"`
	PromisedOn  *string `json:"promised_on"`
	StageSince  string  `json:"stage_since"`
	OnHold      bool    `json:"on_hold"`
	OpenMachine string  `json:"open_machine"`
}

// FloorList is a page of the floor list, and how many messages need a person.
type FloorList struct {
	Items         []FloorRowView `json:"items"`
	NextCursor    *string        `json:"next_cursor"`
	StuckMessages int64          `json:"stuck_messages"`
}

func floorRowView(l app.FloorLine) FloorRowView {
	return FloorRowView{JobID: string(l.JobID), WorkOrderID: string(l.WorkOrderID), Number: l.Number, Title: l.Title,
		Stage: string(l.Stage), WaitingOn: string(l.WaitingOn), NextThing: l.NextThing, Machine: l.Machine,
		Bay: orNull(l.Bay), PromisedOn: dateView(l.PromisedOn), StageSince: instantView(l.StageSince),
		OnHold: l.OnHold, OpenMachine: l.OpenMachine}
}

// getFloor gives the floor list under a tag. A client that has the list waits
// with If-None-Match and Prefer: wait (RFC 7240) until another one is there;
// whether it may still see it is looked up anew at each turn.
func getFloor(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	tag, err := c.waitForFloor()
	if err != nil {
		return err
	}
	if tag == c.Request().Header.Get("If-None-Match") {
		c.Response().Header().Set("ETag", tag)
		return c.NoContent(http.StatusNotModified)
	}
	lines, stuck, err := c.app().Floor(c.ctx, c.who, page)
	if err != nil {
		return err
	}
	c.Response().Header().Set("ETag", tag)
	list := listOf(lines, page, app.FloorLine.Key, floorRowView)
	return c.json(http.StatusOK, 0, FloorList{Items: list.Items, NextCursor: list.NextCursor, StuckMessages: stuck})
}

// How often the floor is looked at for one who waits, and how long at most.
const (
	floorTurn = time.Second
	floorWait = 15 * time.Second
)

// waitForFloor gives the floor's tag as soon as it is not the one that the
// client has, or when its patience ends.
func (c *call) waitForFloor() (string, error) {
	had, until := c.Request().Header.Get("If-None-Match"), time.Now().Add(patience(c.Request().Header.Get("Prefer")))
	for {
		mark, err := c.app().FloorMark(c.ctx, c.who)
		if err != nil {
			return "", err
		}
		tag := `"` + mark + `"`
		if tag != had || time.Now().Add(floorTurn).After(until) {
			return tag, nil
		}
		select {
		case <-c.ctx.Done():
			return tag, nil
		case <-time.After(floorTurn):
		}
		if err := c.server.identify(c); err != nil {
			return "", err
		}
	}
}

// patience reads how long a client would wait; none where it does not say.
func patience(prefer string) time.Duration {
	for _, p := range strings.Split(prefer, ",") {
		if seconds, ok := strings.CutPrefix(strings.TrimSpace(p), "wait="); ok {
			n, err := strconv.Atoi(seconds)
			if err == nil && n > 0 {
				return min(time.Duration(min(n, 3600))*time.Second, floorWait)
			}
		}
	}
	return 0
}

// FoundView is a work order found, as clients see it.
type FoundView struct {
	WorkOrderID string `json:"work_order_id"`
	Number      int64  `json:"number"`
	Customer    string `json:"customer"`
	Machine     string `json:"machine"`
	Stage       string `json:"stage"`
	OpenedAt    string `json:"opened_at"`
}

func search(c *call) error {
	found, err := c.app().Search(c.ctx, c.who, c.QueryParam("q"), shop.Stage(c.QueryParam("stage")))
	if err != nil {
		return err
	}
	c.saw("work_orders", keysOf(found, func(f app.Found) string { return string(f.WorkOrderID) })...)
	items := make([]FoundView, len(found))
	for i, f := range found {
		items[i] = FoundView{WorkOrderID: string(f.WorkOrderID), Number: f.Number, Customer: f.Customer,
			Machine: f.Machine, Stage: string(f.Stage), OpenedAt: instantView(f.OpenedAt)}
	}
	return c.json(http.StatusOK, 0, struct {
		Items []FoundView `json:"items"`
	}{items})
}

func listOrderJournal(c *call) error {
	order, err := c.app().GetWorkOrder(c.ctx, c.who, shop.WorkOrderID(c.Param("id")))
	if err != nil {
		return err
	}
	return listJournal(c, string(order.ID))
}
