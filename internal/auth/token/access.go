package token

import (
	"encoding/base64"
	"errors"
	"slices"
	"time"

	"github.com/golang-jwt/jwt/v5"
	"github.com/google/uuid"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Method says how a person has shown who they are; the values are those of
// RFC 8176.
type Method string

// The methods.
const (
	MethodPassword Method = "pwd"
	MethodPIN      Method = "pin"
	MethodDevice   Method = "hwk" // the enrolled tablet's secret
	MethodOneTime  Method = "otp"
)

// Methods lists every method.
func Methods() []Method { return []Method{MethodPassword, MethodPIN, MethodDevice, MethodOneTime} }

// Access is what an access token says. Times are whole seconds, UTC. There
// are no roles in it: they are looked up, so that a change bites at once.
type Access struct {
	Shop  shop.ShopID
	Staff shop.StaffID
	// Session is the sign-in it comes from; "" for a sign-on at a tablet.
	Session shop.SessionID
	// Tablet and SignOn are the sign-on it comes from, both or neither.
	Tablet shop.TabletID
	SignOn shop.SignOnID
	// SessionVersion is the person's at the time; the token is dead once
	// theirs is another.
	SessionVersion int64
	Methods        []Method
	AuthTime       time.Time
	// ID, IssuedAt and Expires are set by Issue.
	ID       string
	IssuedAt time.Time
	Expires  time.Time
}

// Principal gives the token's holder, with the roles that were looked up.
func (a Access) Principal(roles []auth.Role) auth.Principal {
	kind := auth.KindStaff
	if a.SignOn != "" {
		kind = auth.KindSignOn
	}
	return auth.Principal{Kind: kind, ShopID: a.Shop, StaffID: a.Staff, Roles: roles,
		SessionID: a.Session, TabletID: a.Tablet, SignOnID: a.SignOn, AuthTime: a.AuthTime}
}

// check reports an Access that names no one person, one shop and one session
// or sign-on.
func (a Access) check() error {
	ids := []string{string(a.Shop), string(a.Staff)}
	if a.SignOn != "" {
		ids = append(ids, string(a.Tablet), string(a.SignOn))
	} else {
		ids = append(ids, string(a.Session))
	}
	for _, id := range ids {
		parsed, err := uuid.Parse(id)
		if err != nil || parsed.String() != id {
			return errors.New("an id is not a UUID")
		}
	}
	if (a.Tablet == "") != (a.SignOn == "") || a.Session != "" && a.SignOn != "" {
		return errors.New("neither a session nor a sign-on, or parts of both")
	}
	unknown := func(m Method) bool { return !slices.Contains(Methods(), m) }
	if a.SessionVersion < 0 || len(a.Methods) == 0 || len(a.Methods) > len(Methods()) || slices.ContainsFunc(a.Methods, unknown) {
		return errors.New("session version or methods are not as they must be")
	}
	return nil
}

// Names are the issuer and the audience of access tokens.
type Names struct {
	Issuer   string // the program's base URL
	Audience string
}

// Signer makes access tokens and takes only those it could have made.
type Signer struct {
	keys  keySet
	names Names
}

// NewSigner makes a Signer. Both names must be given.
func NewSigner(ring *Keyring, names Names) (*Signer, error) {
	if names.Issuer == "" || names.Audience == "" {
		return nil, errors.New("access tokens need an issuer and an audience")
	}
	return &Signer{keys: ring.sets[PurposeAccess], names: names}, nil
}

// Issue makes a token that lives for auth.AccessLife from now, and says what
// is in it.
func (s *Signer) Issue(a Access, now time.Time) (Secret, Access, error) {
	a.IssuedAt = now.UTC().Truncate(time.Second)
	a.Expires = a.IssuedAt.Add(auth.AccessLife)
	a.AuthTime = a.AuthTime.UTC().Truncate(time.Second)
	a.ID = base64.RawURLEncoding.EncodeToString(randomBytes(16))
	err := errors.Join(a.check(), checkTimes(a))
	if err != nil {
		return "", Access{}, fault.New(fault.Internal, "auth.token_claims", "The token could not be made.").Because(err)
	}
	k := s.keys.current()
	made := jwt.NewWithClaims(jwt.SigningMethodHS256, s.wireOf(a))
	made.Header = map[string]any{"alg": algorithm, "typ": mediaType, "kid": k.ID}
	text, err := made.SignedString([]byte(k.Secret))
	if err != nil {
		return "", Access{}, fault.New(fault.Internal, "auth.token_unsigned", "The token could not be made.").Because(err)
	}
	return Secret(text), a, nil
}

// Verify reads a token and refuses it as Unauthenticated, auth.token_refused,
// unless it is exactly such as Issue makes, signed, and in date. On refusal
// nothing of the token is given back.
func (s *Signer) Verify(text string, now time.Time) (Access, error) {
	kid, err := gate(text)
	if err != nil {
		return Access{}, refused(err)
	}
	accepting := s.keys.accepting(now)
	at := slices.IndexFunc(accepting, func(k key) bool { return k.ID == kid })
	if at < 0 {
		return Access{}, refused(errors.New("no key has this id"))
	}
	var w wire
	_, err = s.parser(now).ParseWithClaims(text, &w, func(*jwt.Token) (any, error) { return []byte(accepting[at].Secret), nil })
	if err != nil {
		return Access{}, refused(reason(err))
	}
	a := w.access()
	err = errors.Join(a.check(), checkTimes(a))
	if err != nil {
		return Access{}, refused(err)
	}
	return a, nil
}

// parser is made for each call, for the clock; it costs next to nothing.
func (s *Signer) parser(now time.Time) *jwt.Parser {
	return jwt.NewParser(
		jwt.WithValidMethods([]string{algorithm}),
		jwt.WithExpirationRequired(),
		jwt.WithIssuedAt(),
		jwt.WithIssuer(s.names.Issuer),
		jwt.WithAudience(s.names.Audience),
		jwt.WithStrictDecoding(),
		jwt.WithLeeway(auth.ClockSkew),
		jwt.WithTimeFunc(func() time.Time { return now }),
	)
}

// checkTimes refuses a token that lives longer than any we make, or whose
// holder proved themselves after it was made.
func checkTimes(a Access) error {
	life := a.Expires.Sub(a.IssuedAt)
	if life <= 0 || life > auth.AccessLife {
		return errors.New("it lives too long, or not at all")
	}
	if a.AuthTime.Unix() <= 0 || a.AuthTime.Sub(a.IssuedAt) > auth.ClockSkew {
		return errors.New("auth_time is missing or after iat")
	}
	return nil
}

// reason names the library's refusal without its text, which could quote the
// token.
func reason(err error) error {
	for _, known := range []error{jwt.ErrTokenExpired, jwt.ErrTokenUsedBeforeIssued, jwt.ErrTokenSignatureInvalid,
		jwt.ErrTokenInvalidIssuer, jwt.ErrTokenInvalidAudience, jwt.ErrTokenMalformed} {
		if errors.Is(err, known) {
			return known
		}
	}
	return errors.New("refused by the token library")
}
