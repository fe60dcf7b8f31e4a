package notify_test

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net"
	"net/http/httptest"
	"net/mail"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"

	"benchtag/internal/app"
	"benchtag/internal/notify"
)

// office is a mail server that does as it is told.
type office struct {
	mu       sync.Mutex
	got      [][]byte // letters taken
	signedIn []string
	words    int // commands that name somebody

	onMail, onRcpt, onData error
	hangUp                 string // "in the letter", "after the letter"
	users                  bool
}

func (o *office) NewSession(c *smtp.Conn) (smtp.Session, error) { return &desk{o: o, c: c}, nil }

type desk struct {
	o *office
	c *smtp.Conn
}

func (d *desk) AuthMechanisms() []string {
	if d.o.users {
		return []string{sasl.Plain}
	}
	return nil
}

func (d *desk) Auth(string) (sasl.Server, error) {
	return sasl.NewPlainServer(func(_, user, password string) error {
		d.o.mu.Lock()
		defer d.o.mu.Unlock()
		d.o.signedIn = append(d.o.signedIn, user)
		if user != "desk" || password != "right" {
			return smtp.ErrAuthFailed
		}
		return nil
	}), nil
}

func (d *desk) Reset()        {}
func (d *desk) Logout() error { return nil }

func (d *desk) Mail(string, *smtp.MailOptions) error {
	d.o.mu.Lock()
	defer d.o.mu.Unlock()
	d.o.words++
	return d.o.onMail
}

func (d *desk) Rcpt(string, *smtp.RcptOptions) error { return d.o.onRcpt }

func (d *desk) Data(r io.Reader) error {
	if d.o.hangUp == "in the letter" {
		_, _ = io.CopyN(io.Discard, r, 10)
		return d.c.Conn().Close()
	}
	letter, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	if d.o.onData != nil {
		return d.o.onData
	}
	d.o.mu.Lock()
	d.o.got = append(d.o.got, letter)
	d.o.mu.Unlock()
	if d.o.hangUp == "after the letter" {
		return d.c.Conn().Close()
	}
	return nil
}

// open starts the office and gives the options that lead to it.
func (o *office) open(t *testing.T, mode notify.TLSMode) notify.MailOptions {
	t.Helper()
	s := smtp.NewServer(o)
	s.Domain, s.AllowInsecureAuth = "office.example", mode == notify.TLSNone
	s.ErrorLog = quiet{}
	web := httptest.NewUnstartedServer(nil) // for its certificate
	web.StartTLS()
	certificate, roots := web.TLS.Certificates[0], x509.NewCertPool()
	roots.AddCert(web.Certificate())
	web.Close()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	config := &tls.Config{Certificates: []tls.Certificate{certificate}}
	switch mode {
	case notify.TLSStart:
		s.TLSConfig = config
	case notify.TLSImplicit:
		l = tls.NewListener(l, config)
	}
	go func() { _ = s.Serve(l) }()
	t.Cleanup(func() { _ = s.Close() })
	return notify.MailOptions{Host: "127.0.0.1", Port: port, Mode: mode, From: "desk@bench.example", Roots: roots, Hello: "bench.example", Within: 10 * time.Second}
}

type quiet struct{}

func (quiet) Printf(string, ...any) {}
func (quiet) Println(...any)        {}

