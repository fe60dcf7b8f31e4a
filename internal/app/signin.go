package app

import (
	"context"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Client is what is known of the program that asks, for the record only.
type Client struct {
	IP        string
	UserAgent string
}

// SignIn is what somebody types to sign in.
type SignIn struct {
	Shop, Login, Password string
	Keep                  shop.SessionKind
	// Shown is a refresh token the device holds from before, or "": the
	// secret by which a device is known.
	Shown string
}

// SignedIn is a sign-in with its tokens.
type SignedIn struct {
	Access    string
	ExpiresIn time.Duration // of Access
	Refresh   string
	Kind      shop.SessionKind
	Ends      time.Duration // from now, of the session whatever happens
	StaffID   shop.StaffID
	ShopID    shop.ShopID
}

// wrongSignIn is the one answer to a shop, login or password that is not
// right, and to a disabled account (trust R5).
func wrongSignIn() error {
	return fault.New(fault.Unauthenticated, "app.sign_in_wrong", "Shop, login and password do not go together; check all three.")
}

// SignIn starts a session. Whether the shop, the login or the password is
// wrong, the answer and the work are the same.
func (a *App) SignIn(ctx context.Context, in SignIn, from Client) (SignedIn, error) {
	if err := auth.PasswordReadable(in.Password); err != nil {
		return SignedIn{}, err
	}
	in.Shop, in.Login = plainName(in.Shop), plainName(in.Login)
	scope, err := a.Store.ShopBySlug(ctx, in.Shop)
	if fault.Is(err, fault.NotFound) {
		return SignedIn{}, orFirst(a.Hasher.VerifyDummy(ctx, in.Password), wrongSignIn())
	}
	if err != nil {
		return SignedIn{}, err
	}
	staff, known, err := a.whoSignsIn(ctx, scope, in)
	if err != nil {
		return SignedIn{}, err
	}
	var rehash bool
	account := strangerAccount(in.Login)
	if known {
		account = knownAccount(staff)
	}
	right, err := a.try(ctx, guess{scope: scope, account: account, look: func() (ok bool, err error) {
		ok, rehash, err = a.verify(ctx, in.Password, passwordHashOf(staff))
		return ok, err
	}})
	if err != nil {
		return SignedIn{}, err
	}
	if !right {
		return SignedIn{}, wrongSignIn()
	}
	out, err := a.signedIn(ctx, scope, staff, in.Keep, from)
	if err == nil && rehash {
		err = a.rehash(ctx, scope, staff, in.Password)
	}
	return out, err
}

func plainName(text string) string { return strings.ToLower(strings.TrimSpace(text)) }

// whoSignsIn finds the account, empty if there is none, and whether the
// device is known for it.
func (a *App) whoSignsIn(ctx context.Context, scope shop.ShopID, in SignIn) (staff shop.Staff, known bool, err error) {
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		found, err := list[shop.Staff](tx, By{"login": in.Login})
		if err != nil || len(found) == 0 {
			return err
		}
		staff = found[0]
		known, err = a.knownDevice(tx, staff, in.Shown)
		return err
	})
	return staff, known, err
}

// knownDevice reports whether a refresh token shown is of a session of the
// person that nobody ended, though it may have run out.
func (a *App) knownDevice(tx Tx, staff shop.Staff, shown string) (bool, error) {
	if shown == "" {
		return false, nil
	}
	scope, hash, err := a.Tokens.ParseOpaque(TokenRefresh, shown)
	if err != nil || scope != tx.Shop() {
		return false, nil // not a token of ours: a stranger
	}
	tokens, err := list[shop.RefreshToken](tx, By{"token_hash": hash})
	if err != nil || len(tokens) != 1 {
		return false, err
	}
	session, err := load[shop.Session](tx, string(tokens[0].SessionID))
	if err != nil {
		return false, err
	}
	return session.StaffID == staff.ID && session.EndedAt == nil, nil
}

// passwordHashOf is the hash to verify against; "" where no password helps.
func passwordHashOf(staff shop.Staff) string {
	if staff.Disabled {
		return ""
	}
	return staff.PasswordHash
}

// verify looks at a secret; without a hash it does the same work in vain.
func (a *App) verify(ctx context.Context, secret, hash string) (ok, rehash bool, err error) {
	if hash == "" {
		return false, false, a.Hasher.VerifyDummy(ctx, secret)
	}
	return a.Hasher.Verify(ctx, secret, hash)
}

// signedIn starts the session, unless the account changed while the password
// was looked at.
func (a *App) signedIn(ctx context.Context, scope shop.ShopID, was shop.Staff, kind shop.SessionKind, from Client) (out SignedIn, err error) {
	err = a.Store.Write(ctx, scope, func(_ context.Context, tx Tx) error {
		staff, err := load[shop.Staff](tx, string(was.ID))
		if err != nil {
			return err
		}
		if staff.Disabled || staff.PasswordHash != was.PasswordHash {
			return wrongSignIn()
		}
		out, err = a.startSession(tx, staff, kind, from)
		return err
	})
	return out, err
}

// rehash stores the password at today's cost (trust R1).
func (a *App) rehash(ctx context.Context, scope shop.ShopID, was shop.Staff, password string) error {
	hash, err := a.Hasher.Hash(ctx, password)
	if err != nil {
		return err
	}
	who := auth.Principal{Kind: auth.KindStaff, ShopID: scope, StaffID: was.ID}
	return a.onShop(ctx, who, "staff.password_rehashed", func(c *Change) error {
		staff, err := load[shop.Staff](c, string(was.ID))
		if err != nil || staff.PasswordHash != was.PasswordHash {
			return err
		}
		staff.PasswordHash = hash
		return c.Advance(&staff)
	})
}
