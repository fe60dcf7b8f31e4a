package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
)

// firstToSee says of every column that tells something of a customer who of
// the shop's people comes to see it by any read, and why it is not only those
// who stand at the counter: "technician" is everybody, "advisor" the counter,
// "nobody" no read at all.
var firstToSee = map[string]struct{ who, why string }{
	"bills.document":                 {"nobody", "issued bytes, of which a client is given the sums and an export everything"},
	"bills.terms_note":               {"advisor", ""},
	"complaints.words":               {"technician", "what is to be looked for"},
	"consent_endings.contact_used":   {"advisor", ""},
	"consent_endings.identified_how": {"advisor", ""},
	"consent_endings.reason":         {"advisor", ""},
	"consent_endings.relation":       {"advisor", ""},
	"consent_endings.said_back":      {"advisor", ""},
	"consent_endings.typed_name":     {"advisor", ""},
	"consents.contact_used":          {"advisor", ""},
	"consents.copy_to":               {"advisor", ""},
	"consents.identified_how":        {"advisor", ""},
	"consents.ip":                    {"advisor", ""},
	"consents.note":                  {"technician", "what was agreed to may stand in it"},
	"consents.read_out":              {"advisor", ""},
	"consents.relation":              {"advisor", ""},
	"consents.said_back":             {"technician", "what was agreed to, in the customer's words"},
	"consents.typed_name":            {"advisor", ""},
	"consents.user_agent":            {"advisor", ""},
	"customer_questions.answer":      {"advisor", ""},
	"customer_questions.call_when":   {"advisor", ""},
	"customer_questions.ip":          {"nobody", "kept to show where a question came from, if it comes to that"},
	"customer_questions.words":       {"advisor", ""},
	"customers.address":              {"advisor", ""},
	"customers.email":                {"advisor", ""},
	"customers.name":                 {"technician", "whose machine it is"},
	"customers.note":                 {"advisor", ""},
	"customers.phone":                {"advisor", ""},
	"customers.phone_e164":           {"nobody", "only searched by"},
	"findings.danger_witness":        {"technician", "recorded at the bench"},
	"hand_overs.handed_to":           {"technician", "whoever hands over records it"},
	"holds.note":                     {"technician", "why nobody may go on"},
	"legal_holds.lifted_reason":      {"advisor", ""},
	"legal_holds.reason":             {"advisor", ""},
	"machines.frame_number":          {"technician", "the machine on the stand"},
	"machines.note":                  {"technician", "the machine on the stand"},
	"machines.plate":                 {"technician", "the machine on the stand"},
	"machines.vin":                   {"technician", "the machine on the stand"},
	"offers.document":                {"technician", "what was asked: no name and no address is in it"},
	"payments.note":                  {"advisor", ""},
	"photos.file_name":               {"technician", "sent by the bench"},
	"withdrawals.asked_by":           {"technician", "why the job ended"},
	"withdrawals.reason":             {"technician", "why the job ended"},
	"work_orders.note":               {"technician", "what to mind with this visit"},
}

// rank orders who sees: each sees what those before do.
var rank = []string{"technician", "advisor", "owner", "nobody"}

// TestWhoSeesPersonalColumns reads every address as each role, with a text of
// its own in every column that tells something of a customer, and holds what
// each role came to see against the table above: a column that a role begins
// to see, or no longer sees, must be decided there.
func TestWhoSeesPersonalColumns(t *testing.T) { t.Parallel(); onEach(t, whoSeesPersonalColumns) }

func whoSeesPersonalColumns(t *testing.T, r *rig) {
	canaries := r.mine.Canaries(t, r.backend)
	saw := map[string]map[string][]string{} // role, column, by which reads
	for role := range roles {
		saw[role] = map[string][]string{}
		for operation, body := range r.allReads(t, role) {
			for column, canary := range canaries {
				if strings.Contains(body, canary) {
					saw[role][column] = append(saw[role][column], operation)
				}
			}
		}
	}
	for column := range canaries {
		first := slices.Index(rank, firstToSee[column].who)
		if first < 0 {
			t.Errorf("nobody decided who sees %s", column)
		}
		for role := range roles {
			may := slices.Index(rank, role) >= first
			if by := saw[role][column]; (len(by) > 0) != may {
				t.Errorf("%s sees %s by %v; the table says %v", role, column, by, may)
			}
		}
	}
	for column, to := range firstToSee {
		if canaries[column] == "" || to.who != "advisor" && to.why == "" {
			t.Errorf("the line of %s is of no column, or gives no reason", column)
		}
	}
}

// allReads asks for everything that can be read and gives the answers by
// operation.
func (r *rig) allReads(t *testing.T, role string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, route := range r.Routes() {
		if route.Method != http.MethodGet {
			continue
		}
		ids := idsOf(route, r.mine)
		if strings.HasSuffix(route.Path, "/search") {
			ids = map[string]string{}
			route.Path += "?q=canary"
		}
		if got := r.get(t, route, role, ids); got.status == http.StatusOK {
			out[route.Operation] = string(got.body)
		}
	}
	if len(out) < 50 {
		t.Fatalf("only %d reads gave something", len(out))
	}
	return out
}
