package storetest

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/journal"
)

// BenchmarkAppends measures entries of the journal, each acknowledged in a
// transaction of its own, with writers at as many work orders at once. It
// says nothing of durability: that is for the database that open gives.
func BenchmarkAppends(b *testing.B, open Opener, writers int) {
	backend := open(b)
	w := Populate(b, backend, 1, 1)
	var next atomic.Int64
	b.SetParallelism(writers)
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		stream := journal.Stream{ShopID: string(w.Shop), Kind: journal.WorkOrder, ID: fmt.Sprintf("0195bbbb-0000-7000-8000-%012x", next.Add(1))}
		for pb.Next() {
			err := backend.Store.Write(context.Background(), w.Shop, func(_ context.Context, tx app.Tx) error {
				head, err := tx.Lock(stream)
				if err != nil {
					return err
				}
				return note(tx, head, w.IDs["staff"])
			})
			if err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "entries/s")
}
