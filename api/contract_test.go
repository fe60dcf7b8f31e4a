package api_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/go-cmp/cmp"

	"benchtag/api"
	"benchtag/openapi"
)

// contractRead is the contract, read once; no test changes it.
var contractRead = sync.OnceValues(func() (*openapi3.T, error) {
	return openapi3.NewLoader().LoadFromData(openapi.Document())
})

func document(t testing.TB) *openapi3.T {
	t.Helper()
	doc, err := contractRead()
	if err != nil {
		t.Fatalf("read the contract: %v", err)
	}
	return doc
}

// sentences are how an operation's description says who may call.
var sentences = map[string]string{
	"anyone":           "Open to anyone.",
	"any staff":        "For any staff.",
	"advisor or owner": "For advisor and owner.",
	"owner":            "For the owner.",
	"enrolled tablet":  "For an enrolled tablet.",
}

// TestRoutesAreTheContract compares the policy table with the contract, both
// ways: address, operation, who may, which headers a write needs.
func TestRoutesAreTheContract(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	doc := document(t)
	routes := map[string]api.RouteInfo{}
	for _, r := range s.Routes() {
		key := r.Method + " " + r.Path
		if _, twice := routes[key]; twice {
			t.Errorf("%s stands twice in the policy table", key)
		}
		routes[key] = r
	}
	operations := 0
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			operations++
			key := method + " " + path
			r, ok := routes[key]
			if !ok {
				t.Errorf("%s (%s) is in the contract and not served", key, op.OperationID)
				continue
			}
			delete(routes, key)
			checkOperation(t, r, op)
		}
	}
	for key := range routes {
		t.Errorf("%s is served and not in the contract", key)
	}
	if operations < 100 {
		t.Errorf("the contract has %d operations", operations)
	}
}

func checkOperation(t *testing.T, r api.RouteInfo, op *openapi3.Operation) {
	t.Helper()
	if r.Operation != op.OperationID {
		t.Errorf("%s %s is %s in the table and %s in the contract", r.Method, r.Path, r.Operation, op.OperationID)
	}
	sentence := sentences[r.Allow]
	if sentence == "" || !strings.Contains(op.Description, sentence) {
		t.Errorf("%s: for %s in the table; the contract says %q", r.Operation, r.Allow, op.Description)
	}
	open := op.Security != nil && len(*op.Security) == 0
	if open != (r.Allow == "anyone") {
		t.Errorf("%s: for %s in the table; open by the contract: %v", r.Operation, r.Allow, open)
	}
	if tablet := op.Security != nil && len(*op.Security) > 0; tablet != (r.Allow == "enrolled tablet") {
		t.Errorf("%s: for %s in the table; for a tablet by the contract: %v", r.Operation, r.Allow, tablet)
	}
	header := func(name string) bool { return op.Parameters.GetByInAndName("header", name) != nil }
	if r.Effect != header("Idempotency-Key") {
		t.Errorf("%s: an effect in the table: %v; takes an Idempotency-Key: %v", r.Operation, r.Effect, header("Idempotency-Key"))
	}
	if (r.Method == "PUT" && !r.Bytes) != header("If-Match") { // a picture is never changed, so it has no version to name
		t.Errorf("%s: %s; takes If-Match: %v", r.Operation, r.Method, header("If-Match"))
	}
	if !slices.Contains([]string{"GET", "POST", "PUT"}, r.Method) {
		t.Errorf("%s uses %s", r.Operation, r.Method)
	}
}

// member is a property of a structure of the API.
type member struct {
	typ, goName string
	omits       bool
}

// structures reads every exported structure of package api from its source,
// embedded ones laid flat.
func structures(t testing.TB) map[string]map[string]member {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no source: %v", err)
	}
	found := map[string]*ast.StructType{}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if spec, ok := n.(*ast.TypeSpec); ok {
				if s, ok := spec.Type.(*ast.StructType); ok && spec.TypeParams == nil {
					found[spec.Name.Name] = s
				}
			}
			return true
		})
	}
	all := map[string]map[string]member{}
	for name, s := range found {
		members := map[string]member{}
		if flatten(found, s, members) && len(members) > 0 {
			all[name] = members
		}
	}
	return all
}

// flatten collects the JSON members of a structure and reports whether all
// its fields are such.
func flatten(found map[string]*ast.StructType, s *ast.StructType, into map[string]member) bool {
	for _, f := range s.Fields.List {
		if len(f.Names) == 0 {
			inner := found[typeText(f.Type)]
			if inner == nil || !flatten(found, inner, into) {
				return false
			}
			continue
		}
		if f.Tag == nil {
			return false
		}
		tag, err := strconv.Unquote(f.Tag.Value)
		if err != nil {
			return false
		}
		name, option, _ := strings.Cut(reflect.StructTag(tag).Get("json"), ",")
		if name == "" {
			return false
		}
		into[name] = member{typ: typeText(f.Type), goName: f.Names[0].Name, omits: option == "omitempty"}
	}
	return true
}

