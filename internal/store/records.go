package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// ClaimSlug binds a slug to the shop.
func (t *tx) ClaimSlug(slug string) error {
	_, err := run(t.db, stmtSlugClaim, slug, string(t.shop))
	return err
}

// ShopBySlug finds the shop a slug names.
func (s *Store) ShopBySlug(ctx context.Context, slug string) (shop.ShopID, error) {
	var id string
	err := one(s.read.WithContext(ctx), stmtSlugFind, []any{slug}, &id)
	if errors.Is(err, errNoRow) {
		return "", fault.Missing("shop")
	}
	return shop.ShopID(id), err
}

// CountShops tells how many shops there are.
func (s *Store) CountShops(ctx context.Context) (int64, error) {
	var n int64
	err := one(s.read.WithContext(ctx), stmtShopCount, nil, &n)
	return n, err
}

// Shops lists every shop there is.
func (s *Store) Shops(ctx context.Context) ([]shop.ShopID, error) {
	var list []shop.ShopID
	err := each(s.read.WithContext(ctx), stmtShopList, nil, func(scan func(...any) error) error {
		var id shop.ShopID
		if err := scan(&id); err != nil {
			return err
		}
		list = append(list, id)
		return nil
	})
	return list, err
}

// Number gives the next number of a counter.
func (t *tx) Number(counter string) (int64, error) { return t.Numbers(counter, 1) }

// Numbers gives the first of the next numbers of a counter.
func (t *tx) Numbers(counter string, size int64) (int64, error) {
	if size < 1 {
		return 0, errors.New("store: a run of numbers has at least one")
	}
	var next int64
	err := one(t.db, stmtCount, []any{string(t.shop), counter, size}, &next)
	return next - size, err
}

// Lock takes the head of a stream.
func (t *tx) Lock(stream journal.Stream) (journal.Head, error) {
	head := journal.Start(stream)
	if _, err := run(t.db, stmtHeadMake, string(t.shop), string(stream.Kind), stream.ID, head.Hash[:]); err != nil {
		return journal.Head{}, err
	}
	lock := stmtHeadLock
	if t.store.kind == kindSQLite {
		lock = stmtHeadLockSQLite
	}
	var hash []byte
	if err := one(t.db, lock, []any{string(t.shop), stream.ID}, &head.Sequence, &hash); err != nil {
		return journal.Head{}, err
	}
	if copy(head.Hash[:], hash) != len(head.Hash) {
		return journal.Head{}, fmt.Errorf("store: the head of stream %s is damaged", stream.ID)
	}
	return head, nil
}

// Append stores an entry, its body and the new head.
func (t *tx) Append(e journal.Entry, body journal.Body, head journal.Head, keyed shop.CustomerID) error {
	h := e.Header
	n, err := run(t.db, stmtHeadMove, head.Sequence, head.Hash[:], string(t.shop), head.Stream.ID, head.Sequence-1)
	if err != nil {
		return err
	}
	if n != 1 {
		return fault.New(fault.Conflict, "store.journal_moved", "Another change came first; try again.")
	}
	_, err = run(t.db, stmtEntryAdd, string(t.shop), head.Stream.ID, head.Sequence, e.Bytes, e.Hash[:], h.Time,
		string(h.Actor.Kind), h.Actor.ID, string(h.Event), h.Subject.Noun, h.Subject.ID, h.Subject.Version)
	if err != nil {
		return err
	}
	_, err = run(t.db, stmtBodyAdd, string(t.shop), head.Stream.ID, head.Sequence, body.Salt[:], body.Bytes,
		sql.NullString{String: string(keyed), Valid: keyed != ""})
	if err != nil {
		return err
	}
	_, err = run(t.db, stmtPendingAdd, string(t.shop), head.Stream.ID, head.Sequence)
	return err
}

// Entries reads a stream from a sequence on.
func (t *tx) Entries(streamID string, after int64, limit int) ([]app.Entry, error) {
	var list []app.Entry
	err := each(t.db, stmtEntries, []any{string(t.shop), streamID, after, limit}, func(scan func(...any) error) error {
		var e app.Entry
		var keyed sql.NullString
		if err := scan(&e.Sequence, &e.Header, &e.Hash, &e.HappenedAt, &e.Salt, &e.Body, &keyed); err != nil {
			return err
		}
		e.HasBody, e.KeyedTo = len(e.Salt) > 0, shop.CustomerID(keyed.String)
		list = append(list, e)
		return nil
	})
	return list, err
}

// SealedFor reads the entries that a customer's key sealed.
func (t *tx) SealedFor(id shop.CustomerID, after app.EntryPlace, limit int) ([]app.SealedEntry, error) {
	var list []app.SealedEntry
	args := []any{string(t.shop), string(id), orFirst(after.StreamID), after.Sequence, limit}
	err := each(t.db, stmtSealedFor, args, func(scan func(...any) error) error {
		var e app.SealedEntry
		if err := scan(&e.StreamID, &e.Sequence, &e.Header, &e.Body); err != nil {
			return err
		}
		list = append(list, e)
		return nil
	})
	return list, err
}

// CustomerKey gives the customer's sealing key.
func (t *tx) CustomerKey(id shop.CustomerID, fresh [32]byte) ([32]byte, error) {
	if _, err := run(t.db, stmtKeyMake, string(t.shop), string(id), fresh[:], t.now); err != nil {
		return [32]byte{}, err
	}
	var secret []byte
	if err := one(t.db, stmtKeyFind, []any{string(t.shop), string(id)}, &secret); err != nil {
		return [32]byte{}, err
	}
	var key [32]byte
	if copy(key[:], secret) != len(key) {
		return key, errors.New("store: a customer's key is damaged")
	}
	return key, nil
}

// Recall gives the stored answer to an idempotency key.
func (t *tx) Recall(k app.IdempotencyKey) (*app.StoredAnswer, error) {
	var a app.StoredAnswer
	err := one(t.db, stmtRecall, []any{string(t.shop), k.Actor, k.Route, k.KeyHash},
		&a.Fingerprint, &a.Status, &a.ETag, &a.Body, &a.CreatedAt)
	if errors.Is(err, errNoRow) {
		return nil, nil
	}
	return &a, err
}

// PhotoUsage sums up the stored copies of photos.
func (t *tx) PhotoUsage(person shop.StaffID) (app.PhotoUsage, error) {
	var u app.PhotoUsage
	err := one(t.db, stmtPhotoUsage, []any{string(person), string(person), string(t.shop)},
		&u.ShopCount, &u.ShopBytes, &u.PersonCount, &u.PersonBytes)
	return u, err
}

// Remember stores the answer to an idempotency key.
func (t *tx) Remember(k app.IdempotencyKey, a app.StoredAnswer) error {
	_, err := run(t.db, stmtRemember, string(t.shop), k.Actor, k.Route, k.KeyHash,
		a.Fingerprint, a.Status, a.ETag, a.Body, t.now)
	if errors.Is(err, gorm.ErrDuplicatedKey) {
		// The same effect was under way; the next try finds its answer.
		return errAgain
	}
	return err
}
