package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Why a session was ended, as stored.
const (
	endedBySignOut  = "signed_out"
	endedByPerson   = "ended_by_person"
	endedByOwner    = "ended_by_owner"
	endedByPassword = "password_changed"
	endedByDisabled = "account_changed"
	endedByReplay   = "refresh_replayed"
)

// startSession makes a session with its first refresh token.
func (a *App) startSession(tx Tx, staff shop.Staff, kind shop.SessionKind, from Client) (SignedIn, error) {
	now := tx.Now()
	s := shop.Session{ID: shop.SessionID(a.Source.ID()), StaffID: staff.ID, Kind: kind, SessionVersion: staff.SessionVersion,
		StartedAt: now, UserAgent: clip(from.UserAgent, maxUserAgent)}
	useSession(&s, staff, now)
	if err := tx.Insert(&s); err != nil {
		return SignedIn{}, err
	}
	text, hash, err := a.Tokens.NewOpaque(TokenRefresh, tx.Shop())
	if err != nil {
		return SignedIn{}, err
	}
	if err := a.keepRefresh(tx, s.ID, hash); err != nil {
		return SignedIn{}, err
	}
	return a.tokensOf(tx, s, text)
}

const maxUserAgent = 300

// clip cuts a text that a stranger chose to at most n bytes.
func clip(text string, n int) string {
	if len(text) <= n {
		return text
	}
	return text[:n]
}

// useSession notes a use: the limits follow the person's roles of today.
func useSession(s *shop.Session, staff shop.Staff, now time.Time) {
	limits := auth.LimitsFor(staff.Roles)
	s.LastUsedAt, s.ExpiresAt = now, s.StartedAt.Add(limits.Absolute)
	s.IdleUntil = auth.Session{Started: s.StartedAt, LastUsed: now, Limits: limits}.Until()
}

func (a *App) keepRefresh(tx Tx, session shop.SessionID, hash string) error {
	return tx.Insert(&shop.RefreshToken{ID: shop.RefreshTokenID(a.Source.ID()), SessionID: session, TokenHash: hash})
}

// tokensOf signs an access token beside a refresh token.
func (a *App) tokensOf(tx Tx, s shop.Session, refresh string) (SignedIn, error) {
	now := tx.Now()
	access, err := a.Tokens.Access(AccessClaims{ShopID: tx.Shop(), StaffID: s.StaffID, SessionID: s.ID, SessionVersion: s.SessionVersion,
		AuthTime: s.StartedAt, IssuedAt: now, ExpiresAt: now.Add(auth.AccessLife)})
	return SignedIn{Access: access, ExpiresIn: auth.AccessLife, Refresh: refresh, Kind: s.Kind, Ends: s.ExpiresAt.Sub(now),
		StaffID: s.StaffID, ShopID: tx.Shop()}, err
}

// WhoAmI reads the person who asks.
func (a *App) WhoAmI(ctx context.Context, who auth.Principal) (shop.Staff, error) {
	return ShopRecordOf[shop.Staff](ctx, a, who, string(who.StaffID))
}

// Sessions lists one's own sessions, newest first.
func (a *App) Sessions(ctx context.Context, who auth.Principal, page Page) ([]shop.Session, error) {
	page.Newest = true
	return ShopRecordsOf[shop.Session](ctx, a, who, By{"staff_id": who.StaffID}, page)
}

// SignOut ends the session or the sign-on that asks.
func (a *App) SignOut(ctx context.Context, who auth.Principal) error {
	return a.writeAgain(ctx, who.ShopID, func(tx Tx) error {
		if who.SignOnID != "" {
			on, err := load[shop.SignOn](tx, string(who.SignOnID))
			if err != nil {
				return err
			}
			return endSignOn(tx, on)
		}
		s, err := load[shop.Session](tx, string(who.SessionID))
		if err != nil {
			return err
		}
		return endSession(tx, s, endedBySignOut)
	})
}

// EndSession ends one of one's own sessions; an owner ends anyone's.
// Somebody else's is answered as one that never was.
func (a *App) EndSession(ctx context.Context, who auth.Principal, id shop.SessionID) error {
	return a.onShop(ctx, who, "session.ended", func(c *Change) error {
		s, err := load[shop.Session](c, string(id))
		if err != nil {
			return err
		}
		why := endedByPerson
		if s.StaffID != who.StaffID {
			if !who.Has(auth.RoleOwner) {
				return fault.Missing("session")
			}
			why = endedByOwner
		}
		return endSession(c, s, why)
	})
}

// ender is what a session is ended in: a transaction, or a journaled change.
type ender interface {
	Now() time.Time
	Advance(row Noun) error
}

// endSession ends a session, unless it has ended: its tokens die at once,
// since both the access and the refresh token are held against its row.
func endSession(tx ender, s shop.Session, why string) error {
	if s.EndedAt != nil {
		return nil
	}
	now := tx.Now()
	s.EndedAt, s.EndedBecause = &now, why
	return tx.Advance(&s)
}

func endSignOn(tx ender, on shop.SignOn) error {
	if on.EndedAt != nil {
		return nil
	}
	now := tx.Now()
	on.EndedAt = &now
	return tx.Advance(&on)
}

// endAll ends every session and sign-on of a person but the one that asks.
func endAll(tx Tx, staff shop.StaffID, keep auth.Principal, why string) error {
	err := each(tx, By{"staff_id": staff, "ended_at": nil}, func(s shop.Session) error {
		if s.ID == keep.SessionID {
			return nil
		}
		return endSession(tx, s, why)
	})
	if err != nil {
		return err
	}
	return each(tx, By{"staff_id": staff, "ended_at": nil}, func(on shop.SignOn) error {
		if on.ID == keep.SignOnID {
			return nil
		}
		return endSignOn(tx, on)
	})
}

// each runs do over every row that by selects, a bounded page at a time.
func each[T any, P interface {
	*T
	Noun
}](tx Tx, by By, do func(T) error) error {
	page := Page{Limit: MaxRows}
	for {
		var rows []T
		if err := tx.List(&rows, by, page); err != nil {
			return err
		}
		for i := range rows {
			page.After = P(&rows[i]).Key()
			if err := do(rows[i]); err != nil {
				return err
			}
		}
		if len(rows) < page.Limit {
			return nil
		}
	}
}

// SecurityEvents lists what the owner should know, newest first.
func (a *App) SecurityEvents(ctx context.Context, who auth.Principal, page Page) ([]shop.SecurityEvent, error) {
	page.Newest = true
	return ShopRecordsOf[shop.SecurityEvent](ctx, a, who, nil, page)
}

// tellOwner notes something the owner should know.
func (a *App) tellOwner(tx Tx, kind string, staff shop.StaffID, from Client, note string) error {
	return tx.Insert(&shop.SecurityEvent{ID: shop.SecurityEventID(a.Source.ID()), Kind: kind, StaffID: staff,
		HappenedAt: tx.Now(), IP: clip(from.IP, 64), Note: note})
}
