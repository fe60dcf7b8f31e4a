package token

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"time"

	"github.com/google/uuid"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Kind says what an opaque token is for. Its first letters show it, so that
// one kind never passes for another.
type Kind string

// The kinds of opaque token.
const (
	KindRefresh Kind = "refresh" // exchanged once for a new pair
	KindLink    Kind = "link"    // a customer's link
	KindDevice  Kind = "device"  // an enrolled tablet
	KindEnrol   Kind = "enrol"   // enrols a tablet, once
	KindSetup   Kind = "setup"   // makes the first shop, once
)

// Kinds lists every kind of opaque token.
func Kinds() []Kind { return []Kind{KindRefresh, KindLink, KindDevice, KindEnrol, KindSetup} }

// form is how a kind is written: prefix, then in base64url the shop's 16
// bytes, unless there is none yet, and the secret.
type form struct {
	prefix  string
	hasShop bool
	secret  int // bytes
}

func (k Kind) form() (form, bool) {
	switch k {
	case KindRefresh:
		return form{"btr_", true, 32}, true
	case KindLink:
		return form{"btl_", true, 32}, true
	case KindDevice:
		return form{"btd_", true, 32}, true
	case KindEnrol:
		return form{"bte_", true, 32}, true
	case KindSetup:
		return form{"bts_", false, 16}, true
	}
	return form{}, false
}

// Hash is the SHA-256 of a token's whole text: what the server stores.
type Hash [sha256.Size]byte

// String gives the hash in lower-case hexadecimal, 64 characters.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// Opaque is what may be kept of an opaque token.
type Opaque struct {
	Kind Kind
	Shop shop.ShopID // "" for KindSetup
	Hash Hash
}

// NewOpaque makes a token with 256 random bits (a KindSetup has 128, to be
// typed). The shop's id must be a UUID, and "" for a KindSetup.
func NewOpaque(kind Kind, shopID shop.ShopID) (Secret, Opaque, error) {
	f, ok := kind.form()
	if !ok {
		return "", Opaque{}, fault.New(fault.Internal, "auth.token_kind", "The token could not be made.")
	}
	return makeOpaque(kind, shopID, randomBytes(f.secret))
}

func makeOpaque(kind Kind, shopID shop.ShopID, secret []byte) (Secret, Opaque, error) {
	f, _ := kind.form()
	var body []byte
	if f.hasShop {
		id, err := uuid.Parse(string(shopID))
		if err != nil || id.String() != string(shopID) {
			return "", Opaque{}, fault.New(fault.Internal, "auth.token_shop", "The token could not be made.")
		}
		body = id[:]
	} else if shopID != "" {
		return "", Opaque{}, fault.New(fault.Internal, "auth.token_shop", "The token could not be made.")
	}
	text := f.prefix + base64.RawURLEncoding.EncodeToString(append(body, secret...))
	return Secret(text), Opaque{Kind: kind, Shop: shopID, Hash: sha256.Sum256([]byte(text))}, nil
}

// ParseOpaque reads the text of a token of that kind. What it gives is not
// proven until the hash is found among that shop's stored ones. Refusals are
// Unauthenticated, auth.token_refused.
func ParseOpaque(kind Kind, text string) (Opaque, error) {
	f, ok := kind.form()
	size := f.secret
	if f.hasShop {
		size += len(uuid.UUID{})
	}
	if !ok || len(text) != len(f.prefix)+base64.RawURLEncoding.EncodedLen(size) || text[:len(f.prefix)] != f.prefix {
		return Opaque{}, refused(errors.New("not a token of this kind"))
	}
	body, err := base64.RawURLEncoding.Strict().DecodeString(text[len(f.prefix):])
	if err != nil || len(body) != size { // the decoder skips line ends
		return Opaque{}, refused(errors.New("not base64url"))
	}
	out := Opaque{Kind: kind, Hash: sha256.Sum256([]byte(text))}
	if f.hasShop {
		out.Shop = shop.ShopID(uuid.UUID(body[:16]).String())
	}
	return out, nil
}

// Successor derives the token that a refresh token is exchanged for: HMAC of
// the old text under the current refresh key. Whoever asks, and however many
// at once, gets the same one, so that a lost answer can be given again though
// only hashes are stored.
func (r *Keyring) Successor(old string) (Secret, Opaque, error) {
	parsed, err := ParseOpaque(KindRefresh, old)
	if err != nil {
		return "", Opaque{}, err
	}
	return successor(r.sets[PurposeRefresh].current(), parsed.Shop, old)
}

// SuccessorAgain derives the successor that was handed out before and whose
// hash was stored, though the keys may have been rotated in between.
func (r *Keyring) SuccessorAgain(old string, stored Hash, now time.Time) (Secret, Opaque, error) {
	parsed, err := ParseOpaque(KindRefresh, old)
	if err != nil {
		return "", Opaque{}, err
	}
	for _, k := range r.sets[PurposeRefresh].accepting(now) {
		text, kept, err := successor(k, parsed.Shop, old)
		if err != nil {
			return "", Opaque{}, err
		}
		if hmac.Equal(kept.Hash[:], stored[:]) {
			return text, kept, nil
		}
	}
	return "", Opaque{}, refused(errors.New("no key gives the stored successor"))
}

func successor(k key, shopID shop.ShopID, old string) (Secret, Opaque, error) {
	mac := hmac.New(sha256.New, k.Secret)
	mac.Write([]byte("refresh-successor"))
	mac.Write([]byte(old))
	return makeOpaque(KindRefresh, shopID, mac.Sum(nil))
}
