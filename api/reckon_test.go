package api_test

import (
	"encoding/json"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/go-cmp/cmp"

	"benchtag/internal/reckon"
	"benchtag/internal/testkit"
)

func reckonSchema(t *testing.T, doc *openapi3.T, engine, end string) *openapi3.Schema {
	t.Helper()
	name := "Reckon" + strings.ToUpper(engine[:1]) + engine[1:] + end
	ref := doc.Components.Schemas[name]
	if ref == nil {
		t.Fatalf("the contract has no %s", name)
	}
	return ref.Value
}

// TestReckonInputsAreTheSchemas compares what each engine takes with its
// schema in the contract, all the way down.
func TestReckonInputsAreTheSchemas(t *testing.T) {
	t.Parallel()
	doc := document(t)
	for _, e := range reckon.Engines() {
		t.Run(e.Name, func(t *testing.T) {
			compareInput(t, "", reflect.TypeOf(e.Input), reckonSchema(t, doc, e.Name, "In"))
		})
	}
}

func compareInput(t *testing.T, at string, typ reflect.Type, s *openapi3.Schema) {
	t.Helper()
	switch typ.Kind() {
	case reflect.Pointer:
		compareInput(t, at, typ.Elem(), s)
	case reflect.Slice:
		if s.Items == nil {
			t.Errorf("%s is a list; the contract says something else", at)
			return
		}
		compareInput(t, at+"/0", typ.Elem(), s.Items.Value)
	case reflect.Struct:
		names := membersOf(typ)
		var have, want []string
		for name := range names {
			have = append(have, name)
		}
		for name := range s.Properties {
			want = append(want, name)
		}
		slices.Sort(have)
		slices.Sort(want)
		if diff := cmp.Diff(want, have); diff != "" {
			t.Errorf("%s: members (-contract +structure):\n%s", at, diff)
			return
		}
		for name, inner := range names {
			compareInput(t, at+"/"+name, inner, s.Properties[name].Value)
		}
	}
}

// membersOf gives the JSON members of a structure, embedded ones laid flat.
func membersOf(typ reflect.Type) map[string]reflect.Type {
	out := map[string]reflect.Type{}
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-":
		case name == "" && f.Anonymous:
			for inner, t := range membersOf(f.Type) {
				out[inner] = t
			}
		case f.IsExported():
			out[name] = f.Type
		}
	}
	return out
}

// TestReckonVectorsFitTheContract holds the input of every vector that is
// answered, and its answer, against the schemas.
func TestReckonVectorsFitTheContract(t *testing.T) {
	t.Parallel()
	doc := document(t)
	type vector struct {
		In      json.RawMessage `json:"in"`
		Want    json.RawMessage `json:"want"`
		Tol     string          `json:"tol"`
		TolRel  string          `json:"tol_rel"`
		WantErr string          `json:"wantErr"`
	}
	for _, e := range reckon.Engines() {
		in, value := reckonSchema(t, doc, e.Name, "In"), reckonSchema(t, doc, e.Name, "Value")
		answer := doc.Components.Schemas["ReckonAnswer"].Value
		for _, c := range testkit.Vectors[vector](t, filepath.Join("../testdata/vectors", e.Name)) {
			if c.Data.WantErr != "" {
				continue
			}
			got, err := reckon.Run(e.Name, c.Data.In)
			if err != nil {
				t.Errorf("%s/%s %s: %v", e.Name, c.Name, c.Desc, err)
				continue
			}
			fitsSchema(t, e.Name+"/"+c.Name+" in", in, c.Data.In)
			whole, err := json.Marshal(got)
			if err != nil {
				t.Fatal(err)
			}
			fitsSchema(t, e.Name+"/"+c.Name+" answer", answer, whole)
			part, err := json.Marshal(got.Value)
			if err != nil {
				t.Fatal(err)
			}
			fitsSchema(t, e.Name+"/"+c.Name+" value", value, part)
		}
	}
}

func fitsSchema(t *testing.T, what string, s *openapi3.Schema, text []byte) {
	t.Helper()
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	if err := s.VisitJSON(v); err != nil {
		t.Errorf("%s: %.600v", what, err)
	}
}
