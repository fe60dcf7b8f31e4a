package journal

import "strings"

// FindNote gives the first signed checkpoint that a text holds, in its one
// spelling, or "" where there is none. The text may be a letter as it lies in
// a mailbox: with words around it, quoted with ">", with line ends of another
// system, empty lines between all lines, and a signature broken at its blank.
// What it gives parses as a checkpoint; who signed it is still to be asked.
func FindNote(text string) string {
	var lines []string
	for line := range strings.Lines(text) {
		if line = unquoted(line); line != "" {
			lines = append(lines, line)
		}
	}
	for len(lines) > 3 {
		if note := noteAt(lines); note != "" {
			return note
		}
		lines = lines[1:]
	}
	return ""
}

// unquoted takes the marks of a mail program off a line.
func unquoted(line string) string {
	line = strings.TrimSpace(line)
	for strings.HasPrefix(line, ">") {
		line = strings.TrimSpace(line[1:])
	}
	return line
}

// noteAt gives the note that begins at the first of the lines, or "". It
// requires four lines; none is empty.
func noteAt(lines []string) string {
	if _, err := ParseCheckpoint(strings.Join(lines[:3], "\n") + "\n"); err != nil {
		return ""
	}
	note := strings.Join(lines[:3], "\n") + "\n\n"
	for lines = lines[3:]; len(lines) > 0 && strings.HasPrefix(lines[0], sigStart); lines = lines[1:] {
		line := lines[0]
		if strings.Count(line, " ") == 1 && len(lines) > 1 { // its base64 stands below
			lines = lines[1:]
			line += " " + lines[0]
		}
		note += line + "\n"
	}
	if _, err := ParseNote(note); err != nil {
		return ""
	}
	return note
}
