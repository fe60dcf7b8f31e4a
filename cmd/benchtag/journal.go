package main

import (
	"context"
	"encoding/base64"
	"fmt"
	"path/filepath"
	"time"

	"benchtag/internal/anchor"
	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/store"
)

// anchors opens the journal's key in a data folder, which must be there.
func (d database) anchors() (*anchor.Files, error) {
	return anchor.OpenExisting(filepath.Join(d.Data, "keys"))
}

// journalApp opens the database with the journal's key.
func (d database) journalApp(ctx context.Context) (*app.App, *anchor.Files, *store.Store, error) {
	files, err := d.anchors()
	if err != nil {
		return nil, nil, nil, err
	}
	s, err := d.open(ctx)
	if err != nil {
		return nil, nil, nil, err
	}
	if err := s.Ready(ctx); err != nil {
		_ = s.Close()
		return nil, nil, nil, err
	}
	return app.New(app.Options{Store: s, Source: source{}, Anchors: files}), files, s, nil
}

// shopNamed finds a shop by the name people sign in with.
func shopNamed(ctx context.Context, s *store.Store, slug string) (shop.ShopID, error) {
	id, err := s.ShopBySlug(ctx, slug)
	if fault.Is(err, fault.NotFound) {
		return "", fmt.Errorf("there is no shop %q here; give the short name people sign in with, and the right --data or database", slug)
	}
	return id, err
}

type journalKeyCommand struct {
	database
	Shop   string `help:"Print the key in the name of this shop, by the short name people sign in with, as benchtag verify takes it." placeholder:"SLUG"`
	Rotate bool   `help:"Take a new key. Every shop's journal notes it, signed by both keys; then the old secret is destroyed."`
}

// Run prints the public keys, after taking a new one if that is asked for.
func (c journalKeyCommand) Run(ctx context.Context, to outputs) error {
	if c.Rotate {
		if err := c.rotate(ctx); err != nil {
			return err
		}
	}
	if c.Shop != "" {
		return c.printOf(ctx, to)
	}
	files, err := c.anchors()
	if err != nil {
		return err
	}
	known, err := files.Known("journal")
	if err != nil {
		return err
	}
	printKeys(to, known, func(k app.KnownKey) string { return base64.StdEncoding.EncodeToString(k.Key.Public[:]) })
	return nil
}

func (c journalKeyCommand) printOf(ctx context.Context, to outputs) error {
	a, _, s, err := c.journalApp(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	id, err := shopNamed(ctx, s, c.Shop)
	if err != nil {
		return err
	}
	known, err := a.JournalKeys(ctx, id)
	if err != nil {
		return err
	}
	printKeys(to, known, func(k app.KnownKey) string { return k.Key.String() })
	return nil
}

func printKeys(to outputs, known []app.KnownKey, text func(app.KnownKey) string) {
	for _, k := range known {
		until := "now"
		if !k.Until.IsZero() {
			until = k.Until.Format(time.RFC3339)
		}
		_, _ = fmt.Fprintf(to.out, "%s\n  fingerprint %s\n  signs from %s to %s\n", text(k), k.Key.Fingerprint(), k.From.Format(time.RFC3339), until)
	}
}

// rotate lets a new key follow the one there is. Cut short, it goes on where
// it was when it is run again; servers need no restart.
func (c journalKeyCommand) rotate(ctx context.Context) error {
	a, files, s, err := c.journalApp(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	if err := files.BeginRotation(time.Now()); err != nil {
		return err
	}
	shops, err := s.Shops(ctx)
	if err != nil {
		return err
	}
	for _, id := range shops {
		if err := a.NoteRotation(ctx, id); err != nil {
			return fmt.Errorf("note the new key for shop %s (run this again when that is mended; until then both keys sign): %w", id, err)
		}
	}
	return files.EndRotation()
}

type journalAcceptCommand struct {
	database
	Shop string `help:"The shop, by the short name people sign in with." required:"" placeholder:"SLUG"`
}

// Run lets a shop go on whose database is known to be an older one.
func (c journalAcceptCommand) Run(ctx context.Context, to outputs) error {
	a, _, s, err := c.journalApp(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	id, err := shopNamed(ctx, s, c.Shop)
	if err != nil {
		return err
	}
	note, err := a.AcceptBreak(ctx, id)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "The break is in the journal, and the shop goes on. Receipts and checkpoints of before stay good for what they show. The first checkpoint of the tree under its new name:\n\n%s", note)
	return err
}
