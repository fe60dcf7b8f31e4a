package api

import (
	"encoding/base64"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
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
	pathKeys     = "/journal"
	pathLink     = "/c/:token"
	pathCheck    = "/c/:token/check"
	pathDecide   = "/c/:token/decide"
	pathReceipt  = "/c/:token/receipt"
	pathPhoto    = "/c/:token/photo/:id"
	pathPreview  = "/c/:token/photo/:id/small"
	pathAsk      = "/c/:token/ask"
)

func (s *Server) publicRoutes() {
	e := s.echo
	e.GET(pathLive, func(e echo.Context) error { return e.String(http.StatusOK, "alive\n") })
	e.GET(pathReady, s.ready)
	e.GET(pathContract, func(e echo.Context) error {
		return e.Blob(http.StatusOK, "application/yaml; charset=utf-8", s.Contract)
	})
	for _, path := range labelPaths() {
		e.Match([]string{http.MethodGet, http.MethodHead}, path, s.label)
	}
	e.Match([]string{http.MethodGet, http.MethodHead}, pathKeys, s.journalKeys)
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
	e.Match(show, pathPhoto, s.linkPhoto(app.PhotoFull))
	e.Match(show, pathPreview, s.linkPhoto(app.PhotoSmall))
	e.POST(pathAsk, s.link("ask"))
}

// labelPaths are where the QR code of a label leads, in capitals as well,
// since it is printed in them.
func labelPaths() []string { return []string{"/t/:label", "/T/:label"} }

// label is what a stranger's phone shows of a label: the same for every
// address, so that it tells neither whose a label is nor whether there is one.
// People who work here scan it where they are signed in.
func (s *Server) label(e echo.Context) error {
	if err := s.limits.take("label-ip "+e.RealIP(), linkPerIP); err != nil {
		return err
	}
	h := e.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Set("X-Robots-Tag", "noindex, nofollow")
	return e.String(http.StatusOK, "This label belongs to a workshop. Please hand it in there.\n")
}

// journalKeys shows everybody by which key the journals kept here are signed,
// to be compared with what a receipt or a letter names. The key is one for all
// shops, so that this tells of none.
func (s *Server) journalKeys(e echo.Context) error {
	if err := s.limits.take("keys-ip "+e.RealIP(), linkPerIP); err != nil {
		return err
	}
	keys, err := s.App.PublicKeys()
	if err != nil {
		return err
	}
	var page strings.Builder
	page.WriteString("Keys of the journals kept here\n\n" +
		"Every receipt of an answer and every signed state of a journal names the key that signed it.\n" +
		"Its fingerprint must be one of these. Check a receipt on the page /verify of this server.\n" +
		"A page can be forged: compare with the shop's printed papers as well, or call the shop.\n")
	for _, k := range keys {
		until := "it signs now"
		if !k.Until.IsZero() {
			until = "it signed until " + k.Until.UTC().Format(time.RFC3339)
		}
		page.WriteString("\nFingerprint   " + k.Key.Fingerprint() + "\n" +
			"Ed25519 key   " + base64.StdEncoding.EncodeToString(k.Key.Public[:]) + "\n" +
			"Since         " + k.From.UTC().Format(time.RFC3339) + "; " + until + "\n")
	}
	if len(keys) == 0 {
		page.WriteString("\nThere is none: nothing is signed here.\n")
	}
	e.Response().Header().Set("Cache-Control", "no-store")
	return e.String(http.StatusOK, page.String())
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

// linkPhoto serves a photo of an offer to the customer, by the rules of the
// page itself: looking changes nothing, nobody keeps it, and a link that is
// closed shows nothing.
func (s *Server) linkPhoto(size app.PhotoSize) echo.HandlerFunc {
	return func(e echo.Context) error {
		file, err := s.linkPhotoFile(e, size)
		if err != nil {
			s.Pages.Trouble(e.Response(), e.Request(), err)
			return nil
		}
		h := e.Response().Header()
		h.Set("X-Robots-Tag", "noindex, nofollow")
		h.Set("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'")
		h.Set("Content-Disposition", `inline; filename="`+file.DisplayName()+`"`)
		h.Set("Content-Length", strconv.Itoa(len(file.Content)))
		if e.Request().Method == http.MethodHead {
			h.Set("Content-Type", file.MediaType)
			return e.NoContent(http.StatusOK)
		}
		return e.Blob(http.StatusOK, file.MediaType, file.Content)
	}
}

func (s *Server) linkPhotoFile(e echo.Context, size app.PhotoSize) (app.PhotoFile, error) {
	if err := s.limits.take("link-photo "+app.HashText(e.Param("token"))+" "+e.RealIP(), linkPhotos); err != nil {
		return app.PhotoFile{}, err
	}
	return s.App.LinkPhoto(e.Request().Context(), e.Param("token"), shop.PhotoID(e.Param("id")), size)
}
