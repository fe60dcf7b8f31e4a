package layout_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchtag/internal/layout"
)

// outside compiles a schema with a validator that is not ours.
func outside(t testing.TB, text string) *jsonschema.Schema {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("layout.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("layout.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func valid(t testing.TB, schema *jsonschema.Schema, document any) error {
	t.Helper()
	text, ok := document.([]byte)
	if !ok {
		made, err := json.Marshal(document)
		if err != nil {
			t.Fatal(err)
		}
		text = made
	}
	instance, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return schema.Validate(instance)
}

func TestSchemasTakeTheExamples(t *testing.T) {
	t.Parallel()
	if err := valid(t, outside(t, layout.MapSchema()), read(t, "example.map.json")); err != nil {
		t.Error(err)
	}
	if err := valid(t, outside(t, layout.SheetSchema()), read(t, "example.limits.json")); err != nil {
		t.Error(err)
	}
}

// seenBySchema are the faults of form, which a schema can say; the others
// compare one place of the document with another.
var seenBySchema = map[layout.Code]bool{
	layout.KeyMalformed: true, layout.NameTooLong: true, layout.RevisionMissing: true, layout.WordUnknown: true,
	layout.SafetyMissing: true, layout.PositionUnlikely: true, layout.MinutesMissing: true, layout.MinutesOutOfRange: true,
	layout.QuantityOutOfRange: true, layout.WayEmpty: true, layout.NeedEmpty: true, layout.RatingMissing: true,
	layout.WidthOutOfRange: true, layout.CircuitEmpty: true, layout.GroupEmpty: true, layout.UnitMissing: true,
	layout.LookSeesNothing: true, layout.PercentOutOfRange: true, layout.SourceMissing: true, layout.ValueMalformed: true,
	layout.RuleUnknown: true, layout.StagesMissing: true, layout.StageUnclear: true, layout.AngleOutOfRange: true,
}

func TestSchemaSeesFaultsOfForm(t *testing.T) {
	t.Parallel()
	maps, sheets := outside(t, layout.MapSchema()), outside(t, layout.SheetSchema())
	seen := 0
	for _, b := range broken {
		m := example(t)
		b.damage(&m)
		if got := valid(t, maps, emptied(t, m)); seenBySchema[b.code] && got == nil {
			t.Errorf("%s: the schema of maps takes it", b.name)
		}
		seen++
	}
	for _, b := range brokenSheets {
		s := figures(t)
		b.damage(&s)
		if got := valid(t, sheets, emptied(t, s)); seenBySchema[b.code] && got == nil {
			t.Errorf("%s: the schema of sheets takes it", b.name)
		}
		seen++
	}
	if seen == 0 {
		t.Error("no cases")
	}
}

// emptied gives a document as JSON without members that say nothing (null),
// as a person would write it.
func emptied(t testing.TB, document any) []byte {
	t.Helper()
	text, err := json.Marshal(document)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	text, err = json.Marshal(withoutNulls(v))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func withoutNulls(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for key, member := range v {
			if member == nil {
				delete(v, key)
				continue
			}
			v[key] = withoutNulls(member)
		}
	case []any:
		for i := range v {
			v[i] = withoutNulls(v[i])
		}
	}
	return v
}

func TestSchemasRefuseOddMembers(t *testing.T) {
	t.Parallel()
	schema := outside(t, layout.MapSchema())
	text := string(read(t, "example.map.json"))
	for _, odd := range [][2]string{
		{`"grinds": true`, `"grinds": "yes"`}, {`"minutes": 10,`, `"minutes": 10.5,`},
		{`"medium": "oil"`, `"medium": "oil", "colour": "black"`}, {`benchtag-map/1`, `benchtag-map/2`},
	} {
		changed := strings.Replace(text, odd[0], odd[1], 1)
		if changed == text {
			t.Fatalf("%s is not in the example", odd[0])
		}
		if valid(t, schema, []byte(changed)) == nil {
			t.Errorf("the schema takes %s", odd[1])
		}
		if _, err := layout.ParseMap([]byte(changed)); err == nil {
			t.Errorf("the program takes %s", odd[1])
		}
	}
}

// node is what these tests read of a schema.
type node struct {
	Ref        string           `json:"$ref"`
	Type       string           `json:"type"`
	Enum       []string         `json:"enum"`
	Required   []string         `json:"required"`
	Properties map[string]*node `json:"properties"`
	Items      *node            `json:"items"`
	Defs       map[string]*node `json:"$defs"`
	Extra      any              `json:"additionalProperties"`
}

// TestSchemasHaveTheMembersOfTheTypes walks both: the same members, of the
// same sort, everywhere.
func TestSchemasHaveTheMembersOfTheTypes(t *testing.T) {
	t.Parallel()
	for text, of := range map[string]reflect.Type{
		layout.MapSchema(): reflect.TypeFor[layout.Map](), layout.SheetSchema(): reflect.TypeFor[layout.Sheet](),
	} {
		var root node
		if err := json.Unmarshal([]byte(text), &root); err != nil {
			t.Fatal(err)
		}
		if n := walkSchema(t, of.Name(), &root, &root, of); n < 30 {
			t.Errorf("%s: only %d members", of.Name(), n)
		}
	}
}

func walkSchema(t *testing.T, at string, root, n *node, of reflect.Type) (members int) {
	t.Helper()
	for n.Ref != "" {
		n = root.Defs[strings.TrimPrefix(n.Ref, "#/$defs/")]
	}
	for of.Kind() == reflect.Pointer {
		of = of.Elem()
	}
	switch of.Kind() {
	case reflect.Slice:
		return walkSchema(t, at+"[]", root, n.Items, of.Elem())
	case reflect.Struct:
		var want []string
		for i := range of.NumField() {
			name, _, _ := strings.Cut(of.Field(i).Tag.Get("json"), ",")
			want = append(want, name)
			if p := n.Properties[name]; p != nil {
				members += 1 + walkSchema(t, at+"."+name, root, p, of.Field(i).Type)
			}
		}
		slices.Sort(want)
		if diff := cmp.Diff(want, slices.Sorted(maps.Keys(n.Properties))); diff != "" {
			t.Errorf("%s: %s", at, diff)
		}
		if n.Extra != false {
			t.Errorf("%s takes any member", at)
		}
		return members
	}
	sort := map[reflect.Kind]string{reflect.String: "string", reflect.Int64: "integer", reflect.Bool: "boolean", reflect.Map: "object"}
	if n.Type != "" && n.Type != sort[of.Kind()] {
		t.Errorf("%s is %s in the schema and %s in the program", at, n.Type, of.Kind())
	}
	return 0
}

// TestSchemaWordsAreTheLists holds the lists of words against the schema's.
func TestSchemaWordsAreTheLists(t *testing.T) {
	t.Parallel()
	var m, s node
	if err := json.Unmarshal([]byte(layout.MapSchema()), &m); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(layout.SheetSchema()), &s); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name      string
		got, want []string
	}{
		{"sides", plain(layout.Sides()), m.Defs["position"].Properties["side"].Enum},
		{"valves", plain(layout.Valves()), m.Defs["position"].Properties["valve"].Enum},
		{"safeties", plain(layout.Safeties()), m.Defs["safety"].Enum},
		{"media", plain(layout.Media()), m.Defs["medium"].Enum},
		{"materials", plain(layout.Materials()), m.Defs["material"].Enum},
		{"barriers", plain(layout.BarrierKinds()), m.Defs["barrier"].Properties["kind"].Enum},
		{"passages", plain(layout.PassageKinds()), m.Defs["passage"].Properties["how"].Enum},
		{"conditions", plain(layout.Conditions()), m.Defs["fastening"].Properties["condition"].Enum},
		{"sources", plain(layout.SourceKinds()), s.Defs["source"].Properties["kind"].Enum},
		{"rules", append([]string{""}, layout.Rules()...), s.Defs["limit"].Properties["rule"].Enum},
	} {
		if diff := cmp.Diff(tt.want, tt.got); diff != "" || len(tt.want) == 0 {
			t.Errorf("%s: %s", tt.name, diff)
		}
	}
}

func plain[T ~string](words []T) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return out
}
