package api

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// An export may run for long, so that it has limits of its own: exportTimeout
// for the whole, chunkTimeout for the client to take one stretch.
const (
	exportTimeout = 30 * time.Minute
	chunkTimeout  = 30 * time.Second
)

// exportHistory streams the repair history of the shop or, where the address
// names one, of a machine.
func exportHistory(c *call) error {
	want := app.HistoryWanted{Machine: shop.MachineID(c.Param("id")), Format: app.HistoryCSV, From: c.client()}
	if c.QueryParam("format") == string(app.HistoryJSONL) {
		want.Format = app.HistoryJSONL
	}
	return c.streamed(func() { historyHeaders(c, want) }, func(ctx context.Context, w io.Writer) error {
		return c.app().ExportHistory(ctx, c.who, want, w)
	})
}

// exportCustomer streams everything that is kept of a customer. The file's
// name says nothing of the person.
func exportCustomer(c *call) error {
	headers := func() {
		h := c.Response().Header()
		h.Set("Content-Type", "application/zip")
		h.Set("Content-Disposition", `attachment; filename="customer-`+c.shop.Slug+"-"+c.server.Now().UTC().Format(time.DateOnly)+`.zip"`)
	}
	return c.streamed(headers, func(ctx context.Context, w io.Writer) error {
		return c.app().ExportCustomer(ctx, c.who, shop.CustomerID(c.Param("id")), c.client(), w)
	})
}

// streamed gives an answer as it grows. An error before the first byte is a
// problem as always; after it the connection is cut, so that no client takes a
// part for the whole. The request's own time limit is too short for it; a
// client that goes away is noticed by the write that fails.
func (c *call) streamed(begin func(), write func(context.Context, io.Writer) error) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(c.ctx), exportTimeout)
	defer cancel()
	out := &stream{c: c, begin: begin}
	err := write(ctx, out)
	switch {
	case err != nil && !out.begun:
		return err
	case err != nil:
		c.server.Log.ErrorContext(ctx, "an export was cut off", slog.String("request_id", requestIDOf(c.Context)),
			slog.String("operation", c.route.Operation), slog.Any("cause", err))
		panic(http.ErrAbortHandler)
	}
	return out.end()
}

// historyHeaders says what the answer is. The file's name is made of the
// shop's slug and the day, which hold nothing but letters, digits and hyphens.
func historyHeaders(c *call, want app.HistoryWanted) {
	h := c.Response().Header()
	kind := "text/csv; charset=utf-8; header=present"
	if want.Format == app.HistoryJSONL {
		kind = "application/x-ndjson"
	}
	what := "repair-history-"
	if want.Machine != "" {
		what = "machine-history-"
	}
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", `attachment; filename="`+what+c.shop.Slug+"-"+c.server.Now().UTC().Format(time.DateOnly)+"."+string(want.Format)+`"`)
}

// stream hands an answer on as it grows.
type stream struct {
	c     *call
	begin func()
	begun bool
}

func (s *stream) start() {
	if s.begun {
		return
	}
	s.begun = true
	s.begin()
	s.c.Response().WriteHeader(http.StatusOK)
}

// Write sends one stretch at once.
func (s *stream) Write(p []byte) (int, error) {
	s.start()
	control := http.NewResponseController(s.c.Response().Writer)
	// A writer without deadlines, as in tests, needs none.
	_ = control.SetWriteDeadline(time.Now().Add(chunkTimeout))
	n, err := s.c.Response().Write(p)
	if err == nil {
		_ = control.Flush()
	}
	return n, err
}

// end makes an answer of nothing an empty one.
func (s *stream) end() error {
	s.start()
	return nil
}
