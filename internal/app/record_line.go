package app

import (
	"context"
	"errors"
	"slices"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

func lineRules() rules[shop.Line] { return rules[shop.Line]{noun: "line", check: checkLine} }

// PutLine records or changes a proposed line. An open offer that shows it is
// changed by that, and its links are dead.
func (a *App) PutLine(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Line)) (shop.Line, bool, error) {
	return putRecord[shop.Line](ctx, a, who, put, lineRules(), fill)
}

// StrikeLine strikes a line that is not done with a reason.
func (a *App) StrikeLine(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Line, error) {
	return strikeRecord(ctx, a, who, at, reason, lineRules(), func(c *JobChange, l *shop.Line) error {
		facts := c.lineFacts(*l)
		facts.Reason = strings.TrimSpace(reason)
		if err := moveLine(l, flow.LineStrike, facts); err != nil {
			return err
		}
		return c.breakOffersWith(l.ID)
	})
}

// breakOffersWith marks open offers that show a line as changed.
func (c *JobChange) breakOffersWith(id shop.LineID) error {
	return c.breakOffers(func(s shop.Scope) bool { return slices.Contains(s.LineIDs, string(id)) })
}

func checkLine(c *JobChange, was, is *shop.Line) error {
	if was == nil {
		is.State = shop.LineStateProposed
		was = &shop.Line{}
	} else if err := lineStillProposed(was); err != nil {
		return err
	}
	err := refer[shop.Finding](c, reference{id: string(is.FindingID), was: string(was.FindingID), pointer: "/finding_id", noun: "finding"})
	if err != nil {
		return err
	}
	err = refer[shop.Complaint](c, reference{id: string(is.ComplaintID), was: string(was.ComplaintID), pointer: "/complaint_id", noun: "complaint"})
	if err != nil {
		return err
	}
	if err := checkLineFigures(c, is); err != nil {
		return err
	}
	return c.breakOffersWith(is.ID)
}

func lineStillProposed(l *shop.Line) error {
	if l.State == shop.LineStateProposed {
		return nil
	}
	return fault.New(fault.Conflict, "app.line_not_proposed",
		"What was agreed stays as it was agreed. Strike this line with a reason, write a new one, and ask the customer again.")
}

// checkLineFigures makes sure that the line says how much of what, and that
// the estimate can reckon it.
func checkLineFigures(c *JobChange, l *shop.Line) error {
	labour := l.Kind == shop.LineKindLabour
	switch {
	case labour && l.Minutes <= 0:
		return fault.Invalid("app.line_minutes_missing", "/minutes", "Give the minutes of labour.")
	case labour && l.QuantityMilli != 0:
		return fault.Invalid("app.line_quantity_on_labour", "/quantity_milli", "Give labour in minutes, without a quantity.")
	case !labour && l.QuantityMilli <= 0:
		return fault.Invalid("app.line_quantity_missing", "/quantity_milli", "Give the quantity in thousandths; 1000 is one.")
	case !labour && l.Minutes != 0:
		return fault.Invalid("app.line_minutes_not_labour", "/minutes", "Only labour has minutes; give a quantity.")
	case l.Certainty == shop.CertaintyCertain && l.Ceiling != nil:
		return fault.Invalid("app.line_ceiling_on_certain", "/ceiling", "Only a possible line has a ceiling; leave it out.")
	}
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return err
	}
	priced, err := priceLines(c, s, []shop.Line{*l})
	if err != nil {
		return atLine(err)
	}
	if l.Ceiling != nil && *l.Ceiling < priced.Lines[0].Amount {
		return fault.Invalid("app.line_ceiling_too_low", "/ceiling", "The ceiling lies below what quantity and price give; raise it or lower them.")
	}
	return nil
}

// atLine points the engine's refusal of a document of one line at the line.
func atLine(err error) error {
	var f *fault.Error
	if !errors.As(err, &f) {
		return err
	}
	moved := *f
	moved.Fields = make([]fault.Field, len(f.Fields))
	for i, field := range f.Fields {
		if rest, ok := strings.CutPrefix(field.Pointer, "/lines/0"); ok {
			field.Pointer = strings.TrimSuffix(rest, "_minor")
		}
		moved.Fields[i] = field
	}
	return &moved
}

// lineFacts is what the moves of a line look at.
func (c *JobChange) lineFacts(l shop.Line) flow.LineFacts {
	return flow.LineFacts{
		Row:       flow.Row{ID: string(l.ID), Name: l.Description},
		Stage:     flow.Stage(c.Job.Stage),
		AfterRide: l.AfterRide,
		ForLook:   l.Work == shop.LineWorkDiagnosis || l.Work == shop.LineWorkTeardown,
		PutBack:   l.Work == shop.LineWorkReassembly,
	}
}

// moveLine takes a line one step on, or says what stands in the way.
func moveLine(l *shop.Line, move flow.LineMove, facts flow.LineFacts) error {
	to, unmet, err := flow.NextLine(flow.LineState(l.State), move, facts)
	if err != nil {
		return err
	}
	if len(unmet) > 0 {
		return gatesOpen("app.line_refused", unmet)
	}
	l.State = shop.LineState(to)
	return nil
}

// gatesOpen is the refusal of a step that lists everything in its way. Its
// sentence is the first gate's.
func gatesOpen(code string, gates []fault.Gate) error {
	return &fault.Error{Kind: fault.Gates, Code: code, Message: gates[0].Message, Gates: gates}
}
