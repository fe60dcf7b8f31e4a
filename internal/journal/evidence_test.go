package journal_test

import (
	"strings"
	"testing"

	"benchtag/internal/journal"
)

// TestEvidenceHasOneReading refuses bodies that another reader of JSON could
// take for something else.
func TestEvidenceHasOneReading(t *testing.T) {
	t.Parallel()
	hash := strings.Repeat("ab", 32)
	open := `{"consent_id":"c-1","consent_version":1,"decision":"agreed","document_sha256":"` + hash + `","record_hmac":"` + hash + `"}`
	tests := []struct {
		name, body string
		ok         bool
	}{
		{"sealed", `{"v":2,"open":` + open + `,"sealed":"AA=="}`, true},
		{"plain", `{"v":2,"open":` + open + `,"plain":{"changes":[]}}`, true},
		{"taken back", `{"v":2,"open":` + strings.Replace(open, `"agreed"`, `"agreed","revoked":true`, 1) + `,"sealed":"AA=="}`, true},
		{"nothing shown", `{"v":2,"open":` + strings.Replace(open, `"document_sha256":"`+hash+`",`, ``, 1) + `,"sealed":"AA=="}`, true},
		{"twice open", `{"v":2,"open":` + open + `,"sealed":"AA==","open":` + strings.Replace(open, "agreed", "declined", 1) + `}`, false},
		{"in capitals", `{"v":2,"Open":` + open + `,"sealed":"AA=="}`, false},
		{"a decision in capitals beside it", `{"v":2,"open":` + strings.Replace(open, `{`, `{"Decision":"declined",`, 1) + `,"sealed":"AA=="}`, false},
		{"blanks", `{"v":2, "open":` + open + `,"sealed":"AA=="}`, false},
		{"more inside", `{"v":2,"open":` + strings.Replace(open, `{`, `{"more":1,`, 1) + `,"sealed":"AA=="}`, false},
		{"slack in base64", `{"v":2,"open":` + open + `,"sealed":"AB=="}`, false},
		{"short hash", `{"v":2,"open":` + strings.ReplaceAll(open, hash, hash[2:]) + `,"sealed":"AA=="}`, false},
		{"hash in capitals", `{"v":2,"open":` + strings.ReplaceAll(open, hash, strings.ToUpper(hash)) + `,"sealed":"AA=="}`, false},
		{"no answer", `{"v":2,"open":{},"sealed":"AA=="}`, false},
		{"version 1", `{"changes":[]}`, false},
		{"nothing", ``, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			e, err := journal.ParseEvidence([]byte(tt.body))
			if (err == nil) != tt.ok {
				t.Errorf("read as %+v, %v", e, err)
			}
		})
	}
}
