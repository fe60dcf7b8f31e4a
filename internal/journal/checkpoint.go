package journal

import (
	"encoding/base64"
	"strconv"
	"strings"
)

// Checkpoint is a statement of a tree's size and root (C2SP tlog-checkpoint,
// c2sp.org/tlog-checkpoint), to be signed as a note.
type Checkpoint struct {
	Origin string // which tree, see Origin
	Size   int64  // leaves, 0 or more
	Root   Hash   // of RFC 6962
}

// Origin names the tree of a shop. It holds the shop's id alone and not the
// address of the server, so that it stays when the address changes; keys
// sign in this name, so that no shop's checkpoint passes for another's.
func Origin(shopID string) string { return originStart + shopID }

// OriginAfter names the tree of a shop whose history was broken so many
// times, as by a backup that was put back, and each break acknowledged. It
// is another tree from there on: under one name no two checkpoints may ever
// contradict each other. Requires breaks >= 0.
func OriginAfter(shopID string, breaks int64) string {
	if breaks == 0 {
		return Origin(shopID)
	}
	return Origin(shopID) + "/" + strconv.FormatInt(breaks, 10)
}

const originStart = "benchtag/shop/"

// ParseOrigin gives the shop's id and the number of breaks of an origin, or
// an error if it is none of ours.
func ParseOrigin(origin string) (shopID string, breaks int64, err error) {
	rest, ours := strings.CutPrefix(origin, originStart)
	shopID, count, broken := strings.Cut(rest, "/")
	if broken {
		breaks, err = strconv.ParseInt(count, 10, 64)
	}
	if !ours || err != nil || breaks < 0 || !isID(shopID) || OriginAfter(shopID, breaks) != origin {
		return "", 0, malformed("origin is not benchtag/shop/ and an id")
	}
	return shopID, breaks, nil
}

// ShopOf gives the shop's id of an origin, or an error if it is none of ours.
func ShopOf(origin string) (string, error) {
	id, _, err := ParseOrigin(origin)
	return id, err
}

// Text gives the three lines that are signed: origin, size, root in base64.
func (c Checkpoint) Text() string {
	return c.Origin + "\n" + strconv.FormatInt(c.Size, 10) + "\n" + base64.StdEncoding.EncodeToString(c.Root[:]) + "\n"
}

// ParseCheckpoint reads such a text. It is strict: Text gives back exactly
// what it accepts. Extension lines, which the form advises against, are refused.
func ParseCheckpoint(text string) (Checkpoint, error) {
	lines := strings.Split(text, "\n")
	if len(lines) != 4 {
		return Checkpoint{}, malformed("a checkpoint is three lines: origin, size and root")
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 {
		return Checkpoint{}, malformed("size of a checkpoint is not a whole number of leaves")
	}
	root, err := base64.StdEncoding.Strict().DecodeString(lines[2])
	if err != nil || len(root) != len(Hash{}) {
		return Checkpoint{}, malformed("root of a checkpoint is not base64 of 32 bytes")
	}
	c := Checkpoint{Origin: lines[0], Size: size, Root: Hash(root)}
	if !isKeyName(c.Origin) || c.Text() != text {
		return Checkpoint{}, malformed("checkpoint is not in its one spelling")
	}
	return c, nil
}

// SignCheckpoint signs a checkpoint as a note. The keys must sign in the
// name of its origin.
func SignCheckpoint(c Checkpoint, keys ...SigningKey) (string, error) {
	for _, k := range keys {
		if k.name != c.Origin {
			return "", malformed("a checkpoint is signed in the name of its origin")
		}
	}
	if c.Size < 0 {
		return "", malformed("size of a checkpoint is below 0")
	}
	return SignNote(c.Text(), keys...)
}

// OpenCheckpoint reads a signed checkpoint and gives those of the known keys
// that signed it: at least one, and each in the name of the origin.
func OpenCheckpoint(note string, known ...VerifierKey) (Checkpoint, []VerifierKey, error) {
	n, by, err := VerifyNote(note, known...)
	if err != nil {
		return Checkpoint{}, nil, err
	}
	c, err := ParseCheckpoint(n.Text)
	if err != nil {
		return Checkpoint{}, nil, err
	}
	for _, k := range by {
		if k.Name != c.Origin {
			return Checkpoint{}, nil, malformed("checkpoint is signed in another name than its origin")
		}
	}
	return c, by, nil
}
