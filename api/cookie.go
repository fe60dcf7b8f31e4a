package api

import (
	"net/http"
	"time"

	"benchtag/internal/fault"
)

// setCookie gives the browser a secret that no script can read and that goes
// to this host alone (trust R13).
func (c *call) setCookie(name, value string, keep time.Duration) {
	c.SetCookie(&http.Cookie{Name: c.server.cookieName(name), Value: value, Path: "/", MaxAge: int(keep / time.Second),
		HttpOnly: true, Secure: !c.server.InsecureHTTP, SameSite: http.SameSiteStrictMode})
}

// dropCookie makes the browser forget a cookie it sent.
func (c *call) dropCookie(name string) {
	if c.cookie(name) != "" {
		c.setCookie(name, "", -time.Second)
	}
}

// sameOrigin refuses a request that another site made the browser send, where
// a cookie speaks for it or a cookie is to be set.
func (c *call) sameOrigin() error {
	if err := http.NewCrossOriginProtection().Check(c.Request()); err != nil {
		return fault.New(fault.Forbidden, "api.cross_origin", "Another site sent this request; open the page of this server itself.").Because(err)
	}
	return nil
}
