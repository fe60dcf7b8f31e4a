package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"benchtag/internal/app"
	"benchtag/internal/fault"
)

// Addresses outside the contract's policy table, listed so that the test of
// all routes knows them.
const (
	pathLive     = "/livez"
	pathReady    = "/readyz"
	pathHome     = "/"
	pathReading  = "/api"
	pathContract = "/openapi.yaml"
	pathAsset    = "/web/:name"
	pathStaff    = "/s"
	pathScreen   = "/s/*"
	pathTree     = "/a/:hash/*"
	pathVerify   = "/verify"
	pathLink     = "/c/:token"
	pathCheck    = "/c/:token/check"
	pathDecide   = "/c/:token/decide"
	pathReceipt  = "/c/:token/receipt"
)

func (s *Server) publicRoutes() {
	e := s.echo
	e.GET(pathLive, func(e echo.Context) error { return e.String(http.StatusOK, "alive\n") })
	e.GET(pathReady, s.ready)
	e.GET(pathContract, func(e echo.Context) error {
		return e.Blob(http.StatusOK, "application/yaml; charset=utf-8", s.Contract)
	})
	if s.Pages == nil {
		return
	}
	show := []string{http.MethodGet, http.MethodHead}
	e.Match(show, pathHome, func(e echo.Context) error { s.Pages.Home(e.Response(), e.Request()); return nil })
	e.Match(show, pathReading, func(e echo.Context) error { s.Pages.Reading(e.Response(), e.Request()); return nil })
	e.Match(show, pathAsset, func(e echo.Context) error {
		s.Pages.Asset(e.Response(), e.Request(), e.Param("name"))
		return nil
	})
	for _, path := range []string{pathStaff, pathScreen} {
		e.Match(show, path, func(e echo.Context) error { s.Pages.Staff(e.Response(), e.Request()); return nil })
	}
	e.Match(show, pathTree, func(e echo.Context) error {
		s.Pages.StaffFile(e.Response(), e.Request(), e.Param("hash"), e.Param("*"))
		return nil
	})
	e.Match(show, pathVerify, func(e echo.Context) error { s.Pages.Verify(e.Response(), e.Request()); return nil })
	e.Match(show, pathLink, s.link(""))
	e.Match(show, pathReceipt, s.link("receipt"))
	e.POST(pathCheck, s.link("check"))
	e.POST(pathDecide, s.link("decide"))
}

// ready answers whether this process can serve.
func (s *Server) ready(e echo.Context) error {
	if s.Leaving != nil && s.Leaving() {
		return fault.New(fault.Unavailable, "api.leaving", "This server is stopping.")
	}
	if err := s.App.Store.Ready(e.Request().Context()); err != nil {
		return fault.New(fault.Unavailable, "api.not_ready", "This server is not ready: its database cannot be used.").Because(err)
	}
	return e.String(http.StatusOK, "ready\n")
}

// link serves the customer's page, its limits counted first. The key of a
// limit is the hash of the token, so that no secret stays in memory.
func (s *Server) link(step string) echo.HandlerFunc {
	return func(e echo.Context) error {
		token := e.Param("token")
		if err := s.takeLink(app.LinkVisit{Token: token, Step: step, IP: e.RealIP()}); err != nil {
			s.Pages.Trouble(e.Response(), e.Request(), err)
			return nil
		}
		e.Request().Body = http.MaxBytesReader(e.Response(), e.Request().Body, 16<<10)
		s.Pages.Link(e.Response(), e.Request(), app.LinkVisit{Token: token, Step: step, IP: e.RealIP(), UserAgent: e.Request().UserAgent()})
		if e.Response().Status == http.StatusNotFound {
			s.unknownLink()
		}
		return nil
	}
}

// unknownLink counts an address of a link that there is not. So many of them
// within a minute are no mistyped links but somebody guessing: the log says
// so, once a minute, for whoever watches it.
func (s *Server) unknownLink() {
	if s.limits.take("link unknown", unknownLinks) == nil || s.limits.take("link unknown told", oncePerMinute) != nil {
		return
	}
	s.Log.Warn("many unknown link addresses were asked for within a minute; somebody may be guessing", "at_least", unknownLinks.n+1)
}

// takeLink counts one request of a link, by address and by link. Looking is
// counted for each address apart: a mail scanner that follows the link over
// and over must not keep the customer from answering.
func (s *Server) takeLink(visit app.LinkVisit) error {
	if err := s.limits.take("link-ip "+visit.IP, linkPerIP); err != nil {
		return err
	}
	key := "link " + app.HashText(visit.Token)
	if visit.Step == "" || visit.Step == "receipt" {
		key += " " + visit.IP
	}
	return s.limits.take(key, perLink)
}
