package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

func (s *Server) offerRoutes() []route {
	return []route{
		get("/v1/jobs/{id}/offers", "listOffers", anyStaff, listOffers),
		effect("/v1/jobs/{id}/offers", "makeOffer", counter, makeOffer),
		get("/v1/offers/{id}", "getOffer", anyStaff, getOffer),
		get("/v1/offers/{id}/document", "getOfferDocument", anyStaff, getOfferDocument),
		get("/v1/offers/{id}/script", "getOfferScript", anyStaff, getOfferScript),
		effect("/v1/offers/{id}/withdraw", "withdrawOffer", counter, withdrawOffer),
		get("/v1/offers/{id}/links", "listOfferLinks", counter, listOfferLinks),
		effect("/v1/offers/{id}/links", "makeOfferLink", counter, makeOfferLink),
		effect("/v1/offer-links/{id}/revoke", "revokeOfferLink", counter, revokeOfferLink),
	}
}

func listOffers(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Offers(c.ctx, c.who, shop.JobID(c.Param("id")), page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Offer.Key, func(o shop.Offer) OfferView { return offerView(c.currency(), o) }))
}

// OfferIn is what a client sends to make an offer.
type OfferIn struct {
	ScopeIDs   []string `json:"scope_ids"`
	PriceUntil string   `json:"price_until"`
}

func makeOffer(c *call) error {
	in, err := read[OfferIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	until := conv.date("/price_until", in.PriceUntil)
	if err := conv.err(); err != nil {
		return err
	}
	offer, err := c.app().MakeOffer(c.ctx, c.who, app.NewOffer{JobID: shop.JobID(c.Param("id")), ScopeIDs: in.ScopeIDs, PriceUntil: until})
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, offer.Version, offerView(c.currency(), offer))
}

func getOffer(c *call) error {
	offer, err := c.app().Offer(c.ctx, c.who, shop.OfferID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, offer.Version, offerView(c.currency(), offer))
}

// getOfferDocument gives the bytes as stored, so that their hash can be
// checked against the offer's; they never change, so the hash is their ETag.
func getOfferDocument(c *call) error {
	offer, err := c.app().Offer(c.ctx, c.who, shop.OfferID(c.Param("id")))
	if err != nil {
		return err
	}
	c.saw("offers", string(offer.ID))
	c.answer = answer{status: http.StatusOK, etag: `"` + offer.SHA256 + `"`, body: offer.Document}
	return c.flush()
}

func withdrawOffer(c *call) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	offer, err := c.app().WithdrawOffer(c.ctx, c.who, shop.OfferID(c.Param("id")), in.Reason)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, offer.Version, offerView(c.currency(), offer))
}

func listOfferLinks(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().OfferLinks(c.ctx, c.who, shop.OfferID(c.Param("id")), page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.OfferLink.Key, func(l shop.OfferLink) OfferLinkView { return offerLinkView(c.currency(), l) }))
}

// OfferLinkIn is what a client sends to make a link.
type OfferLinkIn struct {
	DecideHours *int64      `json:"decide_hours"`
	Send        *LinkSendIn `json:"send"`
}

// LinkSendIn says how a link goes to the customer.
type LinkSendIn struct {
	By string `json:"by"`
}

// OfferLinkMade is a link with its address, which is shown once.
type OfferLinkMade struct {
	Link OfferLinkView `json:"link"`
	URL  string        `json:"url"`
}

func makeOfferLink(c *call) error {
	in, err := read[OfferLinkIn](c)
	if err != nil {
		return err
	}
	hours := int64(72)
	if in.DecideHours != nil {
		hours = *in.DecideHours
	}
	var send shop.MessageWay
	if in.Send != nil {
		send = shop.MessageWay(in.Send.By)
	}
	link, address, err := c.app().MakeOfferLink(c.ctx, c.who, shop.OfferID(c.Param("id")), hours, send)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, link.Version, OfferLinkMade{Link: offerLinkView(c.currency(), link), URL: address})
}

func revokeOfferLink(c *call) error {
	link, err := c.app().RevokeOfferLink(c.ctx, c.who, shop.OfferLinkID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, link.Version, offerLinkView(c.currency(), link))
}

// OfferScriptView is the offer in words to be read out.
type OfferScriptView struct {
	Text        string `json:"text"`
	SHA256      string `json:"sha256"`
	OfferSHA256 string `json:"offer_sha256"`
}

func getOfferScript(c *call) error {
	script, offer, err := c.app().OfferScript(c.ctx, c.who, shop.OfferID(c.Param("id")))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, OfferScriptView{Text: script, SHA256: app.HashText(script), OfferSHA256: offer.SHA256})
}
