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
	class, tag := Privacy(t), strings.ToLower(rand.Text()[:8])
	out := map[string]string{}
	for _, noun := range Nouns() {
		table := w.Catalog[noun.TableName()]
		if table.Name == "security_events" {
			continue // an address at which someone tried to sign in: no customer's
		}
		for _, c := range table.Columns {
			name := table.Name + "." + c.Name
			if !TellsOfAPerson(class[name]) {
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
	if len(out) < 25 {
		t.Fatalf("only %d columns tell something of a customer", len(out))
	}
	return out
}
