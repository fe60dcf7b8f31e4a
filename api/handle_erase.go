package api

import (
	"encoding/json"
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// EraseIn is why a customer is to be erased, in one word.
type EraseIn struct {
	Reason string `json:"reason"`
}

// LookIn is what a look at data under seal is for, in one word.
type LookIn struct {
	Reason string `json:"reason"`
}

// UnderSealView is what is kept under seal: a list of records for each kind.
type UnderSealView struct {
	Rows json.RawMessage `json:"rows"`
}

// ErasureView is what became of it.
type ErasureView struct {
	State    string       `json:"state"`
	Held     bool         `json:"held"`
	Reason   string       `json:"reason"`
	Customer CustomerView `json:"customer"`
}

func eraseCustomer(c *call) error {
	in, err := read[EraseIn](c)
	if err != nil {
		return err
	}
	got, err := c.app().EraseCustomer(c.ctx, c.who, shop.CustomerID(c.Param("id")), shop.EraseReason(in.Reason))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, got.Customer.Version, ErasureView{State: string(got.State), Held: got.Held, Reason: got.Reason,
		Customer: customerView(c.currency(), got.Customer)})
}

func lookUnderSeal(c *call) error {
	in, err := read[LookIn](c)
	if err != nil {
		return err
	}
	rows, err := c.app().LookUnderSeal(c.ctx, c.who, shop.CustomerID(c.Param("id")), app.LookReason(in.Reason))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, UnderSealView{rows})
}
