package journal

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// algEd25519 is the type byte of Ed25519 keys in a signed note.
const algEd25519 = 0x01

// VerifierKey is the public half of a signing key with the name it signs in
// (C2SP signed-note; Ed25519 of RFC 8032).
type VerifierKey struct {
	Name   string // as a checkpoint's origin
	Public [32]byte
}

// ID gives the key id of the signed-note form: the first four bytes of
// SHA-256(name || 0x0A || 0x01 || public key). It tells keys apart and
// proves nothing.
func (k VerifierKey) ID() uint32 {
	sum := sha256.Sum256(append([]byte(k.Name+"\n"), k.typed()...))
	return binary.BigEndian.Uint32(sum[:4])
}

func (k VerifierKey) typed() []byte { return append([]byte{algEd25519}, k.Public[:]...) }

// String gives the key's text form: name+id+base64, as in
// "benchtag/shop/…+5f1a9c03+AZ…".
func (k VerifierKey) String() string {
	return fmt.Sprintf("%s+%08x+%s", k.Name, k.ID(), base64.StdEncoding.EncodeToString(k.typed()))
}

// Fingerprint gives SHA-256 of the public key as sixteen groups of four
// hexadecimal digits, to be compared by eye or read out over the telephone.
// It is the same whatever name the key signs in.
func (k VerifierKey) Fingerprint() string {
	sum := sha256.Sum256(k.Public[:])
	text := hex.EncodeToString(sum[:])
	groups := make([]string, 0, len(text)/4)
	for ; len(text) > 0; text = text[4:] {
		groups = append(groups, text[:4])
	}
	return strings.Join(groups, " ")
}

// ParseVerifierKey reads the text form. It is strict: String gives back
// exactly what it accepts.
func ParseVerifierKey(text string) (VerifierKey, error) {
	name, rest, _ := strings.Cut(text, "+")
	_, code, _ := strings.Cut(rest, "+")
	raw, err := base64.StdEncoding.Strict().DecodeString(code)
	if err != nil || len(raw) != 33 || raw[0] != algEd25519 || !isKeyName(name) {
		return VerifierKey{}, malformed("a verifier key is name+id+base64 of an Ed25519 key")
	}
	k := VerifierKey{Name: name, Public: [32]byte(raw[1:])}
	if k.String() != text {
		return VerifierKey{}, malformed("the id of a verifier key does not fit its name and key")
	}
	return k, nil
}

// SigningKey is a secret key with the name it signs in. It shows its secret
// in no message.
type SigningKey struct {
	name string
	key  ed25519.PrivateKey
}

// NewSigningKey makes a key of 32 secret random bytes. An error means that
// the name is none a key may have: empty, with a blank or with a plus.
func NewSigningKey(name string, seed [32]byte) (SigningKey, error) {
	if !isKeyName(name) {
		return SigningKey{}, malformed("name of a key is empty, or holds a blank or a plus")
	}
	return SigningKey{name: name, key: ed25519.NewKeyFromSeed(seed[:])}, nil
}

// Verifier gives the public half.
func (k SigningKey) Verifier() VerifierKey {
	return VerifierKey{Name: k.name, Public: [32]byte(k.key.Public().(ed25519.PublicKey))}
}

// String names the key without its secret.
func (k SigningKey) String() string { return "[signing key " + k.name + "]" }

// GoString names the key without its secret.
func (k SigningKey) GoString() string { return k.String() }

func (k SigningKey) sign(text string) Signature {
	return Signature{Name: k.name, KeyID: k.Verifier().ID(), Bytes: ed25519.Sign(k.key, []byte(text))}
}

const maxKeyName = 256

// isKeyName is the rule of the signed-note form.
func isKeyName(name string) bool {
	return name != "" && len(name) <= maxKeyName && utf8.ValidString(name) && !strings.Contains(name, "+") &&
		!strings.ContainsFunc(name, unicode.IsSpace) && !strings.ContainsFunc(name, isControl)
}
