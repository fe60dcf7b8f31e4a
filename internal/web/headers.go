package web

import (
	"mime"
	"net/http"
	"strconv"
)

// policy lets a page have the stylesheet, pictures and forms of its own origin,
// and nothing else.
const policy = "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// commonHeaders are those of every page.
func commonHeaders(h http.Header) {
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
}

// openHeaders are those of pages that hold nobody's data.
func openHeaders(h http.Header) {
	commonHeaders(h)
	h.Set("Cache-Control", "no-cache")
}

// secretHeaders are those of a page whose address is a secret: no cache keeps
// it, no other site learns of it, no search engine lists it.
func secretHeaders(h http.Header) {
	commonHeaders(h)
	h.Set("Cache-Control", "no-store")
	h.Set("X-Robots-Tag", "noindex, nofollow")
}

// write sends the bytes, or their length alone where HEAD asked.
func write(w http.ResponseWriter, r *http.Request, status int, body []byte) {
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method == http.MethodHead {
		return
	}
	// A client that went away is not an error of ours.
	_, _ = w.Write(body)
}

// sameOrigin reports whether a form was sent by a page of this server.
//
// A page with "no-referrer" makes the browser send "Origin: null" with its
// own forms (Fetch standard, "append a request Origin header"). Where the
// browser also says Sec-Fetch-Site, that decides. It says nothing on plain
// HTTP, nor do old browsers; there "null" is let pass, since only the secret
// in the path, never a cookie, gives the right to answer.
func (p *Pages) sameOrigin(r *http.Request) bool {
	if r.Header.Get("Sec-Fetch-Site") == "" && r.Header.Get("Origin") == "null" {
		return true
	}
	return p.origin.Check(r) == nil
}

// isForm reports whether the body is an HTML form's.
func isForm(r *http.Request) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && kind == "application/x-www-form-urlencoded"
}
