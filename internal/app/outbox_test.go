package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/auth/vault"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// postman is a mail server and a caller of webhooks that does as it is told
// and remembers.
type postman struct {
	mu       sync.Mutex
	letters  []app.Mail
	calls    []app.HookCall
	say      app.Delivery // of a letter that was handed over; nothing means accepted
	sayCall  app.Delivery
	dieEarly bool // the sender dies before anything is handed over
	dieLate  bool // it dies with the letter handed over and nothing noted
}

func (p *postman) Send(ctx context.Context, letter app.Mail, ready func(context.Context) error) app.Delivery {
	if p.dieEarly {
		runtime.Goexit()
	}
	if err := ready(ctx); err != nil {
		return app.Delivery{Result: app.Later, Words: "not ready"}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.say.Result == "" || p.say.Result == app.Accepted || p.say.Result == app.Uncertain {
		p.letters = append(p.letters, letter)
	}
	if p.dieLate {
		runtime.Goexit()
	}
	if p.say.Result == "" {
		return app.Delivery{Result: app.Accepted}
	}
	return p.say
}

func (*postman) Check(string) error { return nil }

func (p *postman) Call(_ context.Context, call app.HookCall) app.Delivery {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.calls = append(p.calls, call)
	if p.dieLate {
		runtime.Goexit()
	}
	if p.sayCall.Result == "" {
		return app.Delivery{Result: app.Accepted}
	}
	return p.sayCall
}

// postBench is a bench from which messages can go.
type postBench struct {
	*moneyBench
	man *postman
}

func newPostBench(t *testing.T) *postBench {
	t.Helper()
	b := &postBench{moneyBench: newMoneyBench(t, func(s *shop.Shop) { s.Email, s.Phone = "desk@quillmoor.example", "+1 555 0199" }), man: &postman{}}
	v, err := vault.New(bytes.Repeat([]byte{7}, 32))
	if err != nil {
		t.Fatal(err)
	}
	b.app.Vault, b.app.Mailer, b.app.Hooks = v, b.man, b.man
	return b
}

func (b *postBench) deliver() {
	b.t.Helper()
	if err := b.app.DeliverMessages(b.ctx, b.who.ShopID); err != nil {
		b.t.Fatal(err)
	}
}

func (b *postBench) later(d time.Duration) { b.clock.Set(b.clock.Now().Add(d)) }

// only gives the one message of a kind.
func (b *postBench) only(kind shop.MessageKind) shop.Message {
	b.t.Helper()
	rows, err := b.app.Outbox(b.ctx, b.who, "", app.Page{})
	if err != nil {
		b.t.Fatal(err)
	}
	var found []shop.Message
	for _, m := range rows {
		if m.Kind == kind {
			found = append(found, m)
		}
	}
	if len(found) != 1 {
		b.t.Fatalf("%d messages of the kind %s", len(found), kind)
	}
	return found[0]
}

func (b *postBench) want(kind shop.MessageKind, state shop.MessageState) shop.Message {
	b.t.Helper()
	m := b.only(kind)
	if m.State != state {
		b.t.Fatalf("%s is %s (%s), want %s", kind, m.State, m.LastError, state)
	}
	return m
}

// customer changes the customer.
func (b *postBench) customer(change func(*shop.Customer)) {
	b.t.Helper()
	c := moneyLoad[shop.Customer](b.moneyBench, string(b.order.CustomerID))
	change(&c)
	b.write(func(tx app.Tx) error { return tx.Advance(&c) })
}

// no has the customer say no at the counter, of which a copy goes out.
func (b *postBench) no() shop.Consent {
	b.t.Helper()
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, shop.Consent{Kind: shop.ConsentKindDropOff, Decision: shop.DecisionDeclined, Method: shop.ConsentMethodInPerson,
		TypedName: "Wren Ashdown", Relation: "owner", IdentifiedHow: "known", SaidAt: b.clock.Now()})
	if err != nil {
		b.t.Fatal(err)
	}
	return given
}

