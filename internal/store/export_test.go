package store

import (
	"gorm.io/gorm"

	"benchtag/internal/app"
)

// What the tests outside the package reach inside it.

// DB gives the database of writes or reads, guarded as always.
func (s *Store) DB(write bool) *gorm.DB {
	if write {
		return s.write
	}
	return s.read
}

// SoundSQLite is soundSQLite.
func SoundSQLite(version string) bool { return soundSQLite(version) }

// ErrGuard is errGuard.
func ErrGuard() error { return errGuard }

// Registry gives the registered statements.
func Registry() []string {
	var all []string
	for _, s := range registry() {
		all = append(all, string(s))
	}
	return all
}

// RunStatement runs a registered statement in a transaction of tx, and gives
// every row as values.
func RunStatement(in app.Tx, text string, args []any) ([][]any, error) {
	var all [][]any
	rows, err := in.(*tx).db.Set(rawKey, statement(text)).Raw(text, args...).Rows()
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }()
	names, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	for rows.Next() {
		row := make([]any, len(names))
		dest := make([]any, len(names))
		for i := range row {
			dest[i] = &row[i]
		}
		if err := rows.Scan(dest...); err != nil {
			return nil, err
		}
		all = append(all, row)
	}
	return all, rows.Err()
}
