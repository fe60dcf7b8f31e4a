package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode"

	"benchtag/internal/app"
	"benchtag/internal/journal"
)

// receiptWords says what was found, for a person.
func receiptWords(v journal.ReceiptVerdict) string {
	var b strings.Builder
	if v.Problem != journal.ReceiptSound {
		fmt.Fprintf(&b, "DOES NOT HOLD: %s\n", v.Reason)
		if v.Problem == journal.ReceiptOtherKey {
			fmt.Fprintf(&b, "It is signed by\n  %s\n  fingerprint %s\n", v.Signer, v.Signer.Fingerprint())
			return b.String()
		}
		b.WriteString("Nothing in this file can be relied on.\n")
		return b.String()
	}
	if v.Compared {
		b.WriteString("HOLDS: the receipt is whole, and the key you gave signed it.\n")
	} else {
		b.WriteString("SOUND IN ITSELF, SIGNER NOT COMPARED: nothing in this file was changed since it was signed.\n" +
			"Who signed it is still open: compare the signer's key below with the one on the shop's printed papers,\n" +
			"or ask for it by phone; then run this again with --key.\n")
	}
	b.WriteByte('\n')
	for _, line := range [...][2]string{
		{"Answer", answerWords(v.Evidence)},
		{"Number of the answer", v.Evidence.ConsentID},
		{"Written into the journal", v.Entry.Time.Format("2006-01-02 15:04:05.000000") + " UTC, by the server's clock"},
		{"By", actorWords(v.Entry.Actor)},
		{"Work order's journal", fmt.Sprintf("%s, entry %d", v.Entry.Stream.ID, v.Entry.Sequence)},
		{"Journal of the shop", fmt.Sprintf("%s, entry %d of the %d that were signed", v.Tree.Origin, v.Index+1, v.Tree.Size)},
		{"Document shown, SHA-256", documentWords(v.Evidence)},
		{"Signer's key", v.Signer.String()},
		{"Fingerprint of the key", v.Signer.Fingerprint()},
	} {
		fmt.Fprintf(&b, "  %-25s %s\n", line[0], line[1])
	}
	b.WriteString("\nWhat was written down of the answer\n" + recordWords(v.Record))
	return b.String()
}

// recordWords puts the record of an answer into words; one of a form that is
// not known here is shown name by name.
func recordWords(record []byte) string {
	e, known := app.ReadEvidence(record)
	sections, err := e.Words(time.UTC)
	if !known || err != nil {
		return jsonWords(record)
	}
	w := &jsonWriter{}
	for _, s := range sections {
		w.line(s.Title, "", 1)
		for _, r := range s.Rows {
			words := r.Words
			if r.Sum != "" {
				words = strings.TrimSpace(words + ": " + r.Sum)
			}
			w.line(strings.TrimPrefix(r.Name+":", ":"), strings.TrimPrefix(words, ": "), 2)
		}
	}
	return w.out.String()
}

func answerWords(e journal.Evidence) string {
	if e.Revoked {
		return e.Decision + ", and taken back with this entry"
	}
	return e.Decision
}

func documentWords(e journal.Evidence) string {
	if e.DocumentSHA256 == "" {
		return "none; the answer was given without a document"
	}
	return e.DocumentSHA256
}

func actorWords(a journal.Actor) string {
	switch a.Kind {
	case journal.CustomerLink:
		return "whoever held the customer's link " + a.ID
	case journal.Staff:
		return "the shop's staff member " + a.ID
	case journal.Tablet:
		return "the shop's tablet " + a.ID
	default:
		return "the program itself"
	}
}

// jsonWords writes JSON as indented lines of "name: value", in its own order
// and with every value as it is, so that a record of any version can be read.
// What is no JSON is shown as it is, made safe for a terminal.
func jsonWords(text []byte) string {
	w := &jsonWriter{in: json.NewDecoder(bytes.NewReader(text))}
	w.in.UseNumber()
	err := w.value("", 1)
	if err == nil && !w.in.More() {
		return w.out.String()
	}
	return "  " + printable(string(text)) + "\n"
}

type jsonWriter struct {
	in  *json.Decoder
	out strings.Builder
}

// value writes one value under a name; depth indents.
func (w *jsonWriter) value(name string, depth int) error {
	t, err := w.in.Token()
	if err != nil {
		return err
	}
	delim, nested := t.(json.Delim)
	if !nested {
		w.line(name, plain(t), depth)
		return nil
	}
	if depth > 32 {
		return fmt.Errorf("nested too deep")
	}
	if name != "" {
		w.line(name, "", depth)
		depth++
	}
	for n := 1; w.in.More(); n++ {
		label := fmt.Sprintf("%d.", n)
		if delim == '{' {
			key, err := w.in.Token()
			if err != nil {
				return err
			}
			label = strings.ReplaceAll(fmt.Sprint(key), "_", " ") + ":"
		}
		if err := w.value(label, depth); err != nil {
			return err
		}
	}
	_, err = w.in.Token()
	return err
}

func plain(t json.Token) string {
	switch v := t.(type) {
	case nil:
		return "–"
	case bool:
		if v {
			return "yes"
		}
		return "no"
	default:
		return fmt.Sprint(v)
	}
}

// line writes one line; a value of several lines is indented, so that it
// cannot pass for a line of ours.
func (w *jsonWriter) line(name, value string, depth int) {
	indent := strings.Repeat("  ", depth)
	value = strings.ReplaceAll(printable(value), "\n", "\n"+indent+"  ")
	w.out.WriteString(strings.TrimRight(indent+printable(name)+" "+value, " ") + "\n")
}

// printable takes out what would command a terminal or turn the direction of
// a line: whoever answered may have typed anything.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || unicode.IsPrint(r) {
			return r
		}
		return '\uFFFD'
	}, text)
}
