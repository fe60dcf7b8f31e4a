package app_test

import (
	"bytes"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth/vault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// TestCheckpointGoesToTheMailboxOnceADay: the first state of the journal that
// is signed on a day goes to the shop's own mailbox, whole and to be found
// there by a program; later ones of that day and those of a shop that no
// letter can reach put nothing out.
func TestCheckpointGoesToTheMailboxOnceADay(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	man := &postman{}
	box, err := vault.New(bytes.Repeat([]byte{7}, 32))
	if err != nil {
		t.Fatal(err)
	}
	h.app.Vault, h.app.Mailer = box, man
	sign := func() string { // something happens, and the first turn after a start signs for it
		t.Helper()
		if err := h.newCustomer(h.app); err != nil {
			t.Fatal(err)
		}
		before := len(h.checkpoints())
		other := h.otherServer()
		other.Vault, other.Mailer = h.app.Vault, h.app.Mailer
		if err := other.TendJournal(h.ctx, h.who.ShopID); err != nil {
			t.Fatal(err)
		}
		all := h.checkpoints()
		if len(all) != before+1 {
			t.Fatalf("%d checkpoints became %d", before, len(all))
		}
		return all[len(all)-1].Note
	}
	letters := func() []app.Mail {
		t.Helper()
		if err := h.app.DeliverMessages(h.ctx, h.who.ShopID); err != nil {
			t.Fatal(err)
		}
		return man.letters
	}
	waiting := func() int {
		t.Helper()
		rows, err := h.app.Outbox(h.ctx, h.who, "", app.Page{})
		if err != nil {
			t.Fatal(err)
		}
		return len(rows)
	}
	sign()
	if n := waiting(); n != 0 {
		t.Fatalf("%d messages of a shop without an address", n)
	}
	h.write(func(tx app.Tx) error {
		var s shop.Shop
		if err := tx.Load(&s, string(h.who.ShopID)); err != nil {
			return err
		}
		s.Email = "desk@quillmoor.example"
		return tx.Advance(&s)
	})
	sign()
	if n := waiting(); n != 0 {
		t.Fatalf("%d messages of a second checkpoint of the day", n)
	}
	h.clock.Advance(24 * time.Hour)
	first := sign()
	h.clock.Advance(time.Hour)
	sign()
	got := letters()
	if len(got) != 1 || got[0].To != "desk@quillmoor.example" {
		t.Fatalf("%d letters went: %+v", len(got), got)
	}
	if note := journal.FindNote(got[0].Text); note != first {
		t.Errorf("the letter holds\n%q, want\n%q", note, first)
	}
	if len(got[0].Attached) != 1 || string(got[0].Attached[0].Bytes) != first {
		t.Errorf("attached is %+v", got[0].Attached)
	}
	h.clock.Advance(24 * time.Hour)
	second := sign()
	if got = letters(); len(got) != 2 || journal.FindNote(got[1].Text) != second {
		t.Fatalf("%d letters after two days", len(got))
	}
	h.app.Mailer = nil
	h.clock.Advance(24 * time.Hour)
	sign()
	if n := waiting(); n != 2 {
		t.Errorf("%d messages; without a mail server none is put out", n)
	}
}
