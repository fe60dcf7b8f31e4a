package app_test

import (
	"bytes"
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// TestBelongingsAreWhole holds the list of what an erasure and an export look
// at against the classes of columns: no table that tells something of a
// customer is forgotten.
func TestBelongingsAreWhole(t *testing.T) {
	t.Parallel()
	have := app.BelongingTables()
	for _, table := range app.PersonalTables() {
		if !slices.Contains(have, table) {
			t.Errorf("%s tells something of a customer and is not among the belongings", table)
		}
	}
}

// settle makes the world's customer one whose visit ended long ago, with a
// text of its own in every personal column, and notes a change of the customer
// in the journal, sealed.
func (h *house) settle(t *testing.T, closed time.Time) (shop.CustomerID, map[string]string) {
	t.Helper()
	h.run(t, "UPDATE shops SET currency = 'USD', time_zone = 'UTC', rounding = 'half_up', consent_rule = '', own_rule = NULL")
	h.run(t, "UPDATE customers SET erase_asked_at = NULL, erase_reason = '', erase_on = '', erased_at = NULL, language = '', phone = '', email = ''")
	h.run(t, "UPDATE work_orders SET closed_at = ?", closed)
	h.run(t, "UPDATE legal_holds SET lifted_at = ?", closed)
	h.run(t, "DELETE FROM erasures")
	h.run(t, "DELETE FROM customer_archives")
	id := shop.CustomerID(h.world.IDs["customers"])
	put := app.ShopPut{ID: string(id), Match: 2}
	name := "canary-in-the-journal-" + signInSource{}.ID()
	if _, err := h.ReplaceCustomer(t.Context(), h.person(auth.RoleOwner), put, func(n *shop.Customer) { n.Name = name }); err != nil {
		t.Fatal(err)
	}
	canaries := h.world.Canaries(t, h.backend)
	canaries["the name before"] = name
	return id, canaries
}

// kept gives everything the database keeps, as bytes: the files of SQLite, or
// every row of PostgreSQL.
func (h *house) kept(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	out.Write(h.rows(t))
	if h.backend.Postgres {
		return out.Bytes()
	}
	files, err := filepath.Glob(filepath.Join(h.folder, "*"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no files: %v", err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out.Write(text)
	}
	return out.Bytes()
}

// rows gives every row of every table as text.
func (h *house) rows(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	for _, table := range h.world.Catalog.Names() {
		rows, err := h.backend.Raw.QueryContext(t.Context(), "SELECT * FROM "+table)
		if err != nil {
			t.Fatal(err)
		}
		names, err := rows.Columns()
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			cells, dest := make([]sql.NullString, len(names)), make([]any, len(names))
			for i := range cells {
				dest[i] = &cells[i]
			}
			if err := rows.Scan(dest...); err != nil {
				t.Fatal(err)
			}
			for _, c := range cells {
				out.WriteString(c.String + "|")
			}
		}
		if err := rows.Close(); err != nil {
			t.Fatal(err)
		}
	}
	return out.Bytes()
}

func found(text []byte, canaries map[string]string) (names []string) {
	for name, canary := range canaries {
		if bytes.Contains(text, []byte(canary)) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// chainsHold verifies the journal of the shop and of the visit.
func (h *house) chainsHold(t *testing.T) (erased int) {
	t.Helper()
	for _, stream := range []journal.Stream{h.world.Stream(), {ShopID: string(h.world.Shop), Kind: journal.Shop, ID: string(h.world.Shop)}} {
		var entries []app.Entry
		err := h.Store.Read(t.Context(), h.world.Shop, func(tx app.Tx) (err error) {
			entries, err = tx.Entries(stream.ID, 0, 500)
			return err
		})
		if err != nil || len(entries) == 0 {
			t.Fatalf("%d entries, %v", len(entries), err)
		}
		stored := make([]journal.Stored, len(entries))
		for i, e := range entries {
			stored[i].Bytes = e.Header
			copy(stored[i].Hash[:], e.Hash)
			if e.HasBody {
				b := journal.Body{Bytes: e.Body}
				copy(b.Salt[:], e.Salt)
				stored[i].Body = &b
			}
		}
		report := journal.Verify(journal.Start(stream), stored)
		if report.Problem != journal.Intact {
			t.Errorf("the chain of the %s does not hold: %+v", stream.Kind, report)
		}
		erased += report.Erased
	}
	return erased
}

// TestEraseACustomer erases one customer: no text of theirs is left in the
// database, in rows or bytes, and every chain holds; another customer's entry
// is as it was and can still be opened.
func TestEraseACustomer(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		id, canaries := h.settle(t, houseStart.AddDate(-9, 0, 0))
		who := h.person(auth.RoleOwner)
		other, err := h.AddCustomer(t.Context(), who, func(n *shop.Customer) { n.Name, n.Kind, n.ContactBy = "Somebody else", "person", "phone" })
		if err != nil {
			t.Fatal(err)
		}
		if got := found(h.kept(t), canaries); len(got) < len(canaries)-1 {
			t.Fatalf("before, only %d of %d texts are found: %v", len(got), len(canaries), got)
		}
		before := h.chainsHold(t)
		got, err := h.EraseCustomer(t.Context(), who, id, shop.EraseReasonAsked)
		if err != nil || got.State != app.Erased || got.Customer.ErasedAt == nil || got.Customer.Name != "" {
			t.Fatalf("%+v, %v", got, err)
		}
		if err := h.ScrubErased(t.Context()); err != nil {
			t.Fatal(err)
		}
		if names := found(h.kept(t), canaries); len(names) > 0 {
			t.Errorf("left behind: %v", names)
		}
		if n := h.count(t, "SELECT count(*) FROM erasures WHERE scrubbed_at IS NULL"); n != 0 {
			t.Errorf("%d erasures are not scrubbed", n)
		}
		if after := h.chainsHold(t); after <= before {
			t.Errorf("%d bodies are erased, before it were %d", after, before)
		}
		if n := h.count(t, "SELECT count(*) FROM customer_keys WHERE customer_id = ?", string(id)); n != 0 {
			t.Error("the customer's key is still there")
		}
		if n := h.count(t, "SELECT count(*) FROM journal_bodies WHERE key_customer_id = ?", string(other.ID)); n != 1 {
			t.Errorf("the other customer has %d sealed bodies, want 1", n)
		}
		if again, err := h.GetCustomer(t.Context(), who, other.ID); err != nil || again.Name != "Somebody else" {
			t.Errorf("the other customer is %+v, %v", again, err)
		}
		if _, err := h.EraseCustomer(t.Context(), who, id, shop.EraseReasonAsked); !fault.Is(err, fault.Conflict) {
			t.Errorf("erased twice: %v", err)
		}
	})
}

// TestRestrictWhilePapersAreKept asks for the erasure of a customer whose
// papers must be kept: they are out of sight at once, the owner alone can look
// with a reason that is noted, and they go by themselves when the time is over.
func TestRestrictWhilePapersAreKept(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		closed := houseStart.AddDate(-1, 0, 0)
		id, canaries := h.settle(t, closed)
		who := h.person(auth.RoleOwner)
		got, err := h.EraseCustomer(t.Context(), who, id, shop.EraseReasonAsked)
		if err != nil || got.State != app.Restricted || !strings.Contains(got.Reason, string(got.Customer.EraseOn)) {
			t.Fatalf("%+v, %v", got, err)
		}
		if got.Customer.EraseOn < shop.Date(closed.AddDate(3, 0, 0).Format(time.DateOnly)) {
			t.Errorf("kept until %s: less than three years", got.Customer.EraseOn)
		}
		delete(canaries, "the name before")
		if names := found(h.rows(t), canaries); len(names) > 0 {
			t.Errorf("still to be read in rows: %v", names)
		}
		list, err := h.ListCustomers(t.Context(), who, app.Page{})
		if err != nil || len(list) != 0 {
			t.Errorf("still listed: %v, %v", list, err)
		}
		if diff := cmp.Diff(0, h.count(t, "SELECT count(*) FROM personal_reads WHERE operation = 'lookUnderSeal'")); diff != "" {
			t.Error(diff)
		}
		sealed, err := h.LookUnderSeal(t.Context(), who, id, app.LookAuthority)
		if err != nil {
			t.Fatal(err)
		}
		if names := found(sealed, canaries); len(names) != len(canaries) {
			for _, name := range names {
				delete(canaries, name)
			}
			t.Errorf("not under seal: %v", canaries)
		}
		if n := h.count(t, "SELECT count(*) FROM personal_reads WHERE operation = 'lookUnderSeal' AND reason = 'authority'"); n != 1 {
			t.Errorf("the look left %d notes", n)
		}
		due, err := time.Parse(time.DateOnly, string(got.Customer.EraseOn))
		if err != nil {
			t.Fatal(err)
		}
		for _, step := range []struct {
			at   time.Time
			left int
		}{{due.Add(-time.Hour), 1}, {due.Add(48 * time.Hour), 0}} {
			h.clock.Set(step.at)
			if err := h.EraseDue(t.Context(), h.world.Shop); err != nil {
				t.Fatal(err)
			}
			if n := h.count(t, "SELECT count(*) FROM customer_archives"); n != step.left {
				t.Errorf("at %v %d archives are left, want %d", step.at, n, step.left)
			}
		}
		if n := h.count(t, "SELECT count(*) FROM customers WHERE erased_at IS NOT NULL AND erase_on = ''"); n != 1 {
			t.Error("the customer was not erased when the time was over")
		}
		h.chainsHold(t)
	})
}

