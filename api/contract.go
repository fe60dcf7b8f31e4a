package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"

	"benchtag/internal/fault"
	"benchtag/internal/wire"
)

// contract checks requests against the OpenAPI document, by method and the
// route's own path: there is no second router.
type contract struct {
	doc   *openapi3.T
	paths map[string]*openapi3.PathItem
}

// uuidForm is any UUID in lower case; the library's own form knows no
// version 7.
const uuidForm = `^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$`

func readContract(document []byte) (*contract, error) {
	loader := openapi3.NewLoader()
	doc, err := loader.LoadFromData(document)
	if err != nil {
		return nil, fmt.Errorf("api: read the contract: %w", err)
	}
	doc.SetStringFormatValidator("uuid", openapi3.NewRegexpFormatValidator(uuidForm))
	if err := doc.Validate(context.Background(), openapi3.DisableExamplesValidation()); err != nil {
		return nil, fmt.Errorf("api: the contract is not valid OpenAPI: %w", err)
	}
	return &contract{doc: doc, paths: doc.Paths.Map()}, nil
}

func (k *contract) operation(r route) (*openapi3.PathItem, *openapi3.Operation) {
	item := k.paths[r.Path]
	if item == nil {
		return nil, nil
	}
	return item, item.GetOperation(r.Method)
}

// hasBody reports whether the route takes a body.
func (k *contract) hasBody(r route) bool {
	_, op := k.operation(r)
	return op != nil && op.RequestBody != nil
}

// takes reports whether the route takes a query parameter.
func (k *contract) takes(r route, name string) bool {
	_, op := k.operation(r)
	if op == nil {
		return false
	}
	return op.Parameters.GetByInAndName("query", name) != nil
}

// check holds a request against its operation.
func (k *contract) check(c *call) error {
	item, op := k.operation(c.route)
	if op == nil {
		return fmt.Errorf("api: %s %s is not in the contract", c.route.Method, c.route.Path)
	}
	request := c.Request()
	if c.route.Bytes {
		// The checker reads a body whole where a route needs a sign-in, whatever
		// its options say: a picture must pass our own limits first.
		request = request.Clone(c.ctx)
		request.Body = http.NoBody
	}
	input := &openapi3filter.RequestValidationInput{
		Request:     request,
		PathParams:  pathParams(c),
		QueryParams: c.QueryParams(),
		Route:       &routers.Route{Spec: k.doc, Path: c.route.Path, PathItem: item, Method: c.route.Method, Operation: op},
		Options: &openapi3filter.Options{SchemaValidationOptions: k.doc.GetSchemaValidationOptions(), AuthenticationFunc: openapi3filter.NoopAuthenticationFunc,
			MultiError: true, ExcludeRequestBody: true},
	}
	if err := openapi3filter.ValidateRequest(c.ctx, input); err != nil {
		return k.refusal(c, err)
	}
	return k.checkBody(c, op)
}

func pathParams(c *call) map[string]string {
	params := map[string]string{}
	for _, name := range c.ParamNames() {
		params[name] = c.Param(name)
	}
	return params
}

// checkBody holds the body, already read and strict, against its schema.
func (k *contract) checkBody(c *call, op *openapi3.Operation) error {
	if op.RequestBody == nil {
		return nil
	}
	media := op.RequestBody.Value.Content.Get("application/json")
	if media == nil || media.Schema == nil {
		return nil
	}
	value, err := looseJSON(c.body)
	if err != nil {
		return wire.Broken(err)
	}
	options := append(k.doc.GetSchemaValidationOptions(), openapi3.MultiErrors(), openapi3.VisitAsRequest())
	err = media.Schema.Value.VisitJSON(value, options...)
	if err == nil {
		return nil
	}
	f := fault.New(fault.Shape, "api.body_invalid", "The body does not fit this address; see fields.").Because(err)
	collect(err, f)
	return f
}

// refusal says in plain words what of a request does not fit. A path id that
// is no UUID names nothing, so it is answered as any unknown id.
func (k *contract) refusal(c *call, err error) error {
	f := fault.New(fault.Shape, "api.request_invalid", "The request does not fit this address; see fields.").Because(err)
	for _, one := range flatten(err) {
		var req *openapi3filter.RequestError
		if !errors.As(one, &req) || req.Parameter == nil {
			continue
		}
		switch {
		case req.Parameter.In == "path":
			return fault.New(fault.Shape, "api.id_unreadable", "An id in the address is not a UUID.")
		case req.Parameter.Name == "If-Match":
			return fault.New(fault.VersionMissing, "api.if_match_missing", `Send If-Match with the version you changed, as in "3".`)
		case req.Parameter.Name == "Idempotency-Key":
			f.Code, f.Message = "api.idempotency_key_missing", "Send an Idempotency-Key of 1 to 200 characters, fresh for each effect."
		}
		f.Fields = append(f.Fields, fault.Field{Pointer: req.Parameter.Name, Message: plainReason(req.Err)})
	}
	return f
}

