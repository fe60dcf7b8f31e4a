package app

import (
	"context"
	"encoding/base64"
	"slices"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// SecretPrefix starts a webhook's secret as text (Standard Webhooks).
const SecretPrefix = "whsec_"

const (
	secretBytes = 32             // of 24 to 64 that the standard allows
	oldSecretOn = 24 * time.Hour // how long the secret before signs as well
	maxHooks    = 20             // of a shop
)

// AddWebhook stores an address to call and gives its secret, this once.
func (a *App) AddWebhook(ctx context.Context, who auth.Principal, fill func(*shop.Webhook)) (hook shop.Webhook, secret string, err error) {
	rules := a.hookRules()
	check := rules.check
	rules.check = func(c *Change, was, is *shop.Webhook) error {
		if err := check(c, was, is); err != nil {
			return err
		}
		secret, is.Secret, err = a.freshSecret(c.Shop(), is.Key())
		return err
	}
	hook, err = addShopRecord(ctx, a, who, rules, fill)
	return hook, secret, err
}

// ReplaceWebhook changes one; its secret stays.
func (a *App) ReplaceWebhook(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.Webhook)) (shop.Webhook, error) {
	return replaceShopRecord(ctx, a, who, put, a.hookRules(), fill)
}

// RotateWebhook gives a webhook a new secret, shown this once. For a day both
// sign, so that the other end can change over.
func (a *App) RotateWebhook(ctx context.Context, who auth.Principal, id shop.WebhookID) (hook shop.Webhook, secret string, err error) {
	err = a.onShop(ctx, who, "webhook.rotated", func(c *Change) error {
		if hook, err = load[shop.Webhook](c.Tx, string(id)); err != nil {
			return err
		}
		until := c.Now().Add(oldSecretOn)
		hook.OldSecret, hook.OldUntil = hook.Secret, &until
		if secret, hook.Secret, err = a.freshSecret(c.Shop(), hook.Key()); err != nil {
			return err
		}
		return c.advanceFirst(&hook)
	})
	return hook, secret, err
}

// TestWebhook makes a call that says nothing but that it is a test.
func (a *App) TestWebhook(ctx context.Context, who auth.Principal, id shop.WebhookID) (shop.Message, error) {
	hook, err := ShopRecordOf[shop.Webhook](ctx, a, who, string(id))
	if err != nil {
		return shop.Message{}, err
	}
	if hook.DisabledAt != nil {
		return shop.Message{}, fault.New(fault.Conflict, "app.webhook_disabled", "This webhook is switched off; switch it on first.")
	}
	return a.sendTest(ctx, who, Outgoing{Kind: shop.MessageKindTest, Way: shop.MessageWayWebhook, Endpoint: id})
}

func (a *App) freshSecret(of shop.ShopID, id string) (text string, sealed []byte, err error) {
	if a.Vault == nil {
		return "", nil, fault.New(fault.Internal, "app.vault_missing", "Nothing that holds a secret can be kept here.")
	}
	secret := make([]byte, secretBytes)
	a.Source.Bytes(secret)
	place := sealPlace(shop.Webhook{}.TableName(), of, id)
	return SecretPrefix + base64.StdEncoding.EncodeToString(secret), a.Vault.Seal(place, secret), nil
}

func (a *App) hookRules() shopRules[shop.Webhook] {
	return shopRules[shop.Webhook]{noun: "webhook", check: func(c *Change, was, is *shop.Webhook) error {
		if was != nil {
			is.Use = was.Use
		}
		if is.DisabledAt != nil && is.DisabledAt.IsZero() {
			now := c.Now()
			is.DisabledAt = &now
		}
		if err := oneLine(map[string]*string{"/name": &is.Name, "/url": &is.URL, "/disabled_reason": &is.DisabledReason}); err != nil {
			return err
		}
		if err := given("/name", is.Name, "a name to know it by"); err != nil {
			return err
		}
		if a.Hooks == nil {
			return fault.New(fault.Conflict, "app.webhooks_off", "Calls of webhooks are switched off on this server.")
		}
		if err := a.Hooks.Check(is.URL); err != nil {
			return fault.Invalid("app.webhook_url_refused", "/url", err.Error())
		}
		if err := checkEvents(is); err != nil {
			return err
		}
		return roomForHook(c, was, is)
	}}
}

// SwitchWebhook marks a webhook as to be on or off; the time and the reason
// are set when it is stored.
func SwitchWebhook(n *shop.Webhook, on bool) {
	switch {
	case on:
		n.DisabledAt, n.DisabledReason = nil, ""
	case n.DisabledAt == nil:
		n.DisabledAt, n.DisabledReason = &time.Time{}, "Switched off by hand."
	}
}

func checkEvents(is *shop.Webhook) error {
	if is.Use == shop.WebhookUseTexts {
		if len(is.Events) > 0 {
			return fault.Invalid("app.webhook_events_wrong", "/events", "A way to text messages is told of no events; leave them out.")
		}
		return nil
	}
	for _, e := range is.Events {
		if !slices.Contains(WebhookEvents(), e) {
			return fault.Invalid("app.webhook_events_wrong", "/events", "An event can be: "+strings.Join(WebhookEvents(), ", ")+".")
		}
	}
	slices.Sort(is.Events)
	is.Events = slices.Compact(is.Events)
	return nil
}

// roomForHook bounds how many there are, and keeps the way to text messages
// one: a message must not go two ways.
func roomForHook(c *Change, was, is *shop.Webhook) error {
	all, err := list[shop.Webhook](c.Tx, By{})
	if err != nil {
		return err
	}
	if was == nil && len(all) >= maxHooks {
		return fault.New(fault.Conflict, "app.webhooks_full", "There are as many webhooks as a shop can have; change one that is switched off.")
	}
	for _, other := range all {
		if is.Use == shop.WebhookUseTexts && is.DisabledAt == nil && other.Use == is.Use && other.DisabledAt == nil && other.ID != is.ID {
			return fault.New(fault.Conflict, "app.text_webhook_taken", "Text messages go one way alone; switch off “"+other.Name+"” first.")
		}
	}
	return nil
}
