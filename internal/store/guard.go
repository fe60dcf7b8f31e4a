package store

import (
	"errors"
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// errGuard marks a statement refused because it could cross shops.
var errGuard = errors.New("store: statement refused: it does not name its shop")

// rawKey marks raw SQL that comes from the registry in statements.go.
const rawKey = "benchtag:statement"

// guard refuses every statement on a shop's table whose condition is not
// "shop_id = ? AND …" at the top, and every raw statement that is not in the
// registry. It is the tenant wall's second line; the first is that all
// statements are built in this package.
func guard(db *gorm.DB) error {
	for _, hook := range []struct {
		name     string
		register func(string, func(*gorm.DB)) error
		check    func(*gorm.DB)
	}{
		{"query", db.Callback().Query().Before("gorm:query").Register, checkCondition},
		{"update", db.Callback().Update().Before("gorm:update").Register, checkCondition},
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
	if _, ok := name.(statement); !ok {
		refuse(db, "raw SQL outside the registry")
	}
}

// checkCreate refuses inserts of rows without a shop.
func checkCreate(db *gorm.DB) {
	if db.Statement.Schema == nil || db.Statement.Schema.LookUpField("shop_id") == nil {
		refuse(db, "insert without a shop column")
	}
}

func checkCondition(db *gorm.DB) {
	if db.Statement.SQL.Len() > 0 {
		checkRaw(db)
		return
	}
	where, ok := db.Statement.Clauses["WHERE"].Expression.(clause.Where)
	if !ok || len(where.Exprs) == 0 {
		refuse(db, "no condition")
		return
	}
	if !namesShop(where.Exprs[0]) {
		refuse(db, "the first condition is not shop_id")
		return
	}
	for _, e := range where.Exprs[1:] {
		if alternative(e) {
			refuse(db, "an alternative could leave the shop")
			return
		}
	}
}

// namesShop reports whether e is exactly shop_id = a non-empty value.
func namesShop(e clause.Expression) bool {
	eq, ok := e.(clause.Eq)
	if !ok {
		return false
	}
	column, ok := eq.Column.(clause.Column)
	if !ok || column.Name != "shop_id" {
		return false
	}
	text := fmt.Sprint(eq.Value)
	return eq.Value != nil && text != ""
}

// alternative reports whether e may make the shop's condition one of several.
func alternative(e clause.Expression) bool {
	switch v := e.(type) {
	case clause.OrConditions:
		return true
	case clause.Expr:
		return true // string-built conditions are not used here
	case clause.AndConditions:
		for _, inner := range v.Exprs {
			if alternative(inner) {
				return true
			}
		}
	}
	return false
}
