// Package openapi carries the contract of the API.
package openapi

import _ "embed"

//go:embed openapi.yaml
var document []byte

// Document gives the contract as OpenAPI 3.0.3 in YAML.
func Document() []byte { return append([]byte(nil), document...) }
