package app

import (
	"bytes"
	"strings"
)

// csvHeader writes the names of the columns.
func csvHeader(out *bytes.Buffer) {
	cells := historyCells()
	names := make([]string, len(cells))
	for i, c := range cells {
		names[i] = c.Name
	}
	csvLine(out, names)
}

// csvRecords writes a job and all its records, a row each.
func csvRecords(out *bytes.Buffer, books historyBooks, row *HistoryRow) {
	cells := historyCells()
	write := func(r historyRecord) {
		r.row, r.books = row, books
		texts := make([]string, len(cells))
		for i, c := range cells {
			texts[i] = harmless(c.text(r))
		}
		csvLine(out, texts)
	}
	write(historyRecord{})
	for i := range row.Complaints {
		write(historyRecord{complaint: &row.Complaints[i]})
	}
	for i := range row.Findings {
		write(historyRecord{finding: &row.Findings[i]})
	}
	for i := range row.Lines {
		write(historyRecord{line: &row.Lines[i]})
	}
}

// harmless keeps a text from being read as a formula by a spreadsheet: one
// that starts like one gets an apostrophe in front, which spreadsheets take
// for "this is text" (OWASP ASVS 5.0.0, 1.2.10; also for the full-width forms
// of the signs, which some programs fold).
func harmless(text string) string {
	for _, start := range text {
		if strings.ContainsRune("=+-@\t\r\n\x00＝＋－＠", start) {
			return "'" + text
		}
		break
	}
	return text
}

// csvLine writes a row as RFC 4180 has it: commas, CRLF, and quotes around
// what holds a comma, a quote, a line break, or a blank at either end.
func csvLine(out *bytes.Buffer, texts []string) {
	for i, text := range texts {
		if i > 0 {
			out.WriteByte(',')
		}
		if strings.ContainsAny(text, ",\"\r\n") || text != strings.TrimSpace(text) {
			out.WriteByte('"')
			out.WriteString(strings.ReplaceAll(text, `"`, `""`))
			out.WriteByte('"')
			continue
		}
		out.WriteString(text)
	}
	out.WriteString("\r\n")
}
