package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/wire"
)

// call is one request on its way through a handler.
type call struct {
	echo.Context
	ctx    context.Context
	server *Server
	route  route
	who    auth.Principal
	shop   shop.Shop
	body   []byte
	done   bool
	answer answer
	// secret is the hash that Prepare made for the effect to store.
	secret app.SecretHash
	// seen is what the answer gives of what tells something of customers.
	seen app.Seen
}

// answer is what a handler gives: rendered once, so that it can be stored
// for replays.
type answer struct {
	status int
	etag   string
	body   []byte
}

func (c *call) currency() money.Currency { return money.Currency(c.shop.Currency) }

func (c *call) app() *app.App { return c.server.App }

// maxBody is the most a JSON body may hold.
const maxBody = 256 << 10

// readBody reads a JSON body whole and makes sure that it is one, strictly;
// a request without a body must have none.
func (c *call) readBody() error {
	r := c.Request()
	wants := c.server.contract.hasBody(c.route)
	if wants && c.route.Bytes {
		return nil // its handler reads it
	}
	if !wants {
		if r.ContentLength > 0 || (r.ContentLength < 0 && r.Body != http.NoBody) {
			return readNothing(r.Body)
		}
		return nil
	}
	if kinds := r.Header.Values("Content-Type"); len(kinds) != 1 || !isJSON(kinds[0]) {
		return fault.New(fault.Media, "api.not_json", "Send the body as application/json.")
	}
	if enc := strings.Join(r.Header.Values("Content-Encoding"), ", "); enc != "" && enc != "identity" {
		return fault.New(fault.Media, "api.encoding_refused", "Send the body without compression.")
	}
	body, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, maxBody))
	if err != nil {
		var tooLarge *http.MaxBytesError
		if errors.As(err, &tooLarge) {
			return fault.New(fault.TooLarge, "api.body_too_large", "The body is larger than 256 KiB; send less at once.")
		}
		return fault.New(fault.Shape, "api.body_broken", "The body ended early; send it again.").Because(err)
	}
	c.body = body
	return wire.Check(body)
}

func readNothing(body io.Reader) error {
	n, _ := io.CopyN(io.Discard, body, 1)
	if n > 0 {
		return fault.New(fault.Shape, "api.body_unexpected", "This address takes no body; send none.")
	}
	return nil
}

func isJSON(kind string) bool {
	kind, parameters, _ := strings.Cut(kind, ";")
	if strings.TrimSpace(strings.ToLower(kind)) != "application/json" {
		return false
	}
	parameters = strings.TrimSpace(strings.ToLower(parameters))
	return parameters == "" || parameters == "charset=utf-8"
}

// read decodes the body into dest, which mirrors the contract.
func read[T any](c *call) (T, error) {
	return wire.Decode[T](c.body)
}

// digest is the SHA-256 of the body, to know a resend.
func (c *call) digest() string {
	sum := sha256.Sum256(c.body)
	return hex.EncodeToString(sum[:])
}

// json renders an answer. versions above 0 become the ETag.
func (c *call) json(status int, version int64, view any) error {
	body, err := json.Marshal(view)
	if err != nil {
		return fmt.Errorf("api: render: %w", err)
	}
	c.answer = answer{status: status, body: body}
	if version > 0 {
		c.answer.etag = `"` + strconv.FormatInt(version, 10) + `"`
	}
	return c.flush()
}

// nothing answers 204.
func (c *call) nothing() error {
	c.answer = answer{status: http.StatusNoContent}
	return c.flush()
}

// flush writes the answer, unless a transaction around has yet to commit.
func (c *call) flush() error {
	if c.route.Effect && !c.done {
		return nil
	}
	h := c.Response().Header()
	if c.answer.etag != "" {
		h.Set("ETag", c.answer.etag)
	}
	if c.answer.status == http.StatusNoContent {
		return c.NoContent(c.answer.status)
	}
	if c.Request().Method == http.MethodGet && c.answer.etag != "" && c.Request().Header.Get("If-None-Match") == c.answer.etag {
		return c.NoContent(http.StatusNotModified)
	}
	c.noteSeen()
	return c.Blob(c.answer.status, "application/json", c.answer.body)
}

// effect names the effect that the request asks for.
func (c *call) effect() app.Once {
	return app.Once{Route: c.route.Operation + " " + c.Request().URL.Path,
		Key: c.Request().Header.Get("Idempotency-Key"), Fingerprint: c.digest()}
}

// prepare does what comes before an effect, unless its answer is known.
func (c *call) prepare() error {
	if c.route.Prepare == nil {
		return nil
	}
	known, err := c.app().Answered(c.ctx, c.who, c.effect())
	if err != nil || known {
		return err
	}
	return c.route.Prepare(c)
}

