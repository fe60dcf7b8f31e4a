package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func benchTimeRules() rules[shop.BenchTime] {
	return rules[shop.BenchTime]{noun: "bench_time", check: checkBenchTime,
		unfinished: func(was *shop.BenchTime) bool { return was.EndedAt == nil }}
}

// PutBenchTime records or changes who worked from when to when. The time is
// that of whoever records it.
func (a *App) PutBenchTime(ctx context.Context, who auth.Principal, put Put, fill func(*shop.BenchTime)) (shop.BenchTime, bool, error) {
	return putRecord[shop.BenchTime](ctx, a, who, put, benchTimeRules(), fill)
}

// StrikeBenchTime strikes a stretch of time with a reason.
func (a *App) StrikeBenchTime(ctx context.Context, who auth.Principal, at Place, reason string) (shop.BenchTime, error) {
	return strikeRecord(ctx, a, who, at, reason, benchTimeRules(), mayTouchBenchTime)
}

// mayTouchBenchTime: one's own time, or anyone's for those who answer for it.
func mayTouchBenchTime(c *JobChange, was *shop.BenchTime) error {
	if was.StaffID == c.Who.StaffID || c.Who.Has(auth.RoleAdvisor) || c.Who.Has(auth.RoleOwner) {
		return nil
	}
	return fault.New(fault.Forbidden, "app.bench_time_not_yours", "This is someone else's time; they, an advisor or the owner can change it.")
}

// deviceSlack is how far a device's clock may run ahead of the server's.
const deviceSlack = 5 * time.Minute

// ahead reports a time that is still to come.
func (c *JobChange) ahead(t *time.Time) bool {
	return t != nil && t.After(c.Now().Add(deviceSlack))
}

func checkBenchTime(c *JobChange, was, is *shop.BenchTime) error {
	if was == nil {
		is.StaffID = c.Who.StaffID
	} else if err := mayTouchBenchTime(c, was); err != nil {
		return err
	}
	switch {
	case c.ahead(&is.StartedAt):
		return fault.Invalid("app.bench_time_ahead", "/started_at", "That time is still to come; check the clock of the device.")
	case c.ahead(is.EndedAt):
		return fault.Invalid("app.bench_time_ahead", "/ended_at", "That time is still to come; check the clock of the device.")
	case is.EndedAt != nil && is.EndedAt.Before(is.StartedAt):
		return fault.Invalid("app.bench_time_backwards", "/ended_at", "It cannot end before it began; check both times.")
	case is.EndedAt == nil && !is.Late:
		return onlyOneRuns(c, is)
	}
	return nil
}

// onlyOneRuns refuses a second running clock of one person. What arrives late
// is stored all the same: it was so, and can be stopped.
func onlyOneRuns(c *JobChange, is *shop.BenchTime) error {
	people, err := peopleOf(c)
	if err != nil {
		return err
	}
	running, err := list[shop.BenchTime](c, By{"staff_id": people.accounts(is.StaffID), "ended_at": nil, "struck_at": nil})
	if err != nil {
		return err
	}
	if !anyOf(running, func(b shop.BenchTime) bool { return b.ID != is.ID }) {
		return nil
	}
	return fault.New(fault.Conflict, "app.bench_time_running", "A clock of this person is already running; stop it first, then start here.")
}
