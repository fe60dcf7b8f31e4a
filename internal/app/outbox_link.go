package app

import (
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// sendLink sends a customer their link, in the transaction that makes it.
// Where that cannot be done the link is not made either: whoever asked for
// it is there and can take another way.
func (c *Change) sendLink(link shop.OfferLink, address string, way shop.MessageWay) error {
	if way != shop.MessageWayEmail && way != shop.MessageWayText {
		return fault.Invalid("app.send_way_unknown", "/send/by", "Say email or text.")
	}
	m, err := c.Send(Outgoing{Kind: shop.MessageKindOfferLink, Way: way, About: link.OfJob,
		Subject: journal.Subject{Noun: link.TableName(), ID: link.Key()}, Secret: address})
	if err != nil {
		return err
	}
	if m.State == shop.MessageStateNotSetUp {
		return fault.New(fault.Conflict, "app.link_not_sendable", "The link was not made, because it cannot be sent this way: "+m.LastError)
	}
	return nil
}
