package main

import (
	"bytes"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
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
	Folder string `help:"Folder for the demo's database; a temporary one, removed at the end, if not given. It must be new or empty." type:"path" placeholder:"FOLDER"`
	Listen string `help:"Address and port to listen on; this machine alone." default:"127.0.0.1:8080"`
}

// Sign-ins of the demo shop, and the zone of its clock.
const (
	demoSlug     = "demo"
	demoZone     = "Europe/Vienna"
	demoPassword = "winding road in october"
)

// Run makes the demo shop and serves it.
func (c demoCommand) Run(ctx context.Context, to outputs) error {
	l, listener, err := c.bind()
	if err != nil {
		return err
	}
	defer func() { _ = listener.Close() }()
	folder, err := c.folder()
	if err != nil {
		return err
	}
	if c.Folder == "" {
		defer func() { _ = os.RemoveAll(folder) }()
	}
	watch := &demoClock{}
	s, err := store.Open(store.Options{Folder: folder, Now: watch.now})
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	if err := s.Migrate(ctx); err != nil {
		return err
	}
	logTo := &lateWriter{Writer: to.err}
	b, err := build(s, l, filepath.Join(folder, "keys"), watch.now, logTo)
	if err != nil {
		return err
	}
	_, _ = fmt.Fprintln(to.err, "Making the demo shop …")
	told, err := b.tellDemo(ctx, watch)
	if err != nil {
		return fmt.Errorf("make the demo shop: %w", err)
	}
	logTo.open.Store(true)
	return b.serveOn(ctx, listener, func(address string) { printDemo(to, address, folder, told) })
}

// lateWriter swallows what is written before it is opened: nobody wants to
// read the requests the demo is made of.
type lateWriter struct {
	io.Writer
	open atomic.Bool
}

// Write writes, or swallows.
func (l *lateWriter) Write(p []byte) (int, error) {
	if !l.open.Load() {
		return len(p), nil
	}
	return l.Writer.Write(p)
}

// bind takes the port first: links and the printed lines need the real one,
// and a port in use is said before anything is made.
func (c demoCommand) bind() (listening, net.Listener, error) {
	asked := listening{Listen: c.Listen, InsecureHTTP: true, LogFormat: "text"}
	host, _, err := net.SplitHostPort(c.Listen)
	switch {
	case err != nil:
		return asked, nil, badAddress(c.Listen)
	case !asked.local(host):
		return asked, nil, fmt.Errorf("the demo listens on this machine alone, as everyone knows its password; give --listen 127.0.0.1:8080 or another port there")
	}
	listener, err := listen(c.Listen)
	if err != nil {
		return asked, nil, err
	}
	l := listening{Listen: listener.Addr().String(), InsecureHTTP: true, LogFormat: "text"}
	return l, listener, l.check()
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
		return "", fmt.Errorf("the folder %s is not empty; give a new or an empty one, so that the demo touches no kept shop", c.Folder)
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

// at sets the clock: "at -12 09:10" is ten past nine in the shop, twelve days
// ago; "at now" gives the clock back to the system.
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
	zone, err := time.LoadLocation(demoZone)
	if err != nil {
		return err
	}
	day := time.Now().In(zone)
	to := time.Date(day.Year(), day.Month(), day.Day()+days, clock.Hour(), clock.Minute(), 0, 0, zone)
	if to.Before(d.set) {
		return fmt.Errorf("the clock is at %s already and does not go back", d.set.In(zone).Format(time.DateTime))
	}
	d.set = to
	return nil
}

// tellDemo makes the shop and tells its script through the server itself.
func (b *built) tellDemo(ctx context.Context, watch *demoClock) (*story, error) {
	if err := watch.at([]string{"-40", "07:30"}); err != nil {
		return nil, err
	}
	hasher := b.app.Hasher
	b.app.Hasher = &rememberingHasher{Hasher: hasher, right: map[string]bool{}}
	defer func() { b.app.Hasher = hasher }()
	_, _, err := b.app.CreateShop(ctx, app.NewShop{Name: "Kestrel Lane Motorcycles (demo)", Slug: demoSlug, Currency: "EUR",
		TimeZone: demoZone, OwnerName: "Ada Winterfeld", Login: "ada", Password: demoPassword, Demo: true})
	if err != nil {
		return nil, err
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	s := newStory("http://"+b.settings.Listen, &http.Client{Transport: inProcess{b.server}, Jar: jar}, watch.now)
	s.vars["PASSWORD"], s.vars["SHOP"] = demoPassword, demoSlug
	return s, s.tell(demoScript, map[string]func([]string) error{"at": watch.at, "set": s.set, "picture": s.picture})
}

// set NAME TEXT: keeps a text.
func (s *story) set(args []string) error {
	if len(args) != 2 {
		return errors.New("give a name and a text")
	}
	s.vars[args[0]] = args[1]
	return nil
}

// rememberingHasher spares the demo, which knows its one password, the cost
// of the same sign-in over and over. It works only while the demo is told.
type rememberingHasher struct {
	app.Hasher
	right map[string]bool
}

// Hash remembers what it made of the demo's password.
func (r *rememberingHasher) Hash(ctx context.Context, password string) (string, error) {
	phc, err := r.Hasher.Hash(ctx, password)
	r.right[phc] = err == nil && password == demoPassword
	return phc, err
}

// Verify knows the hashes it made.
func (r *rememberingHasher) Verify(ctx context.Context, password, phc string) (ok, rehash bool, err error) {
	if r.right[phc] && password == demoPassword {
		return true, false, nil
	}
	return r.Hasher.Verify(ctx, password, phc)
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

  Serving at {address}            (the shop's app: {address}/s, reading page: {address}/api)
  Database in {folder}

  Sign-ins (shop "{shop}", password "{password}"):
    ada   owner        bruno  advisor        cleo, dario  technicians

  A customer's link, open it in a browser:
    {link}

  Try it:

TOKEN=$(curl -s {address}/v1/sign-in -H 'Content-Type: application/json' -d '{"shop":"{shop}","login":"bruno","password":"{password}"}' | sed 's/.*"access_token":"\([^"]*\)".*/\1/')
curl -sw '\n' {address}/v1/floor -H "Authorization: Bearer $TOKEN"
curl -sw '\n' {address}/v1/jobs/{job}/moves -H "Authorization: Bearer $TOKEN"

Stop with Ctrl-C.
`