// TestEraseRefuses lists what stands against an erasure.
func TestEraseRefuses(t *testing.T) {
	t.Parallel()
	eachHouse(t, func(t *testing.T, h *house) {
		id, _ := h.settle(t, houseStart.AddDate(-9, 0, 0))
		who := h.person(auth.RoleOwner)
		stale := who
		stale.AuthTime = h.clock.Now().Add(-time.Hour)
		if _, err := h.EraseCustomer(t.Context(), stale, id, shop.EraseReasonAsked); !fault.Is(err, fault.Unauthenticated) {
			t.Errorf("without a fresh sign-in: %v", err)
		}
		if _, err := h.EraseCustomer(t.Context(), who, id, "because"); !fault.Is(err, fault.Meaning) {
			t.Errorf("for no known reason: %v", err)
		}
		h.run(t, "UPDATE work_orders SET closed_at = NULL")
		if _, err := h.EraseCustomer(t.Context(), who, id, shop.EraseReasonAsked); !fault.Is(err, fault.Conflict) || !strings.Contains(err.Error(), "open work") {
			t.Errorf("with open work: %v", err)
		}
		h.run(t, "UPDATE work_orders SET closed_at = ?", houseStart.AddDate(-9, 0, 0))
		h.run(t, "UPDATE legal_holds SET lifted_at = NULL")
		got, err := h.EraseCustomer(t.Context(), who, id, shop.EraseReasonAsked)
		if err != nil || got.State != app.Restricted || !got.Held {
			t.Fatalf("under a legal hold: %+v, %v", got, err)
		}
		h.clock.Set(houseStart.AddDate(1, 0, 0))
		h.run(t, "UPDATE legal_holds SET lifted_at = ?", h.clock.Now())
		if err := h.EraseDue(context.WithoutCancel(t.Context()), h.world.Shop); err != nil {
			t.Fatal(err)
		}
		if n := h.count(t, "SELECT count(*) FROM customers WHERE erased_at IS NOT NULL"); n != 1 {
			t.Error("the hold was lifted, and the customer stays")
		}
	})
}
