package consent_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
)

func find(t testing.TB, id string) consent.Rule {
	t.Helper()
	r, err := consent.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// texts turns a list of enum values into plain text.
func texts[T ~string](vs []T) []string {
	out := make([]string, len(vs))
	for i, v := range vs {
		out[i] = string(v)
	}
	return out
}

// enumLists names the list function's answer for every enum of the package.
func enumLists() map[string][]string {
	return map[string][]string{
		"Kind": texts(consent.Kinds()), "Cmp": texts(consent.Cmps()), "Base": texts(consent.Bases()),
		"Level": texts(consent.Levels()), "RevisionBase": texts(consent.RevisionBases()), "Cover": texts(consent.Covers()),
		"Tri": texts(consent.Tris()), "Trigger": texts(consent.Triggers()), "EstimateForm": texts(consent.EstimateForms()),
		"Form": texts(consent.Forms()), "Exemption": texts(consent.Exemptions()), "Basis": texts(consent.BasesOfReading()),
		"Quality": texts(consent.Qualities()), "Duty": texts(consent.Duties()), "Also": texts(consent.Alsos()),
		"LimitKind": texts(consent.LimitKinds()), "WaiverKind": texts(consent.WaiverKinds()), "WaiverOption": texts(consent.WaiverOptions()),
		"Return": texts(consent.Returns()), "RequestBy": texts(consent.RequestBys()), "Exception": texts(consent.Exceptions()),
		"Term": texts(consent.Terms()), "RecordField": texts(consent.RecordFieldsAll()), "Given": texts(consent.Givens()),
		"Verdict": texts(consent.Verdicts()), "Guide": texts(consent.Guides()), "Fate": texts(consent.Fates()), "Customer": texts(consent.Customers()),
	}
}

// declared reads every typed string constant from the source.
func declared(t *testing.T) map[string][]string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no source found (%v)", err)
	}
	out := map[string][]string{}
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok || len(spec.Values) != 1 {
				return true
			}
			typ, typed := spec.Type.(*ast.Ident)
			lit, literal := spec.Values[0].(*ast.BasicLit)
			if typed && literal && lit.Kind == token.STRING {
				text, _ := strconv.Unquote(lit.Value)
				out[typ.Name] = append(out[typ.Name], text)
			}
			return true
		})
	}
	return out
}

func TestEnumListsAreComplete(t *testing.T) {
	t.Parallel()
	if diff := cmp.Diff(declared(t), enumLists()); diff != "" {
		t.Errorf("-declared +listed\n%s", diff)
	}
}

func TestRulesKeepTheirFooting(t *testing.T) {
	t.Parallel()
	for _, r := range jurisdictions(t) {
		if r.VerifiedOn != nil {
			t.Errorf("%s: nobody has verified it yet", r.ID)
		}
		if r.Retrieved != "2026-11-25" || r.Currency == "" || !slices.Contains(r.Also, consent.AlsoNewWork) {
			t.Errorf("%s: retrieved %q, currency %q, also %v", r.ID, r.Retrieved, r.Currency, r.Also)
		}
	}
	warning, err := consent.Warning()
	if err != nil || !strings.Contains(warning, "not legal advice") {
		t.Errorf("warning %q, %v", warning, err)
	}
}

func TestNormalised(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"US-NV", "CA-AB"} {
		if e := find(t, id).Estimate; !e.TriggerUnverified || e.Trigger != consent.TriggerAlways || e.TriggerAsRead == "" {
			t.Errorf("%s: an unverified trigger is not taken strictly: %+v", id, e)
		}
	}
	for _, id := range []string{"US-WI", "US-VA", "US-CO"} {
		if !slices.Contains(find(t, id).Also, consent.AlsoDateSlip) {
			t.Errorf("%s: a date slip needs consent", id)
		}
	}
}

func TestFind(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"", consent.StrictID} {
		if diff := cmp.Diff(consent.Strict(), find(t, id)); diff != "" {
			t.Errorf("%q is not the strict default\n%s", id, diff)
		}
	}
	_, err := consent.Find("US-ZZ")
	wantFault(t, err, fault.Meaning, "consent.rule_unknown")
}

func wantFault(t *testing.T, err error, kind fault.Kind, code string) {
	t.Helper()
	if !fault.Is(err, kind) || !strings.HasPrefix(err.Error(), code) {
		t.Errorf("got %v, want %s", err, code)
	}
}

