package api

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"

	"benchtag/internal/fault"
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
	openapi3.DefineStringFormatValidator("uuid", openapi3.NewRegexpFormatValidator(uuidForm))
	loader := openapi3.NewLoader()
	doc, err := loader.LoadFromData(document)
	if err != nil {
		return nil, fmt.Errorf("api: read the contract: %w", err)
	}
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
	input := &openapi3filter.RequestValidationInput{
		Request:     c.Request(),
		PathParams:  pathParams(c),
		QueryParams: c.QueryParams(),
		Route:       &routers.Route{Spec: k.doc, Path: c.route.Path, PathItem: item, Method: c.route.Method, Operation: op},
		Options:     &openapi3filter.Options{AuthenticationFunc: openapi3filter.NoopAuthenticationFunc, MultiError: true, ExcludeRequestBody: true},
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
		return notJSON(err)
	}
	err = media.Schema.Value.VisitJSON(value, openapi3.MultiErrors(), openapi3.VisitAsRequest())
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
		f.Fields = append(f.Fields, fault.Field{Pointer: "/" + strings.Join(s.JSONPointer(), "/"), Message: plainReason(s)})
		if len(f.Fields) >= 20 {
			return
		}
	}
}

// plainReason gives the schema's reason in a sentence, without the value:
// what was sent may be personal.
func plainReason(err error) string {
	var s *openapi3.SchemaError
	if !errors.As(err, &s) {
		return "The value is missing or does not fit."
	}
	switch s.SchemaField {
	case "enum":
		return "The value is not one of the choices the contract lists."
	case "required":
		return "A required field is missing: " + s.Reason + "."
	case "properties":
		return "There is an unknown field: " + s.Reason + "."
	case "format", "pattern":
		return "The text has the wrong form."
	}
	return "The value does not fit: " + s.SchemaField + "."
}
