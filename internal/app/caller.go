package app

import (
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// AccessClaims is what an access token says.
type AccessClaims struct {
	ShopID         shop.ShopID
	StaffID        shop.StaffID
	SessionID      shop.SessionID // of a sign-in with a password
	TabletID       shop.TabletID  // of a sign-on with a PIN
	SignOnID       shop.SignOnID
	SessionVersion int64
	AuthTime       time.Time
	IssuedAt       time.Time
	ExpiresAt      time.Time
}

// Caller is who asks, as verified now, and in which shop.
type Caller struct {
	Who  auth.Principal
	Shop shop.Shop
}