// TestCopyOfAnAnswer: a copy goes to the customer with what was shown, byte
// for byte, its fingerprint and what was said; that it went is on the answer
// and in the journal; and it goes once.
func TestCopyOfAnAnswer(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	sc := b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000))
	o := b.offer(sc)
	if _, err := b.app.LinkDecide(b.ctx, yes(b.token(o), o, sc)); err != nil {
		t.Fatal(err)
	}
	b.deliver()
	b.deliver()
	m := b.want(shop.MessageKindConsentCopy, shop.MessageStateSent)
	if len(b.man.letters) != 1 {
		t.Fatalf("%d letters", len(b.man.letters))
	}
	l := b.man.letters[0]
	given := moneyLoad[shop.Consent](b.moneyBench, m.SubjectID)
	if l.To != "wren@example.test" || l.ReplyTo != "desk@quillmoor.example" || l.FromName != "Quillmoor Cycle Works" || l.ID != string(m.ID) {
		t.Errorf("the head: %+v", l)
	}
	for _, said := range []string{given.Wording, o.SHA256, "Wren Ashdown", "Gear pair", "THE WAY YOU CHOSE: Put it right", "USD 108.25", "Ask before you lift.", "+1 555 0199"} {
		if !strings.Contains(l.Text, said) {
			t.Errorf("the letter does not say %q:\n%s", said, l.Text)
		}
	}
	if len(l.Attached) != 1 || !bytes.Equal(l.Attached[0].Bytes, o.Document) || hashOf(string(l.Attached[0].Bytes)) != given.ShownSHA256 {
		t.Errorf("what goes with it is not what was shown: %d files", len(l.Attached))
	}
	for _, fetched := range []string{"<img", "src=", "url(", "<script", "<link", "<style"} {
		if strings.Contains(l.HTML, fetched) {
			t.Errorf("the letter holds %s", fetched)
		}
	}
	if given.CopyTo == "" || given.CopySentAt == nil || !given.CopySentAt.Equal(*m.SentAt) || m.SentAt == nil || m.LeasedUntil != nil {
		t.Errorf("noted: to %q at %v, message %+v", given.CopyTo, given.CopySentAt, m)
	}
	if n := b.journaled("consent.copy_sent"); n != 1 {
		t.Errorf("it is in the journal %d times", n)
	}
}

// A copy counts as gone when a mail server took it, and not before: an answer
// on the phone has no other copy.
func TestCopyCountsAsGoneWhenItWasTaken(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.man.say = app.Delivery{Result: app.Later, Words: "busy"}
	given := b.no()
	b.deliver()
	if now := moneyLoad[shop.Consent](b.moneyBench, string(given.ID)); now.CopySentAt != nil || now.CopyTo == "" {
		t.Errorf("nothing has gone, and noted is %v to %q", now.CopySentAt, now.CopyTo)
	}
	before := b.record(given.ID)
	b.man.say = app.Delivery{}
	b.later(time.Hour)
	b.deliver()
	now := moneyLoad[shop.Consent](b.moneyBench, string(given.ID))
	if now.CopySentAt == nil || !now.CopySentAt.Equal(b.clock.Now()) || now.CopyTo != given.CopyTo {
		t.Errorf("it has gone, and noted is %v to %q", now.CopySentAt, now.CopyTo)
	}
	if after := b.record(given.ID); !bytes.Equal(before.Bytes, after.Bytes) {
		t.Error("noting the copy changed the record that is proved")
	}
}

// journaled counts entries of the work order of one kind.
func (b *postBench) journaled(event string) (n int) {
	b.t.Helper()
	b.write(func(tx app.Tx) error {
		for _, stream := range []string{string(b.order.ID), string(b.who.ShopID)} {
			entries, err := tx.Entries(stream, 0, 10_000)
			if err != nil {
				return err
			}
			for _, e := range entries {
				if strings.Contains(string(e.Header), event) {
					n++
				}
			}
		}
		return nil
	})
	return n
}

