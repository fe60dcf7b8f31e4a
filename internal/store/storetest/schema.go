package storetest

import (
	"encoding/csv"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/testkit"
	"benchtag/migrations"
)

// runSchema holds the schema against its golden, the rules that every table
// follows, the nouns and the classes of privacy.
func runSchema(t *testing.T, open Opener) {
	b := open(t)
	catalog := ReadCatalog(t, b)
	t.Run("golden", func(t *testing.T) {
		name := "schema.sqlite.golden"
		if b.Postgres {
			name = "schema.postgres.golden"
		}
		testkit.Golden(t, filepath.Join("..", "..", "migrations", name), []byte(dump(t, b)))
	})
	t.Run("every key starts with the shop", func(t *testing.T) { keysStartWithShop(t, catalog) })
	t.Run("every column has one class", func(t *testing.T) { classes(t, catalog) })
	t.Run("every field has its column", func(t *testing.T) { fieldsMatch(t, catalog) })
	t.Run("every record carries its work order", func(t *testing.T) { carryOrder(t, catalog) })
	t.Run("personal nouns are sealed", func(t *testing.T) { personalSealed(t, catalog) })
}

// dump writes the schema as the database says it, in a fixed order.
func dump(t testing.TB, b *Backend) string {
	t.Helper()
	questions := []string{`SELECT type || ' ' || name, sql FROM sqlite_master
WHERE name NOT LIKE 'sqlite_%' AND tbl_name <> 'goose_db_version' ORDER BY tbl_name, type DESC, name`}
	if b.Postgres {
		questions = []string{
			`SELECT 'column ' || table_name || '.' || column_name, data_type || CASE is_nullable WHEN 'NO' THEN ' not null' ELSE '' END || coalesce(' default ' || column_default, '')
FROM information_schema.columns WHERE table_schema = 'public' AND table_name <> 'goose_db_version' ORDER BY table_name, ordinal_position`,
			`SELECT 'rule ' || conrelid::regclass::text, pg_get_constraintdef(oid) FROM pg_constraint
WHERE connamespace = 'public'::regnamespace AND contype <> 'n' AND conrelid <> 'goose_db_version'::regclass ORDER BY 1, 2`,
			`SELECT 'index ' || indexname, indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename <> 'goose_db_version' ORDER BY 1`,
			`SELECT 'trigger ' || tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal ORDER BY 1, 2`,
			`SELECT 'function ' || proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace ORDER BY 1`,
		}
	}
	var out strings.Builder
	for _, q := range questions {
		rows, err := texts(t.Context(), b.Raw, q)
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) == 0 {
			t.Errorf("nothing answers %s", q)
		}
		for _, r := range rows {
			fmt.Fprintf(&out, "%s: %s\n", r[0], strings.Join(strings.Fields(r[1]), " "))
		}
	}
	return out.String()
}

func keysStartWithShop(t *testing.T, catalog Catalog) {
	for _, name := range catalog.Names() {
		table := catalog[name]
		if name == "shop_slugs" {
			continue
		}
		for _, key := range append([][]string{table.Primary}, table.Uniques...) {
			if len(key) < 2 || key[0] != "shop_id" {
				t.Errorf("%s has the key %v", name, key)
			}
		}
		for _, f := range table.Foreign {
			switch {
			case f.Table == "shop_slugs" && len(f.Columns) == 1 && f.Columns[0] == "shop_id":
			case f.Table != "shop_slugs" && len(f.Columns) > 1 && f.Columns[0] == "shop_id" && f.To[0] == "shop_id":
			default:
				t.Errorf("%s refers to %s by %v", name, f.Table, f.Columns)
			}
		}
	}
}

// carryOrder holds that every record of a job names its work order too, so
// that all papers of one visit are found by one id.
func carryOrder(t *testing.T, catalog Catalog) {
	of := 0
	for _, name := range catalog.Names() {
		job, there := catalog[name].Column("job_id")
		if !there {
			continue
		}
		of++
		// What may belong to no job, like a message, may belong to no visit.
		if order, there := catalog[name].Column("work_order_id"); !there || order.Null && !job.Null {
			t.Errorf("%s belongs to a job and does not say to which work order", name)
		}
	}
	if of < 25 {
		t.Errorf("only %d kinds of record belong to a job", of)
	}
}

