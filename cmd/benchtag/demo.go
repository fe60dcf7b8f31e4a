package main

import (
	"bytes"
	"context"
	_ "embed"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/store"
)

// demoScript is the invented shop, told step by step. Every name, price,
// time and torque in it is invented.
//
//go:embed demo.txt
var demoScript string

type demoCommand struct {
	Folder string `help:"Folder for the demo's database; a temporary one if not given. It must be new or empty." type:"path" placeholder:"FOLDER"`
	Listen string `help:"Address and port to listen on; this machine alone." default:"127.0.0.1:8080"`
}

// Sign-ins of the demo shop.
const (
	demoSlug     = "demo"
	demoPassword = "winding road in october"
)

// Run makes the demo shop and serves it.
func (c demoCommand) Run(ctx context.Context, to outputs) error {
	l := listening{Listen: c.Listen, InsecureHTTP: true, LogFormat: "text"}
	if err := l.check(); err != nil {
		return err
	}
	folder, err := c.folder()
	if err != nil {
		return err
	}
	d := database{Data: folder}
	watch := &demoClock{}
	s, err := store.Open(store.Options{Folder: folder, Now: watch.now})
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	if err := d.migrateLocked(ctx, s); err != nil {
		return err
	}
	b, err := build(s, l, filepath.Join(folder, "keys"), watch.now, to.err)
	if err != nil {
		return err
	}
	_, _ = fmt.Fprintln(to.err, "Making the demo shop …")
	told, err := b.tellDemo(ctx, watch)
	if err != nil {
		return fmt.Errorf("make the demo shop: %w", err)
	}
	return b.serve(ctx, func(address string) { printDemo(to, address, folder, told) })
}

// folder makes sure that the demo never writes into a kept shop.
func (c demoCommand) folder() (string, error) {
	if c.Folder == "" {
		return os.MkdirTemp("", "benchtag-demo-")
	}
	if err := makeFolder(c.Folder); err != nil {
		return "", err
	}
	entries, err := os.ReadDir(c.Folder)
	if err != nil {
		return "", err
	}
	if len(entries) > 0 {
		return "", fmt.Errorf("the folder %s is not empty; give a new one", c.Folder)
	}
	return c.Folder, nil
}

// demoClock is the system's clock, or another time while the demo's past is
// being told.
type demoClock struct {
	mu  sync.Mutex
	set time.Time
}

func (d *demoClock) now() time.Time {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.set.IsZero() {
		return time.Now()
	}
	// A little passes with each look, so that no two moments are the same.
	d.set = d.set.Add(time.Millisecond)
	return d.set
}

// at sets the clock: "at -12 09:10" is ten past nine, twelve days ago; "at
// now" gives the clock back to the system.
func (d *demoClock) at(args []string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(args) == 1 && args[0] == "now" {
		d.set = time.Time{}
		return nil
	}
	if len(args) != 2 {
		return fmt.Errorf("give days and time, as in at -12 09:10")
	}
	days, err := strconv.Atoi(args[0])
	if err != nil {
		return err
	}
	clock, err := time.Parse("15:04", args[1])
	if err != nil {
		return err
	}
	day := time.Now().UTC().AddDate(0, 0, days)
	d.set = time.Date(day.Year(), day.Month(), day.Day(), clock.Hour(), clock.Minute(), 0, 0, time.UTC)
	return nil
}

// tellDemo makes the shop and tells its script through the server itself.
func (b *built) tellDemo(ctx context.Context, watch *demoClock) (*story, error) {
	if err := watch.at([]string{"-40", "07:30"}); err != nil {
		return nil, err
	}
	_, _, err := b.app.CreateShop(ctx, app.NewShop{Name: "Kestrel Lane Motorcycles (demo)", Slug: demoSlug, Currency: "EUR",
		TimeZone: "Europe/Vienna", OwnerName: "Ada Winterfeld", Login: "ada", Password: demoPassword, Demo: true})
	if err != nil {
		return nil, err
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	s := newStory("http://"+b.settings.Listen, &http.Client{Transport: inProcess{b.server}, Jar: jar}, watch.now)
	s.vars["PASSWORD"], s.vars["SHOP"] = demoPassword, demoSlug
	return s, s.tell(demoScript, map[string]func([]string) error{"at": watch.at})
}

// inProcess carries requests to a handler without a network.
type inProcess struct{ handler http.Handler }

// RoundTrip answers with what the handler writes.
func (p inProcess) RoundTrip(r *http.Request) (*http.Response, error) {
	w := &answerRecorder{header: http.Header{}, status: http.StatusOK}
	in := r.Clone(r.Context())
	in.RequestURI, in.RemoteAddr = r.URL.RequestURI(), "127.0.0.1:1"
	if in.Body == nil {
		in.Body = http.NoBody
	}
	p.handler.ServeHTTP(w, in)
	return &http.Response{StatusCode: w.status, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1, Header: w.header,
		Body: io.NopCloser(&w.body), ContentLength: int64(w.body.Len()), Request: r}, nil
}

// answerRecorder keeps what a handler writes.
type answerRecorder struct {
	header http.Header
	status int
	body   bytes.Buffer
}

// Header gives the answer's header.
func (a *answerRecorder) Header() http.Header { return a.header }

// WriteHeader keeps the status.
func (a *answerRecorder) WriteHeader(status int) { a.status = status }

// Write keeps a part of the body.
func (a *answerRecorder) Write(p []byte) (int, error) { return a.body.Write(p) }

// printDemo says where the demo is and how to try it.
func printDemo(to outputs, address, folder string, told *story) {
	text := strings.NewReplacer("{address}", address, "{folder}", folder, "{shop}", demoSlug, "{password}", demoPassword,
		"{job}", told.vars["SHOWN_JOB"], "{link}", told.vars["SHOWN_LINK"]).Replace(demoWords)
	_, _ = fmt.Fprint(to.out, text)
}

const demoWords = `
Benchtag demo: an invented shop. Every name, price, time and torque is invented, not for service.

  Serving at {address}            (reading page: {address}/api)
  Database in {folder}

  Sign-ins (shop "{shop}", password "{password}"):
    ada   owner        bruno  advisor        cleo, dario  technicians

  A customer's link, open it in a browser:
    {link}

  Try it:

TOKEN=$(curl -s {address}/v1/sign-in -H 'Content-Type: application/json' -d '{"shop":"{shop}","login":"bruno","password":"{password}"}' | sed 's/.*"access_token":"\([^"]*\)".*/\1/')
curl -s {address}/v1/floor -H "Authorization: Bearer $TOKEN"
curl -s {address}/v1/jobs/{job}/moves -H "Authorization: Bearer $TOKEN"

Stop with Ctrl-C.
`
