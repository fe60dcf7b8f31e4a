// Package discreet writes what goes into the log without anything that came
// from people: errors lose the values that drivers and decoders quote, and
// whatever is neither an error nor a plain value is named by its type alone.
// It stands at the door of the log, so that no place that logs can forget it.
// What is a text at the place that logs is that place's own choice.
package discreet

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

// Attr is a slog.HandlerOptions.ReplaceAttr: errors are written by Words,
// other values that are not plain as the name of their type.
func Attr(_ []string, a slog.Attr) slog.Attr {
	if a.Value.Kind() != slog.KindAny {
		return a
	}
	switch v := a.Value.Any().(type) {
	case nil, slog.Level, *slog.Source, []string:
	case error:
		a.Value = slog.StringValue(Words(v))
	default:
		a.Value = slog.StringValue(fmt.Sprintf("[%T]", v))
	}
	return a
}

// Words gives the text of an error without the values in it. What is known to
// quote values is named instead, wherever it stands in the chain.
func Words(err error) string {
	text := err.Error()
	for _, e := range chain(err) {
		if plain, quotes := named(e); quotes {
			text = strings.ReplaceAll(text, e.Error(), plain)
		}
	}
	for _, q := range quoting() {
		text = q.at.ReplaceAllString(text, q.by)
	}
	return text
}

// chain lists an error and all that it wraps, outermost first.
func chain(err error) []error {
	all := []error{err}
	switch e := err.(type) {
	case interface{ Unwrap() error }:
		if inner := e.Unwrap(); inner != nil {
			all = append(all, chain(inner)...)
		}
	case interface{ Unwrap() []error }:
		for _, inner := range e.Unwrap() {
			if inner != nil {
				all = append(all, chain(inner)...)
			}
		}
	}
	return all
}

// named gives, for an error whose own text can quote a value, one that does
// not.
func named(err error) (plain string, quotes bool) {
	switch e := err.(type) {
	case *pgconn.PgError:
		return pgWords(e)
	case *url.Error:
		return e.Op + " (address left out): " + Words(e.Err), true
	case *time.ParseError:
		return "a time that cannot be read", true
	case *strconv.NumError:
		return "strconv." + e.Func + ": " + Words(e.Err), true
	case *json.UnmarshalTypeError:
		return fmt.Sprintf("json: a value that is no %v, in %s", e.Type, e.Field), true
	}
	return "", false
}

// pgWords names an error of PostgreSQL by its code and place. In the classes
// 22 (data) and 23 (constraints) its message can quote what was to be stored
// (PostgreSQL documentation, appendix A, for the classes); details are never
// written by the driver.
func pgWords(e *pgconn.PgError) (string, bool) {
	if !strings.HasPrefix(e.Code, "22") && !strings.HasPrefix(e.Code, "23") {
		return "", false
	}
	words := "PostgreSQL refused a value (SQLSTATE " + e.Code
	for _, part := range [][2]string{{"table", e.TableName}, {"column", e.ColumnName}, {"constraint", e.ConstraintName}} {
		if part[1] != "" {
			words += ", " + part[0] + " " + part[1]
		}
	}
	return words + ")", true
}

// quote finds a value quoted in the text of an error that has no type of its
// own.
type quote struct {
	at *regexp.Regexp
	by string
}

// quoting lists the texts of database/sql, gorm and pgx that quote a value.
// Each takes in everything to where it is sure to have ended.
func quoting() []quote {
	return []quote{
		{regexp.MustCompile(`(?s)(sql: Scan error on column index \d+, name "[^"]*"): .*`), "$1: a value of another kind"},
		{regexp.MustCompile(`(?s)(can't scan into dest\[\d+\](?: \(col: [^)]*\))?): .*`), "$1: a value of another kind"},
		{regexp.MustCompile(`(?s)failed to set value .* to field`), "failed to set a value to field"},
		{regexp.MustCompile(`(?s)unable to encode .* into`), "unable to encode a value into"},
		{regexp.MustCompile(`(?s)cannot convert .* to`), "cannot convert a value to"},
	}
}
