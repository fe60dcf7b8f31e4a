package app

import (
	"archive/zip"
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// CustomerFile names the parts of a customer's export.
const (
	// CustomerRows is every row of every table that is the customer's.
	CustomerRows = "customer.json"
	// CustomerJournal is what the journal keeps sealed under their key, a JSON
	// object for each entry: the rows as they once were.
	CustomerJournal = "journal.jsonl"
)

// customerExport is the export of one customer in the making.
type customerExport struct {
	app      *App
	ctx      context.Context
	shop     shop.Shop
	own      owner
	at       time.Time
	archived map[string]json.RawMessage // of a restricted customer: their rows, by table
	key      [32]byte
	keyed    bool // there is a key, so there may be entries under it
}

// ExportCustomer writes everything that is kept of one customer to w as a zip:
// all rows, the journal's entries about them, offers and bills as they were
// shown, the records of their answers with receipts, and their photos. It is
// read a page at a time, so that memory stays flat, and a page is one
// consistent view. Of a restricted customer, what lies under seal is opened.
// Nothing has been written when the export is refused.
//
// It asks for a fresh sign-in; the owner is told, the look is noted among the
// reads, and the shop's journal keeps that it was made.
func (a *App) ExportCustomer(ctx context.Context, who auth.Principal, id shop.CustomerID, from Client, w io.Writer) error {
	x, err := a.openExport(ctx, who, id, from)
	if err != nil {
		return err
	}
	out := bufio.NewWriterSize(w, 64<<10)
	archive := zip.NewWriter(out)
	for _, part := range []func(*zip.Writer) error{x.writeRows, x.writeJournal, x.writeOffers, x.writeBills, x.writeAnswers, x.writePhotos} {
		if err := part(archive); err != nil {
			return fmt.Errorf("app: export a customer: %w", err)
		}
	}
	if err := archive.Close(); err != nil {
		return fmt.Errorf("app: export a customer: %w", err)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("app: export a customer: %w", err)
	}
	return nil
}

// openExport makes sure that the export may be had, notes it, and reads what
// all of it needs.
func (a *App) openExport(ctx context.Context, who auth.Principal, id shop.CustomerID, from Client) (*customerExport, error) {
	x := &customerExport{app: a, ctx: ctx}
	err := a.onShop(ctx, who, "customer.exported", func(c *Change) error {
		if err := c.freshly(); err != nil {
			return err
		}
		customer, err := load[shop.Customer](c.Tx, string(id))
		if err != nil {
			return err
		}
		if customer.ErasedAt != nil {
			return erasedAlready()
		}
		if err := x.read(c.Tx, id); err != nil {
			return err
		}
		c.subject = &journal.Subject{Noun: customer.TableName(), ID: customer.Key(), Version: customer.Version}
		if err := a.noteReadIn(c.Tx, who, Seen{Operation: "exportCustomer", Subject: "customers", IDs: []string{string(id)}}, LookAsked); err != nil {
			return err
		}
		return a.tellOwner(c.Tx, "customer.exported", who.StaffID, from, "Everything that is kept of one customer was exported.")
	})
	return x, err
}

// read reads the visits, the key, and what lies under seal.
func (x *customerExport) read(tx Tx, id shop.CustomerID) (err error) {
	x.at = tx.Now()
	if x.shop, err = load[shop.Shop](tx, string(tx.Shop())); err != nil {
		return err
	}
	if x.own, err = ownerOf(tx, id); err != nil {
		return err
	}
	if x.key, x.keyed, err = tx.KeyOf(id); err != nil {
		return err
	}
	sealed, err := tx.Archive(id)
	if err != nil || sealed == nil {
		return err
	}
	rows, err := openWith(x.key, sealed)
	if err == nil {
		err = json.Unmarshal(rows, &x.archived)
	}
	return err
}

// rowsPage is how many rows one read transaction exports.
const rowsPage = 200

// pages reads the rows of a kind, a page a transaction, and gives them to do
// outside of it, so that a slow client keeps no transaction open.
func (x *customerExport) pages(b belonging, do func([]Noun) error) error {
	for page := (Page{Limit: rowsPage}); ; {
		var rows []Noun
		err := x.app.Store.Read(x.ctx, x.shop.ID, func(tx Tx) (err error) {
			rows, err = b.page(tx, x.own, page)
			return err
		})
		if err == nil {
			err = do(rows)
		}
		if err != nil || len(rows) < page.Limit {
			return err
		}
		page.After = rows[len(rows)-1].Key()
	}
}

// create begins a file of the archive.
func (x *customerExport) create(archive *zip.Writer, name string, method uint16) (io.Writer, error) {
	return archive.CreateHeader(&zip.FileHeader{Name: name, Method: method, Modified: x.at})
}

// put writes a whole file.
func (x *customerExport) put(archive *zip.Writer, name string, method uint16, content []byte) error {
	out, err := x.create(archive, name, method)
	if err == nil {
		_, err = out.Write(content)
	}
	return err
}
