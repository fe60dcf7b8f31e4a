package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (s *Server) messageRoutes() []route {
	return []route{
		get("/v1/messaging", "getMessaging", counter, getMessaging),
		effect("/v1/messaging/test", "testMessage", ownerOnly, testMessage),
		get("/v1/outbox", "listMessages", counter, listMessages),
		get("/v1/outbox/{id}", "getMessage", counter, getMessage),
		effect("/v1/outbox/{id}/retry", "retryMessage", counter, retryMessage),
		effect("/v1/outbox/{id}/give-up", "giveUpMessage", counter, giveUpMessage),
		get("/v1/webhooks", "listWebhooks", ownerOnly, listWebhooks),
		effect("/v1/webhooks", "addWebhook", ownerOnly, addWebhook),
		get("/v1/webhooks/{id}", "getWebhook", ownerOnly, getWebhook),
		put("/v1/webhooks/{id}", "putWebhook", ownerOnly, putWebhook),
		effect("/v1/webhooks/{id}/rotate", "rotateWebhook", ownerOnly, rotateWebhook),
		effect("/v1/webhooks/{id}/test", "testWebhook", ownerOnly, testWebhook),
	}
}

// MessagingView says what messages can go by, as clients see it.
type MessagingView struct {
	Mail          bool     `json:"mail"`
	Texts         bool     `json:"texts"`
	Webhooks      bool     `json:"webhooks"`
	Events        []string `json:"events"`
	StuckMessages int64    `json:"stuck_messages"`
}

func getMessaging(c *call) error {
	m, err := c.app().Messaging(c.ctx, c.who)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, MessagingView{Mail: m.Mail, Texts: m.Texts, Webhooks: m.Webhooks, Events: app.WebhookEvents(), StuckMessages: m.Stuck})
}

func testMessage(c *call) error {
	in, err := read[LinkSendIn](c)
	if err != nil {
		return err
	}
	m, err := c.app().TestMessage(c.ctx, c.who, shop.MessageWay(in.By))
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, m.Version, messageView(c.currency(), m))
}

func listMessages(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Outbox(c.ctx, c.who, shop.MessageState(c.QueryParam("state")), page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Message.Key, func(m shop.Message) MessageView { return messageView(c.currency(), m) }))
}

func getMessage(c *call) error {
	m, err := app.ShopRecordOf[shop.Message](c.ctx, c.app(), c.who, c.Param("id"))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, m.Version, messageView(c.currency(), m))
}

func retryMessage(c *call) error {
	m, err := c.app().RetryMessage(c.ctx, c.who, shop.MessageID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, m.Version, messageView(c.currency(), m))
}

func giveUpMessage(c *call) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	m, err := c.app().GiveUpMessage(c.ctx, c.who, shop.MessageID(c.Param("id")), in.Reason)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, m.Version, messageView(c.currency(), m))
}

func listWebhooks(c *call) error { return listNouns[shop.Webhook](c, nil, webhookView) }

func getWebhook(c *call) error {
	hook, err := app.ShopRecordOf[shop.Webhook](c.ctx, c.app(), c.who, c.Param("id"))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, hook.Version, webhookView(c.currency(), hook))
}

func addWebhook(c *call) error {
	fill, err := filling[shop.Webhook](c, WebhookIn.onto)
	if err != nil {
		return err
	}
	hook, secret, err := c.app().AddWebhook(c.ctx, c.who, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, hook.Version, WebhookMade{Webhook: webhookView(c.currency(), hook), Secret: secret})
}

func putWebhook(c *call) error {
	put, err := c.shopPut()
	if err != nil {
		return err
	}
	fill, err := filling[shop.Webhook](c, WebhookIn.onto)
	if err != nil {
		return err
	}
	hook, err := c.app().ReplaceWebhook(c.ctx, c.who, put, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, hook.Version, webhookView(c.currency(), hook))
}

