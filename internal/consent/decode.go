package consent

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"sync"

	"benchtag/internal/fault"
)

//go:embed rules.json
var embedded []byte

// dataset is the shape of the embedded file.
type dataset struct {
	Schema        string            `json:"schema"`
	Retrieved     string            `json:"retrieved"`
	RetrievedNote string            `json:"retrieved_note"`
	Warning       string            `json:"warning"`
	Units         map[string]string `json:"units"`
	Semantics     map[string]string `json:"semantics"`
	Rules         []Rule            `json:"rules"`
}

// datasetSchema is the only schema read.
const datasetSchema = "benchtag-consent-rules/1"

// loaded parses the embedded file once; what it returns is read only.
var loaded = sync.OnceValues(func() (dataset, error) { return parseDataset(embedded) })

// Rules lists the rules a shop may choose: the strict default first, then
// the jurisdictions in the order of the data. It fails only where the
// embedded file is broken.
func Rules() ([]Rule, error) {
	d, err := loaded()
	if err != nil {
		return nil, err
	}
	return slices.Concat([]Rule{Strict()}, d.Rules), nil
}

// Warning is the sentence that travels with the whole data file.
func Warning() (string, error) {
	d, err := loaded()
	return d.Warning, err
}

// Find gives the rule of an id. An empty id, a shop that has not chosen, is
// the strict default. An unknown id is consent.rule_unknown: nothing is
// guessed. The shop's own rule is made by [Custom], not found here.
func Find(id string) (Rule, error) {
	if id == "" {
		return Strict(), nil
	}
	all, err := Rules()
	if err != nil {
		return Rule{}, err
	}
	at := slices.IndexFunc(all, func(r Rule) bool { return r.ID == id })
	if at < 0 {
		return Rule{}, fault.Invalid("consent.rule_unknown", "/consent_rule", "There is no consent rule of that name. Choose one from the list, or leave it unset for the strict default.")
	}
	return all[at], nil
}

// Parse reads one rule from its stored JSON, strictly: an unknown field, a
// value outside its list or anything after the object is
// consent.rule_unreadable or consent.rule_invalid.
func Parse(b []byte) (Rule, error) {
	var r Rule
	if err := decode(b, &r); err != nil {
		return Rule{}, fault.New(fault.Shape, "consent.rule_unreadable", "The stored consent rule cannot be read. Choose the rule again.").Because(err)
	}
	if why := ruleProblem(r); why != "" {
		return Rule{}, invalidRule(why)
	}
	return r, nil
}

// invalidRule is the error for a rule whose parts do not fit together.
func invalidRule(why string) error {
	return fault.Invalid("consent.rule_invalid", "/consent_rule", why)
}

// decode reads exactly one JSON value without unknown fields.
func decode(b []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("more after the value")
	}
	return nil
}

// parseDataset reads the whole file and checks every rule in it.
func parseDataset(b []byte) (dataset, error) {
	var d dataset
	if err := decode(b, &d); err != nil {
		return dataset{}, brokenData("unreadable").Because(err)
	}
	if d.Schema != datasetSchema || len(d.Rules) == 0 || d.Warning == "" {
		return dataset{}, brokenData("schema, warning or rules missing")
	}
	seen := map[string]bool{StrictID: true, CustomID: true}
	for _, r := range d.Rules {
		if why := ruleProblem(r); why != "" {
			return dataset{}, brokenData(r.ID + ": " + why)
		}
		if seen[r.ID] {
			return dataset{}, brokenData(r.ID + " appears twice")
		}
		seen[r.ID] = true
	}
	return d, nil
}

// brokenData is a defect of the program, not of the request.
func brokenData(why string) *fault.Error {
	return fault.New(fault.Internal, "consent.data_broken", "The built-in consent rules are broken: "+why)
}
