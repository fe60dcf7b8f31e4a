package app

import (
	"archive/zip"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"benchtag/internal/journal"
)

// whatThisIs tells the person whose data it is how to read it.
const whatThisIs = "Everything that this shop keeps of one customer. " +
	"records holds the rows of each table, under the names of the shop's interface. " +
	"Amounts are in the smallest unit of the currency (cents), quantity_milli in thousandths, times in UTC; ids tie records together. " +
	"What was struck is here too, with the reason. Who of the shop's people did something stands as an id. " +
	"Beside this file: journal.jsonl, what the shop's journal keeps of each change; offers and bills, byte for byte as they were shown; " +
	"answers, what is on record of each answer, with its receipt where one is signed; photos, as stored. " +
	"Left out are hashes and keys, answers kept for repeated requests under keys of their senders, and how long the shop's people worked."

// exportHead is what stands before the records.
type exportHead struct {
	WhatThisIs string    `json:"what_this_is"`
	Shop       string    `json:"shop"`
	Currency   string    `json:"currency"`
	MadeAt     time.Time `json:"made_at"`
	CustomerID string    `json:"customer_id"`
	// Sealed says that the person is out of sight in the shop, and that this
	// was opened for the export alone.
	Sealed bool `json:"kept_under_seal"`
}

// writeRows writes every row as one JSON object, a list a table.
func (x *customerExport) writeRows(archive *zip.Writer) error {
	out, err := x.create(archive, CustomerRows, zip.Deflate)
	if err != nil {
		return err
	}
	head, err := json.Marshal(exportHead{WhatThisIs: whatThisIs, Shop: x.shop.Name, Currency: x.shop.Currency, MadeAt: x.at,
		CustomerID: string(x.own.customer), Sealed: x.archived != nil})
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintf(out, "%s,\n\"records\":{", head[:len(head)-1]); err != nil {
		return err
	}
	comma := "\n"
	for _, b := range belongings() {
		if _, err := fmt.Fprintf(out, "%s%q:", comma, b.table); err != nil {
			return err
		}
		if err := x.writeTable(out, b); err != nil {
			return err
		}
		comma = ",\n"
	}
	_, err = io.WriteString(out, "}}\n")
	return err
}

// writeTable writes the rows of one table as a list.
func (x *customerExport) writeTable(out io.Writer, b belonging) error {
	if kept := x.archived[b.table]; kept != nil {
		_, err := out.Write(kept)
		return err
	}
	if _, err := io.WriteString(out, "["); err != nil {
		return err
	}
	comma := "\n"
	err := x.pages(b, func(rows []Noun) error {
		for _, row := range rows {
			text, err := plainRow(row)
			if err != nil {
				return err
			}
			if _, err := fmt.Fprintf(out, "%s%s", comma, text); err != nil {
				return err
			}
			comma = ",\n"
		}
		return nil
	})
	if err == nil {
		_, err = io.WriteString(out, "]")
	}
	return err
}

// exportedEntry is an entry of the journal, opened.
type exportedEntry struct {
	Stream     string          `json:"stream"`
	Sequence   int64           `json:"sequence"`
	HappenedAt time.Time       `json:"happened_at"`
	Event      string          `json:"event"`
	Changes    []exportedState `json:"changes"`
	Remark     string          `json:"remark,omitempty"`
}

// exportedState is a row as an entry left it.
type exportedState struct {
	Noun    string          `json:"noun"`
	ID      string          `json:"id"`
	Version int64           `json:"version"`
	Row     json.RawMessage `json:"row"`
}

// writeJournal writes what the customer's key opens, a line an entry.
func (x *customerExport) writeJournal(archive *zip.Writer) error {
	out, err := x.create(archive, CustomerJournal, zip.Deflate)
	if err != nil || !x.keyed {
		return err
	}
	lines := json.NewEncoder(out)
	for after := (EntryPlace{}); ; {
		var entries []SealedEntry
		err := x.app.Store.Read(x.ctx, x.shop.ID, func(tx Tx) (err error) {
			entries, err = tx.SealedFor(x.own.customer, after, rowsPage)
			return err
		})
		if err != nil {
			return err
		}
		for _, e := range entries {
			opened, err := x.open(e)
			if err == nil {
				err = lines.Encode(opened)
			}
			if err != nil {
				return err
			}
			after = e.EntryPlace
		}
		if len(entries) < rowsPage {
			return nil
		}
	}
}

// open opens an entry.
func (x *customerExport) open(e SealedEntry) (exportedEntry, error) {
	out := exportedEntry{Stream: e.StreamID, Sequence: e.Sequence}
	header, err := journal.Decode(e.Header)
	if err != nil {
		return out, err
	}
	out.HappenedAt, out.Event = header.Time, string(header.Event)
	envelope, err := journal.DecodeEnvelope(e.Body, true)
	if err != nil {
		return out, err
	}
	plain, err := openWith(x.key, envelope.Sealed)
	if err != nil {
		return out, err
	}
	if err := json.Unmarshal(plain, &out); err != nil {
		return out, err
	}
	for i := range out.Changes {
		if out.Changes[i].Row, err = plainFields(out.Changes[i].Row); err != nil {
			return out, err
		}
	}
	return out, nil
}
