package token

import (
	"time"

	"github.com/golang-jwt/jwt/v5"

	"benchtag/internal/shop"
)

// wire is an access token's claims as written. Times are seconds since 1970.
type wire struct {
	Issuer         string   `json:"iss"`
	Audience       string   `json:"aud"`
	Subject        string   `json:"sub"`
	Shop           string   `json:"shop"`
	Session        string   `json:"sid,omitempty"`
	SessionVersion int64    `json:"sv"`
	Methods        []Method `json:"amr"`
	AuthTime       int64    `json:"auth_time"`
	Tablet         string   `json:"tablet,omitempty"`
	SignOn         string   `json:"sign_on,omitempty"`
	IssuedAt       int64    `json:"iat"`
	Expires        int64    `json:"exp"`
	ID             string   `json:"jti"`
}

func (s *Signer) wireOf(a Access) *wire {
	return &wire{
		Issuer: s.names.Issuer, Audience: s.names.Audience, Subject: string(a.Staff), Shop: string(a.Shop),
		Session: string(a.Session), SessionVersion: a.SessionVersion, Methods: a.Methods, AuthTime: a.AuthTime.Unix(),
		Tablet: string(a.Tablet), SignOn: string(a.SignOn), IssuedAt: a.IssuedAt.Unix(), Expires: a.Expires.Unix(), ID: a.ID,
	}
}

func (w *wire) access() Access {
	return Access{
		Shop: shop.ShopID(w.Shop), Staff: shop.StaffID(w.Subject), Session: shop.SessionID(w.Session),
		Tablet: shop.TabletID(w.Tablet), SignOn: shop.SignOnID(w.SignOn), SessionVersion: w.SessionVersion, Methods: w.Methods,
		AuthTime: instant(w.AuthTime), ID: w.ID, IssuedAt: instant(w.IssuedAt), Expires: instant(w.Expires),
	}
}

func instant(seconds int64) time.Time { return time.Unix(seconds, 0).UTC() }

func date(seconds int64) (*jwt.NumericDate, error) { return jwt.NewNumericDate(instant(seconds)), nil }

// GetExpirationTime and the rest are what the library validates.
func (w *wire) GetExpirationTime() (*jwt.NumericDate, error) { return date(w.Expires) }

// GetIssuedAt gives iat.
func (w *wire) GetIssuedAt() (*jwt.NumericDate, error) { return date(w.IssuedAt) }

// GetNotBefore gives none: the gate takes no nbf.
func (w *wire) GetNotBefore() (*jwt.NumericDate, error) { return nil, nil }

// GetIssuer gives iss.
func (w *wire) GetIssuer() (string, error) { return w.Issuer, nil }

// GetSubject gives sub.
func (w *wire) GetSubject() (string, error) { return w.Subject, nil }

// GetAudience gives aud, of which there is exactly one.
func (w *wire) GetAudience() (jwt.ClaimStrings, error) { return jwt.ClaimStrings{w.Audience}, nil }
