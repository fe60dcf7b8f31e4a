package main

import (
	"bytes"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestListening holds the settings that would put people's data on the wire,
// or dead links into messages.
func TestListening(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		settings listening
		publicly string // the public address in the end
		refused  string // or a part of the refusal
	}{
		{"this machine", listening{Listen: "127.0.0.1:8080"}, "http://127.0.0.1:8080", ""},
		{"this machine by name", listening{Listen: "localhost:8080"}, "http://localhost:8080", ""},
		{"this machine, newer", listening{Listen: "[::1]:8080"}, "http://[::1]:8080", ""},
		{"this machine with TLS", listening{Listen: "127.0.0.1:8443", TLSCert: "c", TLSKey: "k"}, "https://127.0.0.1:8443", ""},
		{"behind a proxy here", listening{Listen: "127.0.0.1:8080", PublicURL: "https://shop.example/"}, "https://shop.example", ""},
		{"everywhere with TLS", listening{Listen: ":8443", TLSCert: "c", TLSKey: "k", PublicURL: "https://shop.example"}, "https://shop.example", ""},
		{"everywhere behind a proxy", listening{Listen: ":8080", TrustedProxy: []string{"10.0.0.0/8"}, PublicURL: "https://shop.example"}, "https://shop.example", ""},
		{"insecure, and said so", listening{Listen: "10.0.0.5:8080", InsecureHTTP: true, PublicURL: "http://10.0.0.5:8080"}, "http://10.0.0.5:8080", ""},

		{"no port", listening{Listen: "127.0.0.1"}, "", "give both, as in 127.0.0.1:8080"},
		{"everywhere in the open", listening{Listen: ":8080", PublicURL: "https://shop.example"}, "", "refusing to serve beyond this machine without TLS"},
		{"a name that is not this machine's", listening{Listen: "shop.example:8080", PublicURL: "https://shop.example"}, "", "without TLS"},
		{"all addresses in the open", listening{Listen: "0.0.0.0:8080", PublicURL: "https://shop.example"}, "", "without TLS"},
		{"a certificate alone", listening{Listen: ":8443", TLSCert: "c", PublicURL: "https://shop.example"}, "", "--tls-cert and --tls-key together"},
		{"a key alone", listening{Listen: "127.0.0.1:8443", TLSKey: "k"}, "", "--tls-cert and --tls-key together"},
		{"no public address", listening{Listen: ":8443", TLSCert: "c", TLSKey: "k"}, "", "give --public-url"},
		{"links without TLS", listening{Listen: ":8443", TLSCert: "c", TLSKey: "k", PublicURL: "http://shop.example"}, "", "must be https"},
		{"links without TLS behind a proxy", listening{Listen: ":8080", TrustedProxy: []string{"10.0.0.0/8"}, PublicURL: "http://shop.example"}, "", "must be https"},
		{"another scheme", listening{Listen: "127.0.0.1:8080", PublicURL: "ftp://shop.example"}, "", "give scheme and host"},
		{"no scheme", listening{Listen: "127.0.0.1:8080", PublicURL: "shop.example"}, "", "give scheme and host"},
		{"a question in it", listening{Listen: "127.0.0.1:8080", PublicURL: "https://shop.example/?a=b"}, "", "give scheme and host"},
		{"a password in it", listening{Listen: "127.0.0.1:8080", PublicURL: "https://ada:x@shop.example"}, "", "give scheme and host"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			err := c.settings.check()
			switch {
			case c.refused == "" && err != nil:
				t.Errorf("refused: %v", err)
			case c.refused == "" && c.settings.PublicURL != c.publicly:
				t.Errorf("public address %q, want %q", c.settings.PublicURL, c.publicly)
			case c.refused != "" && err == nil:
				t.Error("accepted")
			case c.refused != "" && !strings.Contains(err.Error(), c.refused):
				t.Errorf("the refusal says %q, want %q in it", err, c.refused)
			}
		})
	}
}