func rotateWebhook(c *call) error {
	hook, secret, err := c.app().RotateWebhook(c.ctx, c.who, shop.WebhookID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, hook.Version, WebhookMade{Webhook: webhookView(c.currency(), hook), Secret: secret})
}

func testWebhook(c *call) error {
	m, err := c.app().TestWebhook(c.ctx, c.who, shop.WebhookID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, m.Version, messageView(c.currency(), m))
}

// MessageView is a message that goes out, as clients see it. It holds no name,
// address or words: those are on the record it is about.
type MessageView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	Kind        string  `json:"kind"`
	Way         string  `json:"way"`
	State       string  `json:"state"`
	StateSince  string  `json:"state_since"`
	WorkOrderID *string `json:"work_order_id"`
	JobID       *string `json:"job_id"`
	Subject     string  `json:"subject"`
	SubjectID   string  `json:"subject_id"`
	WebhookID   *string `json:"webhook_id"`
	Event       string  `json:"event"`
	DueAt       string  `json:"due_at"`
	Tries       int64   `json:"tries"`
	SentAt      *string `json:"sent_at"`
	LastError   string  `json:"last_error"`
	CreatedAt   string  `json:"created_at"`
	UpdatedAt   string  `json:"updated_at"`
}

func messageView(_ money.Currency, m shop.Message) MessageView {
	v := MessageView{ID: string(m.ID), Version: m.Version, Kind: string(m.Kind), Way: string(m.Way), State: string(m.State),
		StateSince: instantView(m.StateSince), WorkOrderID: orNull(m.WorkOrderID), JobID: orNull(m.JobID), Subject: m.Subject,
		SubjectID: m.SubjectID, WebhookID: orNull(m.EndpointID), DueAt: instantView(m.DueAt), Tries: m.Tries,
		SentAt: instantOptView(m.SentAt), LastError: m.LastError, CreatedAt: instantView(m.CreatedAt), UpdatedAt: instantView(m.UpdatedAt)}
	if m.Kind == shop.MessageKindEvent {
		v.Event = m.Content
	}
	return v
}

// WebhookIn is what a client sends of a webhook.
type WebhookIn struct {
	Name     string   `json:"name"`
	URL      string   `json:"url"`
	Use      string   `json:"use"`
	Events   []string `json:"events"`
	Disabled bool     `json:"disabled"`
}

// onto puts what the client sent onto a record; since when it is off, and
// why, is for the use case.
func (in WebhookIn) onto(_ *conv, n *shop.Webhook) {
	n.Name, n.URL, n.Use, n.Events = in.Name, in.URL, shop.WebhookUse(in.Use), in.Events
	app.SwitchWebhook(n, !in.Disabled)
}

// WebhookView is a webhook as clients see it; its secret is shown when it is
// made, and never again.
type WebhookView struct {
	ID             string   `json:"id"`
	Version        int64    `json:"version"`
	Name           string   `json:"name"`
	URL            string   `json:"url"`
	Use            string   `json:"use"`
	Events         []string `json:"events"`
	Disabled       bool     `json:"disabled"`
	DisabledAt     *string  `json:"disabled_at"`
	DisabledReason string   `json:"disabled_reason"`
	OldUntil       *string  `json:"old_until"`
	CreatedAt      string   `json:"created_at"`
	UpdatedAt      string   `json:"updated_at"`
}

func webhookView(_ money.Currency, n shop.Webhook) WebhookView {
	return WebhookView{ID: string(n.ID), Version: n.Version, Name: n.Name, URL: n.URL, Use: string(n.Use), Events: n.Events,
		Disabled: n.DisabledAt != nil, DisabledAt: instantOptView(n.DisabledAt), DisabledReason: n.DisabledReason,
		OldUntil: instantOptView(n.OldUntil), CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt)}
}

// WebhookMade is a webhook with its secret, shown once.
type WebhookMade struct {
	Webhook WebhookView `json:"webhook"`
	Secret  string      `json:"secret"`
}