// TestAddressIsReadWhenItGoes: a message holds nobody's address: what was
// changed meanwhile counts, and what was erased is erased.
func TestAddressIsReadWhenItGoes(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	given := b.no()
	row, err := json.Marshal(b.only(shop.MessageKindConsentCopy))
	if err != nil || bytes.Contains(row, []byte("example")) || bytes.Contains(row, []byte("Wren")) {
		t.Errorf("the message holds more than ids: %s (%v)", row, err)
	}
	b.customer(func(c *shop.Customer) { c.Email = "" })
	b.write(func(tx app.Tx) error {
		if err := tx.Load(&given, string(given.ID)); err != nil {
			return err
		}
		given.CopyTo = ""
		return tx.Advance(&given)
	})
	b.deliver()
	m := b.want(shop.MessageKindConsentCopy, shop.MessageStateNotSetUp)
	_, err = b.app.RetryMessage(b.ctx, b.who, m.ID)
	wantMoneyFault(t, err, fault.Conflict, "app.message_not_set_up")
	b.customer(func(c *shop.Customer) { c.Email = "new@example.test" })
	if _, err := b.app.RetryMessage(b.ctx, b.who, m.ID); err != nil {
		t.Fatal(err)
	}
	b.deliver()
	b.want(shop.MessageKindConsentCopy, shop.MessageStateSent)
	if len(b.man.letters) != 1 || b.man.letters[0].To != "new@example.test" {
		t.Errorf("letters: %+v", b.man.letters)
	}
}

// TestNoMailServer: without one, the copy is listed to be handed over, is not
// sent by itself later, and goes when a person says so.
func TestNoMailServer(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.app.Mailer = nil
	b.no()
	b.deliver()
	m := b.want(shop.MessageKindConsentCopy, shop.MessageStateNotSetUp)
	if !strings.Contains(m.LastError, "in print") {
		t.Errorf("it says %q", m.LastError)
	}
	b.app.Mailer = b.man
	b.later(time.Hour)
	b.deliver()
	if len(b.man.letters) != 0 {
		t.Error("it went by itself")
	}
	if _, err := b.app.RetryMessage(b.ctx, b.who, m.ID); err != nil {
		t.Fatal(err)
	}
	b.deliver()
	b.want(shop.MessageKindConsentCopy, shop.MessageStateSent)
}

// TestLinkTravelsSealed: a link's address lies in no row that can be read,
// reaches the customer, and is wiped once it has gone.
func TestLinkTravelsSealed(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	o := b.offer(b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000)))
	_, address, err := b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, shop.MessageWayEmail)
	if err != nil {
		t.Fatal(err)
	}
	token := address[strings.LastIndex(address, "/")+1:]
	m := b.want(shop.MessageKindOfferLink, shop.MessageStateWaiting)
	if len(m.Sealed) == 0 || bytes.Contains(m.Sealed, []byte(token[len(token)-12:])) {
		t.Error("the address can be read in the row")
	}
	b.deliver()
	m = b.want(shop.MessageKindOfferLink, shop.MessageStateSent)
	if len(b.man.letters) != 1 || !strings.Contains(b.man.letters[0].Text, address) || len(m.Sealed) != 0 {
		t.Errorf("%d letters, %d bytes kept", len(b.man.letters), len(m.Sealed))
	}
	if strings.Contains(b.man.letters[0].Subject, token) {
		t.Error("the subject shows the token")
	}
}

// TestLinkThatCannotGo: where there is no way the link is not made; where it
// has had its time it does not go.
func TestLinkThatCannotGo(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	o := b.offer(b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000)))
	for _, way := range []shop.MessageWay{shop.MessageWayText, shop.MessageWayEmail} {
		mailer := b.app.Mailer
		b.app.Mailer = nil
		_, _, err := b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, way)
		wantMoneyFault(t, err, fault.Conflict, "app.link_not_sendable")
		b.app.Mailer = mailer
	}
	_, _, err := b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, shop.MessageWayWebhook)
	wantMoneyFault(t, err, fault.Meaning, "app.send_way_unknown")
	links, err := b.app.OfferLinks(b.ctx, b.who, o.ID, app.Page{})
	if err != nil || len(links) != 0 {
		t.Errorf("%d links were made (%v)", len(links), err)
	}
	link, _, err := b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, shop.MessageWayEmail)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.app.RevokeOfferLink(b.ctx, b.who, link.ID); err != nil {
		t.Fatal(err)
	}
	b.deliver()
	if m := b.want(shop.MessageKindOfferLink, shop.MessageStateGivenUp); len(b.man.letters) != 0 || len(m.Sealed) != 0 {
		t.Errorf("%d letters, %d bytes kept", len(b.man.letters), len(m.Sealed))
	}
}

