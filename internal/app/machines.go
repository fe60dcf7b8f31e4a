package app

import (
	"context"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// firstYear is the year of the first motorcycle with an engine that ran on
// petrol, 1885 (from memory); a model year before it is a slip.
const firstYear = 1885

// AddMachine stores a new machine.
func (a *App) AddMachine(ctx context.Context, who auth.Principal, fill func(*shop.Machine)) (shop.Machine, error) {
	return addShopRecord(ctx, a, who, machineRules(), fill)
}

// ReplaceMachine changes a machine at the version the client has read.
func (a *App) ReplaceMachine(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.Machine)) (shop.Machine, error) {
	return replaceShopRecord(ctx, a, who, put, machineRules(), fill)
}

// ListMachineWorkOrders reads a page of a machine's visits, newest first.
func (a *App) ListMachineWorkOrders(ctx context.Context, who auth.Principal, id shop.MachineID, page Page) (out []Visit, err error) {
	page.Newest = true
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Machine](tx, string(id)); err != nil {
			return err
		}
		var orders []shop.WorkOrder
		if err := tx.List(&orders, By{"machine_id": id}, page); err != nil {
			return err
		}
		out, err = withStages(tx, orders)
		return err
	})
	return out, err
}

func machineRules() shopRules[shop.Machine] {
	return shopRules[shop.Machine]{noun: "machine", check: func(c *Change, was, is *shop.Machine) error {
		c.SealFor(is.CustomerID)
		err := oneLine(map[string]*string{"/vin": &is.VIN, "/frame_number": &is.FrameNumber, "/plate": &is.Plate, "/make": &is.Make,
			"/model": &is.Model, "/market": &is.Market, "/colour": &is.Colour})
		if err != nil {
			return err
		}
		if err := given("/make", is.Make, "the maker's name"); err != nil {
			return err
		}
		if err := given("/model", is.Model, "the model"); err != nil {
			return err
		}
		if was == nil || was.CustomerID != is.CustomerID {
			customer, err := pointed[shop.Customer](c, string(is.CustomerID), "/customer_id")
			if err != nil {
				return err
			}
			if customer.Unseen() {
				return customerUnseen("/customer_id")
			}
		}
		if is.LayoutID != "" && (was == nil || was.LayoutID != is.LayoutID) {
			if _, err := pointed[shop.Layout](c, string(is.LayoutID), "/layout_id"); err != nil {
				return err
			}
		}
		if next := int64(c.Now().Year()) + 1; is.Year != nil && (*is.Year < firstYear || *is.Year > next) {
			return fault.Invalid("app.year_wrong", "/year", "A model year lies between 1885 and next year; leave it out if it is not known.")
		}
		return identify(is)
	}}
}

// identify reads VIN and frame number and notes what the check digit says. A
// machine may have neither: it may be a frame without a number, or a plate
// may be all that is known.
func identify(is *shop.Machine) error {
	is.VINVerdict = shop.VINVerdictUnknown
	if is.VIN != "" {
		vin, err := shop.ParseVIN(is.VIN)
		if err != nil {
			return at(err, "/vin")
		}
		is.VIN = string(vin)
		check := shop.CheckVIN(vin, is.Market)
		is.VINVerdict = check.Verdict
		if check.Binding && check.Verdict == shop.VINVerdictMismatch {
			return fault.Invalid("app.vin_mismatch", "/vin", "The check digit, the ninth character, does not fit: one character was misread. For a machine made for another market, leave the market out.")
		}
	}
	if is.FrameNumber != "" {
		number, err := shop.ParseFrameNumber(is.FrameNumber)
		if err != nil {
			return at(err, "/frame_number")
		}
		is.FrameNumber = string(number)
	}
	return nil
}

// machineText names a machine for a list: make, model and plate, as far as
// they are known.
func machineText(m shop.Machine) string {
	var parts []string
	for _, p := range []string{m.Make, m.Model, m.Plate} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, " ")
}
