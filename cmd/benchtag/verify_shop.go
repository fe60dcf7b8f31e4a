package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"benchtag/internal/anchor"
	"benchtag/internal/app"
	"benchtag/internal/photo"
	"benchtag/internal/store"
)

// shop checks everything a shop's database holds. It changes nothing, and
// does not bring the schema up to date either.
func (c verifyCommand) shop(ctx context.Context, to outputs) error {
	want, err := c.wanted(to)
	if err != nil {
		return ended{exitUndecided, err}
	}
	if err := c.there(); err != nil {
		return ended{exitUndecided, err}
	}
	s, err := store.Open(store.Options{Folder: c.Data, PostgresURL: c.Postgres})
	if err != nil {
		return ended{exitUndecided, err}
	}
	defer func() { _ = s.Close() }()
	options := app.Options{Store: s, Source: source{}}
	if err := c.beside(ctx, &options); err != nil {
		return ended{exitUndecided, err}
	}
	id, err := shopNamed(ctx, s, c.Shop)
	if err != nil {
		return ended{exitUndecided, err}
	}
	report, err := app.New(options).Audit(ctx, id, want)
	if err != nil {
		return ended{exitBroken, fmt.Errorf("the database cannot be read to the end: %w", err)}
	}
	if err := c.print(to.out, report); err != nil {
		return err
	}
	if !report.OK {
		return ended{exitBroken, errors.New("the shop's records do not hold")}
	}
	return nil
}

// wanted reads the keys and what was kept outside.
func (c verifyCommand) wanted(to outputs) (want app.AuditWanted, err error) {
	if want.Keys, err = c.keys(); err != nil {
		return want, err
	}
	for _, name := range c.Anchor {
		a, err := readAnchor(name)
		if err != nil {
			return want, err
		}
		want.Anchors = append(want.Anchors, a)
	}
	if f, is := to.err.(*os.File); is {
		if info, err := f.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
			want.Progress = func(done, of int64) { _, _ = fmt.Fprintf(f, "\r%d of %d entries ", done, of) }
		}
	}
	return want, nil
}

// beside finds what stands beside the database: the journal's key and the
// photos. Without a key folder no signature can be checked, which the report says.
func (c verifyCommand) beside(ctx context.Context, options *app.Options) error {
	if keys := filepath.Join(c.Data, "keys"); isFolder(keys) {
		files, err := anchor.OpenExisting(keys)
		if err != nil {
			return err
		}
		options.Anchors = files
	}
	if c.PhotosS3Endpoint != "" {
		s, err := c.openS3(ctx)
		if err != nil {
			return err
		}
		options.Blobs = s
		return nil
	}
	if photos := filepath.Join(c.Data, "photos"); isFolder(photos) {
		blobs, err := photo.OpenFolder(photos)
		if err != nil {
			return err
		}
		options.Blobs = blobs
	}
	return nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// print writes the report for a person, or as JSON.
func (c verifyCommand) print(w io.Writer, r app.AuditReport) error {
	if c.JSON {
		out := json.NewEncoder(w)
		out.SetEscapeHTML(false)
		out.SetIndent("", "  ")
		return out.Encode(r)
	}
	_, err := io.WriteString(w, auditWords(r))
	return err
}

// auditWords says what was found, for a person.
func auditWords(r app.AuditReport) string {
	var b strings.Builder
	if r.OK {
		b.WriteString("HOLDS: nothing was found that does not fit.\n")
	} else {
		fmt.Fprintf(&b, "DOES NOT HOLD. The first bad entry:\n%s", faultWords(*r.First))
	}
	fmt.Fprintf(&b, "\nChecked: %d entries in %d streams, %d leaves of the shop's tree, %d signed checkpoints, %d records of answers,\n"+
		"  %d rows, %d photo files, %d receipts or checkpoints from outside (the file beside the key is one).\n",
		r.Entries, r.Streams, r.Leaves, r.Signed, r.Answers, r.Rows, r.Photos, r.Anchors)
	if r.Anchors > 0 {
		fmt.Fprintf(&b, "  From outside the first %d leaves are vouched for.\n", r.AnchoredTo)
	}
	if len(r.Faults) > 1 {
		fmt.Fprintf(&b, "\nEverything found, in the order of the shop's tree (%d, and %d more):\n", len(r.Faults), r.More)
		for _, f := range r.Faults {
			b.WriteString(faultWords(f))
		}
	}
	b.WriteString("\nWhat this check cannot tell:\n")
	for _, l := range r.Limits {
		b.WriteString("  - " + l + "\n")
	}
	return b.String()
}

func faultWords(f app.AuditFault) string {
	var where []string
	if f.WorkOrder > 0 {
		where = append(where, fmt.Sprintf("work order %d", f.WorkOrder))
	} else if f.StreamID != "" {
		where = append(where, "stream "+f.StreamID)
	}
	if f.Sequence > 0 {
		where = append(where, fmt.Sprintf("entry %d", f.Sequence))
	}
	if f.Leaf >= 0 {
		where = append(where, fmt.Sprintf("place %d of the tree", f.Leaf))
	}
	if f.Noun != "" {
		where = append(where, strings.ReplaceAll(f.Noun, "_", " ")+" "+f.ID)
	}
	if len(where) == 0 {
		where = []string{"the whole"}
	}
	return fmt.Sprintf("  %s (%s)\n    %s\n", printable(strings.Join(where, ", ")), f.What, printable(f.Words))
}
