package main

import (
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// task is work that goes on beside the requests of a server, again and again.
// Several servers may share one database, so a task must bear being done by
// two at once.
type task struct {
	name  string
	every time.Duration
	do    func(context.Context) error
}

// tasks lists what a server does beside its requests.
func (b *built) tasks() []task {
	return append(slices.Concat(b.photoTasks(), b.messageTasks()),
		task{name: "journal", every: tendEvery, do: forEachShop(b.app.Store, b.log, b.app.TendJournal)},
		task{name: "housekeeping", every: time.Hour, do: b.keepHouse})
}

// tendEvery is how long an entry of the journal may wait for its place in the
// shop's tree, at most; a third of the minute that is promised.
const tendEvery = 20 * time.Second

// keepHouse takes away what has had its time, in every shop, then makes the
// database let go of the bytes of what was erased.
func (b *built) keepHouse(ctx context.Context) error {
	err := forEachShop(b.app.Store, b.log, func(ctx context.Context, id shop.ShopID) error {
		return errors.Join(b.app.Sweep(ctx, id), b.app.EraseDue(ctx, id), b.app.FinishErasures(ctx, id))
	})(ctx)
	return errors.Join(err, b.app.ScrubErased(ctx))
}

// runTasks starts each task, at once and then time after time, until ctx ends;
// what it gives waits for those under way. A failure is logged and tried again
// at the next turn.
func runTasks(ctx context.Context, log *slog.Logger, tasks []task) (wait func()) {
	var under sync.WaitGroup
	for _, t := range tasks {
		under.Go(func() { t.run(ctx, log) })
	}
	return under.Wait
}

func (t task) run(ctx context.Context, log *slog.Logger) {
	turn := time.NewTicker(t.every)
	defer turn.Stop()
	for {
		if err := t.do(ctx); err != nil && ctx.Err() == nil {
			log.Error("a task failed; it is tried again at its next turn", "task", t.name, "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-turn.C:
		}
	}
}

// forEachShop makes a task of something done for every shop in turn; one
// shop's failure does not keep the others waiting.
func forEachShop(store app.Store, log *slog.Logger, do func(context.Context, shop.ShopID) error) func(context.Context) error {
	return func(ctx context.Context) error {
		shops, err := store.Shops(ctx)
		if err != nil {
			return err
		}
		for _, id := range shops {
			if err := do(ctx, id); err != nil && ctx.Err() == nil {
				log.Error("a task failed for one shop", "shop", string(id), "error", err)
			}
		}
		return nil
	}
}
