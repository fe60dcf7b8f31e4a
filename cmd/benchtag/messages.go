package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"strings"
	"time"

	"benchtag/internal/auth/keyfile"
	"benchtag/internal/notify"
)

// messaging says what messages go by.
type messaging struct {
	SMTPHost           string        `help:"Mail server that letters go by. Without one, copies are to be handed over in print." env:"BENCHTAG_SMTP_HOST" placeholder:"NAME"`
	SMTPPort           int           `help:"Its port." env:"BENCHTAG_SMTP_PORT" default:"587"`
	SMTPTLS            string        `name:"smtp-tls" help:"How the way there is kept private: starttls (must change over), tls (from the first byte), or none, for a mail server on this machine." env:"BENCHTAG_SMTP_TLS" enum:"starttls,tls,none" default:"starttls"`
	SMTPUser           string        `help:"User name at the mail server. The password comes from BENCHTAG_SMTP_PASSWORD or the file below." env:"BENCHTAG_SMTP_USER" placeholder:"NAME"`
	SMTPPasswordFile   string        `help:"File with the password, readable by its owner alone." env:"BENCHTAG_SMTP_PASSWORD_FILE" type:"path" placeholder:"FILE"`
	SMTPFrom           string        `help:"Address that letters come from; answers go to each shop's own address." env:"BENCHTAG_SMTP_FROM" placeholder:"ADDRESS"`
	WebhookPrivateHost []string      `help:"Host of your own network, as name:port, that shops may call although it is not public, and over plain HTTP. For a box that sends text messages." env:"BENCHTAG_WEBHOOK_PRIVATE_HOST" placeholder:"NAME:PORT"`
	MessageLease       time.Duration `help:"How long a sender has a message in hand." env:"BENCHTAG_MESSAGE_LEASE" default:"2m" hidden:""`
}

const passwordVariable = "BENCHTAG_SMTP_PASSWORD"

// reachOut gives a server its ways to the outside.
func (m messaging) reachOut(b *built) error {
	hooks, err := notify.NewHooks(notify.HookOptions{PrivateHosts: m.WebhookPrivateHost})
	if err != nil {
		return err
	}
	b.app.Hooks, b.app.MessageLease = hooks, m.MessageLease
	if m.SMTPHost == "" {
		return nil
	}
	mailer, err := m.mailer()
	if err != nil {
		return err
	}
	b.app.Mailer = mailer
	return nil
}

// mailer refuses settings that would put letters or a password on the wire.
func (m messaging) mailer() (*notify.Mailer, error) {
	if m.SMTPFrom == "" {
		return nil, errors.New("give --smtp-from, the address that letters come from")
	}
	if m.SMTPTLS == string(notify.TLSNone) && !onThisMachine(m.SMTPHost) {
		return nil, errors.New("--smtp-tls none is for a mail server on this machine alone: letters and the password would cross the network readable")
	}
	password, err := m.password()
	if err != nil {
		return nil, err
	}
	if (m.SMTPUser == "") != (password == "") {
		return nil, errors.New("give --smtp-user and a password together, or neither")
	}
	return notify.NewMailer(notify.MailOptions{Host: m.SMTPHost, Port: m.SMTPPort, Mode: notify.TLSMode(m.SMTPTLS), User: m.SMTPUser,
		Password: password, From: m.SMTPFrom, Within: min(30*time.Second, m.MessageLease/4)})
}

func onThisMachine(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// password reads the mail server's password, never from the command line,
// where others on the machine can read it.
func (m messaging) password() (string, error) {
	if m.SMTPPasswordFile == "" {
		return os.Getenv(passwordVariable), nil
	}
	if os.Getenv(passwordVariable) != "" {
		return "", fmt.Errorf("the password stands in %s and in a file: give one", passwordVariable)
	}
	text, err := keyfile.Read(m.SMTPPasswordFile, maxSecretFile, "")
	if err != nil {
		return "", fmt.Errorf("read the mail server's password: %w", err)
	}
	return strings.TrimRight(string(text), "\r\n"), nil
}

// messageTurn is how often every shop's outbox is looked at; what is new goes
// at once.
const messageTurn = 5 * time.Second

// deliverNew sends what is new of the shops that have something, until ctx ends.
func (b *built) deliverNew(ctx context.Context) error {
	for {
		select {
		case <-ctx.Done():
			return nil
		case id := <-b.app.Woken():
			if err := b.app.DeliverMessages(ctx, id); err != nil && ctx.Err() == nil {
				b.log.Error("messages could not be sent", "shop", string(id), "error", err)
			}
		}
	}
}

// messageTasks send what is put out: what is new at once, and what is due
// again, or was left by another server, in turn.
func (b *built) messageTasks() []task {
	return []task{
		{"new messages", messageTurn, b.deliverNew},
		{"messages", messageTurn, forEachShop(b.app.Store, b.log, b.app.DeliverMessages)},
	}
}
