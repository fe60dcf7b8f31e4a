// Package migrations carries the SQL of both databases and the privacy class
// of every column. A migration, once landed, is never edited: add the next
// number in both folders, and its columns to privacy.csv.
package migrations

import (
	"embed"
	"io/fs"
)

//go:embed sqlite/*.sql postgres/*.sql
var files embed.FS

//go:embed privacy.csv
var privacy string

// Privacy gives the class of every column as CSV: table, column, class.
func Privacy() string { return privacy }

// SQLite gives the migrations of the embedded database.
func SQLite() (fs.FS, error) { return fs.Sub(files, "sqlite") }

// Postgres gives the migrations of PostgreSQL.
func Postgres() (fs.FS, error) { return fs.Sub(files, "postgres") }
