package app

import (
	"slices"
	"strings"
	"unicode"

	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Vault seals what must lie in the database and not be readable there; see
// auth/vault. What is sealed for one place opens for that place alone.
type Vault interface {
	Seal(place string, plain []byte) []byte
	Open(place string, sealed []byte) ([]byte, error)
}

// Outgoing is a message to be sent, as the change it tells of puts it out. It
// names rows; what they say is read when it goes.
type Outgoing struct {
	Kind shop.MessageKind
	Way  shop.MessageWay
	// About is the job it is about, or zero.
	About shop.OfJob
	// Subject is the record it is about, or zero.
	Subject journal.Subject
	// Endpoint is the webhook an event goes to, or "".
	Endpoint shop.WebhookID
	// Content is the name of an event or the note of a checkpoint; nothing
	// personal.
	Content string
	// Secret must travel and be read by nobody on the way: it is kept sealed
	// and wiped once it has gone.
	Secret string
}

// Send puts a message out in the same transaction as what it tells of: both
// are there, or neither. It goes after the commit. Where there is nothing to
// send it by, it is kept as not set up, for a person to see.
func (c *Change) Send(out Outgoing) (shop.Message, error) {
	id := c.app.Source.ID()
	m := shop.Message{ID: shop.MessageID(id), Kind: out.Kind, Way: out.Way, State: shop.MessageStateWaiting, StateSince: c.Now(),
		WorkOrderID: out.About.WorkOrderID, JobID: out.About.JobID, Subject: out.Subject.Noun, SubjectID: out.Subject.ID,
		EndpointID: out.Endpoint, Content: out.Content, DueAt: c.Now()}
	if out.Secret != "" {
		if c.app.Vault == nil {
			return m, fault.New(fault.Internal, "app.vault_missing", "Nothing that holds a secret can be sent from here.")
		}
		m.Sealed = c.app.Vault.Seal(sealPlace(m.TableName(), c.Shop(), id), []byte(out.Secret))
	}
	why, err := c.app.notSetUp(c.Tx, m)
	if err != nil {
		return m, err
	}
	if why != "" {
		m.State, m.LastError = shop.MessageStateNotSetUp, why
	}
	// Not noted for the journal: the change it tells of is, and so is a copy
	// that has arrived. What a sender notes on the row is no record.
	if err := c.Tx.Insert(&m); err != nil {
		return m, err
	}
	if m.State == shop.MessageStateWaiting {
		c.AfterCommit(func() { c.app.wake.nudge(m.ShopID) })
	}
	return m, nil
}

// sealPlace names the one row that a sealed value is for.
func sealPlace(table string, of shop.ShopID, id string) string {
	return table + " " + string(of) + " " + id
}

// notSetUp says why a message cannot go out as things are, or "".
func (a *App) notSetUp(tx Tx, m shop.Message) (why string, err error) {
	switch m.Way {
	case shop.MessageWayEmail:
		if a.Mailer == nil {
			return "No mail server is set up. Hand it over in print or read it out, and give it up here.", nil
		}
		to, err := a.addressee(tx, m)
		if err == nil && to.address == "" {
			why = to.missing
		}
		return why, err
	case shop.MessageWayText:
		if a.Hooks == nil {
			return noTexts, nil
		}
		if hook, err := textHook(tx); err != nil || hook.ID == "" {
			return noTexts, err
		}
		to, err := a.addressee(tx, m)
		if err == nil && to.number == "" {
			why = "There is no phone number in the international form on record. Put one on record and try again, or hand it over in print."
		}
		return why, err
	case shop.MessageWayWebhook:
		if a.Hooks == nil {
			return "Calls of webhooks are switched off on this server.", nil
		}
	}
	return "", nil
}

const noTexts = "No webhook for text messages is set up. Tell the customer another way, and give it up here."

// addressee is whom a message goes to.
type addressee struct {
	name     string
	address  string // e-mail
	number   string // E.164
	language string
	missing  string // what to do where there is no e-mail address
}

// addressee reads whom a message goes to as the rows stand now.
func (a *App) addressee(tx Tx, m shop.Message) (addressee, error) {
	if m.WorkOrderID == "" {
		s, err := load[shop.Shop](tx, string(tx.Shop()))
		to := addressee{name: s.Name, address: s.Email, missing: "The shop has no e-mail address on record. Put one on record and try again."}
		if a.Phones != nil {
			to.number = a.Phones.E164(s.Phone, "")
		}
		return to, err
	}
	order, err := load[shop.WorkOrder](tx, string(m.WorkOrderID))
	if err != nil {
		return addressee{}, err
	}
	customer, err := load[shop.Customer](tx, string(order.CustomerID))
	if err != nil {
		return addressee{}, err
	}
	to := addressee{name: customer.Name, address: customer.Email, number: e164Of(customer), language: customer.Language,
		missing: "The customer has no e-mail address on record. Hand it over in print and give it up here, or put an address on record and try again."}
	if m.Kind == shop.MessageKindConsentCopy {
		given, err := load[shop.Consent](tx, m.SubjectID)
		if err != nil {
			return addressee{}, err
		}
		if strings.Contains(given.CopyTo, "@") && plausibleEmail(given.CopyTo) {
			to.address = given.CopyTo
		}
	}
	return to, nil
}

// copyConsent sends the customer their copy of an answer, or of its being
// taken back.
func (c *Change) copyConsent(given shop.Consent) error {
	_, err := c.Send(Outgoing{Kind: shop.MessageKindConsentCopy, Way: shop.MessageWayEmail, About: given.OfJob,
		Subject: journal.Subject{Noun: given.TableName(), ID: given.Key()}})
	return err
}

// plausibleCopyTo reports whether a copy can go there: to an e-mail address,
// or, where it names none, to where its words say, by hand.
func plausibleCopyTo(text string) bool {
	plain := !strings.ContainsFunc(text, unicode.IsControl)
	return plain && (!strings.Contains(text, "@") || plausibleEmail(text))
}

// e164Of gives a customer's number where it names its country; a row may hold
// bare digits, for searching.
func e164Of(c shop.Customer) string {
	if len(c.PhoneE164) > 1 && c.PhoneE164[0] == '+' {
		return c.PhoneE164
	}
	return ""
}

// textHook finds the shop's way to text messages, or none.
func textHook(tx Tx) (shop.Webhook, error) {
	hooks, err := list[shop.Webhook](tx, By{"use": shop.WebhookUseTexts, "disabled_at": nil})
	if err != nil || len(hooks) == 0 {
		return shop.Webhook{}, err
	}
	return hooks[0], nil
}

// sendEvent tells the shop's webhooks of what has happened, where they asked
// to be told of it. A call names the record and says nothing of it.
func (c *Change) sendEvent(event string, first rowChange) error {
	if c.app.Hooks == nil || !slices.Contains(WebhookEvents(), event) {
		return nil
	}
	hooks, err := list[shop.Webhook](c.Tx, By{"use": shop.WebhookUseEvents, "disabled_at": nil})
	if err != nil {
		return err
	}
	for _, h := range hooks {
		if !slices.Contains(h.Events, event) {
			continue
		}
		_, err := c.Send(Outgoing{Kind: shop.MessageKindEvent, Way: shop.MessageWayWebhook, About: c.about, Endpoint: h.ID, Content: event,
			Subject: journal.Subject{Noun: first.Noun, ID: first.ID, Version: first.Version}})
		if err != nil {
			return err
		}
	}
	return nil
}

// WebhookEvents lists what a webhook can ask to be told of: the events of the
// journal that other programs of a shop have a use for.
func WebhookEvents() []string {
	return []string{
		"bill.issued", "bill.voided", "consent.given", "consent.recorded", "consent.revoked", "job.added", "job.moved",
		"offer.made", "offer.withdrawn", "offer_link.made", "payment.taken", "work_order.opened",
	}
}

// wake keeps which shops have something new to send, for the sender at work.
type wake struct{ shops chan shop.ShopID }

// wakeRoom is how many shops may wait to be looked at at once; a shop that
// finds no room is looked at at the next turn.
const wakeRoom = 64

func newWake() wake { return wake{shops: make(chan shop.ShopID, wakeRoom)} }

func (w wake) nudge(id shop.ShopID) {
	select {
	case w.shops <- id:
	default:
	}
}
