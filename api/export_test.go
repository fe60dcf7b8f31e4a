package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"benchtag/internal/fault"
)

// What the tests outside the package reach inside it.

// ReadCursor is readCursor.
func ReadCursor(text string) (string, bool) { return readCursor(text) }

// WriteCursor is writeCursor.
func WriteCursor(after string) string { return writeCursor(after) }

// ParseVersion is parseVersion.
func ParseVersion(text string) (int64, error) { return parseVersion(text) }

// StatusOf is statusOf.
func StatusOf(kind fault.Kind) int { return statusOf(kind) }

// MaxBody is the most bytes of a JSON body.
const MaxBody = maxBody

// Probe puts do in the place of the handler of an operation, behind
// everything that stands before a handler. do gets the body as decoded into a
// map.
func (s *Server) Probe(operation string, allow string, do func(body map[string]any, ip string) error) {
	for path, item := range s.contract.paths {
		for method, op := range item.Operations() {
			if op.OperationID != operation {
				continue
			}
			r := route{Method: method, Path: path, Operation: operation, Allow: Allow(allow)}
			r.Do = func(c *call) error {
				var in map[string]any
				if len(c.body) > 0 {
					var err error
					if in, err = read[map[string]any](c); err != nil {
						return err
					}
				}
				if err := do(in, c.RealIP()); err != nil {
					return err
				}
				return c.nothing()
			}
			s.echo.Add(method, echoPath(path), s.handle(r))
		}
	}
}

// Allow reads who may call.
func Allow(text string) allow { return allow(text) }

// EchoHandler adds a handler of net/http, behind the middleware alone.
func (s *Server) EchoHandler(path string, h http.HandlerFunc) {
	s.echo.GET(path, func(e echo.Context) error { h(e.Response(), e.Request()); return nil })
}
