package web

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"
)

// contract is the OpenAPI document as the reading page shows it. It covers
// what our own contract uses, not all of OpenAPI.
type contract struct {
	Title, Version string
	Intro          []prose
	Tags           []tag
	Schemas        []schema
	Problem        bool // there is a schema of that name
}

type tag struct {
	Anchor, Name string
	Operations   []operation
}

type operation struct {
	ID, Method, Path, Summary, Who string
	Parameters                     []field
	BodyKinds                      []string
	Body                           kind
	BodyFields                     []field
	Answers                        []answerNote
}

type answerNote struct {
	Status, Text string
	Body         kind
}

type schema struct {
	Name, Text string
	Kind       kind
	Fields     []field
}

type field struct {
	Name, Text, In string
	Required       bool
	Kind           kind
}

// kind is a type in words, with a link where it is a schema of its own.
type kind struct {
	Before string // "list of "
	Ref    string // name of a schema, or ""
	Text   string // "text", "whole number"
	Limits string // "1 to 200 characters"
	Words  []string
}

// prose is a paragraph in pieces.
type prose []piece

type piece struct {
	Text         string
	Strong, Code bool
}

// reader walks the document.
type reader struct {
	root *yaml.Node
}

// readContract reads the document. A contract without an operation is an
// error, so that an empty page is never served.
func readContract(text []byte) (*contract, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		return nil, fmt.Errorf("web: contract: %w", err)
	}
	if len(doc.Content) == 0 {
		return nil, fmt.Errorf("web: contract: the document is empty")
	}
	r := reader{root: doc.Content[0]}
	info := at(r.root, "info")
	c := &contract{Title: str(info, "title"), Version: str(info, "version"), Intro: paragraphs(str(info, "description"))}
	r.readTags(c)
	each(at(at(r.root, "components"), "schemas"), func(name string, n *yaml.Node) {
		c.Schemas = append(c.Schemas, r.schema(name, n))
		c.Problem = c.Problem || name == "Problem"
	})
	for _, t := range c.Tags {
		if len(t.Operations) > 0 {
			return c, nil
		}
	}
	return nil, fmt.Errorf("web: contract: no operation found")
}

func (r reader) readTags(c *contract) {
	index := map[string]int{}
	for _, n := range items(at(r.root, "tags")) {
		name := str(n, "name")
		index[name] = len(c.Tags)
		c.Tags = append(c.Tags, tag{Anchor: anchor(name), Name: name})
	}
	each(at(r.root, "paths"), func(path string, n *yaml.Node) {
		shared := items(at(n, "parameters"))
		for _, method := range []string{"get", "put", "post", "delete"} {
			op := at(n, method)
			if op == nil {
				continue
			}
			names := items(at(op, "tags"))
			if len(names) == 0 {
				continue
			}
			if i, ok := index[names[0].Value]; ok {
				c.Tags[i].Operations = append(c.Tags[i].Operations, r.operation(path, method, op, shared))
			}
		}
	})
}

func (r reader) operation(path, method string, n *yaml.Node, shared []*yaml.Node) operation {
	op := operation{
		ID: str(n, "operationId"), Method: strings.ToUpper(method), Path: path,
		Summary: str(n, "summary"), Who: str(n, "description"),
	}
	for _, p := range append(append([]*yaml.Node{}, shared...), items(at(n, "parameters"))...) {
		op.Parameters = append(op.Parameters, r.parameter(r.follow(p)))
	}
	each(at(at(n, "requestBody"), "content"), func(media string, m *yaml.Node) {
		op.BodyKinds = append(op.BodyKinds, media)
		op.Body = r.kind(at(m, "schema"))
		op.BodyFields = r.schema("", r.follow(at(m, "schema"))).Fields
	})
	each(at(n, "responses"), func(status string, a *yaml.Node) {
		if status == "4XX" || status == "5XX" {
			return // said once for all, in the introduction
		}
		note := answerNote{Status: status, Text: str(r.follow(a), "description")}
		each(at(r.follow(a), "content"), func(media string, m *yaml.Node) {
			note.Body = r.kind(at(m, "schema"))
			if media != "application/json" {
				note.Body.Limits = media
			}
		})
		op.Answers = append(op.Answers, note)
	})
	return op
}

func (r reader) parameter(n *yaml.Node) field {
	return field{
		Name: str(n, "name"), In: str(n, "in"), Text: str(n, "description"),
		Required: str(n, "required") == "true", Kind: r.kind(at(n, "schema")),
	}
}

