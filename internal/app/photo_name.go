package app

import (
	"strings"
	"unicode"
)

// maxNameBytes bounds a name to save under, its ending aside; file systems
// take 255 bytes.
const maxNameBytes = 200

// DisplayName makes of the name that a file came with one to offer for saving:
// no folder, nothing invisible, at most 204 bytes, and the ending of what it
// holds.
func (f PhotoFile) DisplayName() string {
	name := strings.ToValidUTF8(f.Name, "")
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	name = strings.Map(shown, name)
	if dot := strings.LastIndexByte(name, '.'); dot >= 0 {
		name = name[:dot]
	}
	name = strings.Trim(name, ". ")
	for len(name) > maxNameBytes {
		runes := []rune(name)
		name = strings.TrimRight(string(runes[:len(runes)-1]), ". ")
	}
	if name == "" {
		name = "photo"
	}
	if f.MediaType == "image/png" {
		return name + ".png"
	}
	return name + ".jpg"
}

// shown keeps letters, digits, marks and plain signs; what turns the writing
// round or means something to a shell or a file system goes.
func shown(r rune) rune {
	if r == ' ' || (unicode.IsGraphic(r) && !unicode.IsSpace(r) && !strings.ContainsRune(`"*:<>?|%;\/`+"\ufffd", r)) {
		return r
	}
	return -1
}
