// Package web renders the addresses that are for people: the plain page at
// the root, the contract as a reading page, and the customer's link.
//
// Every page is HTML made on the server. None holds a script but the one that
// checks receipts, which works without a server; none loads anything from
// elsewhere, and no GET or HEAD changes anything. The customer's
// page shows the bytes of one offer document and nothing else, so that what
// is seen is what is agreed to. What an answer means is decided in app.
package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"benchtag/internal/app"
)

//go:embed files
var files embed.FS

// Offers is what the customer's link does; *app.App has it.
type Offers interface {
	// LinkOffer gives what the link shows and changes nothing. An unknown
	// link is a NotFound fault, a closed one Gone.
	LinkOffer(ctx context.Context, token string) (app.LinkView, error)
	// LinkDecide records the answer, once, and gives the receipt. A document
	// other than the one shown is a Conflict fault.
	LinkDecide(ctx context.Context, answer app.LinkAnswer) (app.LinkView, error)
	// LinkReceiptFile gives the receipt of the answer as a file, and changes
	// nothing. A NotFound fault says that there is none yet.
	LinkReceiptFile(ctx context.Context, token string) (app.ReceiptFile, error)
	// LinkAsk records a question, or the wish to be called; it is no answer.
	LinkAsk(ctx context.Context, question app.LinkQuestion) error
}

// Options are what the pages need.
type Options struct {
	Offers   Offers
	Contract []byte           // the OpenAPI document, YAML
	Log      *slog.Logger     // nil discards
	Now      func() time.Time // nil is the clock
}

// Pages renders pages; it is safe for concurrent use.
type Pages struct {
	offers    Offers
	log       *slog.Logger
	now       func() time.Time
	templates *template.Template
	style     []byte
	styleName string
	home      []byte
	reading   []byte
	verify    verifyPage
	origin    *http.CrossOriginProtection
	staff     staffApp
}

// New reads the templates and renders what never changes.
func New(opt Options) (*Pages, error) {
	style, err := files.ReadFile("files/style.css")
	if err != nil {
		return nil, fmt.Errorf("web: style: %w", err)
	}
	sum := sha256.Sum256(style)
	p := &Pages{
		offers: opt.Offers, log: opt.Log, now: opt.Now, origin: http.NewCrossOriginProtection(),
		style: style, styleName: hex.EncodeToString(sum[:8]) + ".css",
	}
	if p.log == nil {
		p.log = slog.New(slog.DiscardHandler)
	}
	if p.now == nil {
		p.now = time.Now
	}
	p.templates, err = template.New("").Funcs(template.FuncMap{
		"style": func() string { return "/web/" + p.styleName },
	}).ParseFS(files, "files/*.html")
	if err != nil {
		return nil, fmt.Errorf("web: templates: %w", err)
	}
	if p.staff, err = readStaff(); err != nil {
		return nil, err
	}
	if p.verify, err = buildVerify(); err != nil {
		return nil, err
	}
	return p, p.renderFixed(opt.Contract)
}

// renderFixed renders the pages that are the same for everybody.
func (p *Pages) renderFixed(contract []byte) error {
	c, err := readContract(contract)
	if err != nil {
		return err
	}
	if p.home, err = p.render("home.html", c); err != nil {
		return err
	}
	p.reading, err = p.render("reading.html", c)
	return err
}

// render gives a page's bytes, whole or not at all.
func (p *Pages) render(name string, data any) ([]byte, error) {
	var b bytes.Buffer
	if err := p.templates.ExecuteTemplate(&b, name, data); err != nil {
		return nil, fmt.Errorf("web: page %s: %w", name, err)
	}
	return b.Bytes(), nil
}

// Home is the plain page at the root.
func (p *Pages) Home(w http.ResponseWriter, r *http.Request) {
	openHeaders(w.Header())
	write(w, r, http.StatusOK, p.home)
}

// Reading is the contract, rendered for people.
func (p *Pages) Reading(w http.ResponseWriter, r *http.Request) {
	openHeaders(w.Header())
	write(w, r, http.StatusOK, p.reading)
}

// Asset is the stylesheet, by a name that holds its hash, so that it may be
// kept for good.
func (p *Pages) Asset(w http.ResponseWriter, r *http.Request, name string) {
	h := w.Header()
	if name != p.styleName {
		p.trouble(w, r, http.StatusNotFound)
		return
	}
	h.Set("Content-Type", "text/css; charset=utf-8")
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("X-Content-Type-Options", "nosniff")
	write(w, r, http.StatusOK, p.style)
}
