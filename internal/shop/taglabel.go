package shop

import (
	"crypto/sha256"
	"encoding/binary"
	"strings"

	"benchtag/internal/fault"
)

// TagMark tells the labels of one shop from those of another, without saying
// which shop it is: four characters of the tags' alphabet, drawn from the
// SHA-256 of the shop's id. Two shops share a mark once in 707,281.
type TagMark string

// TagMarkOf gives the mark of a shop.
func TagMarkOf(id ShopID) TagMark {
	sum := sha256.Sum256([]byte("tag label\n" + string(id)))
	n := binary.BigEndian.Uint32(sum[:4]) % TagCodes
	var mark [tagLength - 1]byte
	for i := range mark {
		mark[i] = tagAlphabet[n%tagPrime]
		n /= tagPrime
	}
	return TagMark(mark[:])
}

// TagPath is where the address in a label's QR code leads, with the mark and
// the code behind it: /t/K7MX-2223R.
const TagPath = "/t/"

// LabelText is what the QR code of a label holds: an address below base, the
// server's public one, that tells a stranger nothing. An address without a
// path of its own is written in capitals, which a QR code holds in fewer
// modules (ISO/IEC 18004, alphanumeric mode; scheme and host mean the same in
// either case, RFC 3986 section 6.2.2.1). An empty base gives mark and code.
func LabelText(base string, mark TagMark, code TagCode) string {
	base = strings.TrimSuffix(base, "/")
	tail := string(mark) + "-" + string(code)
	if base == "" {
		return tail
	}
	_, host, _ := strings.Cut(base, "://")
	if strings.Contains(host, "/") {
		return base + TagPath + tail
	}
	return strings.ToUpper(base + TagPath + tail)
}

// maxLabelText bounds what is read as a label: no address of ours is longer.
const maxLabelText = 2000

// ParseLabelText reads what was typed or scanned from a label: a code alone,
// mark and code, or the address of a QR code, in any case. Where there is a
// mark it must be the shop's; the server's address is not looked at, since
// labels live longer than that. Faults: those of ParseTagCode, and
// shop.tag_label_foreign.
func ParseLabelText(text string, mark TagMark) (TagCode, error) {
	text = strings.ToUpper(strings.TrimSpace(text))
	if len(text) > maxLabelText {
		return "", labelForeign()
	}
	tail, address := text, false
	if at := strings.LastIndex(text, strings.ToUpper(TagPath)); at >= 0 {
		tail, address = text[at+len(TagPath):], true
		if end := strings.IndexAny(tail, "?#/"); end >= 0 {
			tail = tail[:end]
		}
	}
	tail = strings.NewReplacer(" ", "", "-", "").Replace(tail)
	if len(tail) == len(mark)+tagLength || address {
		own, ok := strings.CutPrefix(tail, string(mark))
		if !ok {
			return "", labelForeign()
		}
		tail = own
	} else if strings.ContainsAny(text, ":/") {
		return "", labelForeign()
	}
	return ParseTagCode(tail)
}

func labelForeign() error {
	return fault.New(fault.Meaning, "shop.tag_label_foreign", "This is no label of this shop. Read another, or type the five characters of the tag.")
}
