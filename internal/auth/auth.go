// Package auth decides what a password or PIN must be, how soon a guess may
// follow a wrong one, how long a session lives and what a refresh token may
// still do, and names who is asking.
//
// It holds no secret, draws no random number, reads no clock and hashes no
// password: that is for its subfolders token and secret. Which route needs
// which role is the api package's table.
package auth

import (
	"slices"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Role is what a person does in the shop; a person may hold several.
type Role = shop.Role

// The roles.
const (
	RoleTechnician = shop.RoleTechnician
	RoleAdvisor    = shop.RoleAdvisor
	RoleOwner      = shop.RoleOwner
)

// Roles lists every role.
func Roles() []Role { return shop.RoleValues() }

// Kind says in which way a principal has shown who it is. The zero kind is
// nobody: a request that has shown nothing.
type Kind string

// The kinds of principal.
const (
	KindNobody Kind = ""        // has shown nothing
	KindStaff  Kind = "staff"   // signed in with a password: a session
	KindSignOn Kind = "sign_on" // signed on with a PIN, on an enrolled tablet
	KindTablet Kind = "tablet"  // an enrolled tablet on which nobody is signed on
	KindLink   Kind = "link"    // holds a customer's link
)

// Kinds lists every kind of principal, nobody first.
func Kinds() []Kind {
	return []Kind{KindNobody, KindStaff, KindSignOn, KindTablet, KindLink}
}

// Principal is who is asking, as the server has verified it. Its shop is the
// only source of the tenant.
type Principal struct {
	Kind   Kind
	ShopID shop.ShopID
	// StaffID is the person; empty for a tablet alone and for a link.
	StaffID shop.StaffID
	// Roles are the person's roles now, not when the token was made.
	Roles []Role
	// SessionID is the sign-in of a KindStaff.
	SessionID shop.SessionID
	// TabletID is the device of a KindTablet or KindSignOn.
	TabletID shop.TabletID
	// SignOnID is the sign-on of a KindSignOn.
	SignOnID shop.SignOnID
	// LinkID is the link of a KindLink.
	LinkID shop.OfferLinkID
	// AuthTime is when the person last typed a password or PIN.
	AuthTime time.Time
}

// Has reports whether the principal is a person who holds the role.
func (p Principal) Has(role Role) bool {
	return p.StaffID != "" && slices.Contains(p.Roles, role)
}

// Check reports, as an Internal fault, a principal whose parts do not fit its
// kind: such a one comes from a defect of ours and must not be served.
func (p Principal) Check() error {
	if !slices.Contains(Kinds(), p.Kind) || p.parts() != needs(p.Kind) {
		return fault.New(fault.Internal, "auth.principal_malformed", "The sign-in could not be read.")
	}
	return nil
}

// parts says which ids of a principal are set, needs which a kind must have.
type parts struct{ shop, staff, session, tablet, signOn, link, time bool }

func (p Principal) parts() parts {
	return parts{p.ShopID != "", p.StaffID != "", p.SessionID != "", p.TabletID != "", p.SignOnID != "", p.LinkID != "", !p.AuthTime.IsZero()}
}

func needs(k Kind) parts {
	switch k {
	case KindStaff:
		return parts{shop: true, staff: true, session: true, time: true}
	case KindSignOn:
		return parts{shop: true, staff: true, tablet: true, signOn: true, time: true}
	case KindTablet:
		return parts{shop: true, tablet: true}
	case KindLink:
		return parts{shop: true, link: true}
	}
	return parts{}
}