// TestProxies holds the networks of proxies.
func TestProxies(t *testing.T) {
	t.Parallel()
	l := listening{TrustedProxy: []string{"10.0.0.0/8", "fd00::/8"}}
	nets, err := l.proxies()
	if err != nil || len(nets) != 2 {
		t.Errorf("%v, %v; want two networks", nets, err)
	}
	l.TrustedProxy = []string{"10.0.0.1"}
	if _, err := l.proxies(); err == nil || !strings.Contains(err.Error(), "as in 10.0.0.0/8") {
		t.Errorf("an address instead of a network: %v", err)
	}
}

// TestDemoStaysHere holds that a shop whose password everyone knows is not
// served to others.
func TestDemoStaysHere(t *testing.T) {
	t.Parallel()
	for _, address := range []string{":8080", "0.0.0.0:8080", "shop.example:80"} {
		_, _, err := demoCommand{Listen: address}.bind()
		if err == nil || !strings.Contains(err.Error(), "this machine alone") {
			t.Errorf("%s: %v", address, err)
		}
	}
	if _, _, err := (demoCommand{Listen: "8080"}).bind(); err == nil || !strings.Contains(err.Error(), "give both") {
		t.Errorf("a port alone: %v", err)
	}
}

// TestHelp makes sure that every command says what it does, and that a wrong
// line says what is wrong.
func TestHelp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"--help"}, 0, "benchtag <command>"},
		{[]string{"serve", "--help"}, 0, "BENCHTAG_PUBLIC_URL"},
		{[]string{"demo", "--help"}, 0, "--folder"},
		{[]string{"migrate", "--help"}, 0, "--runtime-role"},
		{[]string{"export", "--help"}, 0, "--shop"},
		{[]string{"health", "--help"}, 0, "BENCHTAG_LISTEN"},
		{[]string{"version"}, 0, version},
		{[]string{}, 80, "expected one of"},
		{[]string{"serve", "--lissten", "x"}, 80, "unknown flag --lissten"},
		{[]string{"export"}, 80, "--shop"},
		{[]string{"export", "--shop", "nobody", "--data", t.TempDir()}, 1, `there is no shop "nobody" here`},
		{[]string{"export", "--shop", "nobody", "--data", filepath.Join(t.TempDir(), "mistyped")}, 1, "there is no data folder"},
		{[]string{"migrate", "--runtime-role", "app", "--data", t.TempDir()}, 1, "PostgreSQL alone"},
		{[]string{"serve", "--listen", ":0", "--data", t.TempDir()}, 1, "without TLS"},
	} {
		t.Run(strings.Join(c.args, " "), func(t *testing.T) {
			t.Parallel()
			code, out, err := runToEnd(t, c.args...)
			if code != c.code || !strings.Contains(out+err, c.says) {
				t.Errorf("exit code %d, want %d, with %q in:\n%s%s", code, c.code, c.says, out, err)
			}
		})
	}
}

// TestMigrateTwice makes sure that migrating again does nothing.
func TestMigrateTwice(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "new")
	for range 2 {
		code, out, err := runToEnd(t, "migrate", "--data", folder)
		if code != 0 || out != "The schema is up to date.\n" {
			t.Fatalf("exit code %d: %s%s", code, out, err)
		}
	}
}

