package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// customerRecord is how customers are added and changed; they are read by
// ways of their own, since not everybody may see everything of them.
func customerRecord() shopRecord[shop.Customer, CustomerIn, CustomerView] {
	return shopRecord[shop.Customer, CustomerIn, CustomerView]{
		add: (*app.App).AddCustomer, replace: (*app.App).ReplaceCustomer, onto: CustomerIn.onto, view: customerView}
}

func addCustomer(c *call) error { return addShopRecord(c, customerRecord()) }

func putCustomer(c *call) error { return putShopRecord(c, customerRecord()) }

func getCustomer(c *call) error {
	n, err := c.app().GetCustomer(c.ctx, c.who, shop.CustomerID(c.Param("id")))
	if err != nil {
		return err
	}
	c.saw("customers", string(n.ID))
	return c.json(http.StatusOK, n.Version, customerView(c.currency(), n))
}

func listCustomers(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().ListCustomers(c.ctx, c.who, page)
	if err != nil {
		return err
	}
	c.saw("customers", keysOf(rows, shop.Customer.Key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Customer.Key, func(n shop.Customer) CustomerView { return customerView(c.currency(), n) }))
}

func listMachineWorkOrders(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	visits, err := c.app().ListMachineWorkOrders(c.ctx, c.who, shop.MachineID(c.Param("id")), page)
	if err != nil {
		return err
	}
	key := func(v app.Visit) string { return string(v.ID) }
	c.saw("work_orders", keysOf(visits, key)...)
	return c.json(http.StatusOK, 0, listOf(visits, page, key, func(v app.Visit) WorkOrderView { return visitView(c.currency(), v) }))
}
