package discreet_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"
	"pgregory.net/rapid"

	"benchtag/internal/discreet"
	"benchtag/internal/shop"
)

// quoters make the errors that are known to quote a value, from a value.
func quoters() map[string]func(value string) error {
	return map[string]func(string) error{
		"a value PostgreSQL cannot read": func(v string) error {
			return &pgconn.PgError{Severity: "ERROR", Code: "22P02", Message: "invalid input syntax for type uuid: \"" + v + "\"", Detail: v, Hint: v, Where: v}
		},
		"a key that is taken": func(v string) error {
			return &pgconn.PgError{Severity: "ERROR", Code: "23505", Message: "duplicate key", Detail: "Key (login)=(" + v + ") already exists.", ConstraintName: "staff_login", TableName: "staff"}
		},
		"a time":           func(v string) error { _, err := time.Parse(time.RFC3339, v); return err },
		"a number":         func(v string) error { _, err := strconv.ParseInt(v, 10, 64); return err },
		"a number in JSON": func(v string) error { return json.Unmarshal([]byte("{\"a\":"+digits(v)+"}"), &struct{ A int8 }{}) },
		"an address": func(v string) error {
			return &url.Error{Op: "Post", URL: "https://hooks.example/" + v, Err: errors.New("no route")}
		},
		"a column's value": func(v string) error {
			return fmt.Errorf("sql: Scan error on column index 3, name \"number\": %w", fmt.Errorf("converting driver.Value type string (%q) to a int64: invalid syntax", v))
		},
		"a driver's value": func(v string) error { return fmt.Errorf("can't scan into dest[3] (col: number): cannot parse %q", v) },
		"a field's value":  func(v string) error { return fmt.Errorf("failed to set value %#v to field Number", v) },
		"an argument": func(v string) error {
			return fmt.Errorf("failed to encode args[3]: unable to encode %#v into binary format for int4 (OID 23)", v)
		},
		"a converted value": func(v string) error { return fmt.Errorf("cannot convert %v to Int4", v) },
	}
}

// digits makes a number of a text, to be found again in an error.
func digits(v string) string {
	out := "77"
	for _, b := range []byte(v) {
		out += strconv.Itoa(int(b) % 10)
	}
	return out
}

// TestNoValueIsWritten wraps every error that quotes a value in every way,
// and writes it by the log that serves: the value is not there, and where the
// trouble is, is.
func TestNoValueIsWritten(t *testing.T) {
	t.Parallel()
	for name, quoter := range quoters() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(rt *rapid.T) {
				value := "Canary " + rapid.StringMatching(`[a-z0-9 :/"\n()]{0,20}`).Draw(rt, "value") + " bird"
				inner := quoter(value)
				wrapped := rapid.SampledFrom([]error{inner, fmt.Errorf("store: %w", inner), fmt.Errorf("app: a job: %w", fmt.Errorf("store: %w: %w", gorm.ErrInvalidData, inner)),
					errors.Join(errors.New("one"), inner)}).Draw(rt, "wrapped")
				var out bytes.Buffer
				for _, h := range []slog.Handler{slog.NewTextHandler(&out, &slog.HandlerOptions{ReplaceAttr: discreet.Attr}),
					slog.NewJSONHandler(&out, &slog.HandlerOptions{ReplaceAttr: discreet.Attr})} {
					slog.New(h).With("before", wrapped).WithGroup("g").Error("failed", "cause", wrapped, slog.Group("more", slog.Any("cause", wrapped)))
				}
				for _, part := range []string{"Canary", "bird", digits(value)} {
					if strings.Contains(out.String(), part) {
						rt.Fatalf("%q is in %s", part, out.String())
					}
				}
				if !strings.Contains(out.String(), "level=ERROR") || !strings.Contains(out.String(), `"level":"ERROR"`) {
					rt.Fatalf("the level is lost: %s", out.String())
				}
			})
		})
	}
}

// TestWordsSayWhere keeps what helps whoever reads the log.
func TestWordsSayWhere(t *testing.T) {
	t.Parallel()
	tests := []struct {
		err  error
		want string
	}{
		{fmt.Errorf("store: %w", sql.ErrNoRows), "store: sql: no rows in result set"},
		{fmt.Errorf("store: %w", quoters()["a key that is taken"]("x")), "store: PostgreSQL refused a value (SQLSTATE 23505, table staff, constraint staff_login)"},
		{&pgconn.PgError{Severity: "ERROR", Code: "42501", Message: "permission denied for table staff"}, "ERROR: permission denied for table staff (SQLSTATE 42501)"},
		{fmt.Errorf("call: %w", quoters()["an address"]("x")), "call: Post (address left out): no route"},
		{quoters()["a column's value"]("x"), `sql: Scan error on column index 3, name "number": a value of another kind`},
		{quoters()["a number"]("x"), "strconv.ParseInt: invalid syntax"},
	}
	for _, tt := range tests {
		if got := discreet.Words(tt.err); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

// TestValuesAreNamedByType holds that a noun in the log is its type and no
// more, and that plain values stay.
func TestValuesAreNamedByType(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	log := slog.New(slog.NewJSONHandler(&out, &slog.HandlerOptions{ReplaceAttr: discreet.Attr}))
	log.Info("said", "customer", shop.Customer{Name: "Canary"}, "at", &shop.Staff{PasswordHash: "Canary"}, "map", map[string]string{"a": "Canary"},
		"ids", []string{"one"}, "n", 3, "took", time.Second)
	text := out.String()
	for _, want := range []string{`"customer":"[shop.Customer]"`, `"at":"[*shop.Staff]"`, `"map":"[map[string]string]"`, `"ids":["one"]`, `"n":3`, `"took":1000000000`} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not in %s", want, text)
		}
	}
	if strings.Contains(text, "Canary") {
		t.Error(text)
	}
}
