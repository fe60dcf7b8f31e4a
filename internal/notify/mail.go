package notify

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net/mail"
	"net/textproto"
	"strings"
	"time"
	"unicode"

	gomail "github.com/wneessen/go-mail"
	"github.com/wneessen/go-mail/smtp"

	"benchtag/internal/app"
)

// TLSMode says how a connection to the mail server is kept private.
type TLSMode string

// The modes.
const (
	TLSStart    TLSMode = "starttls" // starts plain and must change over before anything is said
	TLSImplicit TLSMode = "tls"      // from the first byte
	TLSNone     TLSMode = "none"     // never; for a server on the same machine
)

// TLSModes lists every mode.
func TLSModes() []TLSMode { return []TLSMode{TLSStart, TLSImplicit, TLSNone} }

// mailWithin bounds each part of a talk with the mail server: reaching it, and
// handing over a letter.
const mailWithin = 30 * time.Second

// MailOptions say by which server letters go.
type MailOptions struct {
	Host     string
	Port     int
	Mode     TLSMode
	User     string // empty: no sign-in
	Password string
	From     string // address that every letter comes from
	Hello    string // name by which this server greets; empty is the machine's
	// Roots are the authorities trusted; nil are the system's.
	Roots *x509.CertPool
	// Within bounds each part of a talk; 0 is thirty seconds.
	Within time.Duration
}

// Mailer hands letters to one mail server, a connection each.
type Mailer struct {
	opt    MailOptions
	domain string
}

var _ app.Mailer = (*Mailer)(nil)

// NewMailer checks the options; it reaches for nothing.
func NewMailer(opt MailOptions) (*Mailer, error) {
	from, err := mail.ParseAddress(opt.From)
	if err != nil || from.Name != "" || from.Address != opt.From {
		return nil, errors.New("the address that letters come from is not one: give it bare, as in desk@shop.example")
	}
	if opt.Within == 0 {
		opt.Within = mailWithin
	}
	m := &Mailer{opt: opt, domain: opt.From[strings.LastIndex(opt.From, "@")+1:]}
	_, err = m.client()
	return m, err
}

func (m *Mailer) client() (*gomail.Client, error) {
	o := m.opt
	opts := []gomail.Option{gomail.WithPort(o.Port), gomail.WithTimeout(o.Within), gomail.WithoutNoop(),
		gomail.WithTLSConfig(&tls.Config{ServerName: o.Host, RootCAs: o.Roots, MinVersion: tls.VersionTLS12})}
	switch o.Mode {
	case TLSStart:
		opts = append(opts, gomail.WithTLSPolicy(gomail.TLSMandatory))
	case TLSImplicit:
		opts = append(opts, gomail.WithSSL())
	case TLSNone:
		opts = append(opts, gomail.WithTLSPolicy(gomail.NoTLS))
	default:
		return nil, fmt.Errorf("the mail server's TLS mode is not %q: say starttls, tls or none", o.Mode)
	}
	if o.User != "" {
		opts = append(opts, gomail.WithSMTPAuth(gomail.SMTPAuthAutoDiscover), gomail.WithUsername(o.User), gomail.WithPassword(o.Password))
	}
	if o.Hello != "" {
		opts = append(opts, gomail.WithHELO(o.Hello))
	}
	c, err := gomail.NewClient(o.Host, opts...)
	if err != nil {
		return nil, fmt.Errorf("the settings of the mail server: %w", err)
	}
	return c, nil
}

// Send hands one letter over. Up to the call of ready nothing of it was said
// but who it is for; a failure before is a plain failure. After, only a word of
// the server tells whether it has the letter: without one nobody knows.
func (m *Mailer) Send(ctx context.Context, letter app.Mail, ready func(context.Context) error) app.Delivery {
	msg, err := m.compose(letter)
	if err != nil {
		return refused("The letter could not be written: an address or a name in it is not as it must be. Correct it and try again.")
	}
	var whole bytes.Buffer // so that writing it can only fail at the other end
	if _, err := msg.WriteTo(&whole); err != nil {
		return refused("The letter could not be written.")
	}
	client, err := m.client()
	if err != nil {
		return later("The mail server's settings are wrong.")
	}
	talk, err := client.DialToSMTPClientWithContext(ctx)
	if err != nil {
		return notLetIn(err)
	}
	defer func() { _ = talk.Close() }()
	if out := m.address(talk, letter.To); out.Result != "" {
		return out
	}
	if err := ready(ctx); err != nil {
		return later("It was put off before anything was handed over.")
	}
	out := handOver(talk, whole.Bytes(), m.opt.Within)
	if out.Result == app.Accepted {
		_ = talk.Quit() // never after half a letter: a command would end it
	}
	return out
}

func later(words string) app.Delivery { return app.Delivery{Result: app.Later, Words: words} }

