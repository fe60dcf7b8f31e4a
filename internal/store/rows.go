package store

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"benchtag/internal/app"
	"benchtag/internal/fault"
)

func column(name string) clause.Column { return clause.Column{Name: name} }

// mine is the condition every statement starts with.
func (t *tx) mine(more ...clause.Expression) clause.Where {
	return clause.Where{Exprs: append([]clause.Expression{clause.Eq{Column: column("shop_id"), Value: string(t.shop)}}, more...)}
}

// Load fills row with the one that has the id.
func (t *tx) Load(row app.Noun, id string) error {
	if !IsID(id) {
		return fault.Missing(nounName(row))
	}
	err := t.db.Clauses(t.mine(clause.Eq{Column: column("id"), Value: id})).Take(row).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return fault.Missing(nounName(row))
	}
	return classify(err)
}

// IsID reports whether text is a UUID in its usual lower-case form.
func IsID(text string) bool {
	if len(text) != 36 {
		return false
	}
	for i := range len(text) {
		c := text[i]
		switch {
		case i == 8 || i == 13 || i == 18 || i == 23:
			if c != '-' {
				return false
			}
		case (c < '0' || c > '9') && (c < 'a' || c > 'f'):
			return false
		}
	}
	return true
}

func nounName(row app.Noun) string {
	name := reflect.TypeOf(row).Elem().Name()
	out := make([]rune, 0, len(name)+2)
	for i, r := range name {
		if r >= 'A' && r <= 'Z' {
			if i > 0 {
				out = append(out, ' ')
			}
			r += 'a' - 'A'
		}
		out = append(out, r)
	}
	return string(out)
}

// List fills rows in order of id.
func (t *tx) List(rows any, by app.By, page app.Page) error {
	conds, err := t.conditions(by)
	if err != nil {
		return err
	}
	if page.After != "" {
		if !IsID(page.After) {
			return fault.New(fault.Shape, "store.cursor_unreadable", "The cursor is not one of ours; start from the first page.")
		}
		if page.Newest {
			conds = append(conds, clause.Lt{Column: column("id"), Value: page.After})
		} else {
			conds = append(conds, clause.Gt{Column: column("id"), Value: page.After})
		}
	}
	limit := page.Limit
	if limit <= 0 || limit > app.MaxRows {
		limit = app.MaxRows
	}
	return classify(t.db.Clauses(t.mine(conds...)).
		Order(clause.OrderByColumn{Column: column("id"), Desc: page.Newest}).
		Limit(limit).Find(rows).Error)
}

// conditions turns By into conditions, in a fixed order.
func (t *tx) conditions(by app.By) ([]clause.Expression, error) {
	names := make([]string, 0, len(by))
	for name := range by {
		names = append(names, name)
	}
	slices.Sort(names)
	conds := make([]clause.Expression, 0, len(names)+1)
	for _, name := range names {
		c, err := condition(name, by[name])
		if err != nil {
			return nil, err
		}
		conds = append(conds, c)
	}
	return conds, nil
}

func condition(name string, value any) (clause.Expression, error) {
	switch v := value.(type) {
	case nil:
		return clause.Eq{Column: column(name), Value: nil}, nil
	case app.Not:
		return clause.Not(clause.IN{Column: column(name), Values: texts(v)}), nil
	}
	r := reflect.ValueOf(value)
	switch r.Kind() {
	case reflect.String:
		return clause.Eq{Column: column(name), Value: r.String()}, nil
	case reflect.Bool, reflect.Int64, reflect.Int:
		return clause.Eq{Column: column(name), Value: value}, nil
	case reflect.Slice:
		list := make([]any, r.Len())
		for i := range list {
			list[i] = r.Index(i).String()
		}
		return clause.IN{Column: column(name), Values: list}, nil
	}
	return nil, fmt.Errorf("store: column %s cannot be selected by a %T", name, value)
}

func texts(list []string) []any {
	out := make([]any, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}

// Insert stores a new row as version 1.
func (t *tx) Insert(row app.Noun) error {
	head := row.Head()
	head.ShopID, head.Version, head.CreatedAt, head.UpdatedAt = t.shop, 1, t.now, t.now
	fillLists(row)
	err := t.db.Create(row).Error
	if errors.Is(err, gorm.ErrDuplicatedKey) && t.taken(row, err) {
		return fault.New(fault.ExistsAlready, "store.id_taken", "A record with this id is already there; change it with If-Match, or use a fresh id.").Because(err)
	}
	return classify(err)
}

// taken reports whether the row's own id is the one that is taken, not a
// name or number of it. PostgreSQL names the constraint; on SQLite, where a
// failed statement leaves the transaction usable, it is asked.
func (t *tx) taken(row app.Noun, err error) bool {
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return strings.HasSuffix(pg.ConstraintName, "_pkey")
	}
	var n int64
	err = t.db.Model(row).Clauses(t.mine(clause.Eq{Column: column("id"), Value: row.Key()})).Count(&n).Error
	return err == nil && n == 1
}

// fillLists makes nil lists empty ones, since "no list" is not stored.
func fillLists(row app.Noun) {
	v := reflect.ValueOf(row).Elem()
	for i := range v.NumField() {
		f := v.Field(i)
		if f.Kind() == reflect.Slice && f.IsNil() && f.CanSet() {
			f.Set(reflect.MakeSlice(f.Type(), 0, 0))
		}
	}
}

// Advance stores row if its version is still the stored one.
func (t *tx) Advance(row app.Noun) error {
	head := row.Head()
	if head.ShopID != t.shop {
		return fault.Missing(nounName(row))
	}
	was := head.Version
	head.Version, head.UpdatedAt = was+1, t.now
	fillLists(row)
	res := t.db.Clauses(t.mine(
		clause.Eq{Column: column("id"), Value: row.Key()},
		clause.Eq{Column: column("version"), Value: was},
	)).Select("*").Omit("shop_id", "id", "created_at").Updates(row)
	if res.Error != nil {
		head.Version = was
		return classify(res.Error)
	}
	if res.RowsAffected != 1 {
		head.Version = was
		return fault.New(fault.VersionStale, "store.version_stale", "Someone else changed this first; read it again and look at their change.")
	}
	return nil
}

// Remove deletes a row that is no record.
func (t *tx) Remove(row app.Noun) error {
	if row.Head().ShopID != t.shop {
		return fault.Missing(nounName(row))
	}
	res := t.db.Clauses(t.mine(clause.Eq{Column: column("id"), Value: row.Key()})).Delete(row)
	if res.Error != nil {
		return classify(res.Error)
	}
	if res.RowsAffected != 1 {
		return fault.Missing(nounName(row))
	}
	return nil
}

// all lists every row of a kind that belongs to any of the owners.
func all[T any](t *tx, col string, owners []string) ([]T, error) {
	var rows []T
	if len(owners) == 0 {
		return nil, nil
	}
	err := t.db.Clauses(t.mine(clause.IN{Column: column(col), Values: texts(owners)})).
		Order(clause.OrderByColumn{Column: column("id")}).Find(&rows).Error
	return rows, classify(err)
}

func byID[T any, K ~string](rows []T, key func(T) K) map[K]T {
	m := make(map[K]T, len(rows))
	for _, r := range rows {
		m[key(r)] = r
	}
	return m
}
