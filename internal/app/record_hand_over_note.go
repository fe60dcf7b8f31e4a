package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

func handOverNoteRules() rules[shop.HandOverNote] {
	return rules[shop.HandOverNote]{noun: "hand_over_note", check: checkHandOverNote}
}

// PutHandOverNote records or changes a note between shifts.
func (a *App) PutHandOverNote(ctx context.Context, who auth.Principal, put Put, fill func(*shop.HandOverNote)) (shop.HandOverNote, bool, error) {
	return putRecord[shop.HandOverNote](ctx, a, who, put, handOverNoteRules(), fill)
}

// StrikeHandOverNote strikes a note with a reason.
func (a *App) StrikeHandOverNote(ctx context.Context, who auth.Principal, at Place, reason string) (shop.HandOverNote, error) {
	return strikeRecord[shop.HandOverNote](ctx, a, who, at, reason, handOverNoteRules(), nil)
}

// checkHandOverNote makes a note unread again that says something else than
// what was read.
func checkHandOverNote(_ *JobChange, was, is *shop.HandOverNote) error {
	if was != nil && (was.MachineState != is.MachineState || was.DoNotStart != is.DoNotStart || was.Words != is.Words) {
		is.ReadBy, is.ReadAt = "", nil
	}
	return nil
}

// ReadHandOverNote says who read a note last. Reading it twice changes
// nothing.
func (a *App) ReadHandOverNote(ctx context.Context, who auth.Principal, at Place) (row shop.HandOverNote, err error) {
	err = a.onJob(ctx, who, at.JobID, "hand_over_note.read", func(c *JobChange) error {
		row, err = actOn(c, at, "hand-over note", func(n *shop.HandOverNote) (bool, error) {
			if n.ReadBy == c.Who.StaffID {
				return false, nil
			}
			now := c.Now()
			n.ReadBy, n.ReadAt = c.Who.StaffID, &now
			return true, nil
		})
		return err
	})
	return row, err
}
