package reckon_test

import (
	"encoding/json"
	"strings"
	"testing"

	"benchtag/internal/reckon"
)

// Every rule of the list can be shown and asked, and every answer carries its
// source and its caution.
func TestConsentRulesCanAllBeAsked(t *testing.T) {
	t.Parallel()
	list, err := reckon.Run("consent", []byte(`{"call":"rules"}`))
	if err != nil {
		t.Fatal(err)
	}
	var value struct {
		Rules []struct {
			ID, Citation, Allowance string
		} `json:"rules"`
	}
	text, err := json.Marshal(list.Value)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &value); err != nil || len(value.Rules) != 35 {
		t.Fatalf("%d rules, %v", len(value.Rules), err)
	}
	for _, r := range value.Rules {
		for _, body := range []string{
			`{"call":"rule","rule":"ID"}`, `{"rule":"ID","change":{"authorized":{"excl_tax":20000},"actual":{"excl_tax":30000}}}`,
			`{"call":"teardown","rule":"ID"}`, `{"call":"record","rule":"ID"}`, `{"call":"old_parts","rule":"ID"}`,
			`{"call":"estimate_needed","rule":"ID","ask":{"total":20000}}`, `{"call":"limit_at_drop_off","rule":"ID","drop_off":{"given":"spoken"}}`,
		} {
			a, err := reckon.Run("consent", []byte(strings.Replace(body, "ID", r.ID, 1)))
			if err != nil {
				t.Errorf("%s: %v", body, err)
				continue
			}
			if all := strings.Join(a.Working, " "); !strings.Contains(all, r.Citation) || len(a.Warnings) == 0 {
				t.Errorf("%s %s: working %q, warnings %q", r.ID, body, a.Working, a.Warnings)
			}
		}
		if r.Allowance == "" {
			t.Errorf("%s: no allowance in words", r.ID)
		}
	}
}

// What an engine says of consent is never laxer than the strict default.
func TestConsentStrictIsTheFloorOfLists(t *testing.T) {
	t.Parallel()
	for _, call := range []string{"teardown", "record"} {
		strict := requiredOf(t, call, "STRICT")
		for _, rule := range []string{"US-CA", "US-FL", "US-CO", "CA-QC", "DE"} {
			for _, word := range requiredOf(t, call, rule) {
				if !strings.Contains(strings.Join(strict, " "), word) {
					t.Errorf("%s of %s asks for %s, STRICT does not", call, rule, word)
				}
			}
		}
	}
}

func requiredOf(t *testing.T, call, rule string) []string {
	t.Helper()
	a, err := reckon.Run("consent", []byte(`{"call":"`+call+`","rule":"`+rule+`"}`))
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(a.Value)
	if err != nil {
		t.Fatal(err)
	}
	var value struct {
		Required []string `json:"required"`
	}
	if err := json.Unmarshal(text, &value); err != nil || len(value.Required) == 0 {
		t.Fatalf("%s: %v", text, err)
	}
	return value.Required
}

func TestConsentRuleByName(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"US-MI", "us-mi", "Michigan", "michigan"} {
		a, err := reckon.Run("consent", []byte(`{"rule":"`+name+`","change":{"authorized":{"excl_tax":60000},"actual":{"excl_tax":65001}}}`))
		if err != nil || a.Verdict != "required" {
			t.Errorf("%s: %s %v", name, a.Verdict, err)
		}
	}
}
