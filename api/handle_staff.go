package api

import (
	"fmt"
	"net/http"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// StaffAddIn is a person to add, with their first password.
type StaffAddIn struct {
	Login    string   `json:"login"`
	Name     string   `json:"name"`
	Roles    []string `json:"roles"`
	Password string   `json:"password"`
	Rides    bool     `json:"rides"`
}

// PasswordIn is a new password for somebody.
type PasswordIn struct {
	NewPassword string `json:"new_password"`
}

func listStaff(c *call) error { return listNouns(c, nil, staffView) }

func (c *call) person(status int, n shop.Staff, err error) error {
	if err != nil {
		return err
	}
	return c.json(status, n.Version, staffView(c.currency(), n))
}

func getStaff(c *call) error {
	n, err := app.ShopRecordOf[shop.Staff](c.ctx, c.app(), c.who, c.Param("id"))
	return c.person(http.StatusOK, n, err)
}

func prepareStaff(c *call) error {
	in, err := read[StaffAddIn](c)
	if err != nil {
		return err
	}
	c.secret, err = c.app().FirstPassword(c.ctx, c.caller(), in.Login, in.Name, in.Password)
	return err
}

func addStaff(c *call) error {
	in, err := read[StaffAddIn](c)
	if err != nil {
		return err
	}
	n, err := c.app().AddStaff(c.ctx, c.who, c.secret, func(n *shop.Staff) {
		n.Login, n.Name, n.Roles, n.Rides = in.Login, in.Name, roles(in.Roles), in.Rides
	})
	return c.person(http.StatusCreated, n, err)
}

// listReads answers what a person read of customers in a stretch of time.
func listReads(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	by := app.ReadsWanted{StaffID: shop.StaffID(c.Param("id")), Until: c.server.Now()}
	by.From = by.Until.AddDate(0, 0, -1)
	for name, at := range map[string]*time.Time{"from": &by.From, "to": &by.Until} {
		if text := c.QueryParam(name); text != "" {
			if *at, err = time.Parse(time.RFC3339, text); err != nil {
				return fault.New(fault.Shape, "api.instant_wrong", fmt.Sprintf("%s is a time such as 2026-03-01T09:30:00Z.", name))
			}
		}
	}
	rows, err := c.app().Reads(c.ctx, c.who, by, page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(rows, page, app.PersonalRead.Key, readView))
}

func putStaff(c *call) error {
	put, err := c.shopPut()
	if err != nil {
		return err
	}
	fill, err := filling(c, StaffIn.onto)
	if err != nil {
		return err
	}
	n, err := c.app().ReplaceStaff(c.ctx, c.who, put, fill)
	return c.person(http.StatusOK, n, err)
}

func prepareReset(c *call) error {
	in, err := read[PasswordIn](c)
	if err != nil {
		return err
	}
	c.secret, err = c.app().NextPassword(c.ctx, c.caller(), shop.StaffID(c.Param("id")), in.NewPassword)
	return err
}

func resetPassword(c *call) error {
	if err := c.app().ResetPassword(c.ctx, c.who, shop.StaffID(c.Param("id")), c.secret); err != nil {
		return err
	}
	return c.nothing()
}
