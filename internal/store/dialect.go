package store

import (
	"errors"
	"fmt"
	"strconv"

	"gorm.io/gorm"
	"gorm.io/gorm/callbacks"
	"gorm.io/gorm/clause"
	"gorm.io/gorm/logger"
	"gorm.io/gorm/migrator"
	"gorm.io/gorm/schema"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// sqliteDialect teaches gorm the embedded database over an open connection.
// The schema comes from the migrations alone, so it knows no column types.
type sqliteDialect struct{ conn gorm.ConnPool }

// Name is what gorm calls the database.
func (sqliteDialect) Name() string { return "sqlite" }

// Initialize sets the connection and the clauses SQLite understands.
func (d sqliteDialect) Initialize(db *gorm.DB) error {
	db.ConnPool = d.conn
	callbacks.RegisterDefaultCallbacks(db, &callbacks.Config{
		CreateClauses: []string{"INSERT", "VALUES", "ON CONFLICT"},
		UpdateClauses: []string{"UPDATE", "SET", "FROM", "WHERE"},
		DeleteClauses: []string{"DELETE", "FROM", "WHERE"},
	})
	// SQLite has one writer, so there is no row to lock.
	db.ClauseBuilders["FOR"] = func(clause.Clause, clause.Builder) {}
	return nil
}

// Migrator is never used: goose migrates.
func (d sqliteDialect) Migrator(db *gorm.DB) gorm.Migrator {
	return migrator.Migrator{Config: migrator.Config{DB: db, Dialector: d}}
}

// DataTypeOf is never used: goose migrates.
func (sqliteDialect) DataTypeOf(*schema.Field) string { return "text" }

// DefaultValueOf is what an unset column gets.
func (sqliteDialect) DefaultValueOf(*schema.Field) clause.Expression {
	return clause.Expr{SQL: "NULL"}
}

// BindVarTo writes a placeholder.
func (sqliteDialect) BindVarTo(writer clause.Writer, _ *gorm.Statement, _ any) {
	_ = writer.WriteByte('?')
}

// QuoteTo quotes a name, dots apart.
func (sqliteDialect) QuoteTo(writer clause.Writer, name string) {
	_ = writer.WriteByte('"')
	for i := 0; i < len(name); i++ {
		switch name[i] {
		case '"':
			_, _ = writer.WriteString(`""`)
		case '.':
			_, _ = writer.WriteString(`"."`)
		default:
			_ = writer.WriteByte(name[i])
		}
	}
	_ = writer.WriteByte('"')
}

// Explain is for logs; values stay out of them.
func (sqliteDialect) Explain(sql string, vars ...any) string {
	return sql + " [" + strconv.Itoa(len(vars)) + " values]"
}

// Translate names constraint failures as gorm does, keeping the cause.
func (sqliteDialect) Translate(err error) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() {
	case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY:
		return fmt.Errorf("%w: %w", gorm.ErrDuplicatedKey, err)
	case sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
		return fmt.Errorf("%w: %w", gorm.ErrForeignKeyViolated, err)
	case sqlite3.SQLITE_CONSTRAINT_CHECK, sqlite3.SQLITE_CONSTRAINT_NOTNULL:
		return fmt.Errorf("%w: %w", gorm.ErrCheckConstraintViolated, err)
	}
	return err
}

var _ gorm.Dialector = sqliteDialect{}
var _ gorm.ErrorTranslator = sqliteDialect{}
var _ logger.Interface = logger.Discard
