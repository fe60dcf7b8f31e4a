package app

import (
	"context"
	"crypto/subtle"
	"errors"
	"regexp"
	"strings"
	"sync"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// setupOffer is the one-time secret with which the first shop is set up.
type setupOffer struct {
	mu    sync.Mutex
	hash  string // SHA-256, hex; "" means that no shop can be set up
	until time.Time
}

// OfferSetup lets whoever holds the secret of this hash (SHA-256, hex) set up
// the first shop, once, until then.
func (a *App) OfferSetup(hash string, until time.Time) {
	a.setup.mu.Lock()
	defer a.setup.mu.Unlock()
	a.setup.hash, a.setup.until = hash, until
}

// NewShop is a shop to make, with its owner.
type NewShop struct {
	Name, Slug         string
	Currency, TimeZone string
	OwnerName, Login   string
	Password           string
	Demo               bool // a shop of invented data
}

// SetUp makes the first shop with the secret printed at the first start
// (trust R16: 128 random bits, once, one hour) and signs its owner in.
func (a *App) SetUp(ctx context.Context, secret string, n NewShop, from Client) (SignedIn, error) {
	a.setup.mu.Lock()
	defer a.setup.mu.Unlock()
	hash := HashText(secret)
	if a.setup.hash == "" || subtle.ConstantTimeCompare([]byte(hash), []byte(a.setup.hash)) != 1 {
		return SignedIn{}, setupRefused()
	}
	shops, err := a.Store.CountShops(ctx)
	if err != nil {
		return SignedIn{}, err
	}
	if shops != 0 {
		return SignedIn{}, setupRefused()
	}
	n.Demo = false
	var in SignedIn
	_, _, err = a.createShop(ctx, n, a.setup.until, func(tx Tx, owner shop.Staff) error {
		in, err = a.startSession(tx, owner, shop.SessionKindApi, from)
		return err
	})
	if err != nil {
		return SignedIn{}, err
	}
	a.setup.hash = ""
	return in, nil
}

func setupRefused() error {
	return fault.New(fault.Forbidden, "app.setup_refused", "The set-up secret is wrong, used or older than an hour; start the server afresh for a new one.")
}

// CreateShop makes a shop with its owner, its journal and one tax category
// of rate zero, so that lines can be priced before the taxes are entered.
func (a *App) CreateShop(ctx context.Context, n NewShop) (shop.Shop, shop.Staff, error) {
	return a.createShop(ctx, n, time.Time{}, func(Tx, shop.Staff) error { return nil })
}

// createShop makes a shop, unless it is past until (zero: no end), and does
// what comes after in the same transaction.
func (a *App) createShop(ctx context.Context, n NewShop, until time.Time, after func(Tx, shop.Staff) error) (made shop.Shop, owner shop.Staff, err error) {
	if err := n.check(); err != nil {
		return made, owner, err
	}
	hash, err := a.hashPassword(ctx, n.Password, passwordOf{"/password", []string{n.Name, n.Slug, n.Login, n.OwnerName}})
	if err != nil {
		return made, owner, err
	}
	id, ownerID := shop.ShopID(a.Source.ID()), shop.StaffID(a.Source.ID())
	who := auth.Principal{Kind: auth.KindStaff, ShopID: id, StaffID: ownerID}
	err = a.Store.Write(ctx, id, func(ctx context.Context, tx Tx) error {
		if !until.IsZero() && !tx.Now().Before(until) {
			return setupRefused()
		}
		if err := tx.ClaimSlug(n.Slug); err != nil {
			return err
		}
		made, owner = n.shop(id), n.owner(ownerID, hash)
		err := a.changeIn(ctx, tx, who, shopStream(id), "shop.set_up", func(c *Change) error {
			if err := c.Insert(&made); err != nil {
				return err
			}
			if err := c.Insert(&owner); err != nil {
				return err
			}
			return c.Insert(&shop.TaxCategory{ID: shop.TaxCategoryID(a.Source.ID()), Code: "standard", Label: "No tax set"})
		})
		if err != nil {
			return err
		}
		return after(tx, owner)
	})
	return made, owner, err
}

func (n NewShop) shop(id shop.ShopID) shop.Shop {
	return shop.Shop{ID: id, Name: n.Name, Slug: n.Slug, Currency: n.Currency, TimeZone: n.TimeZone, Demo: n.Demo,
		TaxMode: shop.TaxModeExclusive, Rounding: string(money.HalfUp)}
}

func (n NewShop) owner(id shop.StaffID, hash SecretHash) shop.Staff {
	return shop.Staff{ID: id, Login: n.Login, Name: n.OwnerName, Roles: []shop.Role{shop.RoleOwner}, PasswordHash: string(hash), SessionVersion: 1}
}

// The forms of a slug and of a login, as in the contract.
const (
	slugForm  = `^[a-z0-9][a-z0-9-]{1,38}[a-z0-9]$`
	loginForm = `^[a-z0-9][a-z0-9._-]{1,62}$`
)

func fits(form, text string) bool { return regexp.MustCompile(form).MatchString(text) }

func (n NewShop) check() error {
	if !fits(slugForm, n.Slug) {
		return fault.Invalid("app.slug_malformed", "/slug", "Use 3 to 40 small letters, digits and hyphens, a letter or digit first and last.")
	}
	if strings.TrimSpace(n.Name) == "" {
		return fault.Invalid("app.name_missing", "/shop_name", "Give the shop's name.")
	}
	if strings.TrimSpace(n.OwnerName) == "" {
		return fault.Invalid("app.name_missing", "/owner_name", "Give the owner's name.")
	}
	if _, err := money.ParseCurrency(n.Currency); err != nil {
		return at(err, "/currency")
	}
	if err := checkZone(n.TimeZone); err != nil {
		return err
	}
	return checkLogin(n.Login)
}

func checkLogin(login string) error {
	if !fits(loginForm, login) {
		return fault.Invalid("app.login_malformed", "/login", "Use 2 to 63 small letters, digits, dots, hyphens and underscores, a letter or digit first.")
	}
	return nil
}

// checkZone takes the name of a place in the IANA data, or UTC. "Local" would
// mean the machine's own zone, and is refused.
func checkZone(name string) error {
	_, err := time.LoadLocation(name)
	if err != nil || name == "" || name == "Local" {
		return fault.Invalid("app.time_zone_unknown", "/time_zone", "Name the time zone as the IANA data does, as in Europe/Vienna or America/Los_Angeles.")
	}
	return nil
}

// at points an error of the core at a field of the request.
func at(err error, pointer string) error {
	var f *fault.Error
	if errors.As(err, &f) && len(f.Fields) == 0 {
		return fault.Invalid(f.Code, pointer, f.Message)
	}
	return err
}
