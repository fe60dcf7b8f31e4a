package main

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// TestTasksGoOn shows that a task is done at once and at each turn, that a
// failure is told and tried again, and that the end waits for what is under way.
func TestTasksGoOn(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var told bytes.Buffer
		done := 0
		ctx, stop := context.WithCancel(t.Context())
		wait := runTasks(ctx, slog.New(slog.NewTextHandler(&told, nil)), []task{{name: "sweep", every: time.Minute, do: func(context.Context) error {
			done++
			time.Sleep(time.Second)
			if done == 2 {
				return errors.New("no broom")
			}
			return nil
		}}})
		time.Sleep(2*time.Minute + 30*time.Second)
		if done != 3 {
			t.Errorf("done %d times in two minutes and a half, want at once and twice more", done)
		}
		time.Sleep(30 * time.Second) // the fourth is under way
		stop()
		wait()
		if done != 4 || strings.Count(told.String(), "no broom") != 1 {
			t.Errorf("done %d times; told:\n%s", done, told.String())
		}
	})
}

type shopsOnly struct {
	app.Store
	ids []shop.ShopID
}

func (s shopsOnly) Shops(context.Context) ([]shop.ShopID, error) { return s.ids, nil }

func TestForEachShopGoesOnAfterAFailure(t *testing.T) {
	t.Parallel()
	var told bytes.Buffer
	var seen []shop.ShopID
	do := forEachShop(shopsOnly{ids: []shop.ShopID{"a", "b", "c"}}, slog.New(slog.NewTextHandler(&told, nil)), func(_ context.Context, id shop.ShopID) error {
		seen = append(seen, id)
		if id == "b" {
			return errors.New("shut")
		}
		return nil
	})
	if err := do(t.Context()); err != nil || len(seen) != 3 || !strings.Contains(told.String(), "shut") {
		t.Errorf("saw %v, %v; told %q", seen, err, told.String())
	}
}
