package store_test

import (
	"context"
	"errors"
	"testing"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

var (
	shopColumn = clause.Column{Name: "shop_id"}
	nameColumn = clause.Column{Name: "name"}
)

func ofShop(more ...clause.Expression) clause.Where {
	first := clause.Eq{Column: shopColumn, Value: string(storetest.ShopOf(1))}
	return clause.Where{Exprs: append([]clause.Expression{first}, more...)}
}

// badQueries leave the shop, or could.
var badQueries = []struct {
	name string
	run  func(*gorm.DB) *gorm.DB
}{
	{"no condition", func(db *gorm.DB) *gorm.DB { return db.Find(&[]shop.Bay{}) }},
	{"first without a condition", func(db *gorm.DB) *gorm.DB { return db.First(&shop.Bay{}) }},
	{"a struct condition drops an empty shop", func(db *gorm.DB) *gorm.DB {
		return db.Where(&shop.Bay{Name: "x"}).Find(&[]shop.Bay{})
	}},
	{"a struct condition, shop and all", func(db *gorm.DB) *gorm.DB {
		return db.Where(&shop.Bay{Row: shop.Row{ShopID: storetest.ShopOf(1)}}).Find(&[]shop.Bay{})
	}},
	{"a map condition without the shop", func(db *gorm.DB) *gorm.DB {
		return db.Where(map[string]any{"name": "x"}).Find(&[]shop.Bay{})
	}},
	{"a text condition", func(db *gorm.DB) *gorm.DB {
		return db.Where("shop_id = ?", string(storetest.ShopOf(1))).Find(&[]shop.Bay{})
	}},
	{"a text condition after the shop", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Where("1=1 or name = ?", "x").Find(&[]shop.Bay{})
	}},
	{"a text condition with names", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Where("name = @n or 1=1", map[string]any{"n": "x"}).Find(&[]shop.Bay{})
	}},
	{"an alternative", func(db *gorm.DB) *gorm.DB { return db.Clauses(ofShop()).Or("1=1").Find(&[]shop.Bay{}) }},
	{"an alternative by clause", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.Or(clause.Eq{Column: nameColumn, Value: "x"}))).Find(&[]shop.Bay{})
	}},
	{"an alternative in brackets", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.And(clause.Or(clause.Eq{Column: nameColumn, Value: "x"})))).Find(&[]shop.Bay{})
	}},
	{"the shop in one of two brackets", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Or(ofShop().Exprs[0], clause.Eq{Column: nameColumn, Value: "x"})}}).Find(&[]shop.Bay{})
	}},
	{"the shop second", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Eq{Column: nameColumn, Value: "x"}, ofShop().Exprs[0]}}).Find(&[]shop.Bay{})
	}},
	{"an empty shop", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Eq{Column: shopColumn, Value: ""}}}).Find(&[]shop.Bay{})
	}},
	{"no shop", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Eq{Column: shopColumn, Value: nil}}}).Find(&[]shop.Bay{})
	}},
	{"any of several shops", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Eq{Column: shopColumn, Value: []string{"a", "b"}}}}).Find(&[]shop.Bay{})
	}},
	{"the shop is itself", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Eq{Column: shopColumn, Value: gorm.Expr("shop_id")}}}).Find(&[]shop.Bay{})
	}},
	{"another table's shop", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Eq{Column: clause.Column{Table: "staff", Name: "shop_id"}, Value: string(storetest.ShopOf(1))}}}).Find(&[]shop.Bay{})
	}},
	{"not the shop", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.Where{Exprs: []clause.Expression{clause.Neq{Column: shopColumn, Value: string(storetest.ShopOf(1))}}}).Find(&[]shop.Bay{})
	}},
	{"a raw column", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.Eq{Column: clause.Column{Name: "1=1 or name", Raw: true}, Value: "x"})).Find(&[]shop.Bay{})
	}},
	{"a column that is none", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.Eq{Column: clause.Column{Name: "no_such"}, Value: "x"})).Find(&[]shop.Bay{})
	}},
	{"a value that is an expression", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.Eq{Column: nameColumn, Value: gorm.Expr("name or 1=1")})).Find(&[]shop.Bay{})
	}},
	{"a value that is a subquery", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.Eq{Column: nameColumn, Value: db.Model(&shop.Staff{}).Select("name")})).Find(&[]shop.Bay{})
	}},
	{"an expression among values", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(clause.IN{Column: nameColumn, Values: []any{"x", gorm.Expr("name")}})).Find(&[]shop.Bay{})
	}},
	{"an injected first", func(db *gorm.DB) *gorm.DB { return db.First(&shop.Bay{}, "2 or 1=1") }},
	{"an injected first after the shop", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).First(&shop.Bay{}, "2 or 1=1")
	}},
	{"raw reading", func(db *gorm.DB) *gorm.DB { return db.Raw("SELECT * FROM bays").Scan(&[]shop.Bay{}) }},
	{"raw writing", func(db *gorm.DB) *gorm.DB { return db.Exec("DELETE FROM bays") }},
	{"raw under a false name", func(db *gorm.DB) *gorm.DB {
		return db.Set("benchtag:statement", "SELECT 1").Exec("DELETE FROM bays")
	}},
	{"raw rows", func(db *gorm.DB) *gorm.DB {
		out := db.Raw("SELECT * FROM bays")
		rows, err := out.Rows()
		if err == nil {
			err = errors.Join(rows.Err(), rows.Close())
		}
		out.Error = err
		return out
	}},
	{"a table without a noun", func(db *gorm.DB) *gorm.DB { return db.Table("shop_slugs").Find(&[]map[string]any{}) }},
	{"another table than the noun's", func(db *gorm.DB) *gorm.DB {
		return db.Table("staff").Clauses(ofShop()).Find(&[]shop.Bay{})
	}},
	{"two tables", func(db *gorm.DB) *gorm.DB {
		return db.Table("bays, staff").Clauses(ofShop()).Find(&[]shop.Bay{})
	}},
	{"a join", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Joins("JOIN staff ON 1=1").Find(&[]shop.Bay{})
	}},
	{"a from of one's own", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop(), clause.From{Tables: []clause.Table{{Name: "staff"}}}).Find(&[]shop.Bay{})
	}},
	{"a selected subquery", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Select("(SELECT name FROM staff)").Find(&[]shop.Bay{})
	}},
	{"an order that is an expression", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Order("(SELECT name FROM staff)").Find(&[]shop.Bay{})
	}},
	{"groups", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Group("name").Having("1=1").Find(&[]shop.Bay{})
	}},
	{"a count of all", func(db *gorm.DB) *gorm.DB { var n int64; return db.Model(&shop.Bay{}).Count(&n) }},
	{"a plucked column of all", func(db *gorm.DB) *gorm.DB { return db.Model(&shop.Bay{}).Pluck("name", &[]string{}) }},
	{"an update of all", func(db *gorm.DB) *gorm.DB {
		return db.Session(&gorm.Session{AllowGlobalUpdate: true}).Model(&shop.Bay{}).Updates(shop.Bay{Name: "x"})
	}},
	{"an update by the row's own keys", func(db *gorm.DB) *gorm.DB {
		return db.Omit("shop_id").Updates(&shop.Bay{Row: shop.Row{ShopID: storetest.ShopOf(1)}, ID: "x", Name: "x"})
	}},
	{"an update that may move a row", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(ofShop()).Updates(&shop.Bay{Name: "x"})
	}},
	{"an update by a map", func(db *gorm.DB) *gorm.DB {
		return db.Model(&shop.Bay{}).Clauses(ofShop()).Omit("shop_id").Updates(map[string]any{"name": gorm.Expr("(SELECT name FROM staff)")})
	}},
	{"a save", func(db *gorm.DB) *gorm.DB {
		return db.Save(&shop.Bay{Row: shop.Row{ShopID: storetest.ShopOf(1)}, ID: shop.BayID(storetest.ShopOf(9))})
	}},
	{"a delete of all", func(db *gorm.DB) *gorm.DB {
		return db.Session(&gorm.Session{AllowGlobalUpdate: true}).Delete(&shop.Bay{})
	}},
	{"a delete by the row's own keys", func(db *gorm.DB) *gorm.DB {
		return db.Delete(&shop.Bay{Row: shop.Row{ShopID: storetest.ShopOf(1)}, ID: "x"})
	}},
	{"a row of no shop", func(db *gorm.DB) *gorm.DB { return db.Create(&shop.Bay{ID: "x"}) }},
	{"rows at once", func(db *gorm.DB) *gorm.DB {
		return db.Create(&[]shop.Bay{{Row: shop.Row{ShopID: storetest.ShopOf(1)}}, {}})
	}},
	{"a row that overwrites", func(db *gorm.DB) *gorm.DB {
		return db.Clauses(clause.OnConflict{UpdateAll: true}).Create(&shop.Bay{Row: shop.Row{ShopID: storetest.ShopOf(1)}})
	}},
	{"a row without a noun", func(db *gorm.DB) *gorm.DB {
		return db.Table("shop_slugs").Create(map[string]any{"slug": "x", "shop_id": "y"})
	}},
}

