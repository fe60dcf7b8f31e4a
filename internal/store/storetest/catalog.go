package storetest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"benchtag/internal/fault"
)

func asFault(err error, f **fault.Error) bool { return errors.As(err, f) }

// Column is a column as the database knows it.
type Column struct {
	Name, Type string
	Null       bool
}

// Foreign is a foreign key.
type Foreign struct {
	Columns []string
	Table   string
	To      []string
}

// Table is a table as the database knows it.
type Table struct {
	Name    string
	Columns []Column
	Primary []string
	Uniques [][]string // without the primary key
	Foreign []Foreign
	Words   map[string][]string // columns that hold one of a closed set
	Same    [][2]string         // columns that a CHECK wants equal
}

// Column finds a column by name.
func (t Table) Column(name string) (Column, bool) {
	i := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Name == name })
	if i < 0 {
		return Column{}, false
	}
	return t.Columns[i], true
}

// Catalog is every table of the database, by name, without the migrations' own.
type Catalog map[string]Table

// Names lists the tables in order.
func (c Catalog) Names() []string {
	names := make([]string, 0, len(c))
	for name := range c {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// ReadCatalog asks the database what it holds.
func ReadCatalog(t testing.TB, b *Backend) Catalog {
	t.Helper()
	read := readSQLite
	if b.Postgres {
		read = readPostgres
	}
	catalog, err := read(t.Context(), b.Raw)
	if err != nil {
		t.Fatalf("read the catalog: %v", err)
	}
	if len(catalog) < 40 {
		t.Fatalf("the catalog has %d tables; the question is wrong", len(catalog))
	}
	return catalog
}

// texts reads all rows of a question as text.
func texts(ctx context.Context, db *sql.DB, text string, args ...any) ([][]string, error) {
	rows, err := db.QueryContext(ctx, text, args...)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", text, err)
	}
	defer rows.Close()
	names, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	var all [][]string
	for rows.Next() {
		cells := make([]sql.NullString, len(names))
		dest := make([]any, len(names))
		for i := range cells {
			dest[i] = &cells[i]
		}
		if err := rows.Scan(dest...); err != nil {
			return nil, err
		}
		row := make([]string, len(names))
		for i, c := range cells {
			row[i] = c.String
		}
		all = append(all, row)
	}
	return all, rows.Err()
}

func readSQLite(ctx context.Context, db *sql.DB) (Catalog, error) {
	tables, err := texts(ctx, db, `SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version'`)
	if err != nil {
		return nil, err
	}
	catalog := Catalog{}
	for _, row := range tables {
		table := Table{Name: row[0]}
		table.Words, table.Same = checks(row[1])
		if err := sqliteTable(ctx, db, &table); err != nil {
			return nil, err
		}
		catalog[table.Name] = table
	}
	return catalog, nil
}

func sqliteTable(ctx context.Context, db *sql.DB, table *Table) error {
	columns, err := texts(ctx, db, `SELECT name, type, "notnull", pk FROM pragma_table_info(?) ORDER BY cid`, table.Name)
	if err != nil {
		return err
	}
	table.Primary = make([]string, 0, 3)
	for place := 1; place <= len(columns); place++ {
		for _, c := range columns {
			if c[3] == fmt.Sprint(place) {
				table.Primary = append(table.Primary, c[0])
			}
		}
	}
	for _, c := range columns {
		table.Columns = append(table.Columns, Column{Name: c[0], Type: c[1], Null: c[2] == "0"})
	}
	uniques, err := texts(ctx, db, `SELECT l.name, i.name FROM pragma_index_list(?) l, pragma_index_info(l.name) i WHERE l."unique" = 1 AND l.origin <> 'pk' ORDER BY l.name, i.seqno`, table.Name)
	if err != nil {
		return err
	}
	table.Uniques = grouped(uniques)
	keys, err := texts(ctx, db, `SELECT id, "table", "from", "to" FROM pragma_foreign_key_list(?) ORDER BY id, seq`, table.Name)
	table.Foreign = foreigns(keys)
	return err
}

func readPostgres(ctx context.Context, db *sql.DB) (Catalog, error) {
	columns, err := texts(ctx, db, `SELECT table_name, column_name, data_type, is_nullable FROM information_schema.columns
WHERE table_schema = 'public' AND table_name <> 'goose_db_version' ORDER BY table_name, ordinal_position`)
	if err != nil {
		return nil, err
	}
	catalog := Catalog{}
	for _, c := range columns {
		table := catalog[c[0]]
		table.Name = c[0]
		table.Columns = append(table.Columns, Column{Name: c[1], Type: c[2], Null: c[3] == "YES"})
		catalog[c[0]] = table
	}
	for name, table := range catalog {
		if err := postgresTable(ctx, db, &table); err != nil {
			return nil, err
		}
		catalog[name] = table
	}
	return catalog, nil
}

func postgresTable(ctx context.Context, db *sql.DB, table *Table) error {
	keys, err := texts(ctx, db, `SELECT c.oid, c.contype, a.attname FROM pg_constraint c, unnest(c.conkey) WITH ORDINALITY k(n, o), pg_attribute a
WHERE c.conrelid = $1::regclass AND c.contype IN ('p', 'u') AND a.attrelid = c.conrelid AND a.attnum = k.n ORDER BY c.oid, k.o`, table.Name)
	if err != nil {
		return err
	}
	var uniques [][]string
	for _, k := range keys {
		if k[1] == "p" {
			table.Primary = append(table.Primary, k[2])
		} else {
			uniques = append(uniques, []string{k[0], k[2]})
		}
	}
	table.Uniques = grouped(uniques)
	refs, err := texts(ctx, db, `SELECT c.oid, c.confrelid::regclass, a.attname, f.attname FROM pg_constraint c,
unnest(c.conkey, c.confkey) WITH ORDINALITY k(n, m, o), pg_attribute a, pg_attribute f
WHERE c.conrelid = $1::regclass AND c.contype = 'f' AND a.attrelid = c.conrelid AND a.attnum = k.n
AND f.attrelid = c.confrelid AND f.attnum = k.m ORDER BY c.oid, k.o`, table.Name)
	if err != nil {
		return err
	}
	table.Foreign = foreigns(refs)
	said, err := texts(ctx, db, `SELECT pg_get_constraintdef(oid) FROM pg_constraint WHERE conrelid = $1::regclass AND contype = 'c'`, table.Name)
	if err != nil {
		return err
	}
	var all []string
	for _, s := range said {
		all = append(all, s[0])
	}
	table.Words, table.Same = checks(strings.Join(all, "\n"))
	return nil
}

func grouped(rows [][]string) [][]string {
	var groups [][]string
	last := ""
	for _, r := range rows {
		if len(groups) == 0 || r[0] != last {
			groups, last = append(groups, nil), r[0]
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], r[1])
	}
	slices.SortFunc(groups, slices.Compare[[]string])
	return groups
}

