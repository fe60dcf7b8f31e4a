package journal

import (
	"crypto/ed25519"
	"encoding/base64"
	"encoding/binary"
	"slices"
	"strings"
	"unicode/utf8"
)

// Note is a text with signatures below it (C2SP signed-note, c2sp.org/signed-note).
type Note struct {
	// Text is what was signed: lines of UTF-8, the last one ended as well.
	Text string
	// Signatures stand in the order in which they were written.
	Signatures []Signature
}

// Signature is one signature line of a note.
type Signature struct {
	Name  string // of the key
	KeyID uint32 // of the key, see VerifierKey.ID
	Bytes []byte // an Ed25519 signature, or whatever another kind of key makes
}

const (
	maxNote      = 16 << 10 // bytes of a note
	maxSigners   = 16
	maxSignature = 8 << 10 // bytes of one signature
	sigStart     = "— "    // how a signature line starts
)

// SignNote signs a text with each key in turn. An error means that the text
// is none a note may hold, or that no key was given.
func SignNote(text string, keys ...SigningKey) (string, error) {
	if len(keys) == 0 {
		return "", malformed("a note needs a signature")
	}
	n := Note{Text: text}
	for _, k := range keys {
		n.Signatures = append(n.Signatures, k.sign(text))
	}
	err := n.check()
	if err != nil {
		return "", err
	}
	return n.String(), nil
}

// String writes the note: the text, an empty line, a line for each signature.
func (n Note) String() string {
	var out strings.Builder
	out.WriteString(n.Text)
	out.WriteByte('\n')
	for _, s := range n.Signatures {
		out.WriteString(s.line())
	}
	return out.String()
}

func (s Signature) line() string {
	raw := binary.BigEndian.AppendUint32(nil, s.KeyID)
	return sigStart + s.Name + " " + base64.StdEncoding.EncodeToString(append(raw, s.Bytes...)) + "\n"
}

// ParseNote reads a note without asking who signed it. It is strict: for
// every text it accepts, String gives back exactly that text.
func ParseNote(text string) (Note, error) {
	if len(text) > maxNote {
		return Note{}, malformed("note is too long")
	}
	cut := strings.LastIndex(text, "\n\n")
	if cut < 0 {
		return Note{}, malformed("note has no empty line before its signatures")
	}
	n := Note{Text: text[:cut+1]}
	for line := range strings.Lines(text[cut+2:]) {
		s, err := parseSignature(line)
		if err != nil {
			return Note{}, err
		}
		n.Signatures = append(n.Signatures, s)
	}
	err := n.check()
	if err != nil {
		return Note{}, err
	}
	if n.String() != text {
		return Note{}, malformed("note is not in its one spelling")
	}
	return n, nil
}

func parseSignature(line string) (Signature, error) {
	rest, marked := strings.CutPrefix(line, sigStart)
	name, code, parted := strings.Cut(strings.TrimSuffix(rest, "\n"), " ")
	raw, err := base64.StdEncoding.Strict().DecodeString(code)
	if !marked || !parted || err != nil || len(raw) < 5 || len(raw) > maxSignature {
		return Signature{}, malformed("a signature line is not a dash, a name and base64")
	}
	return Signature{Name: name, KeyID: binary.BigEndian.Uint32(raw), Bytes: raw[4:]}, nil
}

func (n Note) check() error {
	if len(n.Signatures) < 1 || len(n.Signatures) > maxSigners {
		return malformed("note has no signature, or too many")
	}
	if !strings.HasSuffix(n.Text, "\n") || !utf8.ValidString(n.Text) || strings.ContainsFunc(n.Text, isControl) {
		return malformed("note text is not whole lines of UTF-8 without control characters")
	}
	for _, s := range n.Signatures {
		if !isKeyName(s.Name) {
			return malformed("name of a signature is not one a key may have")
		}
	}
	return nil
}

func isControl(r rune) bool { return r < ' ' && r != '\n' || r == 0x7f }

// SignedBy reports whether the key signed the note.
func (n Note) SignedBy(key VerifierKey) bool {
	return slices.ContainsFunc(n.Signatures, func(s Signature) bool {
		return s.Name == key.Name && s.KeyID == key.ID() && ed25519.Verify(key.Public[:], []byte(n.Text), s.Bytes)
	})
}

// VerifyNote reads a note and gives those of the known keys that signed it,
// in the order known. Where a signature bears a known key's name and id and
// does not hold, the whole note is refused; signatures of other keys are
// passed over. An error also means that none of the known keys signed.
func VerifyNote(text string, known ...VerifierKey) (Note, []VerifierKey, error) {
	n, err := ParseNote(text)
	if err != nil {
		return Note{}, nil, err
	}
	var by []VerifierKey
	for _, k := range known {
		if n.SignedBy(k) {
			by = append(by, k)
		} else if n.claims(k) {
			return Note{}, nil, malformed("a signature in the name of a known key does not hold")
		}
	}
	if len(by) == 0 {
		return Note{}, nil, malformed("no known key signed this note")
	}
	return n, by, nil
}

// claims reports whether a signature bears the key's name and id.
func (n Note) claims(key VerifierKey) bool {
	return slices.ContainsFunc(n.Signatures, func(s Signature) bool { return s.Name == key.Name && s.KeyID == key.ID() })
}