// TestSenderDies: a sender that dies before handing over loses nothing, and
// the letter goes once; one that dies afterwards leaves a letter of which
// nobody knows: it is shown, and goes again by a person alone, under its id.
func TestSenderDies(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.no()
	b.man.dieEarly = true
	b.deliver()
	b.man.dieEarly = false
	b.deliver() // still in the dead one's hand
	if len(b.man.letters) != 0 {
		t.Fatal("it went out of another's hand")
	}
	b.later(app.OutboxLease + time.Second)
	b.man.dieLate = true
	b.deliver()
	b.want(shop.MessageKindConsentCopy, shop.MessageStateBeingSent)
	b.man.dieLate = false
	b.later(app.OutboxLease + time.Second)
	b.deliver()
	b.later(48 * time.Hour)
	b.deliver()
	m := b.want(shop.MessageKindConsentCopy, shop.MessageStateUncertain)
	how, err := b.app.Messaging(b.ctx, b.who)
	if err != nil || how.Stuck != 1 || len(b.man.letters) != 1 {
		t.Fatalf("stuck %d, %d letters (%v)", how.Stuck, len(b.man.letters), err)
	}
	if _, err := b.app.RetryMessage(b.ctx, b.who, m.ID); err != nil {
		t.Fatal(err)
	}
	b.deliver()
	b.want(shop.MessageKindConsentCopy, shop.MessageStateSent)
	if len(b.man.letters) != 2 || b.man.letters[0].ID != b.man.letters[1].ID {
		t.Errorf("%d letters under different ids", len(b.man.letters))
	}
	if b.journaled("message.retried") != 1 {
		t.Error("who sent it again is not in the journal")
	}
}

// TestNobodyAnswers: a letter handed over without an answer is uncertain at
// once, and stays where it is.
func TestNobodyAnswers(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.no()
	b.man.say = app.Delivery{Result: app.Uncertain, Words: "cut"}
	b.deliver()
	b.later(48 * time.Hour)
	b.deliver()
	m := b.want(shop.MessageKindConsentCopy, shop.MessageStateUncertain)
	if _, err := b.app.GiveUpMessage(b.ctx, b.who, m.ID, "Wren has it."); err != nil {
		t.Fatal(err)
	}
	b.want(shop.MessageKindConsentCopy, shop.MessageStateGivenUp)
	_, err := b.app.RetryMessage(b.ctx, b.who, m.ID)
	wantMoneyFault(t, err, fault.Conflict, "app.message_not_stopped")
	if len(b.man.letters) != 1 || b.journaled("message.given_up") != 1 {
		t.Errorf("%d letters", len(b.man.letters))
	}
}

// TestRetries: a letter put off is tried at the times of the plan and at no
// other, then fails and is shown; a refusal fails at once.
func TestRetries(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.no()
	b.man.say = app.Delivery{Result: app.Later, Words: "put off"}
	b.deliver()
	for i, wait := range app.RetryPlan() {
		m := b.want(shop.MessageKindConsentCopy, shop.MessageStateWaiting)
		due := m.DueAt.Sub(b.clock.Now())
		if m.Tries != int64(i)+1 || due < wait-time.Minute || due > wait+wait/10 {
			t.Fatalf("after %d tries (counted %d) due in %v, want %v", i+1, m.Tries, due, wait)
		}
		b.deliver() // not yet
		if again := b.only(shop.MessageKindConsentCopy); again.Tries != m.Tries {
			t.Fatal("it was tried before its time")
		}
		b.clock.Set(m.DueAt)
		b.deliver()
	}
	m := b.want(shop.MessageKindConsentCopy, shop.MessageStateFailed)
	if m.Tries != 10 {
		t.Errorf("%d tries", m.Tries)
	}
	if _, err := b.app.RetryMessage(b.ctx, b.who, m.ID); err != nil {
		t.Fatal(err)
	}
	b.man.say = app.Delivery{Result: app.Refused, Words: "never"}
	b.deliver()
	if m := b.want(shop.MessageKindConsentCopy, shop.MessageStateFailed); m.LastError != "never" || m.Tries != 1 {
		t.Errorf("%+v", m)
	}
}

