package app_test

import (
	"slices"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/store/storetest"
)

// TestEveryTableIsJournaledOrNamed makes whoever adds a table say whether the
// check of a shop answers for it.
func TestEveryTableIsJournaledOrNamed(t *testing.T) {
	t.Parallel()
	without := []string{"outbox", "refresh_tokens", "security_events", "sessions", "sign_in_counters", "sign_ons", "tablets"}
	for _, n := range app.JournaledNouns() {
		if slices.Contains(without, n.TableName()) {
			t.Errorf("%s is in both lists", n.TableName())
		}
		without = append(without, n.TableName())
	}
	for _, n := range storetest.Nouns() {
		if !slices.Contains(without, n.TableName()) {
			t.Errorf("%s: is every change of it journaled? Put it into JournaledNouns, or into this list and the words of the report", n.TableName())
		}
	}
	seen := map[string]bool{}
	for _, k := range app.AuditKinds() {
		if k == "" || seen[k] {
			t.Errorf("kind %q twice, or empty", k)
		}
		seen[k] = true
	}
}
