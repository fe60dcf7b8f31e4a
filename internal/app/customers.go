package app

import (
	"context"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// AddCustomer stores a new customer.
func (a *App) AddCustomer(ctx context.Context, who auth.Principal, fill func(*shop.Customer)) (shop.Customer, error) {
	return addShopRecord(ctx, a, who, a.customerRules(), fill)
}

// ReplaceCustomer changes a customer at the version the client has read.
func (a *App) ReplaceCustomer(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.Customer)) (shop.Customer, error) {
	return replaceShopRecord(ctx, a, who, put, a.customerRules(), fill)
}

// GetCustomer reads one customer as far as the caller may know them.
func (a *App) GetCustomer(ctx context.Context, who auth.Principal, id shop.CustomerID) (shop.Customer, error) {
	n, err := ShopRecordOf[shop.Customer](ctx, a, who, string(id))
	return customerFor(who, n), err
}

// ListCustomers reads a page of the customers, in order of making, as far as
// the caller may know them.
func (a *App) ListCustomers(ctx context.Context, who auth.Principal, page Page) ([]shop.Customer, error) {
	rows, err := ShopRecordsOf[shop.Customer](ctx, a, who, By{"erase_asked_at": nil}, page)
	for i := range rows {
		rows[i] = customerFor(who, rows[i])
	}
	return rows, err
}

// seesContacts reports whether a caller may know how a customer is reached:
// whoever stands at the counter. The bench needs a name and no more.
func seesContacts(who auth.Principal) bool {
	return who.Has(auth.RoleAdvisor) || who.Has(auth.RoleOwner)
}

// customerFor leaves of a customer what the caller may know. Fields are
// named one by one, so that a new one stays hidden until someone decides.
func customerFor(who auth.Principal, n shop.Customer) shop.Customer {
	if seesContacts(who) {
		return n
	}
	return shop.Customer{Row: n.Row, ID: n.ID, Name: n.Name, Kind: n.Kind,
		EraseAskedAt: n.EraseAskedAt, EraseReason: n.EraseReason, EraseOn: n.EraseOn, ErasedAt: n.ErasedAt}
}

func (a *App) customerRules() shopRules[shop.Customer] {
	return shopRules[shop.Customer]{noun: "customer", check: func(c *Change, was, is *shop.Customer) error {
		if was != nil && was.Unseen() {
			return customerUnseen("")
		}
		c.SealFor(is.ID)
		err := oneLine(map[string]*string{"/name": &is.Name, "/phone": &is.Phone, "/email": &is.Email, "/language": &is.Language})
		if err != nil {
			return err
		}
		if err := given("/name", is.Name, "the customer's name"); err != nil {
			return err
		}
		if !plausibleEmail(is.Email) {
			return fault.Invalid("app.email_wrong", "/email", "This is not an e-mail address; it looks like name@example.org.")
		}
		if !plausibleLanguage(is.Language) {
			return fault.Invalid("app.language_wrong", "/language", "This is not a language tag; it looks like en or pt-BR.")
		}
		is.PhoneE164 = a.searchablePhone(is.Phone)
		return nil
	}}
}

// customerUnseen refuses work for a person who was erased or is restricted.
func customerUnseen(pointer string) error {
	f := fault.New(fault.Conflict, "app.customer_unseen", "This customer was erased or is kept under seal until then; make a new customer.")
	if pointer != "" {
		f.Fields = []fault.Field{{Pointer: pointer, Message: f.Message}}
	}
	return f
}

// searchablePhone gives a number in E.164 where it starts with + and is
// valid. A shop has no region, so of a national number its digits are kept,
// for searching. A number that is not valid is kept as typed elsewhere and
// gives nothing here: a wrong number is no reason to turn a customer away.
func (a *App) searchablePhone(text string) string {
	if strings.HasPrefix(text, "+") {
		return a.Phones.E164(text, "")
	}
	return phoneDigits(text)
}

// phoneDigits gives the digits of what reads as a phone number: at least
// three, among nothing but blanks and the usual marks; else "".
func phoneDigits(text string) string {
	var digits []rune
	for _, r := range text {
		switch {
		case r >= '0' && r <= '9':
			digits = append(digits, r)
		case !strings.ContainsRune(" +-./()\u00a0", r):
			return ""
		}
	}
	if len(digits) < 3 {
		return ""
	}
	return string(digits)
}

// plausibleEmail is a check of form alone: whether mail arrives is found out
// by sending. 254 bytes is the longest that SMTP takes (RFC 5321, 4.5.3.1.3,
// from memory).
func plausibleEmail(text string) bool {
	if text == "" {
		return true
	}
	local, domain, ok := strings.Cut(text, "@")
	return ok && local != "" && len(text) <= 254 &&
		!strings.ContainsAny(text, " \t<>()[],;:\\\"") && !strings.Contains(domain, "@") &&
		domain != "" && !strings.HasPrefix(domain, ".") && !strings.HasSuffix(domain, ".") && !strings.Contains(domain, "..")
}

// plausibleLanguage reports whether text has the form of a language tag:
// parts of 1 to 8 letters or digits, the first of 2 to 8 letters (RFC 5646,
// 2.1, from memory); empty is no wish.
func plausibleLanguage(text string) bool {
	if text == "" {
		return true
	}
	for i, part := range strings.Split(text, "-") {
		letters := strings.Trim(part, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
		plain := strings.Trim(part, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") == ""
		if len(part) < 1 || len(part) > 8 || !plain || i == 0 && (len(part) < 2 || !letters) {
			return false
		}
	}
	return len(text) <= 35
}
