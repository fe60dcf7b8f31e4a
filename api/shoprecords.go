package api

import (
	"context"
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/money"
)

// shopRecord is how one kind of the shop's own records is served: list, one,
// add and change are the same for all of them.
type shopRecord[T, In, V any] struct {
	path     string // below /v1: "bays"
	one, all string // operation names: "Bay", "Bays"
	write    allow  // who may add and change; any staff may read
	// by narrows a list by what the address asks for; nil lists all.
	by      func(*call) app.By
	add     func(*app.App, context.Context, auth.Principal, func(*T)) (T, error)
	replace func(*app.App, context.Context, auth.Principal, app.ShopPut, func(*T)) (T, error)
	onto    func(In, *conv, *T)
	view    func(money.Currency, T) V
}

// routesOfShop gives the four routes of a kind of shop record.
func routesOfShop[T, In, V any, P app.ShopRecord[T]](r shopRecord[T, In, V]) []route {
	base := "/v1/" + r.path
	return []route{
		get(base, "list"+r.all, anyStaff, func(c *call) error { return listShopRecords[T, In, V, P](c, r) }),
		effect(base, "add"+r.one, r.write, func(c *call) error { return addShopRecord[T, In, V, P](c, r) }),
		get(base+"/{id}", "get"+r.one, anyStaff, func(c *call) error { return getShopRecord[T, In, V, P](c, r) }),
		put(base+"/{id}", "put"+r.one, r.write, func(c *call) error { return putShopRecord[T, In, V, P](c, r) }),
	}
}

func listShopRecords[T, In, V any, P app.ShopRecord[T]](c *call, r shopRecord[T, In, V]) error {
	var by app.By
	if r.by != nil {
		by = r.by(c)
	}
	return listNouns[T, V, P](c, by, r.view)
}

// listNouns answers with a page of a kind of noun of the shop.
func listNouns[T, V any, P app.ShopRecord[T]](c *call, by app.By, view func(money.Currency, T) V) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := app.ShopRecordsOf[T](c.ctx, c.app(), c.who, by, page)
	if err != nil {
		return err
	}
	key := func(row T) string { return P(&row).Key() }
	c.saw(P(new(T)).TableName(), keysOf(rows, key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, key, func(row T) V { return view(c.currency(), row) }))
}

func getShopRecord[T, In, V any, P app.ShopRecord[T]](c *call, r shopRecord[T, In, V]) error {
	row, err := app.ShopRecordOf[T, P](c.ctx, c.app(), c.who, c.Param("id"))
	if err != nil {
		return err
	}
	c.saw(P(&row).TableName(), P(&row).Key())
	return c.json(http.StatusOK, P(&row).Head().Version, r.view(c.currency(), row))
}

func addShopRecord[T, In, V any, P app.ShopRecord[T]](c *call, r shopRecord[T, In, V]) error {
	fill, err := filling[T](c, r.onto)
	if err != nil {
		return err
	}
	row, err := r.add(c.app(), c.ctx, c.who, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, P(&row).Head().Version, r.view(c.currency(), row))
}

func putShopRecord[T, In, V any, P app.ShopRecord[T]](c *call, r shopRecord[T, In, V]) error {
	put, err := c.shopPut()
	if err != nil {
		return err
	}
	fill, err := filling[T](c, r.onto)
	if err != nil {
		return err
	}
	row, err := r.replace(c.app(), c.ctx, c.who, put, fill)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, P(&row).Head().Version, r.view(c.currency(), row))
}

// shopPut reads which record at which version a PUT changes.
func (c *call) shopPut() (app.ShopPut, error) {
	version, err := c.version()
	return app.ShopPut{ID: c.Param("id"), Match: version}, err
}

// filling reads the body and gives what puts it onto a noun; a body that
// cannot be put onto one is refused here, before anything is written.
func filling[T, In any](c *call, onto func(In, *conv, *T)) (func(*T), error) {
	in, err := read[In](c)
	if err != nil {
		return nil, err
	}
	conv := c.conv()
	var trial T
	onto(in, conv, &trial)
	if err := conv.err(); err != nil {
		return nil, err
	}
	return func(row *T) { onto(in, conv, row) }, nil
}
