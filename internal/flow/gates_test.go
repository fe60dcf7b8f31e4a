package flow_test

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/fault"
	"benchtag/internal/flow"
)

func checkConflict(t *testing.T, err error, code string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != fault.Conflict || f.Code != code || f.Message == "" {
		t.Errorf("error = %v, want a Conflict %s", err, code)
	}
}

func TestEachGateAlone(t *testing.T) {
	t.Parallel()
	for _, tt := range gateCases() {
		t.Run(tt.code+"/"+string(tt.move), func(t *testing.T) {
			t.Parallel()
			f := good()
			tt.spoil(&f)
			to, unmet, err := flow.Next(tt.from, tt.move, f)
			if err != nil || to != tt.from {
				t.Fatalf("Next = %s, %v; want to stay in %s", to, err, tt.from)
			}
			if diff := cmp.Diff([]string{tt.code}, codes(unmet)); diff != "" {
				t.Fatalf("gates (-want +got):\n%s", diff)
			}
			if unmet[0].Subject != tt.subject {
				t.Errorf("subject = %q, want %q", unmet[0].Subject, tt.subject)
			}
			for i, meet := range tt.meet {
				g := clone(f)
				meet(&g)
				want, _ := flow.Leads(tt.from, tt.move)
				if to, unmet, err := flow.Next(tt.from, tt.move, g); to != want || err != nil {
					t.Errorf("met in way %d: stays in %s because of %v (%v)", i, to, codes(unmet), err)
				}
			}
		})
	}
}

func TestEveryGateHasACaseAWayOutAndAPlace(t *testing.T) {
	t.Parallel()
	has := map[string]bool{}
	for _, c := range gateCases() {
		if len(c.meet) == 0 {
			t.Errorf("%s: no way to meet it", c.code)
		}
		has[c.code] = true
	}
	if len(flow.Rules()) < 50 {
		t.Fatalf("only %d rules", len(flow.Rules()))
	}
	shape := regexp.MustCompile(`^[a-z_]+\.[a-z_]+$`)
	for _, r := range flow.Rules() {
		if !has[r.Code] {
			t.Errorf("%s: no case in the table", r.Code)
		}
		if !slices.Contains(flow.Places(), r.Where) || !shape.MatchString(r.Code) {
			t.Errorf("%s at %q: not in form", r.Code, r.Where)
		}
		if flow.Safety(r.Code) != r.Safety {
			t.Errorf("%s: Safety disagrees with Rules", r.Code)
		}
	}
	if flow.Safety("no.such") || flow.Safety("hold.active") || !flow.Safety("fastenings.not_watched") {
		t.Error("Safety answers wrongly")
	}
}

func TestEveryGateOfTheTableIsARule(t *testing.T) {
	t.Parallel()
	var known []string
	for _, r := range flow.Rules() {
		if slices.Contains(known, r.Code) {
			t.Errorf("%s listed twice", r.Code)
		}
		known = append(known, r.Code)
	}
	used := map[string]bool{}
	for _, s := range flow.Stages() {
		for _, m := range flow.MovesFrom(s) {
			for _, c := range flow.RulesFor(s, m) {
				used[c] = true
				if !slices.Contains(known, c) {
					t.Errorf("%s x %s raises %s, which is no rule", s, m, c)
				}
			}
		}
	}
	for _, c := range known {
		if !used[c] {
			t.Errorf("%s is never raised", c)
		}
	}
}

func TestSentencesNameTheRow(t *testing.T) {
	t.Parallel()
	for _, tt := range gateCases() {
		f := good()
		tt.spoil(&f)
		_, named, _ := flow.Next(tt.from, tt.move, f)
		if len(named) == 0 {
			t.Fatalf("%s not raised", tt.code)
		}
		if tt.subject != "" && !strings.Contains(named[0].Message, strings.ReplaceAll(tt.subject, "_", " ")) {
			t.Errorf("%s: %q does not name the row", tt.code, named[0].Message)
		}
		if strings.ContainsAny(named[0].Message, "{}") || !strings.HasSuffix(named[0].Message, ".") {
			t.Errorf("%s: %q is no sentence", tt.code, named[0].Message)
		}
	}
}

func TestEverythingMissingAtOnce(t *testing.T) {
	t.Parallel()
	_, unmet, err := flow.Next(flow.Intake, flow.StartDiagnosis, flow.Facts{Hold: flow.Hold{Active: true}})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"hold.active", "intake.customer_missing", "intake.machine_missing", "intake.odometer_missing",
		"intake.complaint_missing", "intake.facts_missing", "diagnosis.not_agreed",
	}
	if diff := cmp.Diff(want, codes(unmet)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