// notLetIn says why the mail server could not be spoken to. Whatever it was,
// it is no fault of the letter, so it is tried again.
func notLetIn(err error) app.Delivery {
	var said *textproto.Error
	var cert *tls.CertificateVerificationError
	switch {
	case errors.As(err, &said):
		return later(fmt.Sprintf("The mail server did not let us in (code %d). Look at its user name and password.", said.Code))
	case errors.As(err, &cert):
		return later("The mail server's certificate is not valid.")
	case strings.Contains(err.Error(), "STARTTLS"), strings.Contains(err.Error(), "tls:"):
		return later("The mail server gave no private connection (TLS).")
	case strings.Contains(err.Error(), "AUTH"):
		return later("The mail server takes no user name and password this way.")
	}
	return later("The mail server could not be reached.")
}

// address says who the letter is from and for, or why it cannot be.
func (m *Mailer) address(talk *smtp.Client, to string) app.Delivery {
	if err := talk.UpdateDeadline(m.opt.Within); err != nil {
		return later("The mail server ended the talk.")
	}
	if err := talk.Mail(m.opt.From); err != nil {
		return serverSaid(err, "The mail server does not take letters from our address", app.Later)
	}
	if err := talk.Rcpt(to); err != nil {
		return serverSaid(err, "The mail server does not take letters for this address", app.Later)
	}
	return app.Delivery{}
}

// handOver sends the letter itself. Its end is the one moment at which the
// server takes it: an answer then is the truth, and no answer is none.
func handOver(talk *smtp.Client, letter []byte, within time.Duration) app.Delivery {
	_ = talk.UpdateDeadline(within)
	w, err := talk.Data()
	if err != nil {
		return serverSaid(err, "The mail server did not take the letter", app.Later)
	}
	if _, err := w.Write(letter); err != nil {
		// Not closed: an end would make half a letter a whole one.
		return later("The connection broke before the letter was over.")
	}
	_ = talk.UpdateDeadline(within)
	if err := w.Close(); err != nil {
		return serverSaid(err, "The mail server did not take the letter", app.Uncertain)
	}
	return app.Delivery{Result: app.Accepted}
}

// serverSaid judges an answer: 4xx is for now, 5xx for good (RFC 5321, 4.2.1),
// and no answer is as told. What the server said in words is left out: it may
// hold the address.
func serverSaid(err error, what string, unsaid app.Result) app.Delivery {
	var said *textproto.Error
	switch {
	case !errors.As(err, &said) && unsaid == app.Uncertain:
		return app.Delivery{Result: app.Uncertain, Words: "The connection broke after the letter was handed over and before the mail server said that it has it. Ask whether it has arrived; if not, send it again, else give it up here."}
	case !errors.As(err, &said):
		return later("The connection to the mail server broke.")
	case said.Code >= 500 && said.Code < 600:
		return refused(fmt.Sprintf("%s (code %d). It will not be tried again by itself.", what, said.Code))
	case said.Code < 400 && unsaid == app.Uncertain:
		return app.Delivery{Result: app.Uncertain, Words: fmt.Sprintf("The mail server answered what means neither yes nor no (code %d). Ask whether it has arrived; if not, send it again, else give it up here.", said.Code)}
	}
	return later(fmt.Sprintf("%s for now (code %d).", what, said.Code))
}

// compose writes the letter: plain text and the same in HTML, nothing that is
// fetched from elsewhere, nothing that tells who has read it.
func (m *Mailer) compose(letter app.Mail) (*gomail.Msg, error) {
	for _, line := range []string{letter.ID, letter.FromName, letter.ReplyTo, letter.To, letter.ToName, letter.Subject} {
		if strings.ContainsFunc(line, unicode.IsControl) {
			return nil, errors.New("notify: a line of the head holds a control character")
		}
	}
	msg := gomail.NewMsg(gomail.WithNoDefaultUserAgent())
	msg.FromMailAddress(&mail.Address{Name: letter.FromName, Address: m.opt.From})
	if err := bare(letter.To); err != nil {
		return nil, err
	}
	msg.ToMailAddress(&mail.Address{Name: letter.ToName, Address: letter.To})
	if letter.ReplyTo != "" {
		if err := bare(letter.ReplyTo); err != nil {
			return nil, err
		}
		msg.ReplyToMailAddress(&mail.Address{Name: letter.FromName, Address: letter.ReplyTo})
	}
	msg.Subject(letter.Subject)
	msg.SetDateWithValue(letter.Date)
	msg.SetMessageIDWithValue(letter.ID + "@" + m.domain)
	msg.SetGenHeader("Auto-Submitted", "auto-generated") // RFC 3834, 5: no answers by machines
	msg.SetBodyString(gomail.TypeTextPlain, letter.Text)
	msg.AddAlternativeString(gomail.TypeTextHTML, letter.HTML)
	for _, file := range letter.Attached {
		name, kind := file.Name, gomail.ContentType(file.Type)
		if err := msg.AttachReader(name, strings.NewReader(string(file.Bytes)), gomail.WithFileContentType(kind)); err != nil {
			return nil, fmt.Errorf("notify: attach: %w", err)
		}
	}
	return msg, nil
}

// bare refuses what is more than one plain address.
func bare(address string) error {
	parsed, err := mail.ParseAddress(address)
	if err != nil || parsed.Address != address {
		return errors.New("notify: not one plain address")
	}
	return nil
}