func typeText(e ast.Expr) string {
	switch v := e.(type) {
	case *ast.Ident:
		return v.Name
	case *ast.StarExpr:
		return "*" + typeText(v.X)
	case *ast.ArrayType:
		return "[]" + typeText(v.Elt)
	case *ast.SelectorExpr:
		return typeText(v.X) + "." + v.Sel.Name
	case *ast.MapType:
		return "map[" + typeText(v.Key) + "]" + typeText(v.Value)
	case *ast.IndexExpr:
		return typeText(v.X) + "[" + typeText(v.Index) + "]"
	}
	return "?"
}

// schemaOf finds the schema that a structure is of: by name (ShopIn is
// ShopIn, ShopView is Shop), or, for what stands inside another schema without
// a name, by having the same members.
func schemaOf(doc *openapi3.T, name string, members map[string]member) *openapi3.Schema {
	for _, try := range []string{name, strings.TrimSuffix(name, "View")} {
		if ref := doc.Components.Schemas[try]; ref != nil {
			return ref.Value
		}
	}
	for _, s := range objects(doc) {
		if sameMembers(members, s) {
			return s
		}
	}
	return nil
}

// objects lists every schema of an object, named or inside another.
func objects(doc *openapi3.T) []*openapi3.Schema {
	var all []*openapi3.Schema
	var visit func(ref *openapi3.SchemaRef)
	visit = func(ref *openapi3.SchemaRef) {
		if ref == nil || slices.Contains(all, ref.Value) {
			return
		}
		if len(ref.Value.Properties) > 0 {
			all = append(all, ref.Value)
		}
		visit(ref.Value.Items)
		for _, name := range slices.Sorted(maps.Keys(ref.Value.Properties)) {
			visit(ref.Value.Properties[name])
		}
	}
	for _, name := range slices.Sorted(maps.Keys(doc.Components.Schemas)) {
		visit(doc.Components.Schemas[name])
	}
	return all
}

func sameMembers(members map[string]member, s *openapi3.Schema) bool {
	if len(members) != len(s.Properties) {
		return false
	}
	for name := range members {
		if s.Properties[name] == nil {
			return false
		}
	}
	return true
}

// parts are structures that lie flat in others.
var parts = []string{"StruckView", "OriginView"}

// bothWays are structures that are sent and received alike: parts of them may
// be left out on the way in, and stand on the way out.
var bothWays = []string{"OwnRule", "TeardownTerms"}

// TestStructuresAreTheSchemas compares every structure that is sent or
// received with its schema: the same members, required, nullable, of a type
// that fits.
func TestStructuresAreTheSchemas(t *testing.T) {
	t.Parallel()
	doc, all := document(t), structures(t)
	compared := 0
	for name, members := range all {
		s := schemaOf(doc, name, members)
		if s == nil {
			if ast.IsExported(name) && !slices.Contains(parts, name) {
				t.Errorf("%s has no schema in the contract", name)
			}
			continue
		}
		compared++
		t.Run(name, func(t *testing.T) {
			compareStructure(t, all, strings.HasSuffix(name, "In") || slices.Contains(bothWays, name), members, s)
		})
	}
	if compared < 70 {
		t.Errorf("only %d structures were compared", compared)
	}
}

func compareStructure(t *testing.T, all map[string]map[string]member, in bool, members map[string]member, s *openapi3.Schema) {
	var have, want []string
	for name := range members {
		have = append(have, name)
	}
	for name := range s.Properties {
		want = append(want, name)
	}
	slices.Sort(have)
	slices.Sort(want)
	if diff := cmp.Diff(want, have); diff != "" {
		t.Errorf("members (-contract +structure):\n%s", diff)
	}
	for name, m := range members {
		ref := s.Properties[name]
		if ref == nil {
			continue
		}
		property, required := ref.Value, slices.Contains(s.Required, name)
		pointer := strings.HasPrefix(m.typ, "*")
		if property.Nullable != pointer && !(in && pointer && !required) {
			t.Errorf("%s is a %s; nullable by the contract: %v", name, m.typ, property.Nullable)
		}
		if !in && required == m.omits {
			t.Errorf("%s: required by the contract %v, left out when empty %v", name, required, m.omits)
		}
		if in && !required && !pointer && property.Default == nil && !emptyMeansAbsent(property) && !zeroIsMeant(name) {
			t.Errorf("%s may be left out, and the contract says no default", name)
		}
		if in && !required && !pointer && property.Default != nil {
			checkDefault(t, name, m, property.Default)
		}
		if problem := fits(all, strings.TrimPrefix(m.typ, "*"), ref); problem != "" {
			t.Errorf("%s is a %s; the contract says %s", name, m.typ, problem)
		}
	}
}

// emptyMeansAbsent reports whether a text that is empty says the same as none:
// the parts of a quantity.
func emptyMeansAbsent(s *openapi3.Schema) bool { return s.Type.Is("string") && s.MinLength == 0 }

