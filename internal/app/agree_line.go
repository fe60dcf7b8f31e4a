package app

import (
	"context"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// AgreeLine agrees a proposed line under a "yes, up to" of the job: what was
// agreed under it already and this line, at the upper end and with tax, may
// not pass the limit by one cent.
func (a *App) AgreeLine(ctx context.Context, who auth.Principal, at Place, under shop.ConsentID) (line shop.Line, err error) {
	err = a.onJob(ctx, who, at.JobID, "line.agreed", func(c *JobChange) error {
		line, err = actOn(c, at, "line", func(l *shop.Line) (bool, error) { return true, agreeLine(c, l, under) })
		return err
	})
	return line, err
}

func agreeLine(c *JobChange, l *shop.Line, under shop.ConsentID) error {
	given, err := limitGiven(c, under)
	if err != nil {
		return err
	}
	if !speaksOf(given.Kind, l.Work) {
		return fault.New(fault.Meaning, "app.line_outside_consent",
			fmt.Sprintf("That yes is for the %s; this line is for other work. Make an offer for it.", given.Kind))
	}
	facts := c.lineFacts(*l)
	if l.State == shop.LineStateProposed {
		if facts.Covered, err = insideLimit(c, *l, given); err != nil {
			return err
		}
	}
	if err := moveLine(l, flow.LineAgree, facts); err != nil {
		return err
	}
	l.ConsentID = given.ID
	return nil
}

// limitGiven reads a consent that names a limit and still stands.
func limitGiven(c *JobChange, id shop.ConsentID) (shop.Consent, error) {
	given, err := load[shop.Consent](c, string(id))
	if err != nil && !fault.Is(err, fault.NotFound) {
		return given, err
	}
	wrong := func(code, message string) (shop.Consent, error) {
		return given, fault.Invalid(code, "/consent_id", message)
	}
	switch {
	case err != nil, given.JobID != c.Job.ID:
		return wrong("app.consent_unknown", "There is no such consent here; name one of this job.")
	case given.Decision != shop.DecisionAgreed, given.LimitAmount == nil, !namesLimit(given.Kind):
		return wrong("app.consent_without_limit", `That consent names no limit; a line is agreed under a "yes, up to".`)
	case given.RevokedAt != nil:
		return wrong("app.consent_revoked", "The customer took that consent back; ask again.")
	}
	return given, limitStands(c, given)
}

// limitStands refuses a limit that the shop's rule does not let count: work
// under it could not be billed.
func limitStands(c *JobChange, given shop.Consent) error {
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return err
	}
	rule, err := ruleOf(s)
	if err != nil {
		return err
	}
	if counts, why := consent.LimitAtDropOff(rule, dropOffOf(c.Job.Kind, given)); !counts {
		return fault.Invalid("app.limit_not_counted", "/consent_id", why)
	}
	return nil
}

func namesLimit(kind shop.ConsentKind) bool {
	return kind == shop.ConsentKindDropOff || kind == shop.ConsentKindDiagnosis || kind == shop.ConsentKindTeardown
}

// speaksOf reports whether a limit is for such work: one given at drop-off
// for all of it, one for diagnosis or teardown for that alone.
func speaksOf(kind shop.ConsentKind, work shop.LineWork) bool {
	switch kind {
	case shop.ConsentKindDiagnosis:
		return work == shop.LineWorkDiagnosis
	case shop.ConsentKindTeardown:
		return work == shop.LineWorkTeardown || work == shop.LineWorkReassembly
	}
	return true
}

// insideLimit reports whether a line fits under a limit beside what was
// agreed under it already, reckoned as one document.
func insideLimit(c *JobChange, l shop.Line, given shop.Consent) (bool, error) {
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return false, err
	}
	lines, err := every[shop.Line](c, By{"job_id": c.Job.ID, "consent_id": given.ID, "struck_at": nil})
	if err != nil {
		return false, err
	}
	priced, err := priceLines(c, s, append(lines, l))
	if err != nil {
		return false, err
	}
	return priced.Totals.High.Gross <= *given.LimitAmount, nil
}

// FinishLine says that the work of an agreed line is done.
func (a *App) FinishLine(ctx context.Context, who auth.Principal, at Place) (line shop.Line, err error) {
	err = a.onJob(ctx, who, at.JobID, "line.done", func(c *JobChange) error {
		line, err = actOn(c, at, "line", func(l *shop.Line) (bool, error) { return true, finishLine(c, l) })
		return err
	})
	return line, err
}

func finishLine(c *JobChange, l *shop.Line) error {
	facts := c.lineFacts(*l)
	if l.State != shop.LineStateDone {
		if unmet := flow.MayWork(flow.LineState(l.State), facts); len(unmet) > 0 {
			return gatesOpen("app.line_refused", unmet)
		}
	}
	if err := moveLine(l, flow.LineFinish, facts); err != nil {
		return err
	}
	now := c.Now()
	l.DoneBy, l.DoneAt = c.Who.StaffID, &now
	return nil
}
