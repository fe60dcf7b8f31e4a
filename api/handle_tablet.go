package api

import (
	"net/http"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// TabletIn is a tablet to enrol.
type TabletIn struct {
	Name string `json:"name"`
}

// EnrolmentView is a tablet with its one-time code, shown once.
type EnrolmentView struct {
	Tablet     TabletView `json:"tablet"`
	EnrolCode  string     `json:"enrol_code"`
	EnrolUntil string     `json:"enrol_until"`
}

// EnrolIn is an enrolment code.
type EnrolIn struct {
	EnrolCode string `json:"enrol_code"`
}

// HeartbeatIn is what a tablet says of itself.
type HeartbeatIn struct {
	Unsent int64 `json:"unsent"`
}

// TabletStaffView is one person who can sign on.
type TabletStaffView struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// SignOnIn is who signs on, with the PIN.
type SignOnIn struct {
	StaffID string `json:"staff_id"`
	Pin     string `json:"pin"`
}

// SignOnRenewIn is which sign-on goes on.
type SignOnRenewIn struct {
	SignOnID string `json:"sign_on_id"`
}

// SignedOnView is a sign-on with its access token.
type SignedOnView struct {
	AccessToken string `json:"access_token"`
	TokenType   string `json:"token_type"`
	ExpiresIn   int64  `json:"expires_in"`
	StaffID     string `json:"staff_id"`
	SignOnID    string `json:"sign_on_id"`
}

// deviceKeep is how long a tablet keeps its secret: until it is revoked, as
// far as browsers allow (400 days is the most they keep a cookie, RFC 6265bis).
const deviceKeep = 400 * 24 * time.Hour

func listTablets(c *call) error { return listNouns(c, nil, tabletView) }

func addTablet(c *call) error {
	in, err := read[TabletIn](c)
	if err != nil {
		return err
	}
	made, err := c.app().AddTablet(c.ctx, c.who, in.Name)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, made.Tablet.Version, EnrolmentView{Tablet: tabletView(c.currency(), made.Tablet),
		EnrolCode: made.Code, EnrolUntil: instantView(made.Until)})
}

func revokeTablet(c *call) error {
	t, err := c.app().RevokeTablet(c.ctx, c.who, shop.TabletID(c.Param("id")))
	return c.tablet(t, err)
}

func (c *call) tablet(t shop.Tablet, err error) error {
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, t.Version, tabletView(c.currency(), t))
}

func enrolTablet(c *call) error {
	if err := c.takeSignIn(); err != nil {
		return err
	}
	if err := c.sameOrigin(); err != nil {
		return err
	}
	in, err := read[EnrolIn](c)
	if err != nil {
		return err
	}
	t, secret, err := c.app().EnrolTablet(c.ctx, in.EnrolCode)
	if err != nil {
		return err
	}
	c.setCookie(tabletCookie, secret, deviceKeep)
	return c.tablet(t, nil)
}

// heartbeat also gives the cookie its full life again.
func heartbeat(c *call) error {
	in, err := read[HeartbeatIn](c)
	if err != nil {
		return err
	}
	t, err := c.app().Heartbeat(c.ctx, c.who, in.Unsent)
	if err == nil {
		c.setCookie(tabletCookie, c.cookie(tabletCookie), deviceKeep)
	}
	return c.tablet(t, err)
}

func tabletStaff(c *call) error {
	people, err := c.app().TabletStaff(c.ctx, c.who)
	if err != nil {
		return err
	}
	items := make([]TabletStaffView, len(people))
	for i, p := range people {
		items[i] = TabletStaffView{ID: string(p.ID), Name: p.Name}
	}
	return c.json(http.StatusOK, 0, struct {
		Items []TabletStaffView `json:"items"`
	}{items})
}

func signOn(c *call) error {
	in, err := read[SignOnIn](c)
	if err != nil {
		return err
	}
	on, err := c.app().SignOn(c.ctx, c.who, shop.StaffID(in.StaffID), in.Pin)
	return c.signedOn(on, err)
}

func renewSignOn(c *call) error {
	in, err := read[SignOnRenewIn](c)
	if err != nil {
		return err
	}
	on, err := c.app().RenewSignOn(c.ctx, c.who, shop.SignOnID(in.SignOnID))
	return c.signedOn(on, err)
}

func (c *call) signedOn(on app.SignedOn, err error) error {
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, SignedOnView{AccessToken: on.Access, TokenType: "Bearer", ExpiresIn: int64(on.ExpiresIn / time.Second),
		StaffID: string(on.StaffID), SignOnID: string(on.SignOnID)})
}
