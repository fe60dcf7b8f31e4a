package app

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// keepSealed stores what the rows say of the person, under the customer's key.
func (a *App) keepSealed(tx Tx, own owner) error {
	var out bytes.Buffer
	if err := writeRows(tx, own, &out, PersonalTables()); err != nil {
		return err
	}
	var fresh [32]byte
	a.Source.Bytes(fresh[:])
	key, err := tx.CustomerKey(own.customer, fresh)
	if err != nil {
		return err
	}
	sealed, err := sealWith(key, a.Source, out.Bytes())
	if err != nil {
		return err
	}
	return tx.KeepArchive(own.customer, sealed)
}

// writeRows writes the rows of a customer as one JSON object, a list a table;
// only names the tables to write, nil is all.
func writeRows(tx Tx, own owner, out *bytes.Buffer, only []string) error {
	out.WriteByte('{')
	comma := ""
	for _, b := range belongings() {
		if only != nil && !slices.Contains(only, b.table) {
			continue
		}
		rows, err := b.all(tx, own)
		if err != nil {
			return err
		}
		list := make([]json.RawMessage, len(rows))
		for i, row := range rows {
			if list[i], err = plainRow(row); err != nil {
				return err
			}
		}
		text, err := json.Marshal(list)
		if err != nil {
			return fmt.Errorf("app: write the rows of a customer: %w", err)
		}
		fmt.Fprintf(out, "%s%q:%s", comma, b.table, text)
		comma = ",\n"
	}
	out.WriteByte('}')
	return nil
}

// LookUnderSeal gives the owner what is kept of a restricted customer, as one
// JSON object with a list for each table; the look and its reason are noted
// in the same transaction.
func (a *App) LookUnderSeal(ctx context.Context, who auth.Principal, id shop.CustomerID, reason LookReason) (rows json.RawMessage, err error) {
	if !slices.Contains(LookReasons(), reason) {
		return nil, fault.Invalid("app.reason_missing", "/reason", "Say what for: legal_claim, authority, customer_asked or accounts.")
	}
	err = a.Store.Write(ctx, who.ShopID, func(_ context.Context, tx Tx) error {
		if err := (&Change{Tx: tx, Who: who}).freshly(); err != nil {
			return err
		}
		if _, err := load[shop.Customer](tx, string(id)); err != nil {
			return err
		}
		sealed, err := tx.Archive(id)
		if err != nil {
			return err
		}
		if sealed == nil {
			return fault.New(fault.Conflict, "app.nothing_under_seal", "Nothing of this customer is kept under seal; read the customer as usual.")
		}
		key, err := tx.CustomerKey(id, [32]byte{})
		if err != nil {
			return err
		}
		if rows, err = openWith(key, sealed); err != nil {
			return err
		}
		return a.noteReadIn(tx, who, Seen{Operation: "lookUnderSeal", Subject: "customers", IDs: []string{string(id)}}, reason)
	})
	return rows, err
}