// TestRetryAfter: the plan only ever grows, chance adds a tenth at most, and
// it ends.
func TestRetryAfter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		tries := rapid.Int64Range(-3, 14).Draw(t, "tries")
		low, ok := app.RetryAfter(tries, 0)
		high, _ := app.RetryAfter(tries, 255)
		some, more := app.RetryAfter(tries, rapid.Byte().Draw(t, "chance"))
		if more != ok || ok != (tries >= 1 && tries <= 9) {
			t.Fatalf("after %d tries another: %v", tries, ok)
		}
		if ok && (low != app.RetryPlan()[tries-1] || some < low || some > high || high > low+low/10) {
			t.Errorf("%v, %v, %v", low, some, high)
		}
	})
}

// hook adds a webhook and gives it with its secret.
func (b *postBench) hook(use shop.WebhookUse, events ...string) (shop.Webhook, string) {
	b.t.Helper()
	h, secret, err := b.app.AddWebhook(b.ctx, b.who, func(n *shop.Webhook) { n.Name, n.URL, n.Use, n.Events = "box", "https://box.example/", use, events })
	if err != nil {
		b.t.Fatal(err)
	}
	return h, secret
}

// TestEventsHoldIDsAlone: a program is told what has happened to which
// record, and nothing of it; a second try carries the same id.
func TestEventsHoldIDsAlone(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	h, _ := b.hook(shop.WebhookUseEvents, "consent.recorded")
	given := b.no()
	b.man.dieLate = true
	b.deliver()
	b.man.dieLate = false
	b.later(app.OutboxLease + time.Second)
	b.deliver()
	b.want(shop.MessageKindEvent, shop.MessageStateSent)
	if len(b.man.calls) != 2 || b.man.calls[0].ID != b.man.calls[1].ID || !bytes.Equal(b.man.calls[0].Body, b.man.calls[1].Body) {
		t.Fatalf("%d calls", len(b.man.calls))
	}
	var body map[string]string
	if err := json.Unmarshal(b.man.calls[0].Body, &body); err != nil {
		t.Fatal(err)
	}
	if body["type"] != "consent.recorded" || body["subject_id"] != string(given.ID) || body["job_id"] != string(b.job.ID) || body["work_order_id"] != string(b.order.ID) {
		t.Errorf("the call says %v", body)
	}
	// Ids and times are taken out first: drawn digits may read like a number.
	said := string(b.man.calls[0].Body)
	for _, field := range []string{"id", "timestamp", "shop_id", "subject_id", "work_order_id", "job_id"} {
		said = strings.ReplaceAll(said, body[field], "")
		delete(body, field)
	}
	if diff := cmp.Diff(map[string]string{"type": "consent.recorded", "subject": "consents"}, body); diff != "" {
		t.Errorf("beside ids and the time the call says (-want +got):\n%s", diff)
	}
	for _, secret := range []string{"Wren", "wren@", "555", "Heron"} {
		if strings.Contains(said, secret) {
			t.Errorf("the call tells %q", secret)
		}
	}
	// Gone is gone: it is switched off, in the journal, and told of nothing more.
	b.man.sayCall = app.Delivery{Result: app.Gone, Words: "gone"}
	b.no()
	b.deliver()
	off := moneyLoad[shop.Webhook](b.moneyBench, string(h.ID))
	calls := len(b.man.calls)
	b.no()
	b.later(time.Hour)
	b.deliver()
	if off.DisabledAt == nil || off.DisabledReason == "" || len(b.man.calls) != calls || b.journaled("webhook.disabled") != 1 {
		t.Errorf("after 410: %+v, %d more calls", off, len(b.man.calls)-calls)
	}
}

