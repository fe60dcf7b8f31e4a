package app

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// HistoryFormat is a way to write the repair history.
type HistoryFormat string

// The formats.
const (
	HistoryCSV   HistoryFormat = "csv"   // a row for each record, RFC 4180; see HistoryColumns
	HistoryJSONL HistoryFormat = "jsonl" // a JSON object for each job, its records inside
)

// HistoryFormats lists every format.
func HistoryFormats() []HistoryFormat { return []HistoryFormat{HistoryCSV, HistoryJSONL} }

// HistoryWanted says which history to export.
type HistoryWanted struct {
	Machine shop.MachineID // of one machine; empty is the whole shop's
	Format  HistoryFormat
	From    Client
}

// seen is what the export gives, for the note of who was given it.
func (w HistoryWanted) seen(scope shop.ShopID) Seen {
	if w.Machine != "" {
		return Seen{Operation: "exportMachineHistory", Subject: "machines", IDs: []string{string(w.Machine)}}
	}
	return Seen{Operation: "exportShopHistory", Subject: "shops", IDs: []string{string(scope)}}
}

// historyChunk is how many jobs one read transaction exports: small enough
// that nobody else waits, and that memory stays flat however long a history.
const historyChunk = 100

// ExportHistory writes the repair history to w, oldest job first, a chunk of
// jobs at a time, one Write each. Every job comes once; each chunk is one
// consistent view, and a job that changes while the export runs is as it was
// when its chunk was read. What was struck is in it, with the reason. Nothing
// has been written when the export is refused.
//
// The whole shop's history is asked for with a fresh sign-in (trust R15), and
// every export is noted for the owner.
func (a *App) ExportHistory(ctx context.Context, who auth.Principal, want HistoryWanted, w io.Writer) error {
	if want.Format != HistoryCSV && want.Format != HistoryJSONL {
		return fault.New(fault.Shape, "app.format_unknown", "The repair history comes as csv or jsonl.")
	}
	books, err := a.openHistory(ctx, who, want)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if want.Format == HistoryCSV {
		csvHeader(&out)
	}
	for after, more := (HistoryCursor{}), true; more; {
		if err := drain(&out, w); err != nil {
			return err
		}
		after, more, err = a.exportChunk(ctx, who, want, after, books, &out)
		if err != nil {
			return err
		}
	}
	return drain(&out, w)
}

// openHistory makes sure that the export may be had, notes it, and reads how
// the shop reckons.
func (a *App) openHistory(ctx context.Context, who auth.Principal, want HistoryWanted) (books historyBooks, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		settings, err := load[shop.Shop](tx, string(who.ShopID))
		if err != nil {
			return err
		}
		books = booksOf(settings)
		what, err := mayExport(tx, who, want.Machine)
		if err != nil {
			return err
		}
		if err := a.noteReadIn(tx, who, want.seen(who.ShopID), ""); err != nil {
			return err
		}
		return a.tellOwner(tx, "history.exported", who.StaffID, want.From, what+" was exported as "+string(want.Format)+".")
	})
	return books, err
}

// mayExport makes sure that the history may be had, and names it.
func mayExport(tx Tx, who auth.Principal, machine shop.MachineID) (string, error) {
	if machine != "" {
		_, err := load[shop.Machine](tx, string(machine))
		return "The repair history of one machine", err
	}
	return "The whole repair history", (&Change{Tx: tx, Who: who}).freshly()
}

// exportChunk writes the next jobs after a place, and reports where it is
// now and whether more may come.
func (a *App) exportChunk(ctx context.Context, who auth.Principal, want HistoryWanted, after HistoryCursor, books historyBooks, out *bytes.Buffer) (HistoryCursor, bool, error) {
	var rows []HistoryRow
	err := a.Store.Read(ctx, who.ShopID, func(tx Tx) (err error) {
		rows, err = tx.History(want.Machine, after, historyChunk)
		return err
	})
	if err != nil {
		return after, false, err
	}
	for i := range rows {
		if want.Format == HistoryCSV {
			csvRecords(out, books, &rows[i])
			continue
		}
		if err := jsonRecords(out, books, &rows[i]); err != nil {
			return after, false, fmt.Errorf("app: export history: %w", err)
		}
	}
	if len(rows) < historyChunk {
		return after, false, nil
	}
	return HistoryCursor{JobID: rows[len(rows)-1].Job.ID}, true, nil
}

// drain writes what is waiting, if anything is.
func drain(out *bytes.Buffer, w io.Writer) error {
	if out.Len() == 0 {
		return nil
	}
	_, err := w.Write(out.Bytes())
	out.Reset()
	if err != nil {
		return fmt.Errorf("app: export history: %w", err)
	}
	return nil
}
