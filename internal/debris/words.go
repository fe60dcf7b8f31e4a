package debris

import (
	"fmt"
	"strconv"
	"strings"
)

// words say an entry as one would at the bench: "Steel flake, 0.8 mm, 3 of
// them, bright".
func (e Entry) words() string {
	text := e.material().words() + " " + e.Form.words()
	out := []string{strings.ToUpper(text[:1]) + text[1:]}
	if size := e.size(); size > 0 {
		out = append(out, size.millimetres())
	}
	if e.Count > 0 {
		out = append(out, strconv.FormatInt(e.Count, 10)+" of them")
	}
	for _, word := range []string{string(e.Share), string(e.Shine)} {
		if word != "" {
			out = append(out, word)
		}
	}
	return strings.Join(out, ", ")
}

// millimetres writes a length exactly.
func (n Nanometres) millimetres() string {
	text := fmt.Sprintf("%d.%06d", n/1_000_000, n%1_000_000)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".") + " mm"
}

func (m Material) words() string {
	if m == Unknown {
		return "unknown"
	}
	return strings.ReplaceAll(string(m), "_", " ")
}

// words of a form, as one of them.
func (f Form) words() string {
	switch f {
	case Fuzz, Paste, Hair:
		return string(f)
	case Granular:
		return "grain"
	}
	return string(f)
}

func (l level) words() string { return strings.ReplaceAll(string(l.verdict()), "_", " ") }

// words say what the table read, and from where its figures come.
func (s shape) words(many bool, c Criteria) string {
	number := fmt.Sprintf("few (up to %d)", c.Few)
	if many {
		number = fmt.Sprintf("many (more than %d, or a heavy share)", c.Few)
	}
	switch s {
	case asFuzz:
		if many {
			return "A heavy share of what wears off as fuzz, or of pieces to 15 µm (rubbing wear, ASTM D7898-14)."
		}
		return "A light share of what wears off as fuzz, or of pieces to 15 µm (rubbing wear, ASTM D7898-14)."
	case asHair:
		return "Fine whiskers, " + number + "."
	case asSmall:
		return "Flat or long pieces of no more than 0.2 mm, " + number + "."
	case asGrain:
		return "Grains like sand are broken out and not rubbed off; " + number + "."
	case asMiddle:
		return "Pieces above 0.2 mm, an obvious sign (machinerylubrication.com/Read/29537), or of a size nobody measured; " + number + "."
	case asLarge:
		return "A flat or long piece of " + c.Large.millimetres() + " or more: " + c.source() + "."
	}
	return "A thick piece is broken off something; common practice, no source."
}

// source says where the size of a large flake comes from.
func (c Criteria) source() string {
	switch {
	case c.Source != "":
		return c.Source
	case c.Large == LargeFlake:
		return "the size US Army TM 55-2840-231-23 calls an incipient failure, as an example and no limit for another machine"
	}
	return "a figure of your own"
}

// doubts about an entry: where magnet and name disagree, and what bright and
// dull faces tell.
func (e Entry) doubts() []string {
	var out []string
	switch {
	case e.Attracted == Attracted && e.material() != Unknown && !e.material().sticks():
		out = append(out, "A magnet draws it, so it is not "+e.material().words()+" alone; judged as steel as well.")
	case e.Attracted == NotAttracted && e.material().sticks():
		out = append(out, "No magnet draws it: some steels hardly stick, but try whether it is aluminium, bronze or bearing metal; judged as those as well.")
	}
	switch e.Shine {
	case Bright:
		out = append(out, "Bright faces are fresh.")
	case Dull:
		out = append(out, "Dull faces can have lain there for long; that alone excuses nothing.")
	}
	return out
}
