// Package api serves JSON over HTTP. It parses, calls one use case and
// renders; it decides nothing. echo lives here alone.
package api

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
)

// Options are what a server needs.
type Options struct {
	App    *app.App
	Log    *slog.Logger
	Access AccessReader
	// Pages serves the addresses outside /v1: the plain page, the reading
	// page, the customer's link. It may be nil in tests.
	Pages Pages
	// InsecureHTTP allows cookies without TLS, for a network of one's own.
	InsecureHTTP bool
	// TrustedProxies may say where a request comes from; all others may not.
	TrustedProxies []*net.IPNet
	// Contract is the OpenAPI document.
	Contract []byte
	// Leaving reports that the process is about to stop, so that others send
	// no more requests; nil is never.
	Leaving func() bool
	// Now is the clock of rate limits.
	Now func() time.Time
}

// AccessReader reads access tokens; see auth/token.
type AccessReader interface {
	ReadAccess(token string) (app.AccessClaims, error)
}

// Pages renders the addresses that are for people.
type Pages interface {
	// Home is the plain page at the root.
	Home(w http.ResponseWriter, r *http.Request)
	// Reading is the contract, rendered.
	Reading(w http.ResponseWriter, r *http.Request)
	// Asset is a file that the pages need, by a name that holds its hash.
	Asset(w http.ResponseWriter, r *http.Request, name string)
	// Staff is the page that loads the staff app.
	Staff(w http.ResponseWriter, r *http.Request)
	// StaffFile is a file of the staff app, below the hash of its tree.
	StaffFile(w http.ResponseWriter, r *http.Request, hash, name string)
	// Verify is the page that checks receipts, whole in one file.
	Verify(w http.ResponseWriter, r *http.Request)
	// Link shows an offer to the customer, takes the answer and shows the receipt.
	Link(w http.ResponseWriter, r *http.Request, visit app.LinkVisit)
	// Trouble is the page a customer's link shows when a request is refused
	// before it reaches Link.
	Trouble(w http.ResponseWriter, r *http.Request, err error)
}

// Server is the HTTP surface.
type Server struct {
	Options
	echo     *echo.Echo
	contract *contract
	limits   *limits
	uploads  *uploads
	recent   recentReads
}

// New builds the server: routes from the one policy table, middleware around.
func New(opt Options) (*Server, error) {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Log == nil {
		opt.Log = slog.New(slog.DiscardHandler)
	}
	c, err := readContract(opt.Contract)
	if err != nil {
		return nil, err
	}
	s := &Server{Options: opt, echo: echo.New(), contract: c, limits: newLimits(opt.Now), uploads: newUploads()}
	e := s.echo
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = s.onError
	e.IPExtractor = s.ipExtractor()
	e.Binder = refuseBinder{}
	e.Pre(s.requestID)
	e.Use(s.logged, s.recovered, s.headers)
	for _, r := range s.routes() {
		e.Add(r.Method, echoPath(r.Path), s.handle(r))
	}
	s.publicRoutes()
	return s, nil
}

// echoPath writes a contract's path as echo wants it.
func echoPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}

// ServeHTTP makes the server a handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.echo.ServeHTTP(w, r) }

// HTTPServer gives a net/http server with every timeout set.
func (s *Server) HTTPServer(addr string) *http.Server {
	return &http.Server{
		Addr: addr, Handler: s,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      60 * time.Second,
		IdleTimeout:       120 * time.Second,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn),
	}
}

// ipExtractor believes a forwarding header only from the proxies named.
func (s *Server) ipExtractor() echo.IPExtractor {
	if len(s.TrustedProxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trust := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, n := range s.TrustedProxies {
		trust = append(trust, echo.TrustIPRange(n))
	}
	return echo.ExtractIPFromXFFHeader(trust...)
}

// refuseBinder makes sure that nobody binds with echo: bodies are read
// strictly, in body.go.
type refuseBinder struct{}

func (refuseBinder) Bind(any, echo.Context) error {
	return fault.New(fault.Internal, "api.bind_used", "Something went wrong here.")
}

// requestTimeout bounds the work of one request; above the store's own waits.
const requestTimeout = 20 * time.Second

// handle is the way of every API request: limits, who it is, whether they
// may, what the contract says of the request, then the handler.
func (s *Server) handle(r route) echo.HandlerFunc {
	return func(e echo.Context) error {
		limit := requestTimeout
		if r.Bytes {
			limit = uploadTimeout
		}
		ctx, cancel := context.WithTimeout(e.Request().Context(), limit)
		defer cancel()
		e.SetRequest(e.Request().WithContext(ctx))
		e.Set(routeKey, r)
		c := &call{Context: e, server: s, route: r, ctx: ctx}
		if err := c.checkQuery(); err != nil {
			return err
		}
		if err := s.identify(c); err != nil {
			return err
		}
		if err := c.readBody(); err != nil {
			return err
		}
		if err := s.contract.check(c); err != nil {
			return err
		}
		if !r.Effect {
			return r.Do(c)
		}
		if err := c.prepare(); err != nil {
			return err
		}
		return c.once(r.Do)
	}
}

const routeKey = "benchtag.route"

// identify finds out who calls and whether their roles allow the route.
func (s *Server) identify(c *call) error {
	switch c.route.Allow {
	case anyone:
		return nil
	case tabletOnly:
		return s.identifyTablet(c)
	}
	token, err := bearer(c.Request())
	if err != nil {
		return err
	}
	claims, err := s.Access.ReadAccess(token)
	if err != nil {
		return err
	}
	caller, err := s.App.Authenticate(c.ctx, claims)
	if err != nil {
		return err
	}
	c.who, c.shop = caller.Who, caller.Shop
	if !c.route.Allow.permits(c.who) {
		return app.Forbidden()
	}
	return nil
}

func (s *Server) identifyTablet(c *call) error {
	if err := c.sameOrigin(); err != nil {
		return err
	}
	caller, err := s.App.AuthenticateTablet(c.ctx, c.cookie(tabletCookie))
	if err != nil {
		return err
	}
	c.who, c.shop = caller.Who, caller.Shop
	return nil
}

func bearer(r *http.Request) (string, error) {
	values := r.Header.Values("Authorization")
	if len(values) == 1 {
		if token, ok := strings.CutPrefix(values[0], "Bearer "); ok {
			return token, nil
		}
	}
	return "", fault.New(fault.Unauthenticated, "api.sign_in_first", "Sign in, then send the access token as Authorization: Bearer.")
}

// allow is a set of roles that may call a route.
type allow string

// Who may call.
const (
	anyone     allow = "anyone"
	tabletOnly allow = "enrolled tablet"
	anyStaff   allow = "any staff"
	counter    allow = "advisor or owner"
	ownerOnly  allow = "owner"
)

func (a allow) permits(who auth.Principal) bool {
	switch a {
	case anyone:
		return true
	case anyStaff:
		return who.StaffID != ""
	case counter:
		return who.Has(auth.RoleAdvisor) || who.Has(auth.RoleOwner)
	case ownerOnly:
		return who.Has(auth.RoleOwner)
	}
	return false
}
