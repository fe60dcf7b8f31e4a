package app

import (
	"context"
	"slices"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// AddStaff adds a person with a first password, made by FirstPassword.
func (a *App) AddStaff(ctx context.Context, who auth.Principal, hash SecretHash, fill func(*shop.Staff)) (shop.Staff, error) {
	return addShopRecord(ctx, a, who, staffRules(), func(n *shop.Staff) {
		fill(n)
		n.PasswordHash, n.SessionVersion = string(hash), 1
	})
}

// ReplaceStaff changes a person. Disabling or changing roles ends every
// session of theirs at once; the last owner stays one.
func (a *App) ReplaceStaff(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.Staff)) (shop.Staff, error) {
	return replaceShopRecord(ctx, a, who, put, staffRules(), fill)
}

func staffRules() shopRules[shop.Staff] {
	return shopRules[shop.Staff]{noun: "staff", check: checkStaff}
}

func checkStaff(c *Change, was, is *shop.Staff) error {
	if err := checkPerson(c, is); err != nil {
		return err
	}
	if grants(was, is) {
		if err := c.freshly(); err != nil {
			return err
		}
	}
	if was == nil {
		return nil
	}
	if err := keepAnOwner(c, *was, *is); err != nil {
		return err
	}
	if is.Disabled == was.Disabled && sameRoles(was.Roles, is.Roles) {
		return nil
	}
	is.SessionVersion++
	return endAll(c.Tx, is.ID, auth.Principal{}, endedByDisabled)
}

// checkPerson refuses what no account can be.
func checkPerson(c *Change, is *shop.Staff) error {
	if err := checkLogin(is.Login); err != nil {
		return err
	}
	if strings.TrimSpace(is.Name) == "" {
		return fault.Invalid("app.name_missing", "/name", "Give the name that colleagues see.")
	}
	is.Roles = slices.Compact(slices.Sorted(slices.Values(is.Roles)))
	if len(is.Roles) == 0 {
		return fault.Invalid("app.roles_missing", "/roles", "Give at least one role: technician, advisor or owner.")
	}
	same, err := list[shop.Staff](c, By{"login": is.Login})
	if err != nil {
		return err
	}
	if len(same) > 0 && same[0].ID != is.ID {
		taken := fault.Invalid("app.login_taken", "/login", "Somebody in this shop has this login; choose another.")
		taken.Kind = fault.Conflict
		return taken
	}
	return checkSamePerson(c, is)
}

func checkSamePerson(c *Change, is *shop.Staff) error {
	if is.SamePersonAsID == "" {
		return nil
	}
	_, err := load[shop.Staff](c, string(is.SamePersonAsID))
	if fault.Is(err, fault.NotFound) || is.SamePersonAsID == is.ID {
		return fault.Invalid("app.same_person_unknown", "/same_person_as_id", "Name another account of this shop.")
	}
	return err
}

// grants reports whether somebody comes to hold a role they do not hold now.
func grants(was, is *shop.Staff) bool {
	if was == nil || was.Disabled && !is.Disabled {
		return true
	}
	return slices.ContainsFunc(is.Roles, func(r shop.Role) bool { return !slices.Contains(was.Roles, r) })
}

func sameRoles(a, b []shop.Role) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

func owns(n shop.Staff) bool { return !n.Disabled && slices.Contains(n.Roles, shop.RoleOwner) }

// keepAnOwner refuses to leave a shop without anybody who answers for it.
func keepAnOwner(c *Change, was, is shop.Staff) error {
	if !owns(was) || owns(is) {
		return nil
	}
	left := false
	err := each(c.Tx, nil, func(n shop.Staff) error {
		left = left || n.ID != is.ID && owns(n)
		return nil
	})
	if err == nil && !left {
		err = fault.New(fault.Conflict, "app.last_owner", "This is the shop's last owner; make somebody else owner first.")
	}
	return err
}