// TestTextMessage: the shop's box gets the number and the text, by the one
// webhook for it; a number that names no country gets none.
func TestTextMessage(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.hook(shop.WebhookUseTexts)
	_, _, err := b.app.AddWebhook(b.ctx, b.who, func(n *shop.Webhook) { n.Name, n.URL, n.Use = "two", "https://two.example/", shop.WebhookUseTexts })
	wantMoneyFault(t, err, fault.Conflict, "app.text_webhook_taken")
	o := b.offer(b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000)))
	b.customer(func(c *shop.Customer) { c.PhoneE164 = "5550100" })
	_, _, err = b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, shop.MessageWayText)
	wantMoneyFault(t, err, fault.Conflict, "app.link_not_sendable")
	b.customer(func(c *shop.Customer) { c.PhoneE164 = "+15550100" })
	_, address, err := b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, shop.MessageWayText)
	if err != nil {
		t.Fatal(err)
	}
	b.deliver()
	b.want(shop.MessageKindOfferLink, shop.MessageStateSent)
	var body map[string]string
	if len(b.man.calls) != 1 || json.Unmarshal(b.man.calls[0].Body, &body) != nil {
		t.Fatalf("%d calls", len(b.man.calls))
	}
	if body["type"] != "message.text" || body["to"] != "+15550100" || !strings.Contains(body["text"], address) {
		t.Errorf("the call says %v", body)
	}
}

// TestSecretsOfWebhooks: a secret is shown once and lies sealed; for a day
// after a change both sign.
func TestSecretsOfWebhooks(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	h, first := b.hook(shop.WebhookUseEvents, "consent.recorded")
	row := moneyLoad[shop.Webhook](b.moneyBench, string(h.ID))
	if !strings.HasPrefix(first, "whsec_") || bytes.Contains(row.Secret, []byte(first[10:20])) || len(row.Secret) == 0 {
		t.Error("the secret can be read in its row")
	}
	if shown, err := json.Marshal(row); err != nil || strings.Contains(string(shown), "ecret\"") {
		t.Errorf("the row shows its secret to the journal: %s", shown)
	}
	_, second, err := b.app.RotateWebhook(b.ctx, b.who, h.ID)
	if err != nil || second == first {
		t.Fatalf("the same secret again (%v)", err)
	}
	b.no()
	b.deliver()
	b.later(25 * time.Hour)
	b.no()
	b.deliver()
	if len(b.man.calls) != 2 || len(b.man.calls[0].Secrets) != 2 || len(b.man.calls[1].Secrets) != 1 {
		t.Fatalf("signed with %v", b.man.calls)
	}
	if bytes.Equal(b.man.calls[0].Secrets[0], b.man.calls[0].Secrets[1]) || !bytes.Equal(b.man.calls[0].Secrets[0], b.man.calls[1].Secrets[0]) {
		t.Error("not the old and the new one, then the new one alone")
	}
}

// TestLateSenderHandsOverNothing: a sender that was stopped for so long that
// another took the letter does not hand it over as well.
func TestLateSenderHandsOverNothing(t *testing.T) {
	t.Parallel()
	b := newPostBench(t)
	b.no()
	slow := &slowMan{postman: b.man, first: true}
	slow.meanwhile = func() {
		b.later(app.OutboxLease + time.Second)
		b.deliver()
	}
	b.app.Mailer = slow
	b.deliver()
	b.want(shop.MessageKindConsentCopy, shop.MessageStateSent)
	if len(b.man.letters) != 1 {
		t.Errorf("%d letters", len(b.man.letters))
	}
}

// slowMan lets another sender go first, once.
type slowMan struct {
	*postman
	first     bool
	meanwhile func()
}

func (s *slowMan) Send(ctx context.Context, letter app.Mail, ready func(context.Context) error) app.Delivery {
	if s.first {
		s.first = false
		s.meanwhile()
	}
	return s.postman.Send(ctx, letter, ready)
}

// TestEventsExist: what a webhook can ask for is what the journal has.
func TestEventsExist(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 50 {
		t.Fatalf("%d files (%v)", len(files), err)
	}
	var source strings.Builder
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") || f == "outbox.go" {
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		source.Write(text)
	}
	for _, e := range app.WebhookEvents() {
		if !strings.Contains(source.String(), `"`+e+`"`) {
			t.Errorf("nothing journals %s", e)
		}
	}
}
