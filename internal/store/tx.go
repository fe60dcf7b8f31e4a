package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// tx is one transaction of one shop.
type tx struct {
	db    *gorm.DB
	shop  shop.ShopID
	now   time.Time
	store *Store
	after []func() // once it is durable
}

var _ app.Store = (*Store)(nil)
var _ app.Tx = (*tx)(nil)

// Now is the transaction's one time.
func (t *tx) Now() time.Time { return t.now }

// AfterCommit runs fn once the transaction is durable.
func (t *tx) AfterCommit(fn func()) { t.after = append(t.after, fn) }

// Shop is the tenant.
func (t *tx) Shop() shop.ShopID { return t.shop }

type joinKey struct{ store *Store }

// joined gives the transaction a surrounding Write left in the context.
func (s *Store) joined(ctx context.Context, scope shop.ShopID) (*tx, error) {
	t, _ := ctx.Value(joinKey{s}).(*tx)
	if t != nil && t.shop != scope {
		return nil, errors.New("store: a transaction of one shop cannot be joined by another")
	}
	return t, nil
}

// Read runs fn over one consistent view of the shop.
func (s *Store) Read(ctx context.Context, scope shop.ShopID, fn func(app.Tx) error) error {
	outer, err := s.joined(ctx, scope)
	if err != nil {
		return err
	}
	if outer != nil {
		return fn(outer)
	}
	opt := &sql.TxOptions{ReadOnly: true}
	if s.kind == kindPostgres {
		opt.Isolation = sql.LevelRepeatableRead
	}
	err = s.read.WithContext(ctx).Transaction(func(db *gorm.DB) error {
		return fn(&tx{db: db, shop: scope, now: s.clock(), store: s})
	}, opt)
	return classify(err)
}

// committed runs what waited for the commit.
func (t *tx) committed() {
	for _, fn := range t.after {
		fn()
	}
}

const writeTries = 4

// Write runs fn in one transaction and commits durably, retrying when the
// database asks to.
func (s *Store) Write(ctx context.Context, scope shop.ShopID, fn func(context.Context, app.Tx) error) error {
	outer, err := s.joined(ctx, scope)
	if err != nil {
		return err
	}
	if outer != nil {
		return fn(ctx, outer)
	}
	for try := 1; ; try++ {
		var t *tx
		err = s.write.WithContext(ctx).Transaction(func(db *gorm.DB) error {
			t = &tx{db: db, shop: scope, now: s.clock(), store: s}
			return fn(context.WithValue(ctx, joinKey{s}, t), t)
		})
		if err == nil {
			t.committed()
		}
		if err == nil || !retryable(err) || try == writeTries {
			return classify(err)
		}
		pause := time.NewTimer(time.Duration(rand.IntN(20*try)+1) * time.Millisecond)
		select {
		case <-ctx.Done():
			pause.Stop()
			return classify(ctx.Err())
		case <-pause.C:
		}
	}
}

// errAgain asks for another try of the whole transaction.
var errAgain = errors.New("store: the same effect was under way")

// retryable reports whether the database undid the transaction because of
// another one, so that trying again may succeed.
func retryable(err error) bool {
	if errors.Is(err, errAgain) {
		return true
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return pg.Code == "40001" || pg.Code == "40P01"
	}
	var lite *sqlite.Error
	if errors.As(err, &lite) {
		return lite.Code()&0xff == sqlite3.SQLITE_BUSY
	}
	return false
}

// classify turns database errors into faults; faults pass as they are.
func classify(err error) error {
	var f *fault.Error
	switch {
	case err == nil, errors.As(err, &f):
		return err
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled), retryable(err):
		return unavailable(err)
	case errors.Is(err, gorm.ErrForeignKeyViolated):
		return fault.New(fault.Meaning, "store.reference_unknown", "A record this refers to does not exist here; check the ids.").Because(err)
	case errors.Is(err, gorm.ErrCheckConstraintViolated):
		return fault.New(fault.Meaning, "store.value_refused", "A value is outside what can be stored; check lengths and choices.").Because(err)
	case errors.Is(err, gorm.ErrDuplicatedKey):
		return fault.New(fault.Conflict, "store.value_taken", "That name or number is already taken in this shop.").Because(err)
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) && pg.Code == "22P02" {
		return fault.New(fault.Meaning, "store.value_refused", "An id is not a UUID.").Because(err)
	}
	var lite *sqlite.Error
	if errors.As(err, &lite) && lite.Code()&0xff == sqlite3.SQLITE_FULL {
		return unavailable(err)
	}
	var connect *pgconn.ConnectError
	if errors.As(err, &connect) {
		return unavailable(err)
	}
	return fmt.Errorf("store: %w", err)
}

func unavailable(err error) error {
	f := fault.New(fault.Unavailable, "store.unavailable", "The database did not answer in time; try again.").Because(err)
	f.RetryAfter = 1
	return f
}
