package main

import (
	"context"
	"fmt"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

type exportCommand struct {
	database
	Shop    string `help:"The shop, by the short name people sign in with." required:"" placeholder:"SLUG"`
	Machine string `help:"Only this machine, by its id." placeholder:"UUID"`
	Format  string `help:"How to write it: csv, or jsonl (JSON Lines)." enum:"csv,jsonl" default:"csv"`
}

// Run writes the history to standard output. Whoever can read the data
// folder or the database may read all of it, so nobody is asked who they are;
// the export is noted for the owner all the same.
func (c exportCommand) Run(ctx context.Context, to outputs) error {
	if err := c.there(); err != nil {
		return err
	}
	s, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	if err := s.Ready(ctx); err != nil {
		return err
	}
	id, err := s.ShopBySlug(ctx, c.Shop)
	if fault.Is(err, fault.NotFound) {
		return fmt.Errorf("there is no shop %q here; give the short name people sign in with, and the right --data or database", c.Shop)
	}
	if err != nil {
		return fmt.Errorf("find the shop %q: %w", c.Shop, err)
	}
	a := app.New(app.Options{Store: s, Source: source{}})
	return a.ExportHistory(ctx, auth.Principal{ShopID: id}, app.HistoryWanted{Machine: shop.MachineID(c.Machine), Format: app.HistoryFormat(c.Format)}, to.out)
}
