package app

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"slices"

	"benchtag/internal/shop"
)

// owner is a customer with their visits.
type owner struct {
	customer shop.CustomerID
	orders   []shop.WorkOrder
}

func (o owner) orderIDs() []shop.WorkOrderID {
	ids := make([]shop.WorkOrderID, len(o.orders))
	for i, w := range o.orders {
		ids[i] = w.ID
	}
	return ids
}

// belonging is a kind of noun of which some rows are a customer's.
type belonging struct {
	table string
	of    func(Tx, owner) ([]Noun, error)
}

// ofCustomer is a kind whose column names the customer.
func ofCustomer[T any, P interface {
	*T
	Noun
}](column string) belonging {
	return belonging{table: P(new(T)).TableName(), of: func(tx Tx, o owner) ([]Noun, error) {
		return nouns[T, P](tx, By{column: o.customer})
	}}
}

// ofOrders is a kind that belongs to work orders.
func ofOrders[T any, P interface {
	*T
	Noun
}]() belonging {
	return belonging{table: P(new(T)).TableName(), of: func(tx Tx, o owner) ([]Noun, error) {
		if len(o.orders) == 0 {
			return nil, nil
		}
		return nouns[T, P](tx, By{"work_order_id": o.orderIDs()})
	}}
}

func nouns[T any, P interface {
	*T
	Noun
}](tx Tx, by By) ([]Noun, error) {
	rows, err := every[T, P](tx, by)
	out := make([]Noun, len(rows))
	for i := range rows {
		out[i] = P(&rows[i])
	}
	return out, err
}

// belongings lists every kind of noun of which rows are a customer's: what an
// export of the customer gives, and of which an erasure takes the person. A
// test fails where a table with personal columns is missing here. A machine is
// its present owner's alone: its earlier visits stay with who brought it.
func belongings() []belonging {
	return []belonging{
		ofCustomer[shop.Customer]("id"), ofCustomer[shop.Machine]("customer_id"), ofCustomer[shop.WorkOrder]("customer_id"),
		belonging{table: shop.IntakeFacts{}.TableName(), of: intakesOf}, ofOrders[shop.OdometerReading](), ofOrders[shop.Job](),
		ofOrders[shop.Complaint](), ofOrders[shop.Check](), ofOrders[shop.AsFound](), ofOrders[shop.Finding](), ofOrders[shop.Measurement](),
		ofOrders[shop.Photo](), ofOrders[shop.Tag](), ofOrders[shop.Line](), ofOrders[shop.PartOrder](), ofOrders[shop.Promise](),
		ofOrders[shop.Scope](), ofOrders[shop.Offer](), ofOrders[shop.OfferLink](), ofOrders[shop.Consent](), ofOrders[shop.Bill](),
		ofOrders[shop.Payment](), ofOrders[shop.RoadTest](), ofOrders[shop.DebrisCheck](), ofOrders[shop.HandOver](), ofOrders[shop.Advice](),
		ofOrders[shop.Hold](), ofOrders[shop.Withdrawal](), ofOrders[shop.ConsentEnding](), ofOrders[shop.CustomerQuestion](), ofOrders[shop.LegalHold](), ofOrders[shop.Message](),
	}
}

// intakesOf reads intake facts, which carry their work order's own id.
func intakesOf(tx Tx, o owner) ([]Noun, error) {
	if len(o.orders) == 0 {
		return nil, nil
	}
	return nouns[shop.IntakeFacts](tx, By{"id": o.orderIDs()})
}

// BelongingTables lists the tables of which rows are a customer's.
func BelongingTables() []string {
	var names []string
	for _, b := range belongings() {
		names = append(names, b.table)
	}
	return names
}

// ownerOf reads a customer's visits.
func ownerOf(tx Tx, id shop.CustomerID) (owner, error) {
	orders, err := every[shop.WorkOrder](tx, By{"customer_id": id})
	return owner{customer: id, orders: orders}, err
}

// plainRow writes a row for people: documents as what they are, without what
// only tells a resend.
func plainRow(row Noun) (json.RawMessage, error) {
	text, err := json.Marshal(row)
	if err != nil {
		return nil, fmt.Errorf("app: write a row of %s: %w", row.TableName(), err)
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(text, &fields); err != nil {
		return nil, fmt.Errorf("app: write a row of %s: %w", row.TableName(), err)
	}
	for _, name := range []string{"shop_id", "created_digest", "body_digest"} {
		delete(fields, name)
	}
	for name, value := range fields {
		fields[name] = unwrapped(value)
	}
	return json.Marshal(fields)
}

// unwrapped gives a document that was written as bytes as the JSON it is.
func unwrapped(value json.RawMessage) json.RawMessage {
	var text string
	if json.Unmarshal(value, &text) != nil {
		return value
	}
	inside, err := base64.StdEncoding.DecodeString(text)
	if err != nil || !json.Valid(inside) || !slices.Contains([]byte("{["), inside[0]) {
		return value
	}
	return inside
}
