package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// PersonalRead is one look at what tells something of a customer: who, when,
// by which operation, and the ids of what was given; never the data itself.
type PersonalRead struct {
	ID        string
	StaffID   shop.StaffID
	ReadAt    time.Time
	Operation string   // operationId of the contract
	Subject   string   // the table of what was given
	IDs       []string // of the rows given
	Reason    LookReason
}

// Key is the read's place in a list.
func (r PersonalRead) Key() string { return r.ID }

// Seen is what one answer gives of what tells something of a customer.
type Seen struct {
	Operation string
	Subject   string
	IDs       []string
}

// ReadsWanted says whose reads to list: From is in, Until is out.
type ReadsWanted struct {
	StaffID     shop.StaffID
	From, Until time.Time
}

// NoteRead notes what a person is about to be given. It is called before the
// answer leaves, so that nobody saw more than is noted; whoever cannot store
// the note says so in the log, with the same ids, which are no personal data.
func (a *App) NoteRead(ctx context.Context, who auth.Principal, seen Seen) error {
	return a.Store.Write(ctx, who.ShopID, func(_ context.Context, tx Tx) error {
		return a.noteReadIn(tx, who, seen, "")
	})
}

// noteReadIn notes a read in a transaction that is under way. Whoever reads at
// the machine itself, by the program, has no account and leaves no note.
func (a *App) noteReadIn(tx Tx, who auth.Principal, seen Seen, reason LookReason) error {
	if who.StaffID == "" {
		return nil
	}
	return tx.NoteReads([]PersonalRead{{ID: a.Source.ID(), StaffID: who.StaffID, ReadAt: tx.Now(), Operation: seen.Operation,
		Subject: seen.Subject, IDs: seen.IDs, Reason: reason}})
}

// Reads lists what a person read of customers in a stretch of time, oldest
// first: the answer to "what did this account see?" when it was misused.
func (a *App) Reads(ctx context.Context, who auth.Principal, by ReadsWanted, page Page) (out []PersonalRead, err error) {
	if !by.From.Before(by.Until) {
		return nil, fault.Invalid("app.window_empty", "/to", "The end of the window must come after its start.")
	}
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Staff](tx, string(by.StaffID)); err != nil {
			return err
		}
		out, err = tx.PersonalReads(by, page)
		return err
	})
	return out, err
}

// LookReason says for what an owner looks at data that is kept under seal.
type LookReason string

// The reasons.
const (
	LookLegalClaim LookReason = "legal_claim"
	LookAuthority  LookReason = "authority"
	LookAsked      LookReason = "customer_asked"
	LookAccounts   LookReason = "accounts"
)

// LookReasons lists every reason.
func LookReasons() []LookReason {
	return []LookReason{LookLegalClaim, LookAuthority, LookAsked, LookAccounts}
}
