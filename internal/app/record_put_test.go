package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// What a PUT of a record means, whatever the record.
func TestPutMeaning(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	id := h.src.ID()
	first := app.Put{JobID: h.job, ID: id, Create: true, Digest: h.body()}
	put := func(p app.Put, words string) (shop.Complaint, bool, error) {
		return h.PutComplaint(t.Context(), h.tech, p, func(c *shop.Complaint) { recComplaint(c); c.Words = words })
	}
	row, made, err := put(first, "it knocks")
	if err != nil || !made || row.Version != 1 || row.RecordedBy != h.tech.StaffID || row.Late {
		t.Fatalf("create: %+v, made %v, %v", row, made, err)
	}
	entries := h.entries()

	row, made, err = put(first, "it knocks")
	if err != nil || made || row.Version != 1 {
		t.Errorf("the same again: version %d, made %v, %v", row.Version, made, err)
	}
	if n := h.entries(); n != entries {
		t.Errorf("a resend wrote to the journal: %d entries, then %d", entries, n)
	}
	other := first
	other.Digest = h.body()
	_, _, err = put(other, "it rattles")
	recRefused(t, err, fault.VersionStale, "app.already_there")

	change := app.Put{JobID: h.job, ID: id, Match: 1, Digest: h.body()}
	row, _, err = put(change, "it knocks when hot")
	if err != nil || row.Version != 2 || row.Words != "it knocks when hot" {
		t.Fatalf("change: %+v, %v", row, err)
	}
	row, _, err = put(change, "it knocks when hot")
	if err != nil || row.Version != 2 {
		t.Errorf("the change again: version %d, %v", row.Version, err)
	}
	row, made, err = put(first, "it knocks")
	if err != nil || made || row.Version != 2 {
		t.Errorf("a late resend of the creation: version %d, made %v, %v", row.Version, made, err)
	}
	_, _, err = put(app.Put{JobID: h.job, ID: id, Match: 1, Digest: h.body()}, "it squeals")
	recRefused(t, err, fault.VersionStale, "store.version_stale")
	_, _, err = put(app.Put{JobID: h.job, ID: h.src.ID(), Match: 1, Digest: h.body()}, "it squeals")
	recRefused(t, err, fault.NotFound, "shop.not_found")
	_, _, err = put(app.Put{JobID: h.foreignJob, ID: id, Create: true, Digest: first.Digest}, "it knocks")
	recRefused(t, err, fault.NotFound, "shop.not_found")
	_, _, err = put(app.Put{JobID: shop.JobID(h.src.ID()), ID: h.src.ID(), Create: true, Digest: h.body()}, "it knocks")
	recRefused(t, err, fault.NotFound, "shop.not_found")
}

// entries counts what stands in the journal of the visit.
func (h *recShop) entries() int {
	h.t.Helper()
	var n int
	err := h.store.Read(h.t.Context(), recShopID, func(tx app.Tx) error {
		list, err := tx.Entries(string(h.order), 0, 500)
		n = len(list)
		return err
	})
	if err != nil {
		h.t.Fatal(err)
	}
	return n
}

func TestLateDataIsStored(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	captured := h.clock.Now().Add(-time.Minute)
	note := recMust(h, h.tech, h.PutCheck, func(c *shop.Check) { c.What, c.Outcome = "chain slack", shop.OutcomeOk })
	h.clock.Advance(time.Minute)
	h.stage(shop.StageClosed)

	_, err := recNew(h, h.tech, h.PutCheck, func(c *shop.Check) { c.What, c.Outcome = "battery", shop.OutcomeOk })
	recRefused(t, err, fault.Conflict, "app.job_closed")
	row, err := recNew(h, h.tech, h.PutCheck, func(c *shop.Check) {
		c.What, c.Outcome, c.CapturedAt = "battery", shop.OutcomeOk, &captured
	})
	if err != nil || !row.Late || !row.CapturedAt.Equal(captured) {
		t.Errorf("captured before the job closed: late %v, %v", row.Late, err)
	}
	_, err = recEdit(h, h.tech, h.PutCheck, note, func(c *shop.Check) { c.Note = "again" })
	recRefused(t, err, fault.Conflict, "app.job_closed")
	_, err = h.StrikeCheck(t.Context(), h.tech, recAt(note), "typed twice")
	recRefused(t, err, fault.Conflict, "app.job_closed")
}

func TestLateChangeIsFlagged(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	captured := h.clock.Now().Add(time.Minute)
	row := recMust(h, h.tech, h.PutCheck, func(c *shop.Check) { c.What, c.Outcome = "chain slack", shop.OutcomeOk })
	h.clock.Advance(2 * time.Minute)
	h.stage(shop.StageDiagnosis)
	row, err := recEdit(h, h.tech, h.PutCheck, row, func(c *shop.Check) { c.CapturedAt = &captured })
	if err != nil || !row.Late {
		t.Errorf("a change captured before the job moved on: late %v, %v", row.Late, err)
	}
	fine := recMust(h, h.tech, h.PutCheck, func(c *shop.Check) { c.What, c.Outcome = "lights", shop.OutcomeOk })
	fine, err = recEdit(h, h.tech, h.PutCheck, fine, func(c *shop.Check) { c.Note = "both" })
	if err != nil || fine.Late {
		t.Errorf("a change of now: late %v, %v", fine.Late, err)
	}
}

func TestStruckStays(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	row := recMust(h, h.tech, h.PutCheck, func(c *shop.Check) { c.What, c.Outcome = "chain slack", shop.OutcomeOk })
	row, err := h.StrikeCheck(t.Context(), h.second, recAt(row), "wrong machine")
	if err != nil || !row.IsStruck() || row.StruckBy != h.second.StaffID || row.StruckReason != "wrong machine" {
		t.Fatalf("strike: %+v, %v", row.Struck, err)
	}
	_, err = recEdit(h, h.tech, h.PutCheck, row, func(c *shop.Check) { c.Note = "no" })
	recRefused(t, err, fault.Conflict, "app.record_struck")
	_, err = h.StrikeCheck(t.Context(), h.tech, recAt(row), "again")
	recRefused(t, err, fault.Conflict, "app.record_struck")
	_, err = h.StrikeCheck(t.Context(), h.tech, app.Place{JobID: h.sister, ID: string(row.ID)}, "elsewhere")
	recRefused(t, err, fault.NotFound, "shop.not_found")
}
