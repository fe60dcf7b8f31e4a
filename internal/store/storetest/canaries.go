package storetest

import (
	"crypto/rand"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Canaries puts a text of its own into every column of the world's rows that
// tells something of a customer, and gives the texts by "table.column".
// Wherever one turns up, something of that column did.
func (w *World) Canaries(t testing.TB, b *Backend) map[string]string {
	t.Helper()
	out := w.marked(t, b, TellsOfAPerson)
	if len(out) < 25 {
		t.Fatalf("only %d columns tell something of a customer", len(out))
	}
	return out
}

// Secrets does the same in every column of a secret that is a text.
func (w *World) Secrets(t testing.TB, b *Backend) map[string]string {
	t.Helper()
	out := w.marked(t, b, func(class string) bool { return class == "secret" })
	if len(out) < 8 {
		t.Fatalf("only %d columns hold secrets", len(out))
	}
	return out
}

func (w *World) marked(t testing.TB, b *Backend, wanted func(class string) bool) map[string]string {
	t.Helper()
	class, tag := Privacy(t), strings.ToLower(rand.Text()[:8])
	out := map[string]string{}
	for _, noun := range Nouns() {
		table := w.Catalog[noun.TableName()]
		if table.Name == "security_events" {
			continue // an address at which someone tried to sign in: no customer's
		}
		for _, c := range table.Columns {
			name := table.Name + "." + c.Name
			if !wanted(class[name]) || strings.Contains(strings.ToLower(c.Type), "int") {
				continue
			}
			text := fmt.Sprintf("canary-%s-%s-%s", tag, table.Name, strings.ReplaceAll(c.Name, "_", "-"))
			out[name] = text
			var value any = text
			if slices.Contains([]string{"blob", "bytea"}, strings.ToLower(c.Type)) {
				value = []byte(`{"number":1,"words":"` + text + `"}`)
			}
			set := fmt.Sprintf(`UPDATE %s SET "%s" = %s WHERE shop_id = %s AND id = %s`, table.Name, c.Name, mark(b, 1), mark(b, 2), mark(b, 3))
			if _, err := b.Raw.ExecContext(t.Context(), set, value, string(w.Shop), w.IDs[table.Name]); err != nil {
				t.Fatalf("put a canary into %s: %v", name, err)
			}
		}
	}
	return out
}
