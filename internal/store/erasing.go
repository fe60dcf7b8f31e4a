package store

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"time"

	"gorm.io/gorm"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/migrations"
)

// What an erasure takes, and what it leaves to be done.
const (
	stmtBodiesForget      statement = `DELETE FROM journal_bodies WHERE shop_id = ? AND key_customer_id = ?`
	stmtOrderBodiesForget statement = `DELETE FROM journal_bodies WHERE shop_id = ? AND stream_id = ? AND key_customer_id IS NOT NULL`
	stmtEvidenceForget    statement = `DELETE FROM journal_evidence WHERE shop_id = ? AND consent_id IN (
  SELECT c.id FROM consents c WHERE c.shop_id = ? AND c.work_order_id = ?)`
	stmtKeyForget     statement = `DELETE FROM customer_keys WHERE shop_id = ? AND customer_id = ?`
	stmtArchiveForget statement = `DELETE FROM customer_archives WHERE shop_id = ? AND customer_id = ?`
	stmtArchiveAdd    statement = `INSERT INTO customer_archives (shop_id, customer_id, sealed, created_at) VALUES (?, ?, ?, ?)`
	stmtArchive       statement = `SELECT sealed FROM customer_archives WHERE shop_id = ? AND customer_id = ?`
	stmtErasureAdd    statement = `INSERT INTO erasures (shop_id, customer_id, erased_at, photo_ids) VALUES (?, ?, ?, ?)`
	stmtErasuresOpen  statement = `SELECT customer_id, photo_ids FROM erasures WHERE shop_id = ? AND photos_gone_at IS NULL`
	stmtPhotosGone    statement = `UPDATE erasures SET photos_gone_at = ? WHERE shop_id = ? AND customer_id = ?`
	stmtUnscrubbed    statement = `SELECT count(*) FROM erasures WHERE shop_id = ? AND scrubbed_at IS NULL`
	stmtScrubbed      statement = `UPDATE erasures SET scrubbed_at = ? WHERE shop_id = ? AND scrubbed_at IS NULL AND erased_at <= ?`
)

func erasingStatements() []statement {
	return []statement{stmtBodiesForget, stmtOrderBodiesForget, stmtEvidenceForget, stmtKeyForget, stmtArchiveForget, stmtArchiveAdd,
		stmtArchive, stmtErasureAdd, stmtErasuresOpen, stmtPhotosGone, stmtUnscrubbed, stmtScrubbed}
}

// personalColumns lists the columns of a table that tell something of a
// customer, by the classes that every column has.
func personalColumns(table string) ([]string, error) {
	rows, err := csv.NewReader(strings.NewReader(migrations.Privacy())).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("store: read the classes of columns: %w", err)
	}
	var names []string
	for _, r := range rows {
		if r[0] == table && (r[2] == "personal" || r[2] == "contact") {
			names = append(names, r[1])
		}
	}
	return names, nil
}

// Forget empties the personal columns of a row and stores it.
func (t *tx) Forget(row app.Noun) error {
	names, err := personalColumns(row.TableName())
	if err != nil {
		return err
	}
	s := &gorm.Statement{DB: t.db}
	if err := s.Parse(row); err != nil {
		return fmt.Errorf("store: read the fields of %s: %w", row.TableName(), err)
	}
	for _, name := range names {
		f := s.Schema.FieldsByDBName[name]
		if f == nil {
			return fmt.Errorf("store: %s has no field %s", row.TableName(), name)
		}
		place := f.ReflectValueOf(t.db.Statement.Context, reflect.ValueOf(row).Elem())
		place.SetZero()
		if _, bytes := place.Interface().([]byte); bytes {
			place.SetBytes([]byte("{}")) // documents are read as JSON
		}
	}
	return t.Advance(row)
}

// ForgetSealed destroys a customer's key, all that it sealed, and the
// evidence of their answers.
func (t *tx) ForgetSealed(id shop.CustomerID, orders []string) error {
	own := string(t.shop)
	for _, order := range orders {
		if _, err := run(t.db, stmtOrderBodiesForget, own, order); err != nil {
			return err
		}
		if _, err := run(t.db, stmtEvidenceForget, own, own, order); err != nil {
			return err
		}
	}
	for _, s := range []statement{stmtBodiesForget, stmtArchiveForget, stmtKeyForget} {
		if _, err := run(t.db, s, own, string(id)); err != nil {
			return err
		}
	}
	return nil
}

// KeepArchive stores what is kept of a customer under seal.
func (t *tx) KeepArchive(id shop.CustomerID, sealed []byte) error {
	_, err := run(t.db, stmtArchiveAdd, string(t.shop), string(id), sealed, t.now)
	return err
}

// Archive gives what is kept of a customer under seal, or nil.
func (t *tx) Archive(id shop.CustomerID) (sealed []byte, err error) {
	err = one(t.db, stmtArchive, []any{string(t.shop), string(id)}, &sealed)
	if errors.Is(err, errNoRow) {
		return nil, nil
	}
	return sealed, err
}

// NoteErasure notes an erasure, and the photos whose content is to go.
func (t *tx) NoteErasure(id shop.CustomerID, photos []shop.PhotoID) error {
	text, err := json.Marshal(photos)
	if err != nil {
		return fmt.Errorf("store: write the photos of an erasure: %w", err)
	}
	_, err = run(t.db, stmtErasureAdd, string(t.shop), string(id), t.now, string(text))
	return err
}

// ErasuresWithPhotos lists the erasures whose photos are not known to be gone.
func (t *tx) ErasuresWithPhotos() ([]app.OpenErasure, error) {
	var out []app.OpenErasure
	err := each(t.db, stmtErasuresOpen, []any{string(t.shop)}, func(scan func(...any) error) error {
		var id, photos string
		if err := scan(&id, &photos); err != nil {
			return err
		}
		e := app.OpenErasure{Customer: shop.CustomerID(id)}
		if err := json.Unmarshal([]byte(photos), &e.Photos); err != nil {
			return fmt.Errorf("store: read the photos of an erasure: %w", err)
		}
		out = append(out, e)
		return nil
	})
	return out, err
}

// PhotosGone notes that an erasure's photos are gone.
func (t *tx) PhotosGone(id shop.CustomerID) error {
	_, err := run(t.db, stmtPhotosGone, t.now, string(t.shop), string(id))
	return err
}

// Unscrubbed counts the erasures of which bytes may be left in files.
func (t *tx) Unscrubbed() (n int64, err error) {
	err = one(t.db, stmtUnscrubbed, []any{string(t.shop)}, &n)
	return n, err
}

// Scrubbed notes that of erasures up to a time no bytes are left.
func (t *tx) Scrubbed(until time.Time) error {
	_, err := run(t.db, stmtScrubbed, t.now, string(t.shop), until)
	return err
}
