package app

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// parcel is a message ready to go: a letter or a call.
type parcel struct {
	letter *Mail
	call   *HookCall
}

// pack renders a message from its rows as they stand now, or says why there
// is nothing to send.
func (a *App) pack(ctx context.Context, m shop.Message) (p parcel, why Delivery, err error) {
	err = a.Store.Read(ctx, m.ShopID, func(tx Tx) error {
		missing, err := a.notSetUp(tx, m)
		if err != nil {
			return err
		}
		if missing != "" {
			why = Delivery{Result: NotSetUp, Words: missing}
			return nil
		}
		p, why, err = a.packIn(tx, m)
		return err
	})
	return p, why, err
}

func (a *App) packIn(tx Tx, m shop.Message) (parcel, Delivery, error) {
	s, err := load[shop.Shop](tx, string(tx.Shop()))
	if err != nil {
		return parcel{}, Delivery{}, err
	}
	if m.Way == shop.MessageWayWebhook {
		return a.packCall(tx, m)
	}
	note, why, err := a.wordsOf(tx, s, m)
	if err != nil || why.Result != "" {
		return parcel{}, why, err
	}
	to, err := a.addressee(tx, m)
	if err != nil {
		return parcel{}, Delivery{}, err
	}
	if m.Way == shop.MessageWayText {
		return a.packText(tx, m, to, note)
	}
	return parcel{letter: &Mail{ID: string(m.ID), FromName: s.Name, ReplyTo: s.Email, To: to.address, ToName: to.name, Date: m.CreatedAt,
		Subject: note.subject, Text: note.text(), HTML: note.html(), Attached: note.attached}}, Delivery{}, nil
}

// wordsOf gives what a message to a person says.
func (a *App) wordsOf(tx Tx, s shop.Shop, m shop.Message) (note letter, why Delivery, err error) {
	switch m.Kind {
	case shop.MessageKindConsentCopy:
		note, err = a.copyLetter(tx, s, m)
	case shop.MessageKindOfferLink:
		return a.linkLetter(tx, s, m)
	case shop.MessageKindCheckpoint:
		note = checkpointLetter(s, m)
	case shop.MessageKindTest:
		note = testLetter(s)
	default:
		err = fault.New(fault.Internal, "app.message_kind", "There are no words for this kind of message.")
	}
	return note, why, err
}

// hookBody is what a call of a webhook says. Ids alone, save for a text
// message, which is its number and its text.
type hookBody struct {
	Type        string `json:"type"`
	ID          string `json:"id"`
	Timestamp   string `json:"timestamp"`
	ShopID      string `json:"shop_id"`
	Subject     string `json:"subject,omitempty"`
	SubjectID   string `json:"subject_id,omitempty"`
	WorkOrderID string `json:"work_order_id,omitempty"`
	JobID       string `json:"job_id,omitempty"`
	To          string `json:"to,omitempty"`
	Text        string `json:"text,omitempty"`
}

func bodyOf(m shop.Message, kind string) hookBody {
	return hookBody{Type: kind, ID: string(m.ID), Timestamp: m.CreatedAt.UTC().Format(time.RFC3339Nano), ShopID: string(m.ShopID)}
}

// textType is the type of a call that asks for a text message to be sent.
const textType = "message.text"

func (a *App) packText(tx Tx, m shop.Message, to addressee, note letter) (parcel, Delivery, error) {
	hook, err := textHook(tx)
	if err != nil {
		return parcel{}, Delivery{}, err
	}
	body := bodyOf(m, textType)
	body.To, body.Text = to.number, note.short
	return a.packed(tx, m, hook, body)
}

func (a *App) packCall(tx Tx, m shop.Message) (parcel, Delivery, error) {
	hook, err := load[shop.Webhook](tx, string(m.EndpointID))
	if err != nil {
		return parcel{}, Delivery{}, err
	}
	if hook.DisabledAt != nil {
		return parcel{}, Delivery{Result: Refused, Words: "The webhook is switched off. Switch it on and try again, or give this up."}, nil
	}
	body := bodyOf(m, m.Content)
	body.Subject, body.SubjectID, body.WorkOrderID, body.JobID = m.Subject, m.SubjectID, string(m.WorkOrderID), string(m.JobID)
	if m.Kind == shop.MessageKindTest {
		body.Type = "test"
	}
	return a.packed(tx, m, hook, body)
}

func (a *App) packed(tx Tx, m shop.Message, hook shop.Webhook, body hookBody) (parcel, Delivery, error) {
	secrets, err := a.hookSecrets(tx.Now(), hook)
	if err != nil {
		return parcel{}, Delivery{}, err
	}
	bytes, err := json.Marshal(body)
	if err != nil {
		return parcel{}, Delivery{}, fmt.Errorf("app: write a call: %w", err)
	}
	return parcel{call: &HookCall{ID: "msg_" + string(m.ID), URL: hook.URL, Body: bytes, Secrets: secrets}}, Delivery{}, nil
}

// hookSecrets opens what a webhook's calls are signed with: the secret, and
// for a while after a change the one before beside it.
func (a *App) hookSecrets(now time.Time, hook shop.Webhook) ([][]byte, error) {
	if a.Vault == nil {
		return nil, fault.New(fault.Internal, "app.vault_missing", "Nothing that holds a secret can be sent from here.")
	}
	sealed := [][]byte{hook.Secret}
	if hook.OldUntil != nil && now.Before(*hook.OldUntil) && len(hook.OldSecret) > 0 {
		sealed = append(sealed, hook.OldSecret)
	}
	secrets := make([][]byte, len(sealed))
	for i, s := range sealed {
		plain, err := a.Vault.Open(sealPlace(hook.TableName(), hook.ShopID, hook.Key()), s)
		if err != nil {
			return nil, fault.New(fault.Internal, "app.seal_broken", "The secret of a webhook cannot be read: were the keys changed? Set it anew.").Because(err)
		}
		secrets[i] = plain
	}
	return secrets, nil
}
