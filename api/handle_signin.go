package api

import (
	"net/http"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// SetupIn is the first shop and its owner.
type SetupIn struct {
	Secret    string `json:"secret"`
	ShopName  string `json:"shop_name"`
	Slug      string `json:"slug"`
	Currency  string `json:"currency"`
	TimeZone  string `json:"time_zone"`
	OwnerName string `json:"owner_name"`
	Login     string `json:"login"`
	Password  string `json:"password"`
}

// SignInIn is what somebody types to sign in.
type SignInIn struct {
	Shop     string `json:"shop"`
	Login    string `json:"login"`
	Password string `json:"password"`
	Keep     string `json:"keep"`
}

// RefreshIn is a refresh token, or none where it is in the cookie.
type RefreshIn struct {
	RefreshToken *string `json:"refresh_token"`
}

// SignedInView is a sign-in with its tokens.
type SignedInView struct {
	AccessToken  string  `json:"access_token"`
	TokenType    string  `json:"token_type"`
	ExpiresIn    int64   `json:"expires_in"`
	RefreshToken *string `json:"refresh_token"`
	StaffID      string  `json:"staff_id"`
	ShopID       string  `json:"shop_id"`
}

// MeView is who is signed in.
type MeView struct {
	StaffID  string   `json:"staff_id"`
	Name     string   `json:"name"`
	Roles    []string `json:"roles"`
	ShopID   string   `json:"shop_id"`
	ShopName string   `json:"shop_name"`
	TabletID *string  `json:"tablet_id"`
}

// PasswordChangeIn is the old and the new password.
type PasswordChangeIn struct {
	OldPassword string `json:"old_password"`
	NewPassword string `json:"new_password"`
}

// PinIn is a bench PIN, with the password again.
type PinIn struct {
	Password string `json:"password"`
	Pin      string `json:"pin"`
}

const keepCookie = "cookie"

func (c *call) client() app.Client {
	return app.Client{IP: c.RealIP(), UserAgent: c.Request().UserAgent()}
}

// takeSignIn counts a try to sign in against the address it comes from.
func (c *call) takeSignIn() error { return c.server.limits.take("signin "+c.RealIP(), signInPerIP) }

func setUp(c *call) error {
	if err := c.takeSignIn(); err != nil {
		return err
	}
	in, err := read[SetupIn](c)
	if err != nil {
		return err
	}
	out, err := c.app().SetUp(c.ctx, in.Secret, app.NewShop{Name: in.ShopName, Slug: in.Slug, Currency: in.Currency, TimeZone: in.TimeZone,
		OwnerName: in.OwnerName, Login: in.Login, Password: in.Password}, c.client())
	if err != nil {
		return err
	}
	return c.signedIn(http.StatusCreated, out)
}

func signIn(c *call) error {
	if err := c.takeSignIn(); err != nil {
		return err
	}
	in, err := read[SignInIn](c)
	if err != nil {
		return err
	}
	try := app.SignIn{Shop: in.Shop, Login: in.Login, Password: in.Password, Keep: shop.SessionKindApi, Shown: c.cookie(refreshCookie)}
	if in.Keep == keepCookie {
		try.Keep = shop.SessionKindBrowser
		if err := c.sameOrigin(); err != nil {
			return err
		}
	}
	out, err := c.app().SignIn(c.ctx, try, c.client())
	if err != nil {
		return err
	}
	return c.signedIn(http.StatusOK, out)
}

// refresh takes the token from the body, else from the cookie.
func refresh(c *call) error {
	in, err := read[RefreshIn](c)
	if err != nil {
		return err
	}
	try := app.RefreshIn{Token: text(in.RefreshToken)}
	if try.Token == "" {
		try = app.RefreshIn{Token: c.cookie(refreshCookie), Cookie: true}
		if err := c.sameOrigin(); err != nil {
			return err
		}
	}
	out, err := c.app().Refresh(c.ctx, try, c.client())
	if err != nil {
		return err
	}
	return c.signedIn(http.StatusOK, out)
}

// signedIn renders tokens; a browser's refresh token goes into its cookie.
func (c *call) signedIn(status int, in app.SignedIn) error {
	view := SignedInView{AccessToken: in.Access, TokenType: "Bearer", ExpiresIn: int64(in.ExpiresIn / time.Second),
		StaffID: string(in.StaffID), ShopID: string(in.ShopID)}
	if in.Kind == shop.SessionKindBrowser {
		c.setCookie(refreshCookie, in.Refresh, in.Ends)
	} else {
		view.RefreshToken = &in.Refresh
	}
	return c.json(status, 0, view)
}

func signOut(c *call) error {
	if err := c.app().SignOut(c.ctx, c.who); err != nil {
		return err
	}
	c.dropCookie(refreshCookie)
	return c.nothing()
}

func whoAmI(c *call) error {
	n, err := c.app().WhoAmI(c.ctx, c.who)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, MeView{StaffID: string(n.ID), Name: n.Name, Roles: texts(n.Roles),
		ShopID: string(c.shop.ID), ShopName: c.shop.Name, TabletID: orNull(c.who.TabletID)})
}

func (c *call) caller() app.Caller { return app.Caller{Who: c.who, Shop: c.shop} }

func prepareChange(c *call) error {
	in, err := read[PasswordChangeIn](c)
	if err != nil {
		return err
	}
	if err := c.app().ProvePassword(c.ctx, c.who, in.OldPassword, "/old_password"); err != nil {
		return err
	}
	c.secret, err = c.app().NextPassword(c.ctx, c.caller(), c.who.StaffID, in.NewPassword)
	return err
}

func changePassword(c *call) error {
	if err := c.app().ChangePassword(c.ctx, c.who, c.secret); err != nil {
		return err
	}
	return c.nothing()
}

func preparePIN(c *call) error {
	in, err := read[PinIn](c)
	if err != nil {
		return err
	}
	if err := c.app().ProvePassword(c.ctx, c.who, in.Password, "/password"); err != nil {
		return err
	}
	c.secret, err = c.app().NextPIN(c.ctx, in.Pin)
	return err
}

func setPIN(c *call) error {
	if err := c.app().SetPIN(c.ctx, c.who, c.secret); err != nil {
		return err
	}
	return c.nothing()
}

func listSessions(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Sessions(c.ctx, c.who, page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.Session.Key, func(s shop.Session) SessionView { return sessionView(c.currency(), s) }))
}

func endSession(c *call) error {
	if err := c.app().EndSession(c.ctx, c.who, shop.SessionID(c.Param("id"))); err != nil {
		return err
	}
	return c.nothing()
}
