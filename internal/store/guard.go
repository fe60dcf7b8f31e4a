package store

import (
	"errors"
	"fmt"
	"reflect"
	"slices"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
	"gorm.io/gorm/schema"
)

// errGuard marks a statement refused because it could cross shops.
var errGuard = errors.New("store: statement refused: it does not name its shop")

// rawKey marks raw SQL that comes from the registry in statements.go.
const rawKey = "benchtag:statement"

// guard refuses every statement whose condition is not "shop_id = ? AND …" at
// the top, every condition it does not know to be a plain comparison of a
// column with a value, whatever reaches a second table, and every raw
// statement that is not in the registry. It is the tenant wall's second line;
// the first is that all statements are built in this package.
func guard(db *gorm.DB) error {
	for _, hook := range []struct {
		name     string
		register func(string, func(*gorm.DB)) error
		check    func(*gorm.DB)
	}{
		{"query", db.Callback().Query().Before("gorm:query").Register, checkCondition},
		{"update", db.Callback().Update().Before("gorm:update").Register, checkUpdate},
		{"delete", db.Callback().Delete().Before("gorm:delete").Register, checkCondition},
		{"row", db.Callback().Row().Before("gorm:row").Register, checkCondition},
		{"raw", db.Callback().Raw().Before("gorm:raw").Register, checkRaw},
		{"create", db.Callback().Create().Before("gorm:create").Register, checkCreate},
	} {
		if err := hook.register("benchtag:guard_"+hook.name, hook.check); err != nil {
			return fmt.Errorf("store: set the guard: %w", err)
		}
	}
	return nil
}

func refuse(db *gorm.DB, why string) {
	_ = db.AddError(fmt.Errorf("%w (%s on %s)", errGuard, why, db.Statement.Table))
}

func checkRaw(db *gorm.DB) {
	name, _ := db.Get(rawKey)
	if s, ok := name.(statement); !ok || !slices.Contains(registry(), s) {
		refuse(db, "raw SQL outside the registry")
	}
}

// checkCreate refuses inserts of rows without a shop, and inserts that may
// turn into changes.
func checkCreate(db *gorm.DB) {
	if db.Statement.Schema == nil || db.Statement.Schema.LookUpField("shop_id") == nil {
		refuse(db, "insert without a shop column")
		return
	}
	if _, ok := db.Statement.Clauses["ON CONFLICT"]; ok {
		refuse(db, "insert that changes what is there")
		return
	}
	row := db.Statement.ReflectValue
	if row.Kind() != reflect.Struct {
		refuse(db, "insert of something other than one row")
		return
	}
	if _, empty := db.Statement.Schema.LookUpField("shop_id").ValueOf(db.Statement.Context, row); empty {
		refuse(db, "insert without a shop")
	}
}

// checkUpdate holds a change against the condition, and refuses one that
// could move a row to another shop or set a column by an expression.
func checkUpdate(db *gorm.DB) {
	if db.Statement.SQL.Len() > 0 {
		checkRaw(db)
		return
	}
	if reflect.Indirect(reflect.ValueOf(db.Statement.Dest)).Kind() != reflect.Struct {
		refuse(db, "change by something other than a row")
		return
	}
	if !slices.Contains(db.Statement.Omits, "shop_id") {
		refuse(db, "change that may write shop_id")
		return
	}
	checkCondition(db)
}

func checkCondition(db *gorm.DB) {
	if db.Statement.SQL.Len() > 0 {
		checkRaw(db)
		return
	}
	if why := reachesFurther(db.Statement); why != "" {
		refuse(db, why)
		return
	}
	where, ok := db.Statement.Clauses["WHERE"].Expression.(clause.Where)
	if !ok || len(where.Exprs) == 0 {
		refuse(db, "no condition")
		return
	}
	if !namesShop(db.Statement.Schema, where.Exprs[0]) {
		refuse(db, "the first condition is not shop_id")
		return
	}
	for _, e := range where.Exprs[1:] {
		if !plain(db.Statement.Schema, e) {
			refuse(db, "a condition that is not a plain comparison could leave the shop")
			return
		}
	}
}

// reachesFurther says why a statement could read more than one table, or "".
func reachesFurther(s *gorm.Statement) string {
	if len(s.Joins) > 0 || len(s.Preloads) > 0 {
		return "a join or preload reads another table"
	}
	for _, name := range []string{"FROM", "GROUP BY", "WITH", "UNION"} {
		if _, ok := s.Clauses[name]; ok {
			return "the clause " + name + " is not used here"
		}
	}
	if s.Schema == nil || s.TableExpr != nil || s.Table != s.Schema.Table {
		return "the table is not that of a noun"
	}
	for _, name := range s.Selects {
		if name != "*" && s.Schema.FieldsByDBName[name] == nil {
			return "a selected column is an expression"
		}
	}
	if c, ok := s.Clauses["SELECT"]; ok && !countsRows(c) {
		return "a selected column is an expression"
	}
	return ordersPlainly(s)
}

func countsRows(c clause.Clause) bool {
	e, ok := c.Expression.(clause.Expr)
	return ok && e.SQL == "count(*)" && len(e.Vars) == 0
}

func ordersPlainly(s *gorm.Statement) string {
	c, ok := s.Clauses["ORDER BY"]
	if !ok {
		return ""
	}
	by, ok := c.Expression.(clause.OrderBy)
	if !ok || by.Expression != nil {
		return "the order is an expression"
	}
	for _, column := range by.Columns {
		if !plainColumn(s.Schema, column.Column) {
			return "the order is an expression"
		}
	}
	return ""
}

// namesShop reports whether e is exactly shop_id = a non-empty text.
func namesShop(s *schema.Schema, e clause.Expression) bool {
	eq, ok := e.(clause.Eq)
	if !ok || !plainColumn(s, eq.Column) || eq.Column.(clause.Column).Name != "shop_id" {
		return false
	}
	id, ok := eq.Value.(string)
	return ok && id != ""
}

// plain reports whether e only compares columns with values, and holds where
// all its parts do.
func plain(s *schema.Schema, e clause.Expression) bool {
	switch v := e.(type) {
	case clause.Eq:
		return plainColumn(s, v.Column) && plainValue(v.Value)
	case clause.Gt:
		return plainColumn(s, v.Column) && plainValue(v.Value)
	case clause.Lt:
		return plainColumn(s, v.Column) && plainValue(v.Value)
	case clause.IN:
		return plainColumn(s, v.Column) && !slices.ContainsFunc(v.Values, func(value any) bool { return !plainValue(value) })
	case clause.NotConditions:
		return len(v.Exprs) == 1 && plain(s, v.Exprs[0])
	}
	return false
}

// plainColumn reports whether a column is one of the table's, by its name
// alone. (SQLite would take a name that is none for a text.)
func plainColumn(s *schema.Schema, column any) bool {
	c, ok := column.(clause.Column)
	return ok && !c.Raw && c.Table == "" && c.Alias == "" && s.FieldsByDBName[c.Name] != nil
}

// plainValue reports whether a value is bound as one: an expression or a
// subquery would be written into the statement.
func plainValue(value any) bool {
	switch value.(type) {
	case nil, string, bool, int, int64:
		return true
	}
	// Named kinds of bool and number, as nouns have them.
	k := reflect.ValueOf(value).Kind()
	return k == reflect.String || k == reflect.Bool || k == reflect.Int || k == reflect.Int64
}