func foreigns(rows [][]string) []Foreign {
	var all []Foreign
	last := ""
	for _, r := range rows {
		if len(all) == 0 || r[0] != last {
			all, last = append(all, Foreign{Table: r[1]}), r[0]
		}
		f := &all[len(all)-1]
		f.Columns, f.To = append(f.Columns, r[2]), append(f.To, r[3])
	}
	slices.SortFunc(all, func(a, b Foreign) int { return slices.Compare(a.Columns, b.Columns) })
	return all
}

// The forms in which the databases say what a CHECK allows.
var (
	sqliteWords   = regexp.MustCompile(`CHECK \((\w+) IN \(([^)]*)\)\)`)
	postgresWords = regexp.MustCompile(`\((\w+) = ANY \(ARRAY\[([^]]*)\]\)\)`)
	sameColumns   = regexp.MustCompile(`CHECK \(+id = (\w+_id)\)`)
	quoted        = regexp.MustCompile(`'([^']*)'`)
)

func checks(text string) (map[string][]string, [][2]string) {
	allowed := map[string][]string{}
	for _, form := range []*regexp.Regexp{sqliteWords, postgresWords} {
		for _, m := range form.FindAllStringSubmatch(text, -1) {
			for _, word := range quoted.FindAllStringSubmatch(m[2], -1) {
				allowed[m[1]] = append(allowed[m[1]], word[1])
			}
		}
	}
	var same [][2]string
	for _, m := range sameColumns.FindAllStringSubmatch(text, -1) {
		same = append(same, [2]string{"id", m[1]})
	}
	return allowed, same
}