// Classes are the classes of privacy that a column may have.
func Classes() []string {
	return []string{"system", "work", "money", "staff", "contact", "personal", "secret"}
}

// TellsOfAPerson reports whether a class is of what tells something of a
// customer: personal, or contact, which is how they are reached.
func TellsOfAPerson(class string) bool { return class == "personal" || class == "contact" }

// Privacy reads the class of every column, by "table.column".
func Privacy(t testing.TB) map[string]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(migrations.Privacy())).ReadAll()
	if err != nil {
		t.Fatalf("read the classes: %v", err)
	}
	class := map[string]string{}
	for _, r := range rows[1:] {
		name := r[0] + "." + r[1]
		if class[name] != "" {
			t.Errorf("%s has two classes", name)
		}
		if !slices.Contains(Classes(), r[2]) {
			t.Errorf("%s has the class %q, which there is not", name, r[2])
		}
		class[name] = r[2]
	}
	return class
}

func classes(t *testing.T, catalog Catalog) {
	class := Privacy(t)
	for _, name := range catalog.Names() {
		for _, c := range catalog[name].Columns {
			if class[name+"."+c.Name] == "" {
				t.Errorf("%s.%s has no class of privacy", name, c.Name)
			}
			delete(class, name+"."+c.Name)
		}
	}
	for name := range class {
		t.Errorf("privacy.csv names %s, which is no column", name)
	}
}

func fieldsMatch(t *testing.T, catalog Catalog) {
	nouns := map[string]bool{}
	for _, noun := range Nouns() {
		name := noun.TableName()
		nouns[name] = true
		var fields, columns []string
		for _, f := range Fields(t, noun) {
			fields = append(fields, f.DBName)
		}
		for _, c := range catalog[name].Columns {
			columns = append(columns, c.Name)
		}
		slices.Sort(fields)
		slices.Sort(columns)
		if diff := cmp.Diff(fields, columns); diff != "" {
			t.Errorf("%s: fields against columns (-field +column):\n%s", name, diff)
		}
	}
	for _, name := range catalog.Names() {
		if _, versioned := catalog[name].Column("version"); versioned != nouns[name] {
			t.Errorf("%s: has versions %v, is a noun %v", name, versioned, nouns[name])
		}
	}
}

// sealedOtherwise are tables with personal columns that no customer's key
// seals, and why.
var sealedOtherwise = map[string]string{
	"security_events": "written under no journal: an address at which someone tried to sign in, kept for the owner alone",
}

// personalSealed proves that every noun which tells something of a customer
// has its journal bodies sealed under that customer's key.
func personalSealed(t *testing.T, catalog Catalog) {
	class := Privacy(t)
	var want []string
	for _, noun := range Nouns() {
		name := noun.TableName()
		personal := slices.ContainsFunc(catalog[name].Columns, func(c Column) bool { return TellsOfAPerson(class[name+"."+c.Name]) })
		if personal && sealedOtherwise[name] == "" {
			want = append(want, name)
		}
	}
	slices.Sort(want)
	got := slices.Sorted(slices.Values(app.PersonalTables()))
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("tables with personal columns against those sealed (-personal +sealed):\n%s", diff)
	}
}

// CompareSchemas proves that two databases have the same tables, columns and
// keys, and that the same columns may be empty.
func CompareSchemas(t *testing.T, one, two Catalog) {
	plain := func(c Catalog) map[string]Table {
		out := map[string]Table{}
		for name, table := range c {
			table.Columns = slices.Clone(table.Columns)
			for i := range table.Columns {
				table.Columns[i].Type = ""
			}
			for _, words := range table.Words {
				slices.Sort(words)
			}
			out[name] = table
		}
		return out
	}
	if diff := cmp.Diff(plain(one), plain(two)); diff != "" {
		t.Errorf("the two schemas differ:\n%s", diff)
	}
}