// zeroIsMeant reports whether a field of a rule left out means nought or no:
// a rule has one kind, and the fields of other kinds say nothing.
func zeroIsMeant(name string) bool { return name == "pct_bp" || name == "at_equal" }

// checkDefault makes sure that leaving a field out means what the contract's
// default says: Go's zero value, or a stand-in in the source.
func checkDefault(t *testing.T, name string, m member, value any) {
	t.Helper()
	zero := map[string]any{"string": "", "bool": false, "int64": 0.0}
	if list, ok := value.([]any); ok && len(list) == 0 && strings.HasPrefix(m.typ, "[]") {
		return
	}
	if reflect.DeepEqual(zero[m.typ], value) {
		return
	}
	if text, ok := value.(string); ok && standsIn(t, m.goName, text) {
		return
	}
	if defaultsInHandlers[name] != "" {
		return
	}
	t.Errorf("%s: left out means %v by the contract, and %v in Go", name, value, zero[m.typ])
}

// defaultsInHandlers are fields whose default is put in by a handler, and how.
var defaultsInHandlers = map[string]string{
	"keep":        "signing in keeps the token in JSON unless cookie is asked for",
	"hours_a_day": "suggestWays reckons with six bench hours a day",
	"with":        "no entries, in a map that is nil",
	"document":    "an empty document is none",
}

// standsIn reports whether the source puts a default in for an empty field.
func standsIn(t *testing.T, field, value string) bool {
	t.Helper()
	found := false
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || typeText(call.Fun) != "orElse" || len(call.Args) != 2 {
				return true
			}
			literal, ok := call.Args[1].(*ast.BasicLit)
			found = found || ok && strings.HasSuffix(typeText(call.Args[0]), "."+field) && literal.Value == strconv.Quote(value)
			return true
		})
	}
	return found
}

// fits says what the contract wants where a Go type is not that, or "".
func fits(all map[string]map[string]member, typ string, ref *openapi3.SchemaRef) string {
	s := ref.Value
	name := ref.Ref
	if len(s.AllOf) == 1 {
		name = s.AllOf[0].Ref
	}
	name = strings.TrimPrefix(name, "#/components/schemas/")
	switch {
	case s.Type.Is("array"):
		item, ok := strings.CutPrefix(typ, "[]")
		if !ok {
			return "a list"
		}
		return fits(all, item, s.Items)
	case s.Type.Is("string") && typ == "string", s.Type.Is("boolean") && typ == "bool",
		s.Type.Is("integer") && (typ == "int64" || typ == "int"):
		return ""
	case name != "" && (typ == name || typ == name+"View"):
		return ""
	case name == "" && len(s.Properties) > 0 && sameMembers(all[typ], s):
		return ""
	case name == "" && s.Type.Is("object") && len(s.Properties) == 0 && (typ == "json.RawMessage" || strings.HasPrefix(typ, "map[")):
		return ""
	case s.Type == nil && typ == "json.RawMessage":
		return ""
	}
	if name != "" {
		return name
	}
	if s.Type == nil {
		return "anything"
	}
	return strings.Join(s.Type.Slice(), " or ")
}

// TestSchemasHaveStructures lists the schemas that an operation uses and no
// structure serves.
func TestSchemasHaveStructures(t *testing.T) {
	t.Parallel()
	doc, all := document(t), structures(t)
	served := map[*openapi3.Schema]bool{}
	for name, members := range all {
		served[schemaOf(doc, name, members)] = true
	}
	ofEngines := map[*openapi3.Schema]bool{}
	for name, ref := range doc.Components.Schemas {
		if strings.HasPrefix(name, "Reckon") {
			within(ref, ofEngines)
		}
	}
	for name, ref := range doc.Components.Schemas {
		if ofEngines[ref.Value] {
			continue // see TestReckonInputsAreTheSchemas
		}
		if ref.Value.Type.Is("object") && !served[ref.Value] && !isPage(ref.Value) && len(ref.Value.Properties) > 0 {
			t.Errorf("the schema %s has no structure in package api", name)
		}
	}
}

// isPage reports whether a schema is a list and no more, which one generic
// structure serves; what it lists is compared by itself.
func isPage(s *openapi3.Schema) bool {
	return s.Properties["items"] != nil && (len(s.Properties) == 1 || len(s.Properties) == 2 && s.Properties["next_cursor"] != nil)
}

// within collects a schema and all that stand inside it.
func within(ref *openapi3.SchemaRef, found map[*openapi3.Schema]bool) {
	if ref == nil || found[ref.Value] {
		return
	}
	found[ref.Value] = true
	within(ref.Value.Items, found)
	for _, part := range slices.Concat(ref.Value.AllOf, ref.Value.OneOf, ref.Value.AnyOf) {
		within(part, found)
	}
	within(ref.Value.AdditionalProperties.Schema, found)
	for _, property := range ref.Value.Properties {
		within(property, found)
	}
}