// once runs an effect under its Idempotency-Key: the first answer is stored
// in the effect's own transaction, and given again to a replay.
func (c *call) once(do handler) error {
	err := c.app().Once(c.ctx, c.who, c.effect(), func(ctx context.Context) (app.StoredAnswer, error) {
		outer := c.ctx
		c.ctx = ctx
		defer func() { c.ctx = outer }()
		err := do(c)
		return app.StoredAnswer{Status: c.answer.status, ETag: c.answer.etag, Body: c.answer.body}, err
	}, func(a app.StoredAnswer) {
		c.answer = answer{status: a.Status, etag: a.ETag, body: a.Body}
	})
	if err != nil {
		return err
	}
	c.done = true
	return c.flush()
}

// version reads If-Match of a write that must say what it changes.
func (c *call) version() (int64, error) {
	values := c.Request().Header.Values("If-Match")
	if len(values) != 1 {
		return 0, fault.New(fault.VersionMissing, "api.if_match_missing", `Send If-Match with the version you changed, as in "3".`)
	}
	return parseVersion(values[0])
}

func parseVersion(text string) (int64, error) {
	n, err := strconv.ParseInt(strings.Trim(text, `"`), 10, 64)
	if err != nil || n < 1 || text != `"`+strconv.FormatInt(n, 10)+`"` {
		return 0, fault.New(fault.VersionStale, "api.if_match_unknown", `If-Match is not a version of ours; it is a number in quotes, as in "3".`)
	}
	return n, nil
}

// put reads what a PUT of a record says of versions: exactly one of
// If-None-Match: * and If-Match. A record of which a job has one carries the
// job's own id, which the client did not make.
func (c *call) put() (app.Put, error) {
	p := app.Put{JobID: shop.JobID(c.Param("job_id")), ID: c.Param("id"), Digest: c.digest()}
	single := p.JobID == ""
	if single {
		p.JobID = shop.JobID(p.ID)
	}
	none, match := c.Request().Header.Values("If-None-Match"), c.Request().Header.Values("If-Match")
	switch {
	case len(none)+len(match) != 1:
		return p, fault.New(fault.VersionMissing, "api.precondition_missing", `Send exactly one of If-None-Match: * (to create) and If-Match with the version you changed.`)
	case len(none) == 1:
		if none[0] != "*" {
			return p, fault.New(fault.VersionStale, "api.if_none_match_unknown", `To create a record, If-None-Match is *.`)
		}
		p.Create = true
		if single {
			return p, nil
		}
		return p, checkMadeID(p.ID)
	}
	var err error
	p.Match, err = parseVersion(match[0])
	return p, err
}

// checkMadeID makes sure that an id made by a client is a UUIDv7.
func checkMadeID(id string) error {
	if len(id) != 36 || id[14] != '7' || !strings.ContainsRune("89ab", rune(id[19])) {
		return fault.New(fault.Shape, "api.id_not_v7", "Make ids of new records as UUIDv7, in lower case.")
	}
	return nil
}

// page reads limit and cursor.
func (c *call) page() (app.Page, error) {
	p := app.Page{Limit: 50}
	if text := c.QueryParam("limit"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > 100 {
			return p, fault.New(fault.Shape, "api.limit_wrong", "limit is a whole number from 1 to 100.")
		}
		p.Limit = n
	}
	if text := c.QueryParam("cursor"); text != "" {
		after, ok := readCursor(text)
		if !ok {
			return p, fault.New(fault.Shape, "api.cursor_unknown", "The cursor is not one of ours; start from the first page.")
		}
		p.After = after
	}
	return p, nil
}

// checkQuery refuses what could be read two ways: a parameter twice, or one
// that the address does not take.
func (c *call) checkQuery() error {
	query, err := url.ParseQuery(c.Request().URL.RawQuery)
	if err != nil {
		return fault.New(fault.Shape, "api.query_unreadable", "What stands after ? in the address cannot be read; write each % as %25 and each ; as %3B.")
	}
	for name, values := range query {
		if len(values) > 1 {
			return fault.New(fault.Shape, "api.parameter_twice", fmt.Sprintf("The parameter %.60q stands twice; send it once.", name))
		}
		if !c.server.contract.takes(c.route, name) {
			return fault.New(fault.Shape, "api.parameter_unknown", fmt.Sprintf("This address takes no parameter %.60q.", name))
		}
	}
	if c.Request().Header.Get("X-Shop-ID") != "" {
		return fault.New(fault.Shape, "api.shop_from_outside", "The shop comes from the sign-in; do not send X-Shop-ID.")
	}
	return nil
}

// The cookies of a browser: the secret of an enrolled tablet, and the refresh
// token of a sign-in.
const (
	tabletCookie  = "benchtag_tablet"
	refreshCookie = "benchtag_refresh"
)

// cookieName gives a cookie's name: bound to this host over TLS, plain only
// where the shop has chosen to go without.
func (s *Server) cookieName(name string) string {
	if s.InsecureHTTP {
		return name
	}
	return "__Host-" + name
}

// cookie reads a cookie of ours, or "".
func (c *call) cookie(name string) string {
	got, err := c.Cookie(c.server.cookieName(name))
	if err != nil {
		return ""
	}
	return got.Value
}