func TestGuardRefuses(t *testing.T) {
	t.Parallel()
	if len(badQueries) < 20 {
		t.Fatalf("%d bad queries", len(badQueries))
	}
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		for _, tt := range badQueries {
			t.Run(tt.name, func(t *testing.T) {
				err := tt.run(b.Store.DB(true).WithContext(t.Context())).Error
				if !errors.Is(err, store.ErrGuard()) {
					t.Errorf("got %v, want a refusal by the guard", err)
				}
			})
		}
	})
}

// TestGuardLetsPass proves that what the store itself does is not refused.
func TestGuardLetsPass(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		mine := storetest.NewShop(t, b, 1)
		row := &shop.Bay{ID: shop.BayID(storetest.ShopOf(9)), Name: "x"}
		for name, fn := range map[string]func(app.Tx) error{
			"all in a row": func(tx app.Tx) error {
				return errors.Join(tx.Insert(row), tx.Load(&shop.Bay{}, string(row.ID)), tx.Advance(row),
					tx.List(&[]shop.Bay{}, app.By{"name": app.Not{"y"}, "retired": false, "version": 2}, app.Page{After: row.Key(), Newest: true}),
					tx.Remove(row))
			},
		} {
			t.Run(name, func(t *testing.T) {
				err := b.Store.Write(t.Context(), mine, func(_ context.Context, tx app.Tx) error { return fn(tx) })
				if err != nil {
					t.Error(err)
				}
			})
		}
		var n int64
		if err := b.Store.DB(false).Model(&shop.Bay{}).Clauses(ofShop()).Count(&n).Error; err != nil {
			t.Error(err)
		}
	})
}

// eachBackend runs a test on both databases.
func eachBackend(t *testing.T, run func(*testing.T, *storetest.Backend)) {
	t.Run("sqlite", func(t *testing.T) { run(t, sqlite(t)) })
	t.Run("postgres", func(t *testing.T) { run(t, postgres(t)) })
}
