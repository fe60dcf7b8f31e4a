package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// MapWanted is a machine map or a limit sheet to keep: one that comes with the
// program, or a document.
type MapWanted struct {
	Shipped  string
	Document []byte
}

// AddMachineMap keeps a machine map in the shop. It is checked first: a map
// with a fault is refused with every fault and its place. An edition that is
// there stays as it is, for jobs work by it.
func (a *App) AddMachineMap(ctx context.Context, who auth.Principal, want MapWanted) (shop.Layout, error) {
	document, m, err := want.machineMap()
	if err != nil {
		return shop.Layout{}, err
	}
	rules := shopRules[shop.Layout]{noun: "machine_map", check: func(c *Change, _, is *shop.Layout) error {
		return editionFree[shop.Layout](c, is.Code, is.Revision)
	}}
	return addShopRecord(ctx, a, who, rules, func(row *shop.Layout) {
		*row = shop.Layout{Code: string(m.Code), Revision: m.Revision, Title: m.Title, Example: m.Example, Document: document, SHA256: HashText(string(document))}
	})
}

func (want MapWanted) machineMap() ([]byte, layout.Map, error) {
	document := want.Document
	if want.Shipped != "" {
		m, ok, err := layout.ShippedMap(layout.Key(want.Shipped))
		if err != nil {
			return nil, m, err
		}
		if !ok {
			return nil, m, notShipped()
		}
		document, err = json.Marshal(m)
		if err != nil {
			return nil, m, fmt.Errorf("app: write a shipped map: %w", err)
		}
	}
	m, err := layout.ParseMap(document)
	if err != nil {
		return nil, m, within(err, "/document")
	}
	return document, m, within(layout.Refusal(layout.Check(m)), "/document")
}

// AddLimitSheet keeps a limit sheet in the shop, checked against the newest
// edition of the map it is for.
func (a *App) AddLimitSheet(ctx context.Context, who auth.Principal, want MapWanted) (shop.LimitSheet, error) {
	document, s, err := want.limitSheet()
	if err != nil {
		return shop.LimitSheet{}, err
	}
	rules := shopRules[shop.LimitSheet]{noun: "limit_sheet", check: func(c *Change, _, is *shop.LimitSheet) error {
		m, err := newestMap(c, is.MapCode)
		if err != nil {
			return err
		}
		if err := layout.Refusal(layout.CheckSheet(s, m)); err != nil {
			return within(err, "/document")
		}
		return editionFree[shop.LimitSheet](c, is.Code, is.Revision)
	}}
	return addShopRecord(ctx, a, who, rules, func(row *shop.LimitSheet) {
		*row = shop.LimitSheet{Code: string(s.Code), Revision: s.Revision, MapCode: string(s.Map), Title: s.Title, Example: s.Example,
			Make: s.For.Make, Model: s.For.Model, YearFrom: yearOrNone(s.For.YearFrom), YearTo: yearOrNone(s.For.YearTo),
			Document: document, SHA256: HashText(string(document))}
	})
}

func (want MapWanted) limitSheet() ([]byte, layout.Sheet, error) {
	document := want.Document
	if want.Shipped != "" {
		s, err := shippedSheet(layout.Key(want.Shipped))
		if err != nil {
			return nil, s, err
		}
		document, err = json.Marshal(s)
		if err != nil {
			return nil, s, fmt.Errorf("app: write a shipped sheet: %w", err)
		}
	}
	s, err := layout.ParseSheet(document)
	return document, s, within(err, "/document")
}

func notShipped() error {
	return fault.Invalid("app.not_shipped", "/shipped", "The program does not come with one of this code; benchtag check-map lists what it comes with.")
}

func shippedSheet(code layout.Key) (layout.Sheet, error) {
	_, sheets, err := layout.Shipped()
	if err != nil {
		return layout.Sheet{}, err
	}
	for _, s := range sheets {
		if s.Code == code {
			return s, nil
		}
	}
	return layout.Sheet{}, notShipped()
}

// newestMap reads the newest edition of a map that the shop keeps.
func newestMap(tx Tx, code string) (layout.Map, error) {
	rows, err := list[shop.Layout](tx, By{"code": code})
	if err != nil {
		return layout.Map{}, err
	}
	if len(rows) == 0 {
		return layout.Map{}, fault.Invalid("app.machine_map_missing", "/document/map", "The shop does not keep this machine map yet; add it first.")
	}
	newest := rows[0]
	for _, r := range rows {
		if r.Revision > newest.Revision {
			newest = r
		}
	}
	return layout.ParseMap(newest.Document)
}

// editionFree refuses an edition that is there already.
func editionFree[T any](tx Tx, code string, revision int64) error {
	there, err := list[T](tx, By{"code": code, "revision": revision})
	if err != nil {
		return err
	}
	if len(there) > 0 {
		return fault.New(fault.Conflict, "app.edition_taken", "This edition is there already, and jobs may work by it; give a changed document the next revision.")
	}
	return nil
}

// within puts the places an error names below a pointer.
func within(err error, pointer string) error {
	var f *fault.Error
	if !errors.As(err, &f) {
		return err
	}
	moved := *f
	moved.Fields = nil
	for _, field := range f.Fields {
		moved.Fields = append(moved.Fields, fault.Field{Pointer: pointer + field.Pointer, Message: field.Message})
	}
	if moved.Kind == fault.Shape {
		moved.Kind = fault.Meaning // the body was read; what stands in it was not
	}
	return &moved
}

func yearOrNone(year int64) *int64 {
	if year == 0 {
		return nil
	}
	return &year
}