func (r reader) schema(name string, n *yaml.Node) schema {
	s := schema{Name: name, Text: str(n, "description"), Kind: r.kind(n)}
	required := map[string]bool{}
	for _, q := range items(at(n, "required")) {
		required[q.Value] = true
	}
	each(at(n, "properties"), func(name string, p *yaml.Node) {
		s.Fields = append(s.Fields, field{Name: name, Text: str(p, "description"), Required: required[name], Kind: r.kind(p)})
	})
	return s
}

// kind says a schema's type in words.
func (r reader) kind(n *yaml.Node) kind {
	if ref := str(n, "$ref"); ref != "" {
		return kind{Ref: refName(ref)}
	}
	k := kind{Text: typeWords(str(n, "type"), str(n, "format")), Limits: limitWords(n)}
	if all := items(at(n, "allOf")); len(all) == 1 {
		k.Ref, k.Text = refName(str(all[0], "$ref")), ""
	}
	if element := at(n, "items"); element != nil {
		of := r.kind(element)
		k.Before, k.Ref, k.Text, k.Words = "list of "+of.Before, of.Ref, of.Text, of.Words
	}
	for _, w := range items(at(n, "enum")) {
		k.Words = append(k.Words, w.Value)
	}
	return k
}

// typeWords says a JSON Schema type and format as people would.
func typeWords(kind, format string) string {
	switch kind + " " + format {
	case "string date-time":
		return "time (RFC 3339)"
	case "string date":
		return "day (YYYY-MM-DD)"
	case "string uuid":
		return "id (UUID)"
	case "string binary":
		return "bytes"
	}
	switch kind {
	case "string":
		return "text"
	case "integer":
		return "whole number"
	case "boolean":
		return "true or false"
	case "array":
		return "list"
	}
	return kind
}

// limitWords says bounds, default and whether null may stand.
func limitWords(n *yaml.Node) string {
	var said []string
	for _, l := range []struct{ low, high, unit string }{
		{"minLength", "maxLength", " characters"}, {"minimum", "maximum", ""}, {"minItems", "maxItems", " entries"},
	} {
		if s := rangeWords(str(n, l.low), str(n, l.high)); s != "" {
			said = append(said, s+l.unit)
		}
	}
	if p := str(n, "pattern"); p != "" {
		said = append(said, "pattern "+p)
	}
	if d := at(n, "default"); d != nil && d.Value != "" {
		said = append(said, "default "+d.Value)
	}
	if str(n, "nullable") == "true" {
		said = append(said, "may be null")
	}
	return strings.Join(said, ", ")
}

func rangeWords(low, high string) string {
	switch {
	case low != "" && high != "":
		return low + " to " + high
	case low != "":
		return "at least " + low
	case high != "":
		return "at most " + high
	}
	return ""
}

func refName(ref string) string { return ref[strings.LastIndexByte(ref, '/')+1:] }

// anchor makes a name fit for an id.
func anchor(name string) string {
	return "part-" + strings.ReplaceAll(strings.ToLower(name), " ", "-")
}

// follow gives what a $ref of the document points at, or the node itself.
func (r reader) follow(n *yaml.Node) *yaml.Node {
	ref := str(n, "$ref")
	if ref == "" {
		return n
	}
	target := r.root
	for _, step := range strings.Split(strings.TrimPrefix(ref, "#/"), "/") {
		target = at(target, step)
	}
	return target
}

// at gives a mapping's value, or nil.
func at(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// str gives a mapping's scalar, or "".
func str(n *yaml.Node, key string) string {
	v := at(n, key)
	if v == nil || v.Kind != yaml.ScalarNode {
		return ""
	}
	return v.Value
}

// items gives a sequence's nodes.
func items(n *yaml.Node) []*yaml.Node {
	if n == nil || n.Kind != yaml.SequenceNode {
		return nil
	}
	return n.Content
}

// each visits a mapping in the document's order.
func each(n *yaml.Node, visit func(key string, value *yaml.Node)) {
	if n == nil || n.Kind != yaml.MappingNode {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		visit(n.Content[i].Value, n.Content[i+1])
	}
}

// paragraphs reads the little markup the contract's introduction has: blank
// lines, **strong** and `code`.
func paragraphs(text string) []prose {
	var all []prose
	for para := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		var p prose
		for i, part := range strings.Split(para, "`") {
			if i%2 == 1 {
				p = append(p, piece{Text: part, Code: true})
				continue
			}
			for j, run := range strings.Split(part, "**") {
				if run != "" {
					p = append(p, piece{Text: run, Strong: j%2 == 1})
				}
			}
		}
		all = append(all, p)
	}
	return all
}