// flatten lists the errors of a list of them. It does not look inside one
// error: which parameter it is about stands on its outside.
func flatten(err error) []error {
	multi, ok := err.(openapi3.MultiError)
	if !ok {
		return []error{err}
	}
	var list []error
	for _, e := range multi {
		list = append(list, flatten(e)...)
	}
	return list
}

func collect(err error, f *fault.Error) {
	for _, one := range flatten(err) {
		var s *openapi3.SchemaError
		if !errors.As(one, &s) {
			f.Fields = append(f.Fields, fault.Field{Pointer: "", Message: "The value does not fit."})
			continue
		}
		f.Fields = append(f.Fields, fault.Field{Pointer: pointerTo(s), Message: plainReason(s)})
		if len(f.Fields) >= 20 {
			return
		}
	}
}

// pointerTo is the JSON Pointer (RFC 6901) of the value at fault. Of an
// unknown field the checker points at the object and names the field in its
// reason, quoted.
func pointerTo(s *openapi3.SchemaError) string {
	steps := s.JSONPointer()
	if at := strings.IndexByte(s.Reason, '"'); s.SchemaField == "properties" && at >= 0 {
		quoted, _ := strconv.QuotedPrefix(s.Reason[at:])
		if name, err := strconv.Unquote(quoted); err == nil {
			steps = append(slices.Clone(steps), name)
		}
	}
	out := ""
	for _, step := range steps {
		out += "/" + strings.ReplaceAll(strings.ReplaceAll(step, "~", "~0"), "/", "~1")
	}
	return out
}

// plainReason says in a sentence what to send instead, without the value:
// what was sent may be personal.
func plainReason(err error) string {
	var s *openapi3.SchemaError
	if !errors.As(err, &s) || s.Schema == nil {
		return "The value is missing or does not fit."
	}
	switch s.SchemaField {
	case "enum":
		return "Choose one of: " + choices(s.Schema.Enum) + "."
	case "required":
		return "This field is required."
	case "properties":
		return "There is no such field here; leave it out."
	case "format":
		return wantedForm(s.Schema.Format)
	case "pattern":
		return strings.TrimSpace("The text has the wrong form. " + s.Schema.Description)
	case "type":
		return "Send " + wantedType(s.Schema) + "."
	case "nullable":
		return "This cannot be null; send a value or leave it out."
	}
	return wantedSize(s)
}

func choices(values []any) string {
	texts := make([]string, 0, len(values))
	for _, v := range values {
		text := fmt.Sprint(v)
		if text == "" {
			text = `"" for none`
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ", ")
}

func wantedForm(format string) string {
	switch format {
	case "uuid":
		return "Give an id: a UUID in lower case."
	case "date":
		return "Give a day, as in 2026-03-01."
	case "date-time":
		return "Give a time, as in 2026-03-01T09:30:00Z."
	}
	return "The text has the wrong form."
}

func wantedType(s *openapi3.Schema) string {
	switch {
	case s.Type.Is(openapi3.TypeInteger):
		return "a whole number"
	case s.Type.Is(openapi3.TypeBoolean):
		return "true or false"
	case s.Type.Is(openapi3.TypeArray):
		return "a list"
	case s.Type.Is(openapi3.TypeObject):
		return "an object"
	}
	return "a text"
}

// wantedSize says the bound that was passed.
func wantedSize(s *openapi3.SchemaError) string {
	switch s.SchemaField {
	case "minLength":
		if s.Schema.MinLength == 1 {
			return "This cannot be empty; fill it in."
		}
		return fmt.Sprintf("Send at least %d characters.", s.Schema.MinLength)
	case "maxLength":
		return fmt.Sprintf("Send at most %d characters.", *s.Schema.MaxLength)
	case "minimum":
		return fmt.Sprintf("Send at least %.0f.", *s.Schema.Min)
	case "maximum":
		return fmt.Sprintf("Send at most %.0f.", *s.Schema.Max)
	case "minItems":
		return fmt.Sprintf("Send at least %d of them.", s.Schema.MinItems)
	case "maxItems":
		return fmt.Sprintf("Send at most %d of them.", *s.Schema.MaxItems)
	}
	return "The value does not fit: " + s.SchemaField + "."
}
