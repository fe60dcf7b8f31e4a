package api

import (
	"context"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"benchtag/internal/app"
)

// saw says which rows of a table the answer gives; where the table tells
// something of customers, flush notes who was given them. Every handler that
// reads such rows calls it; the tests look for those that do not.
func (c *call) saw(table string, ids ...string) {
	if slices.Contains(app.PersonalTables(), table) && len(ids) > 0 {
		c.seen = app.Seen{Operation: c.route.Operation, Subject: table, IDs: ids}
	}
}

// keysOf gives the ids of rows.
func keysOf[T any](rows []T, key func(T) string) []string {
	ids := make([]string, len(rows))
	for i, r := range rows {
		ids[i] = key(r)
	}
	return ids
}

// noteSeen notes what a person is about to be given, before they get it. The
// same answer to the same person is noted once a minute. A note that cannot be
// stored does not keep the shop from its work: it goes into the log, which
// holds ids alone, as the table would.
func (c *call) noteSeen() {
	if len(c.seen.IDs) == 0 || c.who.StaffID == "" || c.Request().Method != http.MethodGet {
		return
	}
	s := c.server
	key := strings.Join(append([]string{string(c.who.ShopID), string(c.who.StaffID), c.seen.Operation}, c.seen.IDs...), " ")
	minute := s.Now().Truncate(time.Minute)
	if s.recent.has(minute, key) {
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(c.ctx), noteTimeout)
	defer cancel()
	if err := s.App.NoteRead(ctx, c.who, c.seen); err != nil {
		s.Log.ErrorContext(ctx, "a read of personal data could not be stored; this line stands for it",
			slog.String("request_id", requestIDOf(c)), slog.String("staff", string(c.who.StaffID)), slog.String("shop", string(c.who.ShopID)),
			slog.String("operation", c.seen.Operation), slog.String("subject", c.seen.Subject), slog.Any("ids", c.seen.IDs), slog.Any("cause", err))
		return
	}
	s.recent.add(minute, key)
}

// noteTimeout bounds how long an answer waits for its note.
const noteTimeout = 5 * time.Second

// recentReads are what was noted in the present minute, so that a screen that
// asks again and again costs one write a minute.
type recentReads struct {
	mu     sync.Mutex
	minute time.Time
	keys   map[string]bool
}

// maxRecent bounds the memory; beyond it, reads are noted again.
const maxRecent = 10_000

func (r *recentReads) has(minute time.Time, key string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.minute.Equal(minute) && r.keys[key]
}

func (r *recentReads) add(minute time.Time, key string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.minute.Equal(minute) || len(r.keys) >= maxRecent {
		r.minute, r.keys = minute, map[string]bool{}
	}
	r.keys[key] = true
}

// ReadView is one look at personal data, as the owner sees it.
type ReadView struct {
	ID        string   `json:"id"`
	ReadAt    string   `json:"read_at"`
	Operation string   `json:"operation"`
	Subject   string   `json:"subject"`
	IDs       []string `json:"ids"`
	Reason    string   `json:"reason"`
}

func readView(r app.PersonalRead) ReadView {
	return ReadView{ID: r.ID, ReadAt: instantView(r.ReadAt), Operation: r.Operation, Subject: r.Subject, IDs: list(r.IDs), Reason: string(r.Reason)}
}
