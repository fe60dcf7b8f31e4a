package journal_test

import (
	"strings"
	"testing"

	"benchtag/internal/journal"
)

// signedNotes are a checkpoint with one signature and one with two, as while
// a key follows another.
func signedNotes(t testing.TB) []string {
	t.Helper()
	origin := journal.OriginAfter("0197a000-0000-7000-8000-000000000001", 2)
	one, err := journal.NewSigningKey(origin, [32]byte{1})
	if err != nil {
		t.Fatal(err)
	}
	two, err := journal.NewSigningKey(origin, [32]byte{2})
	if err != nil {
		t.Fatal(err)
	}
	c := journal.Checkpoint{Origin: origin, Size: 1234, Root: journal.Hash{7, 8}}
	var notes []string
	for _, keys := range [][]journal.SigningKey{{one}, {two, one}} {
		note, err := journal.SignCheckpoint(c, keys...)
		if err != nil {
			t.Fatal(err)
		}
		notes = append(notes, note)
	}
	return notes
}

// TestFindNote: a checkpoint is found in a letter however mail programs have
// treated it, and comes out letter for letter as it was signed.
func TestFindNote(t *testing.T) {
	t.Parallel()
	for _, note := range signedNotes(t) {
		letter := "Keep this letter.\n\n" + note + "\nYou need to do nothing now.\n"
		lines := strings.Split(strings.TrimRight(letter, "\n"), "\n")
		for name, text := range map[string]string{
			"alone":                       note,
			"without the last line end":   strings.TrimRight(note, "\n"),
			"with words around it":        letter,
			"line ends of another system": strings.ReplaceAll(letter, "\n", "\r\n"),
			"quoted":                      "> " + strings.Join(lines, "\n> "),
			"quoted twice":                ">> " + strings.Join(lines, "\n>> "),
			"quoted twice with blanks":    "> > " + strings.Join(lines, "  \n> > "),
			"indented":                    "\t" + strings.Join(lines, "\n\t"),
			"an empty line between all":   strings.Join(lines, "\n\n"),
			"no empty line at all":        strings.ReplaceAll(letter, "\n\n", "\n"),
			"broken behind the name":      strings.ReplaceAll(letter, "/2 ", "/2\n"),
			"after half a one":            note[:80] + "\n" + letter,
			"twice":                       letter + letter,
		} {
			if got := journal.FindNote(text); got != note {
				t.Errorf("%s: found %q, want %q", name, got, note)
			}
		}
	}
}

// TestFindNoteElsewhere: what is no checkpoint is not made one.
func TestFindNoteElsewhere(t *testing.T) {
	t.Parallel()
	note := signedNotes(t)[0]
	text, signature, _ := strings.Cut(note, "\n\n")
	for name, other := range map[string]string{
		"nothing":         "",
		"words":           "Keep this letter.\n\nNo more.\n\nThan\nwords\n",
		"no signature":    text + "\n\n",
		"signature alone": signature,
		"no size":         strings.Replace(note, "1234\n", "", 1),
		"size of words":   strings.Replace(note, "1234\n", "1234x\n", 1),
		"half a root":     strings.Replace(note, "AAAA=\n", "AAAA\n", 1),
		"half a name":     text + "\n\n— \n",
		"no base64":       text + "\n\n— name !\n",
	} {
		if got := journal.FindNote(other); got != "" {
			t.Errorf("%s: found %q", name, got)
		}
	}
}

// FuzzFindNote: whatever is found is a note in its one spelling, and is found
// in itself.
func FuzzFindNote(f *testing.F) {
	for _, note := range signedNotes(f) {
		f.Add(note)
		f.Add("> " + strings.ReplaceAll(note, "\n", "\r\n> "))
	}
	f.Fuzz(func(t *testing.T, text string) {
		note := journal.FindNote(text)
		if note == "" {
			return
		}
		if _, err := journal.ParseNote(note); err != nil {
			t.Errorf("found %q: %v", note, err)
		}
		if again := journal.FindNote(note); again != note {
			t.Errorf("%q in itself is %q", note, again)
		}
	})
}
