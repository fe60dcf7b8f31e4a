package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// CustomerIn is what a client sends of a customer.
type CustomerIn struct {
	Name      string `json:"name"`
	Kind      string `json:"kind"`
	Phone     string `json:"phone"`
	Email     string `json:"email"`
	Address   string `json:"address"`
	Language  string `json:"language"`
	ContactBy string `json:"contact_by"`
	Note      string `json:"note"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in CustomerIn) onto(c *conv, n *shop.Customer) {
	n.Name = in.Name
	n.Kind = shop.CustomerKind(orElse(in.Kind, "person"))
	n.Phone = in.Phone
	n.Email = in.Email
	n.Address = in.Address
	n.Language = in.Language
	n.ContactBy = shop.ContactBy(orElse(in.ContactBy, "phone"))
	n.Note = in.Note
}

// CustomerView is a customer as clients see it.
type CustomerView struct {
	ID        string `json:"id"`
	Version   int64  `json:"version"`
	Name      string `json:"name"`
	Kind      string `json:"kind"`
	Phone     string `json:"phone"`
	Email     string `json:"email"`
	Address   string `json:"address"`
	Language  string `json:"language"`
	ContactBy string `json:"contact_by"`
	Note      string `json:"note"`
	// What became of a wish to be erased.
	EraseAskedAt *string `json:"erase_asked_at"`
	EraseReason  string  `json:"erase_reason"`
	EraseOn      *string `json:"erase_on"`
	ErasedAt     *string `json:"erased_at"`
	CreatedAt    string  `json:"created_at"`
	UpdatedAt    string  `json:"updated_at"`
}

func customerView(cur money.Currency, n shop.Customer) CustomerView {
	return CustomerView{
		ID: string(n.ID), Version: n.Version,
		Name:      n.Name,
		Kind:      string(n.Kind),
		Phone:     n.Phone,
		Email:     n.Email,
		Address:   n.Address,
		Language:  n.Language,
		ContactBy: string(n.ContactBy),
		Note:      n.Note,

		EraseAskedAt: instantOptView(n.EraseAskedAt), EraseReason: string(n.EraseReason), EraseOn: dateView(n.EraseOn), ErasedAt: instantOptView(n.ErasedAt),
		CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// MachineIn is what a client sends of a machine.
type MachineIn struct {
	CustomerID  string  `json:"customer_id"`
	VIN         string  `json:"vin"`
	FrameNumber string  `json:"frame_number"`
	Plate       string  `json:"plate"`
	Make        string  `json:"make"`
	Model       string  `json:"model"`
	Year        *int64  `json:"year"`
	Market      string  `json:"market"`
	Colour      string  `json:"colour"`
	LayoutID    *string `json:"layout_id"`
	Note        string  `json:"note"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in MachineIn) onto(c *conv, n *shop.Machine) {
	n.CustomerID = shop.CustomerID(in.CustomerID)
	n.VIN = in.VIN
	n.FrameNumber = in.FrameNumber
	n.Plate = in.Plate
	n.Make = in.Make
	n.Model = in.Model
	n.Year = in.Year
	n.Market = in.Market
	n.Colour = in.Colour
	n.LayoutID = shop.LayoutID(text(in.LayoutID))
	n.Note = in.Note
}

// MachineView is a machine as clients see it.
type MachineView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	CustomerID  string  `json:"customer_id"`
	VIN         string  `json:"vin"`
	VINVerdict  string  `json:"vin_verdict"`
	FrameNumber string  `json:"frame_number"`
	Plate       string  `json:"plate"`
	Make        string  `json:"make"`
	Model       string  `json:"model"`
	Year        *int64  `json:"year"`
	Market      string  `json:"market"`
	Colour      string  `json:"colour"`
	LayoutID    *string `json:"layout_id"`
	Note        string  `json:"note"`
	CreatedAt   string  `json:"created_at"`
	UpdatedAt   string  `json:"updated_at"`
}

func machineView(cur money.Currency, n shop.Machine) MachineView {
	return MachineView{
		ID: string(n.ID), Version: n.Version,
		CustomerID:  string(n.CustomerID),
		VIN:         n.VIN,
		VINVerdict:  string(n.VINVerdict),
		FrameNumber: n.FrameNumber,
		Plate:       n.Plate,
		Make:        n.Make,
		Model:       n.Model,
		Year:        n.Year,
		Market:      n.Market,
		Colour:      n.Colour,
		LayoutID:    orNull(n.LayoutID),
		Note:        n.Note,
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}
