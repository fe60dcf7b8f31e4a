package store

import (
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// MessagesDue counts what a sender could take in hand.
func (t *tx) MessagesDue() (int64, error) {
	var n int64
	err := one(t.db, stmtMessagesDue, []any{string(t.shop), t.now, t.now}, &n)
	return n, err
}

// MessagesStuck counts the messages that a person must look at.
func (t *tx) MessagesStuck() (int64, error) {
	var n int64
	err := one(t.db, stmtMessagesStuck, []any{string(t.shop)}, &n)
	return n, err
}

// ClaimMessages takes messages in hand until a moment.
func (t *tx) ClaimMessages(until time.Time, limit int) ([]shop.Message, error) {
	claim := stmtMessagesClaim
	if t.store.kind == kindSQLite {
		claim = stmtMessagesClaimSQLite
	}
	until = until.UTC().Truncate(time.Microsecond)
	claimed, err := ids(t.db, claim, until, t.now, string(t.shop), string(t.shop), t.now, t.now, min(limit, app.MaxRows))
	if err != nil {
		return nil, err
	}
	return all[shop.Message](t, "id", claimed)
}
