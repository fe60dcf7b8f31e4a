package layers_test

import (
	"fmt"
	"go/ast"
	"go/token"
	"slices"
	"strings"
	"testing"
)

func TestTraps(t *testing.T) {
	t.Parallel()
	_, files := load(t)
	for _, f := range files {
		if f.test || f.generated {
			continue
		}
		for _, problem := range traps(f) {
			t.Error(problem)
		}
	}
}

// traps lists what no file of the program contains: code that runs at
// import, ways to end the process outside main, and the uses of gorm that
// lose a tenant or make a row that was to be changed.
func traps(f file) (problems []string) {
	usesGorm := slices.ContainsFunc(f.imports(), func(path string) bool { return within(path, "gorm.io/") })
	ast.Inspect(f.syntax, func(node ast.Node) bool {
		why := exitTrap(f, node)
		if why == "" && usesGorm {
			why = gormTrap(node)
		}
		if why != "" {
			problems = append(problems, fmt.Sprintf("%s: %s", f.at(node), why))
		}
		return true
	})
	return problems
}

func exitTrap(f file, node ast.Node) string {
	switch n := node.(type) {
	case *ast.FuncDecl:
		if n.Name.Name == "init" && n.Recv == nil {
			return "init runs at import, whoever imports it: make it a function that main calls"
		}
	case *ast.SelectorExpr:
		ends := isName(n.X, "os") && n.Sel.Name == "Exit" ||
			isName(n.X, "log") && (strings.HasPrefix(n.Sel.Name, "Fatal") || strings.HasPrefix(n.Sel.Name, "Panic"))
		if ends && f.syntax.Name.Name != "main" {
			return "only main ends the process: return an error"
		}
	}
	return ""
}

var gormHooks = []string{
	"BeforeSave", "AfterSave", "BeforeCreate", "AfterCreate", "BeforeUpdate", "AfterUpdate", "BeforeDelete", "AfterDelete", "AfterFind",
}

var gormNames = map[string]string{
	"AutoMigrate":       "the schema changes by migrations only",
	"Unscoped":          "there is no soft delete to see through",
	"AllowGlobalUpdate": "a change without a condition is every shop's rows",
	"DeletedAt":         "nothing is deleted softly: it is struck, with a reason",
}

var gormCalls = map[string]string{
	"Save": "Save inserts when the update finds no row: compare and set, and count the rows",
	"Or":   "a bare Or escapes the tenant's condition: write it inside one Where, in brackets",
}

// gormFinishers take conditions after the value; a string there is raw SQL.
var gormFinishers = []string{"First", "Take", "Last", "Find", "FirstOrInit", "FirstOrCreate", "Delete"}

// gormConditions drop the zero fields of a struct, the shop's id among them.
var gormConditions = []string{"Where", "Not"}

func gormTrap(node ast.Node) string {
	switch n := node.(type) {
	case *ast.FuncDecl:
		if n.Recv != nil && slices.Contains(gormHooks, n.Name.Name) {
			return "hooks change rows out of sight: do it in the function that writes"
		}
	case *ast.SelectorExpr:
		return gormNames[n.Sel.Name]
	case *ast.KeyValueExpr:
		if isName(n.Key, "AllowGlobalUpdate") {
			return gormNames["AllowGlobalUpdate"]
		}
	case *ast.CallExpr:
		return gormCallTrap(n)
	}
	return ""
}

func gormCallTrap(call *ast.CallExpr) string {
	selector, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return ""
	}
	name := selector.Sel.Name
	switch {
	case gormCalls[name] != "":
		return gormCalls[name]
	case slices.Contains(gormFinishers, name) && len(call.Args) > 1:
		return "conditions after the value are raw SQL when they are text: use Where"
	case slices.Contains(gormConditions, name) && len(call.Args) > 0 && isStruct(call.Args[0]):
		return "a struct as condition drops its zero fields: name the columns"
	}
	return ""
}

// isStruct reports whether an expression is a composite literal, of a named
// type, or its address.
func isStruct(expression ast.Expr) bool {
	if unary, ok := expression.(*ast.UnaryExpr); ok && unary.Op == token.AND {
		expression = unary.X
	}
	literal, ok := expression.(*ast.CompositeLit)
	if !ok {
		return false
	}
	switch typ := literal.Type.(type) {
	case *ast.Ident:
		return true
	case *ast.SelectorExpr:
		return !isName(typ.X, "clause") // gorm's own conditions say what they mean
	}
	return false
}

// TestTrapsAreSeen proves that each trap is found.
func TestTrapsAreSeen(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name, code string
		found      int
	}{
		{"init", `func init() {}`, 1},
		{"a method called init", `func (r row) init() {}`, 0},
		{"exit", `func f() { os.Exit(1) }`, 1},
		{"fatal", `func f() { log.Fatalf("x") }`, 1},
		{"save", `func f() { tx.Save(&r) }`, 1},
		{"automigrate", `func f() { db.AutoMigrate(&r) }`, 1},
		{"unscoped", `func f() { db.Unscoped().Find(&r) }`, 1},
		{"global update", `func f() { db.Session(&gorm.Session{AllowGlobalUpdate: true}) }`, 1},
		{"soft delete", `type r struct { Gone gorm.DeletedAt }`, 1},
		{"hook", `func (r *row) BeforeSave(tx *gorm.DB) error { return nil }`, 1},
		{"a function called like a hook", `func AfterFind() {}`, 0},
		{"bare or", `func f() { tx.Where("a = ?", 1).Or("b = ?", 2) }`, 1},
		{"raw first", `func f() { tx.First(&r, "id = 1") }`, 1},
		{"raw first from a variable", `func f() { tx.First(&r, text) }`, 1},
		{"take", `func f() { tx.Where("id = ?", id).Take(&r) }`, 0},
		{"struct condition", `func f() { tx.Where(&row{ID: id}).Take(&r) }`, 1},
		{"struct condition by value", `func f() { tx.Not(row{ID: id}).Take(&r) }`, 1},
		{"clause condition", `func f() { tx.Where(clause.Eq{Column: "id", Value: id}).Take(&r) }`, 0},
		{"map condition", `func f() { tx.Where(map[string]any{"id": id}).Take(&r) }`, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			f, err := parseText("internal/store/a.go", []byte("package store\nimport \"gorm.io/gorm\"\n"+tt.code+"\n"))
			if err != nil {
				t.Fatal(err)
			}
			if problems := traps(f); len(problems) != tt.found {
				t.Errorf("found %q, want %d", problems, tt.found)
			}
		})
	}
}
