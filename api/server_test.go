package api_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/openapi"
)

// logBook keeps what is logged.
type logBook struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (b *logBook) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.Write(p)
}

func (b *logBook) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.String()
}

// bareServer is a server without a database, for what happens before one is asked.
func bareServer(t testing.TB, change func(*api.Options)) *api.Server {
	t.Helper()
	opt := api.Options{App: &app.App{}, Contract: openapi.Document()}
	if change != nil {
		change(&opt)
	}
	s, err := api.New(opt)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestStrictTransport makes sure that a browser which was here over TLS comes
// back that way alone, and that plain HTTP promises nothing.
func TestStrictTransport(t *testing.T) {
	t.Parallel()
	for public, want := range map[string]string{
		"https://shop.example":  "max-age=31536000; includeSubDomains",
		"http://127.0.0.1:8080": "",
	} {
		s := bareServer(t, func(o *api.Options) { o.App = &app.App{Options: app.Options{PublicURL: public}} })
		for _, path := range []string{"/livez", "/nowhere"} {
			got := serve(s, httptest.NewRequest(http.MethodGet, path, nil)).Header.Get("Strict-Transport-Security")
			if got != want {
				t.Errorf("%s, %s: Strict-Transport-Security %q, want %q", public, path, got, want)
			}
		}
	}
}

func serve(s http.Handler, r *http.Request) *http.Response {
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

// wantAnswer holds an answer against a status and, if there is one, the code
// of its problem; every answer carries the headers of every answer.
func wantAnswer(t testing.TB, res *http.Response, status int, code string) {
	t.Helper()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	if res.StatusCode != status {
		t.Errorf("status %d, want %d: %s", res.StatusCode, status, body)
	}
	wantHeaders(t, res)
	if status < 400 {
		return
	}
	if kind := res.Header.Get("Content-Type"); kind != "application/problem+json" {
		t.Errorf("a problem of the type %q", kind)
	}
	var p api.Problem
	if err := json.Unmarshal(body, &p); err != nil {
		t.Fatalf("the problem is no JSON: %v: %s", err, body)
	}
	if code != "" && p.Code != code || p.Status != status || p.RequestID == "" || p.Title == "" || p.Type != "about:blank" {
		t.Errorf("problem %+v, want the code %s", p, code)
	}
	if p.RequestID != res.Header.Get("X-Request-ID") {
		t.Errorf("the problem is of request %s, the answer of %s", p.RequestID, res.Header.Get("X-Request-ID"))
	}
}

func wantHeaders(t testing.TB, res *http.Response) {
	t.Helper()
	for name, want := range map[string]string{
		"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store", "Referrer-Policy": "no-referrer",
		"Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin",
		"Permissions-Policy":      "camera=(), geolocation=(), microphone=()",
		"Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
	} {
		if got := res.Header.Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	if res.Header.Get("X-Request-ID") == "" {
		t.Error("the answer names no request")
	}
	for _, name := range []string{"Server", "X-Powered-By", "Access-Control-Allow-Origin"} {
		if got := res.Header.Get(name); got != "" {
			t.Errorf("%s is %q, want none", name, got)
		}
	}
}

// TestEveryKindHasAStatus walks all kinds of fault.
func TestEveryKindHasAStatus(t *testing.T) {
	t.Parallel()
	kinds := fault.Kinds()
	if len(kinds) < 10 {
		t.Fatalf("%d kinds", len(kinds))
	}
	for _, kind := range kinds {
		status := api.StatusOf(kind)
		if status < 400 || status > 599 || http.StatusText(status) == "" {
			t.Errorf("kind %v has the status %d", kind, status)
		}
		if internal := status == 500; internal != (kind == fault.Internal) {
			t.Errorf("kind %v has the status %d", kind, status)
		}
	}
	if api.StatusOf(fault.Kind(9999)) != 500 {
		t.Error("a kind that is none is not our own fault")
	}
}

// TestFaultsReachTheClient sends every kind of fault through a handler.
func TestFaultsReachTheClient(t *testing.T) {
	t.Parallel()
	for _, kind := range fault.Kinds() {
		s := bareServer(t, nil)
		f := fault.New(kind, "app.some_problem", "Do something.").Because(errors.New("SELECT secret FROM /srv/data"))
		f.RetryAfter, f.Fields = 3, []fault.Field{{Pointer: "/a", Message: "b"}}
		f.Gates = []fault.Gate{{Code: "flow.a_missing", Message: "Do a.", Where: "findings"}}
		s.Probe("signOut", "anyone", func(map[string]any, string) error { return fmt.Errorf("around: %w", f) })
		res := serve(s, httptest.NewRequest(http.MethodPost, "/v1/sign-out", nil))
		code := "app.some_problem"
		if kind == fault.Internal {
			code = "api.internal"
		} else if res.Header.Get("Retry-After") != "3" {
			t.Errorf("kind %v: Retry-After is %q", kind, res.Header.Get("Retry-After"))
		}
		body, _ := io.ReadAll(res.Body)
		for _, secret := range []string{"SELECT", "/srv", "around"} {
			if bytes.Contains(body, []byte(secret)) {
				t.Errorf("kind %v: the body says %s: %s", kind, secret, body)
			}
		}
		if kind != fault.Internal && (!bytes.Contains(body, []byte(`"pointer":"/a"`)) || !bytes.Contains(body, []byte(`"where":"findings"`))) {
			t.Errorf("kind %v: fields and gates are lost: %s", kind, body)
		}
		res.Body = io.NopCloser(bytes.NewReader(body))
		wantAnswer(t, res, api.StatusOf(kind), code)
	}
}

// TestPanic proves that a panic is answered, told nobody, and that the server
// lives on.
func TestPanic(t *testing.T) {
	t.Parallel()
	book := &logBook{}
	s := bareServer(t, func(o *api.Options) { o.Log = slog.New(slog.NewJSONHandler(book, nil)) })
	s.Probe("signOut", "anyone", func(map[string]any, string) error { panic("the secret of the panic") })
	for range 2 {
		res := serve(s, httptest.NewRequest(http.MethodPost, "/v1/sign-out", nil))
		body, _ := io.ReadAll(res.Body)
		for _, secret := range []string{"secret", "goroutine", ".go", "runtime"} {
			if bytes.Contains(body, []byte(secret)) {
				t.Errorf("the body says %s: %s", secret, body)
			}
		}
		res.Body = io.NopCloser(bytes.NewReader(body))
		wantAnswer(t, res, 500, "api.internal")
	}
	if log := book.String(); !strings.Contains(log, "goroutine") || strings.Contains(log, "the secret of the panic") {
		t.Errorf("the log holds no stack, or the panic's value: %s", log)
	}
	wantAnswer(t, serve(s, httptest.NewRequest(http.MethodGet, "/livez", nil)), 200, "")
}

// TestHeadersOnEveryAnswer asks at addresses there are and are not.
func TestHeadersOnEveryAnswer(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	for _, tt := range []struct {
		method, path string
		status       int
		code         string
	}{
		{"GET", "/livez", 200, ""},
		{"GET", "/openapi.yaml", 200, ""},
		{"GET", "/v1/no-such", 404, "api.address_unknown"},
		{"GET", "/../../etc/passwd", 404, "api.address_unknown"},
		{"GET", "/v1", 404, "api.address_unknown"},
		{"DELETE", "/livez", 405, "api.method_unknown"},
		{"TRACE", "/livez", 405, "api.method_unknown"},
		{"MADEUP", "/livez", 405, "api.method_unknown"},
	} {
		t.Run(tt.method+tt.path, func(t *testing.T) {
			t.Parallel()
			res := serve(s, httptest.NewRequest(tt.method, tt.path, nil))
			wantAnswer(t, res, tt.status, tt.code)
			if tt.status == 405 && !strings.Contains(res.Header.Get("Allow"), "GET") {
				t.Errorf("Allow is %q", res.Header.Get("Allow"))
			}
		})
	}
}

// pages serves the customer's link, and nothing of it.
type pages struct{}

func (pages) Home(w http.ResponseWriter, _ *http.Request)                  { w.WriteHeader(200) }
func (pages) Reading(w http.ResponseWriter, _ *http.Request)               { w.WriteHeader(200) }
func (pages) Link(w http.ResponseWriter, _ *http.Request, _ app.LinkVisit) { w.WriteHeader(200) }
func (pages) Staff(w http.ResponseWriter, _ *http.Request)                 { w.WriteHeader(http.StatusOK) }
func (pages) StaffFile(w http.ResponseWriter, _ *http.Request, _, _ string) {
	w.WriteHeader(http.StatusOK)
}
func (pages) Asset(w http.ResponseWriter, _ *http.Request, _ string)  { w.WriteHeader(200) }
func (pages) Verify(w http.ResponseWriter, _ *http.Request)           { w.WriteHeader(200) }
func (pages) Trouble(w http.ResponseWriter, _ *http.Request, _ error) { w.WriteHeader(429) }

// TestLogHoldsNoSecret proves that no part of an address, query, header or
// body reaches the log.
func TestLogHoldsNoSecret(t *testing.T) {
	t.Parallel()
	const secret = "SECRET0123456789"
	book := &logBook{}
	s := bareServer(t, func(o *api.Options) {
		o.Log, o.Pages = slog.New(slog.NewJSONHandler(book, &slog.HandlerOptions{Level: slog.LevelDebug})), pages{}
	})
	s.Probe("signIn", "anyone", func(map[string]any, string) error { return errors.New("broken") })
	requests := 0
	for _, r := range []*http.Request{
		httptest.NewRequest("GET", "/c/"+secret, nil),
		httptest.NewRequest("GET", "/c/"+secret+"/no-such", nil),
		httptest.NewRequest("POST", "/c/"+secret+"/check", strings.NewReader("a="+secret)),
		httptest.NewRequest("PUT", "/c/"+secret, nil),
		httptest.NewRequest("GET", "/"+secret, nil),
		httptest.NewRequest("GET", "/v1/jobs/"+secret, nil),
		httptest.NewRequest("GET", "/livez?token="+secret, nil),
		httptest.NewRequest(secret, "/livez", nil),
		httptest.NewRequest("POST", "/v1/sign-in", strings.NewReader(`{"shop":"a-shop","login":"`+secret+`","password":"`+secret+`"}`)),
		httptest.NewRequest("POST", "/v1/sign-in", strings.NewReader(`{"`+secret+`":1}`)),
	} {
		r.Header.Set("Authorization", "Bearer "+secret)
		r.Header.Set("Cookie", "__Host-benchtag_tablet="+secret)
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("X-Request-ID", secret)
		serve(s, r)
		requests++
	}
	log := book.String()
	if strings.Contains(log, secret[:12]) {
		t.Errorf("the log holds a secret:\n%s", log)
	}
	if lines := strings.Count(log, `"msg":"request"`); lines != requests {
		t.Errorf("%d requests left %d lines", requests, lines)
	}
}

// TestWhereARequestComesFrom proves that only a proxy that was named is
// believed.
func TestWhereARequestComesFrom(t *testing.T) {
	t.Parallel()
	_, proxies, err := net.ParseCIDR("192.0.2.0/24")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, from string
		trusted    []*net.IPNet
		header     http.Header
		want       string
	}{
		{"nobody is trusted", "192.0.2.7:1", nil, http.Header{"X-Forwarded-For": {"203.0.113.9"}, "X-Real-Ip": {"203.0.113.9"}, "Forwarded": {"for=203.0.113.9"}}, "192.0.2.7"},
		{"this machine is not trusted either", "127.0.0.1:1", nil, http.Header{"X-Forwarded-For": {"203.0.113.9"}}, "127.0.0.1"},
		{"the proxy is", "192.0.2.7:1", []*net.IPNet{proxies}, http.Header{"X-Forwarded-For": {"203.0.113.9"}}, "203.0.113.9"},
		{"what the client put before is not", "192.0.2.7:1", []*net.IPNet{proxies}, http.Header{"X-Forwarded-For": {"198.51.100.1, 203.0.113.9"}}, "203.0.113.9"},
		{"another is not", "198.51.100.7:1", []*net.IPNet{proxies}, http.Header{"X-Forwarded-For": {"203.0.113.9"}}, "198.51.100.7"},
		{"this machine is not, beside a named proxy", "127.0.0.1:1", []*net.IPNet{proxies}, http.Header{"X-Forwarded-For": {"203.0.113.9"}}, "127.0.0.1"},
		{"a private net is not, beside a named proxy", "10.0.0.1:1", []*net.IPNet{proxies}, http.Header{"X-Forwarded-For": {"203.0.113.9"}}, "10.0.0.1"},
		{"X-Real-IP is never", "192.0.2.7:1", []*net.IPNet{proxies}, http.Header{"X-Real-Ip": {"203.0.113.9"}}, "192.0.2.7"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := bareServer(t, func(o *api.Options) { o.TrustedProxies = tt.trusted })
			got := ""
			s.Probe("signOut", "anyone", func(_ map[string]any, ip string) error { got = ip; return nil })
			r := httptest.NewRequest(http.MethodPost, "/v1/sign-out", nil)
			r.RemoteAddr, r.Header = tt.from, tt.header
			wantAnswer(t, serve(s, r), 204, "")
			if got != tt.want {
				t.Errorf("it comes from %s, want %s", got, tt.want)
			}
		})
	}
}

// TestSlowConnections proves that a connection that dawdles is closed. The
// timeouts are shortened; that they are set at all is looked at first.
func TestSlowConnections(t *testing.T) {
	t.Parallel()
	s := bareServer(t, nil)
	s.Probe("signIn", "anyone", func(map[string]any, string) error { return nil })
	server := s.HTTPServer("127.0.0.1:0")
	if server.ReadHeaderTimeout > 5*time.Second || server.ReadTimeout > 15*time.Second || server.WriteTimeout > time.Minute ||
		server.IdleTimeout > 2*time.Minute || server.MaxHeaderBytes > 16<<10 ||
		server.ReadHeaderTimeout <= 0 || server.ReadTimeout <= 0 || server.WriteTimeout <= 0 || server.IdleTimeout <= 0 || server.MaxHeaderBytes <= 0 {
		t.Errorf("the timeouts are %+v", server)
	}
	server.ReadHeaderTimeout, server.ReadTimeout, server.IdleTimeout = 150*time.Millisecond, 300*time.Millisecond, 150*time.Millisecond
	listener, err := net.Listen("tcp", server.Addr)
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = server.Serve(listener) }()
	t.Cleanup(func() { _ = server.Close() })
	for name, text := range map[string]string{
		"nothing":       "",
		"half a header": "GET /livez HTTP/1.1\r\nHost: x\r\nX-A: ",
		"half a body":   "POST /v1/sign-in HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{\"shop\":",
		"half a chunk":  "POST /v1/sign-in HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n10\r\n{",
		"idle":          "GET /livez HTTP/1.1\r\nHost: x\r\n\r\n",
		"a huge header": "GET /livez HTTP/1.1\r\nHost: x\r\nX-A: " + strings.Repeat("a", 64<<10) + "\r\n\r\n",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			conn, err := net.Dial("tcp", listener.Addr().String())
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close()
			_, _ = io.WriteString(conn, text)
			// Far above the timeouts: reached only if nothing closes it.
			if err := conn.SetReadDeadline(time.Now().Add(30 * time.Second)); err != nil {
				t.Fatal(err)
			}
			_, err = io.Copy(io.Discard, conn)
			var timeout net.Error
			if errors.As(err, &timeout) && timeout.Timeout() {
				t.Error("the connection was left open")
			}
		})
	}
}
