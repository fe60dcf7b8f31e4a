package main

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"path/filepath"
	"strings"

	"benchtag/internal/app"
	"benchtag/internal/journal"
)

// readAnchor reads what was kept outside the database: a receipt, a signed
// checkpoint, or a letter that holds one.
func readAnchor(name string) (app.OutsideAnchor, error) {
	a := app.OutsideAnchor{Name: filepath.Base(name)}
	text, err := readBounded(name, journal.MaxReceipt)
	if err != nil {
		return a, err
	}
	if strings.HasPrefix(string(text), "benchtag-receipt ") {
		r, err := journal.ParseReceipt(text)
		if err != nil {
			return a, fmt.Errorf("%s is no sound receipt: %s", name, sentence(err))
		}
		a.Note, a.Receipt = string(r.Proof.Checkpoint), &r
		return a, nil
	}
	if a.Note = noteInLetter(text); a.Note == "" {
		return a, fmt.Errorf("%s holds no receipt and no whole signed checkpoint: give the receipt's file, or the letter with the state of the journal, saved as it is or copied from its first line to its last", name)
	}
	return a, nil
}

// noteInLetter finds the checkpoint in a text, or in a letter saved as it
// came: as it is, or in one of its parts.
func noteInLetter(text []byte) string {
	if note := journal.FindNote(string(text)); note != "" {
		return note
	}
	letter, err := mail.ReadMessage(bytes.NewReader(text))
	if err != nil {
		return ""
	}
	return noteInPart(letter.Header.Get, letter.Body, mostNested)
}

// mostNested is how deep the parts of a letter may lie in each other.
const mostNested = 5

// noteInPart finds the checkpoint in a part of a letter (RFC 2045, RFC 2046).
func noteInPart(header func(string) string, body io.Reader, deeper int) string {
	kind, settings, err := mime.ParseMediaType(header("Content-Type"))
	if err == nil && strings.HasPrefix(kind, "multipart/") {
		parts := multipart.NewReader(body, settings["boundary"])
		for deeper > 0 {
			part, err := parts.NextRawPart()
			if err != nil {
				return ""
			}
			if note := noteInPart(part.Header.Get, part, deeper-1); note != "" {
				return note
			}
		}
		return ""
	}
	switch strings.ToLower(strings.TrimSpace(header("Content-Transfer-Encoding"))) {
	case "quoted-printable":
		body = quotedprintable.NewReader(body)
	case "base64":
		body = base64.NewDecoder(base64.StdEncoding, body)
	}
	text, err := io.ReadAll(body)
	if err != nil {
		return ""
	}
	return journal.FindNote(string(text))
}
