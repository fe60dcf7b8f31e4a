package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"benchtag/api"
	"benchtag/internal/anchor"
	"benchtag/internal/app"
	"benchtag/internal/auth/secret"
	"benchtag/internal/auth/vault"
	"benchtag/internal/discreet"
	"benchtag/internal/document"
	"benchtag/internal/phone"
	"benchtag/internal/store"
	"benchtag/internal/web"
	"benchtag/openapi"
)

// listening says where a server is reached and how, and what it may cost.
type listening struct {
	Listen       string   `help:"Address and port to listen on." env:"BENCHTAG_LISTEN" default:"127.0.0.1:8080"`
	PublicURL    string   `help:"Where customers reach this server; links start with it. Needed unless it listens on this machine alone." env:"BENCHTAG_PUBLIC_URL" placeholder:"https://…"`
	TLSCert      string   `help:"Certificate file, to speak TLS itself." env:"BENCHTAG_TLS_CERT" type:"path" placeholder:"FILE"`
	TLSKey       string   `help:"Key file of the certificate." env:"BENCHTAG_TLS_KEY" type:"path" placeholder:"FILE"`
	TrustedProxy []string `help:"Network of a proxy in front that speaks TLS, as in 10.0.0.0/8; only such may say where a request comes from." env:"BENCHTAG_TRUSTED_PROXY" placeholder:"CIDR"`
	InsecureHTTP bool     `help:"Serve without TLS beyond this machine. Only for a network of one's own: passwords cross it readable." env:"BENCHTAG_INSECURE_HTTP"`
	PasswordCost string   `help:"What hashing a password costs: full is 64 MiB of memory, least 12 MiB and a fifth of the time, for small machines." env:"BENCHTAG_PASSWORD_COST" enum:"full,least" default:"full"`
	LogFormat    string   `help:"How the log on standard error is written: text or json." env:"BENCHTAG_LOG_FORMAT" enum:"json,text" default:"text"`
}

// check refuses settings that would put people's data on the wire, or links
// into messages that lead nowhere, and fills in the public address.
func (l *listening) check() error {
	host, _, err := net.SplitHostPort(l.Listen)
	if err != nil {
		return badAddress(l.Listen)
	}
	if (l.TLSCert == "") != (l.TLSKey == "") {
		return errors.New("give --tls-cert and --tls-key together, or neither")
	}
	if l.local(host) {
		if l.PublicURL == "" {
			l.PublicURL = l.scheme() + "://" + l.Listen
		}
		return l.checkURL(true)
	}
	if l.TLSCert == "" && len(l.TrustedProxy) == 0 && !l.InsecureHTTP {
		return errors.New("refusing to serve beyond this machine without TLS: give --tls-cert and --tls-key, or --trusted-proxy with the proxy that speaks TLS, or --insecure-http on a network of your own")
	}
	if l.PublicURL == "" {
		return errors.New("give --public-url, where customers reach this server; their links start with it")
	}
	return l.checkURL(l.InsecureHTTP)
}

func badAddress(text string) error {
	return fmt.Errorf("--listen %q is not an address and a port: give both, as in 127.0.0.1:8080", text)
}

func (l *listening) scheme() string {
	if l.TLSCert != "" {
		return "https"
	}
	return "http"
}