func mailer(t *testing.T, opt notify.MailOptions) *notify.Mailer {
	t.Helper()
	m, err := notify.NewMailer(opt)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func plainLetter() app.Mail {
	return app.Mail{ID: "01950000-0000-7000-8000-000000000001", FromName: `Räder & "Söhne"`, ReplyTo: "desk@shop.example", To: "pat@mail.example", ToName: "Pat O'Example",
		Date: time.Date(2026, 3, 1, 9, 30, 0, 0, time.UTC), Subject: "Ihre Kopie: Übersicht", Text: "Hello,\n\n.a line that starts with a dot\nÜ\n", HTML: "<p>Hello,</p>",
		Attached: []app.Attachment{{Name: "offer-1-2.json", Type: "application/json", Bytes: []byte("{\"a\":\"\r\n\xff\"}")}}}
}

func goOn(context.Context) error { return nil }

// TestLetterArrives: over each kind of connection, with and without a
// sign-in, what was to be sent arrives, whole.
func TestLetterArrives(t *testing.T) {
	t.Parallel()
	for _, mode := range notify.TLSModes() {
		t.Run(string(mode), func(t *testing.T) {
			t.Parallel()
			o := &office{users: mode != notify.TLSNone}
			opt := o.open(t, mode)
			if o.users {
				opt.User, opt.Password = "desk", "right"
			}
			if out := mailer(t, opt).Send(t.Context(), plainLetter(), goOn); out.Result != app.Accepted || out.Words != "" {
				t.Fatalf("%+v", out)
			}
			if len(o.got) != 1 || o.users != (len(o.signedIn) == 1) {
				t.Fatalf("%d letters, signed in %v", len(o.got), o.signedIn)
			}
			checkLetter(t, o.got[0])
		})
	}
}

func checkLetter(t *testing.T, raw []byte) {
	t.Helper()
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	var words mime.WordDecoder
	head := func(name string) string {
		text, err := words.DecodeHeader(m.Header.Get(name))
		if err != nil {
			t.Error(err)
		}
		return text
	}
	for name, want := range map[string]string{
		"Message-ID": "<01950000-0000-7000-8000-000000000001@bench.example>", "Subject": "Ihre Kopie: Übersicht", "Auto-Submitted": "auto-generated",
		"Date": "Sun, 01 Mar 2026 09:30:00 +0000", "X-Mailer": "", "User-Agent": "", "Disposition-Notification-To": "",
	} {
		if got := head(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	for name, want := range map[string]mail.Address{"From": {Name: `Räder & "Söhne"`, Address: "desk@bench.example"},
		"Reply-To": {Name: `Räder & "Söhne"`, Address: "desk@shop.example"}, "To": {Name: "Pat O'Example", Address: "pat@mail.example"}} {
		if got, err := mail.ParseAddress(m.Header.Get(name)); err != nil || *got != want {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
	parts := map[string][]byte{}
	collect(t, m.Header.Get("Content-Type"), m.Header.Get("Content-Transfer-Encoding"), m.Body, parts)
	text := strings.ReplaceAll(string(parts["text/plain"]), "\r\n", "\n")
	if text != plainLetter().Text || string(parts["text/html"]) != plainLetter().HTML || !bytes.Equal(parts["application/json"], plainLetter().Attached[0].Bytes) {
		t.Errorf("the parts: %q", parts)
	}
}

// collect reads every part of a letter by its type.
func collect(t *testing.T, contentType, encoding string, body io.Reader, parts map[string][]byte) {
	t.Helper()
	kind, params, err := mime.ParseMediaType(contentType)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(kind, "multipart/") {
		parts[kind] = decoded(t, encoding, body)
		return
	}
	for r := multipart.NewReader(body, params["boundary"]); ; {
		p, err := r.NextRawPart()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		collect(t, p.Header.Get("Content-Type"), p.Header.Get("Content-Transfer-Encoding"), p, parts)
	}
}

// TestServerRefuses: what the mail server says is told apart: for now, for
// good, or nothing at all at the one moment that counts. Its words, which may
// hold the address, are not passed on.
func TestServerRefuses(t *testing.T) {
	t.Parallel()
	no := func(code int) error {
		return &smtp.SMTPError{Code: code, EnhancedCode: smtp.EnhancedCodeNotSet, Message: "pat@mail.example is not wanted"}
	}
	for _, tt := range []struct {
		name  string
		o     *office
		want  app.Result
		ready int
		taken int
	}{
		{"our address, for now", &office{onMail: no(451)}, app.Later, 0, 0},
		{"our address, for good", &office{onMail: no(550)}, app.Refused, 0, 0},
		{"their address, for now", &office{onRcpt: no(450)}, app.Later, 0, 0},
		{"their address, for good", &office{onRcpt: no(550)}, app.Refused, 0, 0},
		{"the letter, for now", &office{onData: no(452)}, app.Later, 1, 0},
		{"the letter, for good", &office{onData: no(554)}, app.Refused, 1, 0},
		{"hangs up in the letter", &office{hangUp: "in the letter"}, app.Uncertain, 1, 0},
		{"hangs up with the letter", &office{hangUp: "after the letter"}, app.Uncertain, 1, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			opt, ready := tt.o.open(t, notify.TLSNone), 0
			out := mailer(t, opt).Send(t.Context(), plainLetter(), func(context.Context) error { ready++; return nil })
			if out.Result != tt.want || ready != tt.ready || len(tt.o.got) != tt.taken {
				t.Errorf("%+v, ready %d, taken %d", out, ready, len(tt.o.got))
			}
			if strings.Contains(out.Words, "pat") || strings.Contains(out.Words, "wanted") || out.Words == "" {
				t.Errorf("said: %q", out.Words)
			}
		})
	}
}

// TestNothingWithoutReady: where the sender may not go on, nothing of the
// letter is handed over.
func TestNothingWithoutReady(t *testing.T) {
	t.Parallel()
	o := &office{}
	out := mailer(t, o.open(t, notify.TLSNone)).Send(t.Context(), plainLetter(), func(context.Context) error { return errors.New("another has it") })
	if out.Result != app.Later || len(o.got) != 0 {
		t.Errorf("%+v, %d letters", out, len(o.got))
	}
}

// TestNothingInTheOpen: a server that cannot keep the way private, or whose
// certificate nobody vouches for, or that does not know us, hears no address.
func TestNothingInTheOpen(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*office, *testing.T) notify.MailOptions{
		"no STARTTLS": func(o *office, t *testing.T) notify.MailOptions {
			opt := o.open(t, notify.TLSNone)
			opt.Mode = notify.TLSStart
			return opt
		},
		"no TLS": func(o *office, t *testing.T) notify.MailOptions {
			opt := o.open(t, notify.TLSNone)
			opt.Mode = notify.TLSImplicit
			return opt
		},
		"a stranger's certificate": func(o *office, t *testing.T) notify.MailOptions {
			opt := o.open(t, notify.TLSStart)
			opt.Roots = x509.NewCertPool()
			return opt
		},
		"a wrong password": func(o *office, t *testing.T) notify.MailOptions {
			o.users = true
			opt := o.open(t, notify.TLSStart)
			opt.User, opt.Password = "desk", "wrong"
			return opt
		},
		"no users there": func(o *office, t *testing.T) notify.MailOptions {
			opt := o.open(t, notify.TLSStart)
			opt.User, opt.Password = "desk", "right"
			return opt
		},
		"nobody there": func(o *office, t *testing.T) notify.MailOptions {
			opt := o.open(t, notify.TLSNone)
			opt.Port = 1
			return opt
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := &office{}
			opt := change(o, t)
			out := mailer(t, opt).Send(t.Context(), plainLetter(), func(context.Context) error { t.Error("it went on"); return nil })
			if out.Result != app.Later || o.words != 0 || strings.Contains(out.Words, "127.0.0.1") || strings.Contains(out.Words, "wrong") {
				t.Errorf("%+v after %d words", out, o.words)
			}
		})
	}
}

// TestNoForgedHead: a line break in any line of the head, or an address that
// is more than one, sends nothing.
func TestNoForgedHead(t *testing.T) {
	t.Parallel()
	o := &office{}
	m := mailer(t, o.open(t, notify.TLSNone))
	for name, change := range map[string]func(*app.Mail){
		"subject": func(l *app.Mail) { l.Subject = "a\r\nBcc: all@example.org" }, "name": func(l *app.Mail) { l.ToName = "a\nBcc: all@example.org" },
		"shop": func(l *app.Mail) { l.FromName = "a\rb" }, "address": func(l *app.Mail) { l.To = "pat@mail.example\r\nRCPT TO:<all@example.org>" },
		"two addresses": func(l *app.Mail) { l.To = "pat@mail.example, all@example.org" }, "no address": func(l *app.Mail) { l.To = "" },
		"an address with a name": func(l *app.Mail) { l.To = "Pat <pat@mail.example>" }, "answers": func(l *app.Mail) { l.ReplyTo = "a@b.example>\r\nX: y" },
		"id": func(l *app.Mail) { l.ID = "a>\r\nX: y" }, "answers to two": func(l *app.Mail) { l.ReplyTo = "a@b.example, c@d.example" },
	} {
		letter := plainLetter()
		change(&letter)
		if out := m.Send(t.Context(), letter, goOn); out.Result != app.Refused {
			t.Errorf("%s: %+v", name, out)
		}
	}
	if len(o.got) != 0 || o.words != 0 {
		t.Errorf("%d letters, %d words", len(o.got), o.words)
	}
}

// TestMailSettings: settings that cannot work are refused at the start.
func TestMailSettings(t *testing.T) {
	t.Parallel()
	good := notify.MailOptions{Host: "mail.example", Port: 587, Mode: notify.TLSStart, From: "desk@bench.example"}
	if _, err := notify.NewMailer(good); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*notify.MailOptions){
		"mode": func(o *notify.MailOptions) { o.Mode = "maybe" }, "from": func(o *notify.MailOptions) { o.From = "Bench <desk@bench.example>" },
		"no from": func(o *notify.MailOptions) { o.From = "" }, "port": func(o *notify.MailOptions) { o.Port = 70000 }, "no host": func(o *notify.MailOptions) { o.Host = "" },
	} {
		opt := good
		change(&opt)
		if _, err := notify.NewMailer(opt); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}
