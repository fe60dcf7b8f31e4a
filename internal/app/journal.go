package app

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
)

// JournalLine is what everybody may read of a journal entry: its header, no
// body, so nothing personal.
type JournalLine struct {
	Sequence       int64
	HappenedAt     time.Time
	ActorKind      string
	ActorID        string
	Event          string
	Subject        string
	SubjectID      string
	SubjectVersion int64
	Hash, Previous string // hex
}

// Key is the line's place in its stream, for the cursor.
func (l JournalLine) Key() string { return strconv.FormatInt(l.Sequence, 10) }

// Journal reads a page of a stream of the shop, oldest first; page.After is
// the Key of the last line of the page before. A stream that is not there is
// empty: whether its owner exists is for the caller to ask.
func (a *App) Journal(ctx context.Context, who auth.Principal, streamID string, page Page) ([]JournalLine, error) {
	after, err := sequenceOf(page.After)
	if err != nil {
		return nil, err
	}
	var lines []JournalLine
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		entries, err := tx.Entries(streamID, after, pageLimit(page))
		if err != nil {
			return err
		}
		lines = make([]JournalLine, len(entries))
		for i, e := range entries {
			if lines[i], err = journalLine(e); err != nil {
				return err
			}
		}
		return nil
	})
	return lines, err
}

func pageLimit(page Page) int {
	if page.Limit <= 0 || page.Limit > MaxRows {
		return MaxRows
	}
	return page.Limit
}

func sequenceOf(cursor string) (int64, error) {
	if cursor == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(cursor, 10, 64)
	if err != nil || n < 0 {
		return 0, fault.New(fault.Shape, "app.cursor_unknown", "The cursor is not one of ours; start from the first page.")
	}
	return n, nil
}

func journalLine(e Entry) (JournalLine, error) {
	h, err := journal.Decode(e.Header)
	if err != nil {
		return JournalLine{}, fmt.Errorf("app: entry %d: %w", e.Sequence, err)
	}
	return JournalLine{Sequence: h.Sequence, HappenedAt: h.Time, ActorKind: string(h.Actor.Kind), ActorID: h.Actor.ID,
		Event: string(h.Event), Subject: h.Subject.Noun, SubjectID: h.Subject.ID, SubjectVersion: h.Subject.Version,
		Hash: journal.Leaf(e.Header).String(), Previous: h.Previous.String()}, nil
}
