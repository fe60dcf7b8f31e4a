package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// RefreshIn is a refresh token and where it came from.
type RefreshIn struct {
	Token  string
	Cookie bool // in the cookie of a browser, not in the body of a program
}

// Refresh exchanges a refresh token for its one successor (trust R10). A copy
// used later ends the session with all its tokens, and the owner is told;
// that is committed though the request is refused.
func (a *App) Refresh(ctx context.Context, in RefreshIn, from Client) (SignedIn, error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenRefresh, in.Token)
	if err != nil {
		return SignedIn{}, signInAgain()
	}
	var out SignedIn
	var refused bool
	err = a.writeAgain(ctx, scope, func(tx Tx) error {
		refused = true
		r, err := findRefresh(tx, hash)
		if err != nil || r == nil || (r.session.Kind == shop.SessionKindBrowser) != in.Cookie {
			return err
		}
		out, refused, err = a.rotate(tx, r, in.Token, from)
		return err
	})
	if err == nil && refused {
		err = signInAgain()
	}
	return out, err
}

// refresh is a refresh token found, with all that it hangs on.
type refresh struct {
	token         shop.RefreshToken
	session       shop.Session
	staff         shop.Staff
	successorUsed bool
}

// findRefresh reads a token by its hash; nil if there is none.
func findRefresh(tx Tx, hash string) (*refresh, error) {
	tokens, err := list[shop.RefreshToken](tx, By{"token_hash": hash})
	if err != nil || len(tokens) != 1 {
		return nil, err
	}
	r := &refresh{token: tokens[0]}
	if r.session, err = load[shop.Session](tx, string(r.token.SessionID)); err != nil {
		return nil, err
	}
	if r.staff, err = load[shop.Staff](tx, string(r.session.StaffID)); err != nil {
		return nil, err
	}
	if r.token.SuccessorHash != "" {
		next, err := list[shop.RefreshToken](tx, By{"token_hash": r.token.SuccessorHash})
		if err != nil {
			return nil, err
		}
		r.successorUsed = len(next) != 1 || next[0].UsedAt != nil
	}
	return r, nil
}

// state is what the core decides upon. An account that was disabled or whose
// roles changed has no live session, whatever its row says.
func (r *refresh) state(now time.Time) auth.RefreshState {
	s := auth.RefreshState{SuccessorUsed: r.successorUsed,
		Session: auth.Session{Started: r.session.StartedAt, LastUsed: r.session.LastUsedAt, Limits: auth.LimitsFor(r.staff.Roles)}}
	if r.session.EndedAt != nil {
		s.Session.Ended = *r.session.EndedAt
	}
	if r.staff.Disabled || r.staff.SessionVersion != r.session.SessionVersion {
		s.Session.Ended = now
	}
	if r.token.UsedAt != nil {
		s.ConsumedAt = *r.token.UsedAt
	}
	return s
}

func (a *App) rotate(tx Tx, r *refresh, token string, from Client) (out SignedIn, refused bool, err error) {
	now := tx.Now()
	switch auth.Rotate(r.state(now), now) {
	case auth.RotationRotate:
		out, err = a.consume(tx, r, token)
		return out, false, err
	case auth.RotationRepeat:
		text, hash, err := a.Tokens.Successor(token)
		if err != nil {
			return out, true, err
		}
		if hash != r.token.SuccessorHash {
			return out, true, nil // the keys were changed in between
		}
		out, err = a.tokensOf(tx, r.session, text)
		return out, false, err
	case auth.RotationReplay:
		err = endSession(tx, r.session, endedByReplay)
		if err == nil {
			err = a.tellOwner(tx, "refresh.replayed", r.staff.ID, from, "A refresh token was used a second time; somebody may hold a copy. The session was ended.")
		}
	}
	return out, true, err
}

// consume marks the token used and hands out its successor.
func (a *App) consume(tx Tx, r *refresh, token string) (SignedIn, error) {
	text, hash, err := a.Tokens.Successor(token)
	if err != nil {
		return SignedIn{}, err
	}
	now := tx.Now()
	r.token.UsedAt, r.token.SuccessorHash = &now, hash
	if err := tx.Advance(&r.token); err != nil {
		return SignedIn{}, err
	}
	if err := a.keepRefresh(tx, r.session.ID, hash); err != nil {
		return SignedIn{}, err
	}
	useSession(&r.session, r.staff, now)
	if err := tx.Advance(&r.session); err != nil {
		return SignedIn{}, err
	}
	return a.tokensOf(tx, r.session, text)
}