func TestParseReadsWhatIsStored(t *testing.T) {
	t.Parallel()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all {
		stored, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		back, err := consent.Parse(stored)
		if err != nil {
			t.Errorf("%s: %v", r.ID, err)
		}
		if diff := cmp.Diff(r, back); diff != "" {
			t.Errorf("%s: -before +after\n%s", r.ID, diff)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, id, old, new string
		kind               fault.Kind
		code               string
	}{
		{"unknown field", "US-CA", `"id"`, `"idd"`, fault.Shape, "consent.rule_unreadable"},
		{"wrong type", "US-CA", `"kind":"zero"`, `"kind":7`, fault.Shape, "consent.rule_unreadable"},
		{"unknown kind", "US-CA", `"zero"`, `"nil"`, fault.Meaning, "consent.rule_invalid"},
		{"unknown also", "US-CA", `"new_work"`, `"old_work"`, fault.Meaning, "consent.rule_invalid"},
		{"twice in a list", "US-WI", `"date_slip"`, `"new_work"`, fault.Meaning, "consent.rule_invalid"},
		{"no name", "US-CA", `"California"`, `""`, fault.Meaning, "consent.rule_invalid"},
		{"not read on any day", "US-CA", `"2026-11-25"`, `""`, fault.Meaning, "consent.rule_invalid"},
		{"percentage above all", "US-WA", `"pct_bp":1000`, `"pct_bp":10001`, fault.Meaning, "consent.rule_invalid"},
		{"percentage missing", "US-WA", `"pct_bp":1000`, `"pct_bp":0`, fault.Meaning, "consent.rule_invalid"},
		{"amount nobody uses", "US-WA", `"pct_bp":1000`, `"pct_bp":1000,"abs_minor":1`, fault.Meaning, "consent.rule_invalid"},
		{"negative amount", "US-MA", `"abs_minor":1000`, `"abs_minor":-1`, fault.Meaning, "consent.rule_invalid"},
		{"amount too large", "US-MA", `"abs_minor":1000`, `"abs_minor":100000000000001`, fault.Meaning, "consent.rule_invalid"},
		{"no comparison", "US-WA", `"kind":"pct","cmp":"gt"`, `"kind":"pct"`, fault.Meaning, "consent.rule_invalid"},
		{"bound without comparison", "US-IL", `"min_cmp":"gt"`, `"min_cmp":""`, fault.Meaning, "consent.rule_invalid"},
		{"bands out of order", "US-HI", `"below_estimate_minor":10000,`, ``, fault.Meaning, "consent.rule_invalid"},
		{"band without age", "US-VA", `"min_model_years":25`, `"min_model_years":0`, fault.Meaning, "consent.rule_invalid"},
		{"old machines worse off", "US-VA", `"pct_bp":2000`, `"pct_bp":500`, fault.Meaning, "consent.rule_invalid"},
		{"unverified and lenient", "US-NV", `"trigger":"always"`, `"trigger":"none"`, fault.Meaning, "consent.rule_invalid"},
		{"advisory out of range", "DE", `2500]`, `2500,1]`, fault.Meaning, "consent.rule_invalid"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			stored, err := json.Marshal(find(t, tc.id))
			if err != nil {
				t.Fatal(err)
			}
			bent := strings.Replace(string(stored), tc.old, tc.new, 1)
			if bent == string(stored) {
				t.Fatalf("nothing changed: %s", stored)
			}
			_, err = consent.Parse([]byte(bent))
			wantFault(t, err, tc.kind, tc.code)
		})
	}
	stored, err := json.Marshal(consent.Strict())
	if err != nil {
		t.Fatal(err)
	}
	_, err = consent.Parse(append(stored, "{}"...))
	wantFault(t, err, fault.Shape, "consent.rule_unreadable")
}

func TestCustom(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		in      consent.Params
		ceiling consent.Minor // on 200.00
		wantErr bool
	}{
		{"zero", consent.Params{Kind: consent.KindZero, Cmp: consent.Gt}, 20000, false},
		{"percent", consent.Params{Kind: consent.KindPct, PctBP: 1250, Cmp: consent.Gt}, 22500, false},
		{"percent, from it on", consent.Params{Kind: consent.KindPct, PctBP: 1250, Cmp: consent.Ge}, 22499, false},
		{"absolute", consent.Params{Kind: consent.KindAbs, AbsMinor: 1500, Cmp: consent.Gt, Currency: "EUR"}, 21500, false},
		{"lesser", consent.Params{Kind: consent.KindLesser, PctBP: 1000, AbsMinor: 1500, Cmp: consent.Gt, Currency: "EUR"}, 21500, false},
		{"greater", consent.Params{Kind: consent.KindGreater, PctBP: 1000, AbsMinor: 1500, Cmp: consent.Gt, Currency: "EUR"}, 22000, false},
		{"capped", consent.Params{Kind: consent.KindGreaterCapped, PctBP: 1000, AbsMinor: 1500, CapMinor: 1800, Cmp: consent.Gt, Currency: "EUR"}, 21800, false},
		{"no currency", consent.Params{Kind: consent.KindAbs, AbsMinor: 1500, Cmp: consent.Gt}, 0, true},
		{"a kind of the law", consent.Params{Kind: consent.KindStandard}, 0, true},
		{"no comparison", consent.Params{Kind: consent.KindZero}, 0, true},
		{"percentage too large", consent.Params{Kind: consent.KindPct, PctBP: 10001, Cmp: consent.Gt}, 0, true},
		{"left-over figure", consent.Params{Kind: consent.KindZero, PctBP: 100, Cmp: consent.Gt}, 0, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			r, err := consent.Custom(tc.in)
			if tc.wantErr {
				wantFault(t, err, fault.Meaning, "consent.params_invalid")
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			a := mustDecide(t, r, plain(20000, 20000))
			if a.Ceiling.ExclTax == nil || *a.Ceiling.ExclTax != tc.ceiling {
				t.Errorf("ceiling %v, want %d: %v", a.Ceiling.ExclTax, tc.ceiling, a.Working)
			}
		})
	}
}

// plain is a change without tax.
func plain(estimate, actual consent.Minor) consent.Change {
	return consent.Change{Authorized: consent.Amount{ExclTax: estimate}, Actual: consent.Amount{ExclTax: actual}}
}