// TestFirstStart walks from an empty folder to a shop of one's own, and out.
func TestFirstStart(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "shop")
	serve := []string{"serve", "--data", folder, "--listen", "127.0.0.1:0"}
	p := startProgram(t, serve...)
	address := p.serving(t)
	listen := strings.TrimPrefix(address, "http://")

	if code, out, err := runToEnd(t, "health", "--listen", listen); code != 0 || out == "" {
		t.Errorf("health of a running server: %d: %s%s", code, out, err)
	}
	for _, login := range []string{"admin", "owner", "ada"} {
		for _, slug := range []string{"demo", "shop"} {
			body := map[string]string{"shop": slug, "login": login, "password": login}
			if status, answer := ask(t, http.MethodPost, address+"/v1/sign-in", "", body); status != http.StatusUnauthorized && status != http.StatusTooManyRequests {
				t.Fatalf("%s at %s: %d %s", login, slug, status, answer)
			}
		}
	}
	secret := setupSecret.FindStringSubmatch(p.err.String())
	if secret == nil {
		t.Fatalf("no set-up secret is printed:\n%s", p.err)
	}
	set := map[string]string{"secret": "bts_wrong", "shop_name": "Mill Street Two-Wheelers", "slug": "mill", "currency": "EUR",
		"time_zone": "Europe/Vienna", "owner_name": "Ina Feld", "login": "ina", "password": "four kettles on one stove"}
	if status, answer := ask(t, http.MethodPost, address+"/v1/setup", "", set); status < 400 || status >= 500 {
		t.Fatalf("set up with a wrong secret: %d %s", status, answer)
	}
	set["secret"] = secret[1]
	if status, answer := ask(t, http.MethodPost, address+"/v1/setup", "", set); status != http.StatusCreated {
		t.Fatalf("set up: %d %s", status, answer)
	}
	set["slug"] = "mill-two"
	if status, answer := ask(t, http.MethodPost, address+"/v1/setup", "", set); status < 400 || status >= 500 {
		t.Fatalf("set up a second time: %d %s", status, answer)
	}
	if n := strings.Count(p.err.String(), secret[1]); n != 1 {
		t.Errorf("the secret stands %d times in what was said, want once:\n%s", n, p.err)
	}
	stopInGoodOrder(t, p, address)
	if code, _, _ := runToEnd(t, "health", "--listen", listen); code == 0 {
		t.Error("health says yes to a server that is gone")
	}

	again := startProgram(t, serve...)
	address = again.serving(t)
	if setupSecret.MatchString(again.err.String()) {
		t.Errorf("the second start prints a set-up secret:\n%s", again.err)
	}
	signInAs(t, address, "mill", "ina", "four kettles on one stove")
}

// TestHealthOverTLS makes sure that a server with a certificate for its public
// name is found alive at its own address.
func TestHealthOverTLS(t *testing.T) {
	t.Parallel()
	srv := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/livez" {
			http.NotFound(w, r)
			return
		}
		_, _ = io.WriteString(w, "alive")
	}))
	srv.Config.ErrorLog = log.New(io.Discard, "", 0)
	srv.StartTLS()
	defer srv.Close()
	listen := srv.Listener.Addr().String()
	var said bytes.Buffer
	if err := (healthCommand{Listen: listen, TLS: true}).Run(t.Context(), outputs{out: &said, err: io.Discard}); err != nil || said.String() != "alive" {
		t.Errorf("%v, and it says %q", err, said.String())
	}
	if err := (healthCommand{Listen: listen}).Run(t.Context(), outputs{out: &said, err: io.Discard}); err == nil {
		t.Error("asked without TLS, a server with TLS counts as alive")
	}
}

// stopInGoodOrder ends a server as a supervisor does: it says that it is not
// ready while it still answers, and ends with 0.
func stopInGoodOrder(t *testing.T, p *program, address string) {
	t.Helper()
	if status, _ := ask(t, http.MethodGet, address+"/readyz", "", nil); status != http.StatusOK {
		t.Fatalf("not ready before it is stopped: %d", status)
	}
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	eventually(t, "it is not ready any more", func() bool {
		res, err := http.Get(address + "/readyz")
		if err != nil {
			t.Fatalf("it stopped answering before it said that it is not ready: %v", err)
		}
		_, _ = io.Copy(io.Discard, res.Body)
		_ = res.Body.Close()
		return res.StatusCode == http.StatusServiceUnavailable
	})
	if code := p.ended(t); code != 0 {
		t.Errorf("it ends with %d:\n%s", code, p.err)
	}
}
