package api

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
)

const requestIDKey = "benchtag.request"

// requestID names every request, so that a person can be helped.
func (s *Server) requestID(next echo.HandlerFunc) echo.HandlerFunc {
	return func(e echo.Context) error {
		var b [8]byte
		_, _ = rand.Read(b[:])
		id := hex.EncodeToString(b[:])
		e.Set(requestIDKey, id)
		e.Response().Header().Set("X-Request-ID", id)
		return next(e)
	}
}

func requestIDOf(e echo.Context) string {
	id, _ := e.Get(requestIDKey).(string)
	return id
}

// logged writes one line a request: the route's pattern, never the path,
// since a path may hold a secret or an id; no header, no body, no name.
func (s *Server) logged(next echo.HandlerFunc) echo.HandlerFunc {
	return func(e echo.Context) error {
		start := time.Now()
		err := next(e)
		if err != nil {
			s.onError(err, e)
		}
		s.Log.LogAttrs(e.Request().Context(), slog.LevelInfo, "request",
			slog.String("request_id", requestIDOf(e)), slog.String("method", plainMethod(e.Request().Method)),
			slog.String("route", e.Path()), slog.Int("status", e.Response().Status),
			slog.Int64("bytes", e.Response().Size), slog.Duration("took", time.Since(start)))
		return nil
	}
}

// plainMethod keeps made-up methods out of the log.
func plainMethod(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodDelete, http.MethodOptions, http.MethodPatch:
		return method
	}
	return "other"
}

// recovered turns a panic into a 500 and keeps serving.
func (s *Server) recovered(next echo.HandlerFunc) echo.HandlerFunc {
	return func(e echo.Context) (err error) {
		defer func() {
			if r := recover(); r != nil {
				if r == http.ErrAbortHandler {
					panic(r)
				}
				s.Log.ErrorContext(e.Request().Context(), "panic", slog.String("request_id", requestIDOf(e)), slog.String("stack", string(debug.Stack())))
				err = fmt.Errorf("api: panic: %T", r)
			}
		}()
		return next(e)
	}
}

// headers sets what every answer carries.
func (s *Server) headers(next echo.HandlerFunc) echo.HandlerFunc {
	return func(e echo.Context) error {
		h := e.Response().Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cache-Control", "no-store")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
		if s.App != nil && strings.HasPrefix(s.App.PublicURL, "https://") {
			h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
		}
		return next(e)
	}
}