// local reports whether only this machine can connect.
func (l *listening) local(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

func (l *listening) checkURL(plainAllowed bool) error {
	u, err := url.Parse(l.PublicURL)
	if err != nil || u.Host == "" || (u.Scheme != "https" && u.Scheme != "http") || u.RawQuery != "" || u.Fragment != "" || u.User != nil {
		return fmt.Errorf("--public-url %q is not one: give scheme and host, as in https://shop.example", l.PublicURL)
	}
	if u.Scheme == "http" && !plainAllowed {
		return errors.New("--public-url must be https: customers decide about money there")
	}
	l.PublicURL = strings.TrimSuffix(l.PublicURL, "/")
	return nil
}

func (l *listening) proxies() ([]*net.IPNet, error) {
	var nets []*net.IPNet
	for _, text := range l.TrustedProxy {
		_, n, err := net.ParseCIDR(text)
		if err != nil {
			return nil, fmt.Errorf("--trusted-proxy %q is no network: give one, as in 10.0.0.0/8", text)
		}
		nets = append(nets, n)
	}
	return nets, nil
}

func (l *listening) log(w io.Writer) *slog.Logger {
	opt := &slog.HandlerOptions{ReplaceAttr: discreet.Attr} // nothing that came from people is written
	if l.LogFormat == "json" {
		return slog.New(slog.NewJSONHandler(w, opt))
	}
	return slog.New(slog.NewTextHandler(w, opt))
}

// passwordCost is the full one unless the least is asked for.
func (l *listening) passwordCost() secret.Params {
	if l.PasswordCost == "least" {
		return secret.LeastParams()
	}
	return secret.DefaultParams()
}

type serveCommand struct {
	database
	listening
	photoStore
	messaging           `group:"Messages"`
	AllowUnsafePostgres bool `help:"Serve although PostgreSQL may lose acknowledged work or the role owns the tables. For tests alone." env:"BENCHTAG_ALLOW_UNSAFE_POSTGRES"`
}

// Run serves until told to stop.
func (c serveCommand) Run(ctx context.Context, to outputs) error {
	if err := c.check(); err != nil {
		return err
	}
	if err := makeFolder(c.Data); err != nil {
		return err
	}
	s, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	if err := c.safe(ctx, s, c.AllowUnsafePostgres); err != nil {
		return err
	}
	b, err := build(s, c.listening, filepath.Join(c.Data, "keys"), time.Now, to.err)
	if err != nil {
		return err
	}
	if err := c.photoStore.apply(ctx, b); err != nil {
		return err
	}
	if err := c.reachOut(b); err != nil {
		return err
	}
	if err := b.offerSetup(ctx, to.err); err != nil {
		return err
	}
	return b.serve(ctx, func(address string) {
		_, _ = fmt.Fprintf(to.err, "Serving at %s\n", address)
	})
}

// built is a server with everything it needs.
type built struct {
	app      *app.App
	tokens   tokens
	server   *api.Server
	settings listening
	log      *slog.Logger
	leaving  *atomic.Bool
}

// build wires a server over an open store.
func build(s *store.Store, l listening, keys string, now func() time.Time, logTo io.Writer) (*built, error) {
	proxies, err := l.proxies()
	if err != nil {
		return nil, err
	}
	toks, err := newTokens(keys, l.PublicURL, now)
	if err != nil {
		return nil, fmt.Errorf("read the keys: %w", err)
	}
	sealing, err := vault.Load(keys)
	if err != nil {
		return nil, fmt.Errorf("read the keys: %w", err)
	}
	hash, err := newHasher(l.passwordCost())
	if err != nil {
		return nil, err
	}
	b := &built{tokens: toks, settings: l, log: l.log(logTo), leaving: &atomic.Bool{}}
	anchors, err := anchor.Open(keys, now())
	if err != nil {
		return nil, fmt.Errorf("read the journal's key: %w", err)
	}
	b.app = app.New(app.Options{Store: s, Source: source{}, Hasher: hash, Tokens: toks, Phones: phone.Book{}, Papers: document.Printer{}, PublicURL: l.PublicURL,
		Vault: sealing, Anchors: anchors})
	if err := b.keepPhotos(filepath.Join(filepath.Dir(keys), "photos")); err != nil {
		return nil, err
	}
	pages, err := web.New(web.Options{Offers: b.app, Contract: openapi.Document(), Log: b.log, Now: now})
	if err != nil {
		return nil, err
	}
	b.server, err = api.New(api.Options{App: b.app, Log: b.log, Access: toks, Pages: pages, InsecureHTTP: l.InsecureHTTP,
		TrustedProxies: proxies, Contract: openapi.Document(), Now: now, Leaving: b.leaving.Load})
	return b, err
}

// setupLife is how long the set-up secret is good.
const setupLife = time.Hour

// offerSetup prints a one-time secret where there is no shop yet.
func (b *built) offerSetup(ctx context.Context, w io.Writer) error {
	n, err := b.app.Store.CountShops(ctx)
	if err != nil || n > 0 {
		return err
	}
	text, hash, err := b.tokens.NewOpaque(app.TokenSetup, "")
	if err != nil {
		return err
	}
	b.app.OfferSetup(hash, time.Now().Add(setupLife))
	_, err = fmt.Fprintf(w, "There is no shop here yet. Set it up with POST /v1/setup and this secret, good once and for an hour:\n\n    %s\n\n", text)
	return err
}

// Times of stopping: how long others may still find us, and how long what is
// under way may take.
const (
	lameDuck   = 2 * time.Second
	drainUntil = 25 * time.Second
)

// serve listens until ctx ends, then stops in good order: not ready, no new
// connections, what is under way finishes.
func (b *built) serve(ctx context.Context, ready func(address string)) error {
	listener, err := listen(b.settings.Listen)
	if err != nil {
		return err
	}
	return b.serveOn(ctx, listener, ready)
}

// listen takes an address and port.
func listen(address string) (net.Listener, error) {
	listener, err := net.Listen("tcp", address)
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, fmt.Errorf("something listens on %s already; stop it, or give another port with --listen, as in --listen 127.0.0.1:8081", address)
	}
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w", address, err)
	}
	return listener, nil
}

// serveOn serves on a listener that is there already.
func (b *built) serveOn(ctx context.Context, listener net.Listener, ready func(address string)) error {
	srv := b.server.HTTPServer(b.settings.Listen)
	failed := make(chan error, 1)
	go func() {
		if b.settings.TLSCert != "" {
			failed <- srv.ServeTLS(listener, b.settings.TLSCert, b.settings.TLSKey)
			return
		}
		failed <- srv.Serve(listener)
	}()
	// A shop whose history does not agree with what was signed for it is read
	// only from the first request on; forEachShop logs it.
	if err := forEachShop(b.app.Store, b.log, b.app.CheckJournal)(ctx); err != nil {
		return fmt.Errorf("check the journals: %w", err)
	}
	working, rest := context.WithCancel(ctx)
	wait := runTasks(working, b.log, b.tasks())
	defer func() { rest(); wait() }()
	ready(b.settings.scheme() + "://" + listener.Addr().String())
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	b.leaving.Store(true)
	b.log.Info("stopping")
	time.Sleep(lameDuck)
	stop, cancel := context.WithTimeout(context.Background(), drainUntil)
	defer cancel()
	err := srv.Shutdown(stop)
	if was := <-failed; !errors.Is(was, http.ErrServerClosed) {
		err = errors.Join(err, was)
	}
	return err
}
