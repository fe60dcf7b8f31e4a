package api

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"benchtag/internal/fault"
)

// Problem is an error as clients see it (RFC 9457).
type Problem struct {
	Type      string      `json:"type"`
	Title     string      `json:"title"`
	Status    int         `json:"status"`
	Code      string      `json:"code"`
	RequestID string      `json:"request_id"`
	Fields    []FieldView `json:"fields,omitempty"`
	Gates     []GateView  `json:"gates,omitempty"`
}

// FieldView is one place that is wrong.
type FieldView struct {
	Pointer string `json:"pointer"`
	Message string `json:"message"`
}

// GateView is one thing that is still missing.
type GateView struct {
	Code    string  `json:"code"`
	Message string  `json:"message"`
	Where   string  `json:"where"`
	Subject *string `json:"subject"`
}

// statusOf is the one table from kinds of fault to HTTP.
func statusOf(kind fault.Kind) int {
	switch kind {
	case fault.Shape:
		return http.StatusBadRequest
	case fault.Unauthenticated:
		return http.StatusUnauthorized
	case fault.Forbidden:
		return http.StatusForbidden
	case fault.NotFound:
		return http.StatusNotFound
	case fault.MethodNotAllowed:
		return http.StatusMethodNotAllowed
	case fault.Conflict, fault.Gates, fault.ExistsAlready:
		return http.StatusConflict
	case fault.Gone:
		return http.StatusGone
	case fault.VersionStale:
		return http.StatusPreconditionFailed
	case fault.TooLarge:
		return http.StatusRequestEntityTooLarge
	case fault.Media:
		return http.StatusUnsupportedMediaType
	case fault.Meaning:
		return http.StatusUnprocessableEntity
	case fault.VersionMissing:
		return http.StatusPreconditionRequired
	case fault.TooMany:
		return http.StatusTooManyRequests
	case fault.Unavailable:
		return http.StatusServiceUnavailable
	case fault.NoRoom:
		return http.StatusInsufficientStorage
	}
	return http.StatusInternalServerError
}

// faultOf turns any error into a fault. What is not one of ours is Internal,
// and says nothing of itself.
func faultOf(err error) *fault.Error {
	var f *fault.Error
	if errors.As(err, &f) && f.Kind != fault.Internal {
		return f
	}
	var h *echo.HTTPError
	if errors.As(err, &h) {
		switch h.Code {
		case http.StatusNotFound:
			return fault.New(fault.NotFound, "api.address_unknown", "There is nothing at this address.")
		case http.StatusMethodNotAllowed:
			return fault.New(fault.MethodNotAllowed, "api.method_unknown", "This address does not take this method.")
		}
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		f := fault.New(fault.Unavailable, "api.timeout", "This took too long; try again.").Because(err)
		f.RetryAfter = 1
		return f
	}
	return fault.New(fault.Internal, "api.internal", "Something went wrong here. Nothing was changed; try again, and tell whoever runs this server the request id.").Because(err)
}

// onError answers every error of every route.
func (s *Server) onError(err error, e echo.Context) {
	if e.Response().Committed {
		return
	}
	f := faultOf(err)
	p := Problem{Type: "about:blank", Title: f.Message, Status: statusOf(f.Kind), Code: f.Code, RequestID: requestIDOf(e)}
	for _, field := range f.Fields {
		p.Fields = append(p.Fields, FieldView(field))
	}
	p.Gates = gateViews(f.Gates)
	if f.Kind == fault.Internal {
		s.Log.ErrorContext(e.Request().Context(), "request failed", slog.String("request_id", p.RequestID), slog.String("code", f.Code), slog.Any("cause", f.Cause))
	}
	if f.RetryAfter > 0 {
		e.Response().Header().Set("Retry-After", strconv.Itoa(f.RetryAfter))
	}
	if f.Kind == fault.Unauthenticated {
		e.Response().Header().Set("WWW-Authenticate", "Bearer")
	}
	body, err := json.Marshal(p)
	if err != nil {
		body = []byte(`{"type":"about:blank"}`)
	}
	if e.Request().Method == http.MethodHead {
		_ = e.NoContent(p.Status)
		return
	}
	_ = e.Blob(p.Status, "application/problem+json", body)
}

func gateViews(gates []fault.Gate) []GateView {
	views := make([]GateView, 0, len(gates))
	for _, g := range gates {
		v := GateView{Code: g.Code, Message: g.Message, Where: g.Where}
		if g.Subject != "" {
			v.Subject = &g.Subject
		}
		views = append(views, v)
	}
	if len(views) == 0 {
		return nil
	}
	return views
}
