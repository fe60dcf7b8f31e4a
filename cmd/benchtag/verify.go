package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"benchtag/internal/journal"
	"benchtag/internal/web"
)

type verifyCommand struct {
	database
	s3Store
	Receipt  string   `arg:"" optional:"" help:"The receipt to check; - reads it from standard input." placeholder:"RECEIPT"`
	Key      []string `help:"The shop's key, as printed on its papers and by the server. Several may be given." placeholder:"KEY"`
	KeyFile  []string `help:"File with such keys, one a line." type:"path" placeholder:"FILE"`
	Document bool     `help:"Also print what was shown, in words."`
	Shop     string   `help:"Check a whole shop instead: its journal, tree, checkpoints, rows and photos, by the short name people sign in with." placeholder:"SLUG"`
	Anchor   []string `help:"With --shop: a receipt, a signed checkpoint, or the letter of a checkpoint as it lies in a mailbox, that was kept outside the database. Several may be given." type:"path" placeholder:"FILE"`
	JSON     bool     `name:"json" help:"With --shop: print the report as JSON."`
	Page     bool     `help:"Print the page that checks receipts in a browser, to be saved as a file: it works alone."`
}

// Help tells what the exit codes mean.
func (verifyCommand) Help() string {
	return "Checks a customer's receipt, with no network and no database; or with --shop everything that a shop's database holds. Exits with 0 if it holds " +
		"(a receipt: and one of the keys given signed it), with 1 if it does not, and with 2 if that cannot be said: no key was given, or a file cannot be read."
}

// Exit codes of verify.
const (
	exitBroken    = 1 // something does not hold
	exitUndecided = 2 // it cannot be said
)

// Run checks.
func (c verifyCommand) Run(ctx context.Context, to outputs) error {
	if c.Page {
		page, err := web.VerifyPage()
		if err != nil {
			return err
		}
		_, err = to.out.Write(page)
		return err
	}
	if c.Shop != "" {
		return c.shop(ctx, to)
	}
	if c.Receipt == "" {
		return ended{exitUndecided, errors.New("name the file of the receipt to check, or a shop with --shop")}
	}
	keys, err := c.keys()
	if err != nil {
		return ended{exitUndecided, err}
	}
	text, err := readGiven(c.Receipt, journal.MaxReceipt)
	if err != nil {
		return ended{exitUndecided, err}
	}
	return c.receipt(text, keys, to)
}

// receipt checks a receipt and says what it found.
func (c verifyCommand) receipt(text []byte, keys []journal.VerifierKey, to outputs) error {
	r, err := journal.ParseReceipt(text)
	if err != nil {
		_, _ = fmt.Fprintf(to.out, "DOES NOT HOLD: %s.\nNothing in this file can be relied on.\n", sentence(err))
		return ended{exitBroken, errors.New("the receipt does not hold")}
	}
	v := journal.VerifyReceipt(r, keys...)
	words := receiptWords(v)
	if c.Document && v.Problem == journal.ReceiptSound && len(v.Document) > 0 {
		words += "\nWhat was shown\n" + jsonWords(v.Document)
	}
	if _, err := io.WriteString(to.out, words); err != nil {
		return err
	}
	switch {
	case v.OK():
		return nil
	case v.Problem == journal.ReceiptSound:
		return ended{exitUndecided, errors.New("no key was given to compare with; give the shop's with --key or --key-file")}
	}
	return ended{exitBroken, errors.New("the receipt does not hold")}
}

// sentence gives what a journal error says, without whose it is.
func sentence(err error) string {
	var e *journal.Error
	if errors.As(err, &e) {
		return e.Reason
	}
	return err.Error()
}

// keys reads every key given.
func (c verifyCommand) keys() ([]journal.VerifierKey, error) {
	lines := c.Key
	for _, name := range c.KeyFile {
		text, err := readBounded(name, 1<<20)
		if err != nil {
			return nil, err
		}
		lines = append(lines, strings.Split(string(text), "\n")...)
	}
	var keys []journal.VerifierKey
	for _, line := range lines {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		k, err := journal.ParseVerifierKey(line)
		if err != nil {
			return nil, fmt.Errorf("%.60q is not a key: copy the whole line, as in benchtag/shop/…+1a2b3c4d+A…", line)
		}
		keys = append(keys, k)
	}
	if len(keys) == 0 && len(lines) > 0 {
		return nil, errors.New("there is no key in the file given")
	}
	return keys, nil
}

// readGiven reads a file, or standard input for -, of at most so many bytes.
func readGiven(name string, most int64) ([]byte, error) {
	if name != "-" {
		return readBounded(name, most)
	}
	b, err := io.ReadAll(io.LimitReader(os.Stdin, most+1))
	if err == nil && int64(len(b)) > most {
		err = errors.New("what comes in is too large to be a receipt")
	}
	return b, err
}
